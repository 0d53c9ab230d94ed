package diff

import (
	"math"
	"sort"

	"toile/geom"
	"toile/pattern"
)

// worthTrying: a pose for which less than this share of the best one's length
// speaks explains less.
const worthTrying = 0.4

// alikeEdges in mm: edges whose lengths and shapes differ by no more may be one
// edge that only moved.
const alikeEdges = 0.05

// edgePoses lists the motions that lay edges of the new state onto edges of
// the same length and shape in the old one, those first for which most of the
// outline speaks. They find a piece of which a part moved, where no pose
// explains most of the outline.
func (c *comparison) edgePoses(now *pattern.Piece) []geom.Motion {
	type vote struct {
		motion geom.Motion
		length float64
	}
	var votes []vote
	for _, mirror := range []bool{false, true} {
		laid := now
		if mirror {
			laid = now.Moved(geom.Motion{Mirror: true})
		}
		for i := range c.old.Edges {
			p := c.old.EdgePath(i)
			for j := range laid.Edges {
				m, ok := edgeMotion(p, laid.EdgePath(j))
				if !ok {
					continue
				}
				if mirror {
					m = geom.Motion{Mirror: true}.Then(m)
				}
				known := false
				for k := range votes {
					if sameLaying(votes[k].motion, m, now) {
						votes[k].length += p.Length()
						known = true
					}
				}
				if !known {
					votes = append(votes, vote{m, p.Length()})
				}
			}
		}
	}
	sort.SliceStable(votes, func(i, j int) bool { return votes[i].length > votes[j].length })
	var all []geom.Motion
	for _, v := range votes[:min(len(votes), mostPoses)] {
		if v.length >= worthTrying*votes[0].length {
			all = append(all, v.motion)
		}
	}
	return all
}

// edgeMotion is the motion that lays q onto p, if they are alike.
func edgeMotion(p, q geom.Path) (geom.Motion, bool) {
	length := p.Length()
	if length < leastAlike || math.Abs(length-q.Length()) > alikeEdges {
		return geom.Motion{}, false
	}
	var from, to []geom.Point
	const parts = 4
	for k := range parts + 1 {
		s := length * float64(k) / parts
		from, to = append(from, q.PointAt(math.Min(s, q.Length()))), append(to, p.PointAt(s))
	}
	m := geom.FitMotion(from, to, false)
	for k := range from {
		if m.Apply(from[k]).Dist(to[k]) > alikeEdges {
			return geom.Motion{}, false
		}
	}
	return m, true
}

// leastAlike in mm: a shorter edge says too little of how a piece lies.
const leastAlike = 20

// sameLaying reports whether two motions lay the piece in one place.
func sameLaying(m, n geom.Motion, p *pattern.Piece) bool {
	if m.Mirror != n.Mirror {
		return false
	}
	for _, c := range p.Corners {
		if m.Apply(c.At).Dist(n.Apply(c.At)) > 1 {
			return false
		}
	}
	return true
}
