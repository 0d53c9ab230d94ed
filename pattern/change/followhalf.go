package change

import (
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
		return geom.MirrorIn(fold.Start(), fold.End()).Apply(at)
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
	if image := geom.MirrorIn(fold.Start(), fold.End()).Apply(at); awayFrom(half, image) < awayFrom(half, at) {
		return image
	}
	return at
}

// HalfOfImage names the edge of the half of which an edge of the whole that was opened
// out is the mirror image; empty for any other.
func (p PieceDiff) HalfOfImage(edge string) string {
	if p.Unfolded() == nil || p.Old == nil || p.New == nil {
		return ""
	}
	i, err := p.New.EdgeIndex(edge)
	if err != nil || p.New.Edges[i].Was == "" {
		return ""
	}
	if k := p.Old.EdgeByID(p.New.Edges[i].Was); k >= 0 {
		return p.Old.Edges[k].Name
	}
	return ""
}

// Across is a change of an edge of a half as its mirror image in the fold has it: its
// edge runs the other way.
func (c Change) Across(fold geom.Path) Change {
	m := geom.MirrorIn(fold.Start(), fold.End())
	if c.Ends != nil {
		c.Ends = &[2]float64{c.Ends[1], c.Ends[0]}
	}
	if c.Pivot != nil {
		c.Pivot = At(m.Apply(c.Pivot.Point()))
	}
	if c.At != nil {
		c.At = At(m.Apply(c.At.Point()))
	}
	c.OldPath, c.NewPath = c.OldPath.Moved(m).Reverse(), c.NewPath.Moved(m).Reverse()
	return c
}
