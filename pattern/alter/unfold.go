package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "unfold", Does: "draws a piece whole that is cut on the fold, so that its halves can differ",
	Keys:  []Key{{Name: "drawn", What: Text, Means: "which of the wearer's sides the half shows as drawn, left or right: on which half notes of one side lie"}},
	Typed: `back`, make: (*making).unfold})

// smoothAcross is the bend in radians up to which an edge runs smoothly over
// the fold and is one edge afterwards.
const smoothAcross = 3 * math.Pi / 180

// unfolding is a folded piece on its way to a whole one.
type unfolding struct {
	old, whole *pattern.Piece
	flip       geom.Motion
	names      map[string]string  // of the other half's edges, by those of the half
	lead       map[string]float64 // how much lies before the half's edge in the whole's
	image      map[string]float64 // s along the half's edge is image − s along its image
	notch      map[string]string  // of the other half's notches, by those of the half
}

func (m *making) unfold() error {
	q := m.piece
	f := slices.IndexFunc(q.Edges, func(e pattern.Edge) bool { return e.Fold })
	if f < 0 {
		return fmt.Errorf("%s has no fold; it is drawn whole already", q.Name)
	}
	if err := m.notesOfHalves(); err != nil {
		return err
	}
	m.recordPleats(q)
	axis := q.EdgePath(f)
	u := &unfolding{old: q, whole: q.Clone(), flip: geom.MirrorIn(axis.Start(), axis.End()),
		names: map[string]string{}, lead: map[string]float64{}, image: map[string]float64{}, notch: map[string]string{}}
	u.whole.Cut, u.whole.Corners, u.whole.Edges = pattern.CutOne, nil, nil
	u.bothHalves(f)
	u.joinOver(len(q.Edges) - 1) // at the fold's start, where the other half begins
	u.joinOver(0)
	u.whole.Notches, u.whole.Marks = u.notches(), u.marks(f)
	u.lines(f)
	asStored(u.whole)
	m.replace(q, u.whole)
	m.sewBothHalves(u)
	m.layersOfWhole(u, q.Edges[f].Name)
	m.pattern.GiveIDs(u.whole)
	return begin(u.whole).finish()
}

// bothHalves lists the half's edges from the fold's end on, then their images
// back to it.
func (u *unfolding) bothHalves(f int) {
	n := len(u.old.Edges)
	half, other := u.old.Clone(), u.old.Moved(u.flip)
	for k := 1; k < n; k++ {
		i := (f + k) % n
		e := half.Edges[i]
		u.lead[e.Name], u.image[e.Name] = 0, u.old.EdgePath(i).Length()
		u.whole.Corners, u.whole.Edges = append(u.whole.Corners, half.Corners[i]), append(u.whole.Edges, e)
	}
	g := slices.IndexFunc(other.Edges, func(e pattern.Edge) bool { return e.Fold })
	for k := 1; k < n; k++ {
		i := (g + k) % n
		e, c := other.Edges[i], other.Corners[i]
		u.names[e.Name] = u.freeName(pattern.OtherHalf + e.Name)
		e.Name, e.Was, e.ID, c.Name = u.names[e.Name], e.ID, "", ""
		u.whole.Corners, u.whole.Edges = append(u.whole.Corners, c), append(u.whole.Edges, e)
	}
	for _, k := range []int{0, n - 1} { // on the fold nothing is rounded
		u.whole.Corners[k].Round, u.whole.Corners[k].Style = 0, ""
	}
}

func (u *unfolding) freeName(name string) string {
	taken := append(u.old.EdgeNames(), u.whole.EdgeNames()...)
	for k, try := 2, name; ; k++ {
		if !slices.Contains(taken, try) {
			return try
		}
		try = fmt.Sprintf("%s %d", name, k)
	}
}

// joinOver makes one edge of the two that run smoothly over the fold at corner
// k, under the name of the half's.
func (u *unfolding) joinOver(k int) {
	p := u.whole
	n := len(p.Edges)
	i := (k + n - 1) % n
	a, b := p.EdgePath(i), p.EdgePath(k)
	if i == k || math.Abs(geom.AngleBetween(a.EndTangent(), b.StartTangent())) > smoothAcross {
		return
	}
	path := append(append(geom.Path{}, a...), b...)
	if last, first := a[len(a)-1], b[0]; last.IsStraight(1e-6) && first.IsStraight(1e-6) && inLine(last, first) {
		path = append(append(append(geom.Path{}, a[:len(a)-1]...), geom.Line(last.P0, first.P3)), b[1:]...)
	}
	keep, gone := i, k
	own := p.Edges[keep]
	if _, half := u.lead[own.Name]; !half { // the other half comes first
		own = p.Edges[gone]
		u.lead[own.Name] = a.Length()
	} else {
		u.image[own.Name] = 2 * a.Length()
	}
	u.names[own.Name] = own.Name
	own.SetPath(path)
	p.Edges[keep] = own
	p.Edges, p.Corners = slices.Delete(p.Edges, gone, gone+1), slices.Delete(p.Corners, gone, gone+1)
}

