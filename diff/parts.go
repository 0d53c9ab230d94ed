package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// divided is a piece that was cut in two along a line: whole before, one and
// other after, or the other way round when they were joined.
type divided struct {
	whole, one, other *pattern.Piece // one and other laid onto whole's sheet
	line              geom.Path      // between them
	allowance         float64        // mm at the line, of the cloth set
}

// dividedInto reports whether the two pieces laid beside each other are the
// whole one: each lies within it, and nothing is left over.
func dividedInto(whole, one, other *pattern.Piece) (divided, bool) {
	w, errW := whole.Outline()
	a, errA := one.Outline()
	b, errB := other.Outline()
	if errW != nil || errA != nil || errB != nil {
		return divided{}, false
	}
	tol := max(tolerance(whole, one), tolerance(whole, other))
	least := tol * w.Ring.Length() // mm²: what the tolerance itself leaves along the outline
	if math.Abs(a.Ring.Area()+b.Ring.Area()-w.Ring.Area()) > least {
		return divided{}, false
	}
	m, okA := within(w.Ring, a.Ring, tol, least)
	n, okB := within(w.Ring, b.Ring, tol, least)
	if !okA || !okB {
		return divided{}, false
	}
	d := divided{whole: whole, one: one.Moved(m), other: other.Moved(n)}
	a, _ = d.one.Outline()
	b, _ = d.other.Outline()
	o, err := geom.Compare(a.Ring, b.Ring, tol)
	if err != nil || o.KeptArea > least {
		return divided{}, false
	}
	for _, s := range geom.Match(a.Ring, b.Ring, tol) {
		if s.B0 > s.B1 {
			d.line = append(d.line, a.Ring[s.A].Part(s.A0, s.A1))
			d.allowance = d.one.Edges[a.Edge[s.A]].AllowanceFor(Set)
		}
	}
	return d, len(d.line) > 0
}

// within finds the pose in which part lies in whole but for least mm².
func within(whole, part geom.Ring, tol, least float64) (geom.Motion, bool) {
	for _, m := range poses(whole, part, tol) {
		laid := part.Moved(m)
		if m.Mirror {
			laid = laid.Reverse()
		}
		if o, err := geom.Compare(whole, laid, tol); err == nil && o.AddedArea+math.Abs(o.Matched) <= least {
			return m, true
		}
	}
	return geom.Motion{}, false
}

// splitsAndJoins finds pieces that were split or joined among those whose
// counterpart does not tell it all: a new piece that is nobody's, or an old
// one that is gone.
func splitsAndJoins(a, b *pattern.Pattern, found []*pattern.Piece) (splits, joins []divided) {
	taken := map[*pattern.Piece]bool{}
	for _, q := range found {
		taken[q] = true
	}
	for k, old := range a.Pieces {
		if found[k] == nil {
			continue
		}
		for _, q := range b.Pieces {
			if taken[q] {
				continue
			}
			if d, ok := dividedInto(old, found[k], q); ok {
				splits, taken[q] = append(splits, d), true
			}
		}
		for l, other := range a.Pieces {
			if found[l] != nil || l == k {
				continue
			}
			if d, ok := dividedInto(found[k], old, other); ok {
				joins = append(joins, d)
			}
		}
	}
	return splits, joins
}

// tellSplit puts a split in place of what it does to the outline of the piece
// that keeps the old one's id.
func (d divided) tellSplit(p *change.PieceDiff, words *comparison) {
	names := []string{d.one.Name, d.other.Name}
	p.State = change.Split
	p.Changes = append([]change.Change{{Kind: change.PieceSplit, Edges: []string{}, Into: names, Line: line(d.line), NewPath: d.line,
		Allowance: change.Amount(d.allowance),
		Says:      fmt.Sprintf("%q is split into %q and %q%s", d.whole.Name, names[0], names[1], words.allowanceOf(d.allowance))}},
		d.besides(p.Changes)...)
}

