package render

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// FittingSheet is what a sheet for writing at a fitting bears.
type FittingSheet struct {
	Sheet
	Paper   string   // one of PaperNames
	Child   bool     // a caution for cords stands on it
	Worn    []string // rows: cloth, worn underneath, closures…
	Entries []FittingNote
}

// FittingNote is a note on such a sheet. At is on the piece's sheet in mm, nil
// for a note of the whole piece.
type FittingNote struct {
	Key, State, Place, Side, Seen, Pinned, ToDo string
	At                                          *geom.Point
	Open                                        bool
}

// papers are the sizes of the sheets in mm: A4 and A3 as in ISO 216, letter of
// 8.5 by 11 in.
var papers = map[string]geom.Point{"a4": geom.Pt(210, 297), "a3": geom.Pt(297, 420), "letter": geom.Pt(215.9, 279.4)}

// PaperNames lists the papers.
func PaperNames() []string { return slices.Sorted(maps.Keys(papers)) }

// Sizes of a fitting sheet in mm; the rest follows from the letter size.
const (
	sheetText    = 3.0 // about 8.5 points
	paperMargin  = 10.0
	ruleStep     = 7.5 // between lines to write on, as in lined paper
	drawingShare = 0.42
)

// cautions of a fitting: short, and local rules come first.
const (
	fittingCaution = "Count the pins out and in again. Close the blade. Switch the iron off. The rules of the place you work in come first."
	childCaution   = "For a child: no cords or ties at neck and hood, and none that can catch; nightwear has rules of its own about fire; look up the rules of the place it is worn in."
)

// fittingPage is one page being set.
type fittingPage struct {
	*drawing
	sheet   *FittingSheet
	paper   geom.Point
	inside  geom.Box // of the margins
	columns []geom.Box
	column  int
	y       float64
}

// FittingPages draws a piece with its notes for writing at a fitting, on one
// page of paper or several: the outline small enough for the page, numbers with
// leaders to their places, the notes in words with a line to write on each, and
// room for more. Page coordinates are mm from the paper's top left corner. It
// fails where the outline cannot be computed or lies where nothing can be drawn.
func FittingPages(s FittingSheet, p *pattern.Piece) ([][]byte, error) {
	sh, err := newShape(p)
	if err != nil {
		return nil, err
	}
	if sh == nil {
		return nil, fmt.Errorf("there is no piece to draw")
	}
	paper, ok := papers[s.Paper]
	if !ok {
		return nil, fmt.Errorf("there is no paper %q; the papers are %v", s.Paper, PaperNames())
	}
	box := sh.box()
	for _, n := range s.Entries {
		if n.At != nil {
			box = box.Extend(*n.At)
		}
	}
	if err := boxFits(p.Name, box); err != nil {
		return nil, err
	}
	b := fittingBook{sheet: &s, shape: sh, box: box, paper: paper}
	return b.pages()
}

// fittingBook is all pages of one piece.
type fittingBook struct {
	sheet *FittingSheet
	shape *shape
	box   geom.Box
	paper geom.Point
	out   [][]byte
	page  *fittingPage
	signs *legend // what the drawing uses, once that is known
}

// pages sets all notes, as many to a drawing as have room beside it.
func (b *fittingBook) pages() ([][]byte, error) {
	notes, first := b.sheet.Entries, 0
	b.begin(true)
	b.page.draw(b.shape, b.box, b.page.board(), notes[:min(len(notes), 1)], 0)
	b.signs = b.page.legend // now the head of the page can explain them
	for {
		b.begin(true)
		board := b.page.board()
		chunk := notes[first:min(len(notes), first+board.room())]
		b.page.draw(b.shape, b.box, board, chunk, first)
		for i, n := range chunk {
			if err := b.add(b.page.entry(n, first+i+1)); err != nil {
				return nil, err
			}
		}
		if first += len(chunk); first >= len(notes) {
			break
		}
		if err := b.end(); err != nil {
			return nil, err
		}
	}
	if b.page.blanks(len(notes)) == 0 { // no room to write: one page more
		if err := b.end(); err != nil {
			return nil, err
		}
		b.begin(false)
		b.page.wholePage()
		b.page.blanks(len(notes))
	}
	return b.out, b.end()
}

