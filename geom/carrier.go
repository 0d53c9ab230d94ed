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
// as a circular arc, straight where that is near zero, by at most limit mm
// and at most 270° at each end. Where the curvature at an end has no value (a
// handle of length zero) the extension is straight too. An empty path stays
// empty.
func Carrier(p Path, limit float64) Path {
	before, after := CarrierEnds(p, limit)
	whole := append(Path{}, before...)
	whole = append(whole, p...)
	return append(whole, after...)
}

// CarrierEnds returns the two extensions of Carrier alone: before runs up to
// the path's start, after on from its end. Either is empty when limit is not
// positive or the path has no direction.
func CarrierEnds(p Path, limit float64) (before, after Path) {
	if len(p) == 0 || !(limit > 0) {
		return nil, nil
	}
	after = extension(p.End(), p.EndTangent(), endCurvature(p), limit)
	back := p.Reverse()
	before = extension(back.End(), back.EndTangent(), endCurvature(back), limit).Reverse()
	return before, after
}

// endCurvature returns the curvature at the path's end.
func endCurvature(p Path) float64 {
	for i := len(p) - 1; i >= 0; i-- {
		if c := p[i]; c.Tangent(1) != (Point{}) {
			if c.P2.Dist(c.P3) <= 1e-9*(1+c.hull()) {
				return 0
			}
			return c.Curvature(1)
		}
	}
	return 0
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
