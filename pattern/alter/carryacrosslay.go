package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// layOn takes an inner piece onto its outer. One that finishes to several outers
// is laid on all of them together, as they lie beside each other where they are
// sewn: the one at hand may be too little of it to say where it lies. The pieces are those
// of some state of the pattern; what finishes to what is said now.
func layOn(state, now *pattern.Pattern, outer, inner *pattern.Piece) (geom.Motion, error) {
	laid, err := layAsDeclared(now, inner, outer)
	if err == nil && laid == (geom.Motion{}) || !acrossOuter(now, inner.Name) {
		return laid, err
	}
	var best geom.Motion
	most := -1.0
	try := func(m geom.Motion) {
		if covers := coversOuters(state, now, outer, inner, m); covers > most+joinedWithin {
			best, most = m, covers
		}
	}
	if err == nil {
		try(laid)
	}
	for _, o := range otherOuters(state, now, outer, inner) {
		on, errOther := layAsDeclared(now, inner, o)
		if errOther != nil {
			continue
		}
		for _, beside := range besideMotions(state, o, outer) {
			try(on.Then(beside))
		}
	}
	if most < 0 {
		return laid, err
	}
	return best, nil
}

// otherOuters are the further outers, in some state of the pattern, to which an
// inner piece finishes now.
func otherOuters(state, now *pattern.Pattern, outer, inner *pattern.Piece) []*pattern.Piece {
	var others []*pattern.Piece
	for _, l := range now.Layers {
		if l.Band || !slices.Contains(l.Inner, inner.Name) {
			continue
		}
		q, err := now.Piece(l.Outer)
		if err != nil {
			continue
		}
		if o := samePiece(state, q); o != nil && o != outer {
			others = append(others, o)
		}
	}
	return others
}

// coversOuters is for how many mm the outlines of all its outers lie along an
// inner piece that a motion lays on the one at hand.
func coversOuters(state, now *pattern.Pattern, outer, inner *pattern.Piece, laid geom.Motion) float64 {
	sum := 0.0
	add := func(all map[int]float64) (length float64) {
		for _, l := range all {
			length += l
		}
		return length
	}
	sum += add(coveredBy(now, outer, inner, laid))
	for _, o := range otherOuters(state, now, outer, inner) {
		most := 0.0
		for _, beside := range besideMotions(state, o, outer) {
			most = math.Max(most, add(coveredBy(now, o, inner, laid.Then(beside.Inverse()))))
		}
		sum += most
	}
	return sum
}

// coveredBy says of each edge of an inner piece that lies along edges of an outer,
// where it has to, for how many mm.
func coveredBy(p *pattern.Pattern, outer, inner *pattern.Piece, laid geom.Motion) map[int]float64 {
	covered := map[int]float64{}
	for k := range inner.Edges {
		line := inner.EdgePath(k).Moved(laid)
		for j := range outer.Edges {
			if outer.Edges[j].Fold != inner.Edges[k].Fold {
				continue
			}
			on, err := outer.EdgeMoved(j, declared(p, outer, j, inner))
			if err == nil && runsAlongIn(on, line) {
				covered[k] += math.Min(on.Length(), line.Length())
			} else if err == nil && runsAlongIn(line, on) {
				covered[k] += line.Length()
			}
		}
	}
	return covered
}

// lacksAcross reports, of an edge at which two outers of an inner piece are sewn
// to each other, whether the inner piece lay along the further one then and does
// not now. known is false where the edge is no such seam, or the inner piece lay
// along nothing of the further outer.
func (c Lacking) lacksAcross(p *pattern.Pattern, piece, edge string) (lacks, known bool) {
	outer, err := p.Piece(piece)
	if err != nil {
		return false, false
	}
	inner, err := p.Piece(c.Piece)
	if err != nil {
		return false, false
	}
	was := c.overSeam(p, outer, inner, edge)
	is := Lacking{Before: p}.overSeam(p, outer, inner, edge)
	for name := range was {
		known = true
		lacks = lacks || !is[name]
	}
	return lacks, known
}

// overSeam names the edges of an inner piece that lie, in the state of before,
// along edges of an outer that is sewn to another along one of its edges.
func (c Lacking) overSeam(now *pattern.Pattern, outer, inner *pattern.Piece, edge string) map[string]bool {
	found := map[string]bool{}
	a, b := samePiece(c.Before, outer), samePiece(c.Before, inner)
	if a == nil || b == nil {
		return found
	}
	laid, err := layOn(c.Before, now, a, b)
	if err != nil {
		return found
	}
	for _, o := range otherOuters(c.Before, now, a, b) {
		if !sewnEdges(now, outer.Name, edge, o.Name) {
			continue
		}
		best := map[int]float64{}
		for _, beside := range besideMotions(c.Before, o, a) {
			if on := coveredBy(now, o, b, laid.Then(beside.Inverse())); len(on) > len(best) {
				best = on
			}
		}
		for k := range best {
			if j := sameEdge(b, k, inner); j >= 0 {
				found[o.Name+"/"+inner.Edges[j].Name] = true
			}
		}
	}
	return found
}
