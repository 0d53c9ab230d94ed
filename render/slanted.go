package render

import (
	"math"

	"toile/geom"
)

// segment is a straight line between two points.
type segment struct{ a, b geom.Point }

// near reports whether the segment's bounds touch the box.
func (s segment) near(b geom.Box) bool {
	return math.Min(s.a.X, s.b.X) <= b.Max.X && math.Max(s.a.X, s.b.X) >= b.Min.X &&
		math.Min(s.a.Y, s.b.Y) <= b.Max.Y && math.Max(s.a.Y, s.b.Y) >= b.Min.Y
}

// crosses reports whether two segments cross properly.
func crosses(s, t segment) bool {
	d, e := s.b.Sub(s.a), t.b.Sub(t.a)
	return d.Cross(t.a.Sub(s.a))*d.Cross(t.b.Sub(s.a)) < 0 && e.Cross(s.a.Sub(t.a))*e.Cross(s.b.Sub(t.a)) < 0
}

// slantedBox is a rectangle turned about its centre, clockwise as seen.
type slantedBox struct {
	centre, half geom.Point
	angle        float64
}

// corners returns the four corners, clockwise.
func (b slantedBox) corners() [4]geom.Point {
	u, v := geom.Pt(b.half.X, 0).Turn(b.angle), geom.Pt(0, b.half.Y).Turn(b.angle)
	return [4]geom.Point{
		b.centre.Sub(u).Sub(v), b.centre.Add(u).Sub(v), b.centre.Add(u).Add(v), b.centre.Sub(u).Add(v),
	}
}

func (b slantedBox) bounds() geom.Box {
	box := geom.EmptyBox()
	for _, c := range b.corners() {
		box = box.Extend(c)
	}
	return box
}

func (b slantedBox) inside(bounds geom.Box) bool {
	own := b.bounds()
	return bounds.Holds(own.Min) && bounds.Holds(own.Max)
}

// overlaps reports whether two boxes share more than a border, by the
// separating axis theorem: two convex shapes are apart when they are apart
// along the normal of one of their sides.
func (b slantedBox) overlaps(o slantedBox) bool {
	gap := o.centre.Sub(b.centre)
	for _, angle := range []float64{b.angle, b.angle + math.Pi/2, o.angle, o.angle + math.Pi/2} {
		axis := geom.Pt(1, 0).Turn(angle)
		if math.Abs(gap.Dot(axis)) >= b.reach(axis)+o.reach(axis)-1e-9 {
			return false
		}
	}
	return true
}

// reach is half the box's extent along an axis.
func (b slantedBox) reach(axis geom.Point) float64 {
	a := axis.Turn(-b.angle)
	return b.half.X*math.Abs(a.X) + b.half.Y*math.Abs(a.Y)
}

// own turns a point into the box's frame.
func (b slantedBox) own(p geom.Point) geom.Point { return p.Sub(b.centre).Turn(-b.angle) }

// nearest returns the point of the box nearest to p.
func (b slantedBox) nearest(p geom.Point) geom.Point {
	q := b.own(p)
	q.X = math.Max(-b.half.X, math.Min(b.half.X, q.X))
	q.Y = math.Max(-b.half.Y, math.Min(b.half.Y, q.Y))
	return q.Turn(b.angle).Add(b.centre)
}

// meets reports whether the segment runs through the box. Method: the segment
// cut by the two pairs of sides (Liang and Barsky, 1984).
func (b slantedBox) meets(s segment) bool {
	p, q := b.own(s.a), b.own(s.b)
	from, to := 0.0, 1.0
	clip := func(start, step, half float64) bool {
		if step == 0 {
			return math.Abs(start) < half
		}
		t0, t1 := (-half-start)/step, (half-start)/step
		from, to = math.Max(from, math.Min(t0, t1)), math.Min(to, math.Max(t0, t1))
		return from < to
	}
	return clip(p.X, q.X-p.X, b.half.X) && clip(p.Y, q.Y-p.Y, b.half.Y)
}
