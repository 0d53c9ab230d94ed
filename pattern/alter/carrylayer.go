package alter

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// along is an edge of an inner piece that lies along an edge of its outer, by
// mm outward of it; near says that it does so only as a section of a seam fits, as a
// hem that was trued on the inner piece alone.
type along struct {
	inner int
	by    float64
	near  bool
	aside geom.Point // by which it lies shifted, on the outer's sheet: beyond a pleat
}

// lying is an inner piece laid on its outer: where each edge of the outer has
// edges of the inner along it.
type lying struct {
	outer, inner *pattern.Piece
	laid         geom.Motion // takes the inner piece onto the outer
	at           map[int][]along
	turned       bool // inner is a copy turned over: the piece itself lies turned over on the outer
}

// lie lays an inner piece on its outer and finds which of its edges lie along
// which of the outer's: on them, or, where they bear the same name or a
// difference is declared there, at an even distance.
// The pieces are those of some state of the pattern; layers are as declared now.
func lie(state, now *pattern.Pattern, outer, inner *pattern.Piece) (*lying, error) {
	laid, err := layOn(state, now, outer, inner)
	if err != nil {
		return nil, err
	}
	return lieAs(now, outer, inner, laid)
}

// lieAs finds how an inner piece lies that a motion lays on its outer.
func lieAs(p *pattern.Pattern, outer, inner *pattern.Piece, laid geom.Motion) (*lying, error) {
	l := &lying{outer: outer, inner: inner, laid: laid, at: map[int][]along{}}
	if l.laid.Mirror {
		return nil, fmt.Errorf("%s on %s: %w", inner.Name, outer.Name, errTurnedOver)
	}
	across := acrossOuter(p, inner.Name)
	asides := layerOf(p, outer, inner).Asides(inner, outer)
	for k := range inner.Edges {
		path := inner.EdgePath(k).Moved(l.laid)
		for i := range outer.Edges {
			if outer.Edges[i].Fold != inner.Edges[k].Fold {
				continue
			}
			named, meant := inner.Edges[k].Name == outer.Edges[i].Name, declared(p, outer, i, inner)
			if a, ok := beyondPleat(outer, i, k, path, asides, meant); named && ok {
				l.at[i] = append(l.at[i], a)
				continue
			}
			by, ok := evenDistance(outer, i, path, named || meant != 0)
			if !ok && across { // which runs on along the next outer
				line, err := outer.EdgeMoved(i, meant)
				by, ok = meant, err == nil && runsAlongIn(line, path)
			}
			switch {
			case ok && (by == 0 || named || math.Abs(by-meant) <= evenWithin):
				l.at[i] = append(l.at[i], along{inner: k, by: by})
			case !ok && named && !across && liesNear(outer, i, path, meant, p.Tolerances.Section):
				l.at[i] = append(l.at[i], along{inner: k, by: meant, near: true})
			}
		}
	}
	return l, nil
}

// beyondPleat is how edge k of a whole inner piece, laid by the one half on its outer,
// lies along edge i on the other: shifted by what is declared across the whole. ok is
// false where it lies along that edge as it is, or along none so.
func beyondPleat(outer *pattern.Piece, i, k int, path geom.Path, asides []geom.Point, meant float64) (a along, ok bool) {
	for _, aside := range asides {
		if by, lies := evenDistance(outer, i, path, meant != 0); lies && math.Abs(by-meant) <= evenWithin {
			return a, false
		}
		by, lies := evenDistance(outer, i, path.Moved(geom.Motion{Shift: aside.Mul(-1)}), meant != 0)
		if lies && math.Abs(by-meant) <= evenWithin {
			return along{inner: k, by: by, aside: aside}, true
		}
	}
	return a, false
}

// layMotion takes an inner piece onto its outer: nothing where they share
// lines as they lie, else what fits.
func layMotion(inner, outer *pattern.Piece) (geom.Motion, error) {
	a, _ := outer.SharpRing()
	b, _ := inner.SharpRing()
	if shared(b, a) >= leastOnOuter*b.Length() {
		return geom.Motion{}, nil
	}
	pose, _, err := match.LayOver(b, a, sameWithin, match.Options{AllowMirror: true})
	if err != nil {
		return geom.Motion{}, fmt.Errorf("%s on %s: %w", inner.Name, outer.Name, err)
	}
	if pose.Matched < leastOnOuter {
		return geom.Motion{}, fmt.Errorf("%s cannot be laid on %s: less than a tenth of its outline fits on it", inner.Name, outer.Name)
	}
	return pose.Motion.Inverse(), nil
}

