package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
)

func newFittingAmend(a *app) *cobra.Command {
	var opt noteOptions
	var whole fittingOptions
	var piece string
	cmd := &cobra.Command{
		Use:   "amend N|NOTE",
		Short: "Change a fitting or a note",
		Long: `Changes what is said of fitting N, or of a note typed as FITTING.NOTE; what is not
named stays. A reading of one side is kept beside that of the other. --average
decides on one amount halfway between both, says how far they are apart, and
keeps the readings.

` + exitCodes,
		Example: `  toile fitting amend 2 --cloth "unbleached cotton"
  toile fitting amend 2.1 --pinch right=1cm
  toile fitting amend 2.1 --average
  toile fitting amend 2.3 --piece front --at "side seam@20cm" --seen "pulls when reaching up"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().NFlag() == 0 {
				return usagef("nothing is said to change; name it with a flag, such as --cloth of a fitting or --seen of a note")
			}
			return a.change(func(o *opened) error {
				if strings.Contains(args[0], ".") {
					return o.amendNote(cmd, args[0], piece, opt)
				}
				return o.amendFitting(cmd, args[0], whole)
			})
		},
		ValidArgsFunction: inOrder(a.noteKeys(func(pattern.Note) bool { return true }), nothing),
	}
	whole.flags(a, cmd)
	opt.flags(a, cmd)
	f := cmd.Flags()
	f.StringVar(&opt.seen, "seen", "", "what was seen, a `TEXT`")
	f.StringVar(&opt.at, "at", "", "another `PLACE`")
	f.StringVar(&piece, "piece", "", "another `PIECE`")
	f.StringVar(&opt.edge, "edge", "", "the `EDGE` it speaks of")
	f.BoolVar(&opt.readingsMean, "average", false, "decide on one amount halfway between both readings")
	completeFlagWith(cmd, "piece", a.pieceNames())
	completeFlagWith(cmd, "edge", a.edgesOf(&piece))
	for _, flag := range []string{"seen", "at"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

// flagsOfFitting are the flags that amend a fitting and not a note.
var flagsOfFitting = []string{"date", "cloth", "worn", "closures", "version"}

// refuseOthers refuses flags that speak of the other of the two things.
func refuseOthers(cmd *cobra.Command, ofFitting bool, what string) error {
	for _, name := range []string{"date", "cloth", "worn", "closures", "version", "seen", "at", "piece", "edge", "average", "on-toile", "side", "do", "pinch", "takes-out", "lets-out", "pinned"} {
		if cmd.Flags().Changed(name) && slices.Contains(flagsOfFitting, name) != ofFitting {
			return usagef("--%s says nothing of %s; a fitting is typed as 2, a note as 2.1", name, what)
		}
	}
	return nil
}

func (o *opened) amendFitting(cmd *cobra.Command, text string, opt fittingOptions) error {
	number, err := fittingNumber(text)
	if err != nil {
		return err
	}
	if err := refuseOthers(cmd, true, "a fitting"); err != nil {
		return err
	}
	f, err := o.Fitting(number)
	if err != nil {
		return o.fittingHelp(err)
	}
	if err := o.sayOf(f, cmd, opt); err != nil {
		return err
	}
	o.say("%s", o.fittingHead(f))
	return nil
}

func (o *opened) amendNote(cmd *cobra.Command, key, piece string, opt noteOptions) error {
	if err := refuseOthers(cmd, false, "a note"); err != nil {
		return err
	}
	f, n, err := o.note(key)
	if err != nil {
		return err
	}
	changed := cmd.Flags().Changed
	if changed("seen") {
		if n.Seen, err = fittingText("--seen", opt.seen); err != nil {
			return err
		}
		if n.Seen == "" {
			return fmt.Errorf("note %s: a note says what was seen; to take it away: toile fitting unpin %s", key, key)
		}
	}
	if changed("do") {
		if n.ToDo, err = fittingText("--do", opt.do); err != nil {
			return err
		}
	}
	if err := o.amendPlace(cmd, f, n, piece, opt); err != nil {
		return err
	}
	if err := o.pinned(n, opt); err != nil {
		return err
	}
	if opt.readingsMean {
		if err := o.halfway(f, n); err != nil {
			return err
		}
	}
	o.sayNote(f, *n, false)
	return nil
}

// amendPlace moves a note to another piece, place or edge.
func (o *opened) amendPlace(cmd *cobra.Command, f *pattern.Fitting, n *pattern.Note, piece string, opt noteOptions) error {
	changed := cmd.Flags().Changed
	if changed("on-toile") && !changed("at") {
		return usagef("--on-toile says how a place was measured; give the place with --at")
	}
	if changed("at") || changed("piece") {
		words := []string{n.Piece}
		if changed("piece") {
			words[0] = piece
		}
		if words[0] == "" {
			return fmt.Errorf("note %s is of the whole garment; name the piece with --piece", f.Key(*n))
		}
		if changed("at") {
			words = append(words, opt.at)
		}
		if err := o.place(f, n, words, opt.onToile); err != nil {
			return err
		}
	}
	if !changed("edge") {
		return nil
	}
	q, err := o.Piece(n.Piece)
	if err != nil {
		return err
	}
	i, err := q.EdgeIndex(opt.edge)
	if err == nil {
		n.Edge = q.Edges[i].Name
	}
	return err
}

func newFittingUnpin(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "unpin NOTE",
		Short: "Take a note away",
		Long: `Takes a note away that was pinned by mistake. One that a version holds stays in
that version, and its number is not given again. A note that a version answered is
part of the record and is refused.

` + exitCodes,
		Example: `  toile fitting unpin 2.3`,
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.change(func(o *opened) error { return o.unpin(args[0]) })
		},
		ValidArgsFunction: inOrder(a.openNotes(), nothing),
	}
}

func (o *opened) unpin(key string) error {
	f, n, err := o.note(key)
	if err != nil {
		return err
	}
	if !n.Open() || len(n.Again) > 0 {
		version := n.Answered
		if version == 0 {
			version = n.Again[len(n.Again)-1].After
		}
		return fmt.Errorf("note %s was answered by version %d and is part of the record; change its words with `toile fitting amend %s`", key, version, key)
	}
	kept, err := o.inLastVersion(key)
	if err != nil {
		return err
	}
	number, seen := n.Number, n.Seen
	f.Notes = slices.DeleteFunc(f.Notes, func(m pattern.Note) bool { return m.Number == number })
	if kept || f.NextNote() > number {
		f.TakenAway = append(f.TakenAway, number)
		slices.Sort(f.TakenAway)
	}
	o.say("note %s taken away: %s", key, firstLine(seen))
	return nil
}

// inLastVersion reports whether the last version has the note.
func (o *opened) inLastVersion(key string) (bool, error) {
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return false, err
	}
	p, err := o.patternOf(*last)
	if err != nil {
		return false, err
	}
	_, _, err = p.FindNote(key)
	return err == nil, nil
}
