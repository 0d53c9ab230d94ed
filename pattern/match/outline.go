package match

import (
	"math"

	"toile/geom"
)

// outline is a ring with what the search asks of it again and again.
type outline struct {
	ring    geom.Ring
	box     geom.Box
	boxes   []geom.Box // of the curves' control points
	length  float64
	centre  geom.Point // of the area
	axis    float64    // direction of the longer axis of the boundary, in radians
	samples []sample   // even in length
	corners []corner
}

// sample is a place on an outline.
type sample struct {
	at, along geom.Point // along: unit direction, clockwise
	bend      float64    // curvature in 1/mm
}

// corner is a node at which the outline turns.
type corner struct {
	at, before, after geom.Point // unit directions before and after
	turn              float64
}

const (
	// sampleCount: a change of a fortieth of the boundary is seen by two
	// samples; the cost of every candidate grows with it.
	sampleCount = 96

	// leastTurn in radians (3°) tells a corner from the joint of two curves
	// drawn smooth by hand.
	leastTurn = 0.05
)

func newOutline(r geom.Ring) *outline {
	o := &outline{ring: r, box: r.Box()}
	lengths := make([]float64, len(r))
	for i, c := range r {
		o.boxes = append(o.boxes, c.HullBox())
		lengths[i] = c.Length()
		o.length += lengths[i]
	}
	o.sampleEvenly(lengths)
	o.findCorners()
	o.findAxis()
	return o
}

func (o *outline) sampleEvenly(lengths []float64) {
	step, next, done := o.length/sampleCount, o.length/sampleCount/2, 0.0
	for i, c := range o.ring {
		for ; next < done+lengths[i] && len(o.samples) < sampleCount; next += step {
			t := c.ParamAt(next - done)
			o.samples = append(o.samples, sample{c.At(t), c.Tangent(t), c.Curvature(t)})
		}
		done += lengths[i]
	}
}

func (o *outline) findCorners() {
	n := len(o.ring)
	for i, c := range o.ring {
		before, after := o.ring[(i+n-1)%n].Tangent(1), c.Tangent(0)
		if turn := geom.AngleBetween(before, after); math.Abs(turn) > leastTurn {
			o.corners = append(o.corners, corner{c.P0, before, after, turn})
		}
	}
}

// findAxis finds the middle of the boundary and its main direction.
func (o *outline) findAxis() {
	n := float64(len(o.samples))
	for _, s := range o.samples {
		o.centre = o.centre.Add(s.at.Mul(1 / n))
	}
	var xx, xy, yy float64
	for _, s := range o.samples {
		d := s.at.Sub(o.centre)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	o.axis = math.Atan2(2*xy, xx-yy) / 2
}

// nearest returns the outline's place nearest to q within reach mm.
func (o *outline) nearest(q geom.Point, reach float64) (at, along geom.Point, dist float64, ok bool) {
	dist = reach
	best, t := -1, 0.0
	for i, b := range o.boxes {
		dx := math.Max(b.Min.X-q.X, q.X-b.Max.X)
		dy := math.Max(b.Min.Y-q.Y, q.Y-b.Max.Y)
		if dx > dist || dy > dist {
			continue
		}
		if u, d := o.ring[i].Nearest(q); d < dist {
			best, t, dist = i, u, d
		}
	}
	if best < 0 {
		return q, geom.Point{}, dist, false
	}
	return o.ring[best].At(t), o.ring[best].Tangent(t), dist, true
}
