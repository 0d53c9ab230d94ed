package diff

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// Several alterations of one piece leave outlines that one of them, with other
// figures, explains as well as they do: a slash beside a shorter hem is a wider one
// that ends elsewhere, a flare beside a side seam taken in is an edge drawn anew. Where
// the states between are known, each step is told by the outlines before and after it.

// Weights of what is told of a piece: what was done to it is the likelier the less they
// add up to.
const (
	toldPlain   = 1.0  // of an edge that moved or swung, a corner that was rounded, a part that moved as one
	toldDoubted = 6.0  // of what the outlines of several alterations may only seem to tell
	toldRedrawn = 10.0 // of an edge that nothing simple explains
)

// The most alterations that are told at once, beside all of them together, and the
// most states between that are looked at.
const (
	mostAtOnce = 3
	mostStates = 24
)

// Doubtful reports whether what the outlines tell of an altered piece may be several
// alterations that were taken for others.
func Doubtful(d change.PieceDiff) bool {
	return d.State == change.Altered && costOf(d.Changes, false) >= toldDoubted
}

// costOf weighs changes: those that one alteration made, or perhaps several.
func costOf(all []change.Change, alone bool) (cost float64) {
	outline := 0
	for _, ch := range all {
		if shapesOutline(ch) && ch.Kind != change.EdgeRun {
			outline++
		}
	}
	for _, ch := range all {
		doubted := !alone && (ch.Kind == change.CornerRounded || ch.Kind == change.Spread && outline > 1)
		switch {
		case ch.Kind == change.EdgeRedrawn && ch.Max != nil:
			cost += toldRedrawn
		case doubted:
			cost += toldDoubted
		case shapesOutline(ch) && (ch.Kind != change.EdgeRun || ch.CausedBy == ""):
			cost += toldPlain
		}
	}
	return cost
}

// shapesOutline reports whether a change is one of the outline.
func shapesOutline(ch change.Change) bool {
	return ch.Notch == "" && ch.Mark == "" &&
		(slices.Contains(outlineKinds, ch.Kind) || ch.Kind == change.CornerRounded || ch.Kind == change.CornerRestored)
}

// Apart tells a piece by its states between, in the order in which they were led
// through, where that explains better what became of it. Its figures stay those of the
// whole, d, which is what Pieces tells of the old and the new state, both as stored.
func Apart(d change.PieceDiff, old, now *pattern.Piece, between [][]*pattern.Pattern, p *pattern.Pattern) change.PieceDiff {
	states := pieceStates(old, now, between)
	if len(states) < 3 || len(states) > mostStates || !Doubtful(d) {
		return d
	}
	s := &statesTold{p: p, told: map[[2]int]change.PieceDiff{}}
	if !s.lay(states) {
		return d
	}
	n := len(s.laid) - 1
	s.told[[2]int{0, n}] = d
	told := s.cheapest()
	if len(told) < 2 {
		return d
	}
	whole, err := piecesAt(old, now, p, &s.last)
	if err != nil {
		return d
	}
	whole.Changes = s.together(told, d)
	return whole
}

// pieceStates are the states of a piece from the old to the new one, each other than
// the one before; nil where it has no counterpart in one of them.
func pieceStates(old, now *pattern.Piece, between [][]*pattern.Pattern) []*pattern.Piece {
	states := []*pattern.Piece{old}
	add := func(q *pattern.Piece) {
		if !reflect.DeepEqual(states[len(states)-1], q) {
			states = append(states, q)
		}
	}
	for _, line := range between {
		for _, p := range line {
			k := slices.IndexFunc(p.Pieces, func(q *pattern.Piece) bool { return q.ID == old.ID })
			if k < 0 || old.ID == "" {
				return nil
			}
			add(p.Pieces[k])
		}
	}
	add(now)
	return states
}

// statesTold are states of a piece, laid on the sheet of the first, and what is told
// of some of them against others, by their places.
type statesTold struct {
	p    *pattern.Pattern
	laid []*pattern.Piece
	last geom.Motion // that lays the last
	told map[[2]int]change.PieceDiff
}

// lay lays each state on the one before; ok is false where their edges are not the same
// ones all along, or where the piece was turned over or opened out.
func (s *statesTold) lay(states []*pattern.Piece) (ok bool) {
	s.laid = states[:1]
	for _, q := range states[1:] {
		k := len(s.laid) - 1
		before := s.laid[k]
		if !sameEdges(before, q) || opensOut(before, q) {
			return false
		}
		d, err := Pieces(before, q, s.p)
		if err != nil || d.Placement.Mirrored || d.Old != before {
			return false
		}
		s.last = d.Placement.Motion()
		s.laid = append(s.laid, d.New)
		s.told[[2]int{k, k + 1}] = d
	}
	return true
}

// sameEdges reports whether two states have the same edges, by the same names.
func sameEdges(a, b *pattern.Piece) bool {
	return slices.EqualFunc(a.Edges, b.Edges, func(e, f pattern.Edge) bool { return e.ID == f.ID && e.ID != "" && e.Name == f.Name })
}

