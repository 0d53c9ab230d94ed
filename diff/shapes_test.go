package diff_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// drafting draws a piece edge by edge, clockwise, x to the right and y down,
// by measures in mm that differ from one draft to the next.
type drafting struct {
	rng   *rand.Rand
	size  float64
	piece *pattern.Piece
	path  geom.Path // of the edge under way
	at    geom.Point
}

// m is a measure near v: no two drafts are alike.
func (d *drafting) m(v float64) float64 { return v * d.size * (0.92 + 0.16*d.rng.Float64()) }

func (d *drafting) start(x, y float64) { d.at = geom.Pt(x, y) }

func (d *drafting) line(x, y float64) *drafting {
	q := geom.Pt(x, y)
	d.path, d.at = append(d.path, geom.Line(d.at, q)), q
	return d
}

func (d *drafting) curve(x1, y1, x2, y2, x, y float64) *drafting {
	c := geom.Cubic{P0: d.at, P1: geom.Pt(x1, y1), P2: geom.Pt(x2, y2), P3: geom.Pt(x, y)}
	d.path, d.at = append(d.path, c), c.P3
	return d
}

// arc draws along a circle about the sheet's origin.
func (d *drafting) arc(radius, from, sweep float64) *drafting {
	a := geom.Arc(geom.Pt(0, 0), radius, from, sweep)
	a[0].P0 = d.at
	d.path, d.at = append(d.path, a...), a.End()
	return d
}

// ends ends the edge under way at a corner.
func (d *drafting) ends(name string, allowance float64) *pattern.Edge {
	e := pattern.Edge{Name: name}
	if allowance > 0 {
		e.Allowance = map[string]float64{pattern.ClothSet: allowance}
	}
	e.SetPath(d.path)
	d.piece.Corners = append(d.piece.Corners, pattern.Corner{At: d.path.Start()})
	d.piece.Edges = append(d.piece.Edges, e)
	d.path = nil
	return &d.piece.Edges[len(d.piece.Edges)-1]
}

// fold ends the edge as a fold, which is straight and has no allowance.
func (d *drafting) fold(name string) {
	d.ends(name, 0).Fold = true
	d.piece.Cut = pattern.CutOnFold
}

// notch puts a notch at about a share of an edge, counted from either end.
func (d *drafting) notch(name, edge string, share float64, count int) {
	i, err := d.piece.EdgeIndex(edge)
	if err != nil {
		panic(err)
	}
	n := pattern.Notch{Name: name, Edge: edge, Count: count, FromEnd: d.rng.IntN(2) == 0}
	if n.FromEnd {
		share = 1 - share
	}
	n.At = d.piece.EdgePath(i).Length() * share * (0.96 + 0.08*d.rng.Float64())
	d.piece.Notches = append(d.piece.Notches, n)
}

func (d *drafting) grain(x0, y0, x1, y1 float64) {
	d.piece.Grain = &pattern.Grain{From: geom.Pt(x0, y0), To: geom.Pt(x1, y1), OneWay: d.rng.IntN(4) == 0}
}

func (d *drafting) mark(m pattern.Mark) { d.piece.Marks = append(d.piece.Marks, m) }

func (d *drafting) button(name string, x, y float64) {
	d.mark(pattern.Mark{Kind: pattern.MarkButton, Name: name, At: geom.Pt(x, y), Size: 15})
}

func (d *drafting) dot(name string, x, y float64) {
	d.mark(pattern.Mark{Kind: pattern.MarkDot, Name: name, At: geom.Pt(x, y), Size: 3})
}

func (d *drafting) text(name, text string, x, y float64) {
	d.mark(pattern.Mark{Kind: pattern.MarkText, Name: name, At: geom.Pt(x, y), Text: text})
}

// round rounds the corner before an edge.
func (d *drafting) round(edge string, radius float64) {
	if i, err := d.piece.EdgeIndex(edge); err == nil {
		d.piece.Corners[i].Round = units.Round(radius, 1)
	}
}

func (d *drafting) some() bool { return d.rng.IntN(2) == 0 }

// shape is a kind of piece and the rule it is drafted by.
type shape struct {
	name  string
	draft func(d *drafting)
}

