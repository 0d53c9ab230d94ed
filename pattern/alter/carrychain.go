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

// carryAlongChain makes a change of the source on the other side of a seam of
// which one side is several edges. A move at equal distance is made on each of
// those that the source is sewn to; a taper on those it lies across; a swing on the one on which all lies
// that swings; a run at the end of the seam on the edge there.
func (m *making) carryAlongChain(s sewing, ch change.Change) error {
	ch = shiftedAside(ch)
	switch {
	case ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		return m.onEach(s, s.along, func(w *work, j int, _ pattern.Stretch) error { return m.makeAlike(w, j, ch, s.opposite) })
	case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered:
		return m.taperAcross(s, ch)
	case ch.Kind == change.EdgeSwung:
		return m.swingAcrossChain(s, ch)
	case ch.Kind == change.EdgeRun:
		return m.runAcross(s, ch)
	}
	return fmt.Errorf("%s, %q, is sewn along several edges (%s to %s), and a line drawn anew cannot be carried to those; draw %s with `toile alter redraw`%s", m.piece.Name, m.text("edge"), s.own, s.others, s.others, m.orOneEdge())
}

// orOneEdge says which parts of a divided edge, on either side of the seams of the
// source, can be made one edge again, to which everything can be carried.
func (m *making) orOneEdge() string {
	i, err := m.piece.EdgeIndex(m.text("edge"))
	if err != nil {
		return ""
	}
	return orOneEdge(m.pattern, m.piece, i)
}

// notOn refuses to carry to one piece of a side what lies on another.
func (s sewing) notOn(m *making, at pattern.OnEdge) error {
	return fmt.Errorf("%s, %q: what changed is sewn to %s, %q, and %s has nothing to follow; carry it there", m.piece.Name, m.text("edge"), at.Piece, at.Edge, s.only)
}

// beginAt begins to alter the edge of the other side on which a place lies.
func (m *making) beginAt(s sewing, at pattern.OnEdge) (*work, int, error) {
	if s.only != "" && at.Piece != s.only {
		return nil, 0, s.notOn(m, at)
	}
	q, j, err := onEdge(m.pattern, at)
	if err != nil {
		return nil, 0, err
	}
	return begin(q), j, nil
}

// shiftedAside has a straight edge that was shifted along the grain be one that was
// moved at equal distance, by as much as that comes to square to it.
func shiftedAside(ch change.Change) change.Change {
	if ch.Kind == change.EdgeMoved && ch.How == change.HowShifted && len(ch.OldPath) > 0 && len(ch.NewPath) > 0 && bowed(ch.OldPath) <= sameWithin {
		old := ch.OldPath
		out := old.End().Sub(old.Start()).Unit().Left()
		ch.How, ch.By = change.HowParallel, change.Amount(ch.NewPath.Start().Sub(old.Start()).Dot(out))
	}
	return ch
}

// onEach visits edges of the other side.
func (m *making) onEach(s sewing, on pattern.Chain, alter func(w *work, j int, st pattern.Stretch) error) error {
	for _, st := range on {
		if s.only != "" && st.Piece != s.only {
			continue
		}
		q, err := m.pattern.Piece(st.Piece)
		if err != nil {
			return err
		}
		j, err := q.EdgeIndex(st.Edge)
		if err != nil {
			return err
		}
		if err := alter(begin(q), j, st); err != nil {
			return fmt.Errorf("%s, %q: %w", q.Name, st.Edge, err)
		}
	}
	return nil
}

// placeAcross finds where a place on the source edge is sewn to over one seam.
func (m *making) placeAcross(s sewing, piece, edge string, along float64) (pattern.OnEdge, bool) {
	places, err := m.pattern.Across(piece, edge, along)
	k := slices.IndexFunc(places, func(at pattern.OnEdge) bool {
		return at.Seam == s.seam.Name && (at.Piece != piece || at.Edge != edge)
	})
	if err != nil || k < 0 {
		return pattern.OnEdge{}, false
	}
	return places[k], true
}

// withinSeam is how far in mm from a joint a place is looked up across a seam:
// at the joint itself either edge may be found.
const withinSeam = 0.05

