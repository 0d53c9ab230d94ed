package alter

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/pattern"
)

// Stop is a notch that marks an end of a seam's opening.
type Stop struct {
	Piece *pattern.Piece
	Notch int  // of the piece
	Last  bool // it marks the end of the opening, not its beginning

	start, length float64 // mm from the seam's start, and of the seam on that side
	endAtEnd      bool    // the seam ends at the end of the edge, not at its start
}

// fromEnd is how far from the seam's end it lies, mm.
func (s Stop) fromEnd() float64 { return s.length - s.start }

// count has the notch counted from the seam's end, or from its start, by mm.
func (s Stop) count(seamEnd bool, by float64) {
	n := &s.Piece.Notches[s.Notch]
	n.At, n.FromEnd = roundTo(by), seamEnd == s.endAtEnd
}

// stopWithin is how near in mm to an end of its opening a notch lies that marks it.
const stopWithin = 0.1

// Stops lists the notches that mark the ends of an opening on both edges of a seam that
// sews one whole edge to another: those called as split calls them, which lie there.
// Other seams have none.
func Stops(p *pattern.Pattern, seam *pattern.Seam, o pattern.Opening) []Stop {
	return slices.DeleteFunc(stopsAlong(p, seam, o), func(s Stop) bool {
		return !stopNamed(s.Piece.Notches[s.Notch].Name, o.Name)
	})
}

// stopsAt lists these, and notches of any name that lie at the ends of the opening,
// measured from either end of the seam: of two sides that are to be cut alike one may
// have been cut already.
func stopsAt(p *pattern.Pattern, seam *pattern.Seam, o pattern.Opening) []Stop {
	then, _, err := p.WalkChains(seam)
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(stopsAlong(p, seam, o), func(s Stop) bool {
		end := o.From
		if s.Last {
			end = o.To
		}
		lies := math.Abs(s.start-end) <= stopWithin || math.Abs(s.fromEnd()-(then.Length-end)) <= stopWithin
		return !lies && !stopNamed(s.Piece.Notches[s.Notch].Name, o.Name)
	})
}

// stopsAlong lists all notches on both edges of a seam that sews one whole edge to
// another, each with the end of the opening that it lies nearer to.
func stopsAlong(p *pattern.Pattern, seam *pattern.Seam, o pattern.Opening) (all []Stop) {
	walked, _, errWalk := p.WalkChains(seam)
	for side, c := range [2]pattern.Chain{seam.First, seam.Second} {
		if len(c) != 1 || !c[0].Whole() || errWalk != nil {
			continue
		}
		q, i, ok := edgeOf(p, c[0])
		if !ok {
			continue
		}
		forward := (side == 0 || seam.SameWay) != c[0].Turned
		length := q.EdgePath(i).Length()
		for k, n := range q.Notches {
			if n.Edge != q.Edges[i].Name {
				continue
			}
			_, _, at, err := q.NotchPlace(n)
			if err != nil {
				continue
			}
			if !forward {
				at = length - at
			}
			far := func(end float64) float64 { // from either end of the seam
				return math.Min(math.Abs(at-end), math.Abs(length-at-(walked.Length-end)))
			}
			all = append(all, Stop{q, k, far(o.To) < far(o.From), at, length, forward}) // the line of the split may have run the other way
		}
	}
	return all
}

// stopNamed reports whether a notch is called as an end of an opening.
func stopNamed(notch, opening string) bool {
	rest, ok := strings.CutPrefix(notch, opening+" ")
	word, _, _ := strings.Cut(rest, " ")
	return ok && (word == "from" || word == "to")
}

// recountStops has the notches at the ends of an opening that reaches to an end of its
// seam counted from there, where they were not, when the edge they lie on was altered:
// a slit goes with the hem, and its stops with it.
func (m *making) recountStops(before *pattern.Pattern) {
	for i := range m.pattern.Seams {
		seam := &m.pattern.Seams[i]
		old := seamNamed(before, seam.Name)
		if old == nil || len(seam.Openings) == 0 {
			continue
		}
		then, _, err := before.WalkChains(old)
		if err != nil {
			continue
		}
		for _, o := range old.Openings {
			atStart, atEnd := o.From < leastPart, o.To > then.Length-leastPart
			if atStart != atEnd {
				m.recountStopsOf(before, old, o, atEnd)
			}
		}
	}
}

