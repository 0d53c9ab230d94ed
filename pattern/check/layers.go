package check

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// layers lays the inner pieces of each layer on their outer and finds where
// they do not lie on it, or leave a gap or an overlap between each other,
// beyond the tolerance and the declared differences.
func (c *checker) layers() {
	var left []pattern.Layer
	for _, l := range c.p.Layers {
		if !l.Band && c.piece(l.Outer) != nil {
			left = append(left, l)
		}
	}
	for len(left) > 0 {
		var v layering
		v, left = c.laidTogether(left[0], left[1:])
		for _, name := range v.layer.Inner {
			if inner := c.piece(name); inner != nil {
				v.lie = append(v.lie, c.layHalves(inner, v.outer, v.layer)...)
			}
		}
		v.judge()
	}
	for _, l := range c.p.Layers {
		if !l.Band && c.piece(l.Outer) != nil {
			c.intakes(l)
		}
	}
	c.apartUnder()
}

// layering is the work on one layer.
type layering struct {
	*checker
	layer  pattern.Layer
	outer  *pattern.Piece // several laid together, where inner pieces lie across them
	outers []string       // their names
	lie    []laid
	used   []bool // declared differences that were found
	lost   bool   // a piece could not be laid
}

// gap is how an edge of an inner piece lies: against an edge of the outer, or of
// another inner piece.
type gap struct {
	lie, edge int
	other     int // the other inner piece, −1 for the outer
	against   int // edge of the outer or of the other piece
	off       float64
	where     geom.Point
}

// leastSure is how many edges of an inner piece have to lie on its outer for it
// to be laid by its shape; one called as an edge of the outer is enough.
const leastSure = 2

func (v *layering) judge() {
	v.showsAtCentre()
	var gaps []gap
	for i, l := range v.lie {
		if l.side != 2 && l.sure < leastSure { // the other half lies as the first
			v.lost = true
			v.add(change.Finding{Kind: change.LayerOff, Where: fmt.Sprintf("%s on %s", l.piece.Name, v.outer.Name), Pieces: append([]string{l.piece.Name}, v.outers...),
				Says: fmt.Sprintf("%s finishes to %s, but no edge of it can be laid on an edge of %s", l.piece.Name, v.outer.Name, v.outer.Name),
				Do:   "give edges that lie on each other the same name with `toile edge`; or, if it follows in length alone, say so with `toile layers --band`"})
			continue
		}
		gaps = append(gaps, v.gaps(i)...)
		v.corners(i)
	}
	for _, g := range gaps {
		if !v.meant(g, gaps) && !v.toldOfOtherHalf(g, gaps) {
			v.add(v.finding(g, gaps))
		}
	}
	v.lostInsets(gaps)
	v.undeclared(gaps)
}

// gaps measures every edge of an inner piece that belongs to an edge of the
// outer, or is joined to another inner piece. A joint is measured once.
func (v *layering) gaps(i int) []gap {
	var out []gap
	l := v.lie[i]
	for e, path := range l.edges {
		if l.side != 0 && l.piece.Edges[e].Fold || l.off != nil && l.off[e] {
			continue // it lies at the centre line, or on the other half
		}
		if other, edge := v.joint(i, e); other >= 0 {
			if back, j := v.joint(other, edge); other < i && back == i && j == e {
				continue // told from there
			}
			if off, where, ok := apart(path, v.lie[other].edges[edge].Reverse()); ok {
				// To the left of the other edge, turned round, lies the other piece: there
				// the two overlap.
				out = append(out, gap{i, e, other, edge, off, where})
			}
			continue
		}
		if k := l.on[e]; k >= 0 {
			if off, where, ok := apart(path, v.outer.EdgePath(k)); ok {
				out = append(out, gap{i, e, -1, k, off, where})
			}
		}
	}
	return out
}

// between is how far in mm apart two edges of inner pieces may lie that no seam
// joins, for them to be taken as joined.
const between = 40

