package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// allRound adds what an edge that lies in the garment twice comes to, where its move
// adds up in width: with its other half, or with its own mirror image on the other of
// a pair. Of a pair that goes round a limb or lies on top each counts by itself.
func (c *comparison) allRound(ch change.Change) string {
	if c.now.Cut.Count() < 2 || courseOfChange(c.old, &ch) != pattern.CourseWidth {
		return ""
	}
	both := c.amount(2 * math.Abs(*ch.By))
	switch {
	case c.limb && c.now.Cut == pattern.CutPair:
		return ""
	case c.limb:
		return fmt.Sprintf(", %s at each %s", both, c.now.Name)
	}
	return fmt.Sprintf(", %s left and right together", both)
}

// courseOfChange tells whether an edge's move adds up in width; of a swing it is the
// arm from the pivot to the far end that moves. old is the piece it is told of.
func courseOfChange(old *pattern.Piece, ch *change.Change) pattern.Course {
	line := ch.OldPath
	if old == nil || len(line) == 0 || ch.How == change.HowShifted {
		return pattern.CourseUntold
	}
	if ch.Kind == change.EdgeSwung && ch.Pivot != nil && ch.At != nil {
		far, at := line.Start(), ch.At.Point()
		if line.End().Dist(at) < far.Dist(at) {
			far = line.End()
		}
		line = geom.Path{geom.Line(ch.Pivot.Point(), far)}
	}
	return old.CourseOf(line)
}

// roundPart is a change that moved an edge, and the piece it is one of.
type roundPart struct {
	piece *change.PieceDiff
	ch    *change.Change
}

// allRound adds to the words of a let-out or swung edge what it comes to round the
// garment where the edges sewn to it changed alike: it and they, and those sewn to
// them in turn, each as often as it is cut. It is said where that adds up in width on
// one of them at least, and on none leads up or down.
func (f *across) allRound() {
	alike := f.sewnAlike()
	for i := range f.d.Pieces {
		p := &f.d.Pieces[i]
		for k := range p.Changes {
			if ch := &p.Changes[k]; p.New != nil && movesOut(ch) {
				f.sayRound(sewnTogether(roundPart{p, ch}, alike))
			}
		}
	}
}

// movesOut reports whether a change let an edge out or took it in, or swung it.
func movesOut(ch *change.Change) bool {
	return (ch.Kind == change.EdgeSwung || ch.Kind == change.EdgeMoved) && ch.How != change.HowShifted && ch.By != nil
}

// sewnAlike lists for each change the changes by the same amount of edges sewn to it.
func (f *across) sewnAlike() map[*change.Change][]roundPart {
	alike := map[*change.Change][]roundPart{}
	for i := range f.to.Seams {
		s := &f.to.Seams[i]
		for _, a := range f.movesOf(s.First) {
			for _, b := range f.movesOf(s.Second) {
				if a.ch != b.ch && a.ch.Kind == b.ch.Kind && math.Abs(*a.ch.By-*b.ch.By) <= alikeWithin {
					alike[a.ch], alike[b.ch] = append(alike[a.ch], b), append(alike[b.ch], a)
				}
			}
		}
	}
	return alike
}

// movesOf lists the changes that moved the edges of one side of a seam.
func (f *across) movesOf(c pattern.Chain) (moves []roundPart) {
	for _, st := range c {
		for _, ch := range f.changesOf(st.Piece, st.Edge) {
			if movesOut(ch) {
				moves = append(moves, roundPart{f.piece(st.Piece), ch})
			}
		}
	}
	return moves
}

// sewnTogether are a change and all that go with it over the seams, itself first.
func sewnTogether(own roundPart, alike map[*change.Change][]roundPart) []roundPart {
	all := []roundPart{own}
	for k := 0; k < len(all); k++ {
		for _, next := range alike[all[k].ch] {
			if !slices.ContainsFunc(all, func(r roundPart) bool { return r.ch == next.ch }) {
				all = append(all, next)
			}
		}
	}
	return all
}

// sayRound says of the first of edges that changed together what all come to.
func (f *across) sayRound(all []roundPart) {
	own, total, wide := all[0], 0.0, false
	limb, under := f.to.RoundLimb(own.piece.New), f.to.LiesUnder(own.piece.New)
	var with []string
	for k, r := range all {
		switch courseOfChange(Then(*r.piece), r.ch) {
		case pattern.CourseLength:
			return
		case pattern.CourseWidth:
			wide = true
		}
		if q := r.piece.New; f.to.RoundLimb(q) != limb || f.to.LiesUnder(q) != under {
			continue // a front and its facing, a lining and an outer: not one girth
		}
		total += math.Abs(*r.ch.By) * float64(f.to.TimesRound(r.piece.New))
		name := r.piece.Piece
		if r.piece == own.piece {
			name = quoted(r.ch.Edges)
		}
		if k > 0 && !slices.Contains(with, name) {
			with = append(with, name)
		}
	}
	if len(with) == 0 || !wide {
		return
	}
	if !limb && !under {
		own.ch.Garment = change.Amount(math.Copysign(total, *own.ch.By))
	}
	own.ch.Says += fmt.Sprintf("; with %s, %s %s", strings.Join(with, " and "), f.to.Unit.Format(total), f.to.RoundWords(own.piece.New))
}

// alikeWithin is the difference in mm up to which two edges sewn together
// were altered by the same amount.
const alikeWithin = 0.5