// begin starts a page: title, what was worn and the signs of the drawing, where
// it has one, at the top, cautions at the foot.
func (b *fittingBook) begin(drawn bool) {
	s := b.sheet
	p := &fittingPage{drawing: newDrawing(s.Sheet, sheetText), sheet: s, paper: b.paper}
	p.inside = geom.Box{Min: geom.Pt(paperMargin, paperMargin), Max: b.paper.Sub(geom.Pt(paperMargin, paperMargin))}
	piece := b.shape.piece
	between := gap * sheetText
	third := (p.inside.Size().X - 2*between) / 3
	title := p.titleBlock(third, piece.Name, []string{"fitting sheet" + pageWords(len(b.out)), s.Pattern, s.Version, s.Fitting, s.drawn()})
	var rows []paragraph
	for _, w := range s.Worn {
		rows = append(rows, paragraph{text: w, scale: 1, most: 3})
	}
	const mostRows = 10
	worn := p.textBlock("worn", "At the fitting", third, rows[:min(len(rows), mostRows)])
	blocks := []block{title, worn}
	if drawn && b.signs != nil {
		*p.legend = *b.signs
		blocks = append(blocks, p.legendBlock(third))
	}
	high := 0.0
	for i, bl := range blocks {
		if bl.high > 0 {
			bl.draw(p.inside.Min.Add(geom.Pt(float64(i)*(third+between), 0)))
			high = math.Max(high, bl.high)
		}
	}
	p.inside.Min.Y += high + between
	text := fittingCaution
	if s.Child {
		text += " " + childCaution
	}
	foot := p.textBlock("caution", "", p.inside.Size().X, []paragraph{{text: text, scale: 0.9}})
	p.inside.Max.Y -= foot.high
	foot.draw(geom.Pt(p.inside.Min.X, p.inside.Max.Y))
	p.inside.Max.Y -= 0.5 * gap * sheetText
	b.page = p
}

func pageWords(before int) string {
	if before == 0 {
		return ""
	}
	return fmt.Sprintf(", page %d", before+1)
}

// end writes the page.
func (b *fittingBook) end() error {
	var out bytes.Buffer
	p := b.page
	title := b.sheet.Pattern + ": " + b.shape.piece.Name
	if err := p.finish(&out, geom.Box{Max: p.paper}, title, "Fitting sheet of "+b.shape.piece.Name); err != nil {
		return err
	}
	b.out = append(b.out, out.Bytes())
	return nil
}

// add sets a block into the columns, on a new page where they are full.
func (b *fittingBook) add(bl block) error {
	for turn := 0; ; turn++ {
		if b.page.fits(bl.high) {
			b.page.put(bl)
			return nil
		}
		if turn > 0 {
			return fmt.Errorf("a note is %.0f mm high, more than a page holds", bl.high)
		}
		if err := b.end(); err != nil {
			return err
		}
		b.begin(false)
		b.page.wholePage()
	}
}

// fits reports whether a height has room in this column or the next, and goes
// on to that.
func (p *fittingPage) fits(high float64) bool {
	for ; p.column < len(p.columns); p.column++ {
		if p.y+high <= p.columns[p.column].Max.Y+1e-9 {
			return true
		}
		if p.column+1 < len(p.columns) {
			p.y = p.columns[p.column+1].Min.Y
		}
	}
	return false
}

func (p *fittingPage) put(bl block) {
	bl.drawOn(p, geom.Pt(p.columns[p.column].Min.X, p.y))
	p.y += bl.high + 0.6*sheetText
}

// drawOn draws a block that was measured on an earlier page.
func (bl block) drawOn(p *fittingPage, at geom.Point) {
	if bl.onPage != nil {
		bl.onPage(p, at)
		return
	}
	bl.draw(at)
}

