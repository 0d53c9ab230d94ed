package geom

import "math"

// Constants of fitting one cubic.
const (
	// fitRounds of Gauss–Newton at most; on clean data six to ten are enough.
	fitRounds = 24
	// fitDamping is the share of the mean diagonal that is added to the normal
	// equations at first (Levenberg and Marquardt); it is divided by ten when a
	// step does good and multiplied when not, down to fitLeastDamping, which
	// holds what the points say nothing about, as a free end's sliding along
	// its curve.
	fitDamping      = 1e-4
	fitLeastDamping = 1e-12
	// fitSmooth is the number of points on either side from which the place and
	// direction of a node inside a run of points are taken.
	fitSmooth = 5
)

// Fit returns smooth cubics through noisy points in order, from the first
// point to the last, each point within tol mm of the curve where there are
// points enough to say so: a run of four points or fewer is always one cubic.
// A tangent given for an end (unit direction of travel) is kept; nil leaves it
// free. Fewer than two different points give nil.
//
// Method: Gauss–Newton on the handles and the points' parameters together
// (each point counts by its distance along the normal at its foot, the
// tangent-distance form of the problem); where a point stays too far off, the
// run is divided there, at a smoothed node with a common tangent. The
// reparametrisation of Schneider (An algorithm for automatically fitting
// digitized curves, Graphics Gems, 1990), which Gauss–Newton replaces,
// converges far more slowly.
func Fit(points []Point, startTangent, endTangent *Point, tol float64) Path {
	points = distinct(points)
	if len(points) < 2 {
		return nil
	}
	f := fitter{judge: func(off []float64) (bool, int) {
		worst := 0
		for i, d := range off {
			if math.Abs(d) > math.Abs(off[worst]) {
				worst = i
			}
		}
		return math.Abs(off[worst]) <= tol, worst
	}, least: 3, near: tol / 2}
	return f.fit(points, fitEnds{a: points[0], b: points[len(points)-1], from: startTangent, to: endTangent})
}

// distinct drops points equal to the one before, or not finite.
func distinct(points []Point) []Point {
	var out []Point
	for _, p := range points {
		if p.Finite() && (len(out) == 0 || p.Dist(out[len(out)-1]) > 1e-9) {
			out = append(out, p)
		}
	}
	return out
}

// fitEnds is what is known about the ends of a run of points.
type fitEnds struct {
	a, b         Point
	from, to     *Point // tangents, or nil
	freeA, freeB bool   // the end may move
}

// fitter fits runs of points. judge is given the distances of the points from
// a curve (signed, along its normal) and says whether that will do, and where
// to divide if not; least is the least number of steps in a part; a smoothed
// node may lie up to near mm from its point.
type fitter struct {
	judge func(off []float64) (ok bool, worst int)
	least int
	near  float64
}

// fit fits one cubic, or divides the run.
func (f fitter) fit(points []Point, e fitEnds) Path {
	if e.from == nil && e.to == nil {
		if line, off := fitLine(points, e); off != nil {
			if ok, _ := f.judge(off); ok {
				return Path{line}
			}
		}
	}
	c, off := fitCubic(points, e)
	ok, worst := f.judge(off)
	if ok || len(points) <= 2*f.least {
		return Path{c}
	}
	k := min(max(worst, f.least), len(points)-1-f.least)
	node, dir := smoothed(points, k)
	if node.Dist(points[k]) > f.near {
		node = points[k]
	}
	left, right := e, e
	left.b, left.to, left.freeB = node, &dir, false
	right.a, right.from, right.freeA = node, &dir, false
	return append(f.fit(points[:k+1], left), f.fit(points[k:], right)...)
}

// fitLine returns the straight line for the run and the points' distances: the
// chord when the ends are fixed, the line of least squares when both are free.
func fitLine(points []Point, e fitEnds) (Cubic, []float64) {
	if e.freeA != e.freeB {
		return Cubic{}, nil
	}
	a, b := e.a, e.b
	if e.freeA {
		centre, dir := principal(points)
		a, b = centre.Add(dir.Mul(a.Sub(centre).Dot(dir))), centre.Add(dir.Mul(b.Sub(centre).Dot(dir)))
	}
	u := b.Sub(a).Unit()
	if u == (Point{}) {
		return Cubic{}, nil
	}
	off := make([]float64, len(points))
	at := math.Inf(-1)
	for i, p := range points {
		w := p.Sub(a)
		off[i] = u.Cross(w)
		if x := u.Dot(w); x < at-float64(b.Dist(a)/2) {
			return Cubic{}, nil
		} else {
			at = math.Max(at, x)
		}
	}
	return Line(a, b), off
}