// between is what is told from one of the states to a later one, and what it weighs.
func (s *statesTold) between(i, j int) (d change.PieceDiff, cost float64, ok bool) {
	d, ok = s.told[[2]int{i, j}]
	if !ok {
		if j-i > mostAtOnce {
			return d, 0, false
		}
		var err error
		if d, err = piecesAt(s.laid[i], s.laid[j], s.p, &geom.Motion{}); err != nil {
			return d, 0, false
		}
		s.told[[2]int{i, j}] = d
	}
	return d, costOf(d.Changes, j == i+1), true
}

// cheapest are the spans of states that weigh least together, the fewest of them.
func (s *statesTold) cheapest() (spans [][2]int) {
	n := len(s.laid)
	type way struct {
		cost  float64
		spans int
		from  int
	}
	best := make([]way, n)
	for j := 1; j < n; j++ {
		best[j].cost = math.Inf(1)
		for i := range j {
			_, cost, ok := s.between(i, j)
			w := way{cost: best[i].cost + cost, spans: best[i].spans + 1, from: i}
			if ok && (w.cost < best[j].cost || w.cost == best[j].cost && w.spans < best[j].spans) {
				best[j] = w
			}
		}
	}
	for j := n - 1; j > 0; j = best[j].from {
		spans = append(spans, [2]int{best[j].from, j})
	}
	slices.Reverse(spans)
	return spans
}

// together puts what is told of spans together, in their order. What is said of a
// setting is said of the whole, and so is what several of them did to one notch or mark.
func (s *statesTold) together(spans [][2]int, whole change.PieceDiff) []change.Change {
	all := []change.Change{}
	times := map[string]int{}
	for _, span := range spans {
		for _, ch := range s.told[span].Changes {
			if shapesOutline(ch) {
				all = append(all, ch)
			}
		}
	}
	all = withoutTakenBack(all)
	var landmarks []change.Change
	for _, span := range spans {
		for _, ch := range s.told[span].Changes {
			if of := landmark(ch); of != "" && !shapesOutline(ch) {
				landmarks = append(landmarks, ch)
				times[of]++
			}
		}
	}
	for _, ch := range landmarks {
		if times[landmark(ch)] == 1 {
			all = append(all, ch)
		}
	}
	for _, ch := range whole.Changes {
		if of := landmark(ch); !shapesOutline(ch) && (of == "" || times[of] > 1) {
			all = append(all, ch)
		}
	}
	return all
}

// landmark tells one notch, mark or the grain from others; empty for what is neither.
func landmark(ch change.Change) string {
	switch {
	case ch.Kind == change.GrainTurned:
		return "grain"
	case ch.Mark != "":
		return "mark " + ch.Mark
	case ch.Notch != "":
		return fmt.Sprint("notch ", ch.Edges, ch.Notch)
	}
	return ""
}

// withoutTakenBack leaves out of changes each move of an edge that another after it took
// back, and what was cut or run on to meet it: what is left of that is told as a length.
func withoutTakenBack(all []change.Change) []change.Change {
	gone := map[int]bool{}
	back := map[string]bool{}
	for i, ch := range all {
		for k := i + 1; k < len(all) && !gone[i]; k++ {
			if !gone[k] && takesBack(ch, all[k]) {
				gone[i], gone[k], back[ch.Edges[0]] = true, true, true
			}
		}
	}
	for i, ch := range all {
		if !gone[i] && ch.Kind != change.EdgeRun && ch.Kind != change.Spread {
			for _, edge := range ch.Edges {
				delete(back, edge)
			}
		}
	}
	kept := make([]change.Change, 0, len(all))
	for i, ch := range all {
		if !gone[i] && !(ch.Kind == change.EdgeRun && back[ch.CausedBy]) {
			kept = append(kept, ch)
		}
	}
	return kept
}

// takesBack reports whether an edge was moved as it was moved before, the other way.
func takesBack(before, after change.Change) bool {
	return before.Kind == change.EdgeMoved && after.Kind == change.EdgeMoved && before.How == after.How && before.Ends == nil && after.Ends == nil &&
		len(before.Edges) == 1 && slices.Equal(before.Edges, after.Edges) &&
		before.By != nil && after.By != nil && math.Abs(*before.By+*after.By) <= leastMeant
}

// doubtSpreads says of each part that moved as one that it is not sure, where edges
// beside the ends of its line are redrawn: a spread that explains a piece explains them.
func (c *comparison) doubtSpreads() {
	for k := range c.d.Changes {
		ch := &c.d.Changes[k]
		if ch.Kind != change.Spread || strings.HasSuffix(ch.Says, LineUntold) {
			continue
		}
		var redrawn []string
		for _, other := range c.d.Changes {
			if other.Kind == change.EdgeRedrawn && len(other.Edges) == 1 && !slices.Contains(ch.Edges, other.Edges[0]) {
				redrawn = append(redrawn, other.Edges[0])
			}
		}
		if len(redrawn) > 0 {
			ch.Says += fmt.Sprintf("; with %s redrawn besides, other changes may explain the outlines as well", quoted(redrawn))
		}
	}
}
