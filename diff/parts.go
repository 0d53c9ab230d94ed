package diff

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// divided is a piece that was cut in two along a line: whole before, one and
// other after, or the other way round when they were joined.
type divided struct {
	whole, one, other *pattern.Piece // one and other laid onto whole's sheet
	laidFrom          *pattern.Piece // one as it lies on its own sheet
	pose, poseOther   geom.Motion    // that lay one and other there
	line              geom.Path      // between them
	allowances        [2]float64     // mm at the line, of the cloth set, of one and of other
	fold              geom.Path      // along which whole was opened out before; nil where it was not
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
	second := within(w.Ring, b.Ring, tol, least)
	best, found, stray := divided{}, false, math.Inf(1)
	for _, m := range within(w.Ring, a.Ring, tol, least) {
		for _, n := range second {
			d := divided{whole: whole, one: one.Moved(m), other: other.Moved(n), laidFrom: one, pose: m, poseOther: n}
			if !d.beside(tol, least) {
				continue
			}
			if far := d.stray(); far < stray-1e-6 {
				best, found, stray = d, true, far
			}
		}
	}
	return best, found
}

// stray adds up how far what lies inside the parts is from its like in the
// whole, and the other way round: it decides between ways to lay the parts of a
// symmetric piece. What lies at the line between the parts is none of the
// whole's.
func (d *divided) stray() float64 {
	whole := landmarks(d.whole)
	parts := landmarks(d.one)
	for kind, places := range landmarks(d.other) {
		parts[kind] = append(parts[kind], places...)
	}
	sum := 0.0
	for _, pair := range [2][2]map[string][]geom.Point{{whole, parts}, {parts, whole}} {
		for _, kind := range slices.Sorted(maps.Keys(pair[0])) {
			for _, p := range pair[0][kind] {
				if _, far := d.line.Nearest(p); far <= inPlace {
					continue
				}
				nearest := strayAt
				for _, q := range pair[1][kind] {
					nearest = math.Min(nearest, p.Dist(q))
				}
				sum += nearest
			}
		}
	}
	return sum
}

// beside reports whether the parts, as they are laid, do not overlap, and
// finds the line between them.
func (d *divided) beside(tol, least float64) bool {
	a, _ := d.one.Outline()
	b, _ := d.other.Outline()
	o, err := geom.Compare(a.Ring, b.Ring, tol)
	if err != nil || o.KeptArea > least {
		return false
	}
	for _, s := range geom.Match(a.Ring, b.Ring, tol) {
		if s.B0 > s.B1 {
			d.line = append(d.line, a.Ring[s.A].Part(s.A0, s.A1))
			d.allowances = [2]float64{d.one.Edges[a.Edge[s.A]].AllowanceFor(Set), d.other.Edges[b.Edge[s.B]].AllowanceFor(Set)}
		}
	}
	return len(d.line) > 0
}

// within finds the poses in which part lies in whole but for least mm².
func within(whole, part geom.Ring, tol, least float64) []geom.Motion {
	all := poses(whole, part, tol)
	for _, m := range poses(part, whole, tol)[1:] { // the part knows better how much of it lies on the whole
		all = append(all, m.Inverse())
	}
	return slices.DeleteFunc(all, func(m geom.Motion) bool {
		laid := part.Moved(m)
		if m.Mirror {
			laid = laid.Reverse()
		}
		o, err := geom.Compare(whole, laid, tol)
		return err != nil || o.AddedArea+math.Abs(o.Matched) > least
	})
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
			d, ok := dividedInto(old, found[k], q)
			if !ok {
				d, ok = openedInto(old, found[k], q)
			}
			if ok {
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
		Allowance: d.allowance(), PartAllowances: d.allowances, PartArea: netArea(d.other),
		Says: fmt.Sprintf("%q is split into %q and %q%s%s", d.whole.Name, names[0], names[1], words.allowanceOf(&d), d.newNames())}},
		d.besides(p.Changes)...)
	if len(d.fold) > 0 {
		p.Changes = append([]change.Change{openedOut(d.fold)}, p.Changes...)
	}
}

// openedInto is dividedInto for a piece on the fold that was opened out before it was
// divided: into parts neither of which lies on the fold.
func openedInto(old, one, other *pattern.Piece) (divided, bool) {
	whole, fold, ok := openedFor(old, one, other)
	if !ok {
		return divided{}, false
	}
	d, ok := dividedInto(whole, one, other)
	d.fold = fold
	return d, ok
}

