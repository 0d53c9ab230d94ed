package diff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"toile/geom"
	"toile/pattern/change"
)

// edgePair is an edge in both states.
type edgePair struct {
	i, j    int // indices in old and now; −1 where it is not there
	p, q    geom.Path
	pLength float64
	moved   bool // its carrier changed: it was moved, swung or redrawn
}

// pairEdges finds for each old edge the new one that continues it: the one it
// coincides with as a whole, else the one of its id, else the one it shares
// most with, else one of a name that somebody gave it, else the one in its
// place between two settled neighbours.
func (c *comparison) pairEdges() {
	taken := make([]bool, len(c.now.Edges))
	c.pairs = make([]edgePair, len(c.old.Edges))
	for i := range c.old.Edges {
		path := c.old.EdgePath(i)
		c.pairs[i] = edgePair{i: i, j: -1, p: path, pLength: path.Length()}
	}
	shared := c.sharedLengths()
	c.pairCoinciding(shared, taken)
	for i, e := range c.old.Edges {
		if c.pairs[i].j >= 0 {
			continue
		}
		if j := c.now.EdgeByID(e.ID); e.ID != "" && j >= 0 && !taken[j] {
			c.pair(i, j, taken)
		}
	}
	c.pairByPlace(shared, taken)
	for i, e := range c.old.Edges {
		for j, f := range c.now.Edges {
			if c.pairs[i].j < 0 && !taken[j] && e.Name == f.Name && !numberedName(e.Name) {
				c.pair(i, j, taken)
			}
		}
	}
	c.pairByOrder(taken)
	for j := range c.now.Edges {
		if !taken[j] {
			c.newEdges = append(c.newEdges, j)
		}
	}
	for i, e := range c.old.Edges {
		l := change.EdgeLength{Edge: e.Name, Length: [2]float64{change.Figure(c.old.Length(i)), 0}}
		if j := c.pairs[i].j; j >= 0 {
			l.Length[1] = change.Figure(c.now.Length(j))
		}
		c.d.Edges = append(c.d.Edges, l)
	}
	for _, j := range c.newEdges {
		c.d.Edges = append(c.d.Edges, change.EdgeLength{Edge: c.now.Edges[j].Name, Length: [2]float64{0, change.Figure(c.now.Length(j))}})
	}
}

func (c *comparison) pair(i, j int, taken []bool) {
	taken[j] = true
	c.pairs[i].j, c.pairs[i].q = j, c.now.EdgePath(j)
}

// sharedLengths measures how much of each old edge lies on each new one.
func (c *comparison) sharedLengths() map[[2]int]float64 {
	a, fromA := c.old.SharpRing()
	b, fromB := c.now.SharpRing()
	shared := map[[2]int]float64{}
	for _, s := range geom.Match(a, b, c.tol) {
		shared[[2]int{fromA[s.A], fromB[s.B]}] += a[s.A].LengthBetween(s.A0, s.A1)
	}
	return shared
}

// pairCoinciding pairs edges that lie on each other from end to end, as all
// do in a piece that was turned over.
func (c *comparison) pairCoinciding(shared map[[2]int]float64, taken []bool) {
	const whole = 0.999
	for i := range c.pairs {
		for j := range c.now.Edges {
			l := shared[[2]int{i, j}]
			if l > whole*c.pairs[i].pLength && l > whole*c.now.EdgePath(j).Length() && !taken[j] {
				c.pair(i, j, taken)
				break
			}
		}
	}
}

// pairByPlace gives edges that lost id and name the counterpart they share
// most of their length with.
func (c *comparison) pairByPlace(shared map[[2]int]float64, taken []bool) {
	for i := range c.pairs {
		if c.pairs[i].j >= 0 {
			continue
		}
		best, length := -1, 0.0
		for j := range c.now.Edges {
			if l := shared[[2]int{i, j}]; !taken[j] && l > length {
				best, length = j, l
			}
		}
		if best >= 0 {
			c.pair(i, best, taken)
		}
	}
}

// numberedName reports a first name, "edge 3", which says nothing of which
// edge it is.
func numberedName(name string) bool {
	digits, ok := strings.CutPrefix(name, "edge ")
	_, err := strconv.Atoi(digits)
	return ok && err == nil
}

// pairByOrder pairs what is left between two settled neighbours when it is
// one edge on either side.
func (c *comparison) pairByOrder(taken []bool) {
	n, m := len(c.pairs), len(c.now.Edges)
	for i := range c.pairs {
		before, after := c.pairs[(i+n-1)%n].j, c.pairs[(i+1)%n].j
		if c.pairs[i].j >= 0 || before < 0 || after < 0 {
			continue
		}
		if j := (before + 1) % m; (j+1)%m == after && !taken[j] {
			c.pair(i, j, taken)
		}
	}
}

