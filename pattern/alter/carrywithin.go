package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// withinEdge refuses to carry a length to a place in the middle of an edge.
type withinEdge struct{ text string }

func (w withinEdge) Error() string { return w.text }

// refuseWithin refuses to carry what the source gained at a joint in the middle of
// edge j, and says what can be done there.
func (m *making) refuseWithin(s sewing, q *pattern.Piece, j int, along, by float64) error {
	length, gained := q.EdgePath(j).Length(), map[bool]string{true: "longer", false: "shorter"}[by > 0]
	atEnd := along > length/2
	var todo []string
	if r, ok := m.wedgeAt(s.seam, q, j, along, by); ok {
		todo = append(todo, fmt.Sprintf("make it %s there with `toile alter %s`", gained, Typed(r)))
	}
	if ease := m.easeToFit(s.seam); ease != "" {
		todo = append(todo, fmt.Sprintf("record the difference as ease-in with `toile seam %q --ease %s`", s.seam.Name, ease))
	}
	if len(todo) == 0 {
		todo = []string{"draw it anew with `toile alter redraw`"}
	}
	return withinEdge{fmt.Sprintf("%s, %q: %q of %s got %s %s at a place that is sewn to it %s from %q, in the middle, where no other edge of %s meets it that could be moved; %s",
		q.Name, q.Edges[j].Name, m.text("edge"), m.piece.Name, m.format(math.Abs(by)), gained,
		m.format(math.Min(along, length-along)), neighbourAt(q, j, atEnd), q.Name, strings.Join(todo, ", or "))}
}

// easeToFit is the ease-in, as it is typed, with which the section of a seam fits that
// is out most; empty where none is.
func (m *making) easeToFit(s *pattern.Seam) string {
	sections, err := m.pattern.WalkSeam(s)
	if err != nil {
		return ""
	}
	worst, out := -1, m.pattern.Tolerances.Section
	for k, c := range sections {
		if by := math.Abs(c.Left()); !c.Gathered && by > out {
			worst, out = k, by
		}
	}
	switch {
	case worst < 0:
		return ""
	case len(sections) == 1:
		return m.pattern.Unit.Typed(sections[0].Difference())
	}
	return fmt.Sprintf("%d=%s", worst+1, m.pattern.Unit.Typed(sections[worst].Difference()))
}

// wedgeAt is the opening, or the folding out, of a piece from a place on edge j to the
// edge across from it, hinged there, that has edge j gain by mm. It is not ok where
// none does, or the seam does not fit the better for it.
func (m *making) wedgeAt(s *pattern.Seam, q *pattern.Piece, j int, along, by float64) (Recipe, bool) {
	k, to, ok := acrossFrom(q, j, along)
	if !ok {
		return Recipe{}, false
	}
	edge, u := q.EdgePath(j), m.pattern.Unit
	made := func(amount float64) Recipe {
		kind := map[bool]string{true: "spread", false: "close"}[by > 0]
		return Recipe{Kind: kind, Piece: q.Name, Unit: u, Values: map[string]string{
			"by": u.Typed(math.Abs(amount)), "hinge": q.Edges[k].Name,
			"line": fmt.Sprintf("%s@%s:%s@%s", q.Edges[j].Name, u.Typed(along), q.Edges[k].Name, u.Typed(to))}}
	}
	x, fx, amount := 0.0, 0.0, by
	for range 6 {
		r := made(amount)
		result, err := Make(m.pattern, r)
		if err != nil {
			return r, false
		}
		after := samePiece(result.Pattern, q)
		got := after.EdgePath(j).Length() - edge.Length()
		if math.Abs(got-by) <= fitsWithin {
			k := slices.IndexFunc(result.Pattern.Seams, func(o pattern.Seam) bool { return o.Name == s.Name })
			return r, k >= 0 && misfit(result.Pattern, &result.Pattern.Seams[k]) < math.Max(misfit(m.pattern, s)-math.Abs(by)/4, fitsWithin)
		}
		if math.Abs(got-fx) < 1e-6 {
			break
		}
		x, fx, amount = amount, got, amount+(by-got)*(amount-x)/(got-fx)
	}
	return Recipe{}, false
}

// acrossFrom is the place, an edge and mm along it, across a piece from one on edge j:
// along the grain, or square to the edge where that runs along the grain itself. It is
// not ok where that is no other edge, or the fold.
func acrossFrom(q *pattern.Piece, j int, along float64) (k int, to float64, ok bool) {
	across := q.GrainDirection()
	if tangent := q.EdgePath(j).TangentAt(along); math.Abs(tangent.Cross(across)) < 0.5 {
		across = tangent.Right()
	}
	far, ok := straightAcross(q, j, along, across)
	if !ok {
		return 0, 0, false
	}
	k, to = nearestEdge(q, far)
	return k, to, k != j && !q.Edges[k].Fold
}

// nearestEdge is the edge of a piece nearest to a place on its outline, and the length
// along it there.
func nearestEdge(q *pattern.Piece, p geom.Point) (k int, along float64) {
	best := math.Inf(1)
	for i := range q.Edges {
		path := q.EdgePath(i)
		if at, d := path.Nearest(p); d < best-1e-6 {
			best, k, along = d, i, path.LengthTo(at)
		}
	}
	return k, along
}
