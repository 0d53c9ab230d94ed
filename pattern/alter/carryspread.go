package alter

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// spreadInLayer opens an inner piece, or folds it out, along the line along which
// its outer was, and by the same motion; the edges that lay along the outer then
// get its present lines. before is the pattern of then.
func (m *making) spreadInLayer(before *pattern.Pattern, then *lying, inner *pattern.Piece, ch change.Change) error {
	kind := "spread"
	if ch.Open != nil && ch.Open[0]+ch.Open[1] < 0 {
		kind = "close"
	}
	by := fmt.Sprintf("make the same on %s with `toile alter %s`", inner.Name, kind)
	if len(ch.Lines) != 1 || len(ch.OldPath) == 0 {
		return fmt.Errorf("%s, %q moved with a corner of the piece that was spread, and the motion cannot be told from that; %s", m.piece.Name, m.text("edge"), by)
	}
	motion, ok := movedBy(ch.OldPath, ch.NewPath)
	if !ok {
		return fmt.Errorf("%s, %q moved with a part of the piece that was spread and altered besides; %s", m.piece.Name, m.text("edge"), by)
	}
	back := then.laid.Inverse()
	part := &making{pattern: m.pattern, piece: inner, recipe: Recipe{Values: map[string]string{}}}
	line := geom.Line(back.Apply(ch.Lines[0][0].Point()), back.Apply(ch.Lines[0][1].Point()))
	if len(part.crossingsAll(runOnALittle(geom.Path{line}))) < 2 {
		return m.besideLine(before, then, inner, ch, motion)
	}
	first, second, err := part.crossings(line.P0, line.P3)
	if err != nil {
		return fmt.Errorf("%w; %s", err, by)
	}
	if err := m.alongBoth(then, inner, first, second); err != nil {
		return fmt.Errorf("%w; %s", err, by)
	}
	at := back.Apply(ch.OldPath.PointAt(ch.OldPath.Length() / 2))
	moves := onMoving(first, second, true, at)
	if err := part.open(first, second, moves, then.laid.Then(motion).Then(back)); err != nil {
		return err
	}
	return m.presentLines(before, then, inner, namesOf(ch), geom.Motion{})
}

// besideLine gives an inner piece that lies on one part alone the outer's present
// lines, as that part lies now: they were trued over a while beside the cut.
func (m *making) besideLine(before *pattern.Pattern, then *lying, inner *pattern.Piece, ch change.Change, motion geom.Motion) error {
	ring, _ := inner.SharpRing()
	a, b := ch.Lines[0][0].Point(), ch.Lines[0][1].Point()
	side := func(p geom.Point) bool { return b.Sub(a).Cross(p.Sub(a)) > 0 }
	if side(then.laid.Apply(ring.Box().Centre())) != side(ch.OldPath.PointAt(ch.OldPath.Length()/2)) {
		motion = geom.Motion{}
	}
	m.say("the line along which %s was opened does not cross %s, which goes along with the part on which it lies", m.piece.Name, inner.Name)
	return m.presentLines(before, then, inner, namesOf(ch), goesAlong(then, inner, motion))
}

// liesAlongOne reports whether an edge of the inner piece lies along an edge of
// the outer.
func (l *lying) liesAlongOne(inner int) bool {
	for _, list := range l.at {
		for _, a := range list {
			if a.inner == inner {
				return true
			}
		}
	}
	return false
}

// movedBy is the motion that takes one path to another, node for node.
func movedBy(from, to geom.Path) (geom.Motion, bool) {
	if len(from) != len(to) || len(from) == 0 {
		return geom.Motion{}, false
	}
	var a, b []geom.Point
	for i := range from {
		a = append(a, from[i].P0, from[i].P1, from[i].P2, from[i].P3)
		b = append(b, to[i].P0, to[i].P1, to[i].P2, to[i].P3)
	}
	motion := geom.FitMotion(a, b, false)
	for i := range a {
		if motion.Apply(a[i]).Dist(b[i]) > evenWithin {
			return motion, false
		}
	}
	return motion, true
}

