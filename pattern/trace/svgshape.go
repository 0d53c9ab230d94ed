package trace

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"toile/geom"
)

// geometry reads the lengths of a basic shape.
type geometry struct {
	n    *node
	view viewport
	err  error
}

// across, down and about give a length along x, along y, or of neither, in
// user units; absent ones are 0. The first error is kept.
func (g *geometry) across(name string) float64 { return g.get(name, g.view.size.X) }
func (g *geometry) down(name string) float64   { return g.get(name, g.view.size.Y) }
func (g *geometry) about(name string) float64 {
	return g.get(name, g.view.size.Len()/math.Sqrt2) // CSS: a percentage of the diagonal
}

func (g *geometry) get(name string, whole float64) float64 {
	s := strings.TrimSpace(g.n.geometryAttr(name))
	if s == "" || s == "auto" {
		return 0
	}
	l, err := parseLength(s)
	if err == nil && l.percent && !g.view.known {
		err = errors.New("per cent of a size the file does not tell; give width, height or a viewBox")
	}
	if err != nil && g.err == nil {
		g.err = fmt.Errorf("%s: %w", name, err)
	}
	return l.of(whole)
}

// size is a width, height or radius: not negative.
func (g *geometry) size(name string, v float64) float64 {
	if v < 0 && g.err == nil {
		g.err = fmt.Errorf("%s %s must not be negative", name, quote(g.n.geometryAttr(name)))
	}
	return v
}

// readShape draws a path or basic shape as the path that SVG 2, chapter 10,
// gives for it: same start, same direction.
func readShape(n *node, m matrix, view viewport, b *budget) ([]subpath, error) {
	if n.name == "path" {
		return readPath(n.attr("d"), m, b)
	}
	g, p := &geometry{n: n, view: view}, &pen{m: m, budget: b}
	var err error
	switch n.name {
	case "rect":
		err = drawRect(g, p)
	case "circle", "ellipse":
		err = drawEllipse(g, p)
	case "line":
		err = drawLine(g, p)
	case "polyline", "polygon":
		err = drawPoints(g, p)
	}
	if g.err != nil {
		err = g.err
	}
	return p.subs, err
}

func drawRect(g *geometry, p *pen) error {
	x, y := g.across("x"), g.down("y")
	w, h := g.size("width", g.across("width")), g.size("height", g.down("height"))
	rx, ry := g.radii()
	if g.err != nil || w == 0 || h == 0 {
		return g.err
	}
	rx, ry = math.Min(rx, w/2), math.Min(ry, h/2)
	p.moveTo(geom.Pt(x+rx, y))
	corners := [4][2]geom.Point{ // where each side ends, and the rounding after it
		{geom.Pt(x+w-rx, y), geom.Pt(x+w, y+ry)},
		{geom.Pt(x+w, y+h-ry), geom.Pt(x+w-rx, y+h)},
		{geom.Pt(x+rx, y+h), geom.Pt(x, y+h-ry)},
		{geom.Pt(x, y+ry), geom.Pt(x+rx, y)},
	}
	for _, c := range corners {
		if c[0] != p.at {
			if err := p.lineTo(c[0]); err != nil {
				return err
			}
		}
		if err := p.arcTo(rx, ry, 0, false, true, c[1]); err != nil {
			return err
		}
	}
	p.close()
	return nil
}

// radii gives rx and ry; an automatic one equals the other.
func (g *geometry) radii() (rx, ry float64) {
	auto := func(name string) bool {
		s := strings.TrimSpace(g.n.geometryAttr(name))
		return s == "" || s == "auto"
	}
	rx, ry = g.size("rx", g.across("rx")), g.size("ry", g.down("ry"))
	switch {
	case auto("rx"):
		rx = ry
	case auto("ry"):
		ry = rx
	}
	return rx, ry
}

func drawEllipse(g *geometry, p *pen) error {
	cx, cy := g.across("cx"), g.down("cy")
	var rx, ry float64
	if g.n.name == "circle" {
		rx = g.size("r", g.about("r"))
		ry = rx
	} else {
		rx, ry = g.radii()
	}
	if g.err != nil || rx == 0 || ry == 0 {
		return g.err
	}
	p.moveTo(geom.Pt(cx+rx, cy))
	for _, q := range []geom.Point{
		geom.Pt(cx, cy+ry), geom.Pt(cx-rx, cy), geom.Pt(cx, cy-ry), geom.Pt(cx+rx, cy),
	} {
		if err := p.arcTo(rx, ry, 0, false, true, q); err != nil {
			return err
		}
	}
	p.close()
	return nil
}

func drawLine(g *geometry, p *pen) error {
	from := geom.Pt(g.across("x1"), g.down("y1"))
	to := geom.Pt(g.across("x2"), g.down("y2"))
	if g.err != nil {
		return g.err
	}
	p.moveTo(from)
	return p.lineTo(to)
}

func drawPoints(g *geometry, p *pen) error {
	s := g.n.attr("points")
	if err := p.budget.text(len(s)); err != nil {
		return err
	}
	v, err := numberList(s)
	if err == nil && len(v)%2 != 0 {
		err = fmt.Errorf("%d numbers, so the last point has no second coordinate", len(v))
	}
	if err != nil {
		return fmt.Errorf("points: %w", err)
	}
	for i := 0; i < len(v); i += 2 {
		q := geom.Pt(v[i], v[i+1])
		if i == 0 {
			p.moveTo(q)
		} else if err := p.lineTo(q); err != nil {
			return err
		}
	}
	if g.n.name == "polygon" {
		p.close()
	}
	return nil
}
