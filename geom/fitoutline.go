package geom

import (
	"math"
	"slices"
)

const (
	// outlineLeast is the number of different points an outline needs.
	outlineLeast = 8
	// ringOverlap is the number of points for which an outline without breaks
	// goes on beyond its start, at both ends, when it is fitted.
	ringOverlap = 15
)

// FitOptions are the settings of FitOutline; zero values stand for the
// defaults.
type FitOptions struct {
	// CornerTurn is the turn in radians from which a break is a corner; 20° by
	// default.
	CornerTurn float64
	// Tolerance in mm that the fit need not beat even on points without noise;
	// 0.02 by default.
	Tolerance float64
}

func (o FitOptions) orDefault() FitOptions {
	if !(o.CornerTurn > 0) {
		o.CornerTurn = 20 * math.Pi / 180
	}
	if !(o.Tolerance > 0) || math.IsInf(o.Tolerance, 0) {
		o.Tolerance = 0.02
	}
	return o
}

// FitOutline returns a ring of cubics and lines through the dense, noisy,
// about evenly spaced points of a closed outline, in their direction. corners
// are the indices of the curves that start at a corner, rising: where the
// fitted directions differ by CornerTurn or more. At a lesser break the ring
// turns too, but no corner is told. The ring starts at the first corner at or
// after the first point, to within a point; without corners at the first
// break, or without those at the first point that lies on a curve. noise is
// the estimated standard deviation of the points square to the outline, in mm.
// Fewer than eight different points give a nil ring.
//
// Method, in this order:
//   - the noise, of each point by itself, from the distances of five points in
//     a row from a parabola (outlineNoise);
//   - breaks, by dividing the run into straight stretches and laying
//     polynomials on either side of where two meet (breaks);
//   - the noise of neighbours together, from what one cubic leaves of long
//     stretches (runNoise): waves of the hand up to about a third of a
//     millimetre high are noise and no shape;
//   - breaks that a smooth curve or a rounded corner explains as well are left
//     out (prune);
//   - each run between breaks gets the cheapest of a line, a parabola, a cubic,
//     cubics joined smoothly, and lines joined by cubics, where an unknown more
//     has to explain unknownPrice variances (run);
//   - a corner is put where its two fitted neighbours meet, not at a noisy
//     point.
//
// Accuracy, over the generated garment parts of docs/accuracy.md, points every
// 1 to 3 mm, noise up to 0.2 mm: corners that turn by 25° or more, of edges of
// 15 mm or more, are found in more than 99 of 100 cases, nine in ten within
// 0.4 mm; straight edges come back as one line each where the points scatter
// each by itself. Nearer to CornerTurn the noise decides which side of it the
// fitted turn is on. Edges of fewer than three points, and roundings that cut
// off the tip by less than about three deviations of the noise, are not seen.
//
// Degenerate input: points equal to the one before, not finite, or beyond
// ±1e12 mm are passed over. Points at random, all in a line, or there and back
// give some ring, finite and closed.
func FitOutline(points []Point, options FitOptions) (ring Ring, corners []int, noise float64) {
	o := options.orDefault()
	points = distinct(points)
	for len(points) > 1 && points[0].Dist(points[len(points)-1]) <= 1e-9 {
		points = points[:len(points)-1]
	}
	if len(points) < outlineLeast {
		return nil, nil, 0
	}
	noise = outlineNoise(points)
	alone := max(noise, o.Tolerance/3)
	f := outlineFit{points: points, at: breaks(points, alone)}
	f.model = runNoise(f.runs(), alone)
	if f.model.sigma > alone {
		noise = f.model.sigma
	}
	f.settle()
	f.prune()
	f.settle()
	for {
		f.fits = nil
		for _, run := range f.runs() {
			f.fits = append(f.fits, f.model.run(run))
		}
		if len(f.at) == 0 {
			return f.smoothRing(), nil, noise
		}
		ends := f.ends()
		k := f.reversed(ends)
		if k < 0 {
			ring, corners = f.assembled(ends, o.CornerTurn)
			return ring, corners, noise
		}
		f.leaveOut(k, 1)
	}
}

// outlineFit is an outline being fitted: breaks lie before the points with the
// indices at, and fits are the runs after them.
type outlineFit struct {
	points []Point
	model  noiseModel
	at     []int
	fits   []runFit
	sides  map[sideOf]runFit // found so far
}

// runs are the points between the breaks; all of them when there are none.
func (f *outlineFit) runs() [][]Point {
	if len(f.at) == 0 {
		return [][]Point{f.points}
	}
	var runs [][]Point
	for k, i := range f.at {
		runs = append(runs, f.stretch(i, f.at[(k+1)%len(f.at)]))
	}
	return runs
}

// stretch is the points from index i on up to before j, going round; all when
// they are the same.
func (f *outlineFit) stretch(i, j int) []Point {
	n := len(f.points)
	i, j = (i+n)%n, (j+n)%n
	if i < j {
		return f.points[i:j:j]
	}
	return slices.Concat(f.points[i:], f.points[:j])
}

// runEnds are where the runs meet: the place and the turn before each, and the
// parameters of the places on its first curve and on its last.
type runEnds struct {
	places     []Point
	turns      []float64
	start, end []float64
}

// ends carries the runs on, or cuts them, to where they meet.
func (f *outlineFit) ends() runEnds {
	m := len(f.at)
	e := runEnds{make([]Point, m), make([]float64, m), make([]float64, m), make([]float64, m)}
	for k := range f.at {
		before := (k + m - 1) % m
		in, on := f.fits[before].cutTo(), f.fits[k].cutTo()
		a, b := in[len(in)-1], on[0]
		t, u, at, ok := meetOn(a, b)
		if !ok {
			t, u, at = joinBetween(a, b)
		}
		e.end[before], e.start[k], e.places[k] = t, u, at
		e.turns[k] = math.Abs(AngleBetween(a.Tangent(t), b.Tangent(u)))
	}
	return e
}

