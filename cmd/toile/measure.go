package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// outerCloth is what the pieces are cut from that make the garment's outside.
const outerCloth = "outer"

// leastWidth is the width in mm below which a level only touches a piece, as at
// a corner.
const leastWidth = 0.01

type measureOptions struct {
	straight bool
	round    string
	from     []string
	json     bool
}

func newMeasure(a *app) *cobra.Command {
	var opt measureOptions
	cmd := &cobra.Command{
		Use: "measure PIECE EDGE | measure PIECE FROM TO | measure --round LEVEL [PIECE…]",

		Short: "Measure an edge, between two places, or the garment round",
		Long: `With a piece and an edge: the edge's length along the sewing line.

With a piece and two places: the way between them along the outline, clockwise
and the other way round, or straight across with --straight. A place is a corner
(EDGE/EDGE, or its name; where it is rounded, the middle of the arc), the name
of a notch or a mark, EDGE@L (a length along an edge from its start; EDGE@L@end
from its end, EDGE@L@NOTCH from a notch on it), X,Y on the sheet, or "8cm from
LINE, 12cm from LINE" (square to edges, reference lines, the fold or the grain),
each with steps behind it, as in "hip, 4cm in" or "hip, 4cm in, 2cm down". A name
that several of them share takes corner:, notch: or mark: before it.

With --round: the whole garment round at a level, within the sewing lines. It
adds up the widths of the named pieces, of all that are cut from outer if none
is named; pieces on the fold and pairs count twice, dart intakes are left out.
The level is a length down the grain, negative up, from what --from says:

  PIECE/EDGE  for that piece, from the middle of that edge
  EDGE        for every piece that has an edge of that name, from its middle
  L           for all pieces, from the line at L on the sheet

A single piece without --from is measured from its highest place; with several
pieces the program asks, because their highest places seldom are at one level.

--json gives {measure: "edge", piece, edge, length_mm}, or {measure: "between",
piece, from, to, clockwise_mm, other_way_mm} or {…, straight_mm}, or {measure:
"round", level_mm, round_mm, pieces: [{piece, from, width_mm, times}]}.

` + exitCodes,
		Example: `  toile measure front "side seam"
  toile measure front "neckline/shoulder" "side seam@20cm" --straight
  toile measure --round 18cm --from waist front back
  toile measure --round -5cm --from hemline`,
		RunE: func(_ *cobra.Command, args []string) error {
			if err := opt.check(args); err != nil {
				return err
			}
			return a.read(func(o *opened) error { return o.measure(args, opt) })
		},
		ValidArgsFunction: inOrder(a.pieceNames(), a.edgeNames(), a.edgeNames(), nothing),
	}
	f := cmd.Flags()
	f.BoolVar(&opt.straight, "straight", false, "measure straight across, not along the outline")
	f.StringVar(&opt.round, "round", "", "measure the garment round at the `LEVEL`")
	f.StringArrayVar(&opt.from, "from", nil, "where the level counts `FROM`: PIECE/EDGE, EDGE or L")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	for _, flag := range []string{"round", "from"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

func (opt measureOptions) check(args []string) error {
	switch {
	case opt.round != "" && opt.straight:
		return usagef("--straight and --round do not go together")
	case opt.round != "":
		return nil
	case len(opt.from) > 0:
		return usagef("--from says where the level of --round counts from; give --round too")
	case len(args) < 2 || len(args) > 3:
		return usagef("give a piece and an edge, or a piece and two places, or --round LEVEL")
	case len(args) == 2 && opt.straight:
		return usagef("--straight measures between two places; give both")
	}
	return nil
}

func (o *opened) measure(args []string, opt measureOptions) error {
	if opt.round != "" {
		return o.measureRound(args, opt)
	}
	q, err := o.Piece(args[0])
	if err != nil {
		return err
	}
	if len(args) == 2 {
		return o.measureEdge(q, args[1], opt)
	}
	return o.measureBetween(q, args[1], args[2], opt)
}

func (o *opened) measureEdge(q *pattern.Piece, edge string, opt measureOptions) error {
	i, err := q.EdgeIndex(edge)
	if err != nil {
		return err
	}
	if opt.json {
		return o.sayJSON(struct {
			Measure string  `json:"measure"`
			Piece   string  `json:"piece"`
			Edge    string  `json:"edge"`
			Length  float64 `json:"length_mm"`
		}{"edge", q.Name, q.Edges[i].Name, change.Figure(q.Length(i))})
	}
	o.say("%s, edge %q: %s", q.Name, q.Edges[i].Name, o.length(q.Length(i)))
	return nil
}

func (o *opened) measureBetween(q *pattern.Piece, fromText, toText string, opt measureOptions) error {
	from, err := q.FindSpot(fromText, o.Unit)
	if err != nil {
		return err
	}
	to, err := q.FindSpot(toText, o.Unit)
	if err != nil {
		return err
	}
	j := struct {
		Measure   string   `json:"measure"`
		Piece     string   `json:"piece"`
		From      string   `json:"from"`
		To        string   `json:"to"`
		Clockwise *float64 `json:"clockwise_mm,omitempty"`
		OtherWay  *float64 `json:"other_way_mm,omitempty"`
		Straight  *float64 `json:"straight_mm,omitempty"`
	}{Measure: "between", Piece: q.Name, From: from.Name, To: to.Name}
	head := fmt.Sprintf("%s, %s to %s: ", q.Name, from.Name, to.Name)
	if opt.straight {
		d := from.At.Dist(to.At)
		j.Straight = change.Amount(d)
		head += o.length(d) + " straight"
	} else {
		clockwise, other, err := q.AlongOutline(from, to)
		if err != nil {
			return err
		}
		j.Clockwise, j.OtherWay = change.Amount(clockwise), change.Amount(other)
		head += o.length(clockwise) + " along the outline clockwise, " + o.length(other) + " the other way"
	}
	if opt.json {
		return o.sayJSON(j)
	}
	o.say("%s", head)
	return nil
}

// The shape of `measure --round --json`.
type roundJSON struct {
	Measure string       `json:"measure"`
	Level   float64      `json:"level_mm"`
	Round   float64      `json:"round_mm"`
	Pieces  []roundPiece `json:"pieces"`
}

type roundPiece struct {
	Piece string  `json:"piece"`
	From  string  `json:"from"`
	Width float64 `json:"width_mm"`
	Times int     `json:"times"`
}

func (o *opened) measureRound(names []string, opt measureOptions) error {
	level, err := units.ParseLength(opt.round, o.Unit)
	if err != nil {
		return usagef("--round: %w", err)
	}
	pieces, err := o.roundPieces(names)
	if err != nil {
		return err
	}
	sum := roundJSON{Measure: "round", Level: change.Figure(level), Pieces: []roundPiece{}}
	for _, q := range pieces {
		zero, from, err := o.reference(q, opt.from, len(pieces) == 1)
		switch {
		case len(names) == 0 && errors.Is(err, errNoEdge):
			o.advise("%s is left out: it has no edge %s.", q.Name, list(opt.from))
			continue
		case err != nil:
			return err
		}
		width, err := q.WidthAt(zero + level)
		switch {
		case err != nil:
			return err
		case width < leastWidth && len(names) > 0:
			return fmt.Errorf("%s: the level %s from %s misses the piece; choose another level, or leave the piece out", q.Name, o.length(level), from)
		case width < leastWidth:
			o.advise("%s is left out: the level misses it.", q.Name)
			continue
		}
		sum.Pieces = append(sum.Pieces, roundPiece{q.Name, from, change.Figure(width), q.Cut.Count()})
		sum.Round += width * float64(q.Cut.Count())
	}
	if len(sum.Pieces) == 0 {
		return fmt.Errorf("no piece lies at the level %s; choose another with --round, or count it from elsewhere with --from", o.length(level))
	}
	if sum.Round = change.Figure(sum.Round); level == 0 {
		o.adviseAlong(sum, opt.from)
	}
	return o.sayRound(level, sum, opt.json)
}

// sayRound prints what pieces measure together at a level.
func (o *opened) sayRound(level float64, sum roundJSON, asJSON bool) error {
	if asJSON {
		return o.sayJSON(sum)
	}
	o.say("round at %s: %s", o.length(level), o.length(sum.Round))
	for _, p := range sum.Pieces {
		o.say("  %s: %s, %s, from %s", p.Piece, o.length(p.Width), map[int]string{1: "once", 2: "twice"}[p.Times], p.From)
	}
	return nil
}

// roundPieces are the pieces named, else all that are cut from outer.
func (o *opened) roundPieces(names []string) ([]*pattern.Piece, error) {
	if len(names) > 0 {
		return o.chosen(names)
	}
	var found []*pattern.Piece
	for _, q := range o.Pieces {
		if q.Cloth == outerCloth {
			found = append(found, q)
		}
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("no piece is cut from %s; name the pieces to measure", outerCloth)
	}
	return found, nil
}

// reference returns where a piece's level counts from, down the grain, and
// says it in words. What is said of the piece itself comes before what is said
// of all.
func (o *opened) reference(q *pattern.Piece, from []string, alone bool) (float64, string, error) {
	general, says, found := 0.0, "", false
	for _, text := range from {
		piece, edge, ok := strings.Cut(text, "/")
		if ok {
			named, err := o.Piece(strings.TrimSpace(piece))
			if err != nil {
				return 0, "", err
			}
			i, err := named.EdgeIndex(strings.TrimSpace(edge))
			if err != nil {
				return 0, "", err
			}
			if named == q {
				return q.EdgeLevel(i), fmt.Sprintf("the middle of %q", q.Edges[i].Name), nil
			}
			continue
		}
		if i, ok := edgeNamed(q, text); ok {
			general, says, found = q.EdgeLevel(i), fmt.Sprintf("the middle of %q", q.Edges[i].Name), true
		} else if l, err := units.ParseLength(text, o.Unit); err == nil {
			general, says, found = l, "the line at "+o.length(l)+" on the sheet", true
		} else if !o.someEdge(text) {
			return 0, "", fmt.Errorf("--from %s is neither an edge nor a length; write PIECE/EDGE, EDGE or a length", text)
		}
	}
	if found {
		return general, says, nil
	}
	if alone && len(from) == 0 {
		top, err := q.Top()
		return top, "its highest place", err
	}
	if len(from) > 0 {
		return 0, "", fmt.Errorf("%s %w %s; leave the piece out, that is name the pieces to measure, or say where its level counts with --from %q or another of its edges",
			q.Name, errNoEdge, list(from), q.Name+"/"+q.Edges[0].Name)
	}
	return 0, "", fmt.Errorf("%s: from where does the level count? say it with --from %q or another of its edges, or with --from and a line on the sheet", q.Name, q.Name+"/"+q.Edges[0].Name)
}

// errNoEdge is wrapped where a piece has no edge from which its level would
// count.
var errNoEdge = errors.New("has no edge")

// edgeNamed finds an edge by its name alone: a number would be a length.
func edgeNamed(q *pattern.Piece, name string) (int, bool) {
	for i, e := range q.Edges {
		if e.Name == strings.TrimSpace(name) {
			return i, true
		}
	}
	return 0, false
}

// someEdge reports whether any piece has an edge of that name.
func (o *opened) someEdge(name string) bool {
	for _, q := range o.Pieces {
		if _, ok := edgeNamed(q, name); ok {
			return true
		}
	}
	return false
}
