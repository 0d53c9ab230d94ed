package render

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// sewMargin is how much in mm is printed beyond a sewing line that moved.
const sewMargin = 5.0

// sewn is a place on the new sewing line that lies off the old one, the place
// of the cutting line square to it, and the edge, counted from 0.
type sewn struct {
	at, cut geom.Point
	edge    int
}

// sewnElsewhere lists places along the sewing line, where it lies elsewhere than
// on the paper that is there, at most rimStep apart. A piece without allowances
// has no sewing line beside its cutting line.
func (w patchwork) sewnElsewhere() ([]sewn, error) {
	sh := &shape{piece: w.diff.New}
	if !sh.allows(w.print.set) {
		return nil, nil
	}
	old, err := w.diff.Old.Outline()
	if err != nil {
		return nil, err
	}
	now, err := w.diff.New.Outline()
	if err != nil {
		return nil, err
	}
	lie, err := geom.Compare(old.Ring, now.Ring, w.within)
	if err != nil {
		return nil, err
	}
	var out []sewn
	for _, r := range append(slices.Clone(lie.Added), lie.Removed...) {
		if r.Width >= leastStrip {
			out = append(out, w.alongSewing(r, now)...)
		}
	}
	return out, nil
}

// alongSewing lists places along those boundary curves of a region that are of
// the new outline, but for those near the old one.
func (w patchwork) alongSewing(r geom.Region, now pattern.Outline) []sewn {
	var out []sewn
	var old geom.Path
	for i, ring := range r.Rings {
		for k, c := range ring {
			if !r.Sides[i][k].OfB {
				old = append(old, c)
			}
		}
	}
	for i, ring := range r.Rings {
		for k, c := range ring {
			side := r.Sides[i][k]
			if !side.OfB || side.Curve < 0 {
				continue
			}
			outward := 1.0
			if now.Ring.Holds(c.At(0.5).Add(c.Tangent(0.5).Left().Mul(leastStrip))) {
				outward = -1
			}
			edge := now.Edge[side.Curve]
			by := outward * w.diff.New.Edges[edge].AllowanceFor(w.print.set)
			for _, t := range evenly(c.Length(), sewMargin) {
				at := c.At(t)
				if last := len(out) - 1; last >= 0 && t < 1 && out[last].edge == edge && out[last].at.Dist(at) < sewMargin/2 {
					continue // many short curves
				}
				if _, off := old.Nearest(at); len(old) == 0 || off > sameOnPaper {
					out = append(out, sewn{at: at, cut: at.Add(c.Tangent(t).Left().Mul(by)), edge: edge})
				}
			}
		}
	}
	return out
}

// evenly are parameters from 0 to 1, so many that steps of a length are no longer
// than step.
func evenly(length, step float64) []float64 {
	steps := max(1, int(math.Ceil(length/step)))
	out := make([]float64, steps+1)
	for k := range out {
		out[k] = float64(k) / float64(steps)
	}
	return out
}

// withSewing makes every new place of the sewing line lie on a strip: those
// strips that have the cutting line beside it reach in as far as it, and where
// the cutting line stays each edge gets a strip of its own.
func (w patchwork) withSewing(patches []patch) ([]patch, error) {
	all, err := w.sewnElsewhere()
	if err != nil {
		return nil, err
	}
	held := func(s sewn) bool {
		return slices.ContainsFunc(patches, func(p patch) bool { return p.frame.Holds(s.at) })
	}
	reach := map[int][]geom.Point{}
	for _, s := range all {
		if i := slices.IndexFunc(patches, func(p patch) bool { return p.frame.Holds(s.cut) }); i >= 0 && !held(s) {
			reach[i] = append(reach[i], s.at)
		}
	}
	for i := range patches {
		if points := reach[i]; points != nil {
			patches[i] = w.reaching(patches[i], points)
		}
	}
	free := make([][]sewn, len(w.diff.New.Edges))
	for _, s := range all {
		if !held(s) {
			free[s.edge] = append(free[s.edge], s)
		}
	}
	slices.SortStableFunc(free, func(a, b []sewn) int { return len(b) - len(a) })
	for _, stretch := range free {
		if len(stretch) > 0 {
			patches = w.withStretch(patches, stretch)
		}
	}
	return patches, nil
}

// fewSewn: an edge that is sewn elsewhere at so few places only runs on to meet
// its neighbour, and is not named beside it.
const fewSewn = 8

// reachesOn is how far in mm a strip is made to reach for the end of a sewing line
// that runs on, rather than making another strip.
const reachesOn = 60.0

// withStretch puts what an edge is sewn elsewhere on a strip: one that holds it or
// nearly does, or one of its own.
func (w patchwork) withStretch(patches []patch, stretch []sewn) []patch {
	l := place{called: "sewing line of " + w.diff.New.Edges[stretch[0].edge].Name}
	var at []geom.Point
	for _, s := range stretch {
		at, l.points = append(at, s.at), append(l.points, s.at, s.cut)
	}
	for i, p := range patches {
		turn := p.turn()
		if slices.ContainsFunc(at, func(q geom.Point) bool { return !p.box(turn).Grow(reachesOn).Holds(q.Turn(-turn)) }) {
			continue
		}
		if !holdsAll(p.frame, at) {
			p = w.reaching(p, at)
		}
		if len(stretch) > fewSewn {
			p.places = append(p.places, l.called)
		}
		patches[i] = p
		return patches
	}
	l.points = append(l.points, w.cornersNear(l.points)...)
	p := w.framed(leastRectangle(l.points, sewMargin))
	p.places = []string{l.called}
	return append(patches, p)
}

// cornersNear are the corners of the cutting line near points: allowances of
// several cm apart from the sewing line's.
func (w patchwork) cornersNear(points []geom.Point) []geom.Point {
	const near = 60.0 // mm
	var out []geom.Point
	for _, c := range w.cutCorners() {
		if slices.ContainsFunc(points, func(p geom.Point) bool { return p.Dist(c.at) < near }) {
			out = append(out, c.at)
		}
	}
	return out
}

// reaching is a patch whose frame is made wide enough to hold points, with a
// margin.
func (w patchwork) reaching(p patch, points []geom.Point) patch {
	turn := p.turn()
	b := geom.EmptyBox()
	for _, q := range points {
		b = b.Extend(q.Turn(-turn))
	}
	b = b.Grow(sewMargin).Union(p.box(turn))
	frame := turnedBox(b, turn)
	if p.all {
		if wider, ok := w.filled(frame); ok {
			return wider
		}
	}
	wider := w.framed(frame)
	wider.added, wider.removed, wider.places = p.added, p.removed, p.places
	return wider
}

// turn is the angle by which the frame is turned on the sheet.
func (p patch) turn() float64 { return p.frame[0].P3.Sub(p.frame[0].P0).Angle() }

// box is the frame turned back by an angle.
func (p patch) box(turn float64) geom.Box {
	b := geom.EmptyBox()
	for _, c := range p.frame {
		b = b.Extend(c.P0.Turn(-turn))
	}
	return b
}

// turnedBox is a box turned about the sheet's origin.
func turnedBox(b geom.Box, turn float64) geom.Ring {
	ring := geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
	for i := range ring {
		ring[i] = geom.Line(ring[i].P0.Turn(turn), ring[i].P3.Turn(turn))
	}
	return ring
}
