package geom

import "math"

// carrierTurn is the greatest angle in radians (270°) a carrier turns through
// beyond an end, so that it never closes on itself.
const carrierTurn = 1.5 * math.Pi

// carrierSagitta is how far, in mm, a carrier's arc must leave the tangent
// within the limit for the end curvature to count; below it the extension is
// straight. At 150 mm that is a radius of 1,125 m.
const carrierSagitta = 0.01

// Carrier returns the path extended at both ends: on with its end curvature,
// as a circular arc, straight where that is near zero (carrierSagitta), by at
// most limit mm and at most 270° (carrierTurn) at each end. The path itself is
// kept to the bit and the extensions join it with its tangent and curvature, the
// arcs by one cubic per started 90° (Arc: 2.73e-4 of the radius outside the
// circle at most). Where the curvature at an end has no value (a handle of
// length zero) the extension is straight too. An empty path, a single point
// and numbers that are not finite are not extended.
func Carrier(p Path, limit float64) Path {
	before, after := CarrierEnds(p, limit)
	whole := append(Path{}, before...)
	whole = append(whole, p...)
	return append(whole, after...)
}

// CarrierEnds returns the two extensions of Carrier alone: before runs up to
// the path's start, after on from its end. Both are empty when limit is not
// positive and finite or the path has no direction.
func CarrierEnds(p Path, limit float64) (before, after Path) {
	if len(p) == 0 || !(limit > 0) || math.IsInf(limit, 0) || !p[0].Finite() || !p[len(p)-1].Finite() {
		return nil, nil
	}
	after = extension(p.End(), p.EndTangent(), endCurvature(p), limit)
	back := p.Reverse()
	before = extension(back.End(), back.EndTangent(), endCurvature(back), limit).Reverse()
	return before, after
}

// leastBent is the length in mm under which a curve does not tell its own
// curvature: its points are stored at 0.001 mm, which over a curve of length L
// comes to a curvature of some 0.006/L² per mm, at 5 mm a radius of 4 m.
const leastBent = 5

// endCurvature returns the curvature at the path's end. A short last bit, as is
// left where an edge was run on a little, is passed over for the longer curve
// that it goes on from smoothly.
func endCurvature(p Path) float64 {
	for i := len(p) - 1; i >= 0; i-- {
		c := p[i]
		if c.Tangent(1) == (Point{}) || i > 0 && tooShort(p[i-1], c) {
			continue
		}
		if c.P2.Dist(c.P3) <= 1e-9*(1+c.hull()) {
			return 0
		}
		return c.Curvature(1)
	}
	return 0
}

// tooShort reports whether c is a bit too short to tell its curvature, run on
// smoothly from a curve at least four times as long.
func tooShort(before, c Cubic) bool {
	length := c.P0.Dist(c.P3)
	if length >= leastBent || before.P0.Dist(before.P3) < 4*length {
		return false
	}
	const smooth = 0.02 // radians
	return math.Abs(AngleBetween(before.Tangent(1), c.Tangent(0))) < smooth
}

// extension runs on from a point in a direction with a curvature.
func extension(from, dir Point, curvature, limit float64) Path {
	if dir == (Point{}) {
		return nil
	}
	if math.Abs(curvature)*limit*limit/2 < carrierSagitta {
		return Path{Line(from, from.Add(dir.Mul(limit)))}
	}
	radius := 1 / math.Abs(curvature)
	sweep := math.Copysign(math.Min(limit/radius, carrierTurn), curvature)
	centre := from.Add(dir.Right().Mul(1 / curvature))
	arc := Arc(centre, radius, from.Sub(centre).Angle(), sweep)
	arc[0].P0 = from
	return arc
}

// Eased returns the cubic that runs on from the point a, leaving it in the
// direction u, to the point b, arriving there in the direction v (both unit
// vectors of travel): an edge run on to a neighbour that was swung away, tangent
// at its old end and at the old angle to the neighbour. Both handles are
// chord/(3·cos²(φ/4)), φ the angle from u to v. So where both ends are tangent
// to one circle the result is that circle's arc by one cubic (ArcHandle), and
// where u and v are the chord's direction the straight line. With φ = ±180° the
// handles are two thirds of the chord. A zero direction gives a zero handle;
// a = b gives a point.
func Eased(a, u, b, v Point) Cubic {
	_, cos := sincos(AngleBetween(u, v) / 4)
	h := a.Dist(b) / (3 * cos * cos)
	return Cubic{a, a.Add(u.Mul(h)), b.Sub(v.Mul(h)), b}
}
