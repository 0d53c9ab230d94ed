package alter

import (
	"cmp"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// startAt has the outline of a piece listed from a corner on, by where it lies, as stored;
// a piece without a corner there stays as it is.
func startAt(p *pattern.Piece, at geom.Point) {
	k := slices.IndexFunc(p.Corners, func(c pattern.Corner) bool { return rounded(c.At) == rounded(at) })
	if k <= 0 {
		return
	}
	p.Corners = slices.Concat(p.Corners[k:], p.Corners[:k])
	p.Edges = slices.Concat(p.Edges[k:], p.Edges[:k])
}

// startLike has the outline of a joined piece listed from where one of its parts began,
// the first, unless that began at the edge that was joined: of the parts that a split
// made, one begins where the whole did, and the other there.
func startLike(whole, q *pattern.Piece, i int, laid *pattern.Piece, j int) {
	inside := func(p *pattern.Piece, edge int) bool { return edge != 0 && (edge+1)%len(p.Edges) != 0 }
	switch {
	case inside(q, i) || !inside(laid, j):
		startAt(whole, q.Corners[0].At)
	default:
		startAt(whole, laid.Corners[0].At)
	}
}

// inOutlineOrder reports whether the notches of a piece are listed as they come along
// its outline, but for those of one edge.
func inOutlineOrder(p *pattern.Piece, but int) bool {
	all := slices.DeleteFunc(placedNotches(p), func(n placed) bool { return n.edge == but })
	return slices.IsSortedFunc(all, comparePlaced)
}

// placed is a notch with where it lies: its edge, and mm from that edge's start.
type placed struct {
	notch pattern.Notch
	edge  int
	along float64
}

func comparePlaced(a, b placed) int {
	if a.edge != b.edge {
		return cmp.Compare(a.edge, b.edge)
	}
	return cmp.Compare(a.along, b.along)
}

func placedNotches(p *pattern.Piece) (all []placed) {
	for _, n := range p.Notches {
		i, err := p.EdgeIndex(n.Edge)
		if err != nil {
			continue
		}
		at := n.At
		if n.FromEnd {
			at = p.EdgePath(i).Length() - n.At
		}
		all = append(all, placed{n, i, at})
	}
	return all
}

// listNotches lists the notches of a joined piece by their names, or as they come along
// its outline, where those of both its parts were listed so; its marks by their names.
func listNotches(whole, q *pattern.Piece, i int, laid *pattern.Piece, j int) {
	byName := func(a, b pattern.Notch) int { return strings.Compare(a.Name, b.Name) }
	marked := func(a, b pattern.Mark) int { return strings.Compare(a.Name, b.Name) }
	if slices.IsSortedFunc(q.Marks, marked) && slices.IsSortedFunc(laid.Marks, marked) {
		slices.SortStableFunc(whole.Marks, marked)
	}
	of := func(p *pattern.Piece, but int) []pattern.Notch {
		return slices.DeleteFunc(slices.Clone(p.Notches), func(n pattern.Notch) bool { return n.Edge == p.Edges[but].Name })
	}
	switch {
	case slices.IsSortedFunc(of(q, i), byName) && slices.IsSortedFunc(of(laid, j), byName):
		slices.SortStableFunc(whole.Notches, byName)
		return
	case !inOutlineOrder(q, i) || !inOutlineOrder(laid, j):
		return
	}
	all := placedNotches(whole)
	if len(all) != len(whole.Notches) {
		return
	}
	slices.SortStableFunc(all, comparePlaced)
	for k := range all {
		whole.Notches[k] = all[k].notch
	}
}