// principal returns the mean of points and the direction of their greatest
// spread, from the first towards the last.
func principal(points []Point) (centre, dir Point) {
	for _, p := range points {
		centre = centre.Add(p)
	}
	centre = centre.Mul(1 / float64(len(points)))
	var xx, xy, yy float64
	for _, p := range points {
		d := p.Sub(centre)
		xx, xy, yy = xx+float64(d.X*d.X), xy+float64(d.X*d.Y), yy+float64(d.Y*d.Y)
	}
	dir = Pt(1, 0).Turn(atan2(2*xy, xx-yy) / 2)
	if dir.Dot(points[len(points)-1].Sub(points[0])) < 0 {
		dir = dir.Mul(-1)
	}
	return centre, dir
}

// freedom is one unknown of a fit: a control point may move in a direction.
type freedom struct {
	control int
	dir     Point
}

func (e fitEnds) freedoms() []freedom {
	var free []freedom
	both := func(control int) { free = append(free, freedom{control, Pt(1, 0)}, freedom{control, Pt(0, 1)}) }
	if e.from != nil {
		free = append(free, freedom{1, *e.from})
	} else {
		both(1)
	}
	if e.to != nil {
		free = append(free, freedom{2, e.to.Mul(-1)})
	} else {
		both(2)
	}
	if e.freeA {
		both(0)
	}
	if e.freeB {
		both(3)
	}
	return free
}

// fitCubic fits one cubic and returns the points' distances from it.
func fitCubic(points []Point, e fitEnds) (Cubic, []float64) {
	c := e.between()
	ts := chordParams(points)
	free := e.freedoms()
	length := Polyline(points...).Length()
	// First whole distances at the chord parameters, which is linear, then the
	// distances along the normals at the feet.
	if first := step(c, points, ts, free, false, 1e-9); e.sane(first, length) {
		c = first
	}
	cost := refoot(c, points, ts)
	next := make([]float64, len(ts))
	damping := fitDamping
	for range fitRounds {
		try := step(c, points, ts, free, true, damping)
		copy(next, ts)
		better := math.Inf(1)
		if try.Finite() && e.sane(try, length) {
			better = refoot(try, points, next)
		}
		if !(better < cost) {
			if damping *= 10; damping > 1e3 {
				break
			}
			continue
		}
		done := cost-better < 1e-9*cost || better < 1e-20
		c, cost, damping = try, better, math.Max(damping/10, fitLeastDamping)
		copy(ts, next)
		if done {
			break
		}
	}
	off := make([]float64, len(points))
	for i, p := range points {
		d := p.Sub(c.At(ts[i]))
		off[i] = math.Copysign(d.Len(), c.Tangent(ts[i]).Cross(d))
	}
	return c, off
}

// between is the cubic to start from.
func (e fitEnds) between() Cubic {
	c := Line(e.a, e.b)
	third := e.a.Dist(e.b) / 3
	if e.from != nil {
		c.P1 = e.a.Add(e.from.Mul(third))
	}
	if e.to != nil {
		c.P2 = e.b.Sub(e.to.Mul(third))
	}
	return c
}

// sane reports whether the handles run the way the given tangents do, and
// neither they nor the ends have moved by more than the run is long: a few
// noisy points can ask for anything.
func (e fitEnds) sane(c Cubic, length float64) bool {
	return c.P0.Dist(e.a) <= length/4 && c.P3.Dist(e.b) <= length/4 &&
		c.P1.Dist(c.P0) <= length && c.P2.Dist(c.P3) <= length &&
		(e.from == nil || c.P1.Sub(c.P0).Dot(*e.from) > 0) && (e.to == nil || c.P3.Sub(c.P2).Dot(*e.to) > 0)
}

// chordParams spreads parameters over the points by the lengths between them.
func chordParams(points []Point) []float64 {
	ts := make([]float64, len(points))
	for i := 1; i < len(points); i++ {
		ts[i] = ts[i-1] + points[i].Dist(points[i-1])
	}
	if total := ts[len(ts)-1]; total > 0 {
		for i := range ts {
			ts[i] /= total
		}
	}
	return ts
}

