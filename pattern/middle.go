package pattern

import (
	"math"
	"slices"
	"strings"

	"toile/geom"
)

// middleWithin is how far in mm the corners of a half may lie from their mirror
// images, on average, for the line between them to be the middle of the piece:
// wider than what is averaged of one wearer, narrower than a button stand.
const middleWithin = 12

// openedWithin is the same for the line at which a piece was opened out, which says
// itself that it is the middle: wider than what one side is altered by alone.
const openedWithin = 60

// MiddleLine is the straight reference line of a piece drawn whole in which its halves
// are most nearly alike, such as the fold that it was opened out at; −1 where none is
// its middle.
func (p *Piece) MiddleLine() int {
	best, least := -1, math.Inf(1)
	for k, line := range p.Lines {
		if len(line.Path) != 1 || !line.Path[0].IsStraight(1e-6) {
			continue
		}
		within := float64(middleWithin)
		if p.openedAt(line) {
			within = openedWithin
		}
		mirror, lay := line.Mirror(), 0.0
		for _, c := range p.Corners {
			near, image := math.Inf(1), mirror.Apply(c.At)
			for _, d := range p.Corners {
				near = math.Min(near, image.Dist(d.At))
			}
			lay += near
		}
		if lay < within*float64(len(p.Corners)) && lay < least {
			best, least = k, lay
		}
	}
	return best
}

// Mirror is the mirror in a straight reference line.
func (l ReferenceLine) Mirror() geom.Motion { return geom.MirrorIn(l.Path.Start(), l.Path.End()) }

// OtherHalf begins the names of what is drawn on the other half when a piece is opened
// out at its fold.
const OtherHalf = "other "

// openedAt reports whether a line is the one at which a piece was opened out: edges
// of both halves are named so, and the line alone has no other one.
func (p *Piece) openedAt(line ReferenceLine) bool {
	names := p.EdgeNames()
	halves := slices.ContainsFunc(names, func(name string) bool { return slices.Contains(names, OtherHalf+name) })
	return halves && !strings.HasPrefix(line.Name, OtherHalf) &&
		!slices.ContainsFunc(p.Lines, func(l ReferenceLine) bool { return l.Name == OtherHalf+line.Name })
}

// SaysMiddle reports whether reference line k says of itself that it is the middle of
// the piece: it is called the centre of it, or the piece was opened out at it. Another
// may lie beside the middle, or across it, as it is meant to.
func (p *Piece) SaysMiddle(k int) bool {
	name := strings.ToLower(p.Lines[k].Name)
	return p.openedAt(p.Lines[k]) || slices.ContainsFunc([]string{"centre", "center", "middle"}, func(word string) bool { return strings.Contains(name, word) })
}
