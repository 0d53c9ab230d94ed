package trace

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/match"
)

// steady takes the hand's error out of an outline traced again through noisy
// points: edges that the stored ones explain become these, moved or not. It
// returns nil where it cannot.
func (t *tracing) steady(paths []geom.Path) []run {
	if len(t.points) == 0 || t.noise <= 0 {
		return nil
	}
	points := t.laidPoints()
	if t.cutting() {
		points = t.sewn
	}
	drawn := t.runs(t.o.Ring, t.fixed)
	r := match.Retraced{Old: paths, Hem: t.old.HemEdge(), Down: t.old.GrainDirection(),
		Ring: t.o.Ring, Corners: t.fixed, Points: points, Sigma: t.noise}
	for i, e := range t.old.Edges {
		r.Folds, r.Round = append(r.Folds, e.Fold), append(r.Round, t.old.Corners[i].Round)
	}
	for _, id := range t.identities(drawn, paths) {
		r.Of, r.Parts = append(r.Of, id.Edge), append(r.Parts, id.Part)
	}
	var runs []run
	for _, s := range r.Settle() {
		runs = append(runs, run{path: s.Path, settled: s.Made, round: s.Round, identity: match.Identity{Edge: s.Old, Part: s.Part}})
	}
	t.partsOf(runs, paths)
	return runs
}

// partsOf finds the stored edges that new ones are a part of, whose allowance
// and hem they keep.
func (t *tracing) partsOf(runs []run, paths []geom.Path) {
	if !slices.ContainsFunc(runs, func(u run) bool { return u.identity.Edge < 0 }) {
		return
	}
	for i, id := range t.identities(runs, paths) {
		if u := &runs[i]; u.identity.Edge < 0 && u.identity.Part < 0 {
			u.identity.Part = max(id.Part, id.Edge)
		}
	}
}

// pointsInward takes points drawn along a cutting line to the sewing line: each
// by the allowance of the edge it lies on, square to that. Left out are those
// that have no place there, as beyond the ends of an edge that goes in between
// two others.
func pointsInward(points []geom.Point, cut, sewn []run, noise float64) []geom.Point {
	lines := make([]geom.Path, len(cut))
	var ring geom.Path
	for i, u := range cut {
		lines[i] = u.path
	}
	for _, u := range sewn {
		ring = append(ring, u.path...)
	}
	var out []geom.Point
	for _, q := range points {
		best, place, least := -1, geom.Place{}, math.Inf(1)
		for i, p := range lines {
			if at, d := p.Nearest(q); d < least {
				best, place, least = i, at, d
			}
		}
		if best < 0 {
			continue
		}
		c := lines[best][place.Curve]
		if by := cut[best].allowance; by != nil {
			q = q.Sub(c.Tangent(place.T).Left().Mul(*by))
		}
		if _, d := ring.Nearest(q); d <= 5*noise {
			out = append(out, q)
		}
	}
	return out
}

// laidPoints are the points drawn, laid over the stored piece.
func (t *tracing) laidPoints() []geom.Point {
	m := t.res.Pose.Motion
	out := make([]geom.Point, len(t.points))
	for i, q := range t.points {
		out[i] = m.Apply(q)
	}
	if m.Mirror {
		slices.Reverse(out)
	}
	return out
}
