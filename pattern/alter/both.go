package alter

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"

	"toile/pattern"
	"toile/pattern/units"
)

// Partners returns the same alteration for the edges sewn to the recipe's
// edge: what --both makes besides. Distances from an edge's start count from
// the other's end, since seams run opposite ways. For shorten and lengthen the
// recipe has to say along which side, and the pieces sewn to that side are
// taken up by as much along it.
func Partners(p *pattern.Pattern, r Recipe) ([]Recipe, error) {
	if r.Kind == averageSides {
		return averagePartners(p, r)
	}
	q, err := p.Piece(r.Piece)
	if err != nil {
		return nil, err
	}
	key, err := bothKey(q, r)
	if err != nil {
		return nil, err
	}
	i, err := q.EdgeIndex(r.Values[key])
	if err != nil && r.Kind == "allowance" && r.Values[key] == allEdges {
		return nil, fmt.Errorf("%s: %q is every edge of this piece that is no fold and no hem, and --both goes from one edge to the one sewn to it; leave --both out and set the allowance on each piece by itself, or name the edge", q.Name, allEdges)
	}
	if err != nil {
		return nil, err
	}
	if r, err = endSettled(q, i, r); err != nil {
		return nil, err
	}
	if all, done, err := acrossPartners(p, r, q, i); done {
		return all, err
	}
	all, mirrored, err := partnersAt(p, r, key, q, i)
	if err != nil {
		return nil, err
	}
	if len(all) == 0 && !mirrored {
		return nil, fmt.Errorf("%s, %q is sewn to no single edge, or only to a part of one, so that --both cannot tell where to make it; leave --both out and make it on each by itself%s", q.Name, q.Edges[i].Name, orOneEdge(p, q, i))
	}
	return all, nil
}

// bothKey is the key of a recipe whose edge is sewn to those on which it is made too; an
// error where the kind is made on one piece alone, or that edge is not said.
func bothKey(q *pattern.Piece, r Recipe) (key string, err error) {
	key = "edge"
	if r.Kind == "shorten" || r.Kind == "lengthen" {
		if key = "along"; r.Values["along"] == "" {
			return "", fmt.Errorf("%s, %q: say with --along which side both pieces share; they lose the same length along it", q.Name, r.Values["edge"])
		}
	}
	if r.Kind == "carry" {
		return "", fmt.Errorf("carry brings a change to all that follows; leave --both out")
	}
	if k := kinds[r.Kind]; k == nil || r.Values[key] == "" || !k.Both() {
		return "", fmt.Errorf("%s is made on one piece alone; leave --both out", r.Kind)
	}
	return key, nil
}

// movesAnEnd reports whether what a recipe does to an edge is counted from one of its
// ends, or done there.
func movesAnEnd(r Recipe, key string) bool {
	return key == "along" || r.Kind == "flare" || r.Values["from"] != "" || r.Values["to"] != ""
}

// partnersAt are the partners over every seam of edge i, each once. An edge
// that is sewn to its own mirror image, as a pair's centre back, is altered
// with its piece, and has no partner of its own there; mirrored tells of that.
func partnersAt(p *pattern.Pattern, r Recipe, key string, q *pattern.Piece, i int) (all []Recipe, mirrored bool, err error) {
	edge := q.Edges[i].Name
	add := func(o Recipe) {
		same := func(made Recipe) bool {
			if key == "along" { // a hem sewn beside at both its sides moves once
				return made.Piece == o.Piece && made.Values["edge"] == o.Values["edge"]
			}
			return made.Piece == o.Piece && maps.Equal(made.Values, o.Values)
		}
		if !same(r) && !slices.ContainsFunc(all, same) {
			all = append(all, o)
		}
	}
	for _, s := range p.SeamsOf(q.Name, edge) {
		for _, side := range [2][2]pattern.Chain{{s.First, s.Second}, {s.Second, s.First}} {
			if whole := wholeStretches(r, q, i, side[0], side[1]); len(whole) > 0 {
				for _, o := range whole {
					add(o)
				}
				continue
			}
			if len(side[0]) != 1 || len(side[1]) != 1 || side[0][0].Piece != q.Name || side[0][0].Edge != edge {
				continue
			}
			if movesAnEnd(r, key) && p.SewnWithin(side[0][0]) {
				continue // a pocket's bag in the seam has no part in what is done at its ends
			}
			other, sameWay := side[1][0], s.SameWay != (side[0][0].Turned != side[1][0].Turned)
			if other.Piece == q.Name && other.Edge == edge {
				if mirrored = true; sameWay {
					continue
				}
			}
			partner, err := partnerOf(p, r, key, q, i, other, sameWay)
			if err != nil {
				return nil, mirrored, err
			}
			add(partner)
		}
	}
	return all, mirrored, nil
}

