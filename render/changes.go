package render

import (
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// changes draws each change of a piece. What lacks the figures it needs is
// told in words only.
func (o *overlay) changes() {
	for _, c := range o.diff.Changes {
		o.group(attr("class", "change "+string(c.Kind)))
		o.change(c)
		o.ungroup()
	}
}

func (o *overlay) change(c change.Change) {
	if c.Taper != nil && len(c.OldPath) > 0 {
		o.edgeMoved(taperedPart(c))
		return
	}
	switch c.Kind {
	case change.EdgeMoved:
		o.edgeMoved(c)
	case change.EdgeSwung:
		o.edgeSwung(c)
	case change.EdgeRun:
		o.edgeRun(c)
	case change.EdgeRedrawn:
		o.edgeRedrawn(c)
	case change.CornerRounded, change.CornerRestored:
		o.corner(c)
	case change.Spread:
		o.spread(c)
	case change.PieceSplit, change.PieceJoined:
		o.parts(c)
	case change.PieceUnfolded:
		o.unfolded(c)
	case change.NotchMoved, change.NotchAdded, change.NotchRemoved:
		o.notchChange(c)
	case change.MarkMoved, change.MarkAdded, change.MarkRemoved, change.MarkChanged:
		o.markChange(c)
	case change.AllowanceChanged:
		o.allowance(c)
	case change.GrainTurned:
		o.grainTurned(c)
	case change.CuttingChanged:
		o.cutting(c)
	case change.NameChanged:
		o.renamed(c)
	}
}

// changeBox bounds what the drawing of a change needs besides the outlines.
func (o *overlay) changeBox(c change.Change) geom.Box {
	b := geom.EmptyBox()
	for _, at := range []*change.XY{c.Pivot, c.At} {
		if at != nil {
			b = b.Extend(at.Point())
		}
	}
	for _, at := range c.Line {
		b = b.Extend(at.Point())
	}
	for _, l := range c.Lines {
		b = b.Extend(l[0].Point()).Extend(l[1].Point())
	}
	for _, path := range []geom.Path{c.OldPath, c.NewPath} {
		if len(path) > 0 {
			b = b.Union(path.Box())
		}
	}
	for _, at := range o.changeReach(c) {
		b = b.Extend(at)
	}
	return b
}

// changeReach are the outermost places of what is drawn of a change, where
// these follow from its figures and not from the outlines.
func (o *overlay) changeReach(c change.Change) (reach []geom.Point) {
	switch c.Kind {
	case change.EdgeMoved:
		before, _ := o.edgePaths(c)
		ends := endsOf(c)
		for _, share := range []float64{0, 0.2, 0.5, 0.8, 1} {
			if len(before) > 0 && ends != nil {
				reach = append(reach, before.PointAt(before.Length()*share).Add(o.moveAt(c, before, share, ends)))
			}
		}
	case change.EdgeSwung:
		if before, after := o.edgePaths(c); len(before) > 0 && c.Pivot != nil && c.Turn != nil {
			reach = append(reach, reachedEnd(c, before, swungEnd(c, before, after)))
		}
	case change.Spread:
		if m, ok := motionOf(c.OldPath, c.NewPath); ok && len(c.Lines) > 0 {
			reach = append(reach, m.Apply(c.Lines[0][0].Point()), m.Apply(c.Lines[0][1].Point()))
		}
	case change.AllowanceChanged, change.PieceSplit, change.PieceJoined:
		was, is := o.allowanceLines(c)
		for _, path := range append(partLines(c), was, is) {
			if len(path) > 0 {
				reach = append(reach, path.Box().Min, path.Box().Max)
			}
		}
	case change.CornerRounded, change.CornerRestored:
		for _, s := range []*shape{o.old, o.new} {
			if i := o.roundedCorner(s, c); i >= 0 {
				centre, _, _ := s.rounding(i)
				reach = append(reach, centre)
			}
		}
	}
	return reach
}

// edgePaths returns the changed edge before and after, nil where it is not
// there. A change that has one of the two knows that there is no other.
func (o *overlay) edgePaths(c change.Change) (before, after geom.Path) {
	if c.OldPath != nil || c.NewPath != nil || len(c.Edges) == 0 {
		return c.OldPath, c.NewPath
	}
	before = o.old.edge(c.Edges[0])
	if i := o.edgeNow(c.Edges[0]); i >= 0 {
		after = o.new.piece.EdgePath(i)
	}
	return before, after
}

// edgeNow is the index of the new edge that continues the old one of a name:
// the one the difference says, else that of its id, else of its name; −1 for
// none.
func (o *overlay) edgeNow(name string) int {
	if o.new == nil {
		return -1
	}
	if o.old != nil {
		i := edgeIndex(o.old.piece, name)
		if i >= 0 && len(o.diff.Became) == len(o.old.piece.Edges) {
			return o.diff.Became[i]
		}
		if i >= 0 && o.old.piece.Edges[i].ID != "" {
			if j := o.new.piece.EdgeByID(o.old.piece.Edges[i].ID); j >= 0 {
				return j
			}
		}
	}
	return edgeIndex(o.new.piece, name)
}

func edgeIndex(p *pattern.Piece, name string) int {
	for i := range p.Edges {
		if p.Edges[i].Name == name {
			return i
		}
	}
	return -1
}

// named puts the edge's name before a figure.
func named(c change.Change, figure string) string {
	if len(c.Edges) == 0 {
		return figure
	}
	return c.Edges[0] + " " + figure
}

// edgeSaying writes along the edge it is about.
func (o *overlay) edgeSaying(path geom.Path, text string) {
	if len(path) == 0 {
		return
	}
	half := path.Length() / 2
	along := path.TangentAt(half)
	o.sayAlong(text, path.PointAt(half), along, along.Left(), 0.5*o.pen.text, 1)
}

// either is the first of two paths that is there.
func either(a, b geom.Path) geom.Path {
	if len(a) > 0 {
		return a
	}
	return b
}

// renamed says a new name where the notch, corner or edge is; that of a piece
// is its title.
func (o *overlay) renamed(c change.Change) {
	switch {
	case c.Notch != "":
		if at, along, n := notchOf(o.new, c.After); n != nil {
			o.say(c.Before+", now "+c.After, at.Add(along.Left().Mul(o.pen.tick)), along.Left(), 1)
		}
	case len(c.Edges) == 2 && c.At != nil:
		o.say(c.Before+", now "+c.After, c.At.Point(), geom.Point{}, 1)
	case len(c.Edges) == 1:
		o.edgeSaying(o.renamedPath(c), c.Before+", now "+c.After)
	}
}

// renamedPath is where the name of an edge changed: along the edge that has
// the new one, unless another had that name already and this is now part of it.
func (o *overlay) renamedPath(c change.Change) geom.Path {
	after := o.new.edge(c.After)
	if i := o.edgeNow(c.Before); i >= 0 && o.new.piece.Edges[i].Name == c.After || len(o.old.edge(c.After)) == 0 {
		return either(after, o.old.edge(c.Before))
	}
	return either(o.old.edge(c.Before), after)
}

// cutting says at the edge or corner how it is cut or finished now.
func (o *overlay) cutting(c change.Change) {
	before, after := o.edgePaths(c)
	switch len(c.Edges) {
	case 1:
		o.edgeSaying(either(after, before), named(c, "now "+plain(c.After)))
	case 2:
		if i := o.edgeNow(c.Edges[1]); i >= 0 {
			o.say("corner: "+plain(c.After), o.new.piece.Corners[i].At, geom.Point{}, 1)
		}
	}
}

// allowanceWithin is the tolerance in mm of the lines that show an allowance.
const allowanceWithin = 0.02

// allowanceLines are the cutting line beside an edge before and after its
// allowance changed, nil where there is none: where nothing is allowed the
// edge itself is cut.
func (o *overlay) allowanceLines(c change.Change) (was, is geom.Path) {
	if len(c.Edges) == 0 {
		return nil, nil
	}
	set := c.How
	if set == "" {
		set = pattern.ClothSet
	}
	beside := func(s *shape, edge int) geom.Path {
		if s == nil || edge < 0 {
			return nil
		}
		by := s.piece.Edges[edge].AllowanceFor(set)
		line, err := s.piece.EdgePath(edge).Offset(by, allowanceWithin)
		if err != nil || by == 0 {
			return nil
		}
		return line
	}
	if o.old != nil {
		was = beside(o.old, edgeIndex(o.old.piece, c.Edges[0]))
	}
	return was, beside(o.new, o.edgeNow(c.Edges[0]))
}

// allowance draws the cutting line beside the edge, before in narrow dashes
// and after, and says both amounts.
func (o *overlay) allowance(c change.Change) {
	was, is := o.allowanceLines(c)
	if len(was) > 0 {
		o.legend.use(legendOldCut)
		o.path(o.pathData(was, false, true, lineDecimals), o.dashedLine(o.pen.narrow)...)
		o.keepOff(was)
	}
	if len(is) > 0 {
		o.legend.use(legendCut)
		o.path(o.pathData(is, false, true, lineDecimals), o.narrowLine()...)
		o.keepOff(is)
	}
	words := "allowance "
	if c.How != "" {
		words = plain(c.How) + " allowance "
	}
	before, after := o.edgePaths(c)
	o.edgeSaying(either(either(is, was), either(after, before)), named(c, words+plain(c.Before)+" → "+plain(c.After)))
}
