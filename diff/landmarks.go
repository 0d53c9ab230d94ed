package diff

import (
	"maps"
	"math"
	"slices"
	"sort"

	"toile/geom"
	"toile/pattern"
)

const (
	pairsTried   = 3    // pairs of places inside a piece, the farthest apart, that say how it may lie
	leastApart   = 30.0 // mm that they have to be apart
	pairsAlike   = 0.05 // mm by which that may differ in the new state
	mostByInside = 2    // poses found so that are tried
)

// insidePoses lists motions that lay what lies inside the new state, grain
// line, notches and marks, onto the like of the old one. They find a piece of
// which every edge changed.
func (c *comparison) insidePoses() []geom.Motion {
	then, now := pairsOf(c.old), pairsOf(c.now)
	if len(then) > pairsTried {
		then = then[:pairsTried]
	}
	type rated struct {
		m     geom.Motion
		stray float64
	}
	var all []rated
	for _, a := range then {
		for _, b := range now {
			if a.kinds != b.kinds || math.Abs(a.apart-b.apart) > pairsAlike {
				continue
			}
			for _, mirror := range []bool{false, true} {
				m := b.onto(a, mirror)
				if slices.ContainsFunc(all, func(r rated) bool { return sameLaying(r.m, m, c.now) }) {
					continue
				}
				if s := c.strayCost(m); s < stray/2 {
					all = append(all, rated{m, s})
				}
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].stray < all[j].stray })
	var out []geom.Motion
	for _, r := range all[:min(len(all), mostByInside)] {
		out = append(out, r.m)
	}
	return out
}

// pairOfPlaces are two places inside a piece.
type pairOfPlaces struct {
	kinds    [2]string
	from, to geom.Point
	apart    float64
}

// pairsOf lists the pairs of places inside a piece in both orders, the
// farthest apart first.
func pairsOf(p *pattern.Piece) []pairOfPlaces {
	type place struct {
		kind string
		at   geom.Point
	}
	var places []place
	at := landmarks(p)
	kinds := make([]string, 0, len(at))
	for kind := range at {
		kinds = append(kinds, kind)
	}
	slices.Sort(kinds)
	for _, kind := range kinds {
		for _, q := range at[kind] {
			places = append(places, place{kind, q})
		}
	}
	var pairs []pairOfPlaces
	for i, a := range places {
		for j, b := range places {
			if far := a.at.Dist(b.at); i != j && far >= leastApart {
				pairs = append(pairs, pairOfPlaces{[2]string{a.kind, b.kind}, a.at, b.at, far})
			}
		}
	}
	sort.SliceStable(pairs, func(i, j int) bool { return pairs[i].apart > pairs[j].apart })
	return pairs
}

// onto is the motion that lays a pair onto another one.
func (p pairOfPlaces) onto(q pairOfPlaces, mirror bool) geom.Motion {
	from := []geom.Point{p.from, p.to}
	if !mirror {
		return geom.FitMotion(from, []geom.Point{q.from, q.to}, false)
	}
	over := geom.Motion{Mirror: true}
	return over.Then(geom.FitMotion([]geom.Point{over.Apply(p.from), over.Apply(p.to)}, []geom.Point{q.from, q.to}, false))
}

// strayCost weighs how far notches, marks, the grain line and the fold would
// lie from the old ones with the new state moved so.
func (c *comparison) strayCost(m geom.Motion) float64 {
	then, now := landmarks(c.old), landmarks(c.now)
	sum, n := 0.0, 0
	for _, kind := range slices.Sorted(maps.Keys(then)) { // sums depend on the order
		for _, p := range then[kind] {
			nearest := strayAt
			for _, q := range now[kind] {
				nearest = math.Min(nearest, m.Apply(q).Dist(p))
			}
			sum, n = sum+nearest, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return stray * sum / (strayAt * float64(n))
}

const (
	// leftCost is what a pose costs for each mark and reference line that lies to the
	// digit where it was drawn and would be told as moved: about a change.
	leftCost = 0.9

	// mostLeft of them count: what holds a piece in its place is told by few.
	mostLeft = 3
)

// leftMarks is that cost of a pose: a piece that is moved on the sheet takes with it
// what lies inside it.
func (c *comparison) leftMarks(m geom.Motion) float64 {
	left := 0
	now := marksOf(c.now)
	for _, a := range marksOf(c.old) {
		if a.Edge != "" && a.Kind != pattern.MarkDart { // counted along its edge
			continue
		}
		still := slices.ContainsFunc(now, func(b pattern.Mark) bool {
			return b.Kind == a.Kind && b.Name == a.Name && anchor(b) == anchor(a)
		})
		if still && m.Apply(anchor(a)).Dist(anchor(a)) > math.Max(inPlace, c.tol) {
			left++
		}
	}
	return leftCost * float64(min(left, mostLeft))
}

// landmarks lists the places inside a piece by what lies there.
func landmarks(p *pattern.Piece) map[string][]geom.Point {
	at := map[string][]geom.Point{}
	for _, n := range p.Notches {
		if q, _, _, err := p.NotchPlace(n); err == nil {
			at["notch"] = append(at["notch"], q)
		}
	}
	for _, m := range marksOf(p) {
		if m.Edge == "" {
			at[string(m.Kind)] = append(at[string(m.Kind)], anchor(m))
		}
	}
	for i, e := range p.Edges {
		if e.Fold {
			path := p.EdgePath(i)
			at["fold"] = append(at["fold"], path.PointAt(path.Length()/2))
		}
	}
	if g := p.Grain; g != nil && g.OneWay {
		at["grain"] = append(at["grain"], g.From, g.To)
	} else if g != nil { // either way up
		at["grain"] = append(at["grain"], g.From.Lerp(g.To, 0.25), g.From.Lerp(g.To, 0.75))
	}
	return at
}
