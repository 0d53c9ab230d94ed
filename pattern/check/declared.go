package check

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"toile/geom"
	"toile/pattern"
)

// way says how a difference or a gap runs on the outer: along its grain, across
// it, or, of a difference that does not say, either.
type way int

const (
	either way = iota
	along
	across
)

// wordsOfWay are the words in a difference's description that name its way.
var wordsOfWay = map[string]way{
	"hem": along, "hems": along, "hemline": along, "length": along, "long": along, "longer": along, "short": along, "shorter": along,
	"pleat": across, "pleats": across, "width": across, "wide": across, "wider": across, "narrow": across, "narrower": across,
}

// wayOf is the way that a difference names in its words, either where it names
// none or both.
func wayOf(d pattern.Difference) way {
	found := either
	words := strings.FieldsFunc(strings.ToLower(d.What), func(r rune) bool { return !unicode.IsLetter(r) })
	for _, word := range words {
		switch w := wordsOfWay[word]; {
		case w == either:
		case found != either && found != w:
			return either
		default:
			found = w
		}
	}
	return found
}

// wayOf is the way in which a gap opens: square to the edge of the outer, or of
// the other inner piece, at the gap's place.
func (v *layering) wayOf(g gap) way {
	square := v.directionAt(g).Left()
	if math.Abs(square.Dot(v.outer.GrainDirection())) > math.Sqrt2/2 {
		return along
	}
	return across
}

// lineUnder is the line that a gap's edge is measured against.
func (v *layering) lineUnder(g gap) geom.Path {
	if g.other >= 0 {
		return v.lie[g.other].edges[g.against]
	}
	return v.outer.EdgePath(g.against)
}

// atEdge is how far square to an edge of the outer a difference declared for it
// takes an inner piece's line: at a hem it is counted along the grain.
func (v *layering) atEdge(d pattern.Difference, edge int, where geom.Point) float64 {
	if edge != v.outer.HemEdge() || v.outer.Edges[edge].Fold {
		return d.By
	}
	path := v.outer.EdgePath(edge)
	place, _ := path.Nearest(where)
	return d.By * math.Abs(path[place.Curve].Tangent(place.T).Left().Dot(v.outer.GrainDirection()))
}

// ofEdge lists what is declared for an edge of the outer and an inner piece, in
// mm square to it at the place where; 0 for every other difference.
func (v *layering) ofEdge(inner *pattern.Piece, edge int, where geom.Point) []float64 {
	amounts := make([]float64, len(v.layer.Differences))
	for i, d := range v.layer.Differences {
		if d.At(inner.Name, v.outer.Edges[edge].Name) {
			amounts[i] = v.atEdge(d, edge, where)
		}
	}
	return amounts
}

// ofWay lists the differences that name no edge, in mm, and can show in a gap of
// this way on an inner piece; 0 for every other one and for those of the other
// sign, which no gap shows together.
func (v *layering) ofWay(g gap) []float64 {
	amounts := make([]float64, len(v.layer.Differences))
	runs := v.wayOf(g)
	for i, d := range v.layer.Differences {
		if d.Edge != "" || v.lie[g.lie].shows[i] || math.Signbit(d.By) != math.Signbit(g.off) {
			continue
		}
		if w := wayOf(d); (w == either || w == runs) && v.ofPieces(g, d.Piece) {
			amounts[i] = d.By
		}
	}
	return amounts
}

// ofPieces reports whether a gap is at an inner piece, at any where it is not
// named.
func (v *layering) ofPieces(g gap, name string) bool {
	return name == "" || v.lie[g.lie].piece.Name == name || g.other >= 0 && v.lie[g.other].piece.Name == name
}

// meant reports whether what an edge is off is nothing or declared. A difference
// that names an edge of the outer counts there alone. One that names none counts
// for the pieces' total in its way: at one edge, shared by two that open the
// same way, or by half along a fold.
func (v *layering) meant(g gap, all []gap) bool {
	if math.Abs(g.off) <= v.tol {
		v.meantAtEdge(g) // shown, perhaps
		return true
	}
	if v.meantAtEdge(g) {
		return true
	}
	amounts := v.ofWay(g)
	if v.sum(amounts, g.off) {
		return true
	}
	if g.other < 0 {
		atEdge := added(v.ofEdge(v.lie[g.lie].piece, g.against, g.where), v.ofFold(g))
		if v.sum(added(amounts, atEdge), g.off) || v.alongFold(g) && v.sum(added(amounts, added(atEdge, atEdge)), 2*g.off) {
			return true
		}
	}
	for _, o := range all {
		same := o.lie == g.lie && o.edge == g.edge
		if !same && math.Abs(o.off) > v.tol && math.Signbit(o.off) == math.Signbit(g.off) && v.wayOf(o) == v.wayOf(g) && v.sum(amounts, g.off+o.off) {
			return true
		}
	}
	return false
}

// ofFold lists what is declared at the outer's fold, in mm: an inner piece that is
// drawn whole has no edge there, and shows it beside it on each half; 0 for every other
// difference.
func (v *layering) ofFold(g gap) []float64 {
	amounts := make([]float64, len(v.layer.Differences))
	if v.lie[g.lie].side == 0 || v.lie[g.lie].piece.Cut != pattern.CutOne || !v.alongFold(g) {
		return amounts
	}
	for i, e := range v.outer.Edges {
		if e.Fold && i != g.against {
			amounts = added(amounts, v.ofEdge(v.lie[g.lie].piece, i, g.where))
		}
	}
	for i, shown := range v.lie[g.lie].shows {
		if shown {
			amounts[i] = 0
		}
	}
	return amounts
}

// added is, for each difference, the sum of two amounts of which at most one is
// not 0: what is declared for an edge shows there with what is for the whole.
func added(a, b []float64) []float64 {
	sums := slices.Clone(a)
	for i := range b {
		sums[i] += b[i]
	}
	return sums
}

func (v *layering) meantAtEdge(g gap) bool {
	return g.other < 0 && v.sum(v.ofEdge(v.lie[g.lie].piece, g.against, g.where), g.off)
}

// sum reports whether an amount is the sum of some of the amounts, and marks
// their differences as found.
func (v *layering) sum(amounts []float64, off float64) bool {
	ok, _ := explained(amounts, off, v.tol, v.used)
	return ok
}

// directionAt is the direction of the line that a gap is measured against.
func (v *layering) directionAt(g gap) geom.Point {
	on := v.lineUnder(g)
	place, _ := on.Nearest(g.where)
	return on[place.Curve].Tangent(place.T)
}