// joint finds the edge of another inner piece that an edge is sewn to, or that
// lies beside it the other way; −1 where there is none.
func (v *layering) joint(i, e int) (other, edge int) {
	l := v.lie[i]
	for _, w := range v.walks {
		for side := range w.sides {
			a, b := w.sides[side].Parts, w.sides[1-side].Parts
			if len(a) != 1 || len(b) != 1 || a[0].Piece != l.piece || a[0].Edge != e {
				continue
			}
			for k := range v.lie {
				if k != i && v.beside(i, k) && v.lie[k].piece == b[0].Piece {
					return k, b[0].Edge
				}
			}
		}
	}
	if l.on[e] >= 0 {
		return -1, -1
	}
	other, edge = -1, -1
	least := between + 1e-9
	for k := range v.lie {
		for j, path := range v.lie[k].edges {
			if k == i || !v.beside(i, k) || v.lie[k].on[j] >= 0 || v.lie[k].off != nil && v.lie[k].off[j] {
				continue
			}
			back := path.Reverse()
			if d, _, ok := apart(l.edges[e], back); ok && math.Abs(d) < least && runsAlong(l.edges[e], back) {
				least, other, edge = math.Abs(d), k, j
			}
		}
	}
	return other, edge
}

// alongFold reports whether the edge of the outer that a gap is at runs along a fold
// of it, or is the fold, or runs along the centre line on which an inner piece's fold
// lies: what is declared for the whole is there by half.
func (v *layering) alongFold(g gap) bool {
	way := func(path geom.Path) geom.Point { return path.End().Sub(path.Start()).Unit() }
	edge := way(v.outer.EdgePath(g.against))
	if l := v.lie[g.lie]; l.side != 0 && math.Abs(way(l.centre).Dot(edge)) > sameDirection {
		return true
	}
	for i, e := range v.outer.Edges {
		if e.Fold && math.Abs(way(v.outer.EdgePath(i)).Dot(edge)) > sameDirection {
			return true
		}
	}
	return false
}

func (v *layering) finding(g gap, all []gap) change.Finding {
	q := v.lie[g.lie].piece
	f := change.Finding{Kind: change.LayerOff, Mismatch: true, MM: g.off, Where: edgeWords(q, g.edge), Pieces: append(slices.Clone(v.outers), q.Name), At: at(g.where)}
	out, size, move := "in", "larger", g.off
	if g.off < 0 {
		out, size = "out", "smaller"
	}
	edge := q
	if g.other >= 0 {
		o := v.lie[g.other].piece
		f.Pieces = append(f.Pieces, o.Name)
		f.Where += " and " + edgeWords(o, g.against)
		edge = v.wrong(g)
		lie := map[bool]string{true: "overlaps by", false: "leaves a gap of"}[g.off > 0]
		f.Says = fmt.Sprintf("laid on %s, %s %s %s to %s, %q%s: together they are so much %s than %s", v.outer.Name, edgeWords(q, g.edge), lie, v.length(g.off), o.Name, o.Edges[g.against].Name, v.jointHalf(g, all), size, v.outer.Name)
		f.Says += v.allowanceWords(g)
	} else {
		f.Says = fmt.Sprintf("laid on %s, %s lies %s %s of %s: it is so much %s there", v.outer.Name, edgeWords(q, g.edge), v.length(g.off),
			map[string]string{"in": "outside", "out": "inside"}[out], v.againstWords(g, all), size)
		if by := v.declaredAt(g); by != 0 {
			f.Says += v.declaredWords(g, by)
			if move -= by; move < 0 {
				out = "out"
			} else {
				out = "in"
			}
		}
	}
	f.Do = v.advice(g, edge, out, move, all)
	return f
}