// keptWithin is the distance in mm within which an edge that was drawn again
// counts as the same line where other edges changed: drawings are often
// written to a tenth of a millimetre.
const keptWithin = 0.05

// explainOutline explains the edges, first with kept lines taken as somebody
// drew them; where that leaves nothing changed, to the last hundredth.
func (c *comparison) explainOutline() {
	for _, within := range []float64{max(c.tol, keptWithin), c.tol} {
		c.explain = within
		if c.explainEdges(); len(c.d.Changes) > 0 {
			return
		}
	}
}

// explainEdges says for each edge what was done to it: first what changed by
// itself, then what was cut or run on because a neighbour changed.
func (c *comparison) explainEdges() {
	runs := make([]*run, len(c.pairs))
	for k := range c.pairs {
		pair := &c.pairs[k]
		if pair.j < 0 {
			continue
		}
		if r, ok := c.unchanged(pair); ok {
			runs[k] = &r
			continue
		}
		pair.moved = true
		ch, r := c.explainMove(pair)
		c.add(ch)
		runs[k] = r
	}
	c.removedEdges()
	c.addedEdges()
	for k, r := range runs {
		if r != nil {
			c.explainRun(&c.pairs[k], *r)
		}
	}
}

// removedEdges and addedEdges tell of edges on one side only.
func (c *comparison) removedEdges() {
	for k := range c.pairs {
		pair := &c.pairs[k]
		if pair.j >= 0 {
			continue
		}
		far, at := farthest(pair.p, c.nowRing())
		if far <= c.explain {
			continue // it lies on what is now its neighbour: only a corner went
		}
		c.add(change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.old.Edges[pair.i].Name},
			Says: c.saysGone(pair.i, far), Max: change.Amount(far), At: change.At(at), OldPath: pair.p})
		pair.moved = true
	}
}

func (c *comparison) addedEdges() {
	for _, j := range c.newEdges {
		path := c.now.EdgePath(j)
		far, at := farthest(path, c.oldRing())
		if far <= c.explain {
			continue
		}
		c.add(change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.now.Edges[j].Name},
			Says: c.saysNew(j, far), Max: change.Amount(far), At: change.At(at), NewPath: path})
	}
}

// oldRing and nowRing are the outlines with every corner sharp.
func (c *comparison) oldRing() geom.Path { r, _ := c.old.SharpRing(); return geom.Path(r) }
func (c *comparison) nowRing() geom.Path { r, _ := c.now.SharpRing(); return geom.Path(r) }

// samplesPerCurve is how many places of each curve are measured where a
// greatest distance is looked for.
const samplesPerCurve = 24

// farthest returns the greatest distance from path to other, and the place on
// path.
func farthest(path, other geom.Path) (float64, geom.Point) {
	far, at := 0.0, path.Start()
	for _, c := range path {
		for k := 0; k <= samplesPerCurve; k++ {
			p := c.At(float64(k) / samplesPerCurve)
			if _, d := other.Nearest(p); d > far {
				far, at = d, p
			}
		}
	}
	return far, at
}

// run is an edge whose carrier stayed: what each end lost or gained.
type run struct {
	by  [2]float64 // mm at the start and at the end, longer positive
	how [2]string
	fit float64
}

// leastRun is the change of length in mm below which an end has not moved:
// stored coordinates are rounded to 0.001 mm.
const leastRun = 0.005

// unchanged reports whether the new edge lies on the old one within its old
// extent, and how its ends differ.
func (c *comparison) unchanged(pair *edgePair) (run, bool) {
	return c.sameLine(pair.p, pair.q, c.explain, false)
}

// sameLine reports whether q is p but for its ends: one common stretch, and
// at each end either a part of p that was cut off or a part of q that was run
// on; with both set, first the one and then the other, as where a hem was
// taken up between slanted sides and then eased on to a swung one.
func (c *comparison) sameLine(p, q geom.Path, within float64, both bool) (run, bool) {
	pLength := p.Length()
	stretches := geom.Match(geom.Ring(p), geom.Ring(q), within)
	if len(stretches) == 0 {
		return run{}, false
	}
	var covered float64
	p0, p1 := math.Inf(1), 0.0
	q0, q1 := math.Inf(1), 0.0
	r := run{}
	for _, s := range stretches {
		if s.B0 > s.B1 {
			return run{}, false
		}
		a0 := p.LengthTo(geom.Place{Curve: s.A, T: s.A0})
		a1 := p.LengthTo(geom.Place{Curve: s.A, T: s.A1})
		b0 := q.LengthTo(geom.Place{Curve: s.B, T: s.B0})
		b1 := q.LengthTo(geom.Place{Curve: s.B, T: s.B1})
		p0, p1, q0, q1 = math.Min(p0, a0), math.Max(p1, a1), math.Min(q0, b0), math.Max(q1, b1)
		covered += a1 - a0
		r.fit = math.Max(r.fit, s.Deviation)
	}
	// One common stretch without a gap, on both.
	gap := 10 * within
	qLength := q.Length()
	if p1-p0-covered > gap || math.Abs((q1-q0)-(p1-p0)) > gap {
		return run{}, false
	}
	lost := [2]float64{p0, pLength - p1}
	gained := [2]float64{q0, qLength - q1}
	for end := range 2 {
		if !both && lost[end] > gap && gained[end] > gap {
			return run{}, false
		}
		r.by[end] = gained[end] - lost[end]
		if math.Abs(r.by[end]) > leastRun {
			r.how[end] = c.howRun(p, q, end, q0, q1, within)
		}
	}
	return r, true
}

