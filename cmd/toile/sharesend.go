package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

type sendOptions struct {
	as         string
	all, names bool
	yes, anew  bool
}

func newShareSend(a *app) *cobra.Command {
	var opt sendOptions
	cmd := &cobra.Command{
		Use:   "send [TO]",
		Short: "Send your versions to a place",
		Long: `Sends the branch you are on, with all versions it builds on, to a place: the name
of one that is remembered, or an address, as ` + "`toile share --help`" + ` shows them.
Without TO it is the only one; where there are several, you are asked. The folder
as it is now is not sent: commit first.

The first time, it only lists what others will see there, and sends nothing; with
--yes it is sent. Later it does so again when a branch, a fitting or a file of your
own goes out that has not been there before. If somebody sent first, their versions
are fetched and kept beside yours, and you are told how to merge them; nothing of
theirs is ever overwritten.

A file that is gone from its place is not written again unasked, because the stick
may be out; --anew does.

--all sends every branch, --names given names of versions too. What is kept for
` + "`toile undo`" + ` and everything else under .git/toile stays on this machine.

` + exitCodes,
		Example: `  toile share send /media/stick
  toile share send /media/stick --yes
  toile share send --all --names`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.open(false, func(o *opened) error { return o.shareSend(a, strings.Join(args, ""), opt) })
		},
		ValidArgsFunction: inOrder(a.places(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.as, "as", "", "the `NAME` under which a new place is remembered")
	f.BoolVar(&opt.all, "all", false, "send every branch")
	f.BoolVar(&opt.names, "names", false, "send given names of versions too")
	f.BoolVar(&opt.yes, "yes", false, "send what was listed to a place for the first time")
	f.BoolVar(&opt.anew, "anew", false, "write the file again that was taken away from its place")
	completeFlagWith(cmd, "as", nothing)
	return cmd
}

func (o *opened) shareSend(a *app, to string, opt sendOptions) error {
	place, err := o.repo.Place(to, opt.as)
	if err != nil {
		return err
	}
	x := a.exchange()
	x.All, x.Names, x.Agreed, x.Anew = opt.all, opt.names, opt.yes, opt.anew
	ctx, stop := interruptible()
	defer stop()
	if !place.Agreed && !opt.yes {
		if err := o.repo.Look(ctx, place, x); err != nil {
			return err
		}
		return o.askToSend(a, place, x)
	}
	sent, err := o.repo.Send(ctx, place, x)
	if first := (*repo.SentFirstError)(nil); errors.As(err, &first) {
		if first.Behind {
			return fmt.Errorf("%w; `toile share receive` brings them", err)
		}
		return fmt.Errorf("%w. Merge it with `toile merge %s/%s`, then send again", err, first.Place.Name, first.Branch)
	}
	if ask := (*repo.NotAgreedError)(nil); errors.As(err, &ask) {
		return askForMore(ask)
	}
	if err != nil {
		return err
	}
	o.saySent(sent)
	return nil
}

// askForMore asks for --yes where something goes to a known place for the first
// time.
func askForMore(ask *repo.NotAgreedError) error {
	var more []string
	for _, b := range ask.Unseen.Branches {
		more = append(more, "the branch "+b)
	}
	for _, f := range ask.Unseen.Files {
		if name, ok := strings.CutPrefix(strings.TrimSuffix(f, ".yaml"), repo.FittingsFolder+"/"); ok {
			more = append(more, "the fitting "+name+", with everything its notes say")
		} else {
			more = append(more, "the file "+f)
		}
	}
	return fmt.Errorf("this would go to %s for the first time, and nothing was sent now: %s; if it may be seen by whoever can read there, run the command again with --yes",
		ask.Place.Address, list(more))
}

// saySent tells what went out.
func (o *opened) saySent(sent repo.Sent) {
	sentAny := false
	for _, b := range sent.Branches {
		if b.Versions == 0 {
			o.say("%s: nothing new for %s, which has version %d", b.Name, sent.Place.Name, b.Last.Number)
			continue
		}
		sentAny = true
		o.say("%s: %s sent to %s, up to version %d: %s", b.Name, count(b.Versions, "version", "versions"), sent.Place.Name, b.Last.Number, oneLine(b.Last))
	}
	if len(sent.Names) > 0 {
		sentAny = true
		o.say("names sent: %s", list(sent.Names))
	}
	if len(sent.Clashing) > 0 {
		o.say("names that mean another version there and were left: %s", list(sent.Clashing))
	}
	if sentAny && sent.File != "" {
		o.say("written: %s", repo.Printable(sent.File))
	}
	if last, err := o.repo.Last(); err == nil && last != nil {
		if files, err := o.repo.Working(); err == nil {
			if names, err := o.repo.Dirty(files); err == nil && len(names) > 0 {
				o.advise("The folder holds changes that are in no version yet; they were not sent.")
			}
		}
	}
}

// askToSend lists what others would see, and asks for --yes.
func (o *opened) askToSend(a *app, place repo.Place, x repo.Exchange) error {
	out, err := o.repo.Outgoing(place, x)
	if err != nil {
		return err
	}
	for _, line := range o.outgoingLines(out) {
		fmt.Fprintln(a.stderr, line)
	}
	return fmt.Errorf("nothing has gone to %s yet, and nothing was sent now; if all of the above may be seen by whoever can read there, run the command again with --yes", place.Address)
}

func (o *opened) outgoingLines(out repo.Outgoing) []string {
	versions := out.Versions
	lines := []string{
		"This would go to " + out.Place.Address.String() + ":",
		fmt.Sprintf("  %s of %s: %s, with all their texts", branches(out.Branches), o.patternName(versions), count(len(versions), "version", "versions")),
	}
	var pieces, fittings []string
	for _, file := range out.Files {
		folder, name, _ := strings.Cut(strings.TrimSuffix(file, ".yaml"), "/")
		switch folder {
		case repo.PiecesFolder:
			pieces = append(pieces, name)
		case repo.FittingsFolder:
			fittings = append(fittings, name)
		}
	}
	lines = append(lines, "  pieces, also those that were removed later: "+list(pieces))
	if len(fittings) > 0 {
		lines = append(lines, "  fittings, with everything their notes say: "+list(fittings))
	}
	if len(out.Others) > 0 {
		lines = append(lines, "  files that are not the pattern's, with all that is in them: "+list(out.Others))
	}
	if len(out.Names) > 0 {
		lines = append(lines, "  names of versions: "+list(out.Names))
	}
	return append(lines,
		"  the persons who made the versions: "+list(out.Persons),
		"Once sent, it cannot be called back. What is under .git/toile stays here.")
}

func branches(names []string) string {
	if len(names) == 1 {
		return "the branch " + names[0]
	}
	return "the branches " + list(names)
}

// patternName is what the pattern is called in its newest version.
func (o *opened) patternName(versions []repo.Version) string {
	if len(versions) > 0 {
		if text, found, err := o.repo.ReadFile(versions[0], repo.PatternFile); err == nil && found {
			if p, err := pattern.DecodeHead(text); err == nil {
				return p.Name
			}
		}
	}
	return "this pattern"
}