// declared is the difference that is said of an inner piece at edge i of its
// outer, in mm; 0 where there is none.
func declared(p *pattern.Pattern, outer *pattern.Piece, i int, inner *pattern.Piece) float64 {
	by, _ := layerOf(p, outer, inner).Declared(inner.Name, outer.Edges[i].Name)
	return by
}

// layerOf is what is declared of an inner piece on an outer, in however many layers.
func layerOf(p *pattern.Pattern, outer, inner *pattern.Piece) (all pattern.Layer) {
	for _, l := range p.Layers {
		if !l.Band && l.Outer == outer.Name && slices.Contains(l.Inner, inner.Name) {
			all.Differences = append(all.Differences, l.Differences...)
		}
	}
	return all
}

// evenWithin is how far in mm a line that lies at an even distance from
// another may stray from it: a parallel is drawn within offsetWithin, and
// ends are stored at 0.001.
const evenWithin = 0.015

// evenDistance is by how many mm a line lies outward of edge i, when it is the
// same all along: 0 where at least half of it lies on the edge. Other
// distances are looked for where apart is set, and a lesser part is enough, as
// of a line that lies across several outers.
func evenDistance(q *pattern.Piece, i int, line geom.Path, apart bool) (by float64, ok bool) {
	const samples = 17
	length := line.Length()
	edge := q.EdgePath(i)
	on := 0
	for k := range samples {
		if _, d := edge.Nearest(line.PointAt(length * float64(k) / (samples - 1))); d <= evenWithin {
			on++
		}
	}
	if (2*on > samples || apart && on > 1) && liesOn(line, geom.Carrier(edge, 4*reach)) {
		return 0, true
	}
	if !apart {
		return 0, false
	}
	carrier := geom.Carrier(edge, 4*reach)
	middle := line.PointAt(length / 2)
	if i == q.HemEdge() && !q.Edges[i].Fold {
		by, ok = alongGrain(q, i, middle, carrier)
	} else {
		place, _ := carrier.Nearest(middle)
		by, ok = middle.Sub(carrier.At(place)).Dot(carrier[place.Curve].Tangent(place.T).Left()), true
	}
	if !ok || math.Abs(by) < evenWithin {
		return 0, false
	}
	moved, err := q.EdgeMoved(i, by)
	return by, err == nil && liesOn(line, geom.Carrier(moved, 4*reach))
}

// alongGrain is how far a place lies from a hem's line along the grain,
// outward positive.
func alongGrain(q *pattern.Piece, i int, at geom.Point, carrier geom.Path) (by float64, ok bool) {
	down := q.GrainDirection()
	for _, c := range carrier {
		for _, t := range c.MeetLine(at, at.Add(down)) {
			if d := at.Sub(c.At(t)).Dot(down); !ok || math.Abs(d) < math.Abs(by) {
				by, ok = d, true
			}
		}
	}
	path := q.EdgePath(i)
	if path.TangentAt(path.Length()/2).Left().Dot(down) < 0 {
		by = -by
	}
	return by, ok
}

// liesOn reports whether a line keeps within evenWithin of another.
func liesOn(line, other geom.Path) bool { return keepsWithin(line, other, evenWithin) }

// keepsWithin reports whether a line keeps within so many mm of another.
func keepsWithin(line, other geom.Path, within float64) bool {
	for _, c := range line {
		for k := range 9 {
			if _, d := other.Nearest(c.At(float64(k) / 8)); d > within {
				return false
			}
		}
	}
	return true
}

// layerAt lays an inner piece on its outer in some state of the pattern. The
// pieces and the edge are those of the present pattern, found by their ids.
func layerAt(p, now *pattern.Pattern, piece, edge, inner string) (*lying, int, bool) {
	outerNow, err := now.Piece(piece)
	if err != nil {
		return nil, 0, false
	}
	innerNow, err := now.Piece(inner)
	if err != nil {
		return nil, 0, false
	}
	i, err := outerNow.EdgeIndex(edge)
	if err != nil {
		return nil, 0, false
	}
	a, b := wholeAs(p, outerNow), wholeAs(p, innerNow)
	if a == nil || b == nil {
		return nil, 0, false
	}
	k := sameEdge(outerNow, i, a)
	if k < 0 {
		return nil, 0, false
	}
	l, err := lie(p, now, a, b)
	if errors.Is(err, errTurnedOver) {
		l, err = lieTurned(p, now, a, b)
	}
	return l, k, err == nil
}

