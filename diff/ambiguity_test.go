package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// Where a piece was laid elsewhere, another way to lay it may explain as much:
// a straight panel's hem taken up is its top taken down, a half turn away. The
// argument here is its own: count what a pose leaves unexplained, one for each
// edge of the old outline by the share that lies on no edge of the new one, and
// one for each grain line, notch and mark that lies on none. A pose that leaves
// hardly more than the true one could be the true one.

// hardlyMore is half an edge: a change costs about a whole one.
const hardlyMore = 0.75

// onLine in mm is when a place lies on an outline, for this argument, as
// stored.
const onLine = 0.03

// ambiguous reports whether the new outline could be laid over the old one in
// a way that explains as much as the true one.
func (m *making) ambiguous() bool { return m.ambiguousWithin(onLine, true) }

// ambiguousWithin is ambiguous for outlines known within so many mm, and for a
// drawing that shows no marks.
func (m *making) ambiguousWithin(within float64, marks bool) bool {
	if len(m.others)+len(m.olds) > 0 {
		return false // split and joined parts are found by what they are together
	}
	if len(m.claims) > 0 && m.claims[0].kind == change.PieceMirrored {
		return false // turned over it explains all, which is the claim
	}
	old := openOutline(m.from, within, marks)
	most := old.unexplained(m.now, math.Inf(1)) + hardlyMore
	for _, mirrored := range []bool{false, true} {
		now := m.now
		if mirrored {
			now = now.Moved(geom.Motion{Mirror: true})
		}
		for _, motion := range lays(m.from, now) {
			laid := now.Moved(motion)
			elsewhere := math.Max(0.5, 2*within)
			if (cornersApart(laid, m.now, marks) > elsewhere || apart(laid, m.now) > elsewhere) && old.unexplained(laid, most) <= most {
				return true
			}
		}
	}
	return false
}

// cornersApart is the greatest distance from a corner of p to the nearest one
// of q, and whether p is another lay of q at all.
func cornersApart(p, q *pattern.Piece, marks bool) float64 {
	far := 0.0
	for _, a := range p.Corners {
		near := math.Inf(1)
		for _, b := range q.Corners {
			near = math.Min(near, a.At.Dist(b.At))
		}
		far = math.Max(far, near)
	}
	if marks { // which tell a symmetric outline laid on itself
		for _, a := range markPlaces(p) {
			far = math.Max(far, nearestOf(a, markPlaces(q)))
		}
	}
	return far
}

func nearestOf(a geom.Point, all []geom.Point) float64 {
	near := math.Inf(1)
	for _, b := range all {
		near = math.Min(near, a.Dist(b))
	}
	return near
}

// lays lists the motions that could explain much: those that bring a corner of
// the new outline onto one of the old with the same turn, for where two
// neighbouring edges are explained a corner is; and those that bring an edge
// onto the line of another and one of its ends onto one of that one's, as of a
// piece that slides along its sides.
func lays(old, now *pattern.Piece) []geom.Motion {
	a, b := pathsOf(old), pathsOf(now)
	var out []geom.Motion
	onto := func(from, along, to, direction geom.Point) {
		m := geom.Motion{Turn: geom.AngleBetween(along, direction)}
		m.Shift = to.Sub(m.Apply(from))
		out = append(out, m)
	}
	for i, p := range a {
		for j, q := range b {
			before, after := a[(i+len(a)-1)%len(a)], b[(j+len(b)-1)%len(b)]
			if math.Abs(cornerTurn(a, i)-cornerTurn(b, j)) <= 0.02 {
				onto(q.Start(), q.StartTangent(), p.Start(), p.StartTangent())
				onto(q.Start(), after.EndTangent(), p.Start(), before.EndTangent())
			}
			if !straight(p) || straightLength(q) < 0.5*p.Length() || p.Length() < 0.5*straightLength(q) {
				continue
			}
			for _, end := range []geom.Point{p.Start(), p.End()} {
				onto(q.Start(), longest(q).Tangent(0), end, p.StartTangent())
				onto(q.End(), longest(q).Tangent(0), end, p.StartTangent())
			}
		}
	}
	return out
}

// longest is the longest curve of a path: of a straight edge that was eased on
// the straight part.
func longest(p geom.Path) geom.Cubic {
	best := p[0]
	for _, c := range p {
		if c.Length() > best.Length() {
			best = c
		}
	}
	return best
}

// straightLength is the length of a path's longest curve, 0 when that is not
// straight.
func straightLength(p geom.Path) float64 {
	if c := longest(p); c.IsStraight(0.01) {
		return c.Length()
	}
	return 0
}

// sampled is an outline by places on it, and what is marked on it.
type sampled struct {
	at, along []geom.Point
	share     []float64 // of its edge that a place stands for
	marks     []geom.Point
	within    float64 // mm
}

func openOutline(p *pattern.Piece, within float64, marks bool) sampled {
	const places = 16
	s := sampled{within: within}
	if marks {
		s.marks = markPlaces(p)
	}
	for k := range places { // the whole outline thinly at first
		for _, path := range pathsOf(p) {
			at := path.PlaceAt(path.Length() * (float64((5*k)%places) + 0.5) / places)
			s.at, s.along = append(s.at, path.At(at)), append(s.along, path[at.Curve].Tangent(at.T))
			s.share = append(s.share, 1.0/places)
		}
	}
	return s
}

// unexplained counts what lying so leaves open, until it is more than most.
func (s sampled) unexplained(now *pattern.Piece, most float64) float64 {
	ring, there := geom.Path(ringOf(now)), markPlaces(now)
	sum := 0.0
	for _, q := range s.marks {
		if nearestOf(q, there) > 0.1 {
			sum++
		}
	}
	for k, q := range s.at {
		if sum > most {
			break
		}
		on, d := ring.Nearest(q)
		if d > s.within || s.along[k].Dot(ring[on.Curve].Tangent(on.T)) < 0.99 {
			sum += s.share[k]
		}
	}
	return sum
}

// markPlaces lists where the grain line, the fold, the notches and the marks of
// a piece lie.
func markPlaces(p *pattern.Piece) []geom.Point {
	var out []geom.Point
	for _, n := range p.Notches {
		if at, _, _, err := p.NotchPlace(n); err == nil {
			out = append(out, at)
		}
	}
	for _, k := range p.Marks {
		if placed(k) {
			out = append(out, anchorOf(k))
		}
	}
	if p.Grain != nil {
		out = append(out, p.Grain.From, p.Grain.To)
	}
	if k := foldOf(p); k >= 0 { // its line, which cutting and running on leave where it is
		a, u := p.EdgePath(k).Start(), p.EdgePath(k).StartTangent()
		out = append(out, geom.Pt(1e4, 0).Add(u.Mul(100)), geom.Pt(0, 1e4).Add(geom.Pt(a.Cross(u), 0)))
	}
	return out
}
