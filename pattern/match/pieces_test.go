package match_test

import (
	"math/rand/v2"

	"toile/geom"
)

// drafting draws outlines edge by edge, clockwise.
type drafting struct {
	at    geom.Point
	edges []geom.Path
	sized float64
}

func (d *drafting) pt(x, y float64) geom.Point { return pt(x*d.sized, y*d.sized) }

// from begins the outline; the last edge has to end there.
func (d *drafting) from(x, y float64) *drafting { d.at = d.pt(x, y); return d }

func (d *drafting) line(x, y float64) *drafting {
	q := d.pt(x, y)
	d.edges = append(d.edges, geom.Path{geom.Line(d.at, q)})
	d.at = q
	return d
}

func (d *drafting) curve(x1, y1, x2, y2, x, y float64) *drafting {
	c := geom.Cubic{P0: d.at, P1: d.pt(x1, y1), P2: d.pt(x2, y2), P3: d.pt(x, y)}
	d.edges = append(d.edges, geom.Path{c})
	d.at = c.P3
	return d
}

// pieceKinds are the parts of an orchard smock and of what is worn with it,
// drawn by rules of our own. j gives a factor near 1: no two are alike.
var pieceKinds = []struct {
	name string
	draw func(d *drafting, j func() float64)
}{
	{"back", func(d *drafting, j func() float64) {
		w, h, n := 250*j(), 760*j(), 78*j()
		d.from(0, 22).curve(n*0.5, 22, n*0.9, 16, n, 0).line(w*0.78, 42*j()).curve(w*0.7, 110, w*0.7, 190, w, 225*j()).
			line(w+40*j(), h).line(0, h).line(0, 22)
	}},
	{"front", func(d *drafting, j func() float64) {
		w, h, n, neck := 262*j(), 740*j(), 74*j(), 95*j()
		d.from(-18, neck).curve(n*0.1, 70, n*0.9, 60, n, 0).line(w*0.76, 48*j()).curve(w*0.6, 120, w*0.68, 200, w, 232*j()).
			curve(w+5, 400, w+20, 600, w+36*j(), h-12).curve(w*0.8, h, w*0.4, h+4, -18, h).line(-18, neck)
	}},
	{"side panel", func(d *drafting, j func() float64) {
		w, h := 150*j(), 520*j()
		d.curve(w*0.3, 34, w*0.7, 30, w, 8*j()).line(w+34*j(), h).curve(w*0.7, h+9, w*0.3, h+9, -28*j(), h-3).line(0, 0)
	}},
	{"yoke", func(d *drafting, j func() float64) {
		w, h, n := 205*j(), 120*j(), 80*j()
		d.from(0, 20).curve(n*0.5, 20, n*0.85, 15, n, 0).line(w*0.97, 36*j()).curve(w*0.93, 70, w*0.94, 100, w, h).line(0, h+6*j()).line(0, 20)
	}},
	{"sleeve", func(d *drafting, j func() float64) {
		w, c, h, wrist := 400*j(), 135*j(), 560*j(), 250*j()
		x := (w - wrist) / 2
		d.from(0, c).curve(w*0.13, c*0.95, w*0.22, c*0.08, w*0.46, 0).curve(w*0.68, -c*0.06, w*0.8, c*0.8, w, c*1.02).
			line(w-x, h).line(x, h+4).line(0, c)
	}},
	{"cuff", func(d *drafting, j func() float64) {
		w, h := 255*j(), 90*j()
		d.line(w, 0).line(w, h).line(0, h).line(0, 0)
	}},
	{"pocket", func(d *drafting, j func() float64) {
		w, h := 160*j(), 185*j()
		d.line(w, 0).line(w-4, h*0.78).line(w*0.52, h).line(3, h*0.8).line(0, 0)
	}},
	{"front facing", func(d *drafting, j func() float64) {
		w, h, n, neck := 75*j(), 690*j(), 60*j(), 84*j()
		d.from(0, neck).curve(n*0.2, 62, n*0.8, 55, n, 0).line(n+52*j(), 26).curve(n+30, 130, w+6, 200, w, 300*j()).line(w+3, h).line(0, h).line(0, neck)
	}},
	{"lining", func(d *drafting, j func() float64) {
		w, h := 235*j(), 655*j()
		d.from(0, 12).curve(w*0.3, 18, w*0.5, 20, w*0.74, 4).curve(w*0.66, 100, w*0.7, 165, w, 186*j()).curve(w-12, 300, w-10, 380, w+24*j(), h).
			line(0, h).line(0, 330*j()).line(12, 300).line(0, 12)
	}},
	{"collar", func(d *drafting, j func() float64) {
		w, h := 230*j(), 82*j()
		d.curve(w*0.35, 2, w*0.7, -8, w+24*j(), -22).line(w-6, h*0.78).curve(w*0.7, h*0.93, w*0.35, h, 0, h).line(0, 0)
	}},
	{"waistband", func(d *drafting, j func() float64) {
		w, h := 420*j(), 62*j()
		d.curve(w*0.3, 6, w*0.7, 6, w, 0).line(w+18, h*0.5).line(w, h).curve(w*0.7, h+6, w*0.3, h+6, 0, h).line(0, 0)
	}},
	{"gore", func(d *drafting, j func() float64) {
		w, h := 120*j(), 640*j()
		d.curve(w*0.3, 5, w*0.7, 5, w, -2).curve(w+14, 130, w+30, 200, w+80*j(), h-10).curve(w*0.8, h+8, w*0.1, h+6, -46*j(), h-6).
			curve(-16, 220, -10, 140, 0, 0)
	}},
	{"trouser leg", func(d *drafting, j func() float64) {
		w, h := 270*j(), 980*j()
		d.line(w*0.95, -14*j()).curve(w+18, 120, w+10, 260, w-14, 480*j()).line(w-40, h).line(46, h).
			line(4, 500*j()).curve(-8, 420, -30, 330, -74*j(), 262).curve(-20, 240, -4, 170, 0, 0)
	}},
	{"hood", func(d *drafting, j func() float64) {
		w, h := 245*j(), 330*j()
		d.curve(w*0.3, -8, w*0.62, -14, w*0.8, 42*j()).curve(w+22, 110, w+6, 220, w*0.82, h).curve(w*0.6, h+26, w*0.3, h+8, -6, h-16*j()).line(0, 0)
	}},
	{"bib", func(d *drafting, j func() float64) {
		w, h := 280*j(), 300*j()
		d.from(w*0.18, 0).line(w*0.82, 0).curve(w*0.8, h*0.5, w*0.86, h*0.86, w*1.08, h).line(-w*0.1, h).curve(w*0.14, h*0.86, w*0.2, h*0.5, w*0.18, 0)
	}},
}

// drawnPiece draws a piece of the k-th kind.
func drawnPiece(rng *rand.Rand, k int) []geom.Path {
	kind := pieceKinds[k%len(pieceKinds)]
	d := &drafting{sized: 0.9 + 0.2*rng.Float64()}
	kind.draw(d, func() float64 { return 0.88 + 0.24*rng.Float64() })
	return d.edges
}

// ringOf joins edges to an outline.
func ringOf(edges []geom.Path) geom.Ring {
	var r geom.Ring
	for _, e := range edges {
		r = append(r, e...)
	}
	return r
}
