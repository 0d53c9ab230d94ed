package explain

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

// A part of an outline that was opened along a line and then altered is found
// by doing the opening again on the old outline: the part that lies beyond the
// line is moved, what was drawn anew across the gap is taken from the new
// outline, and what is left to explain is whatever was altered besides.

const (
	// worthOpening is what an explanation has to cost for one with an opening and
	// other changes to be looked for.
	worthOpening = 1.55

	// deepest is how many openings one after another are looked for.
	deepest = 2

	// leastGain is by how much less an opening and the rest have to cost than what
	// was told without it: more than what sets a taper off from a plain move.
	leastGain = 0.2

	// nearly is the share of an edge that lies somewhere if the edge does.
	nearly = 0.9

	mostMotions = 5 // motions of a part that are tried
	mostArcs    = 3 // parts that one motion is tried on
)

// openedBesides looks for an opening that leaves less to explain, together with
// it, than x does.
func openedBesides(old, now Outline, hint []int, tol Tolerance, x *Explanation, depth int) *Explanation {
	u := &undoing{e: &explainer{old: old, now: now, hint: hint, tol: tol}, x: x}
	u.oldRing, u.oldEdge = old.ring()
	u.nowRing, u.nowEdge = now.ring()
	u.kept = u.lies(geom.Motion{}, tol.Kept)
	best, cost := x, x.Cost()
	u.alone = cost-leastGain-costMoved < costMoved
	for _, m := range u.motions() {
		gone := u.lies(m, tol.moved())
		for _, a := range u.arcs(gone) {
			s, opened, ok := u.open(m, gone, a)
			if !ok || max(math.Abs(s.Open[0]), math.Abs(s.Open[1])) < tol.Opened {
				continue
			}
			y := explain(opened, now, hint, tol, depth-1)
			if takenBack(&s, y) {
				continue
			}
			if c := s.cost(len(old.Edges)) + costRedrawn*float64(s.drawn()) + y.Cost(); c < cost-leastGain {
				best, cost = withOpening(s, old, y), c
			}
		}
	}
	return best
}

// takenBack reports whether what follows an opening undoes it in part: one that
// may lie anywhere between two edges, closed, and between the same two opened
// again, or the other way about. Nobody did that; the edges were drawn anew.
func takenBack(s *Spread, y *Explanation) bool {
	return slices.ContainsFunc(y.Spreads, func(t Spread) bool {
		return t.First == s.First && t.Last == s.Last && (s.Anywhere || t.Anywhere) && (s.Open[0]+s.Open[1])*(t.Open[0]+t.Open[1]) < 0
	})
}

// withOpening puts an opening before the changes to the opened outline, which
// are told on the old one.
func withOpening(s Spread, old Outline, y *Explanation) *Explanation {
	x := &Explanation{Spreads: append([]Spread{s}, y.Spreads...), Rounded: y.Rounded, Edges: slices.Clone(y.Edges)}
	back := s.Motion.Inverse()
	n := len(old.Edges)
	for k := range x.Spreads[1:] {
		t := &x.Spreads[k+1]
		for end, i := range [2]int{t.First, t.Last} {
			if s.moves(i, n) {
				t.Line[end] = back.Apply(t.Line[end])
			}
		}
	}
	for i := range n {
		e := &x.Edges[i]
		if len(e.New) > 0 && e.Into < 0 && s.moves(i, n) {
			e.Pivot, e.At = back.Apply(e.Pivot), back.Apply(e.At)
		}
		if len(e.From) > 0 && e.Into < 0 {
			e.From = old.Edges[i]
		}
	}
	return x
}

// moves reports whether an edge of n lies in the part that moved.
func (s *Spread) moves(i, n int) bool {
	return i != s.First && (i-s.First+n)%n < (s.Last-s.First+n)%n
}

// undoing is the search for an opening.
type undoing struct {
	e                *explainer
	x                *Explanation
	oldRing, nowRing geom.Ring
	oldEdge, nowEdge []int
	kept             []lying
	alone            bool // only an opening that explains everything costs less
}

// lying is how much of an old edge lies on the new outline: between two lengths
// along it, and which new edge most of it lies on.
type lying struct {
	lo, hi, covered float64 // mm
	on              int
	most            float64
}