// wholePage divides the page into two columns of words.
func (p *fittingPage) wholePage() { p.divide(p.inside.Min.Y) }

// divide makes two columns of what lies below a height.
func (p *fittingPage) divide(y float64) {
	between := gap * sheetText
	wide := (p.inside.Size().X - between) / 2
	p.columns, p.column, p.y = nil, 0, y
	for i := range 2 {
		x := p.inside.Min.X + float64(i)*(wide+between)
		p.columns = append(p.columns, geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+wide, p.inside.Max.Y)})
	}
}

// entry is a note in words with a line to write on.
func (p *fittingPage) entry(n FittingNote, number int) block {
	wide := (p.inside.Size().X - gap*sheetText) / 2
	head := n.Key + ", " + n.State
	if n.Side != "" {
		head += map[string]string{"left": ", the wearer's left", "right": ", the wearer's right", "both": ", both sides"}[n.Side]
	}
	if n.Place != "" {
		head += "; " + n.Place
	}
	rows := []paragraph{{hang: fmt.Sprint(number), text: head, scale: 1, most: 3}, {text: n.Seen, scale: 1, most: 7}}
	if n.Pinned != "" {
		rows = append(rows, paragraph{text: "pinned: " + n.Pinned, scale: 1, most: 3})
	}
	if n.ToDo != "" {
		rows = append(rows, paragraph{text: "to do: " + n.ToDo, scale: 1, most: 5})
	}
	words := p.textBlock("note", "", wide, rows)
	return block{high: words.high + ruleStep, onPage: func(on *fittingPage, at geom.Point) {
		on.textBlock("note", "", wide, rows).draw(at)
		on.rule(at.X, at.X+wide, at.Y+words.high+0.8*ruleStep)
	}}
}

// rule is a line to write on.
func (p *fittingPage) rule(from, to, y float64) {
	p.line(geom.Pt(from, y), geom.Pt(to, y), p.stroke(black, p.pen.narrow/2, attr("class", "rule"))...)
}

// blankLines is how many lines a note that is still to be written has.
const blankLines = 3

// blanks fills the rest of the columns with room for more notes, numbered on,
// and returns how many.
func (p *fittingPage) blanks(number int) (count int) {
	high := blankLines * ruleStep
	for p.fits(high) {
		number, count = number+1, count+1
		c := p.columns[p.column]
		p.canvas.lines(geom.Pt(c.Min.X, p.y+0.5*ruleStep-0.4*sheetText), []string{fmt.Sprint(number)}, sheetText, true)
		indent := 3 * sheetText
		for i := range blankLines {
			p.rule(c.Min.X+indent, c.Max.X, p.y+(float64(i)+0.85)*ruleStep)
		}
		p.y += high + 0.3*ruleStep
	}
	return count
}

// board divides the page for the drawing, with columns of numbers beside it,
// and the words below.
func (p *fittingPage) board() leaderBoard {
	pitch := 2.3 * sheetText
	box := p.inside
	box.Max.Y = box.Min.Y + drawingShare*p.paper.Y
	p.divide(box.Max.Y + 3.6*sheetText)
	box.Min.X, box.Max.X = box.Min.X+pitch, box.Max.X-pitch
	return leaderBoard{box: box, pitch: pitch, dot: 0.5 * sheetText}
}

// draw draws the piece between the columns of numbers.
func (p *fittingPage) draw(s *shape, content geom.Box, board leaderBoard, notes []FittingNote, before int) {
	room := board.box.Grow(-2.5 * sheetText)
	scale := drawingScale(content.Size(), room.Size())
	to := func(q geom.Point) geom.Point { return room.Centre().Add(q.Sub(content.Centre()).Mul(scale)) }
	small := s.scaled(scale, to)
	p.outlinePath("new", small.outline.Ring, true, p.wideLine())
	p.legend.use(legendOutline)
	p.notches(small, nil)
	p.marks(small, nil)
	if small.piece.Grain != nil {
		p.grain(small.piece.Grain, false)
	}
	for i := range small.piece.Edges {
		if small.piece.Edges[i].Fold {
			p.foldBracket(small.piece.EdgePath(i))
		}
	}
	board.lines = p.strict
	leaders := p.numbers(board, notes, before, to)
	p.names(small, board.box, leaders)
	p.scaleRow(board.box, scale)
}

