package geom

import (
	"math"
	"slices"
)

// boxTree finds overlapping boxes in near n·log n, however they lie. It is a
// complete binary tree over the boxes in the order of their centres along the
// Z-shaped curve (Morton, A computer oriented geodetic data base, 1966), which
// keeps neighbours together; every node holds the bounds of what is below it.
type boxTree struct {
	boxes  []Box
	order  []int32 // of the boxes, boxLeaf to a leaf
	nodes  []Box   // node 1 is the root, 2n and 2n+1 are below node n
	leaves int     // the first leaf's node
}

// boxLeaf is the number of boxes to a leaf: fewer make the tree deep, more
// compare pairs that a node would have told apart.
const boxLeaf = 4

func newBoxTree(boxes []Box) *boxTree {
	t := &boxTree{boxes: boxes, order: zOrder(boxes), leaves: 1}
	for t.leaves*boxLeaf < len(boxes) {
		t.leaves *= 2
	}
	t.nodes = make([]Box, 2*t.leaves)
	for n := range t.leaves {
		bounds := EmptyBox()
		for _, i := range t.leaf(t.leaves + n) {
			bounds = bounds.Union(boxes[i])
		}
		t.nodes[t.leaves+n] = bounds
	}
	for n := t.leaves - 1; n > 0; n-- {
		t.nodes[n] = t.nodes[2*n].Union(t.nodes[2*n+1])
	}
	return t
}

// zOrder lists the boxes in the order of their centres along the curve.
func zOrder(boxes []Box) []int32 {
	all := EmptyBox()
	for _, b := range boxes {
		all = all.Extend(b.Centre())
	}
	const steps = 1<<16 - 1
	size := all.Size()
	scale := steps / math.Max(math.Max(size.X, size.Y), 1e-300)
	keys := make([]uint64, len(boxes))
	for i, b := range boxes {
		at := b.Centre().Sub(all.Min).Mul(scale)
		keys[i] = (spread(uint64(at.X))|spread(uint64(at.Y))<<1)<<32 | uint64(i)
	}
	slices.Sort(keys)
	order := make([]int32, len(boxes))
	for i, k := range keys {
		order[i] = int32(uint32(k))
	}
	return order
}

// spread puts a zero between every two of the lowest 16 bits.
func spread(v uint64) uint64 {
	v &= 0xffff
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// leaf lists the boxes below a leaf.
func (t *boxTree) leaf(n int) []int32 {
	from := min((n-t.leaves)*boxLeaf, len(t.order))
	return t.order[from:min(from+boxLeaf, len(t.order))]
}

// pairs calls visit for every pair i < j of boxes that overlap, until it
// returns false.
func (t *boxTree) pairs(visit func(i, j int) bool) {
	t.within(1, func(i, j int) bool { return visit(min(i, j), max(i, j)) })
}

func (t *boxTree) within(n int, visit func(i, j int) bool) bool {
	if n < t.leaves {
		return t.within(2*n, visit) && t.within(2*n+1, visit) && t.across(2*n, t, 2*n+1, visit)
	}
	leaf := t.leaf(n)
	for k, i := range leaf {
		for _, j := range leaf[k+1:] {
			if t.boxes[i].Overlaps(t.boxes[j]) && !visit(int(i), int(j)) {
				return false
			}
		}
	}
	return true
}

// with calls visit for every box i of t that overlaps a box j of u.
func (t *boxTree) with(u *boxTree, visit func(i, j int) bool) { t.across(1, u, 1, visit) }

func (t *boxTree) across(n int, u *boxTree, m int, visit func(i, j int) bool) bool {
	if !t.nodes[n].Overlaps(u.nodes[m]) {
		return true
	}
	switch deep, flat := n < t.leaves, m < u.leaves; {
	case deep && flat:
		return t.across(2*n, u, 2*m, visit) && t.across(2*n, u, 2*m+1, visit) &&
			t.across(2*n+1, u, 2*m, visit) && t.across(2*n+1, u, 2*m+1, visit)
	case deep:
		return t.across(2*n, u, m, visit) && t.across(2*n+1, u, m, visit)
	case flat:
		return t.across(n, u, 2*m, visit) && t.across(n, u, 2*m+1, visit)
	}
	for _, i := range t.leaf(n) {
		for _, j := range u.leaf(m) {
			if t.boxes[i].Overlaps(u.boxes[j]) && !visit(int(i), int(j)) {
				return false
			}
		}
	}
	return true
}