// notches are those of the half, where they are, and their images. One on an
// edge that now runs over the fold counts from the end that it keeps.
func (u *unfolding) notches() []pattern.Notch {
	var out []pattern.Notch
	for _, n := range u.old.Notches {
		_, _, at, err := u.old.NotchPlace(n)
		if err != nil {
			continue
		}
		length := lengthOf(u.old, n.Edge)
		own, copied := n, n
		if u.names[n.Edge] == n.Edge { // over the fold
			own.FromEnd = u.lead[n.Edge] > 0
			own.At = roundTo(at)
			if own.FromEnd {
				own.At = roundTo(length - at)
			}
		}
		copied.Name, copied.Edge = u.freeNotch(out, pattern.OtherHalf+n.Name), u.names[n.Edge]
		copied.At, copied.FromEnd = own.At, !own.FromEnd
		out = append(out, own)
		u.notch[n.Name] = n.Name
		onFold := (own.FromEnd && at < 1e-3) || (!own.FromEnd && length-at < 1e-3)
		if copied.Edge != own.Edge || !onFold {
			u.notch[n.Name] = copied.Name
			out = append(out, copied)
		}
	}
	return out
}

func (u *unfolding) freeNotch(so []pattern.Notch, name string) string {
	taken := func(try string) bool {
		return u.old.NotchByName(try) >= 0 || slices.ContainsFunc(so, func(n pattern.Notch) bool { return n.Name == try })
	}
	try := name
	for k := 2; taken(try); k++ {
		try = fmt.Sprintf("%s %d", name, k)
	}
	return try
}

// marks are those of the half and the images of those that do not lie on the
// fold. A text is written once.
func (u *unfolding) marks(f int) []pattern.Mark {
	axis := u.old.EdgePath(f)
	all := u.old.Clone().Marks
	for _, k := range u.old.Moved(u.flip).Marks {
		_, off := axis.Nearest(markPlace(k))
		if k.Kind == pattern.MarkText || (k.Edge == "" && off < 0.01) {
			continue
		}
		if k.Edge != "" {
			length := lengthOf(u.old, k.Edge)
			from, to := length-k.To, length-k.From // on the half
			k.Edge, k.From, k.To = u.names[k.Edge], roundTo(u.image[k.Edge]-to), roundTo(u.image[k.Edge]-from)
		}
		k.Name = pattern.OtherHalf + k.Name
		all = append(all, k)
	}
	for i := range u.old.Marks {
		if k := &all[i]; k.Edge != "" {
			k.From, k.To = k.From+u.lead[k.Edge], k.To+u.lead[k.Edge]
		}
	}
	return all
}

// lines copies the reference lines; the fold becomes one, which runs the way it does
// on a mirror image of the half, down the grain.
func (u *unfolding) lines(f int) {
	axis := u.old.EdgePath(f)
	if axis.End().Sub(axis.Start()).Dot(u.old.GrainDirection()) < 0 {
		axis = axis.Reverse()
	}
	for _, l := range u.old.Moved(u.flip).Lines {
		if _, off := axis.Nearest(l.Path.PointAt(l.Path.Length() / 2)); off > 0.01 {
			l.Name = pattern.OtherHalf + l.Name
			u.whole.Lines = append(u.whole.Lines, l)
		}
	}
	name := u.old.Edges[f].Name
	if !slices.ContainsFunc(u.whole.Lines, func(l pattern.ReferenceLine) bool { return l.Name == name }) {
		u.whole.Lines = append(u.whole.Lines, pattern.ReferenceLine{Name: name, Path: axis})
	}
}

// stretch is a stretch of the half in the whole, or its image.
func (u *unfolding) stretch(st pattern.Stretch, image bool) pattern.Stretch {
	edge, length := st.Edge, lengthOf(u.old, st.Edge)
	if image {
		if u.names[edge] != edge {
			st = mirrored(st, length)
			st.Edge = u.names[edge]
			return st
		}
		to := st.To
		if to == 0 {
			to = length
		}
		st.From, st.To, st.Turned = roundTo(u.image[edge]-to), roundTo(u.image[edge]-st.From), !st.Turned
		return openEnded(st, u.whole)
	}
	if u.names[edge] != edge {
		return st
	}
	to := st.To
	if to == 0 {
		to = length
	}
	st.From, st.To = roundTo(st.From+u.lead[edge]), roundTo(to+u.lead[edge])
	return openEnded(st, u.whole)
}

// openEnded writes a stretch that reaches an end of its edge without that end.
func openEnded(st pattern.Stretch, p *pattern.Piece) pattern.Stretch {
	const near = 1e-3
	if st.From < near {
		st.From = 0
	}
	if st.To > lengthOf(p, st.Edge)-near {
		st.To = 0
	}
	return st
}