// openedFor is a piece on the fold opened out, with the names that the parts into
// which it was cut then have for its other half; not ok where one of them lies on a
// fold itself.
func openedFor(old *pattern.Piece, parts ...*pattern.Piece) (whole *pattern.Piece, fold geom.Path, ok bool) {
	if foldOf(old) < 0 || slices.ContainsFunc(parts, func(q *pattern.Piece) bool { return foldOf(q) >= 0 }) {
		return nil, nil, false
	}
	if whole, ok = unfolded(old); !ok {
		return nil, nil, false
	}
	for _, q := range parts {
		calledAsNow(whole, q)
	}
	return whole, old.EdgePath(foldOf(old)), true
}

// foldOf is the fold of a piece, −1 where it has none.
func foldOf(q *pattern.Piece) int {
	return slices.IndexFunc(q.Edges, func(e pattern.Edge) bool { return e.Fold })
}

// netArea is the net area of a piece in mm², 0 where it has none.
func netArea(p *pattern.Piece) float64 {
	area, err := p.NetArea()
	if err != nil {
		return 0
	}
	return area
}

// follow says which edges of the whole the edges of both parts are.
func (d divided) follow(one, other *change.PieceDiff) {
	for k, p := range []*change.PieceDiff{one, other} {
		q := []*pattern.Piece{d.one, d.other}[k]
		p.Continues, p.Became = d.edgesOf(q), make([]int, len(d.whole.Edges))
		for i := range p.Became {
			p.Became[i] = -1
		}
		for j, i := range p.Continues {
			if i >= 0 && (p.Became[i] < 0 || q.Length(j) > q.Length(p.Became[i])) {
				p.Became[i] = j
			}
		}
	}
	other.Of, other.OfLaid = d.whole, d.poseOther
}

// tellJoin is tellSplit for two pieces joined to one.
func (d divided) tellJoin(p *change.PieceDiff, words *comparison) {
	d = d.onto(d.pose.Inverse()) // FROM's sheet is that of the first part
	names := []string{d.one.Name, d.other.Name}
	p.State = change.Joined
	p.Changes = append([]change.Change{{Kind: change.PieceJoined, Edges: []string{}, Of: names, Line: line(d.line), OldPath: d.line,
		Allowance: d.allowance(), PartAllowances: d.allowances, PartArea: netArea(d.other),
		Says: fmt.Sprintf("%q and %q are joined to %q%s", names[0], names[1], d.whole.Name, words.allowanceDropped(&d))}}, d.besides(p.Changes)...)
}

// onto moves all of it.
func (d divided) onto(m geom.Motion) divided {
	d.whole, d.one, d.other, d.line, d.fold = d.whole.Moved(m), d.one.Moved(m), d.other.Moved(m), d.line.Moved(m), d.fold.Moved(m)
	return d
}

// allowance is that at the line where both parts have the same, else nil.
func (d *divided) allowance() *float64 {
	if d.allowances[0] != d.allowances[1] {
		return nil
	}
	return change.Amount(d.allowances[0])
}

func (c *comparison) allowanceOf(d *divided) string {
	switch a := d.allowances; {
	case a == [2]float64{}:
		return ""
	case a[0] == a[1]:
		return fmt.Sprintf(", with an allowance of %s at the new seam", c.amount(a[0]))
	}
	return "; at the new seam " + c.bothAllowances(d)
}

func (c *comparison) allowanceDropped(d *divided) string {
	switch a := d.allowances; {
	case a == [2]float64{}:
		return ""
	case a[0] == a[1]:
		return fmt.Sprintf("; the allowance of %s at the seam between is dropped", c.amount(a[0]))
	}
	return "; the allowances at the seam between are dropped: " + c.bothAllowances(d)
}

