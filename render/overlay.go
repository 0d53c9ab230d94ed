package render

import (
	"fmt"
	"io"
	"sort"

	"toile/geom"
	"toile/pattern/change"
)

// overlay is a piece before and after, and the drawing of what changed in it.
type overlay struct {
	*drawing
	diff     change.PieceDiff
	old, new *shape // nil where the piece is not there
	parent   *parent
}

// Overlay draws what changed in one piece: the new outline over the old, what
// was added and removed, arrows and dimensions, and the changes in words. The
// coordinates are those of FROM's sheet in mm. Nothing is written when it
// fails: when both outlines are missing, one cannot be computed, or a figure
// is no number.
func Overlay(w io.Writer, s Sheet, d change.Diff, p change.PieceDiff) error {
	o, err := overlaid(d, p)
	if err != nil {
		return err
	}
	box := o.box()
	for _, n := range s.Notes {
		box = box.Extend(n.At)
	}
	if err := boxFits(p.Piece, box); err != nil {
		return err
	}
	page := newPage(box)
	o.drawing = newDrawing(s, page.text)
	heading, name, about := "What changed", p.Piece, o.title()+", "+fromTo(d)
	if p.Against {
		o.names = [2]string{p.Before, p.Piece}
		heading, name, about = "What is different", o.title(), againstWords(d, p)
	}
	o.outlines()
	o.changes()
	o.pins(s.Notes)
	missed := o.setLabels(page.drawing)
	sheet := page.set([]block{
		o.titleBlock(page.width, o.title(), overlayRows(s, d, p)),
		o.textBlock("changes", heading, page.width, o.changeRows(s.Unit)),
		o.notesBlock(page.width, s.Notes),
		o.missedBlock(page.width, missed),
		o.legendBlock(page.width),
		o.scaleBlock(page.width, s.Unit),
	})
	return o.finish(w, sheet, s.Pattern+": "+name, about)
}

func newDrawing(s Sheet, text float64) *drawing {
	return &drawing{canvas: newCanvas(), pen: newPen(text), sheet: s, legend: &legend{}}
}

// overlaid computes both outlines of a piece; one may be missing. The drawing
// is not there yet: it needs to know how large all of this is.
func overlaid(d change.Diff, p change.PieceDiff) (*overlay, error) {
	o := &overlay{diff: p, parent: parentOf(d, p)}
	var err error
	if o.old, err = newShape(p.Old); err != nil {
		return nil, err
	}
	if o.new, err = newShape(p.New); err != nil {
		return nil, err
	}
	if o.old == nil && o.new == nil {
		return nil, fmt.Errorf("%s: there is no outline to draw, neither before nor after", p.Piece)
	}
	return o, nil
}

// box bounds everything an overlay draws but what belongs to the letters.
func (o *overlay) box() geom.Box {
	b := geom.EmptyBox()
	for _, s := range []*shape{o.old, o.new} {
		if s != nil {
			b = b.Union(s.box())
		}
	}
	for _, c := range o.diff.Changes {
		b = b.Union(o.changeBox(c))
	}
	return b
}

// outlines draws regions, outlines, notches, marks and grain; what moved or
// went is left to the changes.
func (o *overlay) outlines() {
	o.regions()
	o.beneath()
	if o.old != nil {
		o.outlinePath("old", o.old.outline.Ring, true, o.chainLine())
	}
	if o.new != nil {
		o.outlinePath("new", o.new.outline.Ring, true, o.wideLine())
		o.legend.use(legendNew)
		o.notches(o.new, nil)
		o.marks(o.new, nil)
		if o.new.piece.Grain != nil {
			o.grain(within(o.new.piece.Grain, o.new.outline.Ring), false)
		}
	}
	o.otherPart()
	if o.old != nil {
		o.sayWas()
	}
}

// wasMost is the number of stretches of the old outline that are labelled.
const wasMost = 4

// sayWas labels the old outline where it lies apart from the new one, once for
// each such stretch, the longest first. An old outline that the new one covers
// needs no line in the legend.
func (o *overlay) sayWas() {
	if o.new == nil {
		at, along := outlinePlace(o.old.outline.Ring)
		o.sayOld(at, along)
		return
	}
	if o.parted() {
		return // the parts bear their names
	}
	seen := stretchesApart(o.old.outline.Ring, o.new.outline.Ring, o.pen.wide, 1)
	if len(seen) > 0 {
		o.legend.use(legendOld)
	}
	for _, s := range stretchesApart(o.old.outline.Ring, o.new.outline.Ring, 0.6*o.pen.text, wasMost) {
		o.sayOld(s.a, s.b)
	}
}

// sayOld labels the old outline at a place, unless figures stand in the words
// beside.
func (o *overlay) sayOld(at, along geom.Point) {
	o.legend.use(legendOld)
	if !o.brief {
		o.sayAlong(o.oldLabel(), at, along, along.Left(), 0.3*o.pen.text, 3)
	}
}

// apartRun is a stretch of an outline that lies apart from another: places on
// it, the directions there, and its length in mm, about.
type apartRun struct {
	at, along []geom.Point
	length    float64
}

// stretchesApart returns the place and direction amid each stretch of ring a
// that lies further than apart from ring b: the longest, at most so many.
func stretchesApart(a, b geom.Ring, apart float64, most int) []segment {
	runs := runsApart(a, b, apart)
	sort.SliceStable(runs, func(i, j int) bool { return runs[i].length > runs[j].length })
	var out []segment
	for _, r := range runs {
		if len(out) == most || r.length <= 0 {
			break
		}
		m := len(r.at) / 2
		out = append(out, segment{r.at[m], r.along[m]})
	}
	return out
}

// runsApart finds the stretches. Method: places at even steps of the
// parameter, 12 a curve.
func runsApart(a, b geom.Ring, apart float64) []apartRun {
	const steps = 12
	var runs []apartRun
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
				runs = append(runs, apartRun{})
				open = true
			}
			r := &runs[len(runs)-1]
			r.at, r.along = append(r.at, q), append(r.along, c.Tangent(t))
			r.length += c.P0.Dist(c.P3) / steps
		}
	}
	return runs
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
