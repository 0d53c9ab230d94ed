package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/diff/merge"
	"toile/pattern"
	"toile/repo"
)

func newRevert(a *app) *cobra.Command {
	var opt mergeOptions
	cmd := &cobra.Command{
		Use:   "revert V",
		Short: "Take back what a version did and keep what came later, as a new version",
		Long: `Takes what version V changed back out of the pattern, keeps what came later, and
makes a new version of it; the old ones stay. Fittings and their notes stay as they
are. With --piece only what V did to that piece is taken back, and nothing that it
did to files beside the pattern's own.

Where the same was changed again later, it is told, with -o also drawn, and nothing
changes until --keep says what counts: here, as it is now, or there, as it was
before V.

The first version and one that merged two branches cannot be taken back.

` + exitCodes,
		Example: `  toile revert 4
  toile revert 4 --piece back
  toile revert 4 --keep here:back/hemline`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("piece") && strings.TrimSpace(opt.piece) == "" {
				return usagef("--piece is empty; name the piece to which the changes are taken back")
			}
			opt.asked, opt.typedAs = args[0], "toile revert "+args[0]
			opt.refused = "nothing was taken back yet, for the same thing was changed again later"
			if opt.piece != "" {
				opt.typedAs += fmt.Sprintf(" --piece %q", opt.piece)
			}
			return a.open(true, func(o *opened) error { return o.revert(opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), nothing),
	}
	opt.flags(cmd)
	cmd.Flags().StringVar(&opt.piece, "piece", "", "only what was done to this `PIECE`")
	completeFlagWith(cmd, "piece", a.pieceNames())
	return cmd
}

func (o *opened) revert(opt mergeOptions) error {
	if _, err := opt.answers(); err != nil {
		return err
	}
	v, err := o.repo.Resolve(opt.asked)
	if err != nil {
		return err
	}
	if err := o.revertible(v); err != nil {
		return err
	}
	if err := o.decodeWorking(); err != nil {
		return err
	}
	in := merge.Input{Here: o.Pattern, Revert: true}
	if in.Shared, err = o.patternOf(v); err != nil {
		return err
	}
	if in.There, err = o.patternOf(repo.Version{ID: v.Parents[0], Number: v.Number - 1}); err != nil {
		return err
	}
	title := fmt.Sprintf("Took back version %d: %s", v.Number, oneLine(v))
	if opt.piece == "" {
		opt.reverted = []repo.Version{v}
		opt.beside = &besideThem{shared: v, there: repo.Version{ID: v.Parents[0], Number: v.Number - 1}}
	} else {
		name, err := onlyPiece(&in, opt.piece)
		if err != nil {
			return err
		}
		title = fmt.Sprintf("Took back version %d in %s: %s", v.Number, name, oneLine(v))
	}
	return o.keepMerged(in, opt, title, nil)
}

// revertible refuses versions of which nothing is before, or two things are,
// and those that the present one does not go back to.
func (o *opened) revertible(v repo.Version) error {
	switch {
	case len(v.Parents) == 0:
		return fmt.Errorf("version %d is the first, and before it there was nothing; bring a later state back with `toile bring-back V`, or remove pieces with `toile alter remove`", v.Number)
	case len(v.Parents) > 1:
		return fmt.Errorf("version %d merged two branches, and what it did is not one thing; take back single versions of the branch, or go back with `toile bring-back V`", v.Number)
	}
	history, err := o.repo.History()
	if err != nil {
		return err
	}
	for _, w := range history {
		if w.ID == v.ID {
			return nil
		}
	}
	return fmt.Errorf("version %d is not among those that the working pattern goes back to, so there is nothing of it to take back%s", v.Number, o.reachWords(v))
}

// onlyPiece leaves of what a version did only what it did to one piece, by the
// name that has now, or had in that version.
func onlyPiece(in *merge.Input, name string) (string, error) {
	now, err := in.Here.Piece(name)
	if err != nil {
		if now, err = in.Shared.Piece(name); err != nil {
			return "", err
		}
	}
	same := func(p *pattern.Pattern) *pattern.Piece {
		for _, q := range p.Pieces {
			if q.ID == now.ID {
				return q
			}
		}
		return nil
	}
	was, before := same(in.Shared), same(in.There)
	if was == nil && before == nil {
		return "", fmt.Errorf("%s was not there yet in that version; name another piece", now.Name)
	}
	there := in.Shared.Clone()
	for i, q := range there.Pieces {
		if was != nil && q.ID == was.ID {
			there.Pieces = append(there.Pieces[:i], there.Pieces[i+1:]...)
			break
		}
	}
	if before != nil {
		there.Put(before.Clone())
	}
	in.There = there
	return now.Name, nil
}
