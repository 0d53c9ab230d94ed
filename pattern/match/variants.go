package match

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

// sharpened fits hand-drawn poses again with the scatter of the best of them,
// which is that of the drawing: in a pose between what changed and what did
// not, all lies off a little. Then come the variants of the one that scores
// most.
func (l *layer) sharpened(motions []geom.Motion) []laid {
	const among = 0.8 // of the most matched
	poses := make([]laid, len(motions))
	most, scatter := 0.0, l.tol/3
	for i, m := range motions {
		poses[i] = l.measured(m)
		most = math.Max(most, poses[i].Matched)
	}
	for _, p := range poses {
		if p.Matched >= among*most {
			w := l.windows(p.Motion)
			scatter = math.Min(scatter, w.scatter(l.tol/3))
		}
	}
	for i, m := range motions {
		if i > 0 { // the first is lying as they are
			m = l.onUnchanged(m, scatter, nil)
		}
		poses[i] = l.measuredDrawn(m, scatter)
	}
	for _, p := range l.tops(poses) {
		for _, m := range l.variants(p.Motion, scatter) {
			poses = append(poses, l.measuredDrawn(m, scatter))
		}
	}
	return poses
}

// tops are poses worth looking about: by turns one that scores most and one
// that does so loosely, as between what changed and what did not, no two of
// them variants of each other. A rectangle has four.
func (l *layer) tops(poses []laid) []laid {
	const most, worth = 4, 0.7 // of the best
	loosely := func(p laid) float64 {
		new, plain := l.side(p.Motion)
		return l.score(new, plain)
	}
	strictly := func(p laid) float64 { return p.score }
	byBoth := [2][]laid{ranked(poses, strictly, worth), ranked(poses, loosely, worth)}
	var out []laid
	for i := range poses {
		for _, list := range byBoth {
			if i < len(list) && len(out) < most && !l.within(list[i], out, l.wide) {
				out = append(out, list[i])
			}
		}
	}
	return out
}

// ranked sorts poses by a score and keeps those with so much of the best.
func ranked(poses []laid, score func(laid) float64, worth float64) []laid {
	type rank struct {
		laid
		by float64
	}
	var list []rank
	for _, p := range poses {
		list = append(list, rank{p, score(p)})
	}
	slices.SortStableFunc(list, func(p, q rank) int { return cmp.Compare(q.by, p.by) })
	var out []laid
	for _, r := range list {
		if r.by > 0 && r.by >= worth*list[0].by {
			out = append(out, r.laid)
		}
	}
	return out
}

// variants are poses near one found. An outline that glides along its sides
// may have stopped anywhere, so it is shifted until a corner meets a near
// corner of the old one. And two edges that cannot both be unchanged may share
// the error, so each edge is left out once.
func (l *layer) variants(m geom.Motion, scatter float64) []geom.Motion {
	var out []geom.Motion
	for _, by := range l.shifts(m) {
		out = append(out, l.onUnchanged(l.caught(m.Then(geom.Motion{Shift: by})), scatter, nil))
	}
	for _, e := range l.longEdges() {
		leftOut := func(i int) bool { return (i >= e.from && i < e.to) || i < e.to-len(l.old.dense) }
		out = append(out, l.onUnchanged(m, scatter, leftOut))
	}
	return out
}

// mostVariants of each kind are tried of a pose. Pieces have four to twelve
// corners.
const mostVariants = 12

// shifts bring a corner onto a near one that turns alike, those first that do
// so for most corners.
func (l *layer) shifts(m geom.Motion) []geom.Point {
	const sameCorner = 1.0 // radians by which turns may differ, for a neighbour may have been redrawn
	type shift struct {
		by    geom.Point
		votes int
	}
	var list []shift
	new, plain := l.side(m)
	there := placed(plain)
	for _, c := range l.old.voting {
		for _, d := range new.voting {
			by := c.at.Sub(there.apply(d.at))
			if by.Len() > l.wide || by.Len() < l.tol || math.Abs(c.turn-d.turn) > sameCorner {
				continue
			}
			same := func(s shift) bool { return s.by.Dist(by) < l.tol }
			if k := slices.IndexFunc(list, same); k >= 0 {
				list[k].votes++
			} else if len(list) < 8*mostVariants {
				list = append(list, shift{by, 1})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b shift) int { return cmp.Compare(b.votes, a.votes) })
	var out []geom.Point
	for _, s := range list[:min(len(list), mostVariants)] {
		out = append(out, s.by)
	}
	return out
}

// stretch is a run of samples, perhaps past the last.
type stretch struct{ from, to int }

// longEdges are the longest stretches between corners of the old outline.
func (l *layer) longEdges() []stretch {
	var out []stretch
	n := len(l.old.dense)
	for k, c := range l.old.corners {
		to := l.old.corners[(k+1)%len(l.old.corners)].sample
		if to <= c.sample {
			to += n
		}
		out = append(out, stretch{c.sample, to})
	}
	slices.SortStableFunc(out, func(a, b stretch) int { return cmp.Compare(b.to-b.from, a.to-a.from) })
	return out[:min(len(out), mostVariants)]
}

// caught settles on what is near, so that it does not glide back.
func (l *layer) caught(m geom.Motion) geom.Motion {
	const from, to = 6, 2 // tolerances
	for width := from * l.tol; width > to*l.tol; width *= narrowing {
		m = l.exactStep(m, width).motion
	}
	return m
}
