package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/repo"
)

func newShareReceive(a *app) *cobra.Command {
	var as string
	var names bool
	cmd := &cobra.Command{
		Use:   "receive [FROM]",
		Short: "Fetch what others have sent to a place",
		Long: `Fetches the versions that a place has and this pattern lacks; FROM is the name of
a place that is remembered, or an address, as ` + "`toile share --help`" + ` shows them.
Without FROM it is the only one; where there are several, you are asked.

Where nothing was committed here meanwhile, your branch and the folder are brought
to what came, unless the folder holds changes that are in no version yet. Where
both sides went on, nothing here moves: their branch is kept as PLACE/BRANCH, to be
looked at with ` + "`toile diff`" + ` and merged. Everything that comes is looked through
first, and refused whole if any of it could do harm.

Given names of versions come along with --names; a name that means something else
here stays as it is.

` + exitCodes,
		Example: `  toile share receive
  toile share receive /media/stick --as stick
  toile diff last stick/working`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.open(false, func(o *opened) error { return o.shareReceive(a, strings.Join(args, ""), as, names) })
		},
		ValidArgsFunction: inOrder(a.places(), nothing),
	}
	cmd.Flags().StringVar(&as, "as", "", "the `NAME` under which a new place is remembered")
	cmd.Flags().BoolVar(&names, "names", false, "take over given names of versions too")
	completeFlagWith(cmd, "as", nothing)
	return cmd
}

func (o *opened) shareReceive(a *app, from, as string, names bool) error {
	place, err := o.repo.Place(from, as)
	if err != nil {
		return err
	}
	x := a.exchange()
	x.Names = names
	ctx, stop := interruptible()
	defer stop()
	got, err := o.repo.Receive(ctx, place, x)
	if err != nil {
		return err
	}
	if got.Versions == 0 {
		o.say("nothing new from %s", got.Place.Name)
	} else {
		o.say("%s from %s", count(got.Versions, "new version", "new versions"), got.Place.Name)
	}
	for _, b := range got.Branches {
		o.sayReceived(got.Place.Name, b)
	}
	if len(got.Left) > 0 {
		o.say("branches with names that cannot be used here were left there: %s", list(got.Left))
	}
	o.sayNames(got)
	return nil
}

// sayReceived says how a branch stands, and the next step where there is one.
func (o *opened) sayReceived(place string, b repo.ReceivedBranch) {
	last := fmt.Sprintf("version %d: %s", b.Last.Number, oneLine(b.Last))
	theirs := place + "/" + b.Name
	switch b.State {
	case repo.BranchSame:
		o.say("  %s: the same here and there, %s", b.Name, last)
	case repo.BranchAdvanced:
		o.say("  %s: brought to %s", b.Name, last)
	case repo.BranchAhead:
		o.say("  %s: %s here that %s not there; `toile share send` sends them", b.Name,
			count(b.Here, "version", "versions"), isAre(b.Here))
	case repo.BranchOnlyThere:
		o.say("  %s: kept as %s, %s", b.Name, theirs, last)
	case repo.BranchUnsaved:
		o.say("  %s: kept as %s, %s", b.Name, theirs, last)
		if b.Beside {
			o.advise("The folder was left as it is, because %s; keep that with `git add` and `git commit`, or move it elsewhere, then merge with `toile merge %s`.",
				besideWords(b.Unsaved), theirs)
			return
		}
		o.advise("The folder was left as it is, because it holds changes that are in no version yet: %s. Commit them, then merge with `toile merge %s`.", list(b.Unsaved), theirs)
	case repo.BranchDiverged:
		o.say("  %s: both sides went on, with %s here and %s there; theirs is kept as %s, %s", b.Name,
			count(b.Here, "version", "versions"), count(b.There, "version", "versions"), theirs, last)
		o.advise("Merge them with `toile merge %s`; `toile diff last %s` shows what differs.", theirs, theirs)
	}
}

// besideWords says of files beside the pattern's own that they hold what is in no
// version.
func besideWords(names []string) string {
	if len(names) == 1 {
		return names[0] + " lies there as no version has it"
	}
	return list(names) + " lie there as no version has them"
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// sayNames tells of given names that came, clashed or were left.
func (o *opened) sayNames(got repo.Received) {
	if len(got.Names) > 0 {
		o.say("names taken over: %s", list(got.Names))
	}
	if len(got.Clashing) > 0 {
		o.say("names that mean something else here and were left:")
		for _, clash := range got.Clashing {
			o.say("  %s", clash)
		}
	}
	if got.NamesLeft > 0 {
		o.advise("%s of versions there %s not taken; --names takes them.", count(got.NamesLeft, "name", "names"), wasWere(got.NamesLeft))
	}
}

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}
