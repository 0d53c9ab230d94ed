package match

import (
	"math"

	"toile/geom"
)

// nearby says which sample of an outline is nearest to a place: it is known
// for the middle of each cell of a grid.
type nearby struct {
	from         geom.Point
	cell         float64 // mm
	across, down int     // cells
	index        []int32 // of the dense sample, −1 where none is in reach
}

// mostCells is the greatest number of cells of the grid in one direction.
const mostCells = 192

// lookFrom prepares the outline for finding what lies within reach mm.
func (o *outline) lookFrom(reach float64) {
	size := o.box.Size()
	cell := math.Max(reach/4, (math.Max(size.X, size.Y)+2*reach)/mostCells)
	g := nearby{from: o.box.Min.Sub(geom.Pt(reach, reach)), cell: cell}
	g.across, g.down = int((size.X+2*reach)/cell)+1, int((size.Y+2*reach)/cell)+1
	g.index = make([]int32, g.across*g.down)
	dist := make([]float64, len(g.index))
	for k := range g.index {
		g.index[k], dist[k] = -1, math.Inf(1)
	}
	wide := int(reach/cell) + 1
	for i, s := range o.dense {
		x, y := g.at(s.at)
		for cy := max(0, y-wide); cy <= min(g.down-1, y+wide); cy++ {
			for cx := max(0, x-wide); cx <= min(g.across-1, x+wide); cx++ {
				off := g.from.Add(geom.Pt(float64(cx)+0.5, float64(cy)+0.5).Mul(cell)).Sub(s.at)
				if k, d := cy*g.across+cx, off.Dot(off); d < dist[k] {
					g.index[k], dist[k] = int32(i), d
				}
			}
		}
	}
	o.near = g
}

func (g *nearby) at(q geom.Point) (x, y int) {
	return int(math.Floor((q.X - g.from.X) / g.cell)), int(math.Floor((q.Y - g.from.Y) / g.cell))
}

// sampleNear gives the number of a dense sample near q: the nearest to the
// middle of its cell, and from there along the outline as long as it comes
// nearer. −1 says that none is in reach. Where two parts of the outline lie
// within a cell of each other, which for whole pieces is 6 mm, it may be on
// the wrong one.
func (o *outline) sampleNear(q geom.Point) int {
	g := &o.near
	x, y := g.at(q)
	if x < 0 || y < 0 || x >= g.across || y >= g.down || g.index[y*g.across+x] < 0 {
		return -1
	}
	i, n := int(g.index[y*g.across+x]), len(o.dense)
	d := q.Sub(o.dense[i].at)
	best := d.Dot(d)
	for _, by := range [2]int{1, n - 1} {
		for range n {
			j := i + by
			if j >= n {
				j -= n
			}
			d := q.Sub(o.dense[j].at)
			square := d.Dot(d)
			if square >= best {
				break
			}
			i, best = j, square
		}
	}
	return i
}

// foot is the place of an outline square below another place.
type foot struct {
	at, along, way geom.Point
}

// finding gives the foot of q within reach mm.
type finding func(q geom.Point, reach float64) (foot, bool)

// footNear takes the foot on the parabola that has the direction and curvature
// of the nearest sample, which leaves the curve by some 0.001 mm at half a
// step. Of a rough outline it is the foot on a line through the sample.
func (o *outline) footNear(q geom.Point, reach float64) (foot, bool) {
	i := o.sampleNear(q)
	if i < 0 {
		return foot{}, false
	}
	s := &o.dense[i]
	off := q.Sub(s.at)
	t := off.Dot(s.along)
	if math.Abs(t) > o.step {
		return foot{}, false
	}
	f := foot{s.at.Add(s.along.Mul(t)), s.along, s.way}
	if s.bend != 0 {
		right := s.along.Right()
		f.at = f.at.Add(right.Mul(s.bend * t * t / 2))
		f.along = s.along.Add(right.Mul(s.bend * t)).Unit()
	}
	d := q.Sub(f.at)
	return f, d.Dot(d) <= reach*reach
}

// nearest gives the foot on the true curve; of rough outlines as footNear.
func (o *outline) nearest(q geom.Point, reach float64) (foot, bool) {
	if o.rough {
		return o.footNear(q, reach)
	}
	i := o.sampleNear(q)
	if i < 0 {
		return foot{}, false
	}
	const rounding = 1e-9 // mm, and of the distance
	dist := math.Min(reach, q.Dist(o.dense[i].at)*(1+rounding)+rounding)
	best, t := -1, 0.0
	for k, b := range o.boxes {
		dx := math.Max(b.Min.X-q.X, q.X-b.Max.X)
		dy := math.Max(b.Min.Y-q.Y, q.Y-b.Max.Y)
		if dx > dist || dy > dist {
			continue
		}
		if u, d := o.ring[k].Nearest(q); d <= dist {
			best, t, dist = k, u, d
		}
	}
	if best < 0 {
		return foot{}, false
	}
	return foot{o.ring[best].At(t), o.ring[best].Tangent(t), o.dense[i].way}, true
}

// placing is a motion without a mirror, its turn worked out.
type placing struct {
	along, shift geom.Point // along: where (1, 0) turns to
}

func placed(m geom.Motion) placing {
	return placing{m.ApplyVector(geom.Pt(1, 0)), m.Shift}
}

func (p placing) vector(v geom.Point) geom.Point {
	return geom.Pt(float64(v.X*p.along.X)-float64(v.Y*p.along.Y), float64(v.X*p.along.Y)+float64(v.Y*p.along.X))
}

func (p placing) apply(q geom.Point) geom.Point { return p.vector(q).Add(p.shift) }
