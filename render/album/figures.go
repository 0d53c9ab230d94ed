package album

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// figure is one amount of a change.
type figure struct {
	short string // in the pattern's unit, for the drawing
	other string // the same in inches, in centimetres where the pattern's unit is the inch
	long  string // in centimetres and in inches
}

// in writes an amount of words with places for lengths in mm, each a %s.
func (l lengths) in(words string, mm ...float64) figure {
	var out figure
	for _, as := range []struct {
		text  *string
		write func(float64) string
	}{{&out.short, l.unit.Format}, {&out.other, l.other}, {&out.long, l.both}} {
		var all []any
		for _, one := range mm {
			all = append(all, as.write(one))
		}
		*as.text = strings.TrimSpace(fmt.Sprintf(words, all...))
	}
	return out
}

// figuresOf lists the amounts of a change, the one that the drawing shows
// first.
func figuresOf(p change.PieceDiff, c change.Change, unit units.Unit) []figure {
	var out []figure
	l := lengths{unit}
	length := func(what string, mm float64) { out = append(out, l.in(what+" %s", mm)) }
	pair := func(what string, was, is float64) {
		length(what, is)
		if was != is && (was != 0 || what != "radius") {
			out[len(out)-1].long += ", was " + l.both(was)
		}
	}
	switch {
	case c.Radius != nil:
		pair("radius", c.Radius[0], c.Radius[1])
	case c.Open != nil:
		out = append(out, l.opening(*c.Open))
	case c.Kind == change.AllowanceChanged:
		if was, is, ok := allowances(p, c); ok {
			pair("allowance", was, is)
		}
	case c.ByVector != nil:
		length("", math.Hypot(c.ByVector[0], c.ByVector[1]))
	case c.By != nil:
		length("", math.Abs(*c.By))
	case c.Max != nil:
		length("up to", *c.Max)
	case c.Kind == change.MarkChanged && len(c.OldPath) > 0 && len(c.NewPath) > 0:
		if by := c.NewPath.Length() - c.OldPath.Length(); math.Abs(by) >= 0.05 {
			out = append(out, l.in("%s "+map[bool]string{true: "longer", false: "shorter"}[by > 0], math.Abs(by)))
		}
	}
	if c.Turn != nil && *c.Turn != 0 {
		turn := units.FormatAngle(geom.Degrees(math.Abs(*c.Turn)))
		out = append(out, figure{turn, turn, turn})
	}
	if c.Garment != nil && *c.Garment != 0 {
		out = append(out, figure{long: "round the garment " + l.both(math.Abs(*c.Garment))})
	}
	return out
}

// opening says how far a spread opens at both ends of its line.
func (l lengths) opening(open [2]float64) figure {
	sign := func(mm float64) string {
		if mm >= 0.05 { // what the drawing shows as more than 0
			return "+"
		}
		return ""
	}
	if open[0] == open[1] {
		f := l.in(sign(open[0])+"%s", open[0])
		f.long = l.both(open[0])
		return f
	}
	f := l.in(sign(open[0])+"%s to "+sign(open[1])+"%s", open[0], open[1])
	f.long = l.both(open[0]) + " to " + l.both(open[1])
	return f
}

// allowances reads the allowance of an edge before and after.
func allowances(p change.PieceDiff, c change.Change) (was, is float64, ok bool) {
	if len(c.Edges) == 0 || p.Old == nil || p.New == nil {
		return 0, 0, false
	}
	set := c.How
	if set == "" {
		set = pattern.ClothSet
	}
	i, k := edgesOf(p, c)
	if i < 0 || k < 0 {
		return 0, 0, false
	}
	return p.Old.Edges[i].AllowanceFor(set), p.New.Edges[k].AllowanceFor(set), true
}

// edgesOf finds the edge of a change before and after, −1 where it is not.
func edgesOf(p change.PieceDiff, c change.Change) (old, now int) {
	old, now = -1, -1
	if len(c.Edges) == 0 {
		return old, now
	}
	if p.Old != nil {
		if i, err := p.Old.EdgeIndex(c.Edges[0]); err == nil {
			old = i
		}
	}
	if p.New == nil {
		return old, now
	}
	if old >= 0 && len(p.Became) == len(p.Old.Edges) {
		return old, p.Became[old]
	}
	if k, err := p.New.EdgeIndex(c.Edges[0]); err == nil {
		now = k
	}
	return old, now
}

// place is where in the drawing a change belongs, on FROM's sheet, and from
// where to where something moved.
type place struct {
	at       geom.Point
	from, to geom.Point
	moved    bool
}

// placeOf finds the place of a change; ok is false for one of the whole piece.
func placeOf(p change.PieceDiff, c change.Change) (place, bool) {
	switch c.Kind {
	case change.NotchMoved, change.NotchAdded, change.NotchRemoved:
		return thing(notchAt(p.Old, c.Notch), notchAt(p.New, c.Notch), c.At)
	case change.MarkMoved, change.MarkAdded, change.MarkRemoved, change.MarkChanged:
		return thing(markAt(p.Old, c.Mark), markAt(p.New, c.Mark), c.At)
	case change.Spread:
		if len(c.Lines) > 0 {
			return place{at: c.Lines[0][0].Point().Lerp(c.Lines[0][1].Point(), 0.5)}, true
		}
	case change.PieceSplit, change.PieceJoined, change.PieceUnfolded:
		if n := len(c.Line); n > 0 {
			return place{at: c.Line[0].Point().Lerp(c.Line[n-1].Point(), 0.5)}, true
		}
	case change.GrainTurned:
		if p.New != nil && p.New.Grain != nil {
			return place{at: p.New.Grain.From.Lerp(p.New.Grain.To, 0.5)}, true
		}
	case change.CornerRounded, change.CornerRestored:
		if c.At != nil {
			return place{at: c.At.Point()}, true
		}
	}
	return edgePlace(p, c)
}

