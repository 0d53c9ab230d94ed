package merge

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// pieces merges every piece of the three patterns into out.
func (m *merging) pieces(out *pattern.Pattern) error {
	var added []*pattern.Piece
	for _, was := range m.shared.Pieces {
		q, err := m.piece(was, byID(m.sides[Here], was), byID(m.sides[There], was))
		if err != nil {
			return err
		}
		if q != nil {
			out.Put(q)
		}
	}
	for side, p := range m.sides {
		for _, q := range p.Pieces {
			if byID(m.shared, q) != nil || slices.Contains(m.dropped[side], q.ID) {
				continue
			}
			other := byID(m.sides[1-side], q)
			switch {
			case other == nil:
				added = append(added, q)
			case side == int(Here):
				added = append(added, three(m, samePiece, nil, q, other, func() change.Conflict {
					return change.Conflict{Where: q.Name, Piece: q.Name, Here: q, There: other,
						Says: fmt.Sprintf("%s: both brought it in, and not the same", q.Name)}
				}))
			}
		}
	}
	slices.SortFunc(added, func(a, b *pattern.Piece) int { return strings.Compare(a.ID, b.ID) })
	for _, q := range added {
		if slices.ContainsFunc(out.Pieces, func(o *pattern.Piece) bool { return o.Slug == q.Slug }) {
			q.Slug = out.NewSlug(q.Name)
		}
		out.Put(q)
	}
	return nil
}

// byID finds the piece of the same id, else, where there is no id, of the same
// file.
func byID(p *pattern.Pattern, q *pattern.Piece) *pattern.Piece {
	for _, o := range p.Pieces {
		if o.ID == q.ID && (q.ID != "" || o.Slug == q.Slug) {
			return o
		}
	}
	return nil
}

func samePiece(a, b *pattern.Piece) bool {
	return (a == nil) == (b == nil) && (a == nil || reflect.DeepEqual(a, b))
}

// piece merges one piece of the shared version. nil: it is gone.
func (m *merging) piece(was, here, there *pattern.Piece) (*pattern.Piece, error) {
	sides := [2]*pattern.Piece{here, there}
	switch {
	case here == nil && there == nil:
		return nil, nil
	case here == nil || there == nil:
		return m.removedPiece(was, sides), nil
	case samePiece(here, there), samePiece(there, was):
		return here, nil
	case samePiece(here, was):
		return there, nil
	}
	w := &pieceWork{merging: m, was: was, sides: sides}
	return w.merge()
}

// removedPiece settles a piece that one side took away: in question where the
// other changed it, or built something on it.
func (m *merging) removedPiece(was *pattern.Piece, sides [2]*pattern.Piece) *pattern.Piece {
	gone := Here
	if sides[There] == nil {
		gone = There
	}
	left, name := sides[1-gone], m.called[was.ID]
	says, used := "", m.newUses(1-gone, left.Name)
	switch {
	case !samePiece(left, was):
		says = fmt.Sprintf("was removed %s and changed %s", gone, 1-gone)
	case used != "" && m.revert:
		says = fmt.Sprintf("was not there before, and %s has come since", used)
	case used != "":
		says = fmt.Sprintf("was removed %s, and %s has come %s", gone, used, 1-gone)
	case left.Name != name:
		m.says = append(m.says, fmt.Sprintf("%s was removed %s; that it is called %s %s came to nothing", name, gone, left.Name, 1-gone))
		return nil
	default:
		return nil
	}
	if left.Name != name {
		name += fmt.Sprintf(", called %s %s,", left.Name, 1-gone)
	}
	side, answered := m.decide(change.Conflict{Where: left.Name, Piece: left.Name, Shared: was, Here: sides[Here], There: sides[There], Says: name + " " + says})
	if answered {
		m.keepWhole(was, side)
	}
	return sides[side]
}

// newUses names a seam or layers of a side that hold a piece, and that the shared
// version lacks; empty where there are none.
func (m *merging) newUses(side Side, piece string) string {
	for _, s := range m.sides[side].Seams {
		uses := slices.ContainsFunc(slices.Concat(s.First, s.Second), func(st pattern.Stretch) bool { return st.Piece == piece })
		if uses && !slices.ContainsFunc(m.shared.Seams, func(o pattern.Seam) bool { return o.Name == s.Name }) {
			return fmt.Sprintf("the seam %q on it", s.Name)
		}
	}
	for _, l := range m.sides[side].Layers {
		uses := l.Outer == piece || slices.Contains(l.Inner, piece)
		if uses && !slices.ContainsFunc(m.shared.Layers, func(o pattern.Layer) bool { return continues(o, l) }) {
			return fmt.Sprintf("a layer on %s", l.Outer)
		}
	}
	return ""
}

