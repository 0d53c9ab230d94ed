package match

import (
	"math"
	"slices"

	"toile/geom"
)

// refined brings a candidate to its best fit.
func (l *layer) refined(m geom.Motion) geom.Motion {
	m = l.settle(m, 8*l.tol)
	if l.drawn {
		m = l.onUnchanged(m, 0, nil)
	}
	return m
}

// settle narrows to a few tolerances and repeats until nothing moves; then
// once more on a width taken from the distances themselves, so that where the
// outlines coincide exactly, a part that leaves slowly, as beside a pivot,
// loses its say.
func (l *layer) settle(m geom.Motion, width float64) geom.Motion {
	const rounds, leastWidth = 30, 1e-7 // mm
	still := 1e-11 * l.old.length
	if l.drawn {
		still = l.tol / 100
	}
	for range rounds {
		next := l.exactStep(m, width)
		m = next.motion
		if width > 3*l.tol {
			width = math.Max(3*l.tol, width/2)
		} else if next.by < still {
			break
		}
	}
	for range rounds {
		next := l.exactStep(m, width)
		narrower := math.Max(leastWidth, 6*next.median)
		if next.by < still && narrower > width/2 {
			break
		}
		m, width = next.motion, math.Min(width, narrower)
	}
	return m
}

// exactStep is a step of the whole motion on the true curves.
func (l *layer) exactStep(m geom.Motion, width float64) stepped {
	new, plain := l.side(m)
	next := l.step(new, plain, width, new.nearest)
	if m.Mirror {
		next.motion = geom.Motion{Mirror: true}.Then(next.motion)
	}
	slices.SortFunc(l.contacts, func(a, b contact) int {
		switch {
		case a.dist < b.dist:
			return -1
		case a.dist > b.dist:
			return 1
		}
		return 0
	})
	if n := len(l.contacts); n > 0 {
		next.median = l.contacts[n/2].dist
	}
	return next
}

// stepped is what one step gave.
type stepped struct {
	motion geom.Motion
	by     float64 // mm by which it moved at most
	median float64 // mm, of the distances before it of what counted
}

// contact is a place on the laid new outline beside a sample of the old one.
type contact struct {
	at, square, off geom.Point // square: unit direction across; off: from there to the sample
	dist            float64
}

// step makes one weighted least-squares step on the distances square to the
// outline, with Tukey's weights for the width. Directions in which the outline
// glides along itself stay as they are.
func (l *layer) step(new *outline, m geom.Motion, width float64, find finding) stepped {
	there, back := placed(m), placed(m.Inverse())
	e := l.newEquations(there.apply(new.centre))
	l.contacts = l.contacts[:0]
	for _, s := range l.old.samples {
		f, ok := find(back.apply(s.at), width)
		if !ok || there.vector(f.way).Dot(s.way) < sameWay {
			continue
		}
		at := there.apply(f.at)
		off := s.at.Sub(at)
		c := contact{at, there.vector(f.along).Left(), off, off.Len()}
		u := c.dist / width
		e.add(c, (1-u*u)*(1-u*u))
		l.contacts = append(l.contacts, c)
	}
	turn, by, ok := e.solve()
	if !ok {
		return stepped{motion: m}
	}
	return stepped{motion: m.Then(turn), by: by}
}

// equations gather distances square to an outline for a small motion about a
// centre.
type equations struct {
	n      normal
	centre geom.Point
	size   float64 // mm, by which turns are scaled to be like shifts
	still  float64
}

func (l *layer) newEquations(centre geom.Point) equations {
	// By how much sides that are parallel but for the noise differ in direction
	// must not make an outline glide along them.
	const exact, drawn = 1e-9, 1e-3
	e := equations{centre: centre, size: math.Max(1, l.old.length/4), still: exact}
	if l.drawn {
		e.still = drawn
	}
	return e
}

func (e *equations) add(c contact, weight float64) {
	e.n.add([3]float64{c.square.X, c.square.Y, c.square.Dot(c.at.Sub(e.centre).Right()) / e.size}, c.square.Dot(c.off), weight)
}

// solve gives the small motion, and by how many mm it moves at most.
func (e *equations) solve() (m geom.Motion, by float64, ok bool) {
	d, ok := e.n.solve(e.still)
	if !ok {
		return m, 0, false
	}
	m.Turn = d[2] / e.size
	m.Shift = e.centre.Sub(m.Apply(e.centre)).Add(geom.Pt(d[0], d[1]))
	return m, math.Abs(d[0]) + math.Abs(d[1]) + math.Abs(d[2]), true
}

// normal holds the normal equations of a step: two shifts and a turn.
type normal struct {
	a [3][3]float64
	b [3]float64
}

func (n *normal) add(row [3]float64, off, weight float64) {
	for i := range 3 {
		for j := range 3 {
			n.a[i][j] += weight * row[i] * row[j]
		}
		n.b[i] += weight * row[i] * off
	}
}

// solve solves the symmetric positive system by Cholesky's method with a
// weight on standing still, a share of all, so that what the samples leave
// open stays (Levenberg).
func (n normal) solve(still float64) (x [3]float64, ok bool) {
	a, b := n.a, n.b
	trace := a[0][0] + a[1][1] + a[2][2]
	if !(trace > 0) {
		return x, false
	}
	var c [3][3]float64
	for i := range 3 {
		a[i][i] += still * trace
		for j := 0; j <= i; j++ {
			sum := a[i][j]
			for k := range j {
				sum -= c[i][k] * c[j][k]
			}
			if i != j {
				c[i][j] = sum / c[j][j]
				continue
			}
			if !(sum > 0) {
				return x, false
			}
			c[i][i] = math.Sqrt(sum)
		}
	}
	for i := range 3 {
		for k := range i {
			b[i] -= c[i][k] * b[k]
		}
		b[i] /= c[i][i]
	}
	for i := 2; i >= 0; i-- {
		for k := i + 1; k < 3; k++ {
			b[i] -= c[k][i] * b[k]
		}
		b[i] /= c[i][i]
	}
	return b, true
}