func (m *making) recountStopsOf(before *pattern.Pattern, seam *pattern.Seam, o pattern.Opening, seamEnd bool) {
	for _, s := range stopsAt(before, seam, o) {
		q, err := m.pattern.Piece(s.Piece.Name)
		was := s.Piece.Notches[s.Notch]
		k := -1
		if err == nil {
			k = q.NotchByName(was.Name)
		}
		if k < 0 || q.Notches[k] != was || was.FromEnd == (seamEnd == s.endAtEnd) || !m.changedSince(before, pattern.Stretch{Piece: q.Name, Edge: was.Edge}) {
			continue
		}
		by := s.start
		if seamEnd {
			by = s.fromEnd()
		}
		s.Piece, s.Notch = q, k
		s.count(seamEnd, by)
		m.say("%s, notch %q marks an end of the opening %q and goes with it: it is %s from the %s of %q now", q.Name, was.Name, o.Name, m.format(q.Notches[k].At), endOfNotch(q.Notches[k]), was.Edge)
	}
}

// openingUnfit turns a refusal over a notch that marks the end of an opening into one
// over the opening, which says what to do about both at once.
func (m *making) openingUnfit(err error) error {
	var problem *pattern.Problem
	if !errors.As(err, &problem) || problem.Part != pattern.PartNotch {
		return err
	}
	q, missing := m.pattern.Piece(problem.Piece)
	if missing != nil || problem.Index >= len(q.Notches) {
		return err
	}
	notch := q.Notches[problem.Index]
	for _, seam := range m.pattern.SeamsOf(q.Name, notch.Edge) {
		for _, o := range seam.Openings {
			if !stopNamed(notch.Name, o.Name) {
				continue
			}
			return m.noRoom(fmt.Sprintf("%s, %q", q.Name, notch.Edge), seam, o, roomSaid(err))
		}
	}
	return err
}

// roomSaid is what a refusal says of how much fits.
func roomSaid(err error) string {
	if _, room, ok := strings.Cut(err.Error(), "the pattern is as it was; "); ok {
		return "; " + room
	}
	return ""
}

// MoveStops has the notches at the ends of an opening go where the opening went, or go
// away with it where gone; the sentences say which. Those that lie elsewhere already, by
// a hand that meant it, stay. A stop at an end of the seam needs no notch.
func MoveStops(p *pattern.Pattern, seam *pattern.Seam, was, now pattern.Opening, gone bool) (says []string) {
	drop := map[*pattern.Piece][]string{}
	for _, s := range Stops(p, seam, was) {
		old, to := was.From, now.From
		if s.Last {
			old, to = was.To, now.To
		}
		then, _, err := p.WalkChains(seam)
		if err != nil || math.Abs(s.start-old) > stopWithin && math.Abs(s.fromEnd()-(then.Length-old)) > stopWithin {
			continue
		}
		n := &s.Piece.Notches[s.Notch]
		if gone || to < leastPart || to > s.length-leastPart {
			if matched(p, s.Piece.Name, n.Name) {
				continue
			}
			drop[s.Piece] = append(drop[s.Piece], n.Name)
			says = append(says, fmt.Sprintf("%s, notch %q: it marked an end of %q there and is taken away.", s.Piece.Name, n.Name, was.Name))
			continue
		}
		if math.Abs(to-old) < wholeWithin {
			continue
		}
		by, before := to, n.At
		fromSeamEnd := n.FromEnd == s.endAtEnd
		if fromSeamEnd {
			by = s.length - to
		}
		s.count(fromSeamEnd, by)
		says = append(says, fmt.Sprintf("%s, notch %q: it goes with the end of %q and is %s from the %s of %q now; it was %s.",
			s.Piece.Name, n.Name, now.Name, p.Unit.Format(n.At), endOfNotch(*n), n.Edge, p.Unit.Format(before)))
	}
	for q, names := range drop {
		q.Notches = slices.DeleteFunc(slices.Clone(q.Notches), func(n pattern.Notch) bool { return slices.Contains(names, n.Name) })
	}
	return says
}

// matched reports whether a section of a seam ends at a notch.
func matched(p *pattern.Pattern, piece, notch string) bool {
	ref := pattern.NotchRef{Piece: piece, Notch: notch}
	for _, s := range p.Seams {
		for _, c := range s.Sections {
			if c.First == ref || c.Second == ref {
				return true
			}
		}
	}
	return false
}
