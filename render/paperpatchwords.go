package render

import (
	"math"

	"toile/geom"
)

// nameLabel asks for the name of a strip on the paper to cut out, or on what goes
// where nothing of the strip stays. Its letters may shrink.
func (p patch) nameLabel(name string, now, old geom.Ring, text float64) label {
	l := label{text: name, size: text, bold: true, widest: 40 * text, order: -2, bare: true, least: leastPaperLetters}
	changed := append(append([]geom.Region{}, p.added...), p.removed...)
	switch {
	case len(p.now) > 0:
		l.inside = byArea(p.now)[0].Rings[0]
	case len(changed) > 0:
		l.inside = old
	}
	l.anchor = p.frame.Box().Centre()
	if len(changed) > 0 {
		l.anchor = changed[0].Rings[0].Box().Centre()
		if foot, _ := geom.Path(now).Nearest(l.anchor); len(p.removed) > 0 {
			l.anchor = geom.Path(now).At(foot)
		}
	}
	long := p.frame[0]
	if len(p.frame) > 1 && p.frame[1].Length() > long.Length() {
		long = p.frame[1]
	}
	l.along = long.P3.Sub(long.P0)
	l.outward = l.along.Unit().Left()
	l.spots = p.spots(text)
	return l
}

// mostSpots is how many places of a strip its name is tried at, either way.
const mostSpots = 24

// spots are places spread evenly over a strip, at most mostSpots by mostSpots.
func (p patch) spots(text float64) []geom.Point {
	turn := p.turn()
	b := p.box(turn)
	size := b.Size()
	var out []geom.Point
	across, down := evenly(size.X, math.Max(text, size.X/mostSpots)), evenly(size.Y, math.Max(text, size.Y/mostSpots))
	for _, x := range across {
		for _, y := range down {
			out = append(out, b.Min.Add(geom.Pt(x*size.X, y*size.Y)).Turn(turn))
		}
	}
	return out
}

// atEdge says in words on which edge a strip lies, "" for a place in the middle.
func (w patchwork) atEdge(p patch) string {
	changed := append(append([]geom.Region{}, p.added...), p.removed...)
	if len(changed) == 0 {
		return ""
	}
	at := changed[0].Rings[0].Box().Centre()
	name, least := "", math.Inf(1)
	for k, c := range w.now.Ring {
		edge := w.now.Edge[k]
		if edge < 0 || edge >= len(w.diff.New.Edges) {
			continue
		}
		if _, off := (geom.Path{c}).Nearest(at); off < least {
			name, least = w.diff.New.Edges[edge].Name, off
		}
	}
	if name == "" {
		return ""
	}
	return ", at " + name + w.byCorner(p)
}

// byCorner says by which corner of the cutting line a strip lies that holds one
// alone, so that two strips of one edge can be told apart.
func (w patchwork) byCorner(p patch) string {
	var held []string
	n := len(w.now.Ring)
	for k, c := range w.now.Ring {
		if at := w.now.Edge[k]; at != w.now.Edge[(k+n-1)%n] && p.frame.Holds(c.P0) {
			held = append(held, w.diff.New.CornerName(at))
		}
	}
	if len(held) != 1 {
		return ""
	}
	return ", by the corner " + held[0]
}

// longestOld is the longest curve of the old outline along regions, nil where
// there is none.
func longestOld(regions []geom.Region) *geom.Cubic {
	var found *geom.Cubic
	most := 0.0
	for _, r := range regions {
		for k, side := range r.Sides[0] {
			if c := &r.Rings[0][k]; !side.OfB && c.Length() > most {
				found, most = c, c.Length()
			}
		}
	}
	return found
}
