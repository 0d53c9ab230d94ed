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
	lengths []float64  // of the curves
	length  float64
	rough   bool       // points that scatter, joined by lines
	centre  geom.Point // of the boundary
	axis    float64    // direction of the longer axis of the boundary, in radians
	dense   []sample   // about densely apart
	samples []sample   // sampleCount of the dense ones
	step    float64    // mm between the dense ones
	corners []corner
	voting  []corner // those of them that votes and shifts are taken from
	near    nearby
}

// sample is a place on an outline.
type sample struct {
	at    geom.Point
	along geom.Point // unit direction, clockwise
	way   geom.Point // the same, over a few samples: what places are compared by
	bend  float64    // curvature in 1/mm
}

// corner is a place at which the outline turns.
type corner struct {
	at, before, after geom.Point // unit directions before and after
	turn              float64    // radians, positive clockwise
	along             float64    // mm from the start of the outline
	sample            int        // the first dense one from there on
}

const (
	// sampleCount: a change of a fortieth of the boundary is seen by two
	// samples; the cost of every candidate grows with it.
	sampleCount = 96

	// densely in mm is how far apart people put points when they trace;
	// leastDense and mostDense bound the number of samples.
	densely, leastDense, mostDense = 3.0, 2 * sampleCount, 1024

	// leastTurn in radians (3°) tells a corner from the joint of two curves
	// drawn smooth by hand.
	leastTurn = 0.05

	// roughLength: lines through points that are off by a third of the
	// tolerance are off in direction by more than geom.Match allows where they
	// are shorter than so many tolerances.
	roughLength = 30.0

	// roughTurn in radians (15°) tells a corner of scattering points, whose
	// directions are taken from roughWindow samples before and after.
	roughTurn, roughWindow = 0.26, 8

	// wayReach is the number of samples before and after from which the way is
	// taken.
	wayReach = 3
)

// newOutline prepares a ring for being laid over another one within tol mm.
func newOutline(r geom.Ring, tol float64) *outline {
	o := &outline{ring: r, box: r.Box()}
	short := 0.0
	for _, c := range r {
		o.boxes = append(o.boxes, c.HullBox())
		length := c.Length()
		o.lengths = append(o.lengths, length)
		o.length += length
		if length < roughLength*tol {
			short += length
		}
	}
	o.rough = len(r) > roughWindow && short > o.length/2
	o.sampleEvenly(int(math.Min(mostDense, math.Max(leastDense, o.length/densely))))
	if o.rough {
		o.findRoughCorners()
	} else {
		o.findCorners()
	}
	o.voting = o.mostTelling(mostVoting)
	o.findAxis()
	return o
}

// sampleEvenly takes n dense samples, even in length to about a hundredth of a
// curve: the length along each curve is read off chords.
func (o *outline) sampleEvenly(n int) {
	const chords = 24
	o.step = o.length / float64(n)
	next, done := o.step/2, 0.0
	for i, c := range o.ring {
		end := done + o.lengths[i]
		var along [chords + 1]float64
		if next < end {
			for k, from := 1, c.P0; k <= chords; k++ {
				to := c.At(float64(k) / chords)
				along[k], from = along[k-1]+from.Dist(to), to
			}
		}
		for k := 1; next < end && len(o.dense) < n; next += o.step {
			at := (next - done) / o.lengths[i] * along[chords]
			for k < chords && along[k] < at {
				k++
			}
			t := (float64(k-1) + (at-along[k-1])/(along[k]-along[k-1])) / chords
			if !(t >= 0 && t <= 1) {
				t = 1 // a curve of no length to speak of
			}
			o.dense = append(o.dense, sample{at: c.At(t), along: c.Tangent(t), bend: c.Curvature(t)})
		}
		done = end
	}
	o.findWays()
	for k := range sampleCount {
		o.samples = append(o.samples, o.dense[k*len(o.dense)/sampleCount])
	}
}

// findWays takes directions over a few samples. Single lines between
// scattering points have no direction worth having, so there it stands for
// that too.
func (o *outline) findWays() {
	n := len(o.dense)
	for i := range o.dense {
		s := &o.dense[i]
		s.way = o.dense[(i+wayReach)%n].at.Sub(o.dense[(i+n-wayReach)%n].at).Unit()
		if s.way == (geom.Point{}) {
			s.way = s.along
		}
		if o.rough {
			s.along, s.bend = s.way, 0
		}
		if !(math.Abs(s.bend)*o.step < 1) {
			s.bend = 0 // sharper than the samples can follow
		}
	}
}

func (o *outline) findCorners() {
	n, done := len(o.ring), 0.0
	for i, c := range o.ring {
		before, after := o.ring[(i+n-1)%n].Tangent(1), c.Tangent(0)
		if turn := geom.AngleBetween(before, after); math.Abs(turn) > leastTurn {
			at := min(int(done/o.step+0.5), len(o.dense)-1)
			o.corners = append(o.corners, corner{c.P0, before, after, turn, done, at})
		}
		done += o.lengths[i]
	}
}

// findRoughCorners finds where the directions of the samples before and after
// differ most.
func (o *outline) findRoughCorners() {
	n := len(o.dense)
	all := make([]corner, n)
	for i := range all {
		before, after := o.direction(i-roughWindow, i), o.direction(i, i+roughWindow)
		all[i] = corner{o.dense[i].at, before, after, geom.AngleBetween(before, after), float64(i) * o.step, i}
	}
	for i, c := range all {
		size := math.Abs(c.turn)
		greatest := size > roughTurn
		for k := 1; greatest && k <= roughWindow; k++ {
			greatest = size >= math.Abs(all[(i+k)%n].turn) && size > math.Abs(all[(i+n-k)%n].turn)
		}
		if greatest {
			o.corners = append(o.corners, c)
		}
	}
}

// direction is the direction of the samples with numbers from to to, going
// round, by the slopes of least squares of x and of y over the even steps.
func (o *outline) direction(from, to int) geom.Point {
	n := len(o.dense)
	middle := float64(from+to) / 2
	var sum geom.Point
	for k := from; k <= to; k++ {
		sum = sum.Add(o.dense[(k+n)%n].at.Sub(o.dense[(from+n)%n].at).Mul(float64(k) - middle))
	}
	return sum.Unit()
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
		xx, xy, yy = xx+float64(d.X*d.X), xy+float64(d.X*d.Y), yy+float64(d.Y*d.Y)
	}
	o.axis = math.Atan2(2*xy, xx-yy) / 2
}

// moved is the greatest distance in mm between the places to which two
// motions take the corners of the outline's box.
func (o *outline) moved(m, n geom.Motion) float64 {
	b, d := o.box, 0.0
	for _, c := range [4]geom.Point{b.Min, b.Max, geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Min.Y)} {
		d = math.Max(d, m.Apply(c).Dist(n.Apply(c)))
	}
	return d
}
