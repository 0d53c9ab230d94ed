package explain

import (
	"slices"

	"toile/geom"
	"toile/pattern/change"
)

// Outline is a closed outline as its edges, clockwise, every corner sharp.
type Outline struct {
	Edges []geom.Path
	Hem   int        // the edge that is the hem; −1 without one
	Down  geom.Point // unit vector along the grain, down the garment
}

// ring joins the edges, with the edge of each curve.
func (o Outline) ring() (geom.Ring, []int) {
	var r geom.Ring
	var edge []int
	for i, p := range o.Edges {
		r = append(r, p...)
		for range p {
			edge = append(edge, i)
		}
	}
	return r, edge
}

// Tolerance says what counts as the same, in mm.
type Tolerance struct {
	Same float64 // within this two stored outlines are the same
	Kept float64 // within this an edge was kept where others changed; no less than Same

	// Opened is how wide at least an opening is that is told with other changes
	// besides: an unsteady hand makes narrow ones of edges that were redrawn.
	Opened float64
}

// moved is how far in mm an edge may lie from where a motion would put it:
// rounding to 0.001 mm at both ends of it and of its neighbours, and offset
// curves that are themselves within 0.01 mm.
func (t Tolerance) moved() float64 { return max(0.03, t.Same) }

// Edge is what became of an edge. Signs and frames are those of change.Change,
// angles in radians.
type Edge struct {
	Old      int         // index of the old edge; −1 for one that is new
	New      []int       // the new edges that continue it, in order; none: it is gone
	Into     int         // of one that is gone: the old edge it is now part of; −1 for none
	From, To geom.Path   // before and after
	Kind     change.Kind // empty when the edge was kept; else moved, swung or redrawn
	How      string      // shifted, parallel or tapered
	By       float64     // mm
	Ends     [2]float64  // mm, of a taper
	Pivot    geom.Point  // of a swing, as is Turn
	Turn     float64
	Far      int        // the end, 0 or 1, that a swing moves
	Area     float64    // mm² that a swing added, or removed: negative
	Blend    float64    // mm: length of the curve that smooths the bend at the pivot of a swing
	At       geom.Point // the far end of a swing; of an edge redrawn the place that moved most
	Fit      float64    // mm: greatest distance from what is explained to what is there
	Runs     [2]Run     // what each end lost or gained along the edge

	Of     int  // of one that is new: the old edge it was cut out of, counted from 1; 0 for none
	cutOut bool // of one that is new: its cost is that of another it was cut out with

	Taper *change.Taper // of one redrawn or swung: as which taper of a part it is told; nil for none

	steep bool // of a taper: steeper than most
	whole bool // of one redrawn: it kept its shape and only lies elsewhere

	led *Edge // of a swing that may as well be the same line, led on at an end
}

// Changed reports whether the edge's own line changed.
func (e *Edge) Changed() bool { return e.Kind != "" }

// Run is what an end of an edge lost (negative) or gained, in mm.
type Run struct {
	By   float64
	How  string  // along, eased or drawn; empty when the end stayed
	Lost float64 // what was cut off before anything was led on
}

// Explanation is what was done to a whole outline.
type Explanation struct {
	Edges   []Edge // every old edge in order, then those that are new
	Spreads []Spread
	Rounded []Rounded // corners rounded off by a drawn curve
}

// What a change costs. The explanation that costs least is the one told:
// whatever is explained by one motion beats two, and a line that nothing
// simple explains costs as much as two motions.
const (
	costMoved   = 1.0
	costTaper   = 1.1 // a taper has one more figure than a parallel move
	costSteep   = 1.5 // a steep taper
	costPart    = 1.3 // a taper of a part of an edge, with the place where it starts
	costWhole   = 1.3 // an edge that kept its shape, as where a part of the piece moved
	costRedrawn = 2.0
	costGone    = 1.5 // an edge that is gone, or new
	// An edge out of which others were cut costs as one that was redrawn.
	costRun   = 0.3 // an end that ran on although nothing moved there
	costDrawn = 0.6 // an end drawn on in a way of its own
)

// Cost adds up what the explanation needs.
func (x *Explanation) Cost() float64 {
	sum := costMoved * float64(len(x.Rounded))
	for k := range x.Spreads {
		sum += x.Spreads[k].cost(x.old()) + costRedrawn*float64(x.Spreads[k].drawn())
	}
	spread := x.Spread()
	for i := range x.Edges {
		if e := &x.Edges[i]; !spread[i] {
			sum += e.cost() + costRun*float64(x.uncaused(i))
		}
	}
	return sum
}