// shapes are the parts of an orchard smock and of what is worn with it.
var shapes = []shape{
	{"back", draftBack}, {"front", draftFront}, {"skirt panel", draftSkirt}, {"side panel", draftSidePanel},
	{"yoke", draftYoke}, {"sleeve", draftSleeve}, {"cuff", draftCuff}, {"pocket", draftPocket},
	{"front facing", draftFacing}, {"collar", draftCollar}, {"trouser leg", draftTrouser}, {"waistband", draftWaistband},
	{"circle skirt", draftCircle}, {"hood", draftHood}, {"bib", draftBib},
}

// drafted makes a piece of the k-th shape as it is stored: with three
// decimals, ids, and in half of the cases turned and moved on its sheet.
func drafted(rng *rand.Rand, k int) *pattern.Piece {
	s := shapes[k%len(shapes)]
	for range 50 {
		d := &drafting{rng: rng, size: 0.85 + 0.3*rng.Float64(), piece: &pattern.Piece{
			Name: s.name, Slug: "base", Cloth: "outer", Cut: pattern.CutOne}}
		s.draft(d)
		p := d.piece
		if d.some() {
			p = p.Moved(geom.Motion{Turn: 2 * math.Pi * (rng.Float64() - 0.5), Shift: geom.Pt(800*rng.Float64(), 800*rng.Float64())})
		}
		p = stored(p)
		p.ID = randomID(rng)
		for i := range p.Edges {
			p.Edges[i].ID = randomID(rng)
		}
		if p.Validate() == nil {
			return p
		}
	}
	panic("no valid draft of a " + s.name)
}

func randomID(rng *rand.Rand) string { return fmt.Sprintf("%08x", rng.Uint32()) }

// stored rounds all coordinates to three decimals, as a file holds them.
func stored(p *pattern.Piece) *pattern.Piece {
	q := p.Clone()
	for i := range q.Corners {
		q.Corners[i].At, q.Corners[i].Round = stored3(q.Corners[i].At), units.Round(q.Corners[i].Round, 3)
	}
	for i := range q.Edges {
		e := &q.Edges[i]
		for k := range e.Nodes {
			e.Nodes[k] = stored3(e.Nodes[k])
		}
		for _, h := range e.Handles {
			if h != nil {
				h.First, h.Second = stored3(h.First), stored3(h.Second)
			}
		}
	}
	for i := range q.Notches {
		q.Notches[i].At = units.Round(q.Notches[i].At, 3)
	}
	for i := range q.Marks {
		m := &q.Marks[i]
		m.At, m.Path = stored3(m.At), storedPath(m.Path)
		m.From, m.To, m.Size = units.Round(m.From, 3), units.Round(m.To, 3), units.Round(m.Size, 3)
	}
	for i := range q.Lines {
		q.Lines[i].Path = storedPath(q.Lines[i].Path)
	}
	if q.Grain != nil {
		q.Grain.From, q.Grain.To = stored3(q.Grain.From), stored3(q.Grain.To)
	}
	return q
}

func stored3(q geom.Point) geom.Point { return geom.Pt(units.Round(q.X, 3), units.Round(q.Y, 3)) }

// storedPath keeps straight lines straight.
func storedPath(p geom.Path) geom.Path {
	var out geom.Path
	for _, c := range p {
		if c.IsStraight(1e-6) {
			out = append(out, geom.Line(stored3(c.P0), stored3(c.P3)))
		} else {
			out = append(out, geom.Cubic{P0: stored3(c.P0), P1: stored3(c.P1), P2: stored3(c.P2), P3: stored3(c.P3)})
		}
	}
	return out
}

func draftBack(d *drafting) {
	w, h, n, deep := d.m(250), d.m(760), d.m(78), d.m(22)
	wide, armpit := w+d.m(40), d.m(225)
	d.start(0, deep)
	d.curve(n*0.5, deep, n*0.85, deep*0.7, n, 0).ends("neckline", 10)
	d.line(w*0.8, d.m(42)).ends("shoulder", 15)
	d.curve(w*0.7, armpit*0.5, w*0.72, armpit*0.85, w, armpit).ends("armhole", 10)
	d.line(wide, h).ends("side seam", 15)
	if d.some() {
		d.line(0, h)
	} else {
		d.curve(wide*0.68, h+9, wide*0.34, h+11, 0, h+11)
	}
	d.ends("hemline", 40)
	d.line(0, deep).fold("centre back")
	d.grain(w*0.4, armpit, w*0.4, h*0.85)
	d.notch("hip", "side seam", 0.45, 1)
	d.notch("armhole back", "armhole", 0.5, 2)
	d.text("name", "back", w*0.5, h*0.5)
}

