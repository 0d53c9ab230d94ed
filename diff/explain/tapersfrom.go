package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// taperedFrom looks for a taper of a part of the edge: where the new line leaves the
// old one it lies off it by a distance that is linear in the edge's length. The edge
// stays one that was redrawn, with the figures of the taper.
func (e *explainer) taperedFrom(x *Edge) {
	if t, ok := e.taperTowards(x.From, x.To); ok {
		t.Far, x.Taper = 1, &t
		return
	}
	if t, ok := e.taperTowards(x.From.Reverse(), x.To.Reverse()); ok {
		t.By = -t.By
		x.Taper = &t
	}
}

// taperTowards looks for a taper that is widest at the end of p. Outward counts to the
// left of p.
func (e *explainer) taperTowards(p, q geom.Path) (change.Taper, bool) {
	pAt, qAt, near, ok := e.leaves(p, q)
	if _, led := e.ledNear(p, q, near); !ok || !led || pAt < leastHeld || p.Length()-pAt < leastHeld || q.Length()-qAt < leastHeld {
		return change.Taper{}, false
	}
	arm := p.BetweenLengths(pAt, p.Length())
	r := profileOf(arm, q.BetweenLengths(qAt, q.Length()))
	out, slope, fit := r.line(0, len(r.out), false)
	by := out + slope*arm.Length()
	if fit > e.tol.moved() || math.Abs(out) > e.tol.moved() || math.Abs(by) < leastTapered || math.Abs(slope) > steepestFromNothing {
		return change.Taper{}, false
	}
	return change.Taper{By: by, Start: pAt - out/slope}, true // it leaves the line a little before that shows
}

const (
	// leastHeld in mm: less than this before the place, and it is a taper from the
	// edge's end; less beyond it, and it is no taper.
	leastHeld = 5

	// leastTapered in mm: less than this is no taper of a part but an edge that was
	// drawn a little otherwise.
	leastTapered = 0.5
)

// settleTapersFrom looks for the taper from a place that an edge may as well be that is
// told as swung about it, but was then led on though nothing moved at that end: a swing
// ends there, and what it met is eased on to it. It stays one that was swung, with the
// figures of the taper. A hem is not let out, and has none.
func (e *explainer) settleTapersFrom(x *Explanation) {
	for i := range e.old.Edges {
		s := &x.Edges[i]
		if i == e.old.Hem || s.Kind != change.EdgeSwung || math.Abs(s.Runs[s.Far].By) <= leastRun || x.Cause(i, s.Far) >= 0 {
			continue
		}
		n := len(e.old.Edges)
		if next := &x.Edges[(i+n-1+2*s.Far)%n]; next.Kind != "" || next.Runs[1-s.Far].How == change.HowEased {
			continue // that was led on to it
		}
		if e.taperedFrom(s); s.Taper != nil && s.Taper.Far != s.Far {
			s.Taper = nil
		}
	}
}
