package render

import (
	"math"
	"slices"

	"toile/geom"
)

const (
	// rimStep is how far apart in mm the points are by which a region's frame is
	// found.
	rimStep = 10.0
	// leastPart is the least length in mm of a strip that a longer one is divided
	// into: shorter ones are more work than the paper they save.
	leastPart = 60.0
	// worthDividing: the frames take at most this much of the paper of one, or
	// the strip stays whole.
	worthDividing = 0.75
	// stripWork in mm² of paper is what cutting out and pasting one more strip is
	// worth: a third of a sheet of A4.
	stripWork = 20_000.0
	// ways is how many places spread evenly a division is tried at.
	ways = 16
)

// rim is the line of a region that is cut, in order, and for each of its points
// those of the other line that lie nearest to it.
type rim struct {
	spine  []geom.Point
	beside [][]geom.Point
}

// rimOf finds it: the part of a region's outer boundary that is the new cutting
// line, or all of it where the region goes round the piece. ok is false where
// that is more than one line.
func rimOf(r geom.Region) (m rim, ok bool) {
	ring, sides := r.Rings[0], r.Sides[0]
	n := len(ring)
	first := -1
	for k := range n {
		if sides[k].OfB && !sides[(k+n-1)%n].OfB {
			if first >= 0 {
				return m, false
			}
			first = k
		}
	}
	if first < 0 {
		first = 0
	}
	var others []geom.Point
	for k := range n {
		c := ring[(first+k)%n]
		points := alongRim(c)
		if sides[(first+k)%n].OfB || len(r.Rings) > 1 {
			m.spine = append(m.spine, points...)
		} else {
			others = append(others, points...)
		}
	}
	for _, hole := range r.Rings[1:] {
		for _, c := range hole {
			others = append(others, alongRim(c)...)
		}
	}
	m.spine = slices.CompactFunc(m.spine, func(a, b geom.Point) bool { return a.Dist(b) < 1e-6 })
	if len(m.spine) < 3 {
		return m, false
	}
	m.put(others)
	return m, true
}

// put gives each point of the other line to the nearest of the spine.
func (m *rim) put(others []geom.Point) {
	m.beside = make([][]geom.Point, len(m.spine))
	for _, q := range others {
		best := 0
		for k, p := range m.spine {
			if p.Dist(q) < m.spine[best].Dist(q) {
				best = k
			}
		}
		m.beside[best] = append(m.beside[best], q)
	}
}

// alongRim gives points along a curve, both ends included.
func alongRim(c geom.Cubic) []geom.Point {
	var out []geom.Point
	for _, t := range evenly(c.Length(), rimStep) {
		out = append(out, c.At(t))
	}
	return out
}

// frame is the smallest rectangle around the part from one point of the spine to
// another, both included.
func (m rim) frame(from, to int) geom.Ring {
	points := slices.Clone(m.spine[from : to+1])
	for k := from; k <= to; k++ {
		points = append(points, m.beside[k]...)
	}
	return leastRectangle(points, glueMargin)
}

// divided gives the frames of the spine: one, or where several take clearly less
// paper, as those of a strip that goes round corners, so many. Neighbours overlap
// by twice the margin. Method: the least sum over all ways to cut at the places
// tried, each frame priced for the work it makes (dynamic programming).
func (m rim) divided() []geom.Ring {
	last := len(m.spine) - 1
	whole := m.frame(0, last)
	at := m.places()
	cost, from := make([]float64, len(at)), make([]int, len(at))
	for k := 1; k < len(at); k++ {
		cost[k] = math.Inf(1)
		for i := range k {
			if m.long(at[i], at[k]) < leastPart {
				continue
			}
			if c := cost[i] + stripWork + m.frame(at[i], at[k]).Area(); c < cost[k] {
				cost[k], from[k] = c, i
			}
		}
	}
	if !(cost[len(at)-1] < worthDividing*(whole.Area()+stripWork)) {
		return []geom.Ring{whole}
	}
	var frames []geom.Ring
	for k := len(at) - 1; k > 0; k = from[k] {
		frames = append(frames, m.frame(at[from[k]], at[k]))
	}
	slices.Reverse(frames)
	return frames
}

// places are where the spine may be cut: its ends, its corners, and evenly spread.
func (m rim) places() []int {
	const bend = 0.35 // radians, 20°
	last := len(m.spine) - 1
	at := []int{0, last}
	for k := 1; k < last && len(at) < 2*ways; k++ {
		if math.Abs(geom.AngleBetween(m.spine[k].Sub(m.spine[k-1]), m.spine[k+1].Sub(m.spine[k]))) > bend {
			at = append(at, k)
		}
	}
	for i := 1; i < ways; i++ {
		at = append(at, last*i/ways)
	}
	slices.Sort(at)
	return slices.Compact(at)
}

func (m rim) long(from, to int) float64 {
	sum := 0.0
	for k := from; k < to; k++ {
		sum += m.spine[k].Dist(m.spine[k+1])
	}
	return sum
}

// dividedPatches are the patches of a region that is divided: in each frame all
// that is added and removed there. None where the region is best left whole.
func (w patchwork) dividedPatches(r geom.Region) []patch {
	m, ok := rimOf(r)
	if !ok {
		return nil
	}
	frames := m.divided()
	if len(frames) < 2 {
		return nil
	}
	var out []patch
	for _, frame := range frames {
		p, ok := w.filled(frame)
		if !ok {
			return nil
		}
		if len(p.added)+len(p.removed) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// filled is a patch with all that is added and removed in a frame.
func (w patchwork) filled(frame geom.Ring) (p patch, ok bool) {
	p = w.framed(frame)
	p.all = true
	p.added = beyond(w.old.Ring, p.now, w.within)
	lie, err := geom.Compare(frame, w.old.Ring, 0)
	if err != nil {
		return p, false
	}
	p.removed = beyond(w.now.Ring, lie.Kept, w.within)
	for i := range p.removed { // their boundary is of the old line where it is not of the new one
		w.tellOld(&p.removed[i])
	}
	return p, true
}

// beyond is what of regions lies outside of a ring.
func beyond(ring geom.Ring, regions []geom.Region, within float64) []geom.Region {
	var out []geom.Region
	for _, r := range regions {
		lie, err := geom.Compare(ring, r.Rings[0], within)
		if err != nil {
			continue
		}
		for _, a := range lie.Added {
			if a.Width >= leastStrip && len(a.Rings) > 0 {
				out = append(out, a)
			}
		}
	}
	return out
}

// tellOld marks which boundary curves of a region lie on the old cutting line,
// as those of the regions of a whole comparison are.
func (w patchwork) tellOld(r *geom.Region) {
	for i, ring := range r.Rings {
		r.Sides[i] = slices.Clone(r.Sides[i])
		for k, c := range ring {
			_, off := geom.Path(w.old.Ring).Nearest(c.At(0.5))
			r.Sides[i][k].OfB = off > cutWithin
		}
	}
}
