package main

import (
	"errors"
	"math"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// mostTried is how many changes are tried before one is named that can be
// carried.
const mostTried = 4

// adviseCarry names a change that can be carried, or says that they are to be
// made by hand.
func (o *opened) adviseCarry(all []change.NotFollowed, after *pattern.Pattern) {
	for _, n := range all[:min(mostTried, len(all))] {
		n = o.ofOuter(after, all, n)
		if piece, edge, _ := strings.Cut(n.Of, "/"); o.canCarry(after, piece, edge, n.Piece) {
			o.advise("A change is brought to what follows with `toile alter carry`, for instance: toile alter carry %q %q --to %q", piece, edge, n.Piece)
			return
		}
	}
	for _, n := range all[:min(mostTried, len(all))] { // a hem may have moved with what changed
		piece, _, _ := strings.Cut(n.Of, "/")
		if q, err := after.Piece(piece); err == nil && n.Edge == "" {
			if hem := q.Edges[q.HemEdge()].Name; o.canCarry(after, piece, hem, n.Piece) {
				o.advise("A change is brought to what follows with `toile alter carry`, for instance: toile alter carry %q %q --to %q", piece, hem, n.Piece)
				return
			}
		}
	}
	if o.adviseHalf(all, after) {
		return
	}
	toFit := o.toFit(after, all)
	for _, n := range all {
		if !n.Mismatch {
			continue
		}
		for _, s := range after.SeamsOf(n.Piece, n.Edge) {
			if command := toFit(s.Name); command != "" {
				none := "None of these can be brought over by `toile alter carry`; "
				if strings.HasPrefix(command, "toile alter carry ") {
					none = ""
				}
				o.advise("%s`%s` brings seam %q to fit again.", none, command, s.Name)
				return
			}
		}
	}
	o.advise("None of these can be brought over by `toile alter carry`: alter by hand what follows, or look with `toile check` how far it is out.")
}

// adviseHalf says how what one half alone was given comes to a piece on the fold, where
// that is what keeps it from being carried.
func (o *opened) adviseHalf(all []change.NotFollowed, after *pattern.Pattern) bool {
	for _, n := range all[:min(mostTried, len(all))] {
		piece, edge, _ := strings.Cut(n.Of, "/")
		_, err := o.make(after, alter.Recipe{Kind: "carry", Piece: piece, Values: map[string]string{"edge": edge, "to": n.Piece}})
		if half := (*alter.OneHalfError)(nil); errors.As(err, &half) {
			o.advise("%s is cut on the fold and follows on one half alone: draw it whole with %s.", half.Half, half.Steps())
			return true
		}
	}
	return false
}

// canCarry reports whether `toile alter carry` brings a change of an edge to a
// piece, and that changes something.
func (o *opened) canCarry(p *pattern.Pattern, piece, edge, to string) bool {
	result, err := o.make(p, alter.Recipe{Kind: "carry", Piece: piece, Values: map[string]string{"edge": edge, "to": to}})
	if err != nil {
		return false
	}
	same, err := o.samePattern(p, result.Pattern)
	return err == nil && !same
}

// carries tells of the working pattern what can be carried; of much that has not
// followed it tries the first few only and says no to the rest.
func (o *opened) carries() func(piece, edge, to string) bool {
	tried := map[[3]string]bool{}
	return func(piece, edge, to string) bool {
		key := [3]string{piece, edge, to}
		can, known := tried[key]
		if !known && len(tried) < 2*mostTried {
			can = o.canCarry(o.Pattern, piece, edge, to)
			tried[key] = can
		}
		return can
	}
}

// toFit tells of the seams of a pattern which command brings the worst section
// to what is meant, on the side that did not follow where one is told, else on
// the one that was altered longer ago: a change of the other side is carried
// where that does it. Of many it tries the first few only.
func (o *opened) toFit(p *pattern.Pattern, notFollowed []change.NotFollowed) func(seam string) string {
	tried, fine := 0, noWorse(p)
	return func(seam string) string {
		i := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == seam })
		if tried++; i < 0 || tried > 2*mostTried {
			return ""
		}
		s := &p.Seams[i]
		for _, n := range notFollowed { // what can be carried is told as that
			of, edge, _ := strings.Cut(n.Of, "/")
			if n.Why == change.LiesAcross && inSeam(s, n.Piece) && inSeam(s, of) {
				return "" // it lacks something in its middle, which no end makes good
			}
			if n.Edge != "" && o.sewnIn(p, seam, n) && o.canCarry(p, of, edge, n.Piece) {
				return ""
			}
		}
		lagging := o.laggingSides(p, s, notFollowed)
		if command := o.carryToFit(p, s, lagging); command != "" {
			return command
		}
		r, ok := alter.ToFit(p, s, fine, lagging...)
		if !ok {
			return ""
		}
		return "toile alter " + alter.Typed(r)
	}
}

// laggingSides are the sides of a seam that are to be altered for it to fit:
// the one that did not follow a change, 0 for the first chain. Where that cannot
// be told it is either.
func (o *opened) laggingSides(p *pattern.Pattern, s *pattern.Seam, notFollowed []change.NotFollowed) []int {
	for side, c := range [2]pattern.Chain{s.First, s.Second} {
		if slices.ContainsFunc(notFollowed, func(n change.NotFollowed) bool { return o.sewnIn(p, s.Name, n) && inChain(c, n.Piece, n.Edge) }) {
			return []int{side}
		}
	}
	either := []int{1, 0}
	l, err := o.lookBack(p)
	if err != nil {
		return either
	}
	latest := func(c pattern.Chain) int {
		at := math.MaxInt
		for _, st := range c {
			q, err := p.Piece(st.Piece)
			if err != nil {
				continue
			}
			if steps, err := l.steps(q, st.Edge); err == nil && len(steps) > 0 {
				at = min(at, steps[0].at)
			}
		}
		return at
	}
	switch first, second := latest(s.First), latest(s.Second); {
	case first < second:
		return []int{1}
	case second < first:
		return []int{0}
	}
	return either
}

// inSeam reports whether a seam has an edge of a piece.
func inSeam(s *pattern.Seam, piece string) bool {
	return slices.ContainsFunc(slices.Concat(s.First, s.Second), func(st pattern.Stretch) bool { return st.Piece == piece })
}

// inChain reports whether a chain holds an edge.
func inChain(c pattern.Chain, piece, edge string) bool {
	return slices.ContainsFunc(c, func(s pattern.Stretch) bool { return s.Piece == piece && s.Edge == edge })
}
