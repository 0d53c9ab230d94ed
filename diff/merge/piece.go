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
			if byID(m.shared, q) != nil || slices.Contains(m.dropped, q.Was) {
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
	switch {
	case here == nil && there == nil, samePiece(here, there), samePiece(there, was):
		return here, nil
	case samePiece(here, was):
		return there, nil
	}
	c := change.Conflict{Where: was.Name, Piece: was.Name, Shared: was, Here: here, There: there}
	if here == nil || there == nil {
		gone := Here
		if there == nil {
			gone = There
		}
		c.Says = fmt.Sprintf("%s was removed %s and changed %s", was.Name, gone, 1-gone)
		side, answered := m.decide(c)
		if answered {
			m.wholes = append(m.wholes, side)
		}
		return [2]*pattern.Piece{here, there}[side], nil
	}
	w := &pieceWork{merging: m, was: was, sides: [2]*pattern.Piece{here, there}}
	return w.merge()
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
// come.
func (w *pieceWork) taken(side Side) *pattern.Piece {
	w.wholes = append(w.wholes, side)
	if !slices.ContainsFunc(w.merging.sides[side].Pieces, func(q *pattern.Piece) bool { return q.Was == w.was.ID }) {
		w.dropped = append(w.dropped, w.was.ID)
	}
	return w.sides[side]
}

// outline merges edges and corners into q. whole says that the piece was
// settled as a whole: by an answer, or because only one side touched the outline
// and divided it.
func (w *pieceWork) outline(q *pattern.Piece) (done *pattern.Piece, whole bool, err error) {
	o := &outlines{shared: w.was, revert: w.revert}
	for side, now := range w.sides {
		if o.sides[side], err = readSide(w.was, now, w.merging.sides[Here]); err != nil {
			return nil, true, err
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
		v := plain(w.merging, was.Allowance[set], here.Allowance[set], there.Allowance[set], about("its allowance for "+set))
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
		c.Round = plain(w.merging, was.Round, h.Round, t.Round, about("its rounding"))
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

// listed merges lists of things that have a name: in the shared order, then
// what is new by name. gone tells which is not there.
func listed[T any](w *pieceWork, shared, here, there []T, name func(T) string, kind string) []T {
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
		if v := three(w.merging, same, find(shared, n), find(here, n), find(there, n), w.about(n, "the %s %q: both changed it, and not in the same way", kind, n)); v != nil {
			out = append(out, *v)
		}
	}
	return out
}

func (w *pieceWork) notches(q *pattern.Piece) {
	q.Notches = listed(w, w.was.Notches, w.sides[Here].Notches, w.sides[There].Notches, func(n pattern.Notch) string { return n.Name }, "notch")
}

func (w *pieceWork) marks(q *pattern.Piece) {
	q.Marks = listed(w, w.was.Marks, w.sides[Here].Marks, w.sides[There].Marks, func(k pattern.Mark) string { return k.Name }, "mark")
}

func (w *pieceWork) lines(q *pattern.Piece) {
	q.Lines = listed(w, w.was.Lines, w.sides[Here].Lines, w.sides[There].Lines, func(l pattern.ReferenceLine) string { return l.Name }, "line")
}
