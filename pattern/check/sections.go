package check

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// sections finds the seam sections whose two sides differ by more than their
// ease-in and the tolerance. Each is judged by itself.
func (c *checker) sections() {
	for _, w := range c.walks {
		for _, s := range w.sections {
			if math.Abs(s.left()) > c.tol {
				c.add(c.sectionOff(w, s))
			}
		}
	}
}

func (c *checker) sectionOff(w walk, s section) change.Finding {
	f := change.Finding{Kind: change.SeamSection, Mismatch: true, Seam: w.seam.Name, Section: s.Name, MM: s.left()}
	if c.bandSeam(w) {
		f.Kind = change.BandOff
	}
	f.Where = fmt.Sprintf("seam %q", w.seam.Name)
	if len(w.sections) > 1 {
		f.Where += ", " + s.Name
	}
	var words [2]string
	for side := range words {
		words[side], f.Pieces = sideWords(w.sides[side], s.start[side], s.end(side), f.Pieces)
	}
	more := "longer"
	if s.left() < 0 {
		more = "shorter"
	}
	f.Says = fmt.Sprintf("%s is %s %s than %s there: %s against %s", words[1], c.length(s.left()), more, words[0], c.length(s.Second), c.length(s.First))
	if s.Ease != 0 {
		f.Says = fmt.Sprintf("%s is %s too %s for %s there: %s against %s, with %s of ease-in meant", words[1], c.length(s.left()),
			map[bool]string{true: "short", false: "long"}[s.left() < 0], words[0], c.length(s.Second), c.length(s.First), c.p.Unit.Format(s.Ease))
	}
	says, along := c.parting(w, s)
	f.Says += says
	part, place := w.sides[0].Place(along)
	f.At = at(part.Piece.EdgePath(part.Edge).PointAt(place))
	f.Do = fmt.Sprintf("take %s out of the longer side or let it into the shorter one between %s and %s, or record it as ease-in with `toile seam`", c.length(s.left()), s.from, s.to)
	return f
}

// sideWords names the stretches of one side between two distances, and adds
// their pieces.
func sideWords(w pattern.Walked, from, to float64, pieces []string) (string, []string) {
	var words []string
	for _, part := range w.Parts {
		if math.Min(to, part.Offset+part.Length())-math.Max(from, part.Offset) > 0.01 || (to-from < 0.01 && len(w.Parts) == 1) {
			words, pieces = with(words, edgeWords(part.Piece, part.Edge)), with(pieces, part.Piece.Name)
		}
	}
	if len(words) == 0 {
		words = []string{"nothing"}
	}
	return listed(words), pieces
}

// leastAlike is the length in mm over which two sides have to run alike for it
// to be told where they part, and sameShape how far in mm they may then be from
// each other: far less than the tolerance, or a head and an armhole, which are
// not alike, would seem so for a while.
const (
	leastAlike = 20
	sameShape  = 0.1
)

// parting says where two sides of a section that do not match stop running
// alike, from either end, where their shapes tell; and how far along the first
// chain that is, else where the section ends.
func (c *checker) parting(w walk, s section) (says string, along float64) {
	a, okA := line(w.sides[0], s.start[0], s.end(0))
	b, okB := line(w.sides[1], s.start[1], s.end(1))
	if !okA || !okB {
		return "", s.end(0)
	}
	short := math.Min(a.Length(), b.Length())
	from, back := alike(a, b), alike(a.Reverse(), b.Reverse())
	wholeFrom, wholeBack := from >= short, back >= short
	switch {
	case wholeFrom && !wholeBack:
		return fmt.Sprintf("; laid on each other from %s they run alike, so the difference lies at %s", s.from, s.to), s.end(0)
	case wholeBack && !wholeFrom:
		return fmt.Sprintf("; laid on each other from %s they run alike, so the difference lies at %s", s.to, s.from), s.start[0]
	case !wholeFrom && from >= back && from > leastAlike:
		return fmt.Sprintf("; laid on each other from %s they stop matching after %s", s.from, c.length(from)), s.start[0] + from
	case !wholeFrom && back > leastAlike:
		return fmt.Sprintf("; laid on each other from %s they stop matching after %s", s.to, c.length(back)), s.end(0) - back
	}
	return "", s.end(0)
}

// line is one side of a section as a path in sewing order, where it lies on one
// edge and nothing is folded out of it.
func line(w pattern.Walked, from, to float64) (geom.Path, bool) {
	if to-from < 1 {
		return nil, false
	}
	first, a := w.Place(from + 1e-6)
	last, b := w.Place(to - 1e-6)
	if first.Piece != last.Piece || first.Edge != last.Edge || first.Offset != last.Offset || math.Abs(math.Abs(b-a)-(to-from)) > 0.01 {
		return nil, false
	}
	path := first.Piece.EdgePath(first.Edge).BetweenLengths(math.Min(a, b), math.Max(a, b))
	if first.Backwards {
		path = path.Reverse()
	}
	return path, true
}

// alike is how far in mm two lines run alike from their starts, one laid on the
// other as it is or turned over.
func alike(a, b geom.Path) float64 { return math.Max(alikeAs(a, b, false), alikeAs(a, b, true)) }

func alikeAs(a, b geom.Path, mirror bool) float64 {
	m := onto(b.Start(), b.StartTangent(), a.Start(), a.StartTangent(), mirror)
	laid := b.Moved(m)
	short := math.Min(a.Length(), b.Length())
	last := 0.0
	for _, d := range places(short) {
		if a.PointAt(d).Dist(laid.PointAt(d)) > sameShape {
			return last
		}
		last = d
	}
	return short
}

// onto is the motion that takes a point with a direction onto another.
func onto(from, way, to, towards geom.Point, mirror bool) geom.Motion {
	m := geom.Motion{Mirror: mirror}
	m.Turn = towards.Angle() - m.ApplyVector(way).Angle()
	m.Shift = to.Sub(m.Apply(from))
	return m
}