// refoot moves each parameter to the foot of its point, by Newton's method,
// and returns the sum of the squared distances.
func refoot(c Cubic, points []Point, ts []float64) float64 {
	sum := 0.0
	for i, p := range points {
		t := ts[i]
		for range 4 {
			d, w := c.Deriv(t), c.At(t).Sub(p)
			slope := d.Dot(d) + w.Dot(c.Deriv2(t))
			if slope <= 0 {
				slope = d.Dot(d)
			}
			if slope == 0 {
				break
			}
			t = math.Min(1, math.Max(0, t-w.Dot(d)/slope))
		}
		ts[i] = t
		d := c.At(t).Sub(p)
		sum += d.Dot(d)
	}
	return sum
}

// step makes one least-squares step of the freedoms: on the distances along
// the normals, or on both coordinates.
func step(c Cubic, points []Point, ts []float64, free []freedom, normal bool, damping float64) Cubic {
	n := len(free)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n+1)
	}
	row := make([]float64, n)
	for i, p := range points {
		t := ts[i]
		s := 1 - t
		weight := [4]float64{s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t}
		axes := []Point{{1, 0}, {0, 1}}
		if normal {
			axes = []Point{c.Tangent(t).Left()}
		}
		miss := p.Sub(c.At(t))
		for _, axis := range axes {
			for k, f := range free {
				row[k] = weight[f.control] * f.dir.Dot(axis)
			}
			r := miss.Dot(axis)
			for j := range n {
				for k := range n {
					m[j][k] += float64(row[j] * row[k])
				}
				m[j][n] += float64(row[j] * r)
			}
		}
	}
	control := [4]Point{c.P0, c.P1, c.P2, c.P3}
	for k, x := range solveDamped(m, damping) {
		control[free[k].control] = control[free[k].control].Add(free[k].dir.Mul(x))
	}
	return Cubic{control[0], control[1], control[2], control[3]}
}

// solveDamped solves the normal equations m·x = last column by elimination,
// with a share of the mean diagonal added to each; zero where nothing is known.
func solveDamped(m [][]float64, damping float64) []float64 {
	n := len(m)
	mean := 0.0
	for i := range m {
		mean += m[i][i] / float64(n)
	}
	for i := range m {
		m[i][i] += float64(damping*mean) + 1e-300
	}
	for i := range m {
		for j := i + 1; j < n; j++ {
			f := m[j][i] / m[i][i]
			for k := i; k <= n; k++ {
				m[j][k] -= float64(f * m[i][k])
			}
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		sum := m[i][n]
		for k := i + 1; k < n; k++ {
			sum -= float64(m[i][k] * x[k])
		}
		x[i] = sum / m[i][i]
	}
	return x
}

// smoothed returns the place and direction of travel of a run of points near
// the one with index k, from parabolas through its neighbours by least squares.
func smoothed(points []Point, k int) (at, dir Point) {
	h := min(fitSmooth, k, len(points)-1-k)
	at, dir = localParabola(points[max(0, k-h):min(len(points), k+h+1)], points[k])
	if dir == (Point{}) {
		dir = points[min(k+1, len(points)-1)].Sub(points[max(k-1, 0)]).Unit()
	}
	return at, dir
}

// localParabola fits x(s) and y(s), s the distance along the points' own
// principal direction from origin, and returns place and direction at origin.
func localParabola(points []Point, origin Point) (at, dir Point) {
	if len(points) < 3 {
		return origin, Point{}
	}
	_, u := principal(points)
	n := u.Right()
	// Measured in spans of the run, so that the damping is alike for all three
	// unknowns.
	span := points[0].Dist(points[len(points)-1])
	if span == 0 {
		return origin, Point{}
	}
	m := make([][]float64, 3)
	for i := range m {
		m[i] = make([]float64, 4)
	}
	for _, p := range points {
		s, y := p.Sub(origin).Dot(u)/span, p.Sub(origin).Dot(n)
		row := [3]float64{1, s, s * s}
		for i := range 3 {
			for j := range 3 {
				m[i][j] += float64(row[i] * row[j])
			}
			m[i][3] += float64(row[i] * y)
		}
	}
	x := solveDamped(m, 1e-12)
	return origin.Add(n.Mul(x[0])), u.Add(n.Mul(x[1] / span)).Unit()
}
