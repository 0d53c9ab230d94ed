package match

import (
	"math"

	"toile/geom"
)

// middleFrom and middleTo are the shares of an edge's length between which it is
// laid on another: its ends may have been cut or led on.
const middleFrom, middleTo = 0.2, 0.8

// LayEdge finds the motion that brings the middle of one edge onto another of
// the same shape, beginning where they lie, and reports whether it lies there
// within tol mm everywhere. It fails for an edge that would glide, as a straight
// one or an arc does: its shape does not say where along the other it lies.
//
// Method: Gauss and Newton's steps on the distances square to the old edge (Chen
// and Medioni, Object modelling by registration of multiple range images, 1992).
func LayEdge(old, new geom.Path, tol float64) (m geom.Motion, ok bool) {
	const rounds, samples = 25, 40
	var at []geom.Point
	length := new.Length()
	for k := range samples + 1 {
		at = append(at, new.PointAt(length*(middleFrom+(middleTo-middleFrom)*float64(k)/samples)))
	}
	for range rounds {
		step, firm := squareStep(old, at, m)
		if !firm {
			return m, false
		}
		m = m.Then(step)
		if step.Shift.Len() < tol*1e-3 && math.Abs(step.Turn) < 1e-9 {
			break
		}
	}
	for _, q := range at {
		if _, far := old.Nearest(m.Apply(q)); far > tol {
			return m, false
		}
	}
	return m, true
}

// leastFirm: the least of the pivots of the normal equations, each of which is
// the mean square of what one freedom adds to the others, below which a line
// glides: one in a thousand of a free one.
const leastFirm = 1e-3

// squareStep is the small motion that brings places, moved by m, nearest to a
// path, and whether they hold it from gliding.
func squareStep(old geom.Path, at []geom.Point, m geom.Motion) (geom.Motion, bool) {
	middle, size := geom.Point{}, 0.0
	for _, q := range at {
		middle = middle.Add(m.Apply(q).Mul(1 / float64(len(at))))
	}
	for _, q := range at {
		size = math.Max(size, m.Apply(q).Dist(middle))
	}
	if size == 0 {
		return geom.Motion{}, false
	}
	var a [3][4]float64
	for _, q := range at {
		p := m.Apply(q)
		place, _ := old.Nearest(p)
		foot, n := old.At(place), old[place.Curve].Tangent(place.T).Left()
		lever := p.Sub(middle).Mul(1 / size)
		row := [4]float64{n.X, n.Y, n.Dot(geom.Pt(-lever.Y, lever.X)), n.Dot(foot.Sub(p))}
		for i := range 3 {
			for j := range 4 {
				a[i][j] += row[i] * row[j] / float64(len(at))
			}
		}
	}
	x, firm := solved(a)
	if !firm {
		return geom.Motion{}, false
	}
	about := geom.Motion{Shift: middle.Mul(-1)}
	return about.Then(geom.Motion{Turn: x[2] / size, Shift: middle.Add(geom.Pt(x[0], x[1]))}), true
}

// solved solves three symmetric equations by elimination, the greatest pivot
// first; not firm where a pivot is next to nothing.
func solved(a [3][4]float64) (x [3]float64, firm bool) {
	order := [3]int{0, 1, 2}
	for k := range 3 {
		best := k
		for i := k; i < 3; i++ {
			if a[order[i]][order[i]] > a[order[best]][order[best]] {
				best = i
			}
		}
		order[k], order[best] = order[best], order[k]
		p := order[k]
		if a[p][p] < leastFirm {
			return x, false
		}
		for _, i := range order[k+1:] {
			f := a[i][p] / a[p][p]
			for j := range 4 {
				a[i][j] -= f * a[p][j]
			}
		}
	}
	for k := 2; k >= 0; k-- {
		p := order[k]
		x[p] = a[p][3]
		for _, j := range order[k+1:] {
			x[p] -= a[p][j] * x[j]
		}
		x[p] /= a[p][p]
	}
	return x, true
}