// reversed returns the break with the lesser turn at a run that its meetings
// leave hardly anything of, or turn round; −1 when there is none.
func (f *outlineFit) reversed(e runEnds) int {
	m := len(f.at)
	for k := range f.at {
		next := (k + 1) % m
		points := f.fits[k].points
		along := points[len(points)-1].Sub(points[0])
		if m < 2 || along.Dot(e.places[next].Sub(e.places[k])) >= along.Dot(along)/4 || polylineLength(points) > 2*along.Len() {
			continue
		}
		if e.turns[next] < e.turns[k] {
			return next
		}
		return k
	}
	return -1
}

// assembled joins the runs at the breaks, from the first corner on.
func (f *outlineFit) assembled(e runEnds, cornerTurn float64) (ring Ring, corners []int) {
	m := len(f.at)
	first := max(0, slices.IndexFunc(e.turns, func(turn float64) bool { return turn >= cornerTurn }))
	for i := range m {
		k := (first + i) % m
		if e.turns[k] >= cornerTurn {
			corners = append(corners, len(ring))
		}
		p, lines := f.fits[k].cutTo(), f.fits[k].lines
		last := len(p) - 1
		from, to := e.places[k], e.places[(k+1)%m]
		if last == 0 {
			p[0] = p[0].Part(e.start[k], e.end[k]).endsAt(lines[0], from, to)
		} else {
			p[0] = p[0].Part(e.start[k], 1).endsAt(lines[0], from, p[1].P0)
			p[last] = p[last].Part(0, e.end[k]).endsAt(lines[last], p[last-1].P3, to)
		}
		ring = append(ring, p...)
	}
	return ring, corners
}

// endsAt gives a curve exact ends, its handles kept; a line stays straight.
func (c Cubic) endsAt(line bool, a, b Point) Cubic {
	if line {
		return Line(a, b)
	}
	return Cubic{a, c.P1.Add(a.Sub(c.P0)), c.P2.Add(b.Sub(c.P3)), b}
}

// meetOn returns where the end of a meets the start of b, both carried on as
// the polynomials they are, by Newton's method; not farther than half of their
// chords, or than the ends are apart and a half.
func meetOn(a, b Cubic) (t, u float64, at Point, ok bool) {
	gap := 1.5 * a.P3.Dist(b.P0)
	beyondA := max(0.5, gap/a.P0.Dist(a.P3))
	beyondB := max(0.5, gap/b.P0.Dist(b.P3))
	t, u = 1, 0
	for range 20 {
		d, e, off := a.Deriv(t), b.Deriv(u), b.At(u).Sub(a.At(t))
		cross := d.Cross(e)
		if !(math.Abs(cross) >= 1e-3*d.Len()*e.Len()) || cross == 0 {
			return 0, 0, Point{}, false
		}
		dt, du := off.Cross(e)/cross, off.Cross(d)/cross
		t, u = t+dt, u+du
		if !(math.Abs(t-1) <= beyondA && math.Abs(u) <= beyondB && t > 0.1 && u < 0.9) {
			return 0, 0, Point{}, false
		}
		if math.Abs(dt)+math.Abs(du) < 1e-14 {
			break
		}
	}
	p, q := a.At(t), b.At(u)
	return t, u, p.Lerp(q, 0.5), p.Dist(q) <= 1e-9*(1+a.hull()+b.hull())
}

// joinBetween returns where the end of a and the start of b may be joined when
// they do not meet: in the middle of the gap, carried on to there.
func joinBetween(a, b Cubic) (t, u float64, at Point) {
	mid := a.P3.Lerp(b.P0, 0.5)
	p, q := a.powers(), b.powers()
	t, u = p.foot(mid, 1, 0.9, 1.1), q.foot(mid, 0, -0.1, 0.1)
	return t, u, a.At(t).Lerp(b.At(u), 0.5)
}

// smoothRing fits an outline without breaks, as a run that goes on beyond its
// start at both ends and is cut in the middle of what is there twice.
func (f *outlineFit) smoothRing() Ring {
	n := len(f.points)
	// From the first point on a curve, so that no straight line is divided.
	from := max(0, slices.IndexFunc(f.fits[0].on, func(k int) bool { return !f.fits[0].lines[k] }))
	twice := min(ringOverlap, n/4)
	s := f.model.run(slices.Concat(f.stretch(from-twice, from), f.stretch(from, from), f.stretch(from, from+twice)))
	ring := Ring(Path(s.curves).Between(Place{s.on[twice], s.t[twice]}, Place{s.on[n+twice], s.t[n+twice]}))
	first, last := &ring[0], &ring[len(ring)-1]
	if m := len(ring) - 1; m > 1 && last.hull() < ring[m-1].hull()/20 {
		// What is left before the start is too short for a curve.
		beyond := last.P0.Dist(last.P3)
		last = &ring[m-1]
		*last = last.Part(0, 1+beyond/last.Deriv(1).Len())
		ring = ring[:m]
	}
	node, dir := first.P0.Lerp(last.P3, 0.5), first.Tangent(0).Add(last.Tangent(1)).Unit()
	out, in := first.P1.Dist(first.P0), last.P3.Dist(last.P2)
	first.P0, first.P1 = node, node.Add(dir.Mul(out))
	last.P2, last.P3 = node.Sub(dir.Mul(in)), node
	return ring
}
