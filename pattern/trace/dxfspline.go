package trace

import (
	"math"
	"slices"

	"toile/geom"
)

const (
	// maxDegree is the highest degree of a spline that is read; programs write 3,
	// some 5.
	maxDegree = 11

	// splineWithin is how near in drawing units cubics come to a curve that is
	// none: one with weights, or of a higher degree.
	splineWithin = 1e-4

	// splineHalvings bounds how often a stretch is halved for that.
	splineHalvings = 12
)

// weighted is a point with its weight, both multiplied: x·w, y·w, w.
type weighted [3]float64

func (p weighted) mix(q weighted, t float64) weighted {
	for i := range p {
		p[i] = float64((1-t)*p[i]) + float64(t*q[i])
	}
	return p
}

func (p weighted) point() geom.Point { return geom.Pt(p[0]/p[2], p[1]/p[2]) }

// spline reads a SPLINE: degree, knots, control points and weights, or points
// that it goes through where there are no others. Without weights and up to the
// third degree the cubics are the spline itself, else within splineWithin.
func (d *dxfDrawing) spline(e *dxfEntity, f *dxfFields) {
	degree := f.integer(71, 3)
	e.closed = f.integer(70, 0)&1 != 0
	knots, weights := f.numbers(40), f.numbers(41)
	control, fit := f.points(10), f.points(11)
	f.keep(d.countPoints(f.line, len(control)+len(fit)))
	if f.err != nil {
		return
	}
	if len(control) == 0 {
		e.path = throughFit(fit, e.closed)
		if e.path == nil {
			f.keep(problem(f.line, "it has no points"))
		}
		return
	}
	if f.err = checkSpline(f.line, degree, knots, weights, control); f.err != nil {
		return
	}
	points := make([]weighted, len(control))
	even := true
	for i, p := range control {
		w := 1.0
		if len(weights) > 0 {
			w = weights[i]
		}
		even = even && w == points[0].weightOr(w)
		points[i] = weighted{p.X * w, p.Y * w, w}
	}
	for k := degree; k < len(control); k++ {
		if knots[k] < knots[k+1] {
			e.path = append(e.path, cubicsOf(spanOf(points, knots, degree, k), even)...)
		}
	}
	if len(e.path) == 0 {
		f.keep(problem(f.line, "its knots are all the same"))
	}
}

// weightOr is the weight, or w where there is none yet.
func (p weighted) weightOr(w float64) float64 {
	if p[2] == 0 {
		return w
	}
	return p[2]
}

func checkSpline(line, degree int, knots, weights []float64, control []geom.Point) error {
	n := len(control)
	switch {
	case degree < 1 || degree > maxDegree:
		return problem(line, "its degree is %d; 1 to %d are read", degree, maxDegree)
	case n < degree+1:
		return problem(line, "%d control points are too few for degree %d", n, degree)
	case len(knots) != n+degree+1:
		return problem(line, "%d control points of degree %d need %d knots, and there are %d", n, degree, n+degree+1, len(knots))
	case !slices.IsSorted(knots):
		return problem(line, "its knots do not rise")
	case len(weights) > 0 && len(weights) != n:
		return problem(line, "%d weights for %d control points", len(weights), n)
	}
	for _, w := range weights {
		if !(w > 1e-9 && w < 1e9) {
			return problem(line, "a weight is %g", w)
		}
	}
	return nil
}

// throughFit lays a smooth curve through the points.
func throughFit(points []geom.Point, closed bool) geom.Path {
	points = slices.CompactFunc(points, func(a, b geom.Point) bool { return a == b })
	if n := len(points); closed && n > 1 && points[0] == points[n-1] {
		points = points[:n-1]
	}
	switch {
	case len(points) < 2:
		return nil
	case closed && len(points) > 2:
		return geom.ThroughClosed(points)
	}
	return geom.Through(points)
}

// spanOf gives the Bézier points of one span of knots. Method: the polar form
// (blossom) at the span's ends, Ramshaw 1987, by de Boor's triangle.
func spanOf(control []weighted, knots []float64, degree, k int) []weighted {
	out := make([]weighted, degree+1)
	d := make([]weighted, degree+1)
	for j := range out {
		copy(d, control[k-degree:k+1])
		for r := 1; r <= degree; r++ {
			at := knots[k]
			if r > degree-j {
				at = knots[k+1]
			}
			for i := degree; i >= r; i-- {
				from, to := knots[k-degree+i], knots[i+1+k-r]
				d[i] = d[i-1].mix(d[i], (at-from)/(to-from))
			}
		}
		out[j] = d[degree]
	}
	return out
}

// cubicsOf makes cubics of a Bézier curve of any degree.
func cubicsOf(b []weighted, even bool) geom.Path {
	if even && len(b) <= 4 {
		p := make([]geom.Point, len(b))
		for i := range b {
			p[i] = b[i].point()
		}
		switch len(p) {
		case 2:
			return geom.Path{geom.Line(p[0], p[1])}
		case 3:
			return geom.Path{geom.Quadratic(p[0], p[1], p[2])}
		}
		return geom.Path{{P0: p[0], P1: p[1], P2: p[2], P3: p[3]}}
	}
	return nearCubics(b, splineHalvings)
}

// nearCubics halves a curve until the cubic with its ends and directions lies
// within splineWithin of it, point by point.
func nearCubics(b []weighted, halvings int) geom.Path {
	from, to := b[0].point(), b[len(b)-1].point()
	n := float64(len(b) - 1)
	first := b[1].point().Sub(from).Mul(n * b[1][2] / b[0][2] / 3)
	last := to.Sub(b[len(b)-2].point()).Mul(n * b[len(b)-2][2] / b[len(b)-1][2] / 3)
	c := geom.Cubic{P0: from, P1: from.Add(first), P2: to.Sub(last), P3: to}
	off := 0.0
	for _, t := range [3]float64{0.25, 0.5, 0.75} {
		l, _ := halved(b, t)
		off = math.Max(off, l[len(l)-1].point().Dist(c.At(t)))
	}
	if off <= splineWithin || halvings == 0 {
		return geom.Path{c}
	}
	l, r := halved(b, 0.5)
	return append(nearCubics(l, halvings-1), nearCubics(r, halvings-1)...)
}

// halved divides a Bézier curve (de Casteljau).
func halved(b []weighted, t float64) (l, r []weighted) {
	d := slices.Clone(b)
	n := len(b)
	l, r = make([]weighted, n), make([]weighted, n)
	for i := range n {
		l[i], r[n-1-i] = d[0], d[n-1-i]
		for k := 0; k < n-1-i; k++ {
			d[k] = d[k].mix(d[k+1], t)
		}
	}
	return l, r
}

// numbers are all values under a code.
func (f *dxfFields) numbers(code int) []float64 {
	var out []float64
	for _, g := range f.groups {
		if g.code == code {
			v, err := g.number()
			f.keep(err)
			out = append(out, v)
		}
	}
	return out
}

// points are all points under a code; y follows x.
func (f *dxfFields) points(code int) []geom.Point {
	var out []geom.Point
	for _, g := range f.groups {
		if g.code != code && g.code != code+10 {
			continue
		}
		v, err := g.number()
		f.keep(err)
		if g.code == code {
			out = append(out, geom.Pt(v, 0))
		} else if n := len(out); n > 0 {
			out[n-1].Y = v
		}
	}
	return out
}
