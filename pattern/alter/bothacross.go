package alter

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/units"
)

// acrossPartners are the partners of a kind that is made at a place of a seam:
// a notch, or a swing about a pivot. The place is found across the seam, which
// may be sewn to several edges, to a part of one, or lie behind a dart. done
// says that the kind is one of these.
func acrossPartners(p *pattern.Pattern, r Recipe, q *pattern.Piece, i int) (all []Recipe, done bool, err error) {
	switch r.Kind {
	case "notch":
		all, err = notchPartners(p, r, q, i)
	case "flare":
		all, err = flarePartners(p, r, q, i)
	default:
		return nil, false, nil
	}
	return all, true, err
}

// sewnElsewhere are the places that a place on edge i is sewn to, its own
// mirror image left out, each once. The error says that there is none at all.
func sewnElsewhere(p *pattern.Pattern, q *pattern.Piece, i int, along float64, said string) ([]pattern.OnEdge, error) {
	edge := q.Edges[i].Name
	places, err := p.Across(q.Name, edge, along)
	if err != nil {
		return nil, err
	}
	if len(places) == 0 {
		if len(p.SeamsOf(q.Name, edge)) == 0 {
			return nil, fmt.Errorf("%s, %q is sewn to nothing; leave --both out, or say with `toile seam` what it is sewn to", q.Name, edge)
		}
		return nil, fmt.Errorf("%s, %q: %s lies where it is not sewn; leave --both out and make it on each by itself", q.Name, edge, said)
	}
	var out []pattern.OnEdge
	for _, at := range places {
		own := at.Piece == q.Name && at.Edge == edge && math.Abs(at.Along-along) < 0.01
		if !own && !slices.ContainsFunc(out, func(o pattern.OnEdge) bool {
			return o.Piece == at.Piece && o.Edge == at.Edge && math.Abs(o.Along-at.Along) < 0.01
		}) {
			out = append(out, at)
		}
	}
	return out, nil
}

// partnerAt is the recipe for a place on another edge. A place that was typed as
// a length from an end stays one, by the first of these texts that the other
// edge reads as that place, within the tolerance of a section; else it is
// counted in mm from the edge's start.
func partnerAt(p *pattern.Pattern, r Recipe, key string, at pattern.OnEdge, texts []string, read func(text string) (float64, error)) Recipe {
	o := Recipe{Kind: r.Kind, Piece: at.Piece, Values: maps.Clone(r.Values)}
	o.Values["edge"] = at.Edge
	for _, text := range texts {
		if got, err := read(text); err == nil && math.Abs(got-at.Along) <= p.Tolerances.Section {
			if o.Values[key] = text; text == "" {
				delete(o.Values, key)
			}
			return o
		}
	}
	delete(o.Values, onToile.Name)
	o.Values[key] = units.Number(at.Along, 3) + "mm@start"
	return o
}

// countedFrom is a length along an edge that was typed as counted from one of
// its ends, as it may be counted on another; none for any other place.
func countedFrom(r Recipe, q *pattern.Piece, text string) []string {
	if !plainPlace().MatchString(text) || r.Values[onToile.Name] == "true" || q.NotchByName(text) >= 0 || strings.Contains(text, " from ") {
		return nil
	}
	amount, _, ends := strings.Cut(text, "@")
	switch {
	case r.Kind == "flare" && !ends: // from the end away from the hem, on either
		return []string{text}
	case strings.HasSuffix(text, "@end"):
		return []string{amount + "@start", text}
	case ends:
		return []string{amount + "@end", text}
	}
	return []string{amount + "@end", amount}
}

// notchPartners are the notches across the seam.
func notchPartners(p *pattern.Pattern, r Recipe, q *pattern.Piece, i int) ([]Recipe, error) {
	m := &making{pattern: p, piece: q, recipe: r}
	text := m.text("at")
	along, err := m.along("at", i, false)
	if err != nil {
		return nil, err
	}
	places, err := sewnElsewhere(p, q, i, along, text)
	if err != nil {
		return nil, err
	}
	var all []Recipe
	for _, at := range places {
		other, j, err := onEdge(p, at)
		if err != nil {
			return nil, err
		}
		if length := other.EdgePath(j).Length(); at.Along < leastPart || at.Along > length-leastPart {
			return nil, fmt.Errorf("%s, %q: across the seam %s lies at the corner of %s, %q, which matches by itself; leave --both out", q.Name, q.Edges[i].Name, text, at.Piece, at.Edge)
		}
		all = append(all, partnerAt(p, r, "at", at, countedFrom(r, q, text), func(text string) (float64, error) {
			return other.AlongEdge(j, text, false, pattern.Ruler{Unit: p.Unit})
		}))
	}
	return all, nil
}

