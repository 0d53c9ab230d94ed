package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
)

// edgesOf lists for each edge of a part which edge of the whole it lies along,
// −1 for one at the line between the parts.
func (d *divided) edgesOf(part *pattern.Piece) []int {
	out := make([]int, len(part.Edges))
	for j := range part.Edges {
		out[j] = -1
		path := part.EdgePath(j)
		if far, _ := explain.Farthest(path, d.line); far <= inPlace {
			continue
		}
		least := math.Max(inPlace, tolerance(d.whole, part))
		for i := range d.whole.Edges {
			if far, _ := explain.Farthest(path, d.whole.EdgePath(i)); far <= least {
				out[j], least = i, far
			}
		}
	}
	return out
}

// newNames says which edges of the whole a part calls otherwise, and which new
// edge bears the name of another.
func (d *divided) newNames() string {
	parts := []*pattern.Piece{d.one, d.other}
	called := make([][]string, len(d.whole.Edges)) // what each edge is called, and where
	kept := make([]bool, len(d.whole.Edges))
	var borrowed []string
	for _, p := range parts {
		for j, i := range d.edgesOf(p) {
			name := p.Edges[j].Name
			switch {
			case i >= 0:
				called[i] = append(called[i], fmt.Sprintf("%q of %q", name, p.Name))
				kept[i] = kept[i] || name == d.whole.Edges[i].Name
			case edgeNamed(d.whole, name) >= 0 && !numberedName(name):
				hem := ""
				if p.HemEdge() == j {
					hem = " and counts as its hem"
				}
				borrowed = append(borrowed, fmt.Sprintf("the new edge of %q is called %q%s", p.Name, name, hem))
			}
		}
	}
	text := ""
	for i, names := range called {
		if !kept[i] && len(names) > 0 && !numberedName(d.whole.Edges[i].Name) {
			text += fmt.Sprintf("; %q is now %s", d.whole.Edges[i].Name, strings.Join(names, " and "))
		}
	}
	for _, b := range borrowed {
		text += "; " + b
	}
	return text
}

// origin says of the part that is a piece of its own what it was split off
// from, and along which of its edges.
func (d *divided) origin() string {
	says := fmt.Sprintf("split off from %q", d.whole.Name)
	for j, e := range d.other.Edges {
		if far, _ := explain.Farthest(d.other.EdgePath(j), d.line); far <= inPlace {
			return says + fmt.Sprintf(" along %q", e.Name)
		}
	}
	return says
}

// halfOf says of a new piece which pair it is the other half of; empty where it
// is none.
func halfOf(now *pattern.Piece, a, b *pattern.Pattern) string {
	old, other := pairOf(now, a, b)
	if old == nil {
		return ""
	}
	return fmt.Sprintf("one half of the pair %q, for the wearer's %s; the other is %q", old.Name, now.Side, other.Name)
}

// halfLaid is the pair of which a new piece is one half, and the motion that lays
// the piece on it: turned over, so that the middles of its edges lie on those of the
// edges that they were; nil where fewer than two are known.
func halfLaid(now *pattern.Piece, a, b *pattern.Pattern) (*pattern.Piece, geom.Motion) {
	old, _ := pairOf(now, a, b)
	i := slices.IndexFunc(b.Pieces, func(q *pattern.Piece) bool { return q.Name == now.Name })
	if old == nil || i < 0 {
		return nil, geom.Motion{}
	}
	is, was := edgesThatWere(b.Pieces[i], old)
	best, laid := math.Inf(1), geom.Motion{}
	for k := range is {
		for l := range is[:k] {
			m, ok := turnedOver([2]geom.Point{is[k], is[l]}, [2]geom.Point{was[k], was[l]})
			far := 0.0
			for n := range is {
				far += m.Apply(is[n]).Dist(was[n])
			}
			if ok && far < best {
				best, laid = far, m
			}
		}
	}
	if math.IsInf(best, 1) {
		return nil, geom.Motion{}
	}
	return old, laid
}

// edgesThatWere lists the middles of a piece's edges, and those of the edges of
// another piece that they were.
func edgesThatWere(now, old *pattern.Piece) (is, was []geom.Point) {
	middle := func(p geom.Path) geom.Point { return p.PointAt(p.Length() / 2) }
	for j, e := range now.Edges {
		for i, f := range old.Edges {
			if e.Was != "" && e.Was == f.ID {
				is, was = append(is, middle(now.EdgePath(j))), append(was, middle(old.EdgePath(i)))
			}
		}
	}
	return is, was
}

// turnedOver is the motion with a mirror image that takes the first point to where
// it was, and the second in its direction; false where they are one point.
func turnedOver(is, was [2]geom.Point) (m geom.Motion, ok bool) {
	m.Mirror = true
	from, to := m.ApplyVector(is[1].Sub(is[0])), was[1].Sub(was[0])
	if from == (geom.Point{}) || to == (geom.Point{}) {
		return m, false
	}
	m.Turn = math.Atan2(to.Y, to.X) - math.Atan2(from.Y, from.X)
	m.Shift = was[0].Sub(m.Apply(is[0]))
	return m, true
}

// pairOf is the pair of which a new piece is one half, and the piece that is the
// other half now; nil where it is none.
func pairOf(now *pattern.Piece, a, b *pattern.Pattern) (old, other *pattern.Piece) {
	if now.Was == "" {
		return nil, nil
	}
	for _, old := range a.Pieces {
		for _, q := range b.Pieces {
			if old.ID == now.Was && q.ID == old.ID && leftAndRight(old, q, now) {
				return old, q
			}
		}
	}
	return nil, nil
}

// leftAndRight reports whether two pieces are the left and the right one of what was a
// pair.
func leftAndRight(old, one, other *pattern.Piece) bool {
	return old.Cut == pattern.CutPair && one.Cut == pattern.CutOne && other.Cut == pattern.CutOne && one.Side != "" && other.Side != "" && one.Side != other.Side
}