// bothAllowances says what each part has at the line.
func (c *comparison) bothAllowances(d *divided) string {
	var says []string
	for k, p := range []*pattern.Piece{d.one, d.other} {
		amount := "no allowance"
		if d.allowances[k] != 0 {
			amount = "an allowance of " + c.amount(d.allowances[k])
		}
		says = append(says, fmt.Sprintf("%q has %s", p.Name, amount))
	}
	return strings.Join(says, " and ")
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
// makes: to the outline, and to what lies at the line or went with the other
// part.
func (d divided) besides(changes []change.Change) []change.Change {
	return slices.DeleteFunc(slices.Clone(changes), func(ch change.Change) bool {
		switch ch.Kind {
		case change.EdgeMoved, change.EdgeSwung, change.EdgeRun, change.EdgeRedrawn, change.Spread:
			return true
		case change.MarkRemoved, change.MarkAdded, change.MarkMoved, change.MarkChanged:
			return d.holdsMark(ch.Mark) || d.holds(ch)
		case change.NotchRemoved, change.NotchAdded, change.NotchMoved:
			return d.holds(ch)
		case change.CornerRounded, change.CornerRestored:
			return d.sameCorner(ch.At.Point())
		case change.AllowanceChanged:
			return d.sameAllowance(ch)
		case change.NameChanged:
			return len(ch.Edges) > 0 || ch.Mark != ""
		case change.CuttingChanged:
			return len(ch.Edges) > 0 || d.sameCut(ch)
		}
		return false
	})
}

// sameCut reports whether a part is cut as the whole is, where the change
// tells of the other part.
func (d divided) sameCut(ch change.Change) bool {
	cut := string(d.whole.Cut)
	return (ch.Before == cut || ch.After == cut) && (d.one.Cut == d.whole.Cut || d.other.Cut == d.whole.Cut)
}

// holdsMark reports whether a mark of that name has its like in the same place
// of the whole and of a part.
func (d divided) holdsMark(name string) bool {
	for _, p := range []*pattern.Piece{d.whole, d.one, d.other} {
		for _, m := range marksOf(p) {
			if m.Name != name {
				continue
			}
			if len(m.Path) > 0 && len(geom.MeetPaths(m.Path, d.line)) > 0 {
				return true // a line across both parts
			}
			at := markAt(p, m)
			lies := func(q *pattern.Piece) bool {
				return slices.ContainsFunc(marksOf(q), func(n pattern.Mark) bool { return n.Kind == m.Kind && markAt(q, n).Dist(at) <= inPlace })
			}
			if lies(d.whole) && (lies(d.one) || lies(d.other)) {
				return true
			}
		}
	}
	return false
}

// markAt is where a mark lies: one on an edge in the middle of what it takes
// up there.
func markAt(p *pattern.Piece, m pattern.Mark) geom.Point {
	if i := edgeNamed(p, m.Edge); m.Edge != "" && i >= 0 {
		return p.EdgePath(i).PointAt((m.From + m.To) / 2)
	}
	return anchor(m)
}

// holds reports whether a notch or mark lies at the line, or in both states:
// in the whole and in one of the parts.
func (d divided) holds(ch change.Change) bool {
	if ch.At == nil {
		return false
	}
	at := ch.At.Point()
	if _, far := d.line.Nearest(at); far <= inPlace {
		return true
	}
	lies := func(p *pattern.Piece) bool {
		return slices.ContainsFunc(places(p), func(q geom.Point) bool { return q.Dist(at) <= inPlace }) ||
			slices.ContainsFunc(marksOf(p), func(m pattern.Mark) bool { return m.Edge != "" && anchor(m).Dist(at) <= inPlace })
	}
	return lies(d.whole) && (lies(d.one) || lies(d.other))
}

// sameCorner reports whether the corner at a place is rounded alike in the
// whole and in a part, or is one that the line made.
func (d divided) sameCorner(at geom.Point) bool {
	if d.line.Start().Dist(at) <= 1 || d.line.End().Dist(at) <= 1 {
		return true
	}
	round := func(p *pattern.Piece) float64 {
		for _, c := range p.Corners {
			if c.At.Dist(at) <= 1 {
				return c.Round
			}
		}
		return -1
	}
	r := round(d.whole)
	return r >= 0 && (round(d.one) == r || round(d.other) == r)
}

// sameAllowance reports whether the edge has the same allowance in a part
// where that runs along it; an edge at the line has none to compare with.
func (d divided) sameAllowance(ch change.Change) bool {
	for _, p := range []*pattern.Piece{d.whole, d.one, d.other} {
		i := edgeNamed(p, ch.Edges[0])
		if i < 0 {
			continue
		}
		edge := p.EdgePath(i)
		if far, _ := explain.Farthest(edge, d.line); far <= inPlace {
			return true
		}
		for _, q := range []*pattern.Piece{d.whole, d.one, d.other} {
			for j := range q.Edges {
				far, _ := explain.Farthest(q.EdgePath(j), edge)
				back, _ := explain.Farthest(edge, q.EdgePath(j))
				if q != p && math.Min(far, back) <= inPlace && q.Edges[j].AllowanceFor(ch.How) == p.Edges[i].AllowanceFor(ch.How) {
					return true
				}
			}
		}
	}
	return false
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
	joinOverFold(whole, len(whole.Edges)-1) // the later joint first, so that the other keeps its place
	joinOverFold(whole, n-2-(2*(n-1)-len(whole.Edges)))
	return whole, true
}