// thing is the place of a notch or mark that was and is, or is only one of both.
func thing(was, is *geom.Point, at *change.XY) (place, bool) {
	switch {
	case was != nil && is != nil && was.Dist(*is) > 0.05:
		return place{at: *is, from: *was, to: *is, moved: true}, true
	case is != nil:
		return place{at: *is}, true
	case was != nil:
		return place{at: *was}, true
	case at != nil:
		return place{at: at.Point()}, true
	}
	return place{}, false
}

func notchAt(p *pattern.Piece, name string) *geom.Point {
	if p == nil {
		return nil
	}
	for _, n := range p.Notches {
		if n.Name == name {
			if at, _, _, err := p.NotchPlace(n); err == nil {
				return &at
			}
		}
	}
	return nil
}

func markAt(p *pattern.Piece, name string) *geom.Point {
	if p == nil {
		return nil
	}
	for _, m := range p.Marks {
		if m.Name == name {
			if at, ok := markPlace(p, m); ok {
				return &at
			}
		}
	}
	for _, l := range p.Lines {
		if l.Name == name && len(l.Path) > 0 {
			at := l.Path.PointAt(l.Path.Length() / 2)
			return &at
		}
	}
	return nil
}

// edgePlace is the place of a change of an edge: its middle; where it swung the
// end that went furthest, where it was cut or run on the end that is new.
func edgePlace(p change.PieceDiff, c change.Change) (place, bool) {
	was, is := edgePaths(p, c)
	switch {
	case len(was) == 0 && len(is) == 0 && c.At == nil:
		return place{}, false
	case len(was) == 0 && len(is) == 0:
		return place{at: c.At.Point()}, true
	case len(is) == 0:
		return place{at: middle(was)}, true
	case len(was) == 0:
		return place{at: middle(is)}, true
	}
	switch c.Kind {
	case change.EdgeMoved:
		from := middle(was)
		to, _ := nearest(is, from)
		return place{at: middle(is), from: from, to: to, moved: from.Dist(to) > 0.05}, true
	case change.EdgeSwung:
		from, to := was.End(), is.End()
		if was.Start().Dist(is.Start()) > from.Dist(to) {
			from, to = was.Start(), is.Start()
		}
		return place{at: to, from: from, to: to, moved: from.Dist(to) > 0.05}, true
	case change.EdgeRun:
		if atStart(c, was, is) {
			return place{at: is.Start().Lerp(is.PointAt(is.Length()/4), 0.6)}, true
		}
		return place{at: is.End().Lerp(is.PointAt(is.Length()*3/4), 0.6)}, true
	case change.EdgeRedrawn:
		if c.At != nil {
			at := c.At.Point()
			to, _ := nearest(is, at)
			return place{at: to}, true
		}
	}
	return place{at: middle(is)}, true
}

// atStart says whether an edge was cut or run on at its start: an edge may be at
// both ends, and the change says by its place which of them it tells of.
func atStart(c change.Change, was, is geom.Path) bool {
	if c.At != nil {
		return c.At.Point().Dist(was.Start()) < c.At.Point().Dist(was.End())
	}
	return was.Start().Dist(is.Start()) > was.End().Dist(is.End())
}

// edgePaths are the edge before and after, nil where it is not there.
func edgePaths(p change.PieceDiff, c change.Change) (was, is geom.Path) {
	if c.OldPath != nil || c.NewPath != nil {
		return c.OldPath, c.NewPath
	}
	i, k := edgesOf(p, c)
	if i >= 0 {
		was = p.Old.EdgePath(i)
	}
	if k >= 0 {
		is = p.New.EdgePath(k)
	}
	return was, is
}

func middle(p geom.Path) geom.Point { return p.PointAt(p.Length() / 2) }

// nearest is the place on a path nearest to a point.
func nearest(p geom.Path, q geom.Point) (geom.Point, float64) {
	at, far := p.Nearest(q)
	return p.At(at), far
}

// figureLine joins the amounts of a change for reading.
func figureLine(all []figure) string {
	var parts []string
	for _, f := range all {
		parts = append(parts, f.long)
	}
	return strings.Join(parts, "; ")
}

// matrix writes a motion as an SVG transform, empty where nothing moves.
func matrix(m geom.Motion) string {
	if m.Identity() {
		return ""
	}
	x, y := m.ApplyVector(geom.Pt(1, 0)), m.ApplyVector(geom.Pt(0, 1))
	return fmt.Sprintf("matrix(%s %s %s %s %s %s)", units.Number(x.X, 8), units.Number(x.Y, 8),
		units.Number(y.X, 8), units.Number(y.Y, 8), units.Number(m.Shift.X, 3), units.Number(m.Shift.Y, 3))
}
