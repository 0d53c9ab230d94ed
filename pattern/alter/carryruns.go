package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// runAlike takes off or adds along the follower's edge what its source lost or
// gained at that end.
func (m *making) runAlike(w *work, j int, ch change.Change, opposite bool) error {
	return m.runAt(w, j, ch, ranAtEnd(ch) != opposite)
}

// ranAtEnd reports whether an edge was cut or run on at its end.
func ranAtEnd(ch change.Change) bool {
	return ch.At.Point().Dist(ch.OldPath.End()) < ch.At.Point().Dist(ch.OldPath.Start())
}

// runAt has edge j gain along its line at one end what the source gained
// (negative: lose), by moving the neighbour there as that of the source was: to
// nothing at its other end where that one was, at equal distance where that one
// was, else along the grain.
func (m *making) runAt(w *work, j int, ch change.Change, atEnd bool) error {
	next := w.before(j)
	if atEnd {
		next = w.after(j)
	}
	stays, parallelTo := m.besideRun(ch)
	switch path := w.paths[next]; {
	case w.piece.Edges[next].Fold:
	case stays:
		return w.runBy(j, next, *ch.By, atEnd, func(by float64) (geom.Path, error) {
			if atEnd {
				return match.Tapered(path, by, -by/path.Length()), nil
			}
			return match.Tapered(path, 0, by/path.Length()), nil
		})
	case parallelTo:
		return w.runBy(j, next, *ch.By, atEnd, func(by float64) (geom.Path, error) { return parallel(path, by) })
	}
	down := w.piece.GrainDirection()
	d, err := w.shiftAlong(next, j, *ch.By, down)
	if err != nil {
		return err
	}
	return w.moveTo(next, w.paths[next].Moved(geom.Motion{Shift: down.Mul(d)}))
}

// besideRun tells how the neighbour moved to which an edge of the source was cut or
// run on: whether its other end stayed, or else it moved at equal distance.
func (m *making) besideRun(ch change.Change) (stays, parallelTo bool) {
	const near, nothing = 1.0, 0.1 // mm
	corner := ch.At.Point()
	for _, o := range m.with {
		if len(o.OldPath) == 0 || len(o.NewPath) == 0 || o.Kind == change.EdgeRun || slices.Equal(o.Edges, ch.Edges) {
			continue
		}
		far := [2]geom.Point{o.OldPath.End(), o.NewPath.End()}
		if o.OldPath.End().Dist(corner) < near {
			far = [2]geom.Point{o.OldPath.Start(), o.NewPath.Start()}
		} else if o.OldPath.Start().Dist(corner) >= near {
			continue
		}
		switch {
		case o.Kind == change.EdgeMoved && o.How == change.HowParallel:
			return false, true
		case o.Kind == change.EdgeMoved && o.How == change.HowTapered && o.Ends != nil:
			return math.Min(math.Abs(o.Ends[0]), math.Abs(o.Ends[1])) <= nothing, false
		case o.Kind == change.EdgeSwung || o.Kind == change.EdgeRedrawn:
			return far[0].Dist(far[1]) <= nothing, false
		}
	}
	return false, false
}

// runBy moves the neighbour of edge j so that the edge gains by mm at that end; moved
// is the neighbour's line moved outward by an amount: a secant over that.
func (w *work) runBy(j, next int, by float64, atEnd bool, moved func(by float64) (geom.Path, error)) error {
	const most, close = 12, 1e-4
	path := w.paths[j]
	gain := func(amount float64) (float64, error) {
		line, err := moved(amount)
		if err != nil {
			return 0, err
		}
		run, ok := geom.Path(nil), false
		if atEnd {
			run, _, ok = meetLines(path, line, line.Start())
		} else {
			_, run, ok = meetLines(line, path, line.End())
		}
		if !ok {
			return 0, fmt.Errorf("%q and %q no longer meet; alter by less, or redraw one of them first", w.name(j), w.name(next))
		}
		return run.Length() - path.Length(), nil
	}
	x, fx, amount := 0.0, 0.0, by
	for range most {
		got, err := gain(amount)
		if err != nil {
			return err
		}
		if math.Abs(got-by) < close || math.Abs(got-fx) < 1e-9 {
			break
		}
		x, fx, amount = amount, got, amount+(by-got)*(amount-x)/(got-fx)
	}
	if got, err := gain(amount); err != nil || math.Abs(got-by) > 0.01 {
		return fmt.Errorf("%q cannot be moved so that %q gains %.1f mm; alter it by hand", w.name(next), w.name(j), by)
	}
	line, err := moved(amount)
	if err != nil {
		return err
	}
	return w.moveTo(next, line)
}

