package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// slideStretches has the place where two seams divide an edge between them stay in
// the cloth where the edge was cut or run on at its start. Where the line there was
// drawn anew or moved aside, the length along it counts, as stored; so it does of a
// seam that takes up a part of an edge alone. A stretch within an edge that is sewn to
// something else as well stays where it lies on the cloth.
func (m *making) slideStretches(before *pattern.Pattern) {
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		old := seamNamed(before, seam.Name)
		if old == nil {
			continue
		}
		for _, pair := range [2][2]pattern.Chain{{old.First, seam.First}, {old.Second, seam.Second}} {
			if !slices.Equal(pair[0], pair[1]) {
				continue // the alteration itself said what is sewn
			}
			for k, st := range pair[0] {
				m.slideStretch(before, st, &pair[1][k])
			}
		}
	}
}

func seamNamed(p *pattern.Pattern, name string) *pattern.Seam {
	k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == name })
	if k < 0 {
		return nil
	}
	return &p.Seams[k]
}

// divides reports whether one stretch of an edge ends at a length along it where
// another begins.
func divides(p *pattern.Pattern, on pattern.Stretch, at float64) bool {
	ends, begins := false, false
	p.EachStretch(func(st *pattern.Stretch) {
		if st.Piece == on.Piece && st.Edge == on.Edge && at > 0 {
			ends, begins = ends || math.Abs(st.To-at) < wholeWithin, begins || math.Abs(st.From-at) < wholeWithin
		}
	})
	return ends && begins
}

// slideStretch slides the ends of one stretch, as it was, that divide its edge.
func (m *making) slideStretch(before *pattern.Pattern, old pattern.Stretch, st *pattern.Stretch) {
	if st.Whole() || !m.changedSince(before, *st) {
		return
	}
	q, i, _ := edgeOf(m.pattern, *st)
	was, k, _ := edgeOf(before, *st)
	now, then := q.EdgePath(i), was.EdgePath(k)
	from, to := st.From, st.To
	if before.SewnWithin(old) {
		from, to = m.stretchOnCloth(before, old)
	} else {
		if divides(before, old, from) {
			from = slidTo(then, now, from)
		}
		if divides(before, old, to) {
			to = slidTo(then, now, to)
		}
	}
	if (to == 0 || to > from+leastPart) && from < now.Length()-leastPart {
		st.From, st.To = from, to
	}
}

// stretched is by how many mm such a stretch may get longer or shorter with an edge that
// moves outward as a whole, round a curve: what is sewn to it does not.
const stretched = 1

// stretchOnCloth is from where to where in mm along its edge such a stretch lies now, if
// both ends stayed in the cloth; else as before.
func (m *making) stretchOnCloth(before *pattern.Pattern, st pattern.Stretch) (from, to float64) {
	from, okFrom, _ := m.onCloth(before, st, st.From)
	to, okTo, _ := m.onCloth(before, st, st.To)
	if !okFrom || !okTo || math.Abs(to-from-(st.To-st.From)) > stretched {
		return st.From, st.To
	}
	return from, roundTo(from + st.To - st.From)
}

// slidTo is how far from its start a line has the place that lay at a length along
// it before; as far as it was where the line does not run through that place.
func slidTo(then, now geom.Path, at float64) float64 {
	along, ok := runsThrough(now, then.PointAt(at), evenWithin)
	if !ok || math.Abs(along-at) < 2*wholeWithin {
		return at
	}
	return along
}

// slideOpenings has an opening that reaches to the end of its seam stay at its
// distance from that end, as a slit at a hem, when the end moves; its stops are
// notched as far from it.
func (m *making) slideOpenings(before *pattern.Pattern) {
	_ = m.eachOpened(before, func(old, seam *pattern.Seam, then, now pattern.Walked) error {
		if !slices.Equal(old.Openings, seam.Openings) {
			return nil // the alteration itself said where they are
		}
		for k := range seam.Openings {
			m.slideOpening(seam, &seam.Openings[k], then.Length, now.Length)
		}
		return nil
	})
}

// eachOpened visits the seams that have openings and had them before, with their first
// chains as they were and are; those that cannot be walked are left out.
func (m *making) eachOpened(before *pattern.Pattern, do func(old, seam *pattern.Seam, then, now pattern.Walked) error) error {
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		old := seamNamed(before, seam.Name)
		if old == nil || len(old.Openings) == 0 || len(seam.Openings) == 0 {
			continue
		}
		then, _, err := before.WalkChains(old)
		if err != nil {
			continue
		}
		now, _, err := m.pattern.WalkChains(seam)
		if err != nil {
			continue
		}
		if err := do(old, seam, then, now); err != nil {
			return err
		}
	}
	return nil
}

// slideOpening slides one opening along a chain that had one length in mm and has
// another. One that would begin before the seam stays, and is refused.
func (m *making) slideOpening(seam *pattern.Seam, o *pattern.Opening, then, now float64) {
	by := roundTo(now - then)
	if o.To < then-leastPart || math.Abs(by) < wholeWithin || o.From > leastPart && o.From+by < 0 {
		return
	}
	if o.From > leastPart {
		o.From = roundTo(o.From + by)
	}
	o.To = math.Floor(now*1000) / 1000
	m.say("the opening %q of the seam %q reaches to its end, and goes with it: from %s to %s along %s now", o.Name, seam.Name, m.format(o.From), m.format(o.To), seam.First)
}
