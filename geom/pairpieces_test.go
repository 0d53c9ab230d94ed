package geom

import (
	"math"
	"math/rand/v2"
)

// draftedPieces are the pieces of a garment at their real sizes: some 20 to
// 900 mm across, drafted from measures that vary from pair to pair. Each is a
// list of edges between corners, clockwise as seen.
var draftedPieces = []struct {
	name  string
	draft func(*drafter)
}{
	{"back", draftBack},
	{"front", draftFront},
	{"side panel", draftSidePanel},
	{"yoke", draftYoke},
	{"sleeve", draftSleeve},
	{"cuff", draftCuff},
	{"pocket", draftPocket},
	{"front facing", draftFrontFacing},
	{"neck facing", draftNeckFacing},
	{"collar stand", draftCollarStand},
	{"collar", draftCollar},
	{"skirt panel", draftSkirtPanel},
	{"waistband", draftWaistband},
	{"strap", draftStrap},
	{"hood", draftHood},
}

// drafter draws a piece: it runs from place to place and starts a new edge at
// each corner.
type drafter struct {
	rng   *rand.Rand
	size  float64 // of the whole garment, about 1
	edges []Path
	start Point
	at    Point
}

// draft returns the piece's edges for the measures the seed gives.
func draft(rng *rand.Rand, piece int) []Path {
	d := &drafter{rng: rng, size: 0.8 + 0.45*rng.Float64()}
	draftedPieces[piece].draft(d)
	if rng.IntN(5) == 0 {
		d.unevenLines()
	}
	return d.edges
}

// unevenLines writes straight edges as some drawing programs do: as curves
// with handles of length zero, at one end or both.
func (d *drafter) unevenLines() {
	for _, e := range d.edges {
		for i, c := range e {
			if !c.IsStraight(1e-9) {
				continue
			}
			switch d.rng.IntN(4) {
			case 0, 1:
				e[i] = Cubic{c.P0, c.P0, c.P3, c.P3}
			case 2:
				e[i] = Cubic{c.P0, c.P0, c.P0.Lerp(c.P3, 0.6), c.P3}
			}
		}
	}
}

// about varies a measure in mm by an eighth either way, on top of the size.
func (d *drafter) about(mm float64) float64 {
	return mm * d.size * (0.875 + 0.25*d.rng.Float64())
}

func (d *drafter) from(x, y float64) {
	d.start = Pt(x, y)
	d.at = d.start
}

// line is an edge straight to a place.
func (d *drafter) line(x, y float64) {
	d.edges = append(d.edges, Path{Line(d.at, Pt(x, y))})
	d.at = Pt(x, y)
}

// curve is an edge that leaves and arrives in the given directions, in
// degrees clockwise from +x, varied by up to 3°.
func (d *drafter) curve(x, y, leave, arrive float64) {
	d.edges = append(d.edges, nil)
	d.on(x, y, leave+6*d.rng.Float64()-3, arrive+6*d.rng.Float64()-3)
}

// on runs the present edge on by one more curve.
func (d *drafter) on(x, y, leave, arrive float64) {
	to, last := Pt(x, y), len(d.edges)-1
	chord := d.at.Dist(to)
	c := Cubic{
		d.at, d.at.Add(Pt(chord*(0.3+0.12*d.rng.Float64()), 0).Turn(Degrees(leave))),
		to.Sub(Pt(chord*(0.3+0.12*d.rng.Float64()), 0).Turn(Degrees(arrive))), to,
	}
	d.edges[last] = append(d.edges[last], c)
	d.at = to
}

// close ends the piece by a straight edge to its start.
func (d *drafter) close() { d.line(d.start.X, d.start.Y) }

// bodice is a half back or front with its fold or front edge at x = 0.
func (d *drafter) bodice(neckDepth, length float64) {
	neck, shoulder, drop := d.about(78), d.about(215), d.about(45)
	chest, scye, hem := d.about(275), d.about(240), d.about(305)
	d.from(0, neckDepth)
	d.curve(neck, 0, 5, -75)
	d.line(shoulder, drop)
	d.curve(shoulder-d.about(18), (drop+scye)*0.55, 100, 88)
	d.on(chest, scye, 88, 12)
	if d.rng.IntN(2) == 0 {
		d.line(hem, length-d.about(12))
	} else {
		d.curve(hem, length-d.about(12), 102, 80)
	}
	d.curve(0, length, 172, 180)
	d.close()
}

func draftBack(d *drafter)  { d.bodice(d.about(22), d.about(720)) }
func draftFront(d *drafter) { d.bodice(d.about(95), d.about(700)) }

func draftSidePanel(d *drafter) {
	w, l := d.about(140), d.about(480)
	d.from(0, 0)
	d.curve(w, d.about(30), -20, 35)
	d.curve(w-d.about(18), l*0.35, 96, 90)
	d.on(w+d.about(30), l, 90, 82)
	d.curve(-d.about(25), l+d.about(5), 176, 184)
	d.curve(d.about(15), l*0.35, -76, -90)
	d.on(0, 0, -90, -97)
}

