package match

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

const (
	// tried is the number of voted motions brought nearer and scored.
	tried = 64

	// finalists is the number of candidates refined. More cost time; fewer
	// miss a good pose among look-alikes such as the turns of a star. One that
	// scores less than promising of the best is none.
	finalists, promising = 10, 0.6

	// widest in mm: corners found in scattering points are off by a few mm and
	// their directions by 3°, so that the far end of a piece is off by so much;
	// on small pieces it is a share of the length.
	widest, widestShare = 25.0, 1.0 / 40

	// narrowing is the factor from one width to the next.
	narrowing = 0.7

	// sameWay is the cosine of the greatest angle, 25°, between directions at
	// places that may be the same.
	sameWay = 0.9
)

// layer looks for the pose of one outline over another.
type layer struct {
	old, new, flipped *outline // flipped: new turned over, run clockwise again
	tol               float64
	drawn             bool      // by hand, so that outlines coincide only on the whole
	wide              float64   // mm, the distance within which a candidate looks for the outline at first
	loose             float64   // mm, the distance for a first score
	contacts          []contact // of the last step
	laidOver          windowed  // of the last call of windows
}

func newLayer(old, new geom.Ring, tol float64) *layer {
	l := &layer{old: newOutline(old, tol), new: newOutline(new, tol), tol: tol, loose: math.Max(1, 3*tol)}
	l.wide = math.Max(4*l.loose, math.Min(widest, l.old.length*widestShare))
	l.new.lookFrom(l.wide)
	l.drawn = tol >= drawnFrom || l.old.rough || l.new.rough
	return l
}

// side returns the outline that a motion moves and the motion of it.
func (l *layer) side(m geom.Motion) (*outline, geom.Motion) {
	if !m.Mirror {
		return l.new, m
	}
	if l.flipped == nil {
		l.flipped = newOutline(l.new.ring.Moved(geom.Motion{Mirror: true}).Reverse(), l.tol)
		l.flipped.lookFrom(l.wide)
	}
	return l.flipped, geom.Motion{Mirror: true}.Then(m)
}

// shortlist returns the most promising motions, as many again turned over
// where that may be.
func (l *layer) shortlist(mirror bool) []geom.Motion {
	out := l.promising(l.new)
	if mirror {
		over := geom.Motion{Mirror: true}
		flipped, _ := l.side(over)
		for _, m := range l.promising(flipped) {
			out = append(out, over.Then(m))
		}
	}
	return out
}

// candidate is a motion with its votes and score.
type candidate struct {
	motion geom.Motion
	votes  float64
	score  float64
}

// promising returns the candidates that score nearly as well as the best and
// lie apart. Of outlines too long to be sampled densely the most voted comes
// after them, whatever it scores: among fine teeth samples tell little.
func (l *layer) promising(new *outline) []geom.Motion {
	var out []geom.Motion
	list, voted := l.scored(new)
	repeats := func(n geom.Motion) bool {
		return slices.ContainsFunc(out, func(m geom.Motion) bool { return new.moved(n, m) < l.loose })
	}
	for _, c := range list {
		if len(out) == finalists || c.score < promising*list[0].score {
			break
		}
		if !repeats(c.motion) {
			out = append(out, c.motion)
		}
	}
	if !l.drawn && len(new.dense) == mostDense && !repeats(voted) {
		out = append(out, voted)
	}
	return out
}

// scored collects motions of the outline onto the old one, takes the most
// voted, brings each nearer, and sorts them by how much of the old outline
// then lies loosely on the new one. It gives the most voted as it was, too.
func (l *layer) scored(new *outline) (list []candidate, voted geom.Motion) {
	v := newVotes(l, new)
	v.add(geom.Motion{}, 1)
	v.corners()
	v.chords()
	v.axes()
	if len(l.old.corners) < 3 || len(new.corners) < 3 {
		v.bends()
	}
	list = v.list
	sort.SliceStable(list, func(i, j int) bool { return list[i].votes > list[j].votes })
	list, voted = list[:min(len(list), tried)], list[0].motion
	for i := range list {
		list[i] = l.nearer(new, list[i])
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].score > list[j].score })
	return list, voted
}

// nearer brings a candidate onto the outline on a width that narrows, if that
// scores more.
func (l *layer) nearer(new *outline, c candidate) candidate {
	c.score = l.score(new, c.motion)
	m := c.motion
	for width := l.wide; width > l.loose; width *= narrowing {
		m = l.step(new, m, width, new.footNear).motion
	}
	if score := l.score(new, m); score > c.score {
		c.motion, c.score = m, score
	}
	return c
}

// score is the share of the samples of the old outline that lie loosely on the
// moved new one, the nearer the more.
func (l *layer) score(new *outline, m geom.Motion) float64 {
	there, back, sum := placed(m), placed(m.Inverse()), 0.0
	for _, s := range l.old.samples {
		q := back.apply(s.at)
		if f, ok := new.footNear(q, l.loose); ok && there.vector(f.way).Dot(s.way) > sameWay {
			off := q.Sub(f.at)
			sum += 1 - off.Dot(off)/(l.loose*l.loose)
		}
	}
	return sum / sampleCount
}