// numbers draws dots, leaders and numbers, and returns the leaders.
func (p *fittingPage) numbers(board leaderBoard, notes []FittingNote, before int, to func(geom.Point) geom.Point) (leaders []segment) {
	var sites []geom.Point
	var of []int
	for i, n := range notes {
		if n.At != nil {
			sites, of = append(sites, to(*n.At)), append(of, i)
		}
	}
	ports := board.ports(sites)
	p.group(attr("class", "leaders"))
	for i := range sites {
		leaders = append(leaders, segment{sites[i], ports[i].at})
		p.line(sites[i], ports[i].at, p.stroke(black, p.pen.narrow, attr("class", "leader"))...)
	}
	p.ungroup()
	p.group(attr("class", "pins"))
	for i, site := range sites {
		fill := white
		if notes[of[i]].Open {
			fill = black
		}
		p.circle(site, 0.3*sheetText, attr("fill", fill), attr("stroke", black), p.length("stroke-width", p.pen.narrow))
	}
	p.ungroup()
	r := 0.43 * board.pitch
	p.group(attr("class", "labels"), attr("text-anchor", "middle"))
	for i, q := range ports {
		out := geom.Pt(-r, 0)
		if q.right {
			out = geom.Pt(r, 0)
		}
		text := fmt.Sprint(before + of[i] + 1)
		size := math.Min(sheetText, 1.6*r/textWidth(text, 1, true))
		half := geom.Pt(r, r)
		p.writeLabel(placed{label: label{size: size, bold: true, disc: true}, lines: []string{text}, box: slantedBox{centre: q.at.Add(out), half: half}})
	}
	p.ungroup()
	if len(sites) > 0 {
		p.legend.use(legendPinned)
	}
	return leaders
}

// names writes the names of edges, notches, marks and lines where they have
// room beside everything else; none covers a leader, and one whose own line
// would cross a leader is left out.
func (p *fittingPage) names(s *shape, box geom.Box, leaders []segment) {
	for i := range s.piece.Edges {
		path := s.piece.EdgePath(i)
		half := path.Length() / 2
		p.sayAlong(s.piece.Edges[i].Name, path.PointAt(half), path.TangentAt(half), path.TangentAt(half).Left(), 0.35*sheetText, 1)
	}
	for _, n := range s.piece.Notches {
		if at, along, _, err := s.piece.NotchPlace(n); err == nil {
			p.say(n.Name, at.Add(along.Left().Mul(p.pen.tick)), along.Left(), 3)
		}
	}
	for _, m := range s.piece.Marks {
		if at, ok := s.markPlace(m); ok && m.Kind != pattern.MarkText {
			p.say(markWords(m), at, geom.Point{}, 4)
		}
	}
	for _, l := range s.piece.Lines {
		if len(l.Path) > 0 {
			half := l.Path.Length() / 2
			p.sayAlong(l.Name, l.Path.PointAt(half), l.Path.TangentAt(half), l.Path.TangentAt(half).Left(), 0.3*sheetText, 2)
		}
	}
	for i := range p.labels {
		p.labels[i].size = 0.85 * sheetText
	}
	p.strict = append(p.strict, leaders...)
	placer := newPlacer(box.Grow(-0.3*sheetText), p.drawing)
	placer.place(p.labels)
	p.group(attr("class", "labels"), attr("text-anchor", "middle"))
	for _, l := range placer.done {
		if l.lead == nil {
			p.writeLabel(l)
		} else if !slices.ContainsFunc(leaders, func(s segment) bool { return crosses(s, *l.lead) }) {
			p.line(l.lead.a, l.lead.b, p.stroke(black, p.pen.narrow/2)...)
			p.writeLabel(l)
		}
	}
	p.ungroup()
}