func draftFront(d *drafting) {
	w, h, n, neck := d.m(262), d.m(740), d.m(74), d.m(95)
	armpit, waist, hip := d.m(238), d.m(400), d.m(30)
	d.start(0, neck)
	d.curve(n*0.55, neck, n, neck*0.55, n, 0).ends("neckline", 10)
	d.line(w*0.8, d.m(46)).ends("shoulder", 15)
	d.curve(w*0.62, armpit*0.52, w*0.7, armpit*0.86, w, armpit).ends("armhole", 10)
	d.curve(w-4, armpit+42, w-12, waist-60, w-12, waist).ends("upper side", 15)
	d.curve(w-12, waist+80, w+hip-8, h-150, w+hip, h-8).ends("side seam", 15)
	d.curve(w*0.72, h+3, w*0.35, h, 0, h).ends("hemline", 30)
	d.line(0, neck).ends("front edge", 20)
	d.piece.Cut = pattern.CutPair
	if d.some() {
		d.round("front edge", d.m(35))
	}
	d.grain(w*0.5, armpit, w*0.5, h*0.9)
	d.notch("armhole front", "armhole", 0.45, 1)
	d.notch("hip", "side seam", 0.4, 1)
	for k := range 3 {
		d.button(fmt.Sprintf("button %d", k+1), 12, neck+30+float64(k)*110)
	}
	d.mark(pattern.Mark{Kind: pattern.MarkPlacement, Name: "pocket place", Path: geom.Polyline(geom.Pt(w*0.3, h*0.6), geom.Pt(w*0.75, h*0.61))})
}

func draftSkirt(d *drafting) {
	w, k := d.m(230), d.m(440)/70
	d.start(0, 0)
	d.curve(w*0.3, 7, w*0.7, 6, w, -4).ends("waist", 10)
	d.curve(w+14, 60, w+30, 130, w+36, 200).line(w+36+6*k, 200+70*k).ends("side seam", 15)
	d.curve(w*0.8, 208+70*k, w*0.4, 214+70*k, 0, 214+70*k).ends("hemline", 40)
	d.line(0, 0).ends("centre front", 15)
	d.piece.Cut = pattern.CutPair
	d.grain(w*0.3, 80, w*0.3, 380)
	d.notch("hip", "side seam", 0.3, 1)
	d.notch("closing", "centre front", 0.8, 2)
	d.mark(pattern.Mark{Kind: pattern.MarkDart, Name: "waist dart", Edge: "waist", From: w * 0.45, To: w*0.45 + d.m(24), At: geom.Pt(w*0.5, d.m(95))})
	d.piece.Lines = []pattern.ReferenceLine{{Name: "hip level", Path: geom.Polyline(geom.Pt(5, 200), geom.Pt(w+30, 200))}}
}

func draftSidePanel(d *drafting) {
	w, h := d.m(150), d.m(520)
	d.start(0, 0)
	d.curve(w*0.3, 30, w*0.7, 28, w, d.m(8)).ends("armhole", 10)
	d.line(w+d.m(34), h).ends("front panel seam", 15)
	d.curve(w*0.75, h+9, w*0.25, h+9, -d.m(28), h-3).ends("hemline", 30)
	d.line(0, 0).ends("back panel seam", 15)
	d.piece.Cut = pattern.CutPair
	d.grain(w*0.5, 60, w*0.5, h-60)
	d.notch("waist front", "front panel seam", 0.35, 1)
	d.notch("waist back", "back panel seam", 0.62, 2)
}

