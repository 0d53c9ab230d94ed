package match

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

// Identity says which old edge a new edge continues.
type Identity struct {
	Edge   int     // index of the old edge, −1 when it continues none
	Part   int     // for one that continues none: the old edge it lies on, which another one continues; −1 when it lies on none
	Shared float64 // mm that coincide with Edge, or with Part; 0 where order and likeness decided
}

// Edges finds for each edge of a new outline the edge of an old one that it
// continues. Both outlines lie over each other and list their edges
// clockwise; tol in mm is the distance within which they coincide. Each old
// edge is continued by one new edge at most.
//
// The greatest coinciding length decides. What coincides with nothing, as a
// hem that moved, is settled by its order between settled neighbours and by
// likeness of direction, length and place.
func Edges(old, new []geom.Path, tol float64) []Identity {
	shared := sharedLengths(old, new, tol)
	ids := make([]Identity, len(new))
	for i := range ids {
		ids[i] = Identity{Edge: -1, Part: -1}
	}
	taken := make([]bool, len(old))
	for _, s := range shared {
		switch id := &ids[s.new]; {
		case id.Edge < 0 && !taken[s.old]:
			taken[s.old] = true
			*id = Identity{Edge: s.old, Part: -1, Shared: s.length}
		case id.Edge < 0 && id.Part < 0:
			id.Part, id.Shared = s.old, s.length
		}
	}
	settleRest(old, new, ids, taken)
	return ids
}

// overlap is how long a new edge coincides with an old one.
type overlap struct {
	old, new int
	length   float64
}

// sharedLengths lists what coincides, the longest first. Less than ten
// tolerances is chance.
func sharedLengths(old, new []geom.Path, tol float64) []overlap {
	a, edgeOfA := joined(old)
	b, edgeOfB := joined(new)
	sum := map[[2]int]float64{}
	for _, s := range geom.Match(a, b, tol) {
		if s.B1 > s.B0 {
			sum[[2]int{edgeOfA[s.A], edgeOfB[s.B]}] += a[s.A].LengthBetween(s.A0, s.A1)
		}
	}
	var out []overlap
	for k, length := range sum {
		if length > 10*tol {
			out = append(out, overlap{k[0], k[1], length})
		}
	}
	sort.Slice(out, func(i, j int) bool {
		x, y := out[i], out[j]
		if x.length != y.length {
			return x.length > y.length
		}
		return x.old < y.old || (x.old == y.old && x.new < y.new)
	})
	return out
}

func joined(paths []geom.Path) (geom.Ring, []int) {
	var r geom.Ring
	var edge []int
	for i, p := range paths {
		r = append(r, p...)
		for range p {
			edge = append(edge, i)
		}
	}
	return r, edge
}

