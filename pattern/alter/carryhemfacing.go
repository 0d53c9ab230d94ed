package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// hemFacings has a hem facing follow its hem whole: the inner edges that lay at
// an even width inside the hem get that width again inside the present one, and
// what lay along the hem's neighbours gets their present lines, so that it is
// cut from the sides at its new height. It does so where the hem itself was
// given a line; a piece that has no such inner edge is no hem facing, and is
// left as it is, as is one that ends there at a facing of the other end.
func (t *transfer) hemFacings() error {
	now, then := t.m.piece.HemEdge(), t.then.outer.HemEdge()
	if sameEdge(t.m.piece, now, t.then.outer) != then || t.then.outer.Edges[then].Fold || !t.gave(then) {
		return nil
	}
	shift, shifted := t.hemShift(now, then)
	for k := range t.then.inner.Edges {
		width, ok := t.then.widthInside(k, then)
		j := sameEdge(t.then.inner, k, t.w.piece)
		if !ok || j < 0 || t.endsAtFacing(k) {
			continue
		}
		line := t.w.paths[j].Moved(shift)
		if !shifted {
			even, uneven := evenlyInside(t.m.piece.EdgePath(now), width)
			if uneven {
				t.m.say("%s, %q: %q of %s bends too sharply for a line %s inside it all along; there it runs on by its own line",
					t.w.piece.Name, t.w.name(j), t.m.piece.Edges[now].Name, t.m.piece.Name, t.m.format(width))
			}
			var err error
			if line, err = parallel(even, -width); err != nil {
				return t.m.edgeError(now, err)
			}
			line = runningAs(line.Moved(t.back), t.w.paths[j])
		}
		t.w.set(j, line)
		t.given[j], t.wholly = true, true
	}
	if !t.wholly {
		return nil
	}
	if shifted {
		movedInside(t.w.piece, shift)
	}
	return t.neighbours(now, then, func(int, int) bool { return true })
}

// leastHollow is the radius in mm of the smallest hollow that an inner edge of a hem
// facing is given: in a smaller one no allowance can be cut.
const leastHollow = 15

// evenlyInside is the part of a hem inside which a line can be drawn at a width in mm:
// without the curves at its ends, as one that leads it on to a swung side, that bend
// the other way so sharply that a hollow smaller than leastHollow, or a loop, would
// come of it. It is the whole hem where nothing
// else would be left, and uneven says that something is left out.
func evenlyInside(hem geom.Path, width float64) (part geom.Path, uneven bool) {
	loops := func(c geom.Cubic) bool {
		const samples = 64
		for k := range samples + 1 {
			if c.Curvature(float64(k)/samples)*(width+leastHollow) >= 1 {
				return true
			}
		}
		return false
	}
	part = hem
	for len(part) > 0 && loops(part[0]) {
		part = part[1:]
	}
	for len(part) > 0 && loops(part[len(part)-1]) {
		part = part[:len(part)-1]
	}
	if len(part) == 0 {
		return hem, false
	}
	return part, len(part) < len(hem)
}

// runningAs is a line beside another one turned to run the way it does: by which of
// its ends lie nearer, for round a quarter of a circle the two cross square.
func runningAs(line, as geom.Path) geom.Path {
	straight := line.Start().Dist(as.Start()) + line.End().Dist(as.End())
	if line.Start().Dist(as.End())+line.End().Dist(as.Start()) < straight {
		return line.Reverse()
	}
	return line
}

// hemShift is the motion, on the inner piece, of a hem that only moved along
// the grain.
func (t *transfer) hemShift(now, then int) (shift geom.Motion, ok bool) {
	path, old := t.m.piece.EdgePath(now), geom.Carrier(t.then.outer.EdgePath(then), 4*reach)
	middle, down := path.PointAt(path.Length()/2), t.m.piece.GrainDirection()
	by := math.Inf(1)
	for _, c := range old {
		for _, k := range c.MeetLine(middle, middle.Add(down)) {
			if d := middle.Sub(c.At(k)).Dot(down); math.Abs(d) < math.Abs(by) {
				by = d
			}
		}
	}
	if math.IsInf(by, 1) || !liesOn(path.Moved(geom.Motion{Shift: down.Mul(-by)}), old) {
		return shift, false
	}
	return geom.Motion{Shift: t.back.ApplyVector(down).Mul(by)}, true
}

