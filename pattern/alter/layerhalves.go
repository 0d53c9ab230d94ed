package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// halfUnderWhole is an inner piece on the fold under an outer that is drawn whole: the
// one line of each of its edges serves both halves of the outer.
type halfUnderWhole struct {
	outer, inner *pattern.Piece
	axis         geom.Path // the centre of the outer
}

// halfUnder is an inner piece that a motion lays on its outer, as a half under a
// whole; ok is false where they are otherwise. The outer's centre is its reference line
// that is called as the fold, from which that may lie by a back pleat; else where the
// fold lies.
func halfUnder(outer, inner *pattern.Piece, laid geom.Motion) (h halfUnderWhole, ok bool) {
	f := slices.IndexFunc(inner.Edges, func(e pattern.Edge) bool { return e.Fold })
	if f < 0 || inner.Cut != pattern.CutOnFold || outer.Cut != pattern.CutOne {
		return h, false
	}
	h = halfUnderWhole{outer, inner, inner.EdgePath(f).Moved(laid)}
	for _, l := range outer.Lines {
		if l.Name == inner.Edges[f].Name && len(l.Path) == 1 && l.Path[0].IsStraight(0.01) {
			h.axis = l.Path
		}
	}
	return h, true
}

// imageOf is the edge of the outer on which the mirror image of edge i in the fold
// lies best, running the same way, and how far in mm it lies off that one's line at
// most; it is the edge itself where that crosses the fold.
func (h halfUnderWhole) imageOf(i int) (image int, off float64) {
	path := h.outer.EdgePath(i).Moved(geom.MirrorIn(h.axis.Start(), h.axis.End())).Reverse()
	image, least := i, math.Inf(1)
	for k := range h.outer.Edges {
		edge, sum := h.outer.EdgePath(k), 0.0
		for _, share := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
			place, d := edge.Nearest(path.PointAt(share * path.Length()))
			if edge[place.Curve].Tangent(place.T).Dot(path.TangentAt(share*path.Length())) < 0 {
				d = math.Inf(1)
			}
			sum += d
		}
		if sum < least {
			image, least = k, sum
		}
	}
	line := geom.Carrier(h.outer.EdgePath(image), reach)
	const samples = 32
	for k := range samples + 1 {
		_, d := line.Nearest(path.PointAt(path.Length() * float64(k) / samples))
		off = math.Max(off, d)
	}
	return image, off
}

// wholeAs is the same piece in another state of the pattern; opened out at its fold
// where it was a half then and is drawn whole now, so that its other half can be told.
func wholeAs(p *pattern.Pattern, now *pattern.Piece) *pattern.Piece {
	then := samePiece(p, now)
	if then == nil || now.Cut != pattern.CutOne || then.Cut != pattern.CutOnFold {
		return then
	}
	opened, err := Make(p, Recipe{Kind: "unfold", Piece: then.Name})
	if err != nil {
		return then
	}
	return samePiece(opened.Pattern, then)
}

// halvesAlike is by how many mm more at most an edge may differ from its image on the
// other half than it did for both halves to have changed alike: stored coordinates and
// curves drawn anew come to less.
const halvesAlike = 0.05

// refuseOneHalf refuses to give an inner piece on the fold what only one half of its
// outer, which is drawn whole, was given at edge i: then is how both lay, and old the
// edge then.
func (m *making) refuseOneHalf(then *lying, inner *pattern.Piece, i, old int) error {
	h, ok := halfUnder(m.piece, inner, then.laid)
	if !ok {
		return nil
	}
	before := 0.0
	if b, ok := halfUnder(then.outer, then.inner, then.laid); ok {
		_, before = b.imageOf(old)
	}
	if _, off := h.imageOf(i); off > before+halvesAlike {
		return m.oneHalfAlone(inner.Name, i)
	}
	return nil
}

// oneHalfAlone says that an inner piece on the fold cannot have what one half alone
// has at edge i, and what to do.
func (m *making) oneHalfAlone(inner string, i int) error {
	return &OneHalfError{inner, m.piece.Name, m.piece.Edges[i].Name}
}

// onOtherHalf refuses to say that nothing has to be carried to a layer on the fold
// from an edge on the half of the outer that it is not drawn on, where that edge is
// another than its image: the layer lacks that.
func (m *making) onOtherHalf(asked []Follower, edge string) error {
	i, err := m.piece.EdgeIndex(edge)
	if err != nil {
		return err
	}
	for _, f := range asked {
		inner, err := m.pattern.Piece(f.Piece)
		if err != nil || f.Why != Layered {
			continue
		}
		laid, err := layMotion(inner, m.piece)
		if err != nil {
			continue
		}
		h, ok := halfUnder(m.piece, inner, laid)
		if !ok {
			continue
		}
		l, err := lieAs(m.pattern, m.piece, inner, laid)
		if image, off := h.imageOf(i); err == nil && image != i && len(l.at[image]) > 0 && off > halvesAlike {
			return m.oneHalfAlone(inner.Name, i)
		}
	}
	return nil
}