// tellJoin is tellSplit for two pieces joined to one.
func (d divided) tellJoin(p *change.PieceDiff) {
	names := []string{d.one.Name, d.other.Name}
	p.State = change.Joined
	p.Changes = append([]change.Change{{Kind: change.PieceJoined, Edges: []string{}, Of: names, Line: line(d.line), OldPath: d.line,
		Says: fmt.Sprintf("%q and %q are joined to %q", names[0], names[1], d.whole.Name)}}, d.besides(p.Changes)...)
}

func (c *comparison) allowanceOf(mm float64) string {
	if mm == 0 {
		return ""
	}
	return fmt.Sprintf(", with an allowance of %s at the new seam", c.amount(mm))
}

// line lists the nodes of a path.
func line(p geom.Path) []change.XY {
	out := []change.XY{*change.At(p.Start())}
	for _, c := range p {
		out = append(out, *change.At(c.P3))
	}
	return out
}

// besides leaves out of a list of changes those that splitting or joining
// makes: to the outline, and to notches and marks that went with the other
// part.
func (d divided) besides(changes []change.Change) []change.Change {
	var rest []change.Change
	for _, ch := range changes {
		switch ch.Kind {
		case change.EdgeMoved, change.EdgeSwung, change.EdgeRun, change.EdgeRedrawn, change.Spread:
			continue
		case change.NotchRemoved, change.NotchAdded, change.MarkRemoved, change.MarkAdded, change.NotchMoved:
			if d.holds(ch) {
				continue
			}
		case change.NameChanged:
			if len(ch.Edges) > 0 {
				continue
			}
		}
		rest = append(rest, ch)
	}
	return rest
}

// holds reports whether the notch or mark lies on the other part, or is one
// of the matching notches at the line.
func (d divided) holds(ch change.Change) bool {
	if ch.At == nil {
		return false
	}
	const near = 0.1
	at := ch.At.Point()
	if _, far := d.line.Nearest(at); far <= near {
		return true
	}
	return slices.ContainsFunc(places(d.other), func(q geom.Point) bool { return q.Dist(at) <= near }) ||
		slices.ContainsFunc(places(d.whole), func(q geom.Point) bool { return q.Dist(at) <= near })
}

// mirroredName tells the edges, notches and marks beyond the fold of a piece
// that was opened out from those on this side.
const mirroredName = " beyond the fold"

// unfolded is a piece drawn to its fold, opened out: its edges and their
// mirror image beyond the fold. It fails for a piece without a straight fold.
func unfolded(p *pattern.Piece) (*pattern.Piece, bool) {
	f := slices.IndexFunc(p.Edges, func(e pattern.Edge) bool { return e.Fold })
	if f < 0 {
		return nil, false
	}
	fold := p.EdgePath(f)
	ends := []geom.Point{fold.Start(), fold.End()}
	mirror := p.Moved(geom.FitMotion(ends, ends, true))
	for i := range mirror.Edges {
		mirror.Edges[i].Name += mirroredName
	}
	for i := range mirror.Notches {
		mirror.Notches[i].Name += mirroredName
		mirror.Notches[i].Edge += mirroredName
	}
	for i := range mirror.Marks {
		mirror.Marks[i].Name += mirroredName
		if mirror.Marks[i].Edge != "" {
			mirror.Marks[i].Edge += mirroredName
		}
	}
	g := slices.IndexFunc(mirror.Edges, func(e pattern.Edge) bool { return e.Fold })
	whole := p.Clone()
	whole.Corners, whole.Edges, whole.Cut = nil, nil, pattern.CutOne
	n := len(p.Edges)
	for _, half := range []struct {
		p    *pattern.Piece
		fold int
	}{{p, f}, {mirror, g}} {
		for k := 1; k < n; k++ {
			whole.Corners = append(whole.Corners, half.p.Corners[(half.fold+k)%n])
			whole.Edges = append(whole.Edges, half.p.Edges[(half.fold+k)%n])
		}
	}
	whole.Notches = append(whole.Notches, mirror.Notches...)
	whole.Marks = append(whole.Marks, mirror.Marks...)
	return whole, true
}