// lies finds what of each old edge, moved, lies on the new outline.
func (u *undoing) lies(m geom.Motion, within float64) []lying {
	all := make([]lying, len(u.e.old.Edges))
	first := make([]int, len(all))
	for i := range all {
		all[i] = lying{lo: math.Inf(1), on: -1}
		first[i] = slices.Index(u.oldEdge, i)
	}
	on := map[[2]int]float64{}
	for _, s := range geom.Match(u.oldRing.Moved(m), u.nowRing, within) {
		if s.B0 > s.B1 {
			continue
		}
		i, j := u.oldEdge[s.A], u.nowEdge[s.B]
		p, l := u.e.old.Edges[i], &all[i]
		a := p.LengthTo(geom.Place{Curve: s.A - first[i], T: s.A0})
		b := p.LengthTo(geom.Place{Curve: s.A - first[i], T: s.A1})
		l.lo, l.hi, l.covered = min(l.lo, a), max(l.hi, b), l.covered+b-a
		if on[[2]int{i, j}] += b - a; on[[2]int{i, j}] > l.most {
			l.on, l.most = j, on[[2]int{i, j}]
		}
	}
	return all
}

// moveVote is a motion of a part, and how many mm of edges speak for it.
type moveVote struct {
	m      geom.Motion
	length float64
}

// motions lists how a part may have moved: as the ends of edges did, with the
// directions there; those first for which most of the outline speaks.
func (u *undoing) motions() []geom.Motion {
	var votes []moveVote
	for i, p := range u.e.old.Edges {
		length := p.Length()
		if u.alone && u.kept[i].covered >= nearly*length {
			continue // an edge that moved as a whole shows the motion
		}
		for j, q := range u.e.now.Edges {
			like := math.Abs(length-q.Length()) < 1
			if u.alone && !like {
				continue
			}
			paired := slices.Contains(u.x.Edges[i].New, j) || u.e.hint != nil && u.e.hint[j] == i
			if paired || like {
				votes = u.vote(votes, p, q)
			}
		}
	}
	sort.SliceStable(votes, func(i, j int) bool { return votes[i].length > votes[j].length })
	var all []geom.Motion
	for _, v := range votes[:min(len(votes), mostMotions)] {
		all = append(all, v.m)
	}
	return all
}

// vote adds the voices of an old edge and a new one for the motions that take
// an end of the one to where an end of the other may lie.
func (u *undoing) vote(votes []moveVote, p, q geom.Path) []moveVote {
	for _, at := range anchors(q) {
		m, ok := u.e.ended(p, at.path, at.end)
		if !ok {
			continue
		}
		k := slices.IndexFunc(votes, func(v moveVote) bool { return u.alike(v.m, m) })
		if k < 0 {
			votes = append(votes, moveVote{m: m})
			k = len(votes) - 1
		}
		votes[k].length += min(p.Length(), at.path.Length())
	}
	return votes
}

// alike reports whether two motions do the same to the old outline.
func (u *undoing) alike(m, n geom.Motion) bool {
	for _, p := range u.e.old.Edges {
		if m.Apply(p.Start()).Dist(n.Apply(p.Start())) > 3*u.e.tol.moved() {
			return false
		}
	}
	return true
}

// anchor is a part of a new edge from one of its ends, or from a place where two
// of its curves join, on to the edge's other end.
type anchor struct {
	path geom.Path
	end  int // the end of path that the like end of an old edge may have become
}

// anchors lists the places of a new edge where an end of an old one may lie: its
// ends, and where its curves join, for it may have been run on from there.
func anchors(q geom.Path) []anchor {
	all := []anchor{{q, 0}, {q, 1}}
	for k := 1; k < len(q); k++ {
		all = append(all, anchor{q[k:], 0}, anchor{q[:k], 1})
	}
	return all[:min(len(all), mostAnchors)]
}

// mostAnchors bounds how many places of an edge are tried.
const mostAnchors = 10

// ended is the motion that takes an end of one path to that of another, with
// the direction there, where a good length of the two then lies together.
func (e *explainer) ended(p, q geom.Path, end int) (geom.Motion, bool) {
	from, to, turn := p.Start(), q.Start(), geom.AngleBetween(p.StartTangent(), q.StartTangent())
	if end == 1 {
		from, to, turn = p.End(), q.End(), geom.AngleBetween(p.EndTangent(), q.EndTangent())
	}
	if math.Abs(turn) > math.Pi/3 {
		return geom.Motion{}, false
	}
	if math.Abs(turn) < leastTurned {
		turn = 0
	}
	about := func(turn float64) geom.Motion {
		return geom.Motion{Shift: from.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: to})
	}
	m := about(turn)
	length := min(p.Length(), q.Length())
	reach := 0.0
	for _, share := range []float64{0.1, 0.25, 0.5, 0.75, 1} {
		a, b := p.PointAt(share*length), q.PointAt(share*length)
		if end == 1 {
			a, b = p.PointAt(p.Length()-share*length), q.PointAt(q.Length()-share*length)
		}
		if m.Apply(a).Dist(b) > 5*e.tol.moved() {
			break
		}
		reach = share * length
	}
	if reach < leastTail || from.Dist(to) < e.tol.moved() && turn == 0 {
		return m, false
	}
	if turn != 0 { // over the whole of it the turn is surer than at the end
		parts := [2]geom.Path{p.BetweenLengths(0, reach), q.BetweenLengths(0, reach)}
		if end == 1 {
			parts = [2]geom.Path{p.BetweenLengths(p.Length()-reach, p.Length()), q.BetweenLengths(q.Length()-reach, q.Length())}
		}
		m = fitFromEnd(parts[0], parts[1], reach)
	}
	return m, true
}

