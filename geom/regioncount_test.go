package geom

import (
	"fmt"
	"math"
	"slices"
)

// neck is the width in mm below which the kernel, whose chords end 5e-5 mm from
// their curves on a grid of 1.5e-5 mm, and the reference in double precision
// may see a strip that joins two parts of a region, or none.
const neck = 2e-4

// regionSet is what a comparison added, removed and kept, in this order.
type regionSet [3][]flatRegion

var regionKinds = [3]string{"added", "removed", "kept"}

func ownRegions(o Overlap) regionSet {
	var set regionSet
	for k, regions := range [][]Region{o.Added, o.Removed, o.Kept} {
		for _, r := range regions {
			f := flatRegion{area: r.Area}
			for _, ring := range r.Rings {
				f.perimeter += ring.Length()
				for _, c := range ring {
					f.points = append(f.points, c.P0)
				}
			}
			set[k] = append(set[k], f)
		}
	}
	return set
}

func (t trueRegions) set() regionSet { return regionSet{t.added, t.removed, t.kept} }

// sameRegions holds the wide regions of one kind against the reference's, one
// by one in the order of their areas, and returns by how much each area
// differs. A region nearly as wide as the limit counts in neither.
func sameRegions(ours, reference []flatRegion, doubt float64) (off []float64, err error) {
	x, y := wideAreas(ours, wideRegion), wideAreas(reference, wideRegion)
	if len(x) != len(y) && borderline(ours, reference) {
		return nil, nil
	}
	if len(x) != len(y) {
		return nil, fmt.Errorf("%d regions wider than %v mm, by the reference %d: %v, %v", len(x), wideRegion, len(y), x, y)
	}
	for i := range x {
		off = append(off, math.Abs(x[i]-y[i]))
		if !(exceeds(x[i], y[i], doubt) <= areaTarget) {
			return nil, fmt.Errorf("a region of %.6f mm², by the reference %.6f within %.2g", x[i], y[i], doubt)
		}
	}
	return off, nil
}

// sameButNecks is sameRegions where parts that a neck joins may count as one
// region or as several.
func sameButNecks(ours, joined, reference, joinedReference []flatRegion, doubt float64) (off []float64, err error) {
	for _, x := range [][]flatRegion{ours, joined} {
		for _, y := range [][]flatRegion{reference, joinedReference} {
			if off, err = sameRegions(x, y, doubt); err == nil {
				return off, nil
			}
		}
	}
	return nil, err
}

func wideAreas(regions []flatRegion, limit float64) []float64 {
	var out []float64
	for _, r := range regions {
		if r.width() > limit {
			out = append(out, r.area)
		}
	}
	slices.Sort(out)
	return out
}

// borderline reports whether the sets would have the same number of wide
// regions at a limit a tenth away.
func borderline(x, y []flatRegion) bool {
	for _, limit := range []float64{0.9 * wideRegion, 1.1 * wideRegion} {
		if len(wideAreas(x, limit)) == len(wideAreas(y, limit)) {
			return true
		}
	}
	return false
}

// exceeds is the error of an area that is certain: what is left of the
// difference when all that is in doubt is taken off.
func exceeds(ours, reference, doubt float64) float64 {
	return max(0, math.Abs(ours-reference)-doubt)
}

// withNecks joins the regions of one kind that hang together by a strip
// narrower than neck, or lie at one sliver that is: whether these are one
// region or several is beyond what the grid resolves. together says whether
// the two outlines run within neck of each other near a place.
func (s regionSet) withNecks(together func(Point) bool) regionSet {
	type node struct{ kind, index int }
	var all []node
	for k := range s {
		for i := range s[k] {
			all = append(all, node{k, i})
		}
	}
	group := make([]int, len(all))
	for i := range group {
		group[i] = i
	}
	find := func(i int) int {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	region := func(i int) flatRegion { return s[all[i].kind][all[i].index] }
	thin := func(i int) bool { return math.Abs(region(i).width()) < neck }
	for i := range all {
		for j := range i {
			if (thin(i) || thin(j) || all[i].kind == all[j].kind) && hangTogether(region(i), region(j), together) {
				group[find(i)] = find(j)
			}
		}
	}
	var out regionSet
	joined := map[node]int{} // kind and group to index in out
	for i, n := range all {
		key := node{n.kind, find(i)}
		at, ok := joined[key]
		if !ok {
			at = len(out[n.kind])
			joined[key] = at
			out[n.kind] = append(out[n.kind], flatRegion{})
		}
		r := &out[n.kind][at]
		r.area, r.perimeter = r.area+region(i).area, r.perimeter+region(i).perimeter
	}
	return out
}

// neckLength is the greatest length of a neck in mm: two outlines that cross
// at 1e-5 stay within neck of each other for some 40 mm.
const neckLength = 50

// hangTogether reports whether two regions touch, or the outlines stay
// together all the way from a vertex of one to a vertex of the other.
func hangTogether(a, b flatRegion, together func(Point) bool) bool {
	box := EmptyBox()
	for _, p := range b.points {
		box = box.Extend(p)
	}
	box = box.Grow(neckLength)
	for _, p := range a.points {
		if !box.Holds(p) {
			continue
		}
		for _, q := range b.points {
			if d := p.Dist(q); d <= neck || d <= neckLength && allAlong(p, q, together) {
				return true
			}
		}
	}
	return false
}

func allAlong(p, q Point, together func(Point) bool) bool {
	for _, f := range [8]float64{0, 1, 0.5, 0.25, 0.75, 0.06, 0.94, 0.4} {
		if !together(p.Lerp(q, f)) {
			return false
		}
	}
	return true
}

// runTogether tells where A and the outline laid for B run within neck of each
// other.
func runTogether(p outlinePair, stretches []Stretch) func(Point) bool {
	ra, rb := laid(p.a, p.b, stretches, 1)
	a, b := Path(ra.ring()), Path(rb.ring())
	return func(q Point) bool {
		at, _ := a.Nearest(q)
		_, d := b.Nearest(a.At(at))
		return d <= neck
	}
}
