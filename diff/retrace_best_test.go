package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// leastPossible lists by how much the figures of what was done are out in mm
// and in degrees when they are estimated by least squares from the same shaky
// points by somebody who is told which points are of the edge, what was done to
// it, about which point, and how the drawing lies: back lays it onto the old
// outline. No program can do better on average (Gauss and Markov, for errors that
// are not alike; for those that are, hardly).
func (r retracing) leastPossible(back geom.Motion) (mm, degrees []float64) {
	for _, c := range r.m.claims {
		i, err := r.m.from.EdgeIndex(c.edges[0])
		if err != nil || (c.kind != change.EdgeMoved && c.kind != change.EdgeSwung) {
			continue
		}
		x := r.besideEdge(back, i)
		if len(x.out) < 4 {
			continue
		}
		switch {
		case c.kind == change.EdgeSwung && c.pivot != nil:
			old, now := r.m.from.EdgePath(i), r.m.now.EdgePath(i)
			at, _ := now.Nearest(*c.pivot)
			atEnd := old.End().Dist(now.End()) > old.Start().Dist(now.Start())
			turn := x.turn(*c.pivot, now.LengthTo(at), atEnd)
			arm := math.Max(old.Start().Dist(*c.pivot), old.End().Dist(*c.pivot))
			mm, degrees = append(mm, arm*math.Abs(turn)), append(degrees, math.Abs(geom.InDegrees(turn)))
		case c.ends != nil:
			fit := lineThrough(x.along, x.out, false)
			mm = append(mm, math.Abs(fit.at(0)), math.Abs(fit.at(r.m.now.EdgePath(i).Length())))
		case c.by != nil:
			mm = append(mm, math.Abs(lineThrough(x.along, x.out, true).at(0)))
		}
	}
	return mm, degrees
}

// fittedPose is how the drawing lies, back on the old outline, by least squares
// of the points that were drawn of the boundary left alone, when it is told which
// those are and where on the boundary each belongs.
func (r retracing) fittedPose() geom.Motion {
	back := r.motion.Inverse()
	ring, old := geom.Path(ringOf(r.m.now)), geom.Path(ringOf(r.m.from))
	middle := ring.PointAt(0)
	var a [3][3]float64
	var b [3]float64
	for _, p := range r.points {
		q := back.Apply(p)
		at, _ := ring.Nearest(q)
		foot, n := ring.At(at), ring[at.Curve].Tangent(at.T).Left()
		if _, off := old.Nearest(foot); off > 0.01 {
			continue
		}
		row := [3]float64{n.X, n.Y, foot.Sub(middle).Right().Dot(n)}
		for i := range row {
			for j := range row {
				a[i][j] += row[i] * row[j]
			}
			b[i] -= row[i] * q.Sub(foot).Dot(n)
		}
	}
	x := solved3(a, b)
	turn := geom.Motion{Shift: middle.Mul(-1)}.Then(geom.Motion{Turn: x[2], Shift: middle.Add(geom.Pt(x[0], x[1]))})
	return back.Then(turn)
}

// solved3 solves three linear equations by Cramer's rule.
func solved3(a [3][3]float64, b [3]float64) (x [3]float64) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	whole := det(a)
	for k := range x {
		m := a
		for i := range m {
			m[i][k] = b[i]
		}
		x[k] = det(m) / whole
	}
	return x
}

// besides are points beside an edge of the altered piece: where along it, how
// far outward, and the feet with their normals.
type besides struct {
	along, out   []float64
	foot, normal []geom.Point
}

// besideEdge gathers the points that were drawn of edge i, those within 5 mm of
// its ends left out.
func (r retracing) besideEdge(back geom.Motion, i int) (x besides) {
	path, ring := r.m.now.EdgePath(i), geom.Path(ringOf(r.m.now))
	length := path.Length()
	for _, p := range r.points {
		q := back.Apply(p)
		at, d := path.Nearest(q)
		along := path.LengthTo(at)
		if _, whole := ring.Nearest(q); d > whole+1e-9 || along < 5 || along > length-5 {
			continue
		}
		foot, n := path.At(at), path[at.Curve].Tangent(at.T).Left()
		x.along, x.out = append(x.along, along), append(x.out, q.Sub(foot).Dot(n))
		x.foot, x.normal = append(x.foot, foot), append(x.normal, n)
	}
	return x
}

// turn is the further turn about a pivot at a length that the points beyond it
// ask for.
func (x besides) turn(pivot geom.Point, at float64, atEnd bool) float64 {
	num, den := 0.0, 0.0
	for k := range x.out {
		if (x.along[k] > at) != atEnd {
			continue
		}
		lever := x.foot[k].Sub(pivot).Right().Dot(x.normal[k])
		num, den = num+lever*x.out[k], den+lever*lever
	}
	if den == 0 {
		return 0
	}
	return num / den
}
