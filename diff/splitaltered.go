package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// splitPiece is an old piece that was cut along one line or more, and whose
// parts were altered besides: one is the part that bears on its id, others the
// new ones, in the order of the cuts.
type splitPiece struct {
	whole  *pattern.Piece
	one    *pattern.Piece
	others []*pattern.Piece
	halves []half      // of one, then of the others
	fold   geom.Path   // along which whole was opened out before; nil where it was not
	lines  []geom.Path // between what was left and each of the others
	cost   float64     // of what was altered besides
	plain  bool        // nothing in it is redrawn, gone or new
	known  bool        // all the lines are, by what lies between the states
}

const (
	// leastWithin is the share of a new part that has to lie on the old piece.
	leastWithin = 0.5

	// mostGrownPart: how much larger or smaller than its half of the old piece a
	// part may be.
	mostGrownPart = 2.0

	// newPieceCost is what a piece of nobody's costs more than a split, where only
	// the shapes say that a piece was split: the changes to both parts have to
	// cost less than one told as altered and the other as drafted.
	newPieceCost = 0.5

	// mostSplitPoses bounds in how many ways a new part is laid on the old piece.
	mostSplitPoses = 6
)

// partsOf lists the new pieces that were split off an old one by what their
// files say: their `was` leads to it. taken are those that continue an old
// piece.
func partsOf(old *pattern.Piece, b *pattern.Pattern, taken map[*pattern.Piece]bool) []*pattern.Piece {
	from := map[string]bool{old.ID: old.ID != ""}
	var found []*pattern.Piece
	for range b.Pieces {
		for _, q := range b.Pieces {
			if !taken[q] && q.Was != "" && from[q.Was] && !slices.Contains(found, q) {
				found, from[q.ID] = append(found, q), q.ID != ""
			}
		}
	}
	return found
}

// recut finds the lines along which a piece was cut into the parts that there
// are now. each part may have been altered since.
// lines are those that are known, by the id of the part that was cut off.
func recut(whole, one *pattern.Piece, others []*pattern.Piece, lines knownLines) (splitPiece, bool) {
	s := splitPiece{whole: whole, one: one, known: true}
	rest, origin := whole, upTo(len(whole.Edges))
	s.halves = []half{{}}
	for left := slices.Clone(others); len(left) > 0; {
		c, ok := cutOff(rest, one, left, lines)
		if !ok {
			return s, false
		}
		for k := range c.parts {
			c.parts[k].origin = through(origin, c.parts[k].origin)
		}
		s.others, s.lines = append(s.others, c.other), append(s.lines, c.line)
		s.halves = append(s.halves, c.parts[0])
		s.halves[0] = c.parts[1]
		s.cost, s.plain, s.known = s.cost+c.cost, c.unexplained == 0, s.known && c.known
		rest, origin = c.parts[1].piece, c.parts[1].origin
		left = slices.DeleteFunc(left, func(q *pattern.Piece) bool { return q == c.other })
	}
	return s, true
}

