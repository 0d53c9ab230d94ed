package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// LayerLacks reports whether an inner piece lay along an edge of its outer in
// an earlier state of the pattern and does not now, or now lies at another
// distance. Where a distance is declared, that is where it has to lie. known
// is false where the earlier state does not tell: it has no such pieces, or
// the inner one does not lie along the edge in it.
func LayerLacks(p, before *pattern.Pattern, piece, edge, inner string) (lacks, known bool) {
	return Lacking{Follower: Follower{Piece: inner}, Before: before}.InLayer(p, piece, edge)
}

// InLayer is LayerLacks for the layer and the earlier state that are said here.
func (c Lacking) InLayer(p *pattern.Pattern, piece, edge string) (lacks, known bool) {
	inner := c.Piece
	then, old, ok := c.then(p, piece, edge)
	if !ok {
		return false, false
	}
	if len(then.at[old]) == 0 {
		return c.lacksAcross(p, piece, edge)
	}
	var err error
	now, i, ok := layerAt(p, p, piece, edge, inner)
	if !ok {
		return true, true
	}
	// A hem facing of which the hem went up fits as well further up; drawn in its
	// place, it has to follow there. So has one that is drawn elsewhere, where neither
	// piece was moved on the sheet.
	if (then.laid == geom.Motion{} || then.drawnApart()) && now.laid != then.laid && lyingStill(then.outer, now.outer, leastOnOuter) && lyingStill(then.inner, now.inner, 0.5) {
		if now, err = lieAs(p, now.outer, now.inner, then.laid); err != nil {
			return true, true
		}
	}
	for _, was := range then.at[old] {
		k := sameEdge(then.inner, was.inner, now.inner)
		if k < 0 {
			continue
		}
		want := now.want(p, i, was.by)
		// What is finer than is told is nothing to follow.
		if c.onlySpread() && now.liesWithin(i, k, want, besideSlashWithin) || now.roundsAgree(i) && now.liesWithin(i, k, want, fitsWithin) {
			continue
		}
		at := slices.IndexFunc(now.at[i], func(a along) bool { return a.inner == k && (was.near || !a.near) })
		if at < 0 || math.Abs(now.at[i][at].by-want) > 2*evenWithin || !now.roundsAgree(i) {
			return true, true
		}
	}
	return false, true
}

// onlySpread reports whether all that the edge of the outer did was to move with a
// part of a piece that was slashed.
func (c Lacking) onlySpread() bool {
	return len(c.Changes) > 0 && !slices.ContainsFunc(c.Changes, func(ch change.Change) bool { return ch.Kind != change.Spread })
}

// besideSlashWithin is how far in mm an edge that lies beside a slash may lie off the
// outer for having stayed: the end of a slash is drawn smooth a little further on,
// finer than a pencil's line.
const besideSlashWithin = 0.2

// liesWithin reports whether edge k of the inner piece lies along edge i of the outer at
// a distance in mm, to so many mm.
func (l *lying) liesWithin(i, k int, by, within float64) bool {
	line, err := l.outer.EdgeMoved(i, by)
	return err == nil && keepsWithin(l.inner.EdgePath(k).Moved(l.laid), geom.Carrier(line, 4*reach), within)
}

// then lays the inner piece on its outer as both were before; of one that was
// drafted since only what lies where it is meant to.
func (c Lacking) then(now *pattern.Pattern, piece, edge string) (*lying, int, bool) {
	l, old, ok := layerAt(c.Before, now, piece, edge, c.Piece)
	if ok && c.Drafted {
		for i, list := range l.at {
			meant := declared(now, l.outer, i, l.inner)
			l.at[i] = slices.DeleteFunc(list, func(a along) bool { return math.Abs(a.by-meant) > evenWithin })
		}
	}
	return l, old, ok
}

// drawnApart reports whether the inner piece is drawn beside its outer on the sheet.
func (l *lying) drawnApart() bool {
	a, _ := l.outer.SharpRing()
	b, _ := l.inner.SharpRing()
	return !a.Box().Overlaps(b.Box())
}

// lyingStill reports whether a piece lies on the sheet where it lay: a share of its
// old outline is there still.
func lyingStill(then, now *pattern.Piece, share float64) bool {
	a, _ := then.SharpRing()
	b, _ := now.SharpRing()
	return shared(a, b) >= share*a.Length()
}

// LiesAlong reports whether an edge of an inner piece lies along an edge of its
// outer where it has to: on it, or at the distance that is declared there.
func LiesAlong(p *pattern.Pattern, piece, edge, inner, its string) bool {
	if !slices.ContainsFunc(p.Layers, func(l pattern.Layer) bool {
		return !l.Band && l.Outer == piece && slices.Contains(l.Inner, inner)
	}) {
		return false
	}
	now, i, ok := layerAt(p, p, piece, edge, inner)
	if !ok {
		return false
	}
	want := now.want(p, i, 0)
	return slices.ContainsFunc(now.at[i], func(a along) bool {
		return !a.near && now.inner.Edges[a.inner].Name == its && math.Abs(a.by-want) <= 2*evenWithin
	})
}

// want is the distance at which an inner edge has to lie along edge i of the
// outer: the declared one, else the one it had.
func (l *lying) want(p *pattern.Pattern, i int, was float64) float64 {
	if d := declared(p, l.outer, i, l.inner); d != 0 {
		return d
	}
	return was
}