// endSettled has places along edge i name its ends as start or end, and a taper
// the end that it goes to.
func endSettled(q *pattern.Piece, i int, r Recipe) (Recipe, error) {
	r.Values = maps.Clone(r.Values)
	for _, key := range []string{"from", "at"} {
		if amount, anchor, ok := strings.Cut(r.Values[key], "@"); ok && kinds[r.Kind].along(key) {
			if atEnd, named := q.EndNamed(i, strings.TrimSpace(anchor)); named && q.NotchByName(strings.TrimSpace(anchor)) < 0 {
				r.Values[key] = amount + "@" + map[bool]string{false: "start", true: "end"}[atEnd]
			}
		}
	}
	if r.Kind != "let-out" && r.Kind != "take-in" {
		return r, nil
	}
	to := r.Values["to"]
	if to == "" && r.Values["from"] != "" {
		to = "end"
	}
	if to == "" {
		return r, nil
	}
	end, err := endNamed(q, i, to)
	r.Values["to"] = end
	return r, err
}

// wholeStretches are the partners of a move at equal distance where the other
// side of the seam is several edges, each sewn whole: all of them move alike.
func wholeStretches(r Recipe, q *pattern.Piece, i int, own, others pattern.Chain) []Recipe {
	if r.Kind != "let-out" && r.Kind != "take-in" || r.Values["from"] != "" || r.Values["to"] != "" ||
		len(own) != 1 || len(others) < 2 || own[0].Piece != q.Name || own[0].Edge != q.Edges[i].Name {
		return nil
	}
	var all []Recipe
	for _, st := range others {
		if !st.Whole() {
			return nil
		}
		o := Recipe{Kind: r.Kind, Piece: st.Piece, Values: maps.Clone(r.Values)}
		o.Values["edge"] = st.Edge
		all = append(all, o)
	}
	return all
}

// bothKinds are the kinds that may be made on the sewn-to edge too.
var bothKinds = []string{"allowance", "average-sides", "flare", "lengthen", "let-out", "notch", "shorten", "take-in"}

// Both reports whether a kind can be made on the sewn-to edge too.
func (k *Kind) Both() bool { return slices.Contains(bothKinds, k.Name) }

// along reports whether a key of the kind says a place along the edge or an end
// of it.
func (k *Kind) along(key string) bool {
	return slices.ContainsFunc(k.Keys, func(o Key) bool { return o.Name == key && (o.What == Along || o.What == End) })
}