// keepWhole notes that an answer kept one side's state of a piece: what the other
// side split off it does not come.
func (m *merging) keepWhole(was *pattern.Piece, side Side) {
	m.wholes = append(m.wholes, side)
	if name := m.names3[was.ID][side+1]; name != "" {
		m.wholeNames[was.ID] = name
	}
	of := []string{was.ID}
	for n := 0; n < len(of); n++ {
		for _, q := range m.sides[1-side].Pieces {
			if q.Was == of[n] && q.ID != was.ID && byID(m.shared, q) == nil && byID(m.sides[side], q) == nil && !slices.Contains(of, q.ID) {
				of = append(of, q.ID)
			}
		}
	}
	m.dropped[1-side] = append(m.dropped[1-side], of[1:]...)
}

// pieceWork is one piece that both sides changed.
type pieceWork struct {
	*merging
	was   *pattern.Piece
	sides [2]*pattern.Piece
}

// about is a conflict about a part of the piece.
func (w *pieceWork) about(part, format string, args ...any) func() change.Conflict {
	return func() change.Conflict {
		where := w.was.Name
		if part != "" {
			where += "/" + part
		}
		return change.Conflict{Where: where, Piece: w.was.Name, Shared: w.was, Here: w.sides[Here], There: w.sides[There],
			Says: fmt.Sprintf("%s: ", w.was.Name) + fmt.Sprintf(format, args...)}
	}
}

func (w *pieceWork) merge() (*pattern.Piece, error) {
	q, open := w.was.Clone(), len(w.open)
	if done, whole, err := w.outline(q); err != nil || whole {
		return done, err
	}
	w.head(q)
	w.notches(q)
	w.marks(q)
	w.lines(q)
	if len(w.open) > open {
		return q, nil // what is not decided cannot be judged
	}
	if err := q.Validate(); err != nil {
		conflict := w.about("", "merged it cannot be: %s", reason(err))()
		if side, ok := w.decide(conflict); ok {
			return w.taken(side), nil
		}
	}
	return q, nil
}

// reason is what is wrong with a piece, without its name.
func reason(err error) string {
	var p *pattern.Problem
	if errors.As(err, &p) {
		return p.Reason
	}
	return err.Error()
}

// taken is a side's piece as it is; what the other side split off it does not
// come along.
func (w *pieceWork) taken(side Side) *pattern.Piece {
	w.keepWhole(w.was, side)
	return w.sides[side]
}

// outline merges edges and corners into q. whole says that the piece was
// settled as a whole: by an answer, or because only one side touched the outline
// and divided it.
func (w *pieceWork) outline(q *pattern.Piece) (done *pattern.Piece, whole bool, err error) {
	o := &outlines{shared: w.was, revert: w.revert}
	// There first: where a change is taken back, it shows what that had led on.
	var before *sideOutline
	for _, side := range []Side{There, Here} {
		if o.sides[side], err = readSide(w.was, w.sides[side], w.merging.sides[Here], before); err != nil {
			return nil, true, err
		}
		if w.revert {
			before = o.sides[side]
		}
	}
	for side, s := range o.sides {
		if s.whole == "" {
			continue
		}
		if other := o.sides[1-side]; other.same && w.cornersAsShared(other.piece) {
			w.adopt(q, s.piece, Side(side))
			return q, false, nil
		}
		conflict := w.about("", "%s %s, and its outline was changed %s too", s.whole, Side(side), Side(1-side))()
		keep, _ := w.decide(conflict)
		return w.taken(keep), true, nil
	}
	w.edges(q, o)
	w.corners(q, o)
	paths, at, answered := w.solve(o)
	if !answered {
		return q, false, nil
	}
	for i := range paths {
		q.Corners[i].At = geom.Pt(toThousandth(at[i].X), toThousandth(at[i].Y))
		q.Edges[i].SetPath(paths[i].Moved(geom.Motion{}))
	}
	return q, false, nil
}

// cornersAsShared reports whether a side changed no corner's rounding.
func (w *pieceWork) cornersAsShared(p *pattern.Piece) bool {
	return slices.EqualFunc(p.Corners, w.was.Corners, func(a, b pattern.Corner) bool { return a.Round == b.Round })
}