// arc is a part that may have moved: the edges between first and last, which
// the line crosses.
type arc struct {
	first, last int
	speaks      float64 // mm of the outline
}

// arcs lists the parts of the old outline that may have moved, those first for
// which most speaks: what lies in them has to lie where the motion takes it,
// and what lies outside where it was.
func (u *undoing) arcs(gone []lying) []arc {
	n := len(gone)
	var all []arc
	for first := range n {
		for last := range n {
			if first == last {
				continue
			}
			a := arc{first: first, last: last}
			for i := range n {
				k, g := u.kept[i].covered, gone[i].covered
				inside := (&Spread{First: first, Last: last}).moves(i, n)
				switch {
				case i == first || i == last:
					if k > leastTail && g > leastTail && (gone[i].lo+gone[i].hi > u.kept[i].lo+u.kept[i].hi) != (i == first) {
						a.speaks = math.Inf(-1)
					}
					a.speaks += min(k+g, u.e.old.Edges[i].Length())
				case inside:
					a.speaks += g - max(k-g, 0)
				default:
					a.speaks += k - max(g-k, 0)
				}
			}
			if a.speaks > 0 && (!u.alone || u.whole(a, gone)) {
				all = append(all, a)
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].speaks > all[j].speaks })
	return all[:min(len(all), mostArcs)]
}

// whole reports whether nothing but the two edges that the line crosses is left
// to explain: all others lie where they were or where the motion takes them. An
// end of one may be cut or run on.
func (u *undoing) whole(a arc, gone []lying) bool {
	for i, p := range u.e.old.Edges {
		lies := u.kept[i].covered
		if (&Spread{First: a.first, Last: a.last}).moves(i, len(gone)) {
			lies = gone[i].covered
		}
		if i != a.first && i != a.last && lies < nearly*p.Length() {
			return false
		}
	}
	return true
}

// open moves the part of the old outline that lies beyond the line, and settles
// the line.
func (u *undoing) open(m geom.Motion, gone []lying, a arc) (Spread, Outline, bool) {
	s := Spread{First: a.first, Last: a.last, Motion: m, residual: true}
	opened := Outline{Edges: slices.Clone(u.e.old.Edges), Hem: u.e.old.Hem, Down: u.e.old.Down}
	n := len(opened.Edges)
	pair := &Explanation{Edges: make([]Edge, n)}
	for k, i := range [2]int{a.first, a.last} {
		p := u.e.old.Edges[i]
		q, ok := u.counterpart(m, gone, i, k)
		if !ok {
			return s, opened, false
		}
		pair.Edges[i] = Edge{From: p, To: q}
		path, ok := u.e.bridged(m, p, q, k)
		if !ok {
			return s, opened, false
		}
		opened.Edges[i] = path
		if !u.e.drawnOver(&s, k, p, path) {
			return s, opened, false
		}
	}
	for i := range n {
		if s.moves(i, n) {
			opened.Edges[i] = u.e.old.Edges[i].Moved(m)
		}
	}
	proof, ok := u.e.opened(pair, &s)
	return s, opened, ok && (proof == 2 || u.movedWhole(&s, gone))
}

// drawnOver holds an opened edge against one with a plain bridge over the gap:
// what departs from it is told as drawn over, else it would be hidden.
func (e *explainer) drawnOver(s *Spread, k int, p, opened geom.Path) bool {
	if k == 1 {
		p, opened = p.Reverse(), opened.Reverse()
	}
	r := e.retell(s.Motion, p, opened)
	switch {
	case math.IsInf(r.fit, 1):
		return false
	case r.fit > max(e.tol.Kept, e.tol.moved()):
		s.Drawn[k] = Drawn{By: r.fit, At: r.at}
	default:
		s.Fit = max(s.Fit, r.fit)
	}
	return true
}

// movedWhole reports whether an edge of the part that moved shows so by itself:
// a corner alone that lies elsewhere is what moved edges make.
func (u *undoing) movedWhole(s *Spread, gone []lying) bool {
	for i := range gone {
		if s.moves(i, len(gone)) && gone[i].covered >= leastTail {
			return true
		}
	}
	return false
}

