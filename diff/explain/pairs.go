package explain

import (
	"math"

	"toile/geom"
)

// smoothJoint is the turn in radians below which two new edges may be one that
// was only divided: corners are found from 20° on.
const smoothJoint = math.Pi / 9

// shared measures how much of each old edge lies on each new one, running the
// same way.
func (e *explainer) shared() [][]float64 {
	a, fromA := e.old.ring()
	b, fromB := e.now.ring()
	sum := make([][]float64, len(e.old.Edges))
	for i := range sum {
		sum[i] = make([]float64, len(e.now.Edges))
	}
	for _, s := range geom.Match(a, b, e.tol.Kept) {
		if s.B0 < s.B1 {
			sum[fromA[s.A]][fromB[s.B]] += a[s.A].LengthBetween(s.A0, s.A1)
		}
	}
	return sum
}

// owners finds for each new edge the old one it shares most with, −1 for one
// that shares nothing, and for each old edge the new one that shares most with
// it. Less than ten tolerances is chance.
func (e *explainer) owners() (owner, best []int) {
	shared := e.shared()
	owner, best = make([]int, len(e.now.Edges)), make([]int, len(e.old.Edges))
	for j := range owner {
		owner[j] = -1
		most := 10 * e.tol.Kept
		for i := range shared {
			if shared[i][j] > most {
				owner[j], most = i, shared[i][j]
			}
		}
	}
	for i := range best {
		best[i] = -1
		for j, o := range owner {
			if o == i && (best[i] < 0 || shared[i][j] > shared[i][best[i]]) {
				best[i] = j
			}
		}
	}
	return owner, best
}

// parts lists for each old edge the new edges that continue it: from its best
// one on to both sides as far as edges it owns follow without another's
// between.
func (e *explainer) parts() [][]int {
	owner, best := e.owners()
	m := len(owner)
	parts := make([][]int, len(best))
	for i, b := range best {
		if b < 0 {
			continue
		}
		first, last := 0, 0 // counted from b
		for last+1 < m && owner[(b+last+1)%m] == i {
			last++
		}
		for last-first+1 < m && owner[(b+m+first-1)%m] == i {
			first--
		}
		for k := last + 1; k < m+first && (owner[(b+k)%m] == i || owner[(b+k)%m] < 0); k++ {
			if owner[(b+k)%m] == i {
				last = k
			}
		}
		for k := 1 - first; k < m-last && (owner[(b+m-k)%m] == i || owner[(b+m-k)%m] < 0); k++ {
			if owner[(b+m-k)%m] == i {
				first = -k
			}
		}
		for k := first; k <= last; k++ {
			parts[i] = append(parts[i], (b+m+k)%m)
		}
	}
	return parts
}

// edges settles what continues what and explains each edge.
func (e *explainer) edges() *Explanation {
	parts := e.parts()
	x := &Explanation{Edges: make([]Edge, len(e.old.Edges))}
	for i := range x.Edges {
		x.Edges[i] = e.explained(i, parts[i])
	}
	var added []Edge
	for _, g := range e.gaps(parts) {
		added = append(added, e.fill(x, g)...)
	}
	x.Edges = append(x.Edges, added...)
	return x
}

// gap is what lies between two old edges that are settled: old and new edges
// that nothing continues or owns. before and after are the settled ones, −1
// when none is.
type gap struct {
	before, after int
	old, now      []int
}

// gaps walks round the new outline from one settled edge to the next.
func (e *explainer) gaps(parts [][]int) []gap {
	n, m := len(parts), len(e.now.Edges)
	owner, first := owned(parts, m)
	if first < 0 {
		return []gap{{-1, -1, upTo(n, 0), upTo(m, 0)}}
	}
	var gaps []gap
	listed := make([]bool, n)
	last := parts[first][len(parts[first])-1]
	g := gap{before: first}
	for k := 1; k <= m; k++ {
		j := (last + k) % m
		i := owner[j]
		switch {
		case i < 0:
			g.now = append(g.now, j)
			continue
		case i == g.before && k < m && len(g.now) == 0:
			continue // a further part of the same edge
		}
		for o := (g.before + 1) % n; o != i && o != g.before; o = (o + 1) % n {
			if len(parts[o]) == 0 && !listed[o] {
				g.old, listed[o] = append(g.old, o), true
			}
		}
		g.after = i
		if len(g.old)+len(g.now) > 0 {
			gaps = append(gaps, g)
		}
		g = gap{before: i}
	}
	return gaps
}