// plainPlace matches a place along an edge that is counted from one of its
// ends: L, L@start or L@end.
var plainPlace = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[^@]*[0-9][^@]*(@start|@end)?$`) })

// acrossSeam is the place on the other edge that a place on edge i is sewn to,
// for one that is not counted from an end on paper; empty for one that is.
func acrossSeam(p *pattern.Pattern, r Recipe, q *pattern.Piece, i int, text string, other pattern.Stretch) (string, error) {
	if text == "start" || text == "end" || text == "" {
		return "", nil
	}
	toile := r.Values[onToile.Name] == "true"
	named := q.NotchByName(text) >= 0 || strings.Contains(text, " from ")
	plain := plainPlace().MatchString(text) && !toile && !named
	m := &making{pattern: p, piece: q, recipe: r}
	along, err := q.AlongEdge(i, text, false, m.ruler())
	if err != nil {
		return "", err
	}
	places, err := p.Across(q.Name, q.Edges[i].Name, along)
	if err != nil {
		return "", err
	}
	for _, at := range places {
		if at.Piece == other.Piece && at.Edge == other.Edge {
			if counted := staysCounted(p, r, q, text, at); plain && counted != "" {
				return counted, nil
			}
			return units.Number(at.Along, 3) + "mm@start", nil
		}
	}
	return "", fmt.Errorf("%s, %q: %s is not sewn to %s; make it on each by itself", q.Name, q.Edges[i].Name, text, other)
}

// staysCounted is a length from an end as it is counted on the other edge, where
// that means the place it is sewn to; empty where it does not.
func staysCounted(p *pattern.Pattern, r Recipe, q *pattern.Piece, text string, at pattern.OnEdge) string {
	other, j, err := onEdge(p, at)
	if err != nil {
		return ""
	}
	for _, counted := range countedFrom(r, q, text) {
		if got, err := other.AlongEdge(j, counted, false, pattern.Ruler{Unit: p.Unit}); err == nil && math.Abs(got-at.Along) <= p.Tolerances.Section {
			return counted
		}
	}
	return ""
}

// partnerOf turns the recipe to the edge that a stretch of another piece is.
func partnerOf(p *pattern.Pattern, r Recipe, key string, q *pattern.Piece, i int, other pattern.Stretch, sameWay bool) (Recipe, error) {
	o := Recipe{Kind: r.Kind, Piece: other.Piece, Values: map[string]string{}}
	for k, v := range r.Values {
		o.Values[k] = v
	}
	o.Values[key] = other.Edge
	if err := turnPlaces(p, r, o, q, i, other, sameWay); err != nil {
		return o, err
	}
	for k, v := range o.Values {
		if v == "" {
			delete(o.Values, k)
		}
	}
	if key != "along" {
		return o, nil
	}
	return partnerHem(p, r, o, q, i, other, sameWay)
}

// turnPlaces has the places along the edge counted on the other edge.
func turnPlaces(p *pattern.Pattern, r, o Recipe, q *pattern.Piece, i int, other pattern.Stretch, sameWay bool) error {
	for _, k := range []string{"from", "at", "to"} {
		if !kinds[r.Kind].along(k) {
			continue
		}
		if k != "to" {
			text, err := acrossSeam(p, r, q, i, r.Values[k], other)
			if err != nil {
				return err
			}
			if text != "" {
				o.Values[k] = text
				delete(o.Values, onToile.Name)
				continue
			}
		}
		if sameWay {
			continue
		}
		o.Values[k] = otherEnd(r.Values[k])
		// A bare length counts from the start, but for a pivot, which counts from
		// the end away from the hem on either piece.
		if v := o.Values[k]; v == r.Values[k] && v != "" && startsWithDigit(v) && r.Kind != "flare" {
			o.Values[k] = v + "@end"
		}
	}
	return nil
}

// partnerHem names the other piece's hem: the edge next to the shared side at
// the same end of the seam.
func partnerHem(p *pattern.Pattern, r, o Recipe, q *pattern.Piece, i int, other pattern.Stretch, sameWay bool) (Recipe, error) {
	hem, err := q.EdgeIndex(r.Values["edge"])
	if err != nil {
		return o, err
	}
	piece, err := p.Piece(other.Piece)
	if err != nil {
		return o, err
	}
	j, err := piece.EdgeIndex(other.Edge)
	if err != nil {
		return o, err
	}
	n, m := len(q.Edges), len(piece.Edges)
	if atEnd := (i+1)%n == hem; atEnd == sameWay {
		o.Values["edge"] = piece.Edges[(j+1)%m].Name
	} else {
		o.Values["edge"] = piece.Edges[(j+m-1)%m].Name
	}
	return o, nil
}

// otherEnd exchanges start and end in a place or an end.
func otherEnd(text string) string {
	switch {
	case text == "start":
		return "end"
	case text == "end":
		return "start"
	case strings.HasSuffix(text, "@start"):
		return strings.TrimSuffix(text, "@start") + "@end"
	case strings.HasSuffix(text, "@end"):
		return strings.TrimSuffix(text, "@end") + "@start"
	}
	return text
}

func startsWithDigit(text string) bool { return text[0] >= '0' && text[0] <= '9' }