// movedInside moves the grain, marks and lines of a piece that moved whole.
func movedInside(q *pattern.Piece, motion geom.Motion) {
	if g := q.Grain; g != nil {
		g.From, g.To = rounded(motion.Apply(g.From)), rounded(motion.Apply(g.To))
	}
	for i := range q.Marks {
		if k := &q.Marks[i]; k.Edge == "" {
			k.At, k.Path = rounded(motion.Apply(k.At)), k.Path.Moved(motion)
		}
	}
	for i := range q.Lines {
		q.Lines[i].Path = q.Lines[i].Path.Moved(motion)
	}
}

// gave reports whether an inner edge along an edge of the earlier outer was
// given a line.
func (t *transfer) gave(then int) bool {
	for _, a := range t.then.at[then] {
		if k := sameEdge(t.then.inner, a.inner, t.w.piece); k >= 0 && t.given[k] {
			return true
		}
	}
	return false
}

// widthInside is how far in mm inside edge i of the outer an edge of the inner
// piece lies, where that is the same all along and the edge lies along no edge
// of the outer.
func (l *lying) widthInside(inner, i int) (float64, bool) {
	for _, list := range l.at {
		for _, a := range list {
			if a.inner == inner {
				return 0, false
			}
		}
	}
	line, carrier := l.inner.EdgePath(inner).Moved(l.laid), geom.Carrier(l.outer.EdgePath(i), 4*reach)
	middle := line.PointAt(line.Length() / 2)
	at, _ := carrier.Nearest(middle)
	by := middle.Sub(carrier.At(at)).Dot(carrier[at.Curve].Tangent(at.T).Left())
	if by > -1 {
		return 0, false
	}
	moved, err := parallel(l.outer.EdgePath(i), by)
	if err != nil || !liesOn(line, geom.Carrier(moved, 4*reach)) {
		return 0, false
	}
	return -by, true
}

// endsAtFacing reports whether an edge of the inner piece is sewn to, or lies
// along, one of a smaller inner piece of the same outer, in the present pattern or
// in the earlier one: then it is a lining that ends at a facing far from the hem,
// and stays there, where of a hem facing it would be the larger lining that ends
// at it.
func (t *transfer) endsAtFacing(inner int) bool {
	now := t.w.piece.Edges[sameEdge(t.then.inner, inner, t.w.piece)].Name
	own, _ := t.then.inner.SharpRing()
	line := t.then.inner.EdgePath(inner).Moved(t.then.laid)
	for _, name := range besideInLayer(t.m.pattern, t.m.piece.Name, t.w.piece.Name) {
		for _, p := range [2]*pattern.Pattern{t.m.pattern, t.before} {
			q, err := p.Piece(name)
			if err != nil {
				continue
			}
			ring, _ := q.SharpRing()
			if math.Abs(ring.Area()) < math.Abs(own.Area()) && (sewnEdges(t.m.pattern, t.w.piece.Name, now, name) || t.then.touches(t.m.pattern, line, q)) {
				return true
			}
		}
	}
	return false
}

// touches reports whether a line on the outer is that of an edge of a piece laid
// on it, run the other way.
func (l *lying) touches(p *pattern.Pattern, line geom.Path, q *pattern.Piece) bool {
	laid, err := layAsDeclared(p, q, l.outer)
	if err != nil {
		return false
	}
	for k := range q.Edges {
		if other := q.EdgePath(k).Moved(laid).Reverse(); runsAlongIn(line, other) || runsAlongIn(other, line) {
			return true
		}
	}
	return false
}

// besideInLayer names the other inner pieces that finish to an outer with one.
func besideInLayer(p *pattern.Pattern, outer, inner string) []string {
	var names []string
	for _, l := range p.Layers {
		if l.Band || l.Outer != outer || !slices.Contains(l.Inner, inner) {
			continue
		}
		for _, name := range l.Inner {
			if name != inner {
				names = append(names, name)
			}
		}
	}
	return names
}

// sewnEdges reports whether an edge is sewn to any edge of another piece.
func sewnEdges(p *pattern.Pattern, piece, edge, other string) bool {
	found := false
	eachSewn(p, piece, edge, func(_, _ int, st pattern.Stretch) { found = found || st.Piece == other })
	return found
}

// grainWithin gives a piece that moved on its outer a grain line inside it, in
// the direction it had, where the old one reaches beyond.
func grainWithin(q *pattern.Piece) {
	ring, err := q.SharpRing()
	if g := q.Grain; g == nil || err == nil && ring.Holds(g.From) && ring.Holds(g.To) {
		return
	}
	box := ring.Box()
	if math.Min(box.Size().X, box.Size().Y) < 1 {
		return
	}
	if g := grainOn(ring, q); g != nil {
		q.Grain = g
	}
}
