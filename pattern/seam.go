package pattern

import (
	"fmt"
	"slices"
	"strings"
)

// Stretch is a run of one edge: From and To are mm along the edge from its
// start to its sharp corners; To 0 means the edge's end. A turned stretch is
// walked the other way than its chain, as where a piece is sewn in mirrored.
type Stretch struct {
	Piece, Edge string
	From, To    float64
	Turned      bool
}

// Whole reports whether the stretch is the whole edge.
func (s Stretch) Whole() bool { return s.From == 0 && s.To == 0 }

// leastBeside in mm is how much of its edge a stretch has to leave at an end for the
// edge to run on there: less is a traced corner that was missed.
const leastBeside = 1

// Within reports whether the stretch reaches to neither end of its edge, which is one of
// that piece.
func (s Stretch) Within(q *Piece) bool {
	i, err := q.EdgeIndex(s.Edge)
	return err == nil && s.From > leastBeside && s.To > 0 && s.To < q.EdgePath(i).Length()-leastBeside
}

// turnedSuffix marks a turned stretch where a chain is typed.
const turnedSuffix = ":turned"

// String prints PIECE/EDGE, with ":turned" behind a turned stretch.
func (s Stretch) String() string {
	text := s.Piece + "/" + s.Edge
	if s.Turned {
		text += turnedSuffix
	}
	return text
}

// Chain is a run of stretches sewn as one, in sewing order.
type Chain []Stretch

// String prints the chain as it is typed: PIECE/EDGE+PIECE/EDGE.
func (c Chain) String() string {
	parts := make([]string, len(c))
	for i, s := range c {
		parts[i] = s.String()
	}
	return strings.Join(parts, "+")
}

// NotchRef names a notch of a piece.
type NotchRef struct{ Piece, Notch string }

// Section is a part of a seam between two matched notches, in sewing order
// from the first chain's start. The last section runs to the end and has no
// notches.
type Section struct {
	First, Second NotchRef // where the section ends on either chain; empty at the last
	Ease          float64  // mm by which the second chain is longer there, meant to be eased in; may be negative
	Gathered      bool     // the longer side is gathered: any difference in its favour is meant
}

// Opening is a part of a seam that is left open, mm along the first chain.
type Opening struct {
	Name     string
	From, To float64
	Least    float64 // mm that it has to measure at least, 0 when nothing is asked
}

// Seam sews one chain to another, opposite ways unless SameWay.
type Seam struct {
	Name          string
	First, Second Chain
	SameWay       bool
	Sections      []Section
	Openings      []Opening
	Finish        string // lapped, felled, bound…; explains unequal allowances
}

func (s Seam) clone() Seam {
	s.First = append(Chain(nil), s.First...)
	s.Second = append(Chain(nil), s.Second...)
	s.Sections = append([]Section(nil), s.Sections...)
	s.Openings = append([]Opening(nil), s.Openings...)
	return s
}

// ValidateSeam checks that what a seam names exists, that its stretches lie on
// their edges, its sections end at notches of both chains in sewing order, the
// last at the seam's end, and its openings lie on the first chain.
func (p *Pattern) ValidateSeam(s *Seam) error {
	if _, err := p.seamProblem(s); err != nil {
		return fmt.Errorf("seam %q: %w", s.Name, err)
	}
	return nil
}

// seamProblem returns the first thing that is wrong with a seam, and which
// key or entry of its file holds it.
func (p *Pattern) seamProblem(s *Seam) (key string, err error) {
	for _, side := range []struct {
		key   string
		chain Chain
	}{{"first", s.First}, {"second", s.Second}} {
		if len(side.chain) == 0 {
			return side.key, fmt.Errorf("it takes at least one edge on each side")
		}
		for k, st := range side.chain {
			if err := p.checkStretch(st); err != nil {
				return entry(side.key, k), err
			}
		}
	}
	first, err := p.walkChain(s.First, false)
	if err != nil {
		return "first", err
	}
	second, err := p.walkChain(s.Second, !s.SameWay)
	if err != nil {
		return "second", err
	}
	if k, err := p.checkSections(s.Sections, first, second); err != nil {
		return entry("sections", k), err
	}
	names := map[string]bool{}
	for k, o := range s.Openings {
		switch {
		case names[o.Name]:
			return entry("openings", k), fmt.Errorf("two openings bear the name %q; rename one", o.Name)
		case !(o.From >= 0 && o.To > o.From && o.To <= first.Length+alongEdge):
			return entry("openings", k), fmt.Errorf("the opening %q from %s to %s mm does not lie on %s, which is %s mm long; move it with `toile seam %q --open \"%s=FROM:TO\"`, or take it away with `--open \"%s=\"`",
				o.Name, number(o.From), number(o.To), s.First, number(first.Length), s.Name, o.Name, o.Name)
		case !(o.Least >= 0 && o.Least <= maxCoordinate):
			return entry("openings", k), fmt.Errorf("the opening %q is to measure at least %s mm; give 0 or more", o.Name, number(o.Least))
		}
		names[o.Name] = true
	}
	return "", nil
}

