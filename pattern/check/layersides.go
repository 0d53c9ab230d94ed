package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/pattern"
)

// alikeOnHalves is by how many mm at most an edge may be off otherwise on one half of
// an outer than on the other for the two to be one finding.
const alikeOnHalves = 0.1

// beside reports whether two inner pieces may lie beside each other: each on the same
// half, where they are held against the halves one by one.
func (v *layering) beside(i, k int) bool {
	a, b := v.lie[i].side, v.lie[k].side
	return a == 0 || b == 0 || a == b
}

// onOtherHalf is the gap of the same edge of an inner piece on the other half of the
// outer; ok is false where there is none.
func (v *layering) onOtherHalf(g gap, all []gap) (other gap, ok bool) {
	l := v.lie[g.lie]
	for _, o := range all {
		if m := v.lie[o.lie]; l.side != 0 && m.piece == l.piece && m.side != l.side && o.edge == g.edge && (o.other < 0) == (g.other < 0) {
			return o, true
		}
	}
	return other, false
}

// toldOfOtherHalf reports whether a gap is told already with that of the first half.
func (v *layering) toldOfOtherHalf(g gap, all []gap) bool {
	o, ok := v.onOtherHalf(g, all)
	return ok && v.lie[g.lie].side == 2 && math.Abs(o.off-g.off) <= alikeOnHalves && !v.meant(o, all)
}

// oneSided reports whether an edge of an inner piece is off otherwise on the other
// half of the outer.
func (v *layering) oneSided(g gap, all []gap) bool {
	o, ok := v.onOtherHalf(g, all)
	return ok && math.Abs(o.off-g.off) > alikeOnHalves
}

// against are the edges of the outer that a gap is told of: of both halves, where it
// is off alike on both.
func (v *layering) against(g gap, all []gap) []string {
	names := []string{v.outer.Edges[g.against].Name}
	if o, ok := v.onOtherHalf(g, all); ok && o.against != g.against && !v.oneSided(g, all) {
		names = append(names, v.outer.Edges[o.against].Name)
	}
	return names
}

// againstWords names the edges that a gap is told of, and the half where the edge
// runs over both.
func (v *layering) againstWords(g gap, all []gap) string {
	var words []string
	for _, name := range v.against(g, all) {
		words = append(words, fmt.Sprintf("%q", name))
	}
	text := strings.Join(words, " and ")
	if o, ok := v.onOtherHalf(g, all); ok && o.against == g.against && v.oneSided(g, all) {
		text += v.halfWords(g)
	}
	return text
}

// jointHalf names the half that a gap between two inner pieces is on where it is
// otherwise on the other.
func (v *layering) jointHalf(g gap, all []gap) string {
	if !v.oneSided(g, all) {
		return ""
	}
	return v.halfWords(g)
}

// halfWords names the half of the outer that a gap is on by the longest edge that one
// of the two pieces has on that half alone; nothing where there is none.
func (v *layering) halfWords(g gap) string {
	l := v.lie[g.lie]
	var other laid
	for _, m := range v.lie {
		if m.piece == l.piece && m.side != l.side {
			other = m
		}
	}
	name, longest := "", 0.0
	has := func(q *pattern.Piece, i int) {
		if length := q.EdgePath(i).Length(); length > longest {
			name, longest = q.Edges[i].Name, length
		}
	}
	for e, k := range l.on {
		switch {
		case k < 0:
		case l.piece.Cut == pattern.CutOne && other.on[e] < 0:
			has(l.piece, e)
		case l.piece.Cut != pattern.CutOne && other.on[e] != k:
			has(v.outer, k)
		}
	}
	if name == "" {
		return ""
	}
	return fmt.Sprintf(" on the half with %q", name)
}

// underOtherSide is the outer of the wearer's other side under which an inner piece lies
// that is a pair, where its edge is off otherwise there than a gap on this outer, and
// which of the sides the piece shows as it is drawn. Moved in the one drawing, the edge
// would be out there.
func (v *layering) underOtherSide(g gap) (other, drawn string, ok bool) {
	l := v.lie[g.lie]
	if g.other >= 0 || l.piece.Cut != pattern.CutPair || len(v.outers) != 1 || v.outer.Side == "" {
		return "", "", false
	}
	for _, layer := range v.p.Layers {
		outer := v.piece(layer.Outer)
		if layer.Band || outer == nil || outer.Side == "" || outer.Side == v.outer.Side || !slices.Contains(layer.Inner, l.piece.Name) {
			continue
		}
		lies := v.lay(l.piece, outer, layer)
		on := lies.on[g.edge]
		if on < 0 {
			continue
		}
		off, _, ok := apart(lies.edges[g.edge], outer.EdgePath(on))
		if drawn = v.outer.Side; l.motion.Mirror {
			drawn = outer.Side
		}
		return outer.Name, drawn, ok && math.Abs(off-g.off) > alikeOnHalves
	}
	return "", "", false
}
