package render

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// The most in mm, and the share of its length, that a clipped grain line keeps
// from the outline, so that its head does not sit on the sewing line.
const (
	grainWithin = 10.0
	grainShare  = 0.05
)

// grainDrawn is the piece with its grain line cut off where it runs beyond the
// outline, as one does that was drawn on a longer piece: the longest run inside.
// The stored line stays as it is, and one that lies all outside is drawn whole.
func grainDrawn(p *pattern.Piece, ring geom.Ring) *pattern.Piece {
	g := p.Grain
	if g == nil || g.From == g.To {
		return p
	}
	cuts := []float64{0, 1}
	way := g.To.Sub(g.From)
	for _, c := range ring {
		for _, t := range c.MeetLine(g.From, g.To) {
			if at := c.At(t).Sub(g.From).Dot(way) / way.Dot(way); at > 0 && at < 1 {
				cuts = append(cuts, at)
			}
		}
	}
	slices.Sort(cuts)
	from, to := 0.0, 0.0
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		if b-a > to-from && ring.Holds(g.From.Lerp(g.To, (a+b)/2)) {
			from, to = a, b
		}
	}
	if to == from || from == 0 && to == 1 {
		return p
	}
	keep := math.Min(grainWithin/way.Len(), grainShare*(to-from))
	if from > 0 {
		from += keep
	}
	if to < 1 {
		to -= keep
	}
	q, clipped := *p, *g
	clipped.From, clipped.To = g.From.Lerp(g.To, from), g.From.Lerp(g.To, to)
	q.Grain = &clipped
	return &q
}