// counterpart is the new line of an edge that the line crosses, laid back where
// the edge was shifted besides.
func (u *undoing) counterpart(m geom.Motion, gone []lying, i, end int) (geom.Path, bool) {
	j := u.kept[i].on
	if gone[i].most > u.kept[i].most {
		j = gone[i].on
	}
	var q geom.Path
	switch {
	case j >= 0:
		q = u.e.now.Edges[j]
	case len(u.x.Edges[i].New) > 0 && u.x.Edges[i].Into < 0:
		q = u.x.Edges[i].To
	default:
		for k, h := range u.e.hint {
			if h == i {
				q = u.e.now.Edges[k]
			}
		}
	}
	if len(q) == 0 {
		return nil, false
	}
	p := u.e.old.Edges[i]
	if _, ok := u.e.bridged(m, p, q, end); ok || u.alone {
		return q, ok
	}
	return u.e.laidBack(m, p, q, end)
}

// laidBack finds the shift along the grain that an edge crossed by the line had
// besides, the same on both sides of the line.
func (e *explainer) laidBack(m geom.Motion, p, q geom.Path, end int) (geom.Path, bool) {
	moved := [2]geom.Path{p, p.Moved(m)}
	if end == 1 {
		moved[0], moved[1] = moved[1], moved[0]
	}
	if straightBoth(p, q) { // drawn straight across the gap before it was shifted
		if d, ok := shiftAlong(geom.Path{geom.Line(moved[0].Start(), moved[1].End())}, q, e.old.Down); ok {
			back := q.Moved(geom.Motion{Shift: e.old.Down.Mul(-d)})
			_, ok = e.bridged(m, p, back, end)
			return back, ok
		}
	}
	const near = 0.08 // of the length, from either end
	length := q.Length()
	var by [2]float64
	for k, part := range []geom.Path{q.BetweenLengths(0, near*length), q.BetweenLengths((1-near)*length, length)} {
		d, ok := shiftAlong(moved[k], part, e.old.Down)
		if !ok {
			return nil, false
		}
		by[k] = d
	}
	if math.Abs(by[0]-by[1]) > 2*e.tol.moved() || math.Abs(by[0]) < e.tol.moved() {
		return nil, false
	}
	back := q.Moved(geom.Motion{Shift: e.old.Down.Mul(-(by[0] + by[1]) / 2)})
	_, ok := e.bridged(m, p, back, end)
	return back, ok
}

// bridged is an edge that the line crosses as it is once the part was moved: as
// it was on one side of the line, moved on the other, and between the two as it
// was drawn. end 0 says that the part lies beyond its end, 1 before its start.
func (e *explainer) bridged(m geom.Motion, p, q geom.Path, end int) (geom.Path, bool) {
	if end == 1 {
		p, q = p.Reverse(), q.Reverse()
	}
	moved := p.Moved(m)
	kept, okKept := shares(p, q, e.tol.Kept)
	gone, okGone := shares(moved, q, e.tol.moved())
	var path geom.Path
	switch {
	case okKept && okGone && kept.q1 <= gone.q0+10*e.tol.Kept:
		path = slices.Concat(p.BetweenLengths(0, kept.p1), q.BetweenLengths(kept.q1, max(gone.q0, kept.q1)), moved.BetweenLengths(gone.p0, moved.Length()))
	case q.Start().Dist(p.Start()) <= e.tol.moved() && q.End().Dist(moved.End()) <= e.tol.moved() && (okKept || okGone || straightBoth(p, q) || plainBridge(p, moved, q)):
		path = slices.Clone(q)
	case straightBoth(p, q) && e.onOneLine(p, moved, q):
		path = geom.Path{geom.Line(p.Start(), moved.End())}
	default:
		return nil, false
	}
	if end == 1 {
		path = path.Reverse()
	}
	return closedUp(path), true
}

// onOneLine reports whether straight edges lie on one line.
func (e *explainer) onOneLine(p, moved, q geom.Path) bool {
	line := geom.Path{geom.Line(p.Start(), moved.End())}
	far, _ := Farthest(q, geom.Carrier(line, carrierReach))
	return far <= e.tol.moved()
}

// closedUp closes the gaps of less than rounding between the parts of a path.
func closedUp(p geom.Path) geom.Path {
	for k := 1; k < len(p); k++ {
		p[k].P0 = p[k-1].P3
	}
	return p
}

// plainBridge reports whether an edge was drawn anew as a whole, in one curve
// that leaves its old start and reaches its moved end in the directions there.
func plainBridge(p, moved, q geom.Path) bool {
	return math.Abs(geom.AngleBetween(p.StartTangent(), q.StartTangent())) < smoothLead &&
		math.Abs(geom.AngleBetween(moved.EndTangent(), q.EndTangent())) < smoothLead && bendsOnce(q)
}