func draftYoke(d *drafting) {
	w, h, n, deep := d.m(205), d.m(125), d.m(80), d.m(20)
	d.start(0, deep)
	d.curve(n*0.5, deep, n*0.85, deep*0.7, n, 0).ends("neckline", 10)
	d.line(w*0.97, d.m(36)).ends("shoulder", 15)
	d.curve(w*0.93, h*0.55, w*0.94, h*0.8, w, h).ends("armhole", 10)
	d.curve(w*0.66, h+5, w*0.33, h+7, 0, h+7).ends("yoke seam", 12)
	d.line(0, deep).fold("centre back")
	d.notch("gathers", "yoke seam", 0.4, 1)
	if d.some() {
		d.grain(w*0.3, deep+15, w*0.3, h-5)
	}
}

func draftSleeve(d *drafting) {
	w, c, h, wrist := d.m(400), d.m(135), d.m(560), d.m(250)
	x := (w - wrist) / 2
	d.start(0, c)
	d.curve(w*0.16, c*0.95, w*0.25, 0, w*0.47, 0).ends("back head", 10)
	d.curve(w*0.66, 0, w*0.76, c, w, c).ends("front head", 10)
	d.line(w-x, h).ends("front arm seam", 15)
	d.line(x, h+d.m(3)).ends("wrist", 25).Hem = true
	d.line(0, c).ends("back arm seam", 15)
	d.piece.Cut = pattern.CutPair
	d.grain(w*0.47, c, w*0.47, h-60)
	d.notch("back head notch", "back head", 0.5, 2)
	d.notch("front head notch", "front head", 0.45, 1)
	d.dot("elbow", w*0.2, h*0.6)
}

func draftCuff(d *drafting) {
	w, h := d.m(255), d.m(90)
	d.start(0, 0)
	d.line(w, 0).ends("wrist seam", 10)
	d.line(w, h).ends("button end", 10)
	d.line(0, h).ends("cuff edge", 10).Hem = true
	d.line(0, 0).ends("buttonhole end", 10)
	d.piece.Cut = pattern.CutPair
	if d.some() {
		d.round("cuff edge", d.m(18))
	}
	d.grain(w*0.3, 15, w*0.3, h-15)
	d.notch("middle", "wrist seam", 0.5, 1)
	d.button("cuff button", w-14, h/2)
	d.mark(pattern.Mark{Kind: pattern.MarkButtonhole, Name: "cuff buttonhole", Path: geom.Polyline(geom.Pt(8, h/2), geom.Pt(26, h/2))})
}

func draftPocket(d *drafting) {
	w, h := d.m(160), d.m(190)
	d.start(0, 0)
	d.line(w, 0).ends("mouth", 30).Hem = true
	d.line(w-4, h*0.78).ends("front side", 10)
	d.line(w*0.54, h).ends("lower front", 10)
	d.line(3, h*0.82).ends("lower back", 10)
	d.line(0, 0).ends("back side", 10)
	if d.some() {
		d.round("lower front", d.m(14))
		d.round("back side", d.m(14))
	}
	d.grain(w*0.5, 25, w*0.5, h*0.7)
	d.dot("bartack", 9, 12)
}

func draftFacing(d *drafting) {
	w, h, n, neck := d.m(75), d.m(690), d.m(60), d.m(84)
	d.start(0, neck)
	d.curve(n*0.55, neck, n, neck*0.55, n, 0).ends("neckline", 10)
	d.line(n+d.m(50), d.m(24)).ends("shoulder", 15)
	d.curve(n+40, 140, w, 200, w, 330).ends("inner edge", 0)
	d.line(w+1, h).ends("inner front", 0)
	d.line(0, h).ends("hemline", 30)
	d.line(0, neck).ends("front edge", 10)
	d.piece.Cut, d.piece.Cloth = pattern.CutPair, "facing cloth"
	d.grain(w*0.4, 250, w*0.4, h-60)
	d.notch("break", "front edge", 0.6, 1)
}

func draftCollar(d *drafting) {
	w, h := d.m(230), d.m(82)
	d.start(0, 0)
	d.curve(w*0.35, 0, w*0.7, -10, w+d.m(22), -28).ends("collar edge", 8)
	d.line(w-8, h*0.75).ends("collar end", 8)
	d.curve(w*0.7, h*0.95, w*0.35, h, 0, h).ends("neck seam", 8)
	d.line(0, 0).fold("centre back")
	d.notch("shoulder", "neck seam", 0.55, 1)
	d.text("upper", "upper collar", w*0.4, h*0.5)
}