// OnlyDepartures tells edges that moved by less than so many mm by how far they
// lie off at most, and nothing of how: that is too small to be meant.
func (x *Explanation) OnlyDepartures(least float64) {
	for i := range x.Edges {
		e := &x.Edges[i]
		if e.Old >= 0 && len(e.New) > 0 && e.Changed() && max(e.By, -e.By) < least {
			e.How, e.Ends, e.Turn, e.Runs = "", [2]float64{}, 0, [2]Run{}
			e.redrawn()
		}
		for end, r := range e.Runs {
			if max(r.By, -r.By) < least {
				e.Runs[end] = Run{}
			}
		}
	}
}

// Unexplained counts the edges that were redrawn, are gone or new.
func (x *Explanation) Unexplained() int {
	n := 0
	for k := range x.Spreads {
		n += x.Spreads[k].drawn()
	}
	for i := range x.Edges {
		if e := &x.Edges[i]; e.Old < 0 || (len(e.New) == 0 && e.Into < 0) || e.Kind == change.EdgeRedrawn && e.Taper == nil {
			n++
		}
	}
	return n
}

func (e *Edge) cost() float64 {
	switch {
	case e.Into >= 0 || e.cutOut:
		return 0
	case e.Old < 0 || len(e.New) == 0:
		return costGone
	case e.Kind == "":
		return costDrawn * float64(e.drawn())
	case e.Kind == change.EdgeRedrawn && e.Taper != nil:
		return costPart
	case e.Kind == change.EdgeRedrawn && e.whole:
		return costWhole
	case e.Kind == change.EdgeRedrawn:
		return costRedrawn
	case e.How == change.HowTapered && e.steep:
		return costSteep
	case e.How == change.HowTapered:
		return costTaper
	}
	return costMoved
}

// drawn counts the ends that were drawn on.
func (e *Edge) drawn() int {
	n := 0
	for _, r := range e.Runs {
		if r.How == change.HowDrawn {
			n++
		}
	}
	return n
}

// leastRun is the change of length in mm below which an end has not moved:
// stored coordinates are rounded to 0.001 mm.
const leastRun = 0.005

// uncaused counts the ends of an edge that ran on or were cut although the
// neighbour there did not change.
func (x *Explanation) uncaused(i int) int {
	n := 0
	for end, r := range x.Edges[i].Runs {
		if (r.By > leastRun || r.By < -leastRun) && x.Cause(i, end) < 0 {
			n++
		}
	}
	return n
}

// Cause returns the index in Edges of the neighbour whose change moved an end
// of edge i; −1 when the neighbours are as they were.
func (x *Explanation) Cause(i, end int) int {
	e := &x.Edges[i]
	if e.Old < 0 {
		return -1
	}
	n := x.old()
	next := (e.Old + n - 1 + 2*end) % n
	if near := &x.Edges[next]; near.Changed() || (len(near.New) == 0 && near.Into < 0) {
		return next
	}
	if len(e.New) == 0 {
		return -1
	}
	count := 0
	for k := range x.Edges {
		for _, j := range x.Edges[k].New {
			count = max(count, j+1)
		}
	}
	j := e.New[0] - 1
	if end == 1 {
		j = e.New[len(e.New)-1] + 1
	}
	j = (j + count) % count
	for k := n; k < len(x.Edges); k++ {
		if x.Edges[k].New[0] == j {
			return k
		}
	}
	return -1
}

// Explain says how the old outline became the new one. hint names for each
// new edge the old one whose id it bears, −1 for none; it decides only what
// the shapes leave open.
func Explain(old, now Outline, hint []int, tol Tolerance) *Explanation {
	return explain(old, now, hint, tol, deepest)
}

// explain is Explain where up to so many openings may come before the rest.
func explain(old, now Outline, hint []int, tol Tolerance, depth int) *Explanation {
	x := explainPlain(old, now, hint, tol)
	if depth > 0 && x.Cost() > worthOpening {
		return openedBesides(old, now, hint, tol, x, depth)
	}
	return x
}

// explainPlain explains without an opening before other changes.
func explainPlain(old, now Outline, hint []int, tol Tolerance) *Explanation {
	e := &explainer{old: old, now: now, hint: hint, tol: tol}
	rounded := e.sharpen()
	x := e.edges()
	e.absorb(x)
	e.settleSwings(x)
	e.settleTapersFrom(x)
	e.settleTapers(x)
	e.settleEased(x)
	e.grouped(x)
	e.wedges(x)
	x.Rounded = rounded
	e.cutOut(x)
	for i := range x.Edges {
		x.Edges[i].New = e.partsOf(x.Edges[i].New)
	}
	return x
}

// partsOf turns the edges of the sharpened outline to those of the new one.
func (e *explainer) partsOf(virtual []int) []int {
	var parts []int
	for _, v := range virtual {
		if j := e.part[v]; !slices.Contains(parts, j) {
			parts = append(parts, j)
		}
	}
	return parts
}

// explainer is an explanation under way.
type explainer struct {
	old, now Outline
	hint     []int
	tol      Tolerance
	pairings map[[3]int]Edge // by old edge, first new one and their count
	part     []int           // for each edge of now, once sharpened, the new edge it is part of
}
