package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// noteOptions are what is said of a note.
type noteOptions struct {
	fitting      int
	garment      bool
	at           string // amend: another place
	onToile      bool
	edge, side   string
	seen, do     string
	amountTexts  amountOptions
	readingsMean bool // amend: one amount, halfway between the readings
}

// flags adds the flags that pin and amend share.
func (opt *noteOptions) flags(a *app, cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&opt.onToile, "on-toile", false, "the place was measured on the sewn mock-up: darts, pleats and what is eased in do not count")
	f.StringVar(&opt.side, "side", "", "the wearer's side, a `SIDE`: left, right or both")
	f.StringVar(&opt.do, "do", "", "what to do about it, a `TEXT`")
	opt.amountTexts.flags(cmd)
	completeFlag(cmd, "side", "left", "right", "both")
	completeFlagWith(cmd, "do", nothing)
}

func newFittingPin(a *app) *cobra.Command {
	var opt noteOptions
	cmd := &cobra.Command{
		Use:   "pin PIECE [PLACE] SEEN",
		Short: "Pin a note to a place",
		Long: `Pins a note to a place of a piece: SEEN says what was seen there. PLACE is an
edge, or a place as it is measured: "8cm from centre front, 12cm from neckline",
"side seam@20cm", a notch, a mark, a corner; docs/altering.md lists them all. It is
found on the version that was sewn, on paper or with --on-toile as measured on the
sewn mock-up. Without PLACE the note is of the whole piece, and with --garment
instead of both of the whole garment.

How much was pinned is said in one of three ways. --pinch is the depth of a pinch,
which takes out twice that; --takes-out is what it takes out in all; --lets-out is
what was let out. An amount is what was read on each side that --side names; where
the sides differ, give both: --pinch left=8mm --pinch right=1cm. Both are kept as
read.

The note goes to the last fitting, or to --fitting N. It stays open until a
version answers it.

` + exitCodes,
		Example: `  toile fitting pin front "8cm from centre front, 12cm from neckline" "gapes" --on-toile --pinch 1cm
  toile fitting pin back "side seam" "too wide" --pinch left=8mm --pinch right=1cm --do "take in"
  toile fitting pin --garment "slides back when walking"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if opt.garment {
				return cobra.ExactArgs(1)(cmd, args)
			}
			return cobra.RangeArgs(2, 3)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkNumberFlag(cmd, opt.fitting); err != nil {
				return err
			}
			return a.change(func(o *opened) error { return o.pinNote(args, opt) })
		},
		ValidArgsFunction: inOrder(a.pieceNames(), a.edgeNames(), nothing),
	}
	opt.flags(a, cmd)
	f := cmd.Flags()
	f.IntVar(&opt.fitting, "fitting", 0, "the number `N` of the fitting; the last unless said")
	f.BoolVar(&opt.garment, "garment", false, "the note is of the whole garment")
	completeFlagWith(cmd, "fitting", a.fittingNumbers())
	return cmd
}

func (o *opened) pinNote(args []string, opt noteOptions) error {
	f, err := o.lastFitting(opt.fitting)
	if err != nil {
		return err
	}
	n := pattern.Note{Number: f.NextNote()}
	if !opt.garment {
		if err := o.place(f, &n, args[:len(args)-1], opt.onToile); err != nil {
			return err
		}
		if len(args) == 2 {
			if err := o.askWhatWasSeen(f, n.Piece, args[1]); err != nil {
				return err
			}
		}
	}
	if opt.garment && opt.onToile {
		return usagef("--on-toile says how a place was measured, and --garment has none; leave one out")
	}
	if n.Seen, err = fittingText("what was seen", args[len(args)-1]); err != nil {
		return err
	}
	if n.Seen == "" {
		return fmt.Errorf("a note says what was seen; type it behind the place")
	}
	if n.ToDo, err = fittingText("--do", opt.do); err != nil {
		return err
	}
	if err := o.pinned(&n, opt); err != nil {
		return err
	}
	f.Notes = append(f.Notes, n)
	o.sayNote(f, n, false)
	return nil
}

// askWhatWasSeen refuses a place where what was seen there is missing.
func (o *opened) askWhatWasSeen(f *pattern.Fitting, piece, text string) error {
	var n pattern.Note
	if err := o.place(f, &n, []string{piece, text}, false); err != nil {
		return nil
	}
	return fmt.Errorf("%q is a place of %s; say behind it what was seen there", text, piece)
}

// place sets a note's piece and place, as found on the version that was sewn.
// words are PIECE and, where it is not the whole piece, PLACE.
func (o *opened) place(f *pattern.Fitting, n *pattern.Note, words []string, onToile bool) error {
	sewn, err := o.sewn(f)
	if err != nil {
		return err
	}
	q, name, err := o.pieceSewn(sewn, f, words[0])
	if err != nil {
		return err
	}
	n.Piece, n.Edge, n.Place, n.At, n.OnToile = name, "", "", nil, false
	if len(words) < 2 {
		if onToile {
			return usagef("--on-toile says how a place was measured; give the place behind the piece")
		}
		return nil
	}
	if n.Place, err = fittingText("the place", words[1]); err != nil {
		return err
	}
	ruler := pattern.Ruler{Unit: o.Unit}
	if n.OnToile = onToile; onToile {
		ruler.Sewn = sewn
	}
	spot, err := q.FindPlace(n.Place, ruler)
	if err != nil {
		i, edgeErr := q.EdgeIndex(n.Place)
		if edgeErr != nil {
			return err
		}
		path := q.EdgePath(i)
		spot.At = path.PointAt(path.Length() / 2)
		n.Place, n.OnToile = "", false
	}
	if err := o.farOff(q, n.Place, spot.At); err != nil {
		return err
	}
	at := geom.Pt(units.Round(spot.At.X, 3), units.Round(spot.At.Y, 3))
	n.At, n.Edge = &at, q.EdgeThrough(at)
	return nil
}

// mostOff is how far outside a piece, in mm, a note may lie: on cloth that a mock-up
// has around it.
const mostOff = 200

// farOff refuses a place that lies far outside its piece: a slip of the pen.
func (o *opened) farOff(q *pattern.Piece, place string, at geom.Point) error {
	outline, err := q.Outline()
	if err != nil || outline.Ring.Holds(at) {
		return err
	}
	if _, off := geom.Path(outline.Ring).Nearest(at); off > mostOff {
		return fmt.Errorf("%q lies %s off %s; a note stands on its piece, or at most %s beside it: see the figures and their units", place, o.length(units.Round(off, 1)), q.Name, o.length(mostOff))
	}
	return nil
}

// pieceSewn finds a piece as it was sewn, and the name it goes by now.
func (o *opened) pieceSewn(sewn *pattern.Pattern, f *pattern.Fitting, name string) (*pattern.Piece, string, error) {
	now, err := o.Piece(name)
	if err != nil {
		if q, sewnErr := sewn.Piece(name); sewnErr == nil {
			return q, q.Name, nil // gone, or called otherwise, since
		}
		return nil, "", err
	}
	for _, q := range sewn.Pieces {
		if q.ID == now.ID && q.ID != "" {
			return q, now.Name, nil
		}
	}
	if q, err := sewn.Piece(now.Name); err == nil {
		return q, now.Name, nil
	}
	return nil, "", fmt.Errorf("%s is newer than version %d, which was sewn for fitting %d; its pieces are %s", now.Name, f.Version, f.Number, list(sewn.PieceNames()))
}

// pinned sets a note's side and what was pinned.
func (o *opened) pinned(n *pattern.Note, opt noteOptions) error {
	if opt.side != "" {
		if err := oneOf("side", opt.side, "left", "right", "both"); err != nil {
			return err
		}
		if n.Left != nil && opt.side != string(pattern.WearerBoth) {
			return fmt.Errorf("a reading of each side is kept, so that the note speaks of both; give one amount anew with --side %s", opt.side)
		}
		n.Side = pattern.WearerSide(opt.side)
	}
	return o.readAmounts(n, opt.amountTexts, opt.side)
}
