package pattern

import (
	"fmt"
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

// Chain is a run of stretches sewn as one.
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

// ParseChain reads PIECE/EDGE[+PIECE/EDGE…]; the edge is a name or a number,
// ":turned" behind it has it walked the other way than the rest.
// Every piece and edge must exist.
func (p *Pattern) ParseChain(text string) (Chain, error) {
	var chain Chain
	for _, part := range strings.Split(text, "+") {
		piece, edge, ok := strings.Cut(strings.TrimSpace(part), "/")
		if !ok {
			return nil, fmt.Errorf("%q does not name an edge; write PIECE/EDGE, as in \"front/side seam\"", part)
		}
		q, err := p.Piece(strings.TrimSpace(piece))
		if err != nil {
			return nil, err
		}
		edge, turned := strings.CutSuffix(strings.TrimSpace(edge), turnedSuffix)
		i, err := q.EdgeIndex(strings.TrimSpace(edge))
		if err != nil {
			return nil, err
		}
		chain = append(chain, Stretch{Piece: q.Name, Edge: q.Edges[i].Name, Turned: turned})
	}
	return chain, nil
}

// Layer says that inner pieces finish to the size of an outer one.
type Layer struct {
	Outer       string
	Inner       []string
	Differences []Difference
}

// Difference is a declared departure of a layer from its outer: a back pleat,
// a shorter hem, the turn of cloth.
type Difference struct {
	What string
	By   float64 // mm, positive when the inner piece is larger
}

func (l Layer) clone() Layer {
	l.Inner = append([]string(nil), l.Inner...)
	l.Differences = append([]Difference(nil), l.Differences...)
	return l
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
// and the seams that name it.
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
	for s := range p.Seams {
		for _, chain := range []Chain{p.Seams[s].First, p.Seams[s].Second} {
			for k := range chain {
				if chain[k].Piece == q.Name && chain[k].Edge == old {
					chain[k].Edge = name
				}
			}
		}
	}
}