// samePiece is the piece of a pattern with the same id, else the same name.
func samePiece(p *pattern.Pattern, q *pattern.Piece) *pattern.Piece {
	for _, o := range p.Pieces {
		if o.ID == q.ID && q.ID != "" {
			return o
		}
	}
	o, err := p.Piece(q.Name)
	if err != nil {
		return nil
	}
	return o
}

// sameEdge is the edge of another state of a piece with the same id, else the
// same name; −1 where there is none.
func sameEdge(q *pattern.Piece, i int, other *pattern.Piece) int {
	if id := q.Edges[i].ID; id != "" {
		if k := other.EdgeByID(id); k >= 0 {
			return k
		}
	}
	return slices.Index(other.EdgeNames(), q.Edges[i].Name)
}

// roundsAgree reports whether the corners at the ends of edge i that both
// pieces share are rounded alike.
func (l *lying) roundsAgree(i int) bool {
	agree := true
	l.eachSharedCorner(i, func(outer, inner int, by float64) {
		agree = agree && math.Abs(roundAt(l.outer, outer, by)-l.inner.Corners[inner].Round) < 0.0005
	})
	return agree
}

// roundAt is the rounding of an inner corner that lies on a corner of the outer,
// or evenly by mm outward of it: that of the parallel line, at least sharp.
func roundAt(outer *pattern.Piece, corner int, by float64) float64 {
	if r := outer.Corners[corner].Round; r > 0 {
		return roundTo(math.Max(0, r+by))
	}
	return 0
}

// eachSharedCorner visits the corners at the ends of edge i at which two edges
// of the inner piece meet that lie along the two of the outer; by is how far
// outward, where that is the same on both, else 0.
func (l *lying) eachSharedCorner(i int, visit func(outer, inner int, by float64)) {
	n, m := len(l.outer.Edges), len(l.inner.Edges)
	for _, c := range [2]int{i, (i + 1) % n} {
		for _, a := range l.at[(c+n-1)%n] {
			for _, b := range l.at[c] {
				if (a.inner+1)%m != b.inner {
					continue
				}
				by := 0.0
				if math.Abs(a.by-b.by) <= evenWithin {
					by = a.by
				}
				visit(c, b.inner, by)
			}
		}
	}
}

// carryToLayer gives an inner piece the present shape of the edges along which
// it lay: of the edge itself, and of its neighbours where these were led on to
// it in another line. Its own edges are cut or run on to meet them.
func (m *making) carryToLayer(c Lacking) error {
	edge := m.text("edge")
	then, old, ok := c.then(m.pattern, m.piece.Name, edge)
	if !ok {
		return fmt.Errorf("%s does not lie along %s, %q, in any earlier version; draw it by hand", c.Piece, m.piece.Name, edge)
	}
	inner, err := m.pattern.Piece(c.Piece)
	if err != nil {
		return err
	}
	i, err := m.piece.EdgeIndex(edge)
	if err != nil {
		return err
	}
	if err := m.refuseOneSide(inner, i); err != nil {
		return err
	}
	if err := m.refuseTurned(inner.Name, edge); err != nil {
		return err
	}
	if err := m.refuseOneHalf(then, inner, i, old); err != nil {
		return err
	}
	if len(c.Slashes) > 0 && sameOutline(then.inner, inner) {
		return m.slashesInLayer(c, then, inner)
	}
	if k := slices.IndexFunc(c.Changes, func(ch change.Change) bool { return ch.Kind == change.Spread }); k >= 0 {
		return m.spreadInLayer(c.Before, then, inner, c.Changes[k])
	}
	if lacks, _ := c.lacksAcross(m.pattern, m.piece.Name, edge); lacks && len(then.at[old]) == 0 {
		return fmt.Errorf("%s lies across %q of %s, where something was let in or taken out between two outers, and no edge of it runs there: make that on %s with `toile alter spread` or `close`",
			c.Piece, edge, m.piece.Name, c.Piece)
	}
	t := &transfer{m: m, before: c.Before, then: then, w: begin(inner), back: then.laid.Inverse(), given: map[int]bool{}}
	return t.all(inner, i, old)
}