// settleRest pairs what is left between settled neighbours.
func settleRest(old, new []geom.Path, ids []Identity, taken []bool) {
	size := extent(old)
	first := slices.IndexFunc(ids, func(id Identity) bool { return id.Edge >= 0 })
	if first < 0 {
		pairs, best := [][2]int(nil), 0.0
		for turn := range old {
			order := make([]int, len(old))
			for k := range old {
				order[k] = (turn + k) % len(old)
			}
			if p, value := align(old, new, order, upTo(len(new)), size); value > best {
				pairs, best = p, value
			}
		}
		take(ids, taken, pairs)
		return
	}
	n := len(new)
	for from := first; from < first+n; {
		to := from + 1
		for ids[to%n].Edge < 0 {
			to++
		}
		var free []int
		for k := from + 1; k < to; k++ {
			if ids[k%n].Part < 0 { // what lies on an old edge is a part of that one
				free = append(free, k%n)
			}
		}
		between := freeBetween(ids[from%n].Edge, ids[to%n].Edge, taken)
		pairs, _ := align(old, new, between, free, size)
		take(ids, taken, pairs)
		from = to
	}
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func take(ids []Identity, taken []bool, pairs [][2]int) {
	for _, p := range pairs {
		ids[p[1]] = Identity{Edge: p[0], Part: -1}
		taken[p[0]] = true
	}
}

// freeBetween lists the old edges after one and before another that nothing
// continues yet.
func freeBetween(from, to int, taken []bool) []int {
	var out []int
	n := len(taken)
	for k := 1; k < n; k++ {
		i := (from + k) % n
		if i == to && from != to {
			break
		}
		if !taken[i] {
			out = append(out, i)
		}
	}
	return out
}

// align pairs old and new edges in order so that the sum of their likeness is
// greatest, by dynamic programming. One old and one new edge alone between
// their neighbours are paired unless they run against each other.
func align(old, new []geom.Path, olds, news []int, size float64) (pairs [][2]int, value float64) {
	least := 0.5
	if len(olds) == 1 && len(news) == 1 {
		least = 0
	}
	rows, cols := len(olds), len(news)
	best := make([][]float64, rows+1)
	for i := range best {
		best[i] = make([]float64, cols+1)
	}
	like := func(i, j int) float64 { return likeness(old[olds[i]], new[news[j]], least, size) }
	for i := rows - 1; i >= 0; i-- {
		for j := cols - 1; j >= 0; j-- {
			best[i][j] = math.Max(best[i+1][j], best[i][j+1])
			if l := like(i, j); l > 0 {
				best[i][j] = math.Max(best[i][j], l+best[i+1][j+1])
			}
		}
	}
	for i, j := 0, 0; i < rows && j < cols; {
		switch l := like(i, j); {
		case l > 0 && best[i][j] == l+best[i+1][j+1]:
			pairs = append(pairs, [2]int{olds[i], news[j]})
			i, j = i+1, j+1
		case best[i][j] == best[i+1][j]:
			i++
		default:
			j++
		}
	}
	return pairs, best[0][0]
}

// likeness of two edges, 0 to 1: of direction (0 when the cosine between
// their chords is at most least), length and place.
func likeness(p, q geom.Path, least, size float64) float64 {
	c, d := p.End().Sub(p.Start()), q.End().Sub(q.Start())
	a, b := p.Length(), q.Length()
	cos := 1.0
	if c.Len() > 0.01*a && d.Len() > 0.01*b {
		cos = c.Unit().Dot(d.Unit())
	}
	if cos <= least || a == 0 || b == 0 {
		return 0
	}
	apart := p.PointAt(a / 2).Dist(q.PointAt(b / 2))
	return cos * math.Sqrt(math.Min(a, b)/math.Max(a, b)) / (1 + apart/size)
}

func extent(paths []geom.Path) float64 {
	sum := 1e-9
	for _, p := range paths {
		sum += p.Length()
	}
	return sum / 4
}

// SplitAtSmooth divides a new outline where an edge of the old one starts at
// a point too smooth to be found as a corner, and the new outline runs through
// that point: a side seam whose lower half is an edge of its own. starts are
// the curves of the ring at which its edges start; returned are the ring,
// perhaps with curves divided, and all starts, rising. An old corner counts
// as smooth when it turns by less than corner radians.
func SplitAtSmooth(old []geom.Path, ring geom.Ring, starts []int, corner, tol float64) (geom.Ring, []int) {
	for i, p := range old {
		before := old[(i+len(old)-1)%len(old)]
		if math.Abs(geom.AngleBetween(before.EndTangent(), p.StartTangent())) >= corner {
			continue
		}
		at, dist := geom.Path(ring).Nearest(p.Start())
		if dist > tol || startsNear(ring, starts, p.Start()) {
			continue
		}
		ring, starts = splitAt(ring, starts, at)
	}
	return ring, starts
}

// startsNear reports whether an edge starts within 1 mm of q already.
func startsNear(ring geom.Ring, starts []int, q geom.Point) bool {
	return slices.ContainsFunc(starts, func(i int) bool { return ring[i].P0.Dist(q) <= 1 })
}

// splitAt makes a place of the ring the start of an edge. A node within
// 0.002 mm, twice the last digit stored, serves as it is.
func splitAt(ring geom.Ring, starts []int, at geom.Place) (geom.Ring, []int) {
	const node = 0.002
	c, k := ring[at.Curve], at.Curve
	q := c.At(at.T)
	switch {
	case q.Dist(c.P0) <= node:
	case q.Dist(c.P3) <= node:
		k = (k + 1) % len(ring)
	default:
		a, b := c.Split(at.T)
		ring = slices.Insert(slices.Clone(ring), k+1, b)
		ring[k] = a
		starts = slices.Clone(starts)
		for i := range starts {
			if starts[i] > k {
				starts[i]++
			}
		}
		k++
	}
	if !slices.Contains(starts, k) {
		starts = append(slices.Clone(starts), k)
		slices.Sort(starts)
	}
	return ring, starts
}