func draftYoke(d *drafter) {
	neck, shoulder, depth := d.about(80), d.about(220), d.about(110)
	d.from(0, d.about(20))
	d.curve(neck, 0, 5, -70)
	d.line(shoulder, d.about(40))
	d.curve(shoulder-d.about(12), depth, 100, 92)
	d.curve(0, depth+d.about(8), 175, 180)
	d.close()
}

// draftSleeve has a head of four curves that bends both ways.
func draftSleeve(d *drafter) {
	w, head, l, wrist := d.about(380), d.about(125), d.about(600), d.about(240)
	d.from(0, head)
	d.curve(w*0.22, head*0.5, -15, -50)
	d.on(w*0.5, 0, -50, 0)
	d.on(w*0.8, head*0.52, 0, 52)
	d.on(w, head, 52, 12)
	d.line((w+wrist)/2, l)
	d.curve((w-wrist)/2, l, 176, 184)
	d.close()
}

func draftCuff(d *drafter) {
	w, h := d.about(245), d.about(62)
	d.from(0, 0)
	d.line(w, 0)
	d.curve(w-d.about(4), h, 95, 95)
	d.line(d.about(4), h)
	d.curve(0, 0, -95, -95)
}

func draftPocket(d *drafter) {
	w, h, r := d.about(150), d.about(175), d.about(22)
	d.from(0, 0)
	d.line(w, 0)
	d.line(w, h-r)
	d.curve(w-r, h, 90, 180)
	d.line(r, h)
	d.curve(0, h-r, 180, -90)
	d.close()
}

func draftFrontFacing(d *drafter) {
	neck, depth, w, l := d.about(78), d.about(95), d.about(62), d.about(690)
	d.from(0, depth)
	d.curve(neck, 0, 5, -75)
	d.line(neck+w*0.9, d.about(14))
	d.curve(w*1.1, depth+w, 112, 165)
	d.on(w, depth+2.2*w, 165, 90)
	d.line(w, l)
	d.line(0, l)
	d.close()
}

func draftNeckFacing(d *drafter) {
	neck, depth, w := d.about(80), d.about(24), d.about(55)
	d.from(-neck, 0)
	d.curve(0, depth, 62, 0)
	d.on(neck, 0, 0, -62)
	d.line(neck+w, w*0.22)
	d.curve(0, depth+w, 118, 180)
	d.on(-neck-w, w*0.22, 180, -118)
	d.close()
}

func draftCollarStand(d *drafter) {
	l, h, rise := d.about(225), d.about(31), d.about(18)
	d.from(0, 0)
	d.curve(l*0.55, 1, 2, 4)
	d.on(l, -rise*0.6, 0, -14)
	d.curve(l+h*0.45, -rise+h, 20, 110)
	d.curve(l*0.5, h+1, 168, 178)
	d.on(0, h, 180, 180)
	d.close()
}

func draftCollar(d *drafter) {
	l, h := d.about(210), d.about(68)
	d.from(0, 0)
	d.curve(l, d.about(9), -2, 8)
	d.line(l+d.about(28), h+d.about(20))
	d.curve(0, h, 186, 180)
	d.close()
}

func draftSkirtPanel(d *drafter) {
	waist, hip, fall, l := d.about(180), d.about(255), d.about(200), d.about(680)
	d.from(0, d.about(10))
	d.curve(waist, 0, -1, -8)
	d.curve(hip, fall, 52, 88)
	d.on(hip+d.about(60), l, 88, 84)
	d.curve(0, l+d.about(12), 170, 180)
	d.close()
}

func draftWaistband(d *drafter) {
	w, h := d.about(780), d.about(42)
	d.from(0, 0)
	d.line(w, 0)
	d.line(w+d.about(20), h/2)
	d.line(w, h)
	d.line(0, h)
	d.close()
}

func draftStrap(d *drafter) {
	l, w := d.about(420), d.about(34)
	d.from(0, 0)
	d.curve(l, d.about(10), 4, -2)
	d.curve(l, d.about(10)+w, 25, 155)
	d.curve(0, w, 178, 184)
	d.close()
}

func draftHood(d *drafter) {
	w, h := d.about(255), d.about(360)
	d.from(0, 0)
	d.curve(w*0.55, -d.about(12), -8, 4)
	d.on(w, h*0.35, 4, 90)
	d.on(w*0.8, h, 90, 112)
	d.curve(0, h+d.about(14), 196, 172)
	d.close()
}

// sheet puts a piece somewhere on the sheet, as people lay them: most with the
// grain straight, some turned.
func sheet(rng *rand.Rand, edges []Path) []Path {
	m := Motion{Shift: Pt(2000*rng.Float64()-1000, 2000*rng.Float64()-1000)}
	switch rng.IntN(4) {
	case 0:
		m.Turn = 2 * math.Pi * rng.Float64()
	case 1:
		m.Turn = math.Pi / 2 * float64(rng.IntN(4))
	}
	out := make([]Path, len(edges))
	for i, e := range edges {
		out[i] = e.Moved(m)
	}
	return out
}

// joined is the ring of a piece's edges.
func joined(edges []Path) Ring {
	var r Ring
	for _, e := range edges {
		r = append(r, e...)
	}
	for i := range r { // moved ends may differ in the last bit
		r[i].P3 = r[(i+1)%len(r)].P0
	}
	return r
}
