package main

import (
	"strings"

	"github.com/spf13/cobra"

	"toile/repo"
)

type placeOptions struct {
	at, called string
	forget     bool
}

func newSharePlace(a *app) *cobra.Command {
	var opt placeOptions
	cmd := &cobra.Command{
		Use:   "place [NAME]",
		Short: "List the places that are remembered, or change or forget one",
		Long: `Without a name it lists the places with their addresses, and what each was last
known to have. With the name of one:

  --at ADDRESS   it has moved: that is its address from now on. Nothing goes there
                 before you have agreed to it again
  --called NAME  it gets another name; its branches are called NAME/BRANCH then
  --forget       it is forgotten. What was sent there stays there, and still counts
                 as sent. Branches there that are not part of a branch here are
                 merged or made a branch first

Nothing is asked of the places themselves. Places are no part of the pattern, and
` + "`toile undo`" + ` leaves them alone.

` + exitCodes,
		Example: `  toile share place
  toile share place stick --at /media/other-stick
  toile share place stick --called drawer
  toile share place stick --forget`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			changes := 0
			for _, flag := range []string{"at", "called", "forget"} {
				if cmd.Flags().Changed(flag) {
					changes++
				}
			}
			switch {
			case changes > 1:
				return usagef("--at, --called and --forget are for one thing at a time; give one of them")
			case changes == 1 && len(args) == 0:
				return usagef("name the place that is meant; `toile share place` lists them")
			}
			return a.open(false, func(o *opened) error { return o.sharePlace(strings.Join(args, ""), opt) })
		},
		ValidArgsFunction: inOrder(a.places(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.at, "at", "", "the `ADDRESS` that the place has now")
	f.StringVar(&opt.called, "called", "", "the other `NAME` for the place")
	f.BoolVar(&opt.forget, "forget", false, "forget the place")
	completeFlagWith(cmd, "called", nothing)
	return cmd
}

func (o *opened) sharePlace(name string, opt placeOptions) error {
	if name == "" {
		return o.listPlaces(o.repo.Places())
	}
	p, err := o.repo.Remembered(name)
	if err != nil {
		return err
	}
	switch {
	case opt.forget:
		if err := o.repo.Forget(p); err != nil {
			return err
		}
		o.say("%s is forgotten", repo.Printable(p.Name))
		return nil
	case opt.called != "":
		if p, err = o.repo.Rename(p, opt.called); err != nil {
			return err
		}
		o.say("%s is called %s now", repo.Printable(name), p.Name)
		return nil
	case opt.at != "":
		if p, err = o.repo.Readdress(p, opt.at); err != nil {
			return err
		}
		o.say("%s is at %s now", repo.Printable(p.Name), p.Address)
		return nil
	}
	return o.listPlaces([]repo.Place{p})
}

func (o *opened) listPlaces(places []repo.Place) error {
	if len(places) == 0 {
		o.say("no place is remembered yet")
		o.advise("`toile share send ADDRESS` and `toile share receive ADDRESS` remember one; `toile share --help` shows addresses.")
		return nil
	}
	there, err := o.repo.ThereBranches()
	if err != nil {
		return err
	}
	for _, p := range places {
		o.say("%s: %s", repo.Printable(p.Name), p.Address)
		known := false
		for _, b := range there {
			if branch, ok := strings.CutPrefix(b.Name, p.Name+"/"); ok {
				known = true
				b.Name = branch
				o.say("  %s", branchWords(b))
			}
		}
		if !known {
			o.say("  nothing is known of what is there")
		}
	}
	return nil
}
