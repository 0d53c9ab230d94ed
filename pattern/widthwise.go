package pattern

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"toile/geom"
)

// Course is how the way in which an edge moves lies to the width of its piece.
type Course int

const (
	// CourseUntold is that of a piece whose width is not known: it has neither a
	// fold nor a grain line, or lies on the bias.
	CourseUntold Course = iota
	// CourseWidth is a move across: what moves so on both sides adds up round.
	CourseWidth
	// CourseLength is a move up or down somewhere, of which nothing adds up round.
	CourseLength
)

// mostAslant is the cosine of the greatest angle, 45°, between a move and the width
// for which it still counts as one in width. It is ours: nearer to across than to along.
const mostAslant = math.Sqrt2 / 2

// Width is the direction, of length 1, in which the width of a piece lies: square to
// the fold of one cut on the fold, whose halves are mirror images in it, else square to
// the grain line. It is not ok of one that has neither, or is cut on the bias.
func (p *Piece) Width() (across geom.Point, ok bool) {
	if p.Cut == CutOnFold {
		for i, e := range p.Edges {
			if path := p.EdgePath(i); e.Fold {
				return path.End().Sub(path.Start()).Unit().Left(), true
			}
		}
	}
	if p.Grain == nil || p.Grain.Bias {
		return geom.Point{}, false
	}
	return p.GrainDirection().Left(), true
}

// CourseOf tells how a line of the piece's sheet that moves square to itself moves:
// in width where it does so everywhere, within 45°.
func (p *Piece) CourseOf(line geom.Path) Course {
	across, ok := p.Width()
	if !ok || len(line) == 0 {
		return CourseUntold
	}
	const places = 16 // of each curve: its direction between two is that of one of them but for a few degrees
	for _, c := range line {
		for k := range places + 1 {
			if math.Abs(c.Tangent(float64(k)/places).Left().Dot(across)) < mostAslant-1e-9 {
				return CourseLength
			}
		}
	}
	return CourseWidth
}

// RoundLimb reports whether a piece goes round an arm and not round the body, or lies
// on top, so that of a pair each counts by itself: a sleeve, which is sewn to itself,
// or what is called a sleeve, a cuff or a pocket; a sleeveless front is none, nor, what
// follows a comma saying which one it is, is "front, pocket side".
func (p *Pattern) RoundLimb(q *Piece) bool {
	if q.Cut == CutOne {
		return false
	}
	name, _, _ := strings.Cut(strings.ToLower(q.Name), ",")
	for _, word := range strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) }) {
		word = strings.TrimSuffix(word, "s")
		if strings.HasSuffix(word, "sleeve") || strings.HasSuffix(word, "cuff") || strings.HasSuffix(word, "pocket") { // an oversleeve too
			return true
		}
	}
	own := func(c Chain) bool { return len(c) == 1 && c[0].Piece == q.Name }
	return q.Cut == CutPair && slices.ContainsFunc(p.Seams, func(s Seam) bool {
		return own(s.First) && own(s.Second) && s.First[0].Edge != s.Second[0].Edge
	})
}

// TimesRound is how often an edge of a piece lies in the garment, or, where the piece
// goes round a limb, in one of a pair: on a piece on the fold and in a pair twice.
func (p *Pattern) TimesRound(q *Piece) int {
	if q.Cut == CutPair && p.RoundLimb(q) {
		return 1
	}
	return q.Cut.Count()
}

// LiesUnder reports whether a piece finishes to an outer, as a lining or a facing does, or
// hangs inside it: what it gains in width the garment does not.
func (p *Pattern) LiesUnder(q *Piece) bool {
	return p.hangsInside(q) || slices.ContainsFunc(p.Layers, func(l Layer) bool { return !l.Band && slices.Contains(l.Inner, q.Name) })
}

// hangsInside reports whether all that sews a piece to others takes up a stretch within
// an edge of theirs alone, which is sewn to something else as well, as the bag of a
// pocket hangs in a side seam.
func (p *Pattern) hangsInside(q *Piece) bool {
	hangs := false
	for _, s := range p.Seams {
		for _, sides := range [2][2]Chain{{s.First, s.Second}, {s.Second, s.First}} {
			if !slices.ContainsFunc(sides[0], func(st Stretch) bool { return st.Piece == q.Name }) {
				continue
			}
			for _, st := range sides[1] {
				if st.Piece == q.Name {
					continue
				}
				if !p.SewnWithin(st) {
					return false
				}
				hangs = true
			}
		}
	}
	return hangs
}

// RoundWords says round what an amount adds up that moves edges of a piece in width:
// the garment, each of a pair that goes round a limb, or, of what lies under an outer,
// only in all.
func (p *Pattern) RoundWords(q *Piece) string {
	switch {
	case p.RoundLimb(q):
		return "at each " + q.Name
	case p.LiesUnder(q):
		return "in all"
	}
	return "round the garment"
}