// adopt takes the outline of a side that divided it, where the other left it
// alone; what the other side said of edges stays where they are still there.
func (w *pieceWork) adopt(q, from *pattern.Piece, side Side) {
	q.Corners, q.Edges = from.Clone().Corners, from.Clone().Edges
	for i := range q.Edges {
		e := &q.Edges[i]
		k, l := w.was.EdgeByID(e.ID), w.sides[1-side].EdgeByID(e.ID)
		if k < 0 || l < 0 {
			continue
		}
		w.edge(e, w.was.Edges[k], *e, w.sides[1-side].Edges[l])
	}
}

// solve merges the outline until every conflict is answered, or some are not.
func (w *pieceWork) solve(o *outlines) (paths []geom.Path, at []geom.Point, answered bool) {
	keep := map[int]Side{}
	for {
		paths, at, found := o.merge(keep)
		if len(found) == 0 {
			return paths, at, true
		}
		open, before := false, len(keep)
		for _, f := range found {
			side, ok := w.decide(w.troubled(f))
			open = open || !ok
			for _, i := range f.edges {
				if _, settled := keep[i]; ok && !settled {
					keep[i] = side
				}
			}
		}
		if open || len(keep) == before {
			return nil, nil, false
		}
	}
}

// troubled is a conflict about edges.
func (w *pieceWork) troubled(f trouble) change.Conflict {
	var names []string
	for _, i := range f.edges {
		names = append(names, w.was.Edges[i].Name)
	}
	quoted := fmt.Sprintf("%q", names[0])
	if len(names) == 2 {
		quoted += fmt.Sprintf(" and %q", names[1])
	}
	c := w.about(strings.Join(names, "/"), "%s: %s", quoted, f.says)()
	c.Edges = names
	return c
}

// edges merges what is said of each edge.
func (w *pieceWork) edges(q *pattern.Piece, o *outlines) {
	for i := range q.Edges {
		w.edge(&q.Edges[i], w.was.Edges[i], o.sides[Here].piece.Edges[i], o.sides[There].piece.Edges[i])
	}
}

func (w *pieceWork) edge(e *pattern.Edge, was, here, there pattern.Edge) {
	about := func(what string) func() change.Conflict {
		return w.about(was.Name, "%q: both changed %s", was.Name, what)
	}
	e.Was = plain(w.merging, was.Was, here.Was, there.Was, about("what it was cut from"))
	e.Fold = plain(w.merging, was.Fold, here.Fold, there.Fold, about("whether it is a fold"))
	e.Hem = plain(w.merging, was.Hem, here.Hem, there.Hem, about("whether it is a hem"))
	sets := map[string]float64{}
	for _, of := range []map[string]float64{was.Allowance, here.Allowance, there.Allowance} {
		for set := range of {
			sets[set] = 0
		}
	}
	e.Allowance = nil
	for _, set := range slices.Sorted(maps.Keys(sets)) {
		v := plain(w.merging, was.Allowance[set], here.Allowance[set], there.Allowance[set], about(fmt.Sprintf("its allowance for %s: %s here, %s there", set, w.length(here.Allowance[set]), w.length(there.Allowance[set]))))
		if v != 0 {
			if e.Allowance == nil {
				e.Allowance = map[string]float64{}
			}
			e.Allowance[set] = v
		}
	}
}

// corners merges the treatment of each corner.
func (w *pieceWork) corners(q *pattern.Piece, o *outlines) {
	for k := range q.Corners {
		c, was := &q.Corners[k], w.was.Corners[k]
		h, t := o.sides[Here].piece.Corners[k], o.sides[There].piece.Corners[k]
		name := w.was.CornerName(k)
		about := func(what string) func() change.Conflict {
			return w.about(name, "the corner %s: both changed %s", name, what)
		}
		c.Round = plain(w.merging, was.Round, h.Round, t.Round, about(fmt.Sprintf("its rounding: %s here, %s there", w.rounding(h.Round), w.rounding(t.Round))))
		c.Name = plain(w.merging, was.Name, h.Name, t.Name, about("its name"))
		c.Meant = plain(w.merging, was.Meant, h.Meant, t.Meant, about("whether it is meant"))
		c.Style = plain(w.merging, was.Style, h.Style, t.Style, about("how the cutting line passes it"))
	}
}

