package match

import (
	"math"
	"sort"

	"toile/geom"
)

// refined brings a candidate to its best fit: at once on what coincides
// already, else by narrowing from widthAtFirst.
func (l *layer) refined(m geom.Motion) Pose {
	const enough = 0.4 // of the boundary: then the candidate was right to begin with
	p := l.measured(l.settle(m, 8*l.tol))
	if p.Matched >= enough {
		return p
	}
	const widthAtFirst = 6.0 // mm; a corner 1 mm off on a short chord swings the far end by that much
	n := m
	for width := math.Max(widthAtFirst, 30*l.tol); width > 8*l.tol; width /= 2 {
		for range 3 {
			n = l.step(n, width).motion
		}
	}
	if q := l.measured(l.settle(n, 8*l.tol)); q.Matched > p.Matched {
		return q
	}
	return p
}

// settle narrows to a few tolerances and repeats until nothing moves; then
// once more on a width taken from the distances themselves, so that where the
// outlines coincide exactly, a part that leaves slowly, as beside a pivot,
// loses its say.
func (l *layer) settle(m geom.Motion, width float64) geom.Motion {
	const rounds, leastWidth = 30, 1e-7 // mm
	still := 1e-11 * l.old.length
	for range rounds {
		next := l.step(m, width)
		m = next.motion
		if width > 3*l.tol {
			width = math.Max(3*l.tol, width/2)
		} else if next.by < still {
			break
		}
	}
	for range rounds {
		next := l.step(m, width)
		narrower := math.Max(leastWidth, 6*next.median)
		if next.by < still && narrower > width/2 {
			break
		}
		m, width = next.motion, math.Min(width, narrower)
	}
	return m
}

// side returns the outline that a motion moves and the motion of it.
func (l *layer) side(m geom.Motion) (*outline, geom.Motion) {
	if !m.Mirror {
		return l.new, m
	}
	return l.flipped, geom.Motion{Mirror: true}.Then(m)
}

// stepped is what one step gave.
type stepped struct {
	motion geom.Motion
	by     float64 // mm by which it moved at most
	median float64 // mm, of the distances before it of what counted
}

// step makes one weighted least-squares step on the distances square to the
// outline. Directions in which the outline glides along itself stay as they
// are.
func (l *layer) step(m geom.Motion, width float64) stepped {
	new, plain := l.side(m)
	back := plain.Inverse()
	centre, size := plain.Apply(new.centre), math.Max(1, l.old.length/4)
	var n normal
	var distances []float64
	for _, s := range l.old.samples {
		at, along, _, ok := new.nearest(back.Apply(s.at), width)
		if !ok {
			continue
		}
		q, dir := plain.Apply(at), plain.ApplyVector(along)
		if dir.Dot(s.along) < 0.9 {
			continue
		}
		off, square := s.at.Sub(q), dir.Left()
		u := off.Len() / width
		n.add([3]float64{square.X, square.Y, square.Dot(q.Sub(centre).Right()) / size}, square.Dot(off), (1-u*u)*(1-u*u))
		distances = append(distances, off.Len())
	}
	d, ok := n.solve()
	if !ok {
		return stepped{motion: m}
	}
	turn := geom.Motion{Turn: d[2] / size}
	turn.Shift = centre.Sub(turn.Apply(centre)).Add(geom.Pt(d[0], d[1]))
	sort.Float64s(distances)
	return stepped{m.Then(turn), math.Abs(d[0]) + math.Abs(d[1]) + math.Abs(d[2]), distances[len(distances)/2]}
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
// little weight on standing still, so that what the samples leave open stays.
func (n normal) solve() (x [3]float64, ok bool) {
	a, b := n.a, n.b
	trace := a[0][0] + a[1][1] + a[2][2]
	if !(trace > 0) {
		return x, false
	}
	const still = 1e-9
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

// measured lays the outlines over each other and measures what coincides,
// running the same way.
func (l *layer) measured(m geom.Motion) Pose {
	moved := l.new.ring.Moved(m)
	if m.Mirror {
		moved = moved.Reverse()
	}
	length, sum, n := 0.0, 0.0, 0
	for _, s := range geom.Match(l.old.ring, moved, l.tol) {
		if s.B0 > s.B1 {
			continue
		}
		c, d := l.old.ring[s.A], moved[s.B]
		length += c.LengthBetween(s.A0, s.A1)
		for k := range 3 {
			t := s.A0 + (float64(k)+0.5)/3*(s.A1-s.A0)
			_, dist := d.Nearest(c.At(t))
			sum, n = sum+dist*dist, n+1
		}
	}
	p := Pose{Motion: tidy(m), Matched: math.Min(1, length/l.old.length)}
	if n > 0 {
		p.Residual = math.Sqrt(sum / float64(n))
	}
	return p
}

// tidy brings the turn into (−π, π].
func tidy(m geom.Motion) geom.Motion {
	if m.Turn > math.Pi || m.Turn <= -math.Pi {
		m.Turn = math.Atan2(math.Sin(m.Turn), math.Cos(m.Turn))
	}
	return m
}
