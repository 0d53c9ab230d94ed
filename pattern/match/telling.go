package match

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

// mostVoting is the number of corners of an outline that votes are taken
// from. Pieces have four to forty; the time for votes grows with its square.
const mostVoting = 200

// mostTelling returns the corners, in the order of the outline, with the
// longest edges beside them, so many at most. Of equals those come first that
// lie farthest from the middle of all corners, so that the choice is the same
// wherever the outline lies or starts.
func (o *outline) mostTelling(most int) []corner {
	n := len(o.corners)
	if n <= most {
		return o.corners
	}
	var middle geom.Point
	for _, c := range o.corners {
		middle = middle.Add(c.at.Mul(1 / float64(n)))
	}
	type telling struct {
		index      int
		edges, far float64 // mm; edges in whole steps, as rounding must not decide
	}
	const step = 0.1 // mm
	list := make([]telling, n)
	for i, c := range o.corners {
		before, after := o.corners[(i+n-1)%n].along, o.corners[(i+1)%n].along
		edges := math.Mod(after-before+2*o.length, o.length)
		list[i] = telling{i, math.Round(edges / step), c.at.Dist(middle)}
	}
	slices.SortStableFunc(list, func(a, b telling) int {
		return cmp.Or(cmp.Compare(b.edges, a.edges), cmp.Compare(b.far, a.far))
	})
	list = list[:most]
	slices.SortFunc(list, func(a, b telling) int { return cmp.Compare(a.index, b.index) })
	out := make([]corner, most)
	for k, t := range list {
		out[k] = o.corners[t.index]
	}
	return out
}
