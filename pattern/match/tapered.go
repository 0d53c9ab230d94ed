package match

import (
	"math"

	"toile/geom"
)

// leastKink is the turn in radians between two curves of an edge from which
// the line has a bend there for Tapered: what is stored at 0.001 mm turns by
// less between curves some millimetres long that run smoothly on.
const leastKink = 0.01

// Tapered returns the line at the distance start + slope·s to the left of p,
// s the length along p from its start. Straight stretches stay straight, others
// are fitted within 0.001 mm. Where p has a bend, its stretches on either side
// are moved each by itself and brought together where their lines meet, so that
// the new line has one bend there too.
func Tapered(p geom.Path, start, slope float64) geom.Path {
	var out geom.Path
	from, done := 0, 0.0
	for k := 1; k <= len(p); k++ {
		if k < len(p) && math.Abs(geom.AngleBetween(p[k-1].Tangent(1), p[k].Tangent(0))) < leastKink {
			continue
		}
		stretch := p[from:k]
		next := taperedSmooth(stretch, start+slope*done, slope)
		if len(next) == 0 {
			return nil
		}
		if len(out) > 0 {
			joinBend(out, next)
		}
		out = append(out, next...)
		done, from = done+stretch.Length(), k
	}
	return out
}

// joinBend moves the end of a and the start of b to where their tangents meet.
func joinBend(a, b geom.Path) {
	last, first := &a[len(a)-1], &b[0]
	u, v := a.EndTangent(), b.StartTangent()
	at := last.P3.Lerp(first.P0, 0.5)
	if cross := u.Cross(v); math.Abs(cross) > leastKink/10 {
		met := last.P3.Add(u.Mul(first.P0.Sub(last.P3).Cross(v) / cross))
		if met.Dist(at) <= last.P3.Dist(first.P0) {
			at = met
		}
	}
	if last.IsStraight(1e-6) {
		*last = geom.Line(last.P0, at)
	} else {
		last.P2, last.P3 = last.P2.Add(at.Sub(last.P3)), at
	}
	if first.IsStraight(1e-6) {
		*first = geom.Line(at, first.P3)
	} else {
		first.P0, first.P1 = at, first.P1.Add(at.Sub(first.P0))
	}
}

// taperedSmooth is Tapered for a line without a bend.
func taperedSmooth(p geom.Path, start, slope float64) geom.Path {
	length := p.Length()
	at := func(s float64) geom.Point {
		return p.PointAt(s).Add(p.TangentAt(s).Left().Mul(start + slope*s))
	}
	straight := true
	chord := p.End().Sub(p.Start()).Unit()
	for _, c := range p {
		straight = straight && c.IsStraight(1e-6) && math.Abs(c.P3.Sub(c.P0).Unit().Cross(chord)) < 1e-9
	}
	if straight {
		return geom.Path{geom.Line(at(0), at(length))}
	}
	const places = 200
	var points []geom.Point
	for k := range places + 1 {
		points = append(points, at(length*float64(k)/places))
	}
	direction := func(s, out float64) *geom.Point {
		u := p.TangentAt(s)
		d := u.Mul(1 + out*p.CurvatureAt(s)).Add(u.Left().Mul(slope)).Unit()
		return &d
	}
	return geom.Fit(points, direction(0, start), direction(length, start+slope*length), 1e-3)
}
