package check

import (
	"fmt"

	"toile/geom"
	"toile/pattern/change"
)

// fullest is how much longer, as a part of the hem, the edge that is turned up
// may be than what it lies on. Common practice: more than 1 in 20 has to be
// gathered in or faced; it lets a flared hem of 600 mm radius have 15 mm, and a
// full circle of 710 mm radius 6 mm but not 20.
const fullest = 0.05

// leastFull is the length in mm below which nobody minds.
const leastFull = 3

// hems finds hems that are too full to be turned up. The parallel of a line at
// distance d is longer by d times the angle that the line turns by, and the
// parallel on the other side, on which it comes to lie, as much shorter (Steiner's
// formula for parallel sets); so a flat full circle turned up by 2 cm is
// 4π·2 cm too long.
func (c *checker) hems() {
	for _, q := range c.p.Pieces {
		for i := range q.Edges {
			if q.Edges[i].Fold || !c.isHem(q, i) {
				continue
			}
			path := q.EdgePath(i)
			turn, length := turning(path), path.Length()
			worst, in := 0.0, ""
			for _, set := range c.p.Sets {
				if by := q.Edges[i].AllowanceFor(set); by > worst {
					worst, in = by, set
				}
			}
			full := 2 * worst * turn
			if full <= leastFull || full <= fullest*(length-worst*turn) {
				continue
			}
			do := "turn up less, or face it"
			if !saidHem(q.Edges[i]) {
				do += fmt.Sprintf("; it counts as the hem, being the lowest and sewn to nothing: if it is none, say with `toile seam` what it is sewn to, or with `toile edge %q EDGE --hem` which edge is", q.Name)
			}
			c.add(change.Finding{Kind: change.HemTooFull, MM: full, Where: fmt.Sprintf("%s, set %s", edgeWords(q, i), in), Pieces: []string{q.Name}, At: at(path.PointAt(length / 2)),
				Says: fmt.Sprintf("turned up by %s it is %s longer than what it lies on, %.0f in 100", c.length(worst), c.length(full), 100*full/(length-worst*turn)),
				Do:   do})
		}
	}
}

// turning is the angle in radians that the direction of a path turns by in all,
// clockwise positive.
func turning(path geom.Path) float64 {
	sum := 0.0
	for i, k := range path {
		if i > 0 {
			sum += geom.AngleBetween(path[i-1].Tangent(1), k.Tangent(0))
		}
		const parts = 8 // a cubic turns by less than 8 half turns
		for n := range parts {
			sum += geom.AngleBetween(k.Tangent(float64(n)/parts), k.Tangent(float64(n+1)/parts))
		}
	}
	return sum
}
