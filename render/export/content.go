package export

import (
	"fmt"
	"slices"
	"time"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// Job is what is exported.
type Job struct {
	Pattern string
	Version string // in words, as in "version 11, 2026-05-14"
	Set     string // the allowance set
	Made    time.Time
	Pieces  []*pattern.Piece
}

// content is a piece as every form shows it, in mm on its sheet.
type content struct {
	piece   *pattern.Piece
	sewing  pattern.Outline
	cutting geom.Ring
	starts  []geom.Point // where each edge starts on the drawn sewing line
	notches []notchSign
	signs   []sign
	grain   grainSign
}

// notchSign is a notch: At on the sewing line, Cut where it meets the cutting
// line straight across the allowance.
type notchSign struct {
	label   pattern.Label
	at, cut geom.Point
	along   geom.Point
	count   int
}

// sign is a mark or a reference line. path is nil for a point.
type sign struct {
	label  pattern.Label
	at     geom.Point
	path   geom.Path
	radius float64 // mm, of a button whose size is known; else 0
	text   string  // what a text mark says
}

// grainSign is the grain line; drawn is false where the piece has none of its
// own, and the usual one stands for it.
type grainSign struct {
	label    pattern.Label
	from, to geom.Point
	drawn    bool
}

// gather makes the contents of all pieces. A piece whose allowances leave no
// cutting line is an error.
func (j Job) gather() ([]content, error) {
	var all []content
	for _, q := range j.Pieces {
		c, err := contentOf(q, j.Set)
		if err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

func contentOf(q *pattern.Piece, set string) (c content, err error) {
	c.piece = q
	if c.sewing, err = q.Outline(); err != nil {
		return c, err
	}
	line, err := q.CuttingLine(set)
	if err != nil {
		return c, err
	}
	c.cutting = line.Ring
	c.starts = edgeStarts(q, q.AllowanceEdges(c.sewing, set), c.sewing.Ring)
	for _, n := range q.Notches {
		at, along, _, err := q.NotchPlace(n)
		if err != nil {
			return c, err
		}
		s := notchSign{label: pattern.Label{Kind: pattern.LabelNotch, Name: n.Name}, at: at, along: along, count: max(n.Count, 1)}
		if n.Count > 1 {
			s.label.Facts = []string{pattern.Fact("count", float64(n.Count))}
		}
		s.cut = acrossTo(c.cutting, at, along, allowanceOf(q, n.Edge, set))
		c.notches = append(c.notches, s)
	}
	c.signs = signsOf(q)
	c.grain = grainOf(q, c.sewing.Ring)
	return c, nil
}

// edgeStarts gives the point of the drawn sewing line at which each edge, and
// with it its allowance, starts: its corner, or the middle of the arc that
// rounds it, or where the allowances differ the end of that on the wider side.
func edgeStarts(q *pattern.Piece, bears []int, ring geom.Ring) []geom.Point {
	starts := make([]geom.Point, len(q.Edges))
	n := len(ring)
	for k, c := range ring {
		if i := bears[k]; bears[(k+n-1)%n] != i || (n == 1) {
			starts[i] = c.P0
		}
	}
	if len(q.Edges) == 1 {
		starts[0] = q.Corners[0].At
	}
	return starts
}

func allowanceOf(q *pattern.Piece, edge, set string) float64 {
	i, err := q.EdgeIndex(edge)
	if err != nil {
		return 0
	}
	return q.Edges[i].AllowanceFor(set)
}

// acrossTo goes from a notch straight out to the cutting line, which lies an
// allowance away; where it does not meet it there, the nearest place counts.
func acrossTo(cutting geom.Ring, at, along geom.Point, by float64) geom.Point {
	if by == 0 {
		return at
	}
	const beyond = 1.5
	ray := geom.Path{geom.Line(at, at.Add(along.Left().Mul(beyond*by)))}
	best, found := at, false
	for _, m := range geom.MeetPaths(geom.Path(cutting), ray) {
		if !found || m.At.Dist(at) < best.Dist(at) {
			best, found = m.At, true
		}
	}
	if !found {
		place, _ := geom.Path(cutting).Nearest(at)
		best = geom.Path(cutting).At(place)
	}
	return best
}

// grainOf is the drawn grain line, else one through the middle of the piece,
// half as long as that is.
func grainOf(q *pattern.Piece, ring geom.Ring) grainSign {
	g := grainSign{label: pattern.Label{Kind: pattern.LabelGrain}}
	if q.Grain != nil {
		g.from, g.to, g.drawn = q.Grain.From, q.Grain.To, true
		if q.Grain.OneWay {
			g.label.Facts = append(g.label.Facts, pattern.GrainOneWay)
		}
		if q.Grain.Bias {
			g.label.Facts = append(g.label.Facts, pattern.GrainBias)
		}
		return g
	}
	usual := q.UsualGrain(ring)
	g.from, g.to = usual.From, usual.To
	g.label.Facts = []string{pattern.GrainUsual}
	return g
}

// signsOf lists marks and reference lines.
func signsOf(q *pattern.Piece) []sign {
	var out []sign
	for _, m := range q.Marks {
		s := sign{label: pattern.Label{Kind: string(m.Kind), Name: m.Name}, at: m.At, path: slices.Clone(m.Path)}
		switch m.Kind {
		case pattern.MarkButton, pattern.MarkDot:
			if m.Size > 0 {
				s.radius = m.Size / 2
				s.label.Facts = []string{pattern.Fact("size", m.Size)}
			}
		case pattern.MarkText:
			s.text = m.Text
		case pattern.MarkDart, pattern.MarkPleat:
			if s.path = mouthPath(q, m); s.path == nil {
				continue
			}
			if m.Direction != "" {
				s.label.Facts = []string{"towards " + m.Direction}
			}
		}
		if len(s.path) > 0 {
			s.at = s.path.Start()
		}
		out = append(out, s)
	}
	for _, l := range q.Lines {
		if len(l.Path) > 0 {
			out = append(out, sign{label: pattern.Label{Kind: pattern.LabelReference, Name: l.Name}, at: l.Path.Start(), path: slices.Clone(l.Path)})
		}
	}
	return out
}

// pleatDepth is how far in mm the lines of a pleat run into the piece.
const pleatDepth = 20.0

// mouthPath draws a dart from one end of its mouth over its point to the other,
// and a pleat from within to one end of its intake, along to the other, and in
// again.
func mouthPath(q *pattern.Piece, m pattern.Mark) geom.Path {
	i, err := q.EdgeIndex(m.Edge)
	if err != nil {
		return nil
	}
	edge := q.EdgePath(i)
	a, b := edge.PointAt(m.From), edge.PointAt(m.To)
	if m.Kind == pattern.MarkDart {
		return geom.Polyline(a, m.At, b)
	}
	in := func(at float64) geom.Point { return edge.TangentAt(at).Right().Mul(pleatDepth) }
	return geom.Polyline(a.Add(in(m.From)), a, b, b.Add(in(m.To)))
}

// box is what the piece takes on the sheet.
func (c content) box() geom.Box {
	b := geom.Path(c.cutting).Box().Union(geom.Path(c.sewing.Ring).Box())
	for _, s := range c.signs {
		if s.path != nil {
			b = b.Union(s.path.Box())
		} else {
			b = b.Extend(s.at)
		}
	}
	return b
}

// laid says by how much each piece is moved, whole millimetres each, so that
// none lies on another: not at all where none does as the sheets are laid over
// each other, else in rows of about a square.
func laid(all []content) []geom.Point {
	const apart = 20.0
	by := make([]geom.Point, len(all))
	boxes := make([]geom.Box, len(all))
	area, clear := 0.0, true
	for i, c := range all {
		boxes[i] = c.box().Grow(apart)
		s := boxes[i].Size()
		area += s.X * s.Y
		for k := range i {
			clear = clear && !boxes[k].Overlaps(boxes[i])
		}
	}
	if clear {
		return by
	}
	wide := 0.0
	for _, b := range boxes {
		wide = max(wide, b.Size().X)
	}
	for wide*wide < area {
		wide *= 1.1
	}
	x, y, high := 0.0, 0.0, 0.0
	for i, b := range boxes {
		s := b.Size()
		if x > 0 && x+s.X > wide {
			x, y, high = 0, y+high, 0
		}
		by[i] = geom.Pt(units.Round(x-b.Min.X, 0), units.Round(y-b.Min.Y, 0))
		x, high = x+s.X, max(high, s.Y)
	}
	return by
}

// cutWords says how a piece is cut and from what.
func cutWords(q *pattern.Piece) string {
	words := fmt.Sprintf("cut %s", q.Cut)
	if q.Cloth != "" {
		words += " from " + q.Cloth
	}
	if q.Side != "" {
		words += ", wearer's " + q.Side
	}
	return words
}