// onEdge finds the edge of a place.
func onEdge(p *pattern.Pattern, at pattern.OnEdge) (*pattern.Piece, int, error) {
	q, err := p.Piece(at.Piece)
	if err != nil {
		return nil, 0, err
	}
	i, err := q.EdgeIndex(at.Edge)
	return q, i, err
}

// flarePartners are the swings across the seam: about the place that the pivot
// is sewn to, where all that swings lies on one edge and ends with it.
func flarePartners(p *pattern.Pattern, r Recipe, q *pattern.Piece, i int) ([]Recipe, error) {
	m := &making{pattern: p, piece: q, recipe: r}
	length := q.EdgePath(i).Length()
	farEnd := m.farFromHem(begin(q), i)
	far, pivot := length, 0.0
	if !farEnd {
		far, pivot = 0, length
	}
	if m.has("from") {
		var err error
		if pivot, err = m.along("from", i, !farEnd); err != nil {
			return nil, err
		}
	}
	const inside = 0.05 // at a joint of two edges the one that swings counts
	step := math.Copysign(inside, far-pivot)
	starts, err := sewnElsewhere(p, q, i, pivot+step, "the pivot")
	if err != nil {
		return nil, err
	}
	ends, err := sewnElsewhere(p, q, i, far-step, "the end that swings")
	if err != nil {
		return nil, err
	}
	var all []Recipe
	for _, start := range starts {
		k := slices.IndexFunc(ends, func(end pattern.OnEdge) bool { return end.Seam == start.Seam })
		if k < 0 || ends[k].Piece != start.Piece || ends[k].Edge != start.Edge {
			return nil, fmt.Errorf("%s, %q: what swings is sewn to more than %s, %q, and edges that are sewn to each other cannot swing about one point; %s",
				q.Name, q.Edges[i].Name, start.Piece, start.Edge, m.pivotThatWorks(p, i, pivot, far, start.Seam))
		}
		o, err := swingAcross(p, r, q, start, ends[k], inside)
		if err != nil {
			return nil, err
		}
		all = append(all, o)
	}
	return all, nil
}

// pivotThatWorks says how a swing can be made on both sides of a seam whose other
// side is several edges: about the joint that lies nearest to the end that
// swings, so that all of it lies on one edge. It tries that first.
func (m *making) pivotThatWorks(p *pattern.Pattern, i int, pivot, far float64, seam string) string {
	const by = "swing each by itself, leaving --both out"
	edge := m.piece.Edges[i].Name
	at := func(along float64) pattern.OnEdge {
		places, err := p.Across(m.piece.Name, edge, along)
		k := slices.IndexFunc(places, func(o pattern.OnEdge) bool { return o.Seam == seam })
		if err != nil || k < 0 {
			return pattern.OnEdge{}
		}
		return places[k]
	}
	end := at(far - math.Copysign(0.05, far-pivot))
	in, out := far, pivot
	for math.Abs(in-out) > 0.01 {
		half := (in + out) / 2
		if o := at(half); o.Piece == end.Piece && o.Edge == end.Edge {
			in = half
		} else {
			out = half
		}
	}
	r := m.recipe
	r.Values = maps.Clone(r.Values)
	r.Values["from"] = p.Unit.Typed(roundTo(in)) + "@start"
	all, err := Partners(p, r)
	for _, one := range append([]Recipe{r}, all...) {
		if err == nil {
			_, err = Make(p, one)
		}
	}
	if err != nil {
		return by
	}
	return fmt.Sprintf("give the joint with %s, %q as the pivot: `toile alter %s --both`; or %s", end.Piece, end.Edge, Typed(r), by)
}

// swingAcross is the swing of the edge that a pivot and the end that swings are
// sewn to, both given inside mm within.
func swingAcross(p *pattern.Pattern, r Recipe, q *pattern.Piece, start, end pattern.OnEdge, inside float64) (Recipe, error) {
	other, j, err := onEdge(p, start)
	if err != nil {
		return r, err
	}
	m := &making{pattern: p, piece: other, recipe: r}
	length := other.EdgePath(j).Length()
	farEnd := m.farFromHem(begin(other), j)
	far := length
	if !farEnd {
		far = 0
	}
	if short := math.Abs(end.Along-far) - inside; short > p.Tolerances.Section {
		return r, fmt.Errorf("%s, %q: the end that swings is sewn to %s, %q, %s short of its hem; swing each by itself", q.Name, r.Values["edge"], start.Piece, start.Edge, p.Unit.Format(short))
	}
	start.Along = min(max(start.Along-math.Copysign(inside, end.Along-start.Along), 0), length)
	texts := countedFrom(r, q, r.Values["from"])
	if r.Values["from"] == "" {
		texts = []string{""}
	}
	return partnerAt(p, r, "from", start, texts, func(text string) (float64, error) {
		if text == "" {
			return length - far, nil
		}
		return other.AlongEdge(j, text, !farEnd, pattern.Ruler{Unit: p.Unit})
	}), nil
}
