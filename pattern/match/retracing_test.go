package match_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"toile/geom"
	"toile/pattern/match"
)

const (
	traceSpacing = 3.0  // mm between points
	traceSigma   = 0.3  // mm, of their errors in x and in y
	places       = 400  // at which outlines are held against each other
	coveredIn    = 0.5  // mm: what lies nearer counts as explained
	anotherPose  = 1.0  // mm: a pose that is farther off is another
	plainlyOff   = 1.0  // mm: a change that is more than noise
	asGood       = 0.95 // of what the true pose explains: truly ambiguous
	turnedFor    = 0.1  // of the boundary more has a pose turned over to explain
)

// redrawing is a piece, altered, somewhere on a sheet.
type redrawing struct {
	old, exact geom.Ring    // exact: the altered outline, where it lies over the old one
	at         []geom.Place // along the old outline
	unchanged  []bool       // there
	explains   float64      // what the true pose explains
	truth      geom.Motion  // takes the exact outline to where it was drawn
	mirror     bool         // it may be turned over
	what       string
}

// redrawn makes the k-th piece, alters 20 to 40 % of its boundary and puts it
// anywhere; one in five only near where it was, a third may be turned over and
// half of those are.
func redrawn(rng *rand.Rand, k int) redrawing {
	edges := drawnPiece(rng, k)
	c := redrawing{old: ringOf(edges), mirror: rng.IntN(3) == 0}
	c.exact, c.unchanged, c.what = alteredPiece(rng, edges)
	c.what = pieceKinds[k%len(pieceKinds)].name + ", " + c.what
	c.truth = randomMotion(rng)
	if rng.IntN(5) == 0 {
		c.truth = geom.Motion{Turn: 0.1 * (rng.Float64() - 0.5), Shift: pt(3+17*rng.Float64(), 0).Turn(2 * math.Pi * rng.Float64())}
	}
	c.truth.Mirror = c.mirror && rng.IntN(2) == 0
	c.at = placesAlong(c.old, places, 0.5)
	c.explains = c.explained(c.truth.Inverse())
	return c
}

// pointErrors gives the errors of n points around an outline.
type pointErrors func(rng *rand.Rand, n int) []geom.Point

func independent(rng *rand.Rand, n int) []geom.Point {
	out := make([]geom.Point, n)
	for i := range out {
		out[i] = pt(rng.NormFloat64(), rng.NormFloat64()).Mul(traceSigma)
	}
	return out
}

// wavering errors change slowly, as of a hand that follows a line: means over
// so many points, with the same deviation.
func wavering(over int) pointErrors {
	return func(rng *rand.Rand, n int) []geom.Point {
		raw := independent(rng, n)
		out := make([]geom.Point, n)
		for i := range out {
			for k := range over {
				out[i] = out[i].Add(raw[(i+k)%n])
			}
			out[i] = out[i].Mul(1 / math.Sqrt(float64(over)))
		}
		return out
	}
}

// tracedPoints are points along an outline, from any place on.
func tracedPoints(rng *rand.Rand, r geom.Ring, of pointErrors) []geom.Point {
	n := int(r.Length() / traceSpacing)
	errs, from := of(rng, n), rng.Float64()
	points := make([]geom.Point, n)
	for i, p := range placesAlong(r, n, from) {
		points[i] = geom.Path(r).At(p).Add(errs[i])
	}
	return points
}

// placesAlong are n places on a ring, even in length, the first a share of a
// step from its start.
func placesAlong(r geom.Ring, n int, first float64) []geom.Place {
	out := make([]geom.Place, 0, n)
	step := r.Length() / float64(n)
	done, next := 0.0, step*first
	for i, c := range r {
		length := c.Length()
		for ; next < done+length && len(out) < n; next += step {
			out = append(out, geom.Place{Curve: i, T: c.ParamAt(next - done)})
		}
		done += length
	}
	for len(out) < n {
		out = append(out, geom.Place{Curve: len(r) - 1, T: 1})
	}
	return out
}

