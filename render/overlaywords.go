package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// parent is the piece that a part was split off, or that it was joined to, and
// the change that says so.
type parent struct {
	piece string
	told  change.Change
}

// parentOf finds the parent of a part among the other pieces; nil where the
// piece is no part, or tells of it itself.
func parentOf(d change.Diff, p change.PieceDiff) *parent {
	if p.State != change.Split && p.State != change.Joined {
		return nil
	}
	for _, q := range d.Pieces {
		for _, c := range q.Changes {
			switch {
			case q.Piece == p.Piece:
			case p.State == change.Split && c.Kind == change.PieceSplit && slices.Contains(c.Into, p.Piece),
				p.State == change.Joined && c.Kind == change.PieceJoined && slices.Contains(c.Of, p.Piece):
				return &parent{q.Piece, c}
			}
		}
	}
	return nil
}

// title names a piece and what became of it.
func (o *overlay) title() string {
	p := o.diff
	switch {
	case p.Against:
		return p.Piece + " against " + p.Before
	case o.parent != nil && p.State == change.Split:
		return p.Piece + " (split off " + o.parent.piece + ")"
	case o.parent != nil:
		return p.Piece + " (joined to " + o.parent.piece + ")"
	case p.State == change.Split || p.State == change.Joined, p.State == change.Added, p.State == change.Removed:
		return p.Piece + " (" + string(p.State) + ")"
	case p.Before != "":
		return p.Piece + " (was: " + p.Before + ")"
	}
	return p.Piece
}

func fromTo(d change.Diff) string {
	return "from " + versionWords(d.From) + " to " + versionWords(d.To)
}

func overlayRows(s Sheet, d change.Diff, p change.PieceDiff) []string {
	if p.Against {
		rows := []string{s.Pattern, p.Before + ": " + versionWords(d.From), p.Piece + ": " + versionWords(d.To)}
		return append(append(rows, placementRows(p, "laid over "+p.Before+": ", s.Unit)...), s.drawn())
	}
	rows := []string{s.Pattern, "from " + versionWords(d.From), "to " + versionWords(d.To)}
	rows = append(rows, placementRows(p, laidOver, s.Unit)...)
	return append(rows, s.now(), s.Fitting, s.drawn())
}

// laidOver starts the words for how a piece lies over what it was.
const laidOver = "laid over the old outline: "

// placementRows say how the later outline was laid over the earlier one where
// it did not lie there, and how else it could be laid as well.
func placementRows(p change.PieceDiff, laid string, unit units.Unit) []string {
	var rows []string
	if p.Placement != (change.Placement{}) {
		rows = append(rows, laid+placementWords(p.Placement, unit))
	}
	var others []string
	for _, other := range p.OtherPlacements {
		if words := placementWords(other, unit); !slices.Contains(others, words) {
			others = append(others, words)
		}
	}
	if len(others) > 0 {
		rows = append(rows, "would lie as well: "+strings.Join(others, "; or "))
	}
	return rows
}

// placementWords say how a piece is laid. A shift is said where it is all
// there is: after a turn about the sheet's origin it tells nobody anything.
func placementWords(p change.Placement, unit units.Unit) string {
	var words []string
	if p.Mirrored {
		words = append(words, "turned over")
	}
	if turn := units.FormatAngle(geom.Degrees(p.Turn)); turn != "0°" {
		words = append(words, "turned by "+turn)
	}
	if len(words) > 0 {
		return strings.Join(words, ", ")
	}
	for _, way := range []struct {
		by          float64
		ahead, back string
	}{{p.DX, "to the right", "to the left"}, {p.DY, "down", "up"}} {
		word := way.ahead
		if way.by < 0 {
			word = way.back
		}
		if math.Abs(way.by) >= leastAmount {
			words = append(words, "shifted "+amountWords(math.Abs(way.by), unit)+" "+word)
		}
	}
	if len(words) == 0 {
		return "as it lay"
	}
	return strings.Join(words, ", ")
}

// leastAmount is the length in mm below which a figure is nothing: stored
// coordinates are rounded to 0.001 mm.
const leastAmount = 0.005

// amountWords writes a length as the sentences of a diff do.
func amountWords(mm float64, unit units.Unit) string { return change.AmountWords(mm, unit) }

// amount writes the size of a length, signed with a plus before what is
// outward, longer or opening.
func (d *drawing) amount(mm float64) string { return amountWords(math.Abs(mm), d.sheet.Unit) }

func (d *drawing) signed(mm float64) string {
	text := d.amount(mm)
	switch {
	case strings.HasPrefix(text, "0 ") || math.Abs(mm) < leastAmount:
		return text
	case mm < 0:
		return "−" + text
	}
	return "+" + text
}

// changeRows tells the changes one by one, then the figures of the areas.
func (o *overlay) changeRows(unit units.Unit) []paragraph {
	var rows []paragraph
	for i, c := range o.diff.Changes {
		rows = append(rows, paragraph{hang: fmt.Sprint(i + 1), text: c.Says, scale: 1})
	}
	if len(rows) == 0 {
		rows = append(rows, paragraph{text: o.stateWords(), scale: 1})
	}
	for _, e := range o.diff.LengthsUntold() {
		rows = append(rows, paragraph{text: fmt.Sprintf("“%s” is %s long, was %s", e.Edge, unit.Format(e.Length[1]), unit.Format(e.Length[0])), scale: 1})
	}
	if text := o.areaRow(unit); text != "" {
		rows = append(rows, paragraph{text: text, scale: 1})
	}
	return rows
}

// areaRow says what was added and removed, "" where nothing to 0.01 was, and
// of parts how large they are.
func (o *overlay) areaRow(unit units.Unit) string {
	p := o.diff
	if c, ok := o.parting(); ok {
		names := o.partNames(c)
		own, other := areaWords(p.NetArea[1], unit), areaWords(c.PartArea, unit)
		if c.Kind == change.PieceJoined {
			own = areaWords(p.NetArea[0], unit)
		}
		if own == "" || other == "" {
			return ""
		}
		text := "In all: " + names[0] + " " + own + ", " + names[1] + " " + other
		for _, more := range p.Changes {
			if more.Kind == change.PieceSplit && len(more.Into) == 2 && more.Into[1] != c.Into[1] {
				text += ", " + more.Into[1] + " " + areaWords(more.PartArea, unit)
			}
		}
		return text + "."
	}
	var parts []string
	if a := areaWords(p.Added, unit); a != "" {
		parts = append(parts, "added "+a)
	}
	if a := areaWords(p.Removed, unit); a != "" {
		parts = append(parts, "removed "+a)
	}
	if len(parts) == 0 || o.parent != nil {
		return ""
	}
	return "In all: " + strings.Join(parts, ", ") + "."
}

func (o *overlay) stateWords() string {
	switch o.diff.State {
	case change.Added:
		return "The piece is new."
	case change.Removed:
		return "The piece is no longer there."
	case change.Renamed:
		return "The piece has another name."
	case change.Same, "":
		return "Nothing changed."
	}
	if o.parent != nil {
		return o.parent.told.Says
	}
	return "The piece is " + string(o.diff.State) + "."
}

// areaWords writes an area to 0.01 in² for a pattern in inches, else in cm²;
// nothing where that is 0.
func areaWords(mm2 float64, unit units.Unit) string {
	square, name := 100.0, "cm²"
	if unit == units.Inch {
		square, name = 25.4*25.4, "in²"
	}
	text := units.Number(mm2/square, 2)
	if text == "0" {
		return ""
	}
	return text + " " + name
}