// owned says for each of m new edges which old one it continues, −1 for none,
// and which old edge is the first that is continued.
func owned(parts [][]int, m int) (by []int, first int) {
	by, first = make([]int, m), -1
	for j := range by {
		by[j] = -1
	}
	for i, p := range parts {
		for _, j := range p {
			by[j] = i
		}
		if len(p) > 0 && first < 0 {
			first = i
		}
	}
	return by, first
}

func upTo(n, from int) []int {
	out := make([]int, n)
	for k := range out {
		out[k] = (from + k) % n
	}
	return out
}

// fill explains a gap in the cheapest way: free new edges that lead smoothly
// on from a settled edge may be further parts of it; the rest continue the
// free old edges in order, or are new.
func (e *explainer) fill(x *Explanation, g gap) []Edge {
	if g.before < 0 {
		return e.fillAll(x, g)
	}
	k := len(g.now)
	best := math.Inf(1)
	var found filling
	for a := 0; a <= k && e.leadsOn(x, g, a); a++ {
		for b := 0; a+b <= k && e.leadsUp(x, g, b); b++ {
			f := e.filled(x, g, a, b)
			if f.cost < best-1e-9 {
				best, found = f.cost, f
			}
		}
	}
	return found.into(x)
}

// filling is one way to explain a gap.
type filling struct {
	cost    float64
	settled []Edge // old edges, the settled ones first if they changed
	added   []Edge
}

func (f filling) into(x *Explanation) []Edge {
	for _, s := range f.settled {
		x.Edges[s.Old] = s
	}
	return f.added
}

// leadsOn reports whether the a-th free new edge leads smoothly on from what
// is before it.
func (e *explainer) leadsOn(x *Explanation, g gap, a int) bool {
	if a == 0 {
		return true
	}
	p := x.Edges[g.before].To
	if a > 1 {
		p = e.now.Edges[g.now[a-2]]
	}
	return smooth(p, e.now.Edges[g.now[a-1]])
}

// leadsUp is leadsOn from the other side.
func (e *explainer) leadsUp(x *Explanation, g gap, b int) bool {
	if b == 0 {
		return true
	}
	k := len(g.now)
	p := x.Edges[g.after].To
	if b > 1 {
		p = e.now.Edges[g.now[k-b+1]]
	}
	return smooth(e.now.Edges[g.now[k-b]], p)
}

func smooth(p, q geom.Path) bool {
	return math.Abs(geom.AngleBetween(p.EndTangent(), q.StartTangent())) < smoothJoint
}

// filled gives the first a free edges to the settled edge before, the last b
// to the one after, and aligns the rest.
func (e *explainer) filled(x *Explanation, g gap, a, b int) filling {
	f := filling{}
	k := len(g.now)
	if g.before == g.after && a+b > 0 {
		whole := append(append(append([]int{}, g.now[k-b:]...), x.Edges[g.before].New...), g.now[:a]...)
		f.settled = append(f.settled, e.explained(g.before, whole))
	} else {
		if a > 0 {
			f.settled = append(f.settled, e.explained(g.before, append(append([]int{}, x.Edges[g.before].New...), g.now[:a]...)))
		}
		if b > 0 {
			f.settled = append(f.settled, e.explained(g.after, append(append([]int{}, g.now[k-b:]...), x.Edges[g.after].New...)))
		}
	}
	for _, s := range f.settled {
		f.cost += s.cost() - x.Edges[s.Old].cost()
	}
	rest := e.aligned(g.old, g.now[a:k-b])
	f.cost += rest.cost
	for _, s := range rest.settled {
		if a+b > 0 && len(s.New) == 0 {
			f.cost += costDrawn // one edge in place of two is no simple story
		}
	}
	f.settled, f.added = append(f.settled, rest.settled...), rest.added
	return f
}

// fillAll explains outlines that share nothing: every start is tried.
func (e *explainer) fillAll(x *Explanation, g gap) []Edge {
	best := filling{cost: math.Inf(1)}
	for from := range g.now {
		if f := e.aligned(g.old, upTo(len(g.now), from)); f.cost < best.cost-1e-9 {
			best = f
		}
	}
	return best.into(x)
}