// advice says what to do about a gap: to move the edge of a piece out or in by so many
// mm, to declare the difference, or to bring over what the outer has and it lacks.
func (v *layering) advice(g gap, edge *pattern.Piece, out string, move float64, all []gap) string {
	q := v.lie[g.lie].piece
	says := fmt.Sprintf("%s %s by %s", v.moveWords(g, edge, all), out, v.length(move))
	switch {
	case g.other < 0 && q.Edges[g.edge].Fold:
		says = v.foldAdvice(g, move, all)
	case v.sewnThere(g):
		says += fmt.Sprintf("; it is sewn to %s there, so that no difference is to be declared", v.outer.Name)
	default:
		says += fmt.Sprintf(", or declare the difference with `%s`", v.declareCommand(g, edge, all))
	}
	if g.other < 0 && len(v.outers) == 1 && v.options.Carries != nil && v.options.Carries(v.layer.Outer, v.outer.Edges[g.against].Name, q.Name) {
		says = fmt.Sprintf("bring the change over with `toile alter carry %q %q --to %q`, or %s", v.layer.Outer, v.outer.Edges[g.against].Name, q.Name, says)
	}
	return says
}

// foldAdvice says what to do where an inner piece is larger at its fold by move mm, or
// smaller: a fold is not moved, for what lies beyond it moves with it.
func (v *layering) foldAdvice(g gap, move float64, all []gap) string {
	q := v.lie[g.lie].piece
	if move > 0 {
		return fmt.Sprintf("lay %s into a pleat along the fold of %s and declare it with `%s`, or take so much out between the fold and the other edges of %s; the fold itself is not to be moved",
			v.length(move), q.Name, v.declareCommand(g, q, all), q.Name)
	}
	return fmt.Sprintf("let %s into %s between its fold and its other edges, or declare the difference with `%s`; the fold itself is not to be moved", v.length(move), q.Name, v.declareCommand(g, q, all))
}

// moveWords says which edge of a piece, the inner one of a gap or the other, is to be
// moved: of one on the fold that is off on one half alone after drawing it whole, of a
// pair that is off under one of the wearer's sides alone after making two of it.
func (v *layering) moveWords(g gap, q *pattern.Piece, all []gap) string {
	other, drawn, unlike := v.underOtherSide(g)
	switch {
	case unlike:
		return fmt.Sprintf("make two pieces of %s with `toile alter separate %q --drawn %s`, for that under %s is to stay, and move %q of the one under %s", q.Name, q.Name, drawn, other, q.Edges[g.edge].Name, v.outer.Name)
	case q != v.lie[g.lie].piece:
		return fmt.Sprintf("move %q of %s", q.Edges[g.against].Name, q.Name)
	case g.other < 0 && q.Cut == pattern.CutOnFold && v.oneSided(g, all):
		return fmt.Sprintf("draw %s whole with `toile alter unfold %q`, for its other half is to stay, and move its edge along %s", q.Name, q.Name, v.againstWords(g, all))
	}
	return fmt.Sprintf("move %q of %s", q.Edges[g.edge].Name, q.Name)
}

// declaredAt is what is declared in all for the edge of the outer that a gap is
// measured against, in mm square to it. It shows there, though with more.
func (v *layering) declaredAt(g gap) float64 {
	sum := 0.0
	for i, by := range v.ofEdge(v.lie[g.lie].piece, g.against, g.where) {
		if sum += by; by != 0 {
			v.used[i] = true
		}
	}
	return sum
}

// declaredWords says what is declared for the edge of the outer that a gap is measured
// against: as it was typed, and at a hem that slants what by mm of it are square to it.
func (v *layering) declaredWords(g gap, by float64) string {
	typed := 0.0
	for i, there := range v.ofEdge(v.lie[g.lie].piece, g.against, g.where) {
		if there != 0 {
			typed += v.layer.Differences[i].By
		}
	}
	says, square := v.p.Unit.FormatSigned(typed), v.p.Unit.FormatSigned(by)
	if says == square {
		return fmt.Sprintf(", with %s declared", says)
	}
	return fmt.Sprintf(", with %s declared, which is %s square to the hem there", says, square)
}