// all gives the inner piece the line of edge i of the outer, which was its edge old,
// and what goes with it.
func (t *transfer) all(inner *pattern.Piece, i, old int) error {
	m, then := t.m, t.then
	if err := t.edge(i, old); err != nil {
		return err
	}
	redrawn := func(next, before int) bool {
		return !liesOn(m.piece.EdgePath(next), geom.Carrier(then.outer.EdgePath(before), reach))
	}
	if err := t.neighbours(i, old, redrawn); err != nil {
		return err
	}
	if err := t.hemFacings(); err != nil {
		return err
	}
	if err := t.meet(); err != nil {
		return err
	}
	then.inPresent(m.piece, inner).eachSharedCorner(i, func(outer, in int, by float64) {
		inner.Corners[in].Round = roundAt(m.piece, outer, by)
	})
	if err := t.w.finish(); err != nil {
		return err
	}
	if t.wholly {
		grainWithin(inner)
	}
	return nil
}

// inPresent is the same for the present states of both pieces.
func (l *lying) inPresent(outer, inner *pattern.Piece) *lying {
	now := &lying{outer: outer, inner: inner, at: map[int][]along{}}
	for a, list := range l.at {
		b := sameEdge(l.outer, a, outer)
		if b < 0 {
			continue
		}
		for _, x := range list {
			if y := sameEdge(l.inner, x.inner, inner); y >= 0 {
				x.inner = y
				now.at[b] = append(now.at[b], x)
			}
		}
	}
	return now
}

// transfer is an inner piece being given lines of its outer.
type transfer struct {
	m      *making
	before *pattern.Pattern // as it was when the inner piece lay along the edge
	then   *lying
	w      *work
	back   geom.Motion  // takes the outer's lines to the inner piece's place
	given  map[int]bool // the edges that were given a line

	wholly bool // a hem facing, which moves with its hem
}

// edge gives the inner edges along an edge of the outer its present line.
func (t *transfer) edge(now, then int) error {
	for _, a := range t.then.at[then] {
		k := sameEdge(t.then.inner, a.inner, t.w.piece)
		if k < 0 {
			continue
		}
		if line, ok := t.movedNear(a, k, now, then); ok {
			t.w.set(k, line)
			t.given[k] = true
			continue
		}
		by := a.by
		if d := declared(t.m.pattern, t.m.piece, now, t.w.piece); d != 0 {
			by = d
		}
		line, err := t.m.piece.EdgeMoved(now, by)
		if err != nil {
			return fmt.Errorf("%s, %q: no line lies %s from it any more: %w", t.m.piece.Name, t.m.piece.Edges[now].Name, t.m.format(by), err)
		}
		line = line.Moved(geom.Motion{Shift: a.aside}).Moved(t.back)
		if acrossOuter(t.m.pattern, t.w.piece.Name) {
			if line, err = t.acrossOuters(a.inner, k, line); err != nil {
				return err
			}
		}
		t.w.set(k, line)
		t.given[k] = true
	}
	return nil
}

// neighbours gives what lay along the neighbours of an edge of the outer their
// present lines, those that are asked for.
func (t *transfer) neighbours(now, then int, asked func(next, before int) bool) error {
	n, k := len(t.m.piece.Edges), len(t.then.outer.Edges)
	for _, side := range [2]int{1, -1} {
		next, before := (now+side+n)%n, (then+side+k)%k
		if sameEdge(t.m.piece, next, t.then.outer) == before && asked(next, before) {
			if err := t.edge(next, before); err != nil {
				return err
			}
		}
	}
	return nil
}

// meet brings the edges together again at every corner of an edge that was
// given.
func (t *transfer) meet() error {
	w := t.w
	for k := range w.paths {
		i := w.before(k)
		a, b := w.paths[i], w.paths[k]
		left, right := t.given[i], t.given[k]
		if !left && !right || a.End().Dist(b.Start()) < 1e-9 {
			continue
		}
		if left && w.reachTo(k, a.End(), false) || right && w.reachTo(i, b.Start(), true) {
			continue
		}
		near := w.piece.Corners[k].At
		if err := w.meet(k, near); err != nil {
			return err
		}
	}
	return nil
}

// reachTo cuts or runs on an edge at one end so that it ends at a point on its
// carrier; false where the point lies off that.
func (w *work) reachTo(i int, to geom.Point, atEnd bool) bool {
	p := w.paths[i]
	if !atEnd {
		p = p.Reverse()
	}
	_, ahead := geom.CarrierEnds(p, reach)
	whole := append(append(geom.Path{}, p...), ahead...)
	place, d := whole.Nearest(to)
	if d > wholeWithin {
		return false
	}
	p = ended(p, ahead, place, to)
	if !atEnd {
		p = p.Reverse()
	}
	w.set(i, p)
	return true
}
