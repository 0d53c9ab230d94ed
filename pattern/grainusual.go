package pattern

import (
	"math"
	"slices"

	"toile/geom"
)

// usualOffsets are where the usual grain line is tried, in parts of the piece's
// width from its middle.
var usualOffsets = [...]float64{0, -0.125, 0.125, -0.25, 0.25, -0.375, 0.375}

// UsualGrain is the grain line that counts for a piece without one of its own, as
// it is drawn on an outline in mm: along GrainDirection, half as long as the piece,
// in its middle, and within the outline wherever the piece is slim or bent. The
// first place counts where half of the piece's length lies inside, else the one
// where most does.
func (p *Piece) UsualGrain(ring geom.Ring) Grain {
	way := p.GrainDirection()
	box, size := ring.Box(), ring.Box().Size()
	across := way.Left()
	long := math.Abs(way.X)*size.X + math.Abs(way.Y)*size.Y
	wide := math.Abs(across.X)*size.X + math.Abs(across.Y)*size.Y
	var from, to geom.Point
	for _, off := range usualOffsets {
		at := box.Centre().Add(across.Mul(off * wide))
		a, b := longestInside(ring, at.Sub(way.Mul(long)), at.Add(way.Mul(long)))
		if a.Dist(b) > from.Dist(to)+1e-6 {
			from, to = a, b
		}
		if from.Dist(to) >= long/2 {
			break
		}
	}
	if from == to {
		from, to = box.Centre().Sub(way), box.Centre().Add(way)
	}
	const share = 0.4 // of what lies inside, either way from its middle
	half := way.Mul(math.Min(share*from.Dist(to), long/4))
	middle := from.Lerp(to, 0.5)
	return Grain{From: middle.Sub(half), To: middle.Add(half)}
}

// longestInside is the longest stretch of a straight line that lies within an
// outline; both ends are the same where none does.
func longestInside(ring geom.Ring, a, b geom.Point) (from, to geom.Point) {
	var cuts []float64
	way := b.Sub(a)
	for _, c := range ring {
		for _, t := range c.MeetLine(a, b) {
			cuts = append(cuts, c.At(t).Sub(a).Dot(way)/way.Dot(way))
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		p, q := a.Lerp(b, cuts[i-1]), a.Lerp(b, cuts[i])
		if p.Dist(q) > from.Dist(to) && ring.Holds(p.Lerp(q, 0.5)) {
			from, to = p, q
		}
	}
	return from, to
}
