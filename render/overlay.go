package render

import (
	"fmt"
	"io"
	"strings"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// Overlay draws what changed in one piece: the new outline over the old, what
// was added and removed, arrows and dimensions, and the changes in words. The
// coordinates are those of FROM's sheet in mm. Nothing is written when it
// fails: when both outlines are missing, one cannot be computed, or a figure
// is no number.
func Overlay(w io.Writer, s Sheet, d change.Diff, p change.PieceDiff) error {
	old, new, err := shapes(p)
	if err != nil {
		return err
	}
	box := overlayBox(p, old, new, s.Notes)
	if err := boxFits(p.Piece, box); err != nil {
		return err
	}
	page := newPage(box)
	draw := newDrawing(s, page.text)
	draw.overlay(p, old, new)
	draw.changes(p, old, new)
	draw.pins(s.Notes)
	missed := draw.setLabels(page.drawing)

	blocks := []block{
		draw.titleBlock(page.width, pieceTitle(p), overlayRows(s, d)),
		draw.textBlock("changes", "What changed", page.width, changeRows(p, s.Unit)),
		draw.notesBlock(page.width, s.Notes),
		draw.missedBlock(page.width, missed),
		draw.legendBlock(page.width),
		draw.scaleBlock(page.width, s.Unit),
	}
	sheet := page.set(blocks)
	return draw.finish(w, sheet, s.Pattern+": "+p.Piece, pieceTitle(p)+", "+fromTo(d))
}

func newDrawing(s Sheet, text float64) *drawing {
	return &drawing{canvas: newCanvas(), pen: newPen(text), sheet: s, legend: &legend{}}
}

// shapes computes both outlines of a piece; one may be missing.
func shapes(p change.PieceDiff) (old, new *shape, err error) {
	if old, err = newShape(p.Old); err != nil {
		return nil, nil, err
	}
	if new, err = newShape(p.New); err != nil {
		return nil, nil, err
	}
	if old == nil && new == nil {
		return nil, nil, fmt.Errorf("%s: there is no outline to draw, neither before nor after", p.Piece)
	}
	return old, new, nil
}

// overlayBox bounds everything an overlay draws.
func overlayBox(p change.PieceDiff, old, new *shape, notes []PinnedNote) geom.Box {
	b := geom.EmptyBox()
	for _, s := range []*shape{old, new} {
		if s != nil {
			b = b.Union(s.box())
		}
	}
	for _, n := range notes {
		b = b.Extend(n.At)
	}
	for _, c := range p.Changes {
		if c.Pivot != nil {
			b = b.Extend(c.Pivot.Point())
		}
		if c.At != nil {
			b = b.Extend(c.At.Point())
		}
	}
	return b
}

// overlay draws regions, outlines, notches, marks and grain; what moved or
// went is left to the changes.
func (d *drawing) overlay(p change.PieceDiff, old, new *shape) {
	d.regions(p, old, new)
	if old != nil {
		d.outlinePath("old", old.outline.Ring, true, d.chainLine())
		d.legend.use(legendOld)
	}
	if new != nil {
		d.outlinePath("new", new.outline.Ring, true, d.wideLine())
		d.legend.use(legendNew)
		d.notches(new, nil)
		d.marks(new, nil)
		if new.piece.Grain != nil {
			d.grain(new.piece.Grain, false)
		}
	}
	if d.brief {
		return
	}
	if old != nil && new != nil {
		d.sayWas(old, new)
	}
	if new == nil {
		at, along := outlinePlace(old.outline.Ring)
		d.sayAlong("was", at, along, along.Left(), 0.3*d.pen.text, 3)
	}
}

// wasMost is the number of stretches of the old outline that are labelled.
const wasMost = 4

// sayWas labels the old outline where it lies apart from the new one, once for
// each such stretch, the longest first.
func (d *drawing) sayWas(old, new *shape) {
	apart := 0.6 * d.pen.text
	for _, s := range stretchesApart(old.outline.Ring, new.outline.Ring, apart, wasMost) {
		d.sayAlong("was", s.a, s.b, s.b.Left(), 0.3*d.pen.text, 3)
	}
}

// stretchesApart returns the place and direction amid each stretch of ring a
// that lies further than apart from ring b: the longest, at most so many.
// Method: places at even steps of the parameter, 12 a curve.
func stretchesApart(a, b geom.Ring, apart float64, most int) []segment {
	type run struct {
		at, along []geom.Point
		length    float64
	}
	const steps = 12
	var runs []run
	open := false
	for _, c := range a {
		for k := 0; k < steps; k++ {
			t := (float64(k) + 0.5) / steps
			q := c.At(t)
			if _, far := geom.Path(b).Nearest(q); far <= apart {
				open = false
				continue
			}
			if !open {
				runs = append(runs, run{})
				open = true
			}
			r := &runs[len(runs)-1]
			r.at, r.along = append(r.at, q), append(r.along, c.Tangent(t))
			r.length += c.P0.Dist(c.P3) / steps
		}
	}
	var out []segment
	for len(out) < most {
		best := -1
		for i := range runs {
			if runs[i].length > 0 && (best < 0 || runs[i].length > runs[best].length) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		m := len(runs[best].at) / 2
		out = append(out, segment{runs[best].at[m], runs[best].along[m]})
		runs[best].length = 0
	}
	return out
}

// outlinePlace is the middle of the longest curve of an outline.
func outlinePlace(ring geom.Ring) (at, along geom.Point) {
	longest := -1.0
	for _, c := range ring {
		if l := c.P0.Dist(c.P3); l > longest {
			longest, at, along = l, c.At(0.5), c.Tangent(0.5)
		}
	}
	return at, along
}

// pieceTitle names a piece and what became of it.
func pieceTitle(p change.PieceDiff) string {
	switch {
	case p.State == change.Renamed && p.Before != "":
		return p.Piece + " (was: " + p.Before + ")"
	case p.State == change.Added:
		return p.Piece + " (added)"
	case p.State == change.Removed:
		return p.Piece + " (removed)"
	}
	return p.Piece
}

func fromTo(d change.Diff) string {
	return "from " + versionWords(d.From) + " to " + versionWords(d.To)
}

func overlayRows(s Sheet, d change.Diff) []string {
	rows := []string{s.Pattern, "from " + versionWords(d.From), "to " + versionWords(d.To)}
	return append(rows, s.now(), s.Fitting, s.drawn())
}

// changeRows tells the changes one by one, then the figures of the areas.
func changeRows(p change.PieceDiff, unit units.Unit) []paragraph {
	var rows []paragraph
	for i, c := range p.Changes {
		rows = append(rows, paragraph{hang: fmt.Sprint(i + 1), text: c.Says, scale: 1})
	}
	if len(rows) == 0 {
		rows = append(rows, paragraph{text: stateWords(p), scale: 1})
	}
	if text := areaRow(p, unit); text != "" {
		rows = append(rows, paragraph{text: text, scale: 1})
	}
	return rows
}

// areaRow says what was added and removed, ” where nothing to 0.01 was.
func areaRow(p change.PieceDiff, unit units.Unit) string {
	var parts []string
	if a := areaWords(p.Added, unit); a != "" {
		parts = append(parts, "added "+a)
	}
	if a := areaWords(p.Removed, unit); a != "" {
		parts = append(parts, "removed "+a)
	}
	if len(parts) == 0 {
		return ""
	}
	return "In all: " + strings.Join(parts, ", ") + "."
}

func stateWords(p change.PieceDiff) string {
	switch p.State {
	case change.Added:
		return "The piece is new."
	case change.Removed:
		return "The piece is no longer there."
	case change.Renamed:
		return "The piece has another name."
	case change.Same, "":
		return "Nothing changed."
	}
	return "The piece is " + string(p.State) + "."
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
