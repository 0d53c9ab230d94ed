package match

import (
	"math"

	"toile/geom"
)

const (
	// bendReach and leastBend: a smooth stretch of twice the reach in mm that
	// turns by so many radians may be a corner drawn round.
	bendReach = 30.0
	leastBend = 25 * math.Pi / 180

	bendStep = 2.0 // mm between the places looked at
)

// SplitAtBends divides a new outline where a corner of the old one was drawn
// round: old edges that nothing continues are looked for in runs that bend
// smoothly but narrowly, and a run is divided in the middle of a bend where
// that makes one more old edge continue. starts are the curves of the ring at
// which its edges start; returned are the ring, perhaps with curves divided,
// and all starts, rising. tol in mm is the distance within which outlines
// coincide.
func SplitAtBends(old []geom.Path, ring geom.Ring, starts []int, tol float64) (geom.Ring, []int) {
	known := continuedBy(old, ring, starts, tol)
	for known < len(old) {
		most, most2 := known, 0.0
		var nextRing geom.Ring
		var nextStarts []int
		for _, b := range bends(ring, starts) {
			r, s := splitAt(ring, starts, b.at)
			if n := continuedBy(old, r, s, tol); n > most || (n == most && n > known && b.turn > most2) {
				most, most2, nextRing, nextStarts = n, b.turn, r, s
			}
		}
		if most == known {
			break
		}
		known, ring, starts = most, nextRing, nextStarts
	}
	return ring, starts
}

// continuedBy counts the old edges that an edge of the new outline continues.
func continuedBy(old []geom.Path, ring geom.Ring, starts []int, tol float64) int {
	n := 0
	for _, id := range Edges(old, runsFrom(ring, starts), tol) {
		if id.Edge >= 0 {
			n++
		}
	}
	return n
}

// runsFrom cuts a ring at the curves where its edges start.
func runsFrom(ring geom.Ring, starts []int) []geom.Path {
	var out []geom.Path
	for k, from := range starts {
		to := starts[(k+1)%len(starts)]
		if to <= from {
			to += len(ring)
		}
		var p geom.Path
		for i := from; i < to; i++ {
			p = append(p, ring[i%len(ring)])
		}
		out = append(out, p)
	}
	return out
}

// bend is a narrow smooth turn of an outline.
type bend struct {
	at   geom.Place // on the ring: its middle
	turn float64    // radians, within bendReach to both sides
}

// bends lists the narrow turns inside the edges of a ring.
func bends(ring geom.Ring, starts []int) []bend {
	var out []bend
	for k, p := range runsFrom(ring, starts) {
		length := p.Length()
		n := int(length / bendStep)
		if n < 4 {
			continue
		}
		turned := turning(p, length, n)
		reach := int(bendReach / bendStep)
		within := func(i int) float64 {
			return math.Abs(turned[min(i+reach, n)] - turned[max(i-reach, 0)])
		}
		for i := 1; i < n; i++ {
			if w := within(i); w < leastBend || w < within(i-1) || w <= within(i+1) {
				continue
			}
			at := p.PlaceAt(middleOf(turned, max(i-reach, 0), min(i+reach, n)) * length / float64(n))
			out = append(out, bend{geom.Place{Curve: (starts[k] + at.Curve) % len(ring), T: at.T}, within(i)})
		}
	}
	return out
}

// turning is how far in radians a path has turned at each of n+1 places that
// divide it evenly.
func turning(p geom.Path, length float64, n int) []float64 {
	turned := make([]float64, n+1)
	before := p.StartTangent()
	for i := 1; i <= n; i++ {
		now := p.TangentAt(length * float64(i) / float64(n))
		turned[i] = turned[i-1] + geom.AngleBetween(before, now)
		before = now
	}
	return turned
}

// middleOf is the place, counted in steps, where half of a turn is done.
func middleOf(turned []float64, from, to int) float64 {
	half := (turned[from] + turned[to]) / 2
	for i := from; i < to; i++ {
		a, b := turned[i], turned[i+1]
		if a != b && (a-half)*(b-half) <= 0 {
			return float64(i) + (half-a)/(b-a)
		}
	}
	return float64(from+to) / 2
}