// howRun says how an end was run on: along the carrier, eased, or drawn.
func (c *comparison) howRun(p, q geom.Path, end int, q0, q1, within float64) string {
	qLength := q.Length()
	var tail geom.Path
	if end == 0 && q0 > leastRun {
		tail = q.BetweenLengths(0, q0)
	} else if end == 1 && q1 < qLength-leastRun {
		tail = q.BetweenLengths(q1, qLength)
	} else {
		return change.HowAlong
	}
	before, after := geom.CarrierEnds(p, carrierReach)
	ext, from := after, p.EndTangent()
	lead := tail.StartTangent()
	if end == 0 {
		ext, from, lead = before, p.StartTangent(), tail.EndTangent()
	}
	if len(ext) > 0 {
		if far, _ := farthest(tail, ext); far <= within {
			return change.HowAlong
		}
	}
	if math.Abs(geom.AngleBetween(from, lead)) < geom.Degrees(1) {
		return change.HowEased
	}
	return change.HowDrawn
}

// carrierReach is how far in mm a carrier runs on beyond an edge's ends.
const carrierReach = 150

// explainRun tells of each end that was cut or run on, and what caused it.
func (c *comparison) explainRun(pair *edgePair, r run) {
	for end := range 2 {
		if math.Abs(r.by[end]) <= max(leastRun, c.explain-sameWithin) {
			continue
		}
		cause := c.cause(pair, end)
		name := c.old.Edges[pair.i].Name
		if part := c.dividedInto(pair, end); r.by[end] < 0 && part != "" {
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{name}, Before: name, After: part,
				Says: fmt.Sprintf("%q is divided: its part at %q is now %q", name, c.endName(pair.i, end), part)})
			continue
		}
		if part := c.grownBy(pair, end); r.by[end] > 0 && part != "" {
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{part}, Before: part, After: name,
				Says: fmt.Sprintf("%q is now part of %q", part, name)})
			continue
		}
		c.add(change.Change{Kind: change.EdgeRun, Edges: []string{name}, By: change.Amount(r.by[end]), How: r.how[end],
			CausedBy: cause, Fit: r.fit, At: change.At(c.endOf(pair.p, end)),
			Says: c.saysRun(pair.i, end, r.by[end], r.how[end], cause), OldPath: pair.p, NewPath: pair.q})
	}
}

// cause names the neighbour at an end when it was moved, or is new.
func (c *comparison) cause(pair *edgePair, end int) string {
	n := len(c.pairs)
	next := &c.pairs[(pair.i+n-1+2*end)%n]
	if next.moved {
		return c.old.Edges[next.i].Name
	}
	m := len(c.now.Edges)
	j := (pair.j + m - 1 + 2*end) % m
	if slices.Contains(c.newEdges, j) {
		return c.now.Edges[j].Name
	}
	return ""
}

// dividedInto names the new edge next to an end that lies where the old edge
// lay: the edge was only divided there.
func (c *comparison) dividedInto(pair *edgePair, end int) string {
	m := len(c.now.Edges)
	j := (pair.j + m - 1 + 2*end) % m
	if !slices.Contains(c.newEdges, j) {
		return ""
	}
	if far, _ := farthest(c.now.EdgePath(j), pair.p); far > c.explain {
		return ""
	}
	return c.now.Edges[j].Name
}

// grownBy names the old edge next to an end that the new edge now covers.
func (c *comparison) grownBy(pair *edgePair, end int) string {
	n := len(c.pairs)
	next := &c.pairs[(pair.i+n-1+2*end)%n]
	if next.j >= 0 {
		return ""
	}
	if far, _ := farthest(next.p, pair.q); far > c.explain {
		return ""
	}
	return c.old.Edges[next.i].Name
}

func (c *comparison) endOf(p geom.Path, end int) geom.Point {
	if end == 0 {
		return p.Start()
	}
	return p.End()
}
