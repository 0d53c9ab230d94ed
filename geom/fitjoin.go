package geom

// joined fits a spline with nodes near the points with the indices at; lines
// says which of its curves are straight, nil for none. It starts from curves
// fitted one by one.
func (f fitter) joined(points []Point, at []int, lines []bool, ends fitEnds) *spline {
	m := len(at) - 1
	s := &spline{fitCare: f.care, points: points, ends: ends, lines: lines,
		on: make([]int, len(points)), t: make([]float64, len(points))}
	s.tame = s.tame || m > 1
	if lines == nil {
		s.lines = make([]bool, m)
	}
	for k := range m {
		c, t := f.piece(points[at[k]:at[k+1]+1], s.lines[k], ends.of(k == 0, k == m-1))
		s.curves = append(s.curves, c)
		for i, u := range t {
			s.on[at[k]+i], s.t[at[k]+i] = k, min(1, max(0, u))
		}
	}
	for k := 1; k < m; k++ {
		i := at[k]
		s.join(k, points[min(i+1, len(points)-1)].Sub(points[max(i-1, 0)]))
	}
	s.sanitize()
	s.solve()
	return s
}

// sanitize brings the handles within the bounds that sane keeps, from which
// else no step would lead.
func (s *spline) sanitize() {
	reach := s.reaches()
	for i := range s.curves {
		c := &s.curves[i]
		a, b := c.P1.Sub(c.P0), c.P3.Sub(c.P2)
		first, second := a.Len(), b.Len()
		if s.lines[i] || first == 0 || second == 0 {
			continue
		}
		least, most := 1.05*fitHandle*c.P0.Dist(c.P3), reach[i]
		first, second = max(least, min(first, most)), max(least, min(second, most))
		if sum := first + second; s.tame && sum > fitHandles*reach[i] {
			first, second = first*fitHandles*reach[i]/sum, second*fitHandles*reach[i]/sum
		}
		c.P1, c.P2 = c.P0.Add(a.Unit().Mul(first)), c.P3.Sub(b.Unit().Mul(second))
	}
}

// piece fits one curve of those to be joined, between the feet of its first
// and last points, and returns the parameters of the points on it.
func (f fitter) piece(points []Point, line bool, ends fitEnds) (Cubic, []float64) {
	if line {
		a, b := leastLine(points)
		return Line(a, b), chordParams(points)
	}
	if len(points) <= fitFew {
		return Line(points[0], points[len(points)-1]), chordParams(points)
	}
	s := f.oneCurve(points, ends, false)
	t0, t1 := s.t[0], s.t[len(s.t)-1]
	if ends.fixedA {
		t0 = 0
	}
	if ends.fixedB {
		t1 = 1
	}
	if t1-t0 < 0.1 || t0 == 0 && t1 == 1 {
		return s.curves[0], s.t
	}
	for i, t := range s.t {
		s.t[i] = (t - t0) / (t1 - t0)
	}
	return s.curves[0].Part(t0, t1), s.t
}

// join gives the curves before and after node k one place and one tangent;
// where they run against each other, that of along.
func (s *spline) join(k int, along Point) {
	a, b := &s.curves[k-1], &s.curves[k]
	in, out := a.Tangent(1), b.Tangent(0)
	node, dir := a.P3.Lerp(b.P0, 0.5), in.Add(out).Unit()
	switch {
	case s.lines[k-1]:
		node, dir = a.P3, in
	case s.lines[k]:
		node, dir = b.P0, out
	case in.Dot(out) < 0 || dir == (Point{}):
		dir = along.Unit()
	}
	if dir == (Point{}) {
		dir = Pt(1, 0)
	}
	handle := func(c *Cubic, length float64) Point {
		chord := c.P0.Dist(c.P3)
		return dir.Mul(min(length, chord) + 1e-12)
	}
	if !s.lines[k-1] {
		h := handle(a, a.P3.Dist(a.P2))
		a.P3, a.P2 = node, node.Sub(h)
	}
	if !s.lines[k] {
		h := handle(b, b.P1.Dist(b.P0))
		b.P0, b.P1 = node, node.Add(h)
	}
}
