package album

import (
	"math"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// decimals of coordinates: 0.01 mm, less than the thinnest line is wide at any
// size a screen or a printer shows.
const decimals = 2

// Sizes in mm of what is drawn along and within an outline.
const (
	notchLong  = 7.0
	notchApart = 4.0
	markSmall  = 4.0
	pleatDeep  = 30.0
	grainHead  = 9.0
	foldDeep   = 14.0
	foldInset  = 40.0
)

// shape is a state of a piece as paths.
type shape struct {
	name    string
	about   string // what it is cut from, and how
	box     geom.Box
	outline string // path data: one command a curve, closed
	details string // notches, marks and grain; may be empty
	curves  []int  // how many commands each edge has
	edges   []string
	lengths []float64
	folds   []geom.Point // within the piece beside the middle of each fold
	ring    geom.Ring
}

// shapeOf turns a piece into paths. A rounding that does not fit is an error.
func shapeOf(p *pattern.Piece) (shape, error) {
	o, err := p.Outline()
	if err != nil {
		return shape{}, err
	}
	s := shape{name: plain(p.Name), about: aboutPiece(p), box: o.Ring.Box(), ring: o.Ring, curves: make([]int, len(p.Edges))}
	for _, e := range o.Edge {
		s.curves[e]++
	}
	for i, e := range p.Edges {
		s.edges, s.lengths = append(s.edges, plain(e.Name)), append(s.lengths, p.Length(i))
		if e.Fold {
			path := p.EdgePath(i)
			s.folds = append(s.folds, middle(path).Add(path.StartTangent().Right().Mul(foldDeep)))
		}
	}
	var w pathWriter
	w.curves(o.Ring)
	w.b.WriteByte('Z')
	s.outline = w.b.String()
	s.details = details(p)
	return s, nil
}

// boxLaid bounds the outline as a motion lays it.
func (s *shape) boxLaid(m geom.Motion) geom.Box {
	if m.Identity() {
		return s.box
	}
	return s.ring.Moved(m).Box()
}

func aboutPiece(p *pattern.Piece) string {
	words := []string{}
	for _, w := range []string{p.Cloth, string(p.Cut), p.Side} {
		if w != "" {
			words = append(words, plain(w))
		}
	}
	return strings.Join(words, ", ")
}

// details are the notches, marks, lines and the grain of a piece.
func details(p *pattern.Piece) string {
	var w pathWriter
	for _, n := range p.Notches {
		at, along, _, err := p.NotchPlace(n)
		if err != nil {
			continue
		}
		for k := range max(1, n.Count) {
			foot := at.Add(along.Mul((float64(k) - float64(max(1, n.Count)-1)/2) * notchApart))
			w.lines(foot, foot.Add(along.Left().Mul(notchLong)))
		}
	}
	for _, m := range p.Marks {
		w.mark(p, m)
	}
	for _, l := range p.Lines {
		w.curves(l.Path)
	}
	for i := range p.Edges {
		if p.Edges[i].Fold {
			w.fold(p.EdgePath(i))
		}
	}
	if g := p.Grain; g != nil && g.From != g.To {
		w.lines(g.From, g.To)
		w.head(g.To, g.To.Sub(g.From).Unit())
		if !g.OneWay {
			w.head(g.From, g.From.Sub(g.To).Unit())
		}
	}
	return w.b.String()
}

// pathWriter writes path data.
type pathWriter struct{ b strings.Builder }

func (w *pathWriter) point(p geom.Point) {
	w.b.WriteString(number(p.X) + " " + number(p.Y))
}

func number(v float64) string { return units.Number(v, decimals) }

// curves writes connected curves, one command each.
func (w *pathWriter) curves(curves []geom.Cubic) {
	for i, c := range curves {
		if i == 0 {
			w.b.WriteByte('M')
			w.point(c.P0)
		}
		if c.IsStraight(1e-4) {
			w.b.WriteByte('L')
			w.point(c.P3)
			continue
		}
		w.b.WriteByte('C')
		w.point(c.P1)
		w.b.WriteByte(' ')
		w.point(c.P2)
		w.b.WriteByte(' ')
		w.point(c.P3)
	}
}

func (w *pathWriter) lines(points ...geom.Point) {
	for i, p := range points {
		w.b.WriteByte("ML"[min(i, 1)])
		w.point(p)
	}
}

// head is an arrow head that points along a direction.
func (w *pathWriter) head(at, along geom.Point) {
	back, side := at.Sub(along.Mul(grainHead)), along.Left().Mul(grainHead/3)
	w.lines(back.Add(side), at, back.Sub(side))
}

// fold marks a fold: a line beside it within the piece, bent at both ends to the
// fold, where arrow heads touch it.
func (w *pathWriter) fold(path geom.Path) {
	total := path.Length()
	inset, in := math.Min(total*0.2, foldInset), path.StartTangent().Right().Mul(foldDeep)
	a, b := path.PointAt(inset), path.PointAt(total-inset)
	w.lines(a, a.Add(in), b.Add(in), b)
	w.head(a, in.Unit().Mul(-1))
	w.head(b, in.Unit().Mul(-1))
}

func (w *pathWriter) circle(at geom.Point, r float64) {
	w.curves(geom.Arc(at, r, 0, 2*math.Pi))
}

func (w *pathWriter) cross(at geom.Point, r float64) {
	w.lines(at.Sub(geom.Pt(r, 0)), at.Add(geom.Pt(r, 0)))
	w.lines(at.Sub(geom.Pt(0, r)), at.Add(geom.Pt(0, r)))
}

// mark draws one mark; a text has no lines.
func (w *pathWriter) mark(p *pattern.Piece, m pattern.Mark) {
	switch m.Kind {
	case pattern.MarkButton:
		r := m.Size / 2
		if r <= 0 {
			r = markSmall * 2
		}
		w.circle(m.At, r)
		w.cross(m.At, r*0.6)
	case pattern.MarkDot:
		w.circle(m.At, markSmall/2)
		w.cross(m.At, markSmall)
	case pattern.MarkDart, pattern.MarkPleat:
		w.folded(p, m)
	case pattern.MarkText:
	default:
		w.curves(m.Path)
	}
}

// folded draws the legs of a dart, or the two lines of a pleat.
func (w *pathWriter) folded(p *pattern.Piece, m pattern.Mark) {
	i, err := p.EdgeIndex(m.Edge)
	if err != nil {
		return
	}
	path := p.EdgePath(i)
	for _, at := range []float64{m.From, m.To} {
		foot := path.PointAt(at)
		to := m.At
		if m.Kind == pattern.MarkPleat {
			to = foot.Add(path.TangentAt(at).Right().Mul(pleatDeep))
		}
		w.lines(foot, to)
	}
}

// markPlace is where a mark is.
func markPlace(p *pattern.Piece, m pattern.Mark) (geom.Point, bool) {
	switch m.Kind {
	case pattern.MarkButton, pattern.MarkDot, pattern.MarkText, pattern.MarkDart:
		return m.At, true
	case pattern.MarkPleat:
		if i, err := p.EdgeIndex(m.Edge); err == nil {
			return p.EdgePath(i).PointAt((m.From + m.To) / 2), true
		}
		return geom.Point{}, false
	}
	if len(m.Path) == 0 {
		return geom.Point{}, false
	}
	return m.Path.PointAt(m.Path.Length() / 2), true
}
