package match

import (
	"math"
	"slices"

	"toile/geom"
)

// startOf is where a run of the ring starts, in mm along it, and what it
// continues or is a part of.
type startOf struct {
	at       float64
	of, part int
	arc      bool // at the middle of an arc
}

// cut divides the ring anew: at the middle of each arc, and at the corners that
// lie on none.
func (a *arcs) cut(found []foundArc) Retraced {
	slack := 3 * a.spacing
	var starts []startOf
	for i, c := range a.Corners {
		s := startOf{at: a.lengths[c], of: a.Of[i], part: -1}
		if a.Parts != nil {
			s.part = a.Parts[i]
		}
		if !slices.ContainsFunc(found, func(f foundArc) bool {
			d := a.beyond(f.mid, s.at)
			return d > -a.beyond(f.from, f.mid)-slack && d < a.beyond(f.mid, f.to)+slack
		}) {
			starts = append(starts, s)
		}
	}
	for _, f := range found {
		starts = append(starts, startOf{at: f.mid, of: f.k, part: -1, arc: true})
	}
	slices.SortFunc(starts, func(p, q startOf) int {
		if p.at < q.at {
			return -1
		}
		return 1
	})
	a.identify(starts)
	return a.divided(starts, found)
}

// identify settles what the runs beside arcs continue: further ones that were
// taken to continue the edge after an arc are parts of it at most, and the one
// before an arc continues the edge before where none does.
func (a *arcs) identify(starts []startOf) {
	m, n := len(starts), len(a.Old)
	known := map[int]bool{}
	for _, s := range starts {
		known[s.of] = true
	}
	for i := range starts {
		s := &starts[i]
		if !s.arc && slices.ContainsFunc(starts, func(o startOf) bool { return o.arc && o.of == s.of }) {
			s.of, s.part = -1, s.of
		}
	}
	for i, s := range starts {
		before := (s.of + n - 1) % n
		if last := &starts[(i+m-1)%m]; s.arc && last.of < 0 && !known[before] {
			last.of, last.part = before, -1
			known[before] = true
		}
	}
}

// divided gives the ring cut at the starts, with the radii found.
func (a *arcs) divided(starts []startOf, found []foundArc) Retraced {
	r := a.Retraced
	r.Ring, r.Corners, r.Of, r.Parts = nil, nil, nil, nil
	for i, s := range starts {
		to := starts[(i+1)%len(starts)].at
		r.Corners, r.Of, r.Parts = append(r.Corners, len(r.Ring)), append(r.Of, s.of), append(r.Parts, s.part)
		var path geom.Path
		if to > s.at {
			path = a.ring.BetweenLengths(s.at, to)
		} else {
			path = a.ring.BetweenLengths(s.at, a.length)
			path = append(path, a.ring.BetweenLengths(0, to)...)
		}
		r.Ring = append(r.Ring, withoutSpecks(path)...)
	}
	for i := range r.Ring {
		r.Ring[i].P0 = r.Ring[(i+len(r.Ring)-1)%len(r.Ring)].P3
	}
	r.Round = slices.Clone(r.Round)
	for _, f := range found {
		c := roundCorner{k: f.k, at: f.at, before: a.beyond(f.from, f.mid), after: a.beyond(f.mid, f.to)}
		c.run = slices.IndexFunc(starts, func(s startOf) bool { return s.arc && s.of == f.k })
		if was := r.Round[f.k]; was == 0 || math.Abs(f.radius-was) >= 6*r.Sigma {
			r.Round[f.k], c.changed = math.Round(10*f.radius)/10, true
		}
		r.drawnRound = append(r.drawnRound, c)
	}
	return r
}

// withoutSpecks leaves out curves of no length.
func withoutSpecks(p geom.Path) geom.Path {
	return slices.DeleteFunc(p, func(c geom.Cubic) bool { return c.Length() < 1e-6 })
}

// roundCorner is stored corner k drawn round, at the start of a run: how far in
// mm its arc reaches to either side along the ring, and where its corner is.
type roundCorner struct {
	k, run        int
	before, after float64
	at            geom.Point
	changed       bool // the radius is not the stored one
}

// zone is a round corner with its middle in mm along the ring.
type zone struct {
	roundCorner
	mid float64
}

// zoneAt finds the round corner on whose arc a length of the ring lies.
func (s *settler) zoneAt(at float64) (zone, bool) {
	for _, z := range s.zones {
		d := at - z.mid
		if d > s.length/2 {
			d -= s.length
		}
		if d > -z.before && d < z.after {
			return z, true
		}
	}
	return zone{}, false
}

// clearOfArcs is the stretch of the ring of an edge without the arcs at its
// ends.
func (s *settler) clearOfArcs(e settling) (from, to float64) {
	from, to = e.from, e.to
	if z, ok := s.zoneAt(from); ok {
		from = z.mid + z.after
	}
	if z, ok := s.zoneAt(to); ok {
		to = z.mid - z.before
		if z.mid < e.from || (z.mid == 0 && e.to > s.length/2) {
			to += s.length
		}
	}
	if to-from < s.spacing {
		return e.from, e.to
	}
	return from, to
}

// drawnOf is an edge as drawn, run on to the corner where that is drawn round.
func (s *settler) drawnOf(e settling) geom.Path {
	from, to := s.clearOfArcs(e)
	p := s.ring.BetweenLengths(from, to)
	if z, ok := s.zoneAt(e.to); ok && to != e.to {
		p = cutTo(p, z.at)
	}
	if z, ok := s.zoneAt(e.from); ok && from != e.from {
		p = cutTo(p.Reverse(), z.at).Reverse()
	}
	return p
}

// newRadius reports whether the points show stored corner k drawn round by
// another radius than the stored one.
func (s *settler) newRadius(k int) bool {
	return slices.ContainsFunc(s.drawnRound, func(c roundCorner) bool { return c.k == k && c.changed })
}

// hidden reports whether of an edge hardly a point is left between the arcs at
// its ends, whose corners lie on its stored line: then it was kept.
func (s *settler) hidden(e *settling) bool {
	const fewest = 8
	first, begins := s.zoneAt(e.from)
	last, ends := s.zoneAt(e.to)
	if e.old < 0 || !begins || !ends || first.k == last.k {
		return false
	}
	from, to := e.from+first.after, e.to-last.before
	line := geom.Carrier(s.Old[e.old], carrierReach)
	_, a := line.Nearest(first.at)
	_, b := line.Nearest(last.at)
	return math.Max(a, b) <= s.tolerance() && (to <= from || len(s.within(from, to)) < fewest)
}