// namesOf are the edges that a change is told of, and those that moved with it.
func namesOf(ch change.Change) map[string]bool {
	names := map[string]bool{}
	for _, name := range slices.Concat(ch.Edges, ch.Moved) {
		names[name] = true
	}
	return names
}

// presentLines gives an inner piece that was opened with its outer the outer's
// present lines along the edges of it that changed, by their names of then; moved is
// how the part on which it lies did.
func (m *making) presentLines(before *pattern.Pattern, then *lying, inner *pattern.Piece, changed map[string]bool, moved geom.Motion) error {
	t := &transfer{m: m, before: before, then: then, w: begin(inner), back: moved.Inverse().Then(then.laid.Inverse()), given: map[int]bool{}}
	for old, e := range then.outer.Edges {
		if now := sameEdge(then.outer, old, m.piece); changed[e.Name] && now >= 0 {
			if err := t.edge(now, old); err != nil {
				return err
			}
		}
	}
	if err := t.meet(); err != nil {
		return err
	}
	return t.w.finish()
}

// slashesInLayer opens an inner piece, or folds it out, along every line along which
// its outer was, one after the other, each by its own motion; the edges that lay
// along the outer then get its present lines. On a part of the outer beside a line
// it goes with that part.
func (m *making) slashesInLayer(c Lacking, then *lying, inner *pattern.Piece) error {
	laid := then.laid
	part := &making{pattern: m.pattern, piece: inner, recipe: Recipe{Values: map[string]string{}}}
	for _, s := range c.Slashes {
		back := laid.Inverse()
		line := geom.Line(back.Apply(s.From), back.Apply(s.To))
		if len(part.crossingsAll(runOnALittle(geom.Path{line}))) < 2 {
			ring, _ := inner.SharpRing()
			if s.moves(laid.Apply(ring.Box().Centre())) {
				laid = laid.Then(s.Motion)
			}
			m.say("a line along which %s was opened does not cross %s, which goes along with the part on which it lies", m.piece.Name, inner.Name)
			continue
		}
		first, second, err := part.crossings(line.P0, line.P3)
		if err != nil {
			return fmt.Errorf("%w; make the same on %s with `toile alter spread` or `close`", err, inner.Name)
		}
		if err := m.alongBoth(then, inner, first, second); err != nil {
			return fmt.Errorf("%w; make the same on %s with `toile alter spread`", err, inner.Name)
		}
		moves := onMoving(first, second, true, back.Apply(s.asideOf()))
		if err := part.open(first, second, moves, laid.Then(s.Motion).Then(back)); err != nil {
			return err
		}
	}
	changed := map[string]bool{}
	for old, e := range then.outer.Edges {
		now := sameEdge(then.outer, old, m.piece)
		changed[e.Name] = now >= 0 && !samePath(then.outer.EdgePath(old), m.piece.EdgePath(now))
	}
	return m.presentLines(c.Before, then, inner, changed, goesAlong(then, inner, then.laid.Inverse().Then(laid)))
}

// goesAlong has an inner piece that is drawn in its place on the outer go along with the
// part of it on which it lies; what is left is how that part moved off one drawn
// elsewhere.
func goesAlong(then *lying, inner *pattern.Piece, moved geom.Motion) (left geom.Motion) {
	if then.laid != (geom.Motion{}) || moved == (geom.Motion{}) {
		return moved
	}
	*inner = *inner.Moved(moved)
	asStored(inner)
	return geom.Motion{}
}

// alongBoth refuses to open an inner piece at an edge that lies along no edge of its
// outer, for how that is to be trued the outer does not tell.
func (m *making) alongBoth(then *lying, inner *pattern.Piece, first, second crossing) error {
	for _, c := range [2]crossing{first, second} {
		if !then.liesAlongOne(c.edge) {
			return fmt.Errorf("the line along which %s was opened crosses %q of %s, which lies along no edge of %s",
				m.piece.Name, inner.Edges[c.edge].Name, inner.Name, m.piece.Name)
		}
	}
	return nil
}