// swingAcrossChain swings the edge on which all lies that swings on the source,
// about the place that the pivot is sewn to.
func (m *making) swingAcrossChain(s sewing, ch change.Change) error {
	edge := m.text("edge")
	pivot := placeOn(ch.OldPath, ch.Pivot.Point())
	far := 0.0
	if ch.At.Point().Dist(ch.OldPath.End()) < ch.At.Point().Dist(ch.OldPath.Start()) {
		far = ch.OldPath.Length()
	}
	step := math.Copysign(withinSeam, far-pivot)
	start, okStart := m.placeAcross(s, m.piece.Name, edge, pivot+step)
	end, okEnd := m.placeAcross(s, m.piece.Name, edge, far-step)
	if !okStart || !okEnd {
		return fmt.Errorf("%s, %q: what was swung is not sewn in %q; swing %s by hand with `toile alter flare`%s", m.piece.Name, edge, s.seam.Name, s.others, m.orOneEdge())
	}
	if start.Piece != end.Piece || start.Edge != end.Edge {
		return fmt.Errorf("%s, %q: what was swung is sewn to more than one edge, %s, %q and %s, %q, and these cannot swing about one point; swing each by itself with `toile alter flare`%s",
			m.piece.Name, edge, start.Piece, start.Edge, end.Piece, end.Edge, m.orOneEdge())
	}
	w, j, err := m.beginAt(s, start)
	if err != nil {
		return err
	}
	q, length := w.piece, w.paths[j].Length()
	atEnd := end.Along > start.Along
	short := end.Along
	if atEnd {
		short = length - end.Along
	}
	if short-withinSeam > m.pattern.Tolerances.Section {
		return fmt.Errorf("%s, %q: the end that was swung is sewn to %s, %q, %s short of its end; swing it by itself with `toile alter flare`%s", m.piece.Name, edge, q.Name, start.Edge, m.format(short), m.orOneEdge())
	}
	at := min(max(start.Along-math.Copysign(withinSeam, end.Along-start.Along), 0), length)
	return w.swingLike(j, at, atEnd, ch)
}

// taperAcross moves each edge of the other side out by what the source was moved
// by at the places it is sewn to; what is sewn to other edges than the source
// stays, where the taper ends at nothing there.
func (m *making) taperAcross(s sewing, ch change.Change) error {
	edge, length := m.text("edge"), ch.OldPath.Length()
	amount := func(st pattern.Stretch, along float64) (float64, bool) {
		at, ok := m.placeAcross(s, st.Piece, st.Edge, along)
		if !ok || at.Piece != m.piece.Name || at.Edge != edge {
			return 0, false
		}
		i, err := m.piece.EdgeIndex(edge)
		share := at.Along / m.piece.EdgePath(max(i, 0)).Length()
		return ch.Ends[0] + share*(ch.Ends[1]-ch.Ends[0]), err == nil
	}
	return m.onEach(s, s.others, func(w *work, j int, st pattern.Stretch) error {
		path := w.paths[j]
		from, to := sewnPart(path.Length(), func(along float64) bool { _, ok := amount(st, along); return ok })
		if to-from < 1 {
			return nil
		}
		a, _ := amount(st, from+withinSeam)
		b, _ := amount(st, to-withinSeam)
		lead, tail := from > 1, to < path.Length()-1
		const nothing = 0.1 // mm that no step shows
		if lead && math.Abs(a) > nothing || tail && math.Abs(b) > nothing {
			return fmt.Errorf("%s, %q, was moved at a joint in the middle of it; make it on either side of the joint with `toile alter let-out` or `take-in`%s", m.piece.Name, edge, m.orOneEdge())
		}
		part := path.BetweenLengths(from, to)
		line := match.Tapered(part, a, (b-a)/part.Length())
		if lead {
			line = append(path.BetweenLengths(0, from), line...)
		}
		if tail {
			line = append(line, path.BetweenLengths(to, path.Length())...)
		}
		if math.Max(math.Abs(a), math.Abs(b))*length < 1e-9 {
			return nil
		}
		return w.moveTo(j, line)
	})
}

// sewnPart is the run of an edge, from its start in mm, on which something holds;
// its ends are found to 0.01 mm.
func sewnPart(length float64, holds func(along float64) bool) (from, to float64) {
	const samples = 200
	place := func(k int) float64 { return withinSeam + (length-2*withinSeam)*float64(k)/samples }
	first, last := -1, -1
	for k := range samples + 1 {
		if holds(place(k)) {
			if last = k; first < 0 {
				first = k
			}
		}
	}
	if first < 0 {
		return 0, 0
	}
	edge := func(in, out float64) float64 {
		for math.Abs(in-out) > 0.01 {
			if half := (in + out) / 2; holds(half) {
				in = half
			} else {
				out = half
			}
		}
		return in
	}
	from, to = 0, length
	if first > 0 {
		from = edge(place(first), place(first-1))
	}
	if last < samples {
		to = edge(place(last), place(last+1))
	}
	return from, to
}

// moveTo gives edge j a line and brings its neighbours to it.
func (w *work) moveTo(j int, line geom.Path) error {
	end := w.paths[j].End()
	w.set(j, line)
	if err := w.meet(j, line.Start()); err != nil {
		return err
	}
	if err := w.meet(w.after(j), end); err != nil {
		return err
	}
	return w.finish()
}
