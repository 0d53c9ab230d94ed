package main

import (
	"fmt"

	"toile/pattern"
)

// seamEnd is the outer end of a chain: the edge there and the one that follows
// beyond the corner.
type seamEnd struct {
	piece, beyond string
	hem           bool // what follows is the hem
}

// endsOf tells what follows beyond both ends of a chain, in the order in which
// it is walked: its edges one after the other as they are written, each along its
// outline, or against it where they are walked backwards.
func endsOf(q *pattern.Pattern, c pattern.Chain, backwards bool) (ends [2]seamEnd, ok bool) {
	for k, s := range [2]pattern.Stretch{c[0], c[len(c)-1]} {
		p, err := q.Piece(s.Piece)
		if err != nil {
			return ends, false
		}
		i, err := p.EdgeIndex(s.Edge)
		if err != nil {
			return ends, false
		}
		n := len(p.Edges)
		beyond := (i + 1) % n
		if (k == 0) != (s.Turned != backwards) { // the chain's end here is the edge's start
			beyond = (i + n - 1) % n
		}
		ends[k] = seamEnd{p.Name, p.Edges[beyond].Name, beyond == p.HemEdge()}
	}
	return ends, true
}

// meetingWords says which ends of a seam meet, and asks whether it is upside down.
func (o *opened) meetingWords(s *pattern.Seam) []string {
	first, ok := endsOf(o.Pattern, s.First, false)
	second, okToo := endsOf(o.Pattern, s.Second, !s.SameWay)
	if !ok || !okToo {
		return nil
	}
	words := []string{fmt.Sprintf("it is sewn with %s and %s", meetAt(first[0], second[0]), meetAt(first[1], second[1]))}
	if question := crossedWords(o.Pattern, s); question != "" {
		words = append(words, question)
	}
	return words
}

// crossedWords asks whether a piece is upside down where the hem of one meets
// something else on the other although that has its hem at the seam's other end, or
// where the edges beyond have the same names crosswise; empty where neither is so.
func crossedWords(p *pattern.Pattern, s *pattern.Seam) string {
	first, ok := endsOf(p, s.First, false)
	second, okToo := endsOf(p, s.Second, !s.SameWay)
	turned, okTurned := endsOf(p, s.Second, s.SameWay)
	crossed := first[0].hem != second[0].hem && first[1].hem != second[1].hem && first[0].hem != first[1].hem
	swapped := first[0].beyond == second[1].beyond && first[1].beyond == second[0].beyond && first[0].beyond != first[1].beyond
	if !ok || !okToo || !okTurned || !crossed && !swapped {
		return ""
	}
	way := "with"
	if s.SameWay {
		way = "without"
	}
	return fmt.Sprintf("is one of them upside down? %s --same-way it is sewn with %s and %s",
		way, meetAt(first[0], turned[0]), meetAt(first[1], turned[1]))
}

// meetAt names the edges that come together at an end of a seam.
func meetAt(a, b seamEnd) string {
	if a.beyond == b.beyond {
		return fmt.Sprintf("both %q together", a.beyond)
	}
	return fmt.Sprintf("%s's %q at %s's %q", a.piece, a.beyond, b.piece, b.beyond)
}

// foldWords warns of a fold in the middle of a chain: at a fold an edge runs on
// into its own mirror image, so that a chain that goes on with another piece there
// is in the wrong order, or its edge the wrong way round. Both halves named one after the
// other are as they should be.
func (o *opened) foldWords(s *pattern.Seam) []string {
	var words []string
	for second, c := range []pattern.Chain{s.First, s.Second} {
		for k, st := range c {
			p, err := o.Piece(st.Piece)
			if err != nil || !st.Whole() {
				continue
			}
			ends, ok := endsOf(o.Pattern, pattern.Chain{st}, second == 1 && !s.SameWay)
			for side, inside := range [2]bool{k > 0, k < len(c)-1} {
				if i, err := p.EdgeIndex(ends[side].beyond); ok && inside && err == nil && p.Edges[i].Fold {
					other := c[k-1+2*side]
					if other.Piece == st.Piece && other.Edge == st.Edge && other.Turned != st.Turned {
						continue // both halves, one after the other
					}
					words = append(words, fmt.Sprintf("%s/%s meets %s/%s at the fold %q of %s: is the order right? at a fold a chain begins or ends",
						st.Piece, st.Edge, other.Piece, other.Edge, p.Edges[i].Name, p.Name))
				}
			}
		}
	}
	return words
}