func upTo(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// through follows edges of a half of a half back to the whole's.
func through(origin, next []int) []int {
	out := make([]int, len(next))
	for k, i := range next {
		if out[k] = -1; i >= 0 {
			out[k] = origin[i]
		}
	}
	return out
}

// cutting is one way to cut a part off.
type cutting struct {
	other       *pattern.Piece
	parts       [2]half // that of the other piece, and the rest
	line        geom.Path
	cost        float64 // of what was altered in the parts
	elsewhere   float64 // what the other part's lying elsewhere on the sheet costs
	unexplained int
	known       bool // the line is, by what lies between the states
}

// cutOff finds the line along which one of the parts was cut off: an edge of
// it, or where two parts are left of either, that lies within the piece. The
// one that leaves least to explain counts, and one that is known before all others.
func cutOff(rest, one *pattern.Piece, left []*pattern.Piece, known knownLines) (cutting, bool) {
	best := cutting{cost: math.Inf(1)}
	for _, q := range left {
		for _, c := range cutAlong(rest, q, known[q.ID]) {
			if c.weigh(one, len(left) == 1) && c.unexplained == 0 && c.cost+c.elsewhere < best.cost+best.elsewhere {
				best = c
			}
		}
	}
	if best.known {
		return best, true
	}
	for _, q := range left {
		for _, from := range []*pattern.Piece{q, one} {
			if from == one && len(left) > 1 {
				continue
			}
			for _, line := range linesWithin(rest, from) {
				parts, line, ok := halves(rest, line)
				if !ok {
					continue
				}
				if from == one {
					parts[0], parts[1] = parts[1], parts[0]
				}
				c := cutting{other: q, parts: parts, line: line}
				if c.weigh(one, len(left) == 1) && c.cost+c.elsewhere < best.cost+best.elsewhere-1e-9 {
					best = c
				}
			}
		}
	}
	return best, !math.IsInf(best.cost, 1)
}

// weigh adds up what the changes to the parts cost; false where a part is far
// larger or smaller than its half.
func (c *cutting) weigh(one *pattern.Piece, last bool) bool {
	pairs := []*pattern.Piece{c.other, one}
	if !last {
		pairs = pairs[:1]
	}
	for k, q := range pairs {
		a, errA := c.parts[k].piece.NetArea()
		b, errB := q.NetArea()
		if errA != nil || errB != nil || a <= 0 || b <= 0 || math.Abs(math.Log(a/b)) > math.Log(mostGrownPart) {
			return false
		}
		trial := &comparison{old: c.parts[k].piece, tol: tolerance(c.parts[k].piece, q)}
		if trial.place(q) != nil || opensOut(c.parts[k].piece, q) {
			return false
		}
		x, _ := trial.explained()
		c.cost += x.Cost()
		if moved := trial.d.Placement != (change.Placement{}); moved && k == 0 {
			c.elsewhere = movedCost
		} else if moved {
			c.cost += movedCost
		}
		c.unexplained += x.Unexplained()
	}
	return true
}

// linesWithin lists the edges of a part that run through the inside of the
// piece when the part is laid on it.
func linesWithin(whole, part *pattern.Piece) []geom.Path {
	w, errW := whole.Outline()
	p, errP := part.Outline()
	if errW != nil || errP != nil {
		return nil
	}
	tol := tolerance(whole, part)
	all := poses(w.Ring, p.Ring, tol)
	for _, m := range poses(p.Ring, w.Ring, tol)[1:] {
		all = append(all, m.Inverse())
	}
	all = all[:min(len(all), mostSplitPoses)]
	var lines []geom.Path
	for k, m := range all {
		laid := part.Moved(m)
		if slices.ContainsFunc(all[:k], func(n geom.Motion) bool { return sameLaying(m, n, part) }) || !liesOn(w.Ring, laid) {
			continue
		}
		for i := range laid.Edges {
			path := laid.EdgePath(i)
			inside := 0
			for _, share := range []float64{0.25, 0.5, 0.75} {
				at := path.PointAt(share * path.Length())
				if _, off := geom.Path(w.Ring).Nearest(at); off > leastOfEdge && w.Ring.Holds(at) {
					inside++
				}
			}
			if inside == 3 {
				lines = append(lines, path)
			}
		}
	}
	return lines
}

// liesOn reports whether most of a part, as it is laid, lies on the piece.
func liesOn(whole geom.Ring, laid *pattern.Piece) bool {
	p, err := laid.Outline()
	if err != nil {
		return false
	}
	o, err := geom.Compare(whole, p.Ring, sameWithin)
	return err == nil && o.KeptArea >= leastWithin*p.Ring.Area()
}

// splitsAltered finds the splits among pieces that do not fill the old ones:
// by what the new files say they were, else by their shapes alone where those
// explain it simply.
func splitsAltered(a, b *pattern.Pattern, found []*pattern.Piece, known []divided, lines knownLines) (splits []splitPiece) {
	taken := map[*pattern.Piece]bool{}
	for _, q := range found {
		taken[q] = true
	}
	for k, old := range a.Pieces {
		if found[k] == nil {
			continue
		}
		named := partsOf(old, b, taken)
		named = slices.DeleteFunc(named, func(q *pattern.Piece) bool { return leftAndRight(old, found[k], q) })
		exact := slices.ContainsFunc(known, func(d divided) bool { return d.whole == old })
		if len(named) == 0 && !exact {
			if s, ok := splitByShape(old, found[k], b, taken); ok {
				splits, taken[s.others[0]] = append(splits, s), true
			}
			continue
		}
		if exact && len(named) < 2 {
			continue
		}
		s, ok := recut(old, found[k], named, lines)
		if whole, fold, opens := openedFor(old, append([]*pattern.Piece{found[k]}, named...)...); opens {
			if o, also := recut(whole, found[k], named, lines); also && (!ok || o.cost < s.cost) {
				s, ok = o, true
				s.fold = fold
			}
		}
		if ok {
			splits = append(splits, s)
			for _, q := range named {
				taken[q] = true
			}
		}
	}
	return splits
}

// splitByShape looks among the pieces that are nobody's for one that was cut
// off, though no file says so.
func splitByShape(old, one *pattern.Piece, b *pattern.Pattern, taken map[*pattern.Piece]bool) (splitPiece, bool) {
	nobodys := slices.DeleteFunc(slices.Clone(b.Pieces), func(q *pattern.Piece) bool { return taken[q] || q.Was != "" })
	return cutByShape(old, one, nobodys)
}

// motionOf is the motion of a placement.
func motionOf(p change.Placement) geom.Motion {
	return geom.Motion{Mirror: p.Mirrored, Turn: geom.Degrees(p.Turn), Shift: geom.Pt(p.DX, p.DY)}
}

// altered compares a half with the part that it became.
func (h *half) altered(part *pattern.Piece, b *pattern.Pattern) (change.PieceDiff, error) {
	h.called(part, nil)
	d, err := Pieces(h.piece, part, b)
	if err != nil {
		return d, err
	}
	h.called(part, d.Became)
	return Pieces(h.piece, part, b)
}

// atLine reports whether an edge lies at a line of the split.
func (h *half) atLine(name string) bool {
	k := edgeNamed(h.piece, name)
	return k >= 0 && h.origin[k] < 0
}

// changes are those of a half that the split itself does not make: its edges at
// lines of a split are new, and so is all that is set on them.
func (h *half) changes(d change.PieceDiff) []change.Change {
	return slices.DeleteFunc(slices.Clone(d.Changes), func(ch change.Change) bool {
		return !slices.Contains(outlineKinds, ch.Kind) && (slices.ContainsFunc(ch.Edges, h.atLine) || ch.Mark == "grain")
	})
}

// origin says of a part that is a piece of its own what it was split off from,
// and along which of its edges, by index; −1 where none is at the line.
func (s *splitPiece) origin(part *pattern.Piece, seam int) string {
	says := fmt.Sprintf("split off from %q", s.whole.Name)
	if seam >= 0 {
		says += fmt.Sprintf(" along %q", part.Edges[seam].Name)
	}
	return says
}

// follows says of the edges of a diff which edge of the whole each continues.
func (h *half) follows(d *change.PieceDiff, whole *pattern.Piece) {
	then := d.Became
	d.Continues = through(h.origin, d.Continues)
	d.Became = make([]int, len(whole.Edges))
	for i := range d.Became {
		d.Became[i] = -1
	}
	for k, i := range h.origin {
		if i >= 0 && d.Became[i] < 0 {
			d.Became[i] = then[k]
		}
	}
}

// lengths lists the edges of the whole and what they are in the part, and the
// part's new ones.
func lengths(d *change.PieceDiff, whole *pattern.Piece) {
	d.Edges = nil
	for i, e := range whole.Edges {
		l := change.EdgeLength{Edge: e.Name}
		l.Length[0] = change.Figure(whole.Length(i))
		for j, of := range d.Continues {
			if of == i {
				l.Length[1] += d.New.Length(j)
			}
		}
		l.Length[1] = change.Figure(l.Length[1])
		d.Edges = append(d.Edges, l)
	}
	for j, of := range d.Continues {
		if of < 0 {
			d.Edges = append(d.Edges, change.EdgeLength{Edge: d.New.Edges[j].Name, Length: [2]float64{0, change.Figure(d.New.Length(j))}})
		}
	}
}

// tell puts the split, and what changed besides at each part, in place of what
// was said of its pieces.
func (s *splitPiece) tell(entry func(*pattern.Piece) *change.PieceDiff, b *pattern.Pattern) error {
	parts := append([]*pattern.Piece{s.one}, s.others...)
	told := make([]change.PieceDiff, len(parts))
	for k, part := range parts {
		d, err := s.halves[k].altered(part, b)
		if err != nil {
			return err
		}
		laid, changes, seam := motionOf(d.Placement), s.halves[k].changes(d), d.Became[s.halves[k].seam()]
		s.halves[k].follows(&d, s.whole)
		if k == 0 {
			told[k], err = piecesAt(s.whole, part, b, &laid)
		} else {
			told[k], err = oneSided(part.Moved(laid), change.Added, 1)
			told[k].Before, told[k].Of, told[k].Placement = s.whole.Name, s.whole, d.Placement
			told[k].Origin, told[k].OfLaid = s.origin(part, seam), laid
		}
		if err != nil {
			return err
		}
		told[k].State, told[k].Changes = change.Split, changes
		told[k].Continues, told[k].Became = d.Continues, d.Became
	}
	s.sayOpen(told, func(k int, name string) bool { return s.halves[k].atLine(name) })
	lengths(&told[0], s.whole)
	told[0].Changes = append(s.said(b), told[0].Changes...)
	for k, part := range parts {
		*entry(part) = told[k]
	}
	return nil
}

// said tells of the lines along which the piece was split, and of its new name.
func (s *splitPiece) said(b *pattern.Pattern) []change.Change {
	words := &comparison{unit: b.Unit}
	var all []change.Change
	if len(s.fold) > 0 {
		all = append(all, openedOut(s.fold))
	}
	for k, q := range s.others {
		names := []string{s.one.Name, q.Name}
		h := &s.halves[k+1]
		allowance := h.piece.Edges[h.seam()].AllowanceFor(Set)
		cut := &divided{whole: s.whole, one: s.one, other: q, line: s.lines[k], allowances: [2]float64{allowance, allowance}}
		says := fmt.Sprintf("%q is split into %q and %q%s", s.whole.Name, names[0], names[1], words.allowanceOf(cut))
		if k > 0 {
			says = fmt.Sprintf("%q is split off too%s", q.Name, words.allowanceOf(cut))
		}
		all = append(all, change.Change{Kind: change.PieceSplit, Edges: []string{}, Into: names, Line: line(s.lines[k]), NewPath: s.lines[k],
			Allowance: change.Amount(allowance), PartArea: netArea(q), Says: says})
	}
	if s.whole.Name != s.one.Name {
		all = append(all, change.Change{Kind: change.NameChanged, Edges: []string{}, Before: s.whole.Name, After: s.one.Name,
			Says: fmt.Sprintf("%q is now called %q", s.whole.Name, s.one.Name)})
	}
	return all
}
