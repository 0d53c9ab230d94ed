package render

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"toile/geom"
	"toile/pattern"
)

// caution stands at the foot of a sheet one cuts from. It is advice, and says
// whose rules come first.
const caution = "When cutting out: count the pins out and in again, close the blade, switch the iron off. The rules of the place you work in come first."

// Cautions are what stands once where cloth is about to be cut. They are
// advice: nothing of it is checked, and no garment is said to comply.
func Cautions() []string {
	return []string{
		caution,
		"For a child: no cord, tie or hood that can catch belongs near the neck, and nightwear has rules of its own about fire. Nothing of this is checked here.",
	}
}

// Piece draws one piece at true size with the cutting line of an allowance
// set: sewing line dashed, cutting line continuous, notches, marks, grain,
// fold, edges with names, lengths and allowances, roundings, and how it is
// cut. An allowance that leaves no cutting line is told in words on the sheet.
func Piece(w io.Writer, s Sheet, p *pattern.Piece, set string) error {
	sh, err := newShape(p)
	if err != nil {
		return err
	}
	if sh == nil {
		return fmt.Errorf("there is no piece to draw")
	}
	cutting, cutErr := p.CuttingLine(set)
	box := sh.box()
	if cutErr == nil {
		box = box.Union(cutting.Ring.Box())
	}
	for i := range p.Corners {
		if len(sh.outline.Radius[i]) > 0 {
			centre, _, _ := sh.rounding(i)
			box = box.Extend(centre)
		}
	}
	for _, n := range s.Notes {
		box = box.Extend(n.At)
	}
	if err := boxFits(p.Name, box); err != nil {
		return err
	}
	page := newPage(box)
	d := newDrawing(s, page.text)
	d.pieceLines(sh, cutting, set)
	d.pieceWords(sh, cutting, set)
	d.pins(s.Notes)
	missed := d.setLabels(page.drawing)
	sheet := page.set(d.pieceBlocks(page.width, sh, set, cutErr, missed))
	return d.finish(w, sheet, s.Pattern+": "+p.Name, p.Name+", "+cutWords(p))
}

// pieceLines draws everything but words.
func (d *drawing) pieceLines(s *shape, cutting pattern.CuttingLine, set string) {
	bare := !s.allows(set)
	for _, run := range runs(cutting.Ring, cutting.Edge, s.onFold) {
		d.outlinePath("cutting", run.ring, run.closed, d.wideLine())
		d.legend.use(map[bool]legendItem{false: legendCutting, true: legendUncut}[bare])
	}
	for _, run := range runs(s.outline.Ring, s.outline.Edge, s.onFold) {
		if bare && len(cutting.Ring) > 0 {
			break // the cutting line is the sewing line
		}
		d.outlinePath("sewing", run.ring, run.closed, d.dashedLine(d.pen.narrow*1.3))
		d.legend.use(legendSewing)
	}
	for _, run := range runs(cutting.Ring, cutting.Edge, func(i int) bool { return !s.onFold(i) }) {
		d.outlinePath("folded", run.ring, run.closed, d.longDashes())
	}
	d.group(attr("class", "notches"))
	for _, n := range s.piece.Notches {
		d.pieceNotch(s, n, set)
	}
	d.ungroup()
	d.marks(s, nil)
	if g := d.grainShown(s); g != nil {
		d.grain(within(g, s.outline.Ring), false)
	}
	for i := range s.piece.Edges {
		if s.piece.Edges[i].Fold {
			d.foldBracket(s.piece.EdgePath(i))
		}
	}
}

// grainShown is the grain line that is drawn: the piece's own, and on paper, from
// which somebody cuts, else the one that counts.
func (d *drawing) grainShown(s *shape) *pattern.Grain {
	if s.piece.Grain != nil || !d.onPaper {
		return s.piece.Grain
	}
	g := s.piece.UsualGrain(s.outline.Ring)
	return &g
}

// allows reports whether any edge has an allowance in the set.
func (s *shape) allows(set string) bool {
	for i := range s.piece.Edges {
		if !s.onFold(i) && s.piece.Edges[i].AllowanceFor(set) != 0 {
			return true
		}
	}
	return false
}

// onFold reports whether an edge is a fold: it is neither cut nor sewn.
func (s *shape) onFold(edge int) bool { return s.piece.Edges[edge].Fold }

// run is a part of a ring without a gap, closed when it is the whole ring.
type run struct {
	ring   geom.Ring
	closed bool
}