// declareCommand declares what a gap is off, at the edge of the outer where it
// has one: in the words of what is declared there already, else in words of its
// own.
func (v *layering) declareCommand(g gap, q *pattern.Piece, all []gap) string {
	what := "smaller"
	if g.off > 0 {
		what = "larger"
	}
	off := g.off
	if g.other < 0 {
		for _, d := range v.layer.Differences {
			if d.At(q.Name, v.outer.Edges[g.against].Name) {
				what = d.What
			}
		}
		if along := v.atEdge(pattern.Difference{By: 1}, g.against, g.where); along > 0.1 {
			off /= along // at a hem it is counted along the grain
		}
	}
	command := fmt.Sprintf("toile layers %q %q", v.layer.Outer, q.Name)
	if g.other >= 0 {
		return command + fmt.Sprintf(" --difference %q", what+"="+v.p.Unit.Typed(off))
	}
	for _, edge := range v.against(g, all) {
		command += fmt.Sprintf(" --difference %q", what+"@"+edge+"="+v.p.Unit.Typed(off))
	}
	return command
}

// wrong is the piece of a joint that is to be altered: the one that covers more
// of the outer, as a lining does beside a facing.
func (v *layering) wrong(g gap) *pattern.Piece {
	a, b := v.lie[g.lie].piece, v.lie[g.other].piece
	areaA, errA := a.NetArea()
	areaB, errB := b.NetArea()
	if errA == nil && errB == nil && areaB > areaA {
		return b
	}
	return a
}

// allowanceWords says which slip with the allowances an amount is the mark of.
// Common practice: an inner piece drafted from the cut facing goes wrong by one
// allowance or two. One that was altered since the last version went wrong by that.
func (v *layering) allowanceWords(g gap) string {
	q, o := v.lie[g.lie].piece, v.lie[g.other].piece
	a, b := q.Edges[g.edge].AllowanceFor(v.p.Sets[0]), o.Edges[g.against].AllowanceFor(v.p.Sets[0])
	if a == 0 || math.Abs(a-b) > 0.05 || v.moved(q, g.edge) > 0 || v.moved(o, g.against) > 0 {
		return ""
	}
	for _, slip := range []struct {
		off  float64
		says string
	}{
		{-a, "one allowance: a sewing line was laid on the other's cutting line"},
		{-2 * a, "two allowances: a cutting line was laid on the other's cutting line"},
		{a, "one allowance: it was taken twice"},
	} {
		if math.Abs(g.off-slip.off) < 0.1 {
			return "; that is " + slip.says
		}
	}
	return ""
}

// undeclared reminds of declared differences that nothing shows.
func (v *layering) undeclared(gaps []gap) {
	if v.lost || len(gaps) == 0 {
		return
	}
	for i, d := range v.layer.Differences {
		if v.used[i] || math.Abs(d.By) <= 2*v.tol || v.unseen(d, gaps) {
			continue
		}
		do := "draw it, or leave it out of `toile layers`"
		if d.Piece != "" && v.options.Carries != nil && v.options.Carries(v.layer.Outer, d.Edge, d.Piece) {
			do = fmt.Sprintf("bring the change over with `toile alter carry %q %q --to %q`, or %s", v.layer.Outer, d.Edge, d.Piece, do)
		}
		v.add(change.Finding{Kind: change.LayerOff, MM: -d.By, Where: "layers of " + v.outer.Name, Pieces: append(slices.Clone(v.outers), v.layer.Inner...),
			Says: fmt.Sprintf("%s of %s is declared, but %s as laid on %s do not show it", d.What, v.p.Unit.FormatSigned(d.By), listed(slices.Clone(v.layer.Inner)), v.outer.Name),
			Do:   do})
	}
}
