package change

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// Unfolded is the fold, on FROM's sheet, at which a half was opened out; nil where
// it was not.
func (p PieceDiff) Unfolded() geom.Path {
	if i := slices.IndexFunc(p.Changes, func(c Change) bool { return c.Kind == PieceUnfolded }); i >= 0 {
		return p.Changes[i].OldPath
	}
	return nil
}

// OnHalf is where a place of a half, on FROM's sheet, lies on the whole that was
// made of it, on that sheet still: beyond the fold where it is of the wearer's side
// that the half does not show. What is of both sides or of none stays, and all does
// where it is not known which side the half shows.
func (p PieceDiff) OnHalf(at geom.Point, side pattern.WearerSide) geom.Point {
	other := map[pattern.WearerSide]pattern.WearerSide{pattern.WearerLeft: pattern.WearerRight, pattern.WearerRight: pattern.WearerLeft}[p.Drawn]
	if fold := p.Unfolded(); fold != nil && other != "" && side == other {
		return acrossFold(fold).Apply(at)
	}
	return at
}

// fromHalf is the other way about: a place of the whole beyond the fold is laid on
// the half.
func (p PieceDiff) fromHalf(at geom.Point, half *pattern.Piece) geom.Point {
	fold := p.Unfolded()
	if fold == nil {
		return at
	}
	if image := acrossFold(fold).Apply(at); awayFrom(half, image) < awayFrom(half, at) {
		return image
	}
	return at
}

// acrossFold is the mirror in a fold, which is straight.
func acrossFold(fold geom.Path) geom.Motion {
	a, b := fold.Start(), fold.End()
	m := geom.Motion{Mirror: true, Turn: 2*b.Sub(a).Angle() - math.Pi}
	m.Shift = a.Sub(m.Apply(a))
	return m
}
