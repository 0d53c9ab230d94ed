package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

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
	says, place, along := c.parting(w, s)
	part, spot := w.sides[0].Place(along)
	f.At = at(part.Piece.EdgePath(part.Edge).PointAt(spot))
	if more, do := c.beside(w, s); do != "" {
		f.Says, f.Do = f.Says+more, do
		return f
	}
	f.Says += says
	f.Do = fmt.Sprintf("take %s out of the longer side or let it into the shorter one %s%s, or record it as ease-in with `%s`", c.length(s.left()), place, c.toFit(w, s), c.easeCommand(w, s))
	return f
}

// beside says why a section is out whose matched notches lie beside each other, as the
// seam is said upside down or a notch slid, and what to do; nothing where neither is why.
func (c *checker) beside(w walk, s section) (says, do string) {
	if len(w.sections) < 2 {
		return "", ""
	}
	question, turn, sure := "", "", false
	if c.options.Turned != nil {
		question, turn, sure = c.options.Turned(w.seam.Name)
	}
	if sure {
		return "; " + question, turn
	}
	if c.options.Slid != nil {
		do = c.options.Slid(w.seam.Name)
	}
	ease := fmt.Sprintf("record it as ease-in with `%s`", c.easeCommand(w, s))
	switch {
	case do == "" && turn == "":
		return "", ""
	case do == "":
		return "; " + question, turn + " if so; else " + ease
	case turn == "":
		return besideSays, do + "; else " + ease
	}
	return besideSays + "; " + question, turn + " if so; else " + do + ", or " + ease
}

// besideSays is said of a section that is out while the whole seam fits.
const besideSays = "; the whole seam fits, so that a notch lies beside its partner, as one does that is counted from an end that moved"

// easeCommand records what a section's two sides differ by as ease-in.
func (c *checker) easeCommand(w walk, s section) string {
	number := ""
	if len(w.sections) > 1 {
		number = fmt.Sprintf("%d=", 1+slices.IndexFunc(w.sections, func(o section) bool { return o.Name == s.Name }))
	}
	return fmt.Sprintf("toile seam %q --ease %s%s", w.seam.Name, number, c.p.Unit.Typed(s.Difference()))
}

// toFit names the command that brings a section to what is meant, for a
// sentence, where it is the worst of its seam and one does.
func (c *checker) toFit(w walk, s section) string {
	worst := slices.MaxFunc(w.sections, func(a, b section) int { return cmp.Compare(math.Abs(a.left()), math.Abs(b.left())) })
	if c.options.ToFit == nil || worst.Name != s.Name {
		return ""
	}
	if command := c.options.ToFit(w.seam.Name); command != "" {
		return fmt.Sprintf(" (`%s` does it)", command)
	}
	return ""
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

// parting says where two sides of a section that do not match part: at the end
// at which one was altered since the last version; else where their shapes stop
// running alike, from either end; else, where one end is at the hem, there, for
// one measures down to it. place is that in words, along how far along the first
// chain it is.
func (c *checker) parting(w walk, s section) (says, place string, along float64) {
	first := fmt.Sprintf("; measured from %s the difference lies at %s", s.to, s.from)
	last := fmt.Sprintf("; measured from %s the difference lies at %s", s.from, s.to)
	between := fmt.Sprintf("between %s and %s", s.from, s.to)
	if a, ok := c.altered(w, s); ok {
		switch {
		case a.start && !a.end:
			return first, "at " + s.from, s.start[0]
		case a.end && !a.start:
			return last, "at " + s.to, s.end(0)
		case a.joint != "":
			return "; the difference lies at " + a.joint, "at " + a.joint, a.along
		}
	}
	from, back, short := c.runAlike(w, s)
	wholeFrom, wholeBack := short > 0 && from >= short, short > 0 && back >= short
	hemFirst, hemLast := c.atHem(w, s, true), c.atHem(w, s, false)
	down := hemLast && !hemFirst || hemFirst == hemLast && from >= back
	switch {
	case wholeFrom && !wholeBack:
		return fmt.Sprintf("; laid on each other from %s they run alike, so the difference lies at %s", s.from, s.to), "at " + s.to, s.end(0)
	case wholeBack && !wholeFrom:
		return fmt.Sprintf("; laid on each other from %s they run alike, so the difference lies at %s", s.to, s.from), "at " + s.from, s.start[0]
	case !wholeFrom && from > leastAlike && (down || back <= leastAlike):
		return fmt.Sprintf("; laid on each other from %s they stop matching after %s", s.from, c.length(from)), between, s.start[0] + from
	case !wholeFrom && back > leastAlike:
		return fmt.Sprintf("; laid on each other from %s they stop matching after %s", s.to, c.length(back)), between, s.end(0) - back
	case hemFirst && !hemLast:
		return first, between, s.start[0]
	case hemLast && !hemFirst:
		return last, between, s.end(0)
	}
	return "", between, s.end(0)
}

// runAlike is how far in mm the two sides of a section run alike from its start
// and from its end, and the length of the shorter; 0 where they are no single
// lines.
func (c *checker) runAlike(w walk, s section) (from, back, short float64) {
	a, okA := line(w.sides[0], s.start[0], s.end(0))
	b, okB := line(w.sides[1], s.start[1], s.end(1))
	if !okA || !okB {
		return 0, 0, 0
	}
	return alike(a, b), alike(a.Reverse(), b.Reverse()), math.Min(a.Length(), b.Length())
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
