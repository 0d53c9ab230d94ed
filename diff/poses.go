package diff

import (
	"math"
	"slices"
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
	var votes []poseVote
	for _, mirror := range []bool{false, true} {
		laid := now
		if mirror {
			laid = now.Moved(geom.Motion{Mirror: true})
		}
		for i := range c.old.Edges {
			for j := range laid.Edges {
				if v, ok := edgeVote(c.old.EdgePath(i), laid.EdgePath(j), mirror); ok {
					votes = addVote(votes, v, now)
				}
			}
		}
	}
	sort.SliceStable(votes, func(i, j int) bool { return votes[i].length > votes[j].length })
	votes = slices.DeleteFunc(votes, func(v poseVote) bool { return v.length < worthTrying*votes[0].length })
	var all []geom.Motion
	for _, v := range votes {
		all = append(all, v.motion())
	}
	if len(all) > mostPoses { // of a symmetric outline: what lies inside it tells
		stray := map[geom.Motion]float64{}
		for k, m := range all {
			stray[m] = c.strayCost(m) - outweighs*math.Floor(votes[k].length)
		}
		sort.SliceStable(all, func(i, j int) bool { return stray[all[i]] < stray[all[j]] })
	}
	return all[:min(len(all), mostPoses)]
}

// outweighs makes a mm of the outline that speaks for a pose outweigh all that
// lies inside the piece.
const outweighs = 1.0

// poseVote is a motion for which edges speak: places along the new ones,
// turned over first where it mirrors, and where they lie on the old ones.
type poseVote struct {
	mirror   bool
	from, to []geom.Point
	length   float64
}

// motion is the motion that fits all edges that speak for it best.
func (v *poseVote) motion() geom.Motion {
	m := geom.FitMotion(v.from, v.to, false)
	if v.mirror {
		return geom.Motion{Mirror: true}.Then(m)
	}
	return m
}

// addVote adds an edge's voice to the motion it speaks for, or a new one.
func addVote(votes []poseVote, v poseVote, now *pattern.Piece) []poseVote {
	for k := range votes {
		if w := &votes[k]; sameLaying(w.motion(), v.motion(), now) {
			w.from, w.to, w.length = append(w.from, v.from...), append(w.to, v.to...), w.length+v.length
			return votes
		}
	}
	return append(votes, v)
}

// edgeVote is the voice of edge q of the new state for lying on edge p, if
// they are alike.
func edgeVote(p, q geom.Path, mirror bool) (poseVote, bool) {
	v := poseVote{mirror: mirror, length: p.Length()}
	other := q.Length()
	if v.length < leastAlike || math.Abs(v.length-other) > alikeEdges {
		return v, false
	}
	const parts = 4
	for k := range parts + 1 {
		s := v.length * float64(k) / parts
		v.from, v.to = append(v.from, q.PointAt(math.Min(s, other))), append(v.to, p.PointAt(s))
	}
	m := geom.FitMotion(v.from, v.to, false)
	for k := range v.from {
		if m.Apply(v.from[k]).Dist(v.to[k]) > alikeEdges {
			return v, false
		}
	}
	return v, true
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
