package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// reach is how far in mm an edge's carrier runs on beyond its ends, as the
// program's rule of running on says.
const reach = 150

// pathsOf lists a piece's edges from sharp corner to sharp corner.
func pathsOf(p *pattern.Piece) []geom.Path {
	paths := make([]geom.Path, len(p.Edges))
	for i := range paths {
		paths[i] = p.EdgePath(i)
	}
	return paths
}

// withPaths is the piece with another outline, as stored, and whether the
// model takes it.
func withPaths(p *pattern.Piece, paths []geom.Path) (*pattern.Piece, bool) {
	q := p.Clone()
	for i, path := range paths {
		q.Corners[i].At = path.Start()
		q.Edges[i].SetPath(tidied(path))
	}
	q = stored(q)
	return q, q.Validate() == nil
}

// tidied joins straight lines that run on from each other without a turn.
func tidied(p geom.Path) geom.Path {
	var out geom.Path
	for _, c := range p {
		n := len(out)
		if n > 0 && c.IsStraight(1e-6) && out[n-1].IsStraight(1e-6) &&
			math.Abs(geom.AngleBetween(out[n-1].P3.Sub(out[n-1].P0), c.P3.Sub(c.P0))) < 1e-9 {
			out[n-1] = geom.Line(out[n-1].P0, c.P3)
			continue
		}
		out = append(out, c)
	}
	return out
}

// carried is an edge's carrier that knows where the edge itself lies on it.
type carried struct {
	path       geom.Path
	start, end geom.Place
}

func carrierOf(p geom.Path) carried {
	before, _ := geom.CarrierEnds(p, reach)
	whole := geom.Carrier(p, reach)
	return carried{whole, geom.Place{Curve: len(before)}, geom.Place{Curve: len(before) + len(p) - 1, T: 1}}
}

// to is the edge from its start to a place on its carrier, from the edge from
// such a place to its end.
func (c carried) to(at geom.Place) geom.Path   { return c.path.Between(c.start, at) }
func (c carried) from(at geom.Place) geom.Path { return c.path.Between(at, c.end) }

func later(a, b geom.Place) bool { return a.Curve > b.Curve || (a.Curve == b.Curve && a.T > b.T) }

// meetingNear finds where two carriers meet nearest to a place, at 10° or
// more.
func meetingNear(a, b carried, near geom.Point) (geom.PathMeeting, bool) {
	best, found := geom.PathMeeting{}, false
	for _, m := range geom.MeetPaths(a.path, b.path) {
		u, v := a.path[m.P.Curve].Tangent(m.P.T), b.path[m.Q.Curve].Tangent(m.Q.T)
		if math.Abs(u.Cross(v)) < math.Sin(geom.Degrees(10)) {
			continue
		}
		if !found || m.At.Dist(near) < best.At.Dist(near) {
			best, found = m, true
		}
	}
	return best, found
}

// rejoined puts a moved edge in the place of edge i: it and its neighbours are
// cut, or run on along their carriers, to where those meet. An end that is
// held stays at its corner, with its neighbour as it is.
func rejoined(paths []geom.Path, i int, moved geom.Path, held [2]bool) ([]geom.Path, bool) {
	n := len(paths)
	prev, next := (i+n-1)%n, (i+1)%n
	edge := carrierOf(moved)
	from, to := edge.start, edge.end
	out := append([]geom.Path{}, paths...)
	if !held[0] {
		before := carrierOf(paths[prev])
		m, ok := meetingNear(before, edge, moved.Start())
		if !ok || !later(m.P, before.start) {
			return nil, false
		}
		from, out[prev] = m.Q, before.to(m.P)
	}
	if !held[1] {
		after := carrierOf(paths[next])
		m, ok := meetingNear(edge, after, moved.End())
		if !ok || !later(after.end, m.Q) {
			return nil, false
		}
		to, out[next] = m.P, after.from(m.Q)
	}
	if !later(to, from) {
		return nil, false
	}
	out[i] = edge.path.Between(from, to)
	return joined(out), true
}

// joined makes each edge start to the bit where the one before ends.
func joined(paths []geom.Path) []geom.Path {
	for i := range paths {
		before := paths[(i+len(paths)-1)%len(paths)]
		paths[i] = append(geom.Path{}, paths[i]...)
		paths[i][0] = startingAt(paths[i][0], before.End())
	}
	return paths
}

func startingAt(c geom.Cubic, q geom.Point) geom.Cubic {
	if c.IsStraight(1e-6) {
		return geom.Line(q, c.P3)
	}
	c.P0 = q
	return c
}

// turnedAbout turns a path about a point, clockwise as seen when positive.
func turnedAbout(p geom.Path, pivot geom.Point, angle float64) geom.Path {
	turn := func(q geom.Point) geom.Point { return q.Sub(pivot).Turn(angle).Add(pivot) }
	var out geom.Path
	for _, c := range p {
		if c.IsStraight(1e-6) {
			out = append(out, geom.Line(turn(c.P0), turn(c.P3)))
			continue
		}
		out = append(out, geom.Cubic{P0: turn(c.P0), P1: turn(c.P1), P2: turn(c.P2), P3: turn(c.P3)})
	}
	return out
}

func shifted(p geom.Path, by geom.Point) geom.Path {
	var out geom.Path
	for _, c := range p {
		out = append(out, geom.Cubic{P0: c.P0.Add(by), P1: c.P1.Add(by), P2: c.P2.Add(by), P3: c.P3.Add(by)})
	}
	return out
}

// easedCubic is the cubic from a in the direction u to b in the direction v
// with both handles chord/(3·cos²(φ/4)), φ the angle between the directions:
// for an arc of a circle the handles 4/3·tan(φ/4)·r, since the chord is
// 2r·sin(φ/2).
func easedCubic(a, u, b, v geom.Point) geom.Cubic {
	cos := math.Cos(geom.AngleBetween(u, v) / 4)
	h := a.Dist(b) / (3 * cos * cos)
	return geom.Cubic{P0: a, P1: a.Add(u.Mul(h)), P2: b.Sub(v.Mul(h)), P3: b}
}

// cornerTurn is the turn in radians at the start of edge i.
func cornerTurn(paths []geom.Path, i int) float64 {
	return geom.AngleBetween(paths[(i+len(paths)-1)%len(paths)].EndTangent(), paths[i].StartTangent())
}

// smoothInside reports whether a path has no kink between its ends.
func smoothInside(p geom.Path) bool {
	for k := 1; k < len(p); k++ {
		if math.Abs(geom.AngleBetween(p[k-1].Tangent(1), p[k].Tangent(0))) > 1e-3 {
			return false
		}
	}
	return true
}

func straight(p geom.Path) bool {
	whole := geom.Line(p.Start(), p.End())
	for _, c := range p {
		for _, q := range []geom.Point{c.P1, c.P2, c.P3} {
			if _, d := whole.Nearest(q); d > 0.002 {
				return false
			}
		}
	}
	return true
}

// departure is the greatest distance from p to q and where on p, on 48 places
// of each curve.
func departure(p, q geom.Path) (far float64, at geom.Point) {
	for _, c := range p {
		for k := range 49 {
			s := c.At(float64(k) / 48)
			if _, d := q.Nearest(s); d > far {
				far, at = d, s
			}
		}
	}
	return far, at
}

// apart is the greatest distance between two outlines, both ways.
func apart(p, q *pattern.Piece) float64 {
	a, _ := p.SharpRing()
	b, _ := q.SharpRing()
	there, _ := departure(geom.Path(a), geom.Path(b))
	back, _ := departure(geom.Path(b), geom.Path(a))
	return math.Max(there, back)
}
