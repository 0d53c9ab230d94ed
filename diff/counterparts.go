package diff

import (
	"math"
	"sort"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

// counterparts finds for each old piece the new one that continues it, nil
// for none: by id, else by a name that continues no other piece, else the one
// whose outline it shares most with.
func counterparts(a, b *pattern.Pattern) []*pattern.Piece {
	found := make([]*pattern.Piece, len(a.Pieces))
	taken := map[*pattern.Piece]bool{}
	take := func(k int, same func(q *pattern.Piece) bool) {
		for _, q := range b.Pieces {
			if found[k] == nil && !taken[q] && same(q) {
				found[k], taken[q] = q, true
			}
		}
	}
	known := map[string]bool{}
	for k, p := range a.Pieces {
		known[p.ID] = true
		take(k, func(q *pattern.Piece) bool { return q.ID == p.ID && q.ID != "" })
	}
	for k, p := range a.Pieces {
		take(k, func(q *pattern.Piece) bool { return q.Name == p.Name && (q.ID == "" || !known[q.ID]) })
	}
	for _, q := range b.Pieces {
		if q.Was != "" && known[q.Was] && !known[q.ID] {
			taken[q] = true // split off another, whatever it looks like
		}
	}
	byShape(a, b, found, taken)
	return found
}

// byShape pairs what is left, the likest first.
func byShape(a, b *pattern.Pattern, found []*pattern.Piece, taken map[*pattern.Piece]bool) {
	type likeness struct {
		k       int
		q       *pattern.Piece
		matched float64
	}
	var all []likeness
	for k, p := range a.Pieces {
		for _, q := range b.Pieces {
			if found[k] != nil || taken[q] {
				continue
			}
			if m := alike(p, q); m >= leastMatched {
				all = append(all, likeness{k, q, m})
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].matched > all[j].matched })
	for _, l := range all {
		if found[l.k] == nil && !taken[l.q] {
			found[l.k], taken[l.q] = l.q, true
		}
	}
}

// mostGrown is the greatest ratio of the lengths of two outlines of which one
// is the other altered.
const mostGrown = 2

// alike is the share of p's outline that coincides with q's in its best pose.
func alike(p, q *pattern.Piece) float64 {
	a, errA := p.Outline()
	b, errB := q.Outline()
	if errA != nil || errB != nil || math.Abs(math.Log(a.Ring.Length()/b.Ring.Length())) > math.Log(mostGrown) {
		return 0
	}
	pose, _, err := match.LayOver(a.Ring, b.Ring, tolerance(p, q), match.Options{AllowMirror: true})
	if err != nil {
		return 0
	}
	return pose.Matched
}

// poses lists the ways to lay the outline b over a, as it lies first.
func poses(a, b geom.Ring, tol float64) []geom.Motion {
	all := []geom.Motion{{}}
	pose, others, err := match.LayOver(a, b, tol, match.Options{AllowMirror: true})
	if err != nil {
		return all
	}
	for _, p := range append([]match.Pose{pose}, others...) {
		if !p.Motion.Identity() {
			all = append(all, p.Motion)
		}
	}
	return all
}
