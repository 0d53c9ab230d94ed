package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// retold is an edge that a spread's line crosses as the spread tells it: kept
// from the corner that stayed up to the cut, moved with the part beyond it, and
// one plain line or smooth curve between the two.
type retold struct {
	fit  float64 // mm: greatest distance between it and the new edge
	at   geom.Point
	ends float64 // mm: greatest distance of the new edge's ends from those told
	run  Run     // what the end at the corner that stayed lost or gained
}

// retell holds an edge p that a spread's line crosses, from the corner that
// stayed to the one that moved, against the new edge q over its whole length.
func (e *explainer) retell(m geom.Motion, p, q geom.Path) retold {
	moved := p.Moved(m)
	kept, okKept := shares(p, q, e.tol.Kept)
	gone, okGone := shares(moved, q, e.tol.moved())
	var r retold
	var told geom.Path
	if okKept {
		head, from := e.retoldHead(p, q, kept, &r)
		told = append(append(told, head...), p.BetweenLengths(from, kept.p1)...)
	}
	if okGone {
		told = append(told, moved.BetweenLengths(gone.p0, moved.Length())...)
	}
	r.fit, r.ends = math.Inf(1), q.End().Dist(moved.End())
	start := p.Start()
	if len(told) > 0 {
		start = told.Start()
	}
	r.ends = max(r.ends, q.Start().Dist(start))
	for _, b := range e.bridges(p, moved, q, okKept, okGone, kept, gone) {
		whole := append(append(geom.Path{}, told...), b...)
		if len(whole) == 0 {
			continue // an edge too short to have lain anywhere
		}
		far, at := Farthest(q, whole)
		if back, there := Farthest(whole, q); back > far {
			far, at = back, there
		}
		if far < r.fit {
			r.fit, r.at = far, at
		}
		if r.fit <= e.tol.moved() {
			break
		}
	}
	return r
}

// retoldHead settles the end at the corner that stayed, where the neighbour may
// have changed too: cut, run on along the edge's own line, or eased on. It
// returns what was led on, and from which length the edge itself is there.
func (e *explainer) retoldHead(p, q geom.Path, kept common, r *retold) (head geom.Path, from float64) {
	gap := 10 * e.tol.Kept
	switch {
	case kept.q0 <= gap && kept.p0 <= gap:
		return nil, 0
	case kept.q0 <= gap:
		r.run = Run{By: -kept.p0, How: change.HowAlong, Lost: kept.p0}
		return nil, kept.p0
	}
	tail := q.BetweenLengths(0, kept.q0)
	how := howRun(p, tail, 0, e.tol.Kept)
	if how == change.HowDrawn || (how == change.HowAlong && kept.p0 > gap) {
		return nil, 0
	}
	r.run = Run{By: kept.q0 - kept.p0, How: how, Lost: kept.p0}
	return tail, kept.p0
}

// bridgeBack is how far in mm before a bridge is seen to leave the old line it
// may have begun: a curve that leaves smoothly lies on it for a while.
const bridgeBack = 80

// bridges lists the plain lines and smooth curves that may lead over the cut:
// between the places where the new edge leaves the old one and reaches the
// moved one, or between its nodes just before and behind them. The empty one is
// that of parts that meet or overlap, as where the line passes through a corner
// and the whole edge moved, or the whole of it stayed.
func (e *explainer) bridges(p, moved, q geom.Path, okKept, okGone bool, kept, gone common) []geom.Path {
	length := q.Length()
	from, to := []float64{0}, []float64{length}
	if okKept {
		from = append(nodesWithin(q, kept.q1-bridgeBack, kept.q1), kept.q1)
	}
	if okGone {
		to = append(nodesWithin(q, gone.q0, gone.q0+bridgeBack), gone.q0)
	}
	var all []geom.Path
	if from[len(from)-1] >= to[len(to)-1]-10*e.tol.Kept {
		all = append(all, nil)
	}
	for _, a := range from {
		for _, b := range to {
			if b-a < leastRun {
				continue
			}
			start, dir := onOld(p, q.PointAt(a), 0, okKept)
			end, arrive := onOld(moved, q.PointAt(b), 1, okGone)
			all = append(all, geom.Path{geom.Line(start, end)}, geom.Path{geom.Eased(start, dir, end, arrive)})
		}
	}
	return all
}

// onOld is the place of an old edge nearest to one of the new edge, and the
// direction there; where the two share nothing, the edge's own end.
func onOld(p geom.Path, near geom.Point, end int, shared bool) (geom.Point, geom.Point) {
	switch {
	case shared:
		at, _ := p.Nearest(near)
		return p.At(at), p[at.Curve].Tangent(at.T)
	case end == 0:
		return p.Start(), p.StartTangent()
	}
	return p.End(), p.EndTangent()
}

// nodesWithin lists the lengths along a path, between two, at which its curves
// join.
func nodesWithin(p geom.Path, lo, hi float64) []float64 {
	var at []float64
	sum := 0.0
	for k := 0; k < len(p); k++ {
		if sum >= lo && sum <= hi {
			at = append(at, sum)
		}
		sum += p[k].Length()
	}
	if sum >= lo && sum <= hi {
		at = append(at, sum)
	}
	return at
}
