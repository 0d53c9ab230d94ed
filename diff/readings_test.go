package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// Within noise, what was done can be read in more than one way: a swing about
// a point near a corner is a taper that is 0 there, a taper that hardly tapers
// a parallel move. A reading whose line lies within the noise of the true one
// is as right as that.

// blurred adds the simpler readings of what was done to edge i, told by
// claim c, that lie within m.blur of it.
func (m *making) blurred(c claim, i int) claim {
	along, out := m.beside(i)
	old := m.from.EdgePath(i)
	length := old.Length()
	level := lineThrough(along, out, true)
	slope := lineThrough(along, out, false)
	ends := [2]float64{slope.at(0), slope.at(length)}
	read := func(r claim) {
		r.edges = c.edges
		if r.kind != c.kind || r.how != c.how {
			c.or = append(c.or, r)
		}
	}
	if level.worst <= m.blur {
		by := level.at(0)
		read(claim{kind: change.EdgeMoved, how: change.HowParallel, by: &by})
		if along := outwardAlongGrain(m.from, old).Dot(outwardAtMiddle(old)); along > 0.5 {
			shift := by / along
			read(claim{kind: change.EdgeMoved, how: change.HowShifted, by: &shift})
		}
	}
	if slope.worst <= m.blur {
		read(claim{kind: change.EdgeMoved, how: change.HowTapered, ends: &ends})
	}
	for end := range 2 {
		turn := math.Atan((ends[end] - ends[1-end]) / length)
		if slope.worst <= m.blur && math.Abs(ends[1-end]) <= m.blur && turn != 0 {
			s := swingClaim(m.from, i, end, 0, turn)
			s.pivot = nil // any place near the corner
			read(s)
		}
	}
	return c
}

// beside measures edge i of the altered piece from the carrier it had: where
// along that, and how far outward.
func (m *making) beside(i int) (along, out []float64) {
	old, now := m.from.EdgePath(i), m.now.EdgePath(i)
	before, _ := geom.CarrierEnds(old, reach)
	lead, carrier := before.Length(), geom.Carrier(old, reach)
	const places = 60
	for k := range places {
		q := now.PointAt(now.Length() * (float64(k) + 0.5) / places)
		at, d := carrier.Nearest(q)
		if q.Sub(carrier.At(at)).Dot(carrier[at.Curve].Tangent(at.T).Left()) < 0 {
			d = -d
		}
		along, out = append(along, carrier.LengthTo(at)-lead), append(out, d)
	}
	return along, out
}

// fitted is the line y = a + b·x through values by least squares.
type fitted struct{ a, b, worst float64 }

func (f fitted) at(x float64) float64 { return f.a + f.b*x }

func lineThrough(x, y []float64, level bool) fitted {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for k := range x {
		sx, sy, sxx, sxy = sx+x[k], sy+y[k], sxx+x[k]*x[k], sxy+x[k]*y[k]
	}
	var f fitted
	if det := n*sxx - sx*sx; !level && det > 1e-9 {
		f.b = (n*sxy - sx*sy) / det
	}
	f.a = (sy - f.b*sx) / n
	for k := range x {
		f.worst = math.Max(f.worst, math.Abs(y[k]-f.at(x[k])))
	}
	return f
}
