package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// Options is what a check goes by besides the pattern.
type Options struct {
	// Before is the last version, nil where there is none: it tells which notches
	// a shorter edge lost.
	Before *pattern.Pattern
	// Openings are measures that openings have to have.
	Openings []Opening
	// Carries reports whether `toile alter carry` would bring the change of a
	// piece's edge to another piece; only then is it proposed.
	Carries func(piece, edge, to string) bool
	// ToFit is the command that brings a seam's worst section to what is meant,
	// empty where no single one does.
	ToFit func(seam string) string
	// Smooths is the command that has an edge run on smoothly across the side of its
	// piece, a seam or a fold, so that the bend found at a place is gone; empty where
	// none does.
	Smooths func(where, piece, edge, side string) string
	// Slid says how matched notches of a seam are moved so that all its sections
	// fit, where the whole of it does; empty where that does not do it.
	Slid func(seam string) string
	// Turned asks of a seam with matched notches that does not fit whether it is said
	// upside down, and says what brings it to fit if so; sure where its ends say so
	// too. It is empty where that is not why.
	Turned func(seam string) (question, do string, sure bool)
}

// Run checks a valid pattern. Mismatches come first, then reminders, both in
// the order of the checks. A seam that cannot be walked is an error.
func Run(p *pattern.Pattern, o Options) (change.Findings, error) {
	c := &checker{p: p, options: o, tol: p.Tolerances.Section}
	if err := c.walkAll(); err != nil {
		return change.Findings{}, err
	}
	c.joints = c.junctions()
	for _, look := range []func(){
		c.sections, c.layers, c.bands, c.addingUp, c.smooth, c.square, c.smoothOverDarts,
		c.notchPartners, c.notchCorners, c.notchesLost, c.marksOff, c.dartLegs, c.buttons,
		c.openings, c.unequalAllowances, c.cuttingLines, c.hems, c.cutCounts, c.halves, c.layerSeams, c.roundedEnds,
	} {
		look()
	}
	slices.SortStableFunc(c.found, func(a, b change.Finding) int {
		switch {
		case a.Mismatch == b.Mismatch:
			return 0
		case a.Mismatch:
			return -1
		}
		return 1
	})
	return change.Findings{Findings: append([]change.Finding{}, c.found...)}, nil
}

// checker is a check under way.
type checker struct {
	p       *pattern.Pattern
	options Options
	tol     float64 // mm a section may be out
	walks   []walk  // by seam
	joints  []junction
	found   []change.Finding
	wholes  map[*pattern.Piece]map[edgeRef]int // of outers laid together, which of its edges an edge is
}

// walk is a seam laid out on both sides.
type walk struct {
	seam     *pattern.Seam
	sides    [2]pattern.Walked
	sections []section
}

// section is one section with where it starts on either side, mm.
type section struct {
	pattern.SectionLength
	start    [2]float64
	from, to string // the notches between which it runs
}

// end is where the section ends on a side.
func (s section) end(side int) float64 { return s.start[side] + [2]float64{s.First, s.Second}[side] }

// left is by how much the second side is too long, what is meant left out.
func (s section) left() float64 {
	if s.Gathered {
		return 0
	}
	return s.Left()
}

func (c *checker) walkAll() error {
	for i := range c.p.Seams {
		w := walk{seam: &c.p.Seams[i]}
		lengths, err := c.p.WalkSeam(w.seam)
		if err != nil {
			return err
		}
		if w.sides[0], w.sides[1], err = c.p.WalkChains(w.seam); err != nil {
			return err
		}
		var at [2]float64
		from, last := c.endsOf(w)
		for k, l := range lengths {
			s := section{SectionLength: l, start: at, from: from, to: last}
			if k < len(lengths)-1 {
				s.to = fmt.Sprintf("notch %q", w.seam.Sections[k].First.Notch)
			}
			at, from = [2]float64{at[0] + l.First, at[1] + l.Second}, s.to
			w.sections = append(w.sections, s)
		}
		c.walks = append(c.walks, w)
	}
	return nil
}

// add notes a finding.
func (c *checker) add(f change.Finding) {
	f.MM = change.Figure(f.MM)
	if f.Pieces == nil {
		f.Pieces = []string{}
	}
	c.found = append(c.found, f)
}

// length prints mm in the pattern's unit, without a sign.
func (c *checker) length(mm float64) string { return c.p.Unit.Format(math.Abs(mm)) }

// piece is the piece of that name, nil where there is none.
func (c *checker) piece(name string) *pattern.Piece {
	q, err := c.p.Piece(name)
	if err != nil {
		return nil
	}
	return q
}

// edgeWords names an edge.
func edgeWords(q *pattern.Piece, i int) string { return fmt.Sprintf("%s, %q", q.Name, q.Edges[i].Name) }

// listed joins words as a sentence does.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// with adds a name to a list that does not hold it yet.
func with(names []string, more ...string) []string {
	for _, n := range more {
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return names
}

// places are distances along a line of the length, from end to end, at most
// 5 mm apart and at least 9 of them.
func places(length float64) []float64 {
	n := int(math.Max(8, math.Ceil(length/5)))
	out := make([]float64, n+1)
	for i := range out {
		out[i] = length * float64(i) / float64(n)
	}
	return out
}

// at is a point for a finding.
func at(p geom.Point) *change.XY { return change.At(p) }
