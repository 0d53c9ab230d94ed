package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// joinsAltered finds old pieces that were joined to one that was altered besides: by
// the ids of their edges, that the joined piece bears on, else by the shapes alone
// where those explain it simply. Such a joining is a split looked at backwards: whole
// is the joined piece as it is now, and the halves are what the old pieces became.
func joinsAltered(a, b *pattern.Pattern, found []*pattern.Piece, known []divided, lines knownLines) (joins []splitPiece) {
	for k, one := range a.Pieces {
		whole := found[k]
		if whole == nil || slices.ContainsFunc(known, func(d divided) bool { return d.whole == whole }) {
			continue
		}
		var others, maybe []*pattern.Piece
		for l, q := range a.Pieces {
			switch {
			case found[l] != nil || slices.ContainsFunc(joins, func(s splitPiece) bool { return slices.Contains(s.others, q) }):
			case bearsEdgesOf(whole, one, q):
				others = append(others, q)
			default:
				maybe = append(maybe, q)
			}
		}
		s, ok := splitPiece{}, false
		if len(others) > 0 {
			s, ok = recut(whole, one, others, lines)
		} else {
			s, ok = cutByShape(whole, one, maybe)
		}
		if ok {
			joins = append(joins, s)
		}
	}
	return joins
}

// bearsEdgesOf reports whether a piece that continues one has edges that were
// another's, by their ids.
func bearsEdgesOf(now, one, other *pattern.Piece) bool {
	return slices.ContainsFunc(now.Edges, func(e pattern.Edge) bool {
		return e.ID != "" && one.EdgeByID(e.ID) < 0 && other.EdgeByID(e.ID) >= 0
	})
}

// tellJoin puts a joining, and what changed besides at each part, in place of what
// was said of its pieces. The changes of each part stand with that part, in its own
// frame and by the names that its edges had.
func (s *splitPiece) tellJoin(old, now func(*pattern.Piece) *change.PieceDiff, b *pattern.Pattern) error {
	parts := append([]*pattern.Piece{s.one}, s.others...)
	told := make([]change.PieceDiff, len(parts))
	gone := make([]func(string) bool, len(parts)) // an edge at the line
	var sheet geom.Motion                         // lays the joined piece on that of the first part
	for k, part := range parts {
		d, err := s.halves[k].cameFrom(part, b)
		if err != nil {
			return err
		}
		laid := motionOf(d.Placement)
		if k == 0 {
			told[k], err = piecesAt(part, s.whole, b, &laid)
			sheet = laid
		} else {
			told[k], err = oneSided(part, change.Removed, 0)
			told[k].Into, told[k].IntoLaid = s.whole, laid.Inverse()
		}
		if err != nil {
			return err
		}
		gone[k] = s.halves[k].endedAtLine(part, d)
		told[k].State, told[k].Changes = change.Joined, withoutJoining(d, gone[k])
	}
	s.sayOpen(told, func(k int, name string) bool { return gone[k](name) })
	told[0].Changes = append(s.joined(sheet, b), told[0].Changes...)
	*now(s.whole) = told[0]
	for k, q := range s.others {
		*old(q) = told[k+1]
	}
	return nil
}

// joined tells of the lines along which pieces were joined to the first, and of its
// new name. laid lays the joined piece on the first part's sheet.
func (s *splitPiece) joined(laid geom.Motion, b *pattern.Pattern) []change.Change {
	words := &comparison{unit: b.Unit}
	var all []change.Change
	for k, q := range s.others {
		path := s.lines[k].Moved(laid)
		cut := &divided{whole: s.whole, one: s.one, other: q, allowances: [2]float64{s.halves[0].lineAllowance(), s.halves[k+1].lineAllowance()}}
		says := fmt.Sprintf("%q and %q are joined to %q%s", s.one.Name, q.Name, s.whole.Name, words.allowanceDropped(cut))
		all = append(all, change.Change{Kind: change.PieceJoined, Edges: []string{}, Of: []string{s.one.Name, q.Name}, Line: line(path), OldPath: path,
			Allowance: cut.allowance(), PartAllowances: cut.allowances, PartArea: netArea(q), Says: says})
	}
	if s.whole.Name != s.one.Name {
		all = append(all, change.Change{Kind: change.NameChanged, Edges: []string{}, Before: s.one.Name, After: s.whole.Name,
			Says: fmt.Sprintf("%q is now called %q", s.one.Name, s.whole.Name)})
	}
	return all
}

// lineAllowance is that of the edge at the line, of the cloth set.
func (h *half) lineAllowance() float64 { return h.piece.Edges[h.seam()].AllowanceFor(Set) }

// cameFrom compares an old part with the half that it became.
func (h *half) cameFrom(part *pattern.Piece, b *pattern.Pattern) (change.PieceDiff, error) {
	h.called(part, nil)
	d, err := Pieces(part, h.piece, b)
	if err != nil {
		return d, err
	}
	h.called(part, d.Continues)
	return Pieces(part, h.piece, b)
}

// endedAtLine tells the edges of an old part that lay along the line, by name.
func (h *half) endedAtLine(part *pattern.Piece, d change.PieceDiff) func(name string) bool {
	return func(name string) bool {
		k := edgeNamed(part, name)
		return k >= 0 && (d.Became[k] < 0 || h.origin[d.Became[k]] < 0)
	}
}

// withoutJoining leaves out of what is said of an old part what joining makes: its
// edges at the line are gone, and so is all that was set on them; its edges may be
// called after the other's.
func withoutJoining(d change.PieceDiff, atLine func(name string) bool) []change.Change {
	return slices.DeleteFunc(slices.Clone(d.Changes), func(ch change.Change) bool {
		return ch.Kind == change.NameChanged || !slices.Contains(outlineKinds, ch.Kind) && (slices.ContainsFunc(ch.Edges, atLine) || ch.Mark == "grain")
	})
}

// cutByShape is recut with one of others that nothing names, where that costs less
// than to tell of the one piece as altered and of the other as one of nobody's.
func cutByShape(whole, one *pattern.Piece, others []*pattern.Piece) (splitPiece, bool) {
	all, errA := whole.NetArea()
	part, errB := one.NetArea()
	if errA != nil || errB != nil || part > 0.95*all {
		return splitPiece{}, false
	}
	alone := &comparison{old: whole, tol: tolerance(whole, one)}
	if alone.place(one) != nil {
		return splitPiece{}, false
	}
	x, _ := alone.settled()
	best, found := splitPiece{cost: x.Cost() + newPieceCost}, false
	if alone.d.Placement != (change.Placement{}) {
		best.cost += movedCost
	}
	for _, q := range others {
		if area, err := q.NetArea(); err != nil || math.Abs(math.Log((area+part)/all)) > math.Log(1.25) {
			continue
		}
		if s, ok := recut(whole, one, []*pattern.Piece{q}, nil); ok && s.plain && s.cost < best.cost {
			best, found = s, true
		}
	}
	return best, found
}
