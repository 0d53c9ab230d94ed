package diff

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// knownLines are lines along which pieces were split or joined, by the id of the part
// that was cut off or joined on, each on the sheet of the whole piece.
type knownLines map[string]geom.Path

// linesOf finds the lines along which pieces were split or joined from one state to
// the next where nothing was altered besides: there the outlines tell them exactly.
func linesOf(between [][]*pattern.Pattern) knownLines {
	lines := knownLines{}
	for _, states := range between {
		for k := 1; k < len(states); k++ {
			a, b := states[k-1], states[k]
			if len(a.Pieces) == len(b.Pieces) {
				continue
			}
			splits, joins := splitsAndJoins(a, b, counterparts(a, b))
			for _, d := range slices.Concat(splits, joins) {
				if d.other.ID != "" {
					lines[d.other.ID] = d.line
				}
			}
		}
	}
	return lines
}

// cutAlong cuts a part off along a line that is known, the part on either side of it.
func cutAlong(rest, part *pattern.Piece, line geom.Path) (ways []cutting) {
	if len(line) == 0 {
		return nil
	}
	parts, line, ok := halves(rest, line)
	if !ok {
		return nil
	}
	return []cutting{{other: part, parts: parts, line: line, known: true}, {other: part, parts: [2]half{parts[1], parts[0]}, line: line, known: true}}
}

// LineOpen ends what is said of an edge along which a piece was split or joined, where
// the outlines leave open how much of it each part gave or got.
const LineOpen = " instead, the outlines do not tell"

// sayOpen adds to what is said of the edges at the lines along which a piece was cut,
// where these are not known: each was then taken to be an edge of one of the parts.
// atLine tells such an edge of a part by its name in the earlier state.
func (s *splitPiece) sayOpen(told []change.PieceDiff, atLine func(part int, name string) bool) {
	if s.known {
		return
	}
	for k := range told {
		across := "the part beside it"
		if len(told) == 2 {
			across = fmt.Sprintf("%q", append([]*pattern.Piece{s.one}, s.others...)[1-k].Name)
		}
		for i := range told[k].Changes {
			ch := &told[k].Changes[i]
			moved := ch.Kind == change.EdgeMoved || ch.Kind == change.EdgeSwung || ch.Kind == change.EdgeRedrawn
			if moved && len(ch.Edges) == 1 && atLine(k, ch.Edges[0]) {
				ch.Says += "; how much of it was done to " + across + LineOpen
			}
		}
	}
}