// endShare is how far from an end of an edge, as a share of its length, what changed
// on the other side of the seam may lie to be made at that end: what lies below the
// notches of a sleeve head can be, what lies at the shoulder cannot.
const endShare = 0.25

// runAcross takes off or adds at the end of the other side what the source lost
// or gained at that end of the seam.
func (m *making) runAcross(s sewing, ch change.Change) error {
	at, err := m.ranAcross(s, ch)
	if err != nil {
		return err
	}
	first, last := s.others[0], s.others[len(s.others)-1]
	if (at.Piece != first.Piece || at.Edge != first.Edge) && (at.Piece != last.Piece || at.Edge != last.Edge) {
		return fmt.Errorf("%s, %q got another length within the seam %q, at a joint; alter the edges there by hand", m.piece.Name, m.text("edge"), s.seam.Name)
	}
	w, j, err := m.beginAt(s, at)
	if err != nil {
		return err
	}
	q, length := w.piece, w.paths[j].Length()
	atEnd := at.Along > length/2
	short := math.Min(at.Along, length-at.Along)
	if short > endShare*length || m.notchBetween(s, q, j, at.Along, atEnd) {
		return m.refuseWithin(s, q, j, at.Along, *ch.By)
	}
	if err := m.runAt(w, j, ch, atEnd); err != nil {
		return fmt.Errorf("%s, %q: %w", q.Name, at.Edge, err)
	}
	if short > m.pattern.Tolerances.Section+withinSeam {
		m.say("%s, %q: what changed is sewn to it %s from %q; it is made at that end", q.Name, at.Edge, m.format(short), neighbourAt(q, j, atEnd))
	}
	return nil
}

// neighbourAt is the name of the edge that meets edge j at one end.
func neighbourAt(q *pattern.Piece, j int, atEnd bool) string {
	n := len(q.Edges)
	if atEnd {
		return q.Edges[(j+1)%n].Name
	}
	return q.Edges[(j+n-1)%n].Name
}

// ranAcross is the place that the end at which the source was cut or run on is sewn
// to. Where two edges of the other side meet about there it lies on the one that most
// of the source there is sewn to.
func (m *making) ranAcross(s sewing, ch change.Change) (pattern.OnEdge, error) {
	edge := m.text("edge")
	i, err := m.edge("edge")
	if err != nil {
		return pattern.OnEdge{}, err
	}
	length := m.piece.EdgePath(i).Length()
	place := func(inside float64) (pattern.OnEdge, bool) {
		if ranAtEnd(ch) {
			inside = length - inside
		}
		return m.placeAcross(s, m.piece.Name, edge, inside)
	}
	at, ok := place(withinSeam)
	if !ok {
		return at, fmt.Errorf("%s, %q got another length within the seam %q, at a joint; alter the edges there by hand", m.piece.Name, edge, s.seam.Name)
	}
	const beyondJoint = 10.0 // mm
	on, ok := place(math.Min(beyondJoint, length/4))
	if !ok || on.Piece == at.Piece && on.Edge == at.Edge {
		return at, nil
	}
	if q, j, err := onEdge(m.pattern, on); err == nil {
		if length := q.EdgePath(j).Length(); on.Along > length/2 {
			on.Along = length
		} else {
			on.Along = 0
		}
	}
	return on, nil
}

// notchBetween reports whether a section of the seam ends on edge j between a place
// and the end of the edge.
func (m *making) notchBetween(s sewing, q *pattern.Piece, j int, along float64, atEnd bool) bool {
	for _, c := range s.seam.Sections {
		for _, ref := range [2]pattern.NotchRef{c.First, c.Second} {
			k := -1
			if ref.Piece == q.Name {
				k = q.NotchByName(ref.Notch)
			}
			if k < 0 || q.Notches[k].Edge != q.Edges[j].Name {
				continue
			}
			if _, _, at, err := q.NotchPlace(q.Notches[k]); err == nil && (at > along) == atEnd {
				return true
			}
		}
	}
	return false
}