// runs splits a ring into its parts between edges that are left out.
func runs(ring geom.Ring, edge []int, leftOut func(edge int) bool) []run {
	n, first := len(ring), -1
	for i := range ring {
		if leftOut(edge[i]) && !leftOut(edge[(i+1)%n]) {
			first = (i + 1) % n
			break
		}
	}
	if first < 0 {
		if n == 0 || leftOut(edge[0]) {
			return nil
		}
		return []run{{ring, true}}
	}
	var out []run
	gap := true
	for k := 0; k < n; k++ {
		i := (first + k) % n
		if leftOut(edge[i]) {
			gap = true
			continue
		}
		if gap {
			out = append(out, run{})
			gap = false
		}
		last := &out[len(out)-1]
		last.ring = append(last.ring, ring[i])
	}
	return out
}

// pieceNotch draws a notch from the sewing line to the cutting line, and where
// nothing is cut beside the sewing line inward, so that it stays on the piece.
func (d *drawing) pieceNotch(s *shape, n pattern.Notch, set string) {
	at, along, _, err := s.piece.NotchPlace(n)
	if err != nil {
		return
	}
	by := s.allowedAt(n.Edge, set)
	if by > 0 {
		d.notch(at, along, n.Count, by, false)
	} else {
		d.notch(at, along.Mul(-1), n.Count, d.pen.tick, false)
	}
	tip := at.Add(along.Left().Mul(by))
	words := label{text: n.Name, anchor: tip, outward: along.Left(), away: 0.3 * d.pen.text,
		size: 0.9 * d.pen.text, widest: 10 * d.pen.text, order: 3}
	if d.onPaper {
		words.foot = at
		if by == 0 {
			words.foot = at.Sub(along.Left().Mul(d.pen.tick))
			words.anchor = words.foot
		}
	}
	d.labels = append(d.labels, words)
}

// allowedAt is what is allowed beside an edge in mm, 0 for an edge not there.
func (s *shape) allowedAt(edge, set string) float64 {
	if i := edgeIndex(s.piece, edge); i >= 0 {
		return math.Max(0, s.piece.Edges[i].AllowanceFor(set))
	}
	return 0
}

// pieceWords asks for the labels: what the piece is, its edges, roundings,
// marks and lines.
func (d *drawing) pieceWords(s *shape, cutting pattern.CuttingLine, set string) {
	t, p := d.pen.text, s.piece
	centre := s.outline.Ring.Box().Centre()
	d.labels = append(d.labels, label{text: p.Name, anchor: centre, size: 1.6 * t, bold: true,
		widest: 16 * t, order: -2, bare: true, spare: true, inside: s.outline.Ring})
	d.labels = append(d.labels, label{text: cutWords(p), anchor: centre.Add(geom.Pt(0, 1.8*t)), outward: geom.Pt(0, 1),
		size: t, widest: 16 * t, order: 3, bare: true, spare: true, inside: s.outline.Ring})
	for i := range p.Edges {
		d.edgeWords(s, cutting, i, set)
	}
	d.stepWords(s, cutting, set)
	for i := range p.Corners {
		if len(s.outline.Radius[i]) > 0 {
			d.radius(s, i, d.narrowLine())
			_, middle, in := s.rounding(i)
			d.say("radius "+d.sheet.Unit.Format(p.Corners[i].Round), middle, in.Mul(-1), 1)
		}
	}
	for _, m := range p.Marks {
		if at, ok := s.markPlace(m); ok && m.Kind != pattern.MarkText {
			d.say(markWords(m), at, geom.Point{}, 4)
			d.labels[len(d.labels)-1].away += d.buttonRadius(m)
		}
	}
	for _, l := range p.Lines {
		if len(l.Path) > 0 {
			half := l.Path.Length() / 2
			along := l.Path.TangentAt(half)
			d.sayAlong(l.Name, l.Path.PointAt(half), along, along.Left(), 0.3*t, 4)
		}
	}
	if g := d.grainShown(s); g != nil {
		along := g.To.Sub(g.From).Unit()
		words := grainWords(g)
		if p.Grain == nil {
			words += ", usual"
		}
		d.sayAlong(words, g.From.Lerp(g.To, 0.35), along, along.Left(), 0.3*t, 1)
	}
}