// head merges what is said of the whole piece.
func (w *pieceWork) head(q *pattern.Piece) {
	h, t := w.sides[Here], w.sides[There]
	about := func(what string) func() change.Conflict { return w.about(what, "both changed its %s", what) }
	q.Cloth = plain(w.merging, w.was.Cloth, h.Cloth, t.Cloth, about("cloth"))
	q.Cut = plain(w.merging, w.was.Cut, h.Cut, t.Cut, about("cutting"))
	q.Side = plain(w.merging, w.was.Side, h.Side, t.Side, about("side"))
	q.DrawnWithin = math.Max(h.DrawnWithin, t.DrawnWithin)
	sameGrain := func(a, b *pattern.Grain) bool { return reflect.DeepEqual(a, b) }
	q.Grain = three(w.merging, sameGrain, w.was.Grain, h.Grain, t.Grain, about("grain"))
}

// length prints a length in the pattern's unit.
func (w *pieceWork) length(mm float64) string { return w.shared.Unit.Format(mm) }

func (w *pieceWork) rounding(mm float64) string {
	if mm == 0 {
		return "none"
	}
	return w.length(mm)
}

// notchSaid says where a notch sits.
func (w *pieceWork) notchSaid(n *pattern.Notch) string {
	if n == nil {
		return "none"
	}
	end := "start"
	if n.FromEnd {
		end = "end"
	}
	return fmt.Sprintf("on %q at %s from its %s", n.Edge, w.length(n.At), end)
}

// markSaid says where a mark is.
func (w *pieceWork) markSaid(k *pattern.Mark) string {
	switch {
	case k == nil:
		return "none"
	case k.Edge != "":
		return fmt.Sprintf("on %q from %s to %s", k.Edge, w.length(k.From), w.length(k.To))
	case len(k.Path) > 0:
		return fmt.Sprintf("from %s across and %s down", w.length(k.Path.Start().X), w.length(k.Path.Start().Y))
	}
	return fmt.Sprintf("at %s across and %s down", w.length(k.At.X), w.length(k.At.Y))
}

// apart is what is told of something that both sides have, each otherwise; it
// says no more where the words do not tell them apart.
func apart(here, there string) string {
	if here == there {
		return ""
	}
	return fmt.Sprintf(": %s here, %s there", here, there)
}

// listed merges lists of things that have a name: in the shared order, then
// what is new by name. gone tells which is not there.
func listed[T any](w *pieceWork, shared, here, there []T, name func(T) string, kind string, said func(*T) string) []T {
	alike := func(a, b []T) bool { return len(a) == len(b) && (len(a) == 0 || reflect.DeepEqual(a, b)) }
	switch {
	case alike(there, shared), alike(here, there):
		return here
	case alike(here, shared):
		return there
	}
	find := func(list []T, n string) *T {
		for i := range list {
			if name(list[i]) == n {
				return &list[i]
			}
		}
		return nil
	}
	var order, fresh []string
	for _, v := range shared {
		order = append(order, name(v))
	}
	for _, v := range slices.Concat(here, there) {
		if n := name(v); !slices.Contains(order, n) && !slices.Contains(fresh, n) {
			fresh = append(fresh, n)
		}
	}
	slices.Sort(fresh)
	var out []T
	same := func(a, b *T) bool { return reflect.DeepEqual(a, b) }
	for _, n := range append(order, fresh...) {
		h, t := find(here, n), find(there, n)
		if v := three(w.merging, same, find(shared, n), h, t, w.about(n, "the %s %q: both changed it, and not in the same way%s", kind, n, apart(said(h), said(t)))); v != nil {
			out = append(out, *v)
		}
	}
	return out
}

func (w *pieceWork) notches(q *pattern.Piece) {
	w.keepBothNotches()
	q.Notches = listed(w, w.was.Notches, w.sides[Here].Notches, w.sides[There].Notches, func(n pattern.Notch) string { return n.Name }, "notch", w.notchSaid)
}

func (w *pieceWork) marks(q *pattern.Piece) {
	w.keepBothMarks()
	q.Marks = listed(w, w.was.Marks, w.sides[Here].Marks, w.sides[There].Marks, func(k pattern.Mark) string { return k.Name }, "mark", w.markSaid)
}

func (w *pieceWork) lines(q *pattern.Piece) {
	q.Lines = listed(w, w.was.Lines, w.sides[Here].Lines, w.sides[There].Lines, func(l pattern.ReferenceLine) string { return l.Name }, "line",
		func(*pattern.ReferenceLine) string { return "" })
}
