package trace

import (
	"math"

	"toile/geom"
	"toile/pattern/match"
)

const (
	// simpler is the cost by which a pose has to be simpler to be taken in place
	// of one that explains more of the outline: less than one change.
	simpler = 0.2

	// clearlyBest: where so much of the outline coincides nothing else is tried.
	clearlyBest = 0.7
)

// simplest makes a piece in each of the poses that may have been meant, and
// returns the one that says most simply what was done to the stored piece,
// where that is clearly simpler than in the best pose. An exact drawing of a
// piece of which most edges moved lies best on edges that did not stay.
func (t *tracing) simplest(again func(match.Pose) (*tracing, error)) *tracing {
	if t.r.Cost == nil || t.before == nil || t.noise > 0 || t.cutting() || t.res.Pose.Motion.Identity() || t.res.Pose.Matched >= clearlyBest {
		return t
	}
	best, least := t, t.r.Cost(t.before, t.piece)-simpler
	for _, p := range append(t.byEdges(), t.res.Alternatives...) {
		u, err := again(p)
		if err != nil {
			continue
		}
		if cost := t.r.Cost(u.before, u.piece); cost < least {
			best, least = u, cost
		}
	}
	if best != t {
		best.says("the drawing is laid so that the fewest changes explain it; more of the outline would coincide otherwise")
		best.tellOthers(append([]match.Pose{t.res.Pose}, t.res.Alternatives...))
	}
	return best
}

// byEdges lists the poses in which an edge that lies elsewhere now, and that a
// straight one or an arc is not, lies where it did.
func (t *tracing) byEdges() (poses []match.Pose) {
	for j, e := range t.piece.Edges {
		i := t.before.EdgeByID(e.ID)
		if i < 0 {
			continue
		}
		m, ok := match.LayEdge(t.before.EdgePath(i), t.piece.EdgePath(j), t.tol)
		if !ok || m.Shift.Len() < byEye {
			continue
		}
		if pose, err := match.Measure(t.laidOn, t.unlaid, t.res.Pose.Motion.Then(m), t.tol); err == nil {
			poses = append(poses, pose)
		}
	}
	return poses
}

// tellOthers tells of the poses that explain more of the outline as the
// alternatives.
func (t *tracing) tellOthers(poses []match.Pose) {
	t.res.Alternatives = nil
	for _, p := range poses {
		if far := mostApart(p.Motion, t.res.Pose.Motion, t.unlaid); far > byEye {
			t.res.Alternatives = append(t.res.Alternatives, p)
		}
	}
}

// mostApart is how far in mm two motions lay a place of the outline from each
// other at most.
func mostApart(m, n geom.Motion, r geom.Ring) float64 {
	far := 0.0
	for _, c := range r {
		far = math.Max(far, m.Apply(c.P0).Dist(n.Apply(c.P0)))
	}
	return far
}