func draftTrouser(d *drafting) {
	w, h := d.m(270), d.m(980)
	d.start(0, 0)
	d.line(w*0.95, -d.m(14)).ends("waist", 10)
	d.curve(w+10, 90, w+16, 180, w+10, 300).curve(w+4, 420, w-18, 640, w-d.m(30), h).ends("outseam", 15)
	d.line(d.m(40), h).ends("leg hem", 40)
	d.curve(34, h-280, 10, 450, -d.m(62), 270).ends("inseam", 15)
	d.curve(-20, 255, -4, 160, 0, 0).ends("crotch seam", 15)
	d.piece.Cut = pattern.CutPair
	d.grain(w*0.45, 300, w*0.45, h-150)
	d.notch("knee out", "outseam", 0.55, 1)
	d.notch("knee in", "inseam", 0.5, 1)
	d.mark(pattern.Mark{Kind: pattern.MarkPleat, Name: "front pleat", Edge: "waist", From: w * 0.4, To: w*0.4 + d.m(30), Direction: "end"})
	d.mark(pattern.Mark{Kind: pattern.MarkSlit, Name: "pocket slit", Path: geom.Polyline(geom.Pt(w*0.8, 60), geom.Pt(w*0.86, 200))})
}

func draftWaistband(d *drafting) {
	w, h := d.m(640), d.m(62)
	d.start(0, 0)
	d.line(w, 0).ends("upper edge", 10)
	d.line(w, h).ends("front end", 10)
	d.line(0, h).ends("waist seam", 10)
	d.line(0, 0).ends("back end", 10)
	d.notch("left side", "waist seam", 0.3, 1)
	d.notch("right side", "waist seam", 0.78, 1)
	d.dot("stud", w-20, h/2)
}

func draftCircle(d *drafting) {
	r, long := d.m(150), d.m(560)
	sweep := geom.Degrees(70 + 20*d.rng.Float64())
	if d.some() {
		sweep = math.Pi / 2
	}
	d.start(r, 0)
	d.line(r+long, 0).ends("side seam", 15)
	d.arc(r+long, 0, sweep).ends("hemline", 6)
	d.line(r*math.Cos(sweep), r*math.Sin(sweep)).fold("centre front")
	d.arc(r, sweep, -sweep)
	d.path[len(d.path)-1].P3 = geom.Pt(r, 0)
	d.ends("waist", 10)
	d.notch("closing", "side seam", 0.3, 1)
}

func draftHood(d *drafting) {
	w, h, y := d.m(245), d.m(330), d.m(42)
	d.start(0, 0)
	d.curve(w*0.3, -10, w*0.62, -16, w*0.8, y).curve(w*1.1, y+1.7*(y+16), w+6, 230, w*0.84, h).ends("crown seam", 10)
	d.curve(w*0.6, h+24, w*0.3, h+8, -6, h-d.m(16)).ends("neck seam", 10)
	d.line(0, 0).ends("face edge", 25)
	d.piece.Cut = pattern.CutPair
	d.grain(w*0.4, 60, w*0.4, h-60)
	d.notch("crown notch", "crown seam", 0.55, 2)
	d.notch("shoulder", "neck seam", 0.4, 1)
}

func draftBib(d *drafting) {
	w, h := d.m(280), d.m(300)
	d.start(w*0.18, 0)
	d.line(w*0.82, 0).ends("upper edge", 25)
	d.curve(w*0.8, h*0.5, w*0.86, h*0.86, w*1.08, h).ends("right edge", 8)
	d.line(-w*0.08, h).ends("waist", 10)
	d.curve(w*0.14, h*0.86, w*0.2, h*0.5, w*0.18, 0).ends("left edge", 8)
	d.piece.Side = "left"
	d.dot("strap left", w*0.24, 15)
	d.dot("strap right", w*0.7, 15)
	if d.some() {
		d.grain(w*0.5, 40, w*0.5, h-40)
	}
}