func (p *Pattern) checkStretch(st Stretch) error {
	q, err := p.Piece(st.Piece)
	if err != nil {
		return err
	}
	i, ok := q.edgeNamed(st.Edge)
	if !ok {
		return fmt.Errorf("%s has no edge %q; its edges are %s", q.Name, st.Edge, quoteList(q.EdgeNames()))
	}
	if q.Edges[i].Fold {
		return fmt.Errorf("%s is a fold; a fold is not sewn", st)
	}
	length := q.EdgePath(i).Length()
	to := st.To
	if to == 0 {
		to = length
	}
	if !(st.From >= 0 && to > st.From && to <= length+alongEdge) {
		return fmt.Errorf("the stretch from %s to %s mm does not lie on %s, which is %s mm long", number(st.From), number(to), st, number(length))
	}
	return nil
}

// checkSections returns the first section that is wrong.
func (p *Pattern) checkSections(sections []Section, first, second Walked) (int, error) {
	var before [2]float64
	for k, c := range sections {
		last, ends := k == len(sections)-1, c.First.Piece != "" || c.Second.Piece != ""
		switch {
		case last && ends:
			return k, fmt.Errorf("the last section runs to the end of the seam and has no notches; add one without")
		case !last && !ends:
			return k, fmt.Errorf("every section but the last ends at a pair of notches (to: {first: [PIECE, NOTCH], second: [PIECE, NOTCH]})")
		case last:
			continue
		}
		a, err := first.notch(p, c.First)
		if err != nil {
			return k, err
		}
		b, err := second.notch(p, c.Second)
		if err != nil {
			return k, err
		}
		if k > 0 && (a <= before[0] || b <= before[1]) {
			return k, fmt.Errorf("the notches %q and %q do not come behind those of the section before; list the sections in sewing order", c.First.Notch, c.Second.Notch)
		}
		before = [2]float64{a, b}
	}
	return 0, nil
}

// Layer says that inner pieces finish to the size of an outer one: each lies
// along its edges, and those of one layer lie side by side.
type Layer struct {
	Outer       string
	Inner       []string
	Band        bool // the inner pieces follow in length alone: a waistband, a collar, a binding
	Differences []Difference
}

// Difference is a declared departure of a layer from its outer: a back pleat,
// a shorter hem, the turn of cloth.
type Difference struct {
	What  string
	By    float64 // mm, positive when the inner piece is larger
	Piece string  // the inner piece that differs; all of them when empty
	Edge  string  // the outer's edge that it departs from, moved by By as EdgeMoved says; none said when empty
}

func (l Layer) clone() Layer {
	l.Inner = append([]string(nil), l.Inner...)
	l.Differences = append([]Difference(nil), l.Differences...)
	return l
}

// InnerOfTwo yields each inner piece that lies in the layers of two outers, which are
// no bands, with both layers: the piece lies across the seam of those outers.
func (p *Pattern) InnerOfTwo(yield func(a, b Layer, inner string)) {
	for i, a := range p.Layers {
		for _, b := range p.Layers[i+1:] {
			if a.Band || b.Band || a.Outer == b.Outer {
				continue
			}
			for _, name := range a.Inner {
				if slices.Contains(b.Inner, name) {
					yield(a, b, name)
				}
			}
		}
	}
}

// SeamsOf returns the seams that use the edge, with its piece and name.
func (p *Pattern) SeamsOf(piece, edge string) []*Seam {
	var found []*Seam
	for i := range p.Seams {
		s := &p.Seams[i]
		for _, c := range []Chain{s.First, s.Second} {
			for _, st := range c {
				if st.Piece == piece && (edge == "" || st.Edge == edge) {
					found = append(found, s)
				}
			}
		}
	}
	return found
}

// RenameEdge renames an edge everywhere: in its piece, its notches and marks,
// and the seams, layers and notes that name it.
func (p *Pattern) RenameEdge(q *Piece, i int, name string) {
	old := q.Edges[i].Name
	q.Edges[i].Name = name
	for k := range q.Notches {
		if q.Notches[k].Edge == old {
			q.Notches[k].Edge = name
		}
	}
	for k := range q.Marks {
		if q.Marks[k].Edge == old {
			q.Marks[k].Edge = name
		}
	}
	for _, f := range p.Fittings {
		for k, n := range f.Notes {
			if n.Piece == q.Name && n.Edge == old {
				f.Notes[k].Edge = name
			}
		}
	}
	p.EachStretch(func(st *Stretch) {
		if st.Piece == q.Name && st.Edge == old {
			st.Edge = name
		}
	})
	for _, l := range p.Layers {
		for k := range l.Differences {
			if l.Outer == q.Name && l.Differences[k].Edge == old {
				l.Differences[k].Edge = name
			}
		}
	}
}

// EachStretch visits every stretch of an edge that seams name.
func (p *Pattern) EachStretch(visit func(*Stretch)) {
	for i := range p.Seams {
		for _, chain := range []Chain{p.Seams[i].First, p.Seams[i].Second} {
			for k := range chain {
				visit(&chain[k])
			}
		}
	}
}

// SewnWithin reports whether a stretch reaches to neither end of its edge and that is
// sewn in another seam as well, as where the bag of a pocket hangs in a side seam.
func (p *Pattern) SewnWithin(st Stretch) bool {
	q, err := p.Piece(st.Piece)
	return err == nil && st.Within(q) && len(p.SeamsOf(st.Piece, st.Edge)) > 1
}