// drawn gives the points where the outline was drawn, clockwise.
func (c redrawing) drawn(rng *rand.Rand, of pointErrors) []geom.Point {
	points := tracedPoints(rng, c.exact, of)
	for i := range points {
		points[i] = c.truth.Apply(points[i])
	}
	if c.truth.Mirror {
		slices.Reverse(points)
	}
	return points
}

// apart is the root mean square displacement of the unchanged boundary under a
// pose.
func (c redrawing) apart(m geom.Motion) float64 {
	if m.Mirror != c.truth.Mirror {
		return math.Inf(1)
	}
	both, sum, n := c.truth.Then(m), 0.0, 0
	for i, p := range c.at {
		if c.unchanged[i] {
			q := geom.Path(c.old).At(p)
			d := both.Apply(q).Dist(q)
			sum, n = sum+d*d, n+1
		}
	}
	return math.Sqrt(sum / float64(n))
}

// explained is the share of the old outline that the exact new one covers
// under a pose, running the same way.
func (c redrawing) explained(m geom.Motion) float64 {
	both := c.truth.Then(m)
	laid := c.exact.Moved(both)
	if both.Mirror {
		laid = laid.Reverse()
	}
	n := 0
	for _, p := range c.at {
		on, d := geom.Path(laid).Nearest(geom.Path(c.old).At(p))
		if d <= coveredIn && c.old[p.Curve].Tangent(p.T).Dot(laid[on.Curve].Tangent(on.T)) > 0.95 {
			n++
		}
	}
	return float64(n) / places
}

// told is the share of the unchanged boundary that a pose tells as unchanged,
// and the share of what it tells that plainly changed.
func (c redrawing) told(p match.Pose) (found, wrongly float64) {
	length := c.old.Length()
	told := make([]bool, places)
	for _, r := range p.Unchanged {
		from := geom.Path(c.old).LengthTo(r.From)
		for i := range told {
			d := math.Mod((float64(i)+0.5)/places*length-from+length, length)
			told[i] = told[i] || d <= r.Length
		}
	}
	var unchanged, both, all, wrong float64
	for i, at := range c.at {
		if c.unchanged[i] {
			unchanged++
			if told[i] {
				both++
			}
		}
		if told[i] {
			all++
			if _, d := geom.Path(c.exact).Nearest(geom.Path(c.old).At(at)); d > plainlyOff {
				wrong++
			}
		}
	}
	return both / unchanged, wrong / math.Max(all, 1)
}

// atBest is the displacement that remains when somebody tells which boundary
// is unchanged and least squares use just that: Gauss–Newton from the true
// pose, square to the old outline.
func (c redrawing) atBest(new geom.Ring) float64 {
	const size = 500.0 // mm, to bring turns and shifts to one scale
	m := c.truth.Inverse()
	for range 3 {
		laid := geom.Path(new.Moved(m))
		var a [3][3]float64
		var b [3]float64
		for i, p := range c.at {
			if !c.unchanged[i] {
				continue
			}
			q, square := geom.Path(c.old).At(p), c.old[p.Curve].Tangent(p.T).Left()
			on, _ := laid.Nearest(q)
			foot := laid.At(on)
			row := [3]float64{square.X, square.Y, square.Dot(foot.Right()) / size}
			for i := range 3 {
				for j := range 3 {
					a[i][j] += row[i] * row[j]
				}
				b[i] += row[i] * square.Dot(q.Sub(foot))
			}
		}
		x := cramer(a, b)
		m = m.Then(geom.Motion{Turn: x[2] / size, Shift: pt(x[0], x[1])})
	}
	return c.apart(m)
}

// cramer solves three equations by Cramer's rule.
func cramer(a [3][3]float64, b [3]float64) (x [3]float64) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	whole := det(a)
	for k := range x {
		m := a
		for i := range 3 {
			m[i][k] = b[i]
		}
		x[k] = det(m) / whole
	}
	return x
}