// edgeWords asks for an edge's label outside its cutting line: name, length,
// allowance. Where it has no room the edge's number stands for it.
func (d *drawing) edgeWords(s *shape, cutting pattern.CuttingLine, i int, set string) {
	path := s.piece.EdgePath(i)
	half := path.Length() / 2
	at, along := path.PointAt(half), path.TangentAt(half)
	if c := longest(cutting, i); c != nil {
		at, along = c.At(0.5), c.Tangent(0.5)
	}
	e := &s.piece.Edges[i]
	d.sayAlong(e.Name+nameGap(e.Name)+d.edgeFigures(s, i, set), at, along, along.Left(), 0.4*d.pen.text, 2)
	last := &d.labels[len(d.labels)-1]
	last.widest = math.Max(8*d.pen.text, math.Min(24*d.pen.text, 0.9*2*half))
	if d.onPaper {
		foot, _ := path.Nearest(at)
		last.foot = path.At(foot)
	}
	last.short, last.outside = fmt.Sprint(i+1), s.outline.Ring
	if len(cutting.Ring) > 0 {
		last.outside = cutting.Ring
	}
}

// nameGap parts a name from the figure behind it: one that ends in a figure itself,
// as "edge 1", by a colon.
func nameGap(name string) string {
	if r, _ := utf8.DecodeLastRuneInString(name); unicode.IsDigit(r) {
		return ": "
	}
	return " "
}

// longest is the longest curve of the cutting line that belongs to an edge, nil
// where none does.
func longest(cutting pattern.CuttingLine, edge int) *geom.Cubic {
	var found *geom.Cubic
	most := 0.0
	for k := range cutting.Ring {
		if l := cutting.Ring[k].P0.Dist(cutting.Ring[k].P3); cutting.Edge[k] == edge && l > most {
			found, most = &cutting.Ring[k], l
		}
	}
	return found
}

// edgeFigures are an edge's length and what is cut beside it; a sheet without
// any allowance says so once, elsewhere.
func (d *drawing) edgeFigures(s *shape, i int, set string) string {
	text := d.sheet.Unit.Format(s.piece.Length(i))
	if !s.onFold(i) && s.allows(set) {
		text += ", allowance " + d.sheet.Unit.Format(s.piece.Edges[i].AllowanceFor(set))
	}
	return text
}

func grainWords(g *pattern.Grain) string {
	words := "grain"
	if g.OneWay {
		words += ", one way"
	}
	if g.Bias {
		words += ", on the bias"
	}
	return words
}

func markWords(m pattern.Mark) string {
	if m.Name == "" {
		return string(m.Kind)
	}
	if strings.Contains(m.Name, string(m.Kind)) {
		return m.Name
	}
	return m.Name + ", " + string(m.Kind)
}

// cutWords says what a piece is cut from and how.
func cutWords(p *pattern.Piece) string {
	var words []string
	if p.Cut != "" {
		words = append(words, "cut "+string(p.Cut))
	}
	if p.Cloth != "" {
		words = append(words, "from "+p.Cloth)
	}
	if p.Side != "" {
		words = append(words, "wearer's "+p.Side)
	}
	return strings.Join(words, ", ")
}

// pieceBlocks are the words beside a piece.
func (d *drawing) pieceBlocks(width float64, s *shape, set string, cutErr error, missed []string) []block {
	p := s.piece
	allowances := "no allowances in the set " + set
	if s.allows(set) {
		allowances = "allowances: set " + set
	}
	rows := []string{d.sheet.Pattern, cutWords(p), allowances, d.sheet.Version, d.sheet.Fitting, d.sheet.drawn()}
	var edges []paragraph
	for i := range p.Edges {
		text := p.Edges[i].Name + ": " + d.edgeFigures(s, i, set)
		if s.onFold(i) {
			text += ", on fold"
		}
		edges = append(edges, paragraph{hang: fmt.Sprint(i + 1), text: text, scale: 1})
	}
	var trouble []paragraph
	if cutErr != nil {
		trouble = []paragraph{{text: cutErr.Error(), scale: 1}}
	}
	if within := p.DrawnWithin; within > 0 {
		rows = append(rows, "traced within "+d.sheet.Unit.Format(math.Max(within, 0.1)))
	}
	return []block{
		d.titleBlock(width, p.Name, rows),
		d.textBlock("trouble", "No cutting line", width, trouble),
		d.textBlock("edges", "Edges", width, edges),
		d.notesBlock(width, d.sheet.Notes),
		d.missedBlock(width, missed),
		d.legendBlock(width),
		d.scaleBlock(width, d.sheet.Unit),
		d.textBlock("caution", "", width, []paragraph{{text: caution, scale: 0.9}}),
	}
}