// step is the cheapest way to go on from a place in two lists of edges.
type step struct {
	cost float64
	run  int // new edges that continue the old one; 0: it is gone; −1: a new edge
	edge Edge
}

// aligned pairs old edges with runs of new ones in order, at least cost: an
// old edge may be gone, a new one new, and smooth runs of new edges may
// continue one old edge.
func (e *explainer) aligned(old, now []int) filling {
	steps := e.steps(old, now)
	f := filling{cost: steps[0][0].cost}
	for i, j := 0, 0; i < len(old) || j < len(now); {
		switch s := steps[i][j]; {
		case s.run > 0:
			f.settled = append(f.settled, s.edge)
			i, j = i+1, j+s.run
		case s.run == 0:
			f.settled = append(f.settled, e.explained(old[i], nil))
			i++
		default:
			f.added = append(f.added, Edge{Old: -1, Into: -1, New: []int{now[j]}, To: e.now.Edges[now[j]]})
			j++
		}
	}
	return f
}

// steps settles the steps of aligned from the ends of both lists back.
func (e *explainer) steps(old, now []int) [][]step {
	n, m := len(old), len(now)
	steps := make([][]step, n+1)
	for i := n; i >= 0; i-- {
		steps[i] = make([]step, m+1)
		for j := m; j >= 0; j-- {
			s := &steps[i][j]
			if i == n && j == m {
				continue
			}
			s.cost = math.Inf(1)
			if i < n {
				*s = step{cost: costGone + steps[i+1][j].cost}
			}
			if j < m && costGone+steps[i][j+1].cost < s.cost {
				*s = step{cost: costGone + steps[i][j+1].cost, run: -1}
			}
			for r := 1; i < n && j+r <= m; r++ {
				if r > 1 && !smooth(e.now.Edges[now[j+r-2]], e.now.Edges[now[j+r-1]]) {
					break
				}
				edge := e.pairing(old[i], now[j:j+r])
				if c := edge.cost() + e.unlike(&edge) + steps[i+1][j+r].cost; c < s.cost {
					*s = step{c, r, edge}
				}
			}
		}
	}
	return steps
}

// pairing is explained, once for each old edge and run of new ones.
func (e *explainer) pairing(old int, now []int) Edge {
	key := [3]int{old, now[0], len(now)}
	edge, ok := e.pairings[key]
	if !ok {
		if e.pairings == nil {
			e.pairings = map[[3]int]Edge{}
		}
		edge = e.explained(old, now)
		e.pairings[key] = edge
	}
	return edge
}

// unlike is a small cost, below that of any change, that decides between
// pairings that need equally much: unlike lengths and directions, and an id
// that says otherwise.
func (e *explainer) unlike(x *Edge) float64 {
	p, q := x.From.Length(), x.To.Length()
	turn := geom.AngleBetween(x.From.End().Sub(x.From.Start()), x.To.End().Sub(x.To.Start()))
	cost := 0.02*math.Abs(math.Log((q+1)/(p+1))) + 0.02*math.Abs(turn)
	if e.hint != nil && e.hint[x.New[0]] != x.Old {
		cost += 0.02
	}
	return cost
}

// absorb finds old edges that are gone only because a neighbour now runs over
// them, and explains the two as one.
func (e *explainer) absorb(x *Explanation) {
	n := len(e.old.Edges)
	for i := range n {
		if len(x.Edges[i].New) > 0 {
			continue
		}
		for _, k := range []int{(i + n - 1) % n, (i + 1) % n} {
			near := &x.Edges[k]
			if k == i || len(near.New) == 0 {
				continue
			}
			if far, _ := Farthest(x.Edges[i].From, near.To); far > e.tol.Kept {
				continue
			}
			from := append(append(geom.Path{}, near.From...), x.Edges[i].From...)
			if k == (i+1)%n {
				from = append(append(geom.Path{}, x.Edges[i].From...), near.From...)
			}
			*near = e.continued(k, from, near.New)
			x.Edges[i].Into = k
			break
		}
	}
}

// joined returns the new edges as one path.
func (e *explainer) joined(now []int) geom.Path {
	var p geom.Path
	for _, j := range now {
		p = append(p, e.now.Edges[j]...)
	}
	return p
}
