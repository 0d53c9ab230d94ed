package alter

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// run is one edge of a new outline: all or a part of an edge of another piece,
// the way that goes or against it, or a new line.
type run struct {
	source   *pattern.Piece // nil for a new line
	edge     int            // of the source
	from, to float64        // mm along the source's edge; from > to against it
	path     geom.Path      // as the new outline runs
	name     string         // of a new line

	round float64 // of the corner at its start, where it is a new line's
}

// wholeWithin is how near in mm a run comes to its edge's end and still runs
// to it.
const wholeWithin = 0.005

// stretchOf is the run along edge i of a piece from one length to another.
// One that ends within wholeWithin of the edge's end ends there.
func stretchOf(q *pattern.Piece, i int, from, to float64) run {
	path := q.EdgePath(i)
	length := path.Length()
	snap := func(v float64) float64 {
		switch {
		case v < wholeWithin:
			return 0
		case v > length-wholeWithin:
			return length
		}
		return v
	}
	r := run{source: q, edge: i, from: snap(from), to: snap(to)}
	switch {
	case r.from == 0 && r.to == length:
		r.path = path
	case r.from == length && r.to == 0:
		r.path = path.Reverse()
	case r.from <= r.to:
		r.path = path.BetweenLengths(r.from, r.to)
	default:
		r.path = path.BetweenLengths(r.to, r.from).Reverse()
	}
	return r
}

func (r run) empty() bool     { return math.Abs(r.to-r.from) < wholeWithin && r.source != nil }
func (r run) backwards() bool { return r.from > r.to }

// atStart and atEnd report whether the run starts and ends at an end of its
// source's edge.
func (r run) atStart() bool { return r.source != nil && r.endOf(r.from) }
func (r run) atEnd() bool   { return r.source != nil && r.endOf(r.to) }

func (r run) endOf(at float64) bool { return at == 0 || at == r.source.EdgePath(r.edge).Length() }

// corner is the index of the source's corner at a length.
func (r run) corner(at float64) int {
	if at == 0 {
		return r.edge
	}
	return (r.edge + 1) % len(r.source.Edges)
}

// whole reports whether the run is all of its source's edge.
func (r run) whole() bool { return r.atStart() && r.atEnd() && !r.empty() }

// stretch is the run as a seam names it.
func (r run) stretch() pattern.Stretch {
	st := pattern.Stretch{Piece: r.source.Name, Edge: r.source.Edges[r.edge].Name}
	if !r.whole() {
		st.From, st.To = roundTo(min(r.from, r.to)), roundTo(max(r.from, r.to))
		if r.endOf(max(r.from, r.to)) {
			st.To = 0
		}
	}
	return st
}

// outlineRuns are the runs round a piece from one place to another, clockwise.
func outlineRuns(q *pattern.Piece, fromEdge int, from float64, toEdge int, to float64) []run {
	n := len(q.Edges)
	var runs []run
	for i, k := fromEdge, 0; k <= n; i, k = (i+1)%n, k+1 {
		start, end := 0.0, q.EdgePath(i).Length()
		if k == 0 {
			start = from
		}
		if i == toEdge && (k > 0 || to > from) {
			end = to
		}
		if r := stretchOf(q, i, start, end); !r.empty() {
			runs = append(runs, r)
		}
		if i == toEdge && (k > 0 || to > from) {
			break
		}
	}
	return runs
}

// pieceOf makes a piece of the runs of its outline. Whole edges keep the bytes
// of their lines, and corners between two of them all that they are; other
// edges keep the exact curve, cut. Notches come along, and darts and pleats
// that lie on the new piece whole.
func (m *making) pieceOf(name string, like *pattern.Piece, runs []run) *pattern.Piece {
	p := &pattern.Piece{Name: name, Side: like.Side, Cut: like.Cut, DrawnWithin: like.DrawnWithin, Slug: m.pattern.NewSlug(name)}
	ends := make([]int, len(runs)) // of the part of a name that was taken
	for k, r := range runs {
		before := runs[(k+len(runs)-1)%len(runs)]
		p.Corners = append(p.Corners, cornerBetween(before, r))
		e := pattern.Edge{Name: r.name, Allowance: map[string]float64{}}
		if r.source != nil {
			old := r.source.Clone().Edges[r.edge]
			e.Name, e.Fold, e.Hem = old.Name, old.Fold, old.Hem
			maps.Copy(e.Allowance, old.Allowance)
		}
		e.Name = freeName(p, e.Name)
		e.SetPath(r.path)
		if !r.whole() {
			e.SetPath(storable(r.path))
		}
		p.Edges = append(p.Edges, e)
		ends[k] = len(p.Edges) - 1
	}
	for k, r := range runs {
		m.bringNotches(p, p.Edges[ends[k]].Name, r)
	}
	for k, r := range runs {
		bringGaps(p, p.Edges[ends[k]].Name, r)
	}
	folded := slices.ContainsFunc(p.Edges, func(e pattern.Edge) bool { return e.Fold })
	if folded {
		p.Cut = pattern.CutOnFold
	} else if p.Cut == pattern.CutOnFold {
		p.Cut = pattern.CutPair
	}
	ring, _ := p.SharpRing()
	p.Grain = grainOn(ring, like)
	return p
}

// cornerBetween is the corner at which one run ends and another starts. An old
// corner between old neighbours is kept whole.
func cornerBetween(a, b run) pattern.Corner {
	at := b.path.Start()
	switch {
	case a.atEnd() && b.atStart() && a.source == b.source && a.corner(a.to) == b.corner(b.from):
		c := a.source.Corners[b.corner(b.from)]
		if a.backwards() {
			c.Style = ""
		}
		return c
	case b.atStart():
		at = b.source.Corners[b.corner(b.from)].At
	case a.atEnd():
		at = a.source.Corners[a.corner(a.to)].At
	}
	c := pattern.Corner{At: rounded(at)}
	if a.source == nil && b.source == nil {
		c.Round = b.round
	}
	return c
}

// bringNotches copies the notches that lie on a run, at their places.
func (m *making) bringNotches(p *pattern.Piece, edge string, r run) {
	if r.source == nil {
		return
	}
	for _, n := range r.source.Notches {
		if n.Edge != r.source.Edges[r.edge].Name {
			continue
		}
		_, _, at, err := r.source.NotchPlace(n)
		if err != nil || at < min(r.from, r.to)+0.5 || at > max(r.from, r.to)-0.5 {
			continue
		}
		c := pattern.Notch{Name: freeNotch(p, n.Name), Edge: edge, At: n.At, FromEnd: n.FromEnd != r.backwards(), Count: n.Count}
		switch {
		case r.whole():
		case c.FromEnd:
			c.At = roundTo(math.Abs(r.to - at))
		default:
			c.At = roundTo(math.Abs(at - r.from))
		}
		p.Notches = append(p.Notches, c)
	}
}

// bringGaps copies the darts and pleats of a run's edge that lie on the run.
func bringGaps(p *pattern.Piece, edge string, r run) {
	if r.source == nil || r.backwards() {
		return
	}
	for _, k := range r.source.Clone().Marks {
		if k.Edge != r.source.Edges[r.edge].Name || k.From < r.from-wholeWithin || k.To > r.to+wholeWithin {
			continue
		}
		k.Edge, k.From, k.To = edge, roundTo(max(k.From-r.from, 0)), roundTo(k.To-r.from)
		p.Marks = append(p.Marks, k)
	}
}

// grainOn gives a new piece the grain of the one it is cut like: the same line
// where that lies on it, else one in the same direction where the piece is long
// and there is room beside it.
func grainOn(ring geom.Ring, like *pattern.Piece) *pattern.Grain {
	down := like.GrainDirection()
	if g := like.Grain; g != nil {
		if ring.Holds(g.From) && ring.Holds(g.To) && ring.Holds(g.From.Lerp(g.To, 0.5)) {
			c := *g
			return &c
		}
		down = g.To.Sub(g.From).Unit() // also of one on the bias
	}
	across := down.Left()
	box := ring.Moved(geom.Motion{Turn: math.Pi/2 - down.Angle()}).Box() // the grain runs down
	const lines = 40
	var drawn [][2]geom.Point
	longest := 0.0
	for k := 1; k < lines; k++ {
		// Moved by the turn, across points to the right of the sheet.
		x := box.Min.X + float64(k)/lines*box.Size().X
		a, b := longestInside(ring, across.Mul(x), down)
		drawn, longest = append(drawn, [2]geom.Point{a, b}), max(longest, a.Dist(b))
	}
	if longest < 5 {
		return nil
	}
	best := roomiest(ring, drawn, 0.85*longest)
	const inset = 0.15 // of its length, at either end
	g := &pattern.Grain{From: rounded(best[0].Lerp(best[1], inset)), To: rounded(best[0].Lerp(best[1], 1-inset))}
	if like.Grain != nil {
		g.OneWay, g.Bias = like.Grain.OneWay, like.Grain.Bias
	}
	return g
}

// roomiest is the line with the most room on either side at its middle, among
// those that are at least so long.
func roomiest(ring geom.Ring, drawn [][2]geom.Point, least float64) (best [2]geom.Point) {
	room := -1.0
	for _, d := range drawn {
		if _, far := geom.Path(ring).Nearest(d[0].Lerp(d[1], 0.5)); d[0].Dist(d[1]) >= least && far > room {
			best, room = d, far
		}
	}
	return best
}

// longestInside is the longest stretch of a line that lies inside a ring.
func longestInside(ring geom.Ring, through, dir geom.Point) (from, to geom.Point) {
	var cuts []float64
	for _, c := range ring {
		for _, t := range c.MeetLine(through, through.Add(dir)) {
			cuts = append(cuts, c.At(t).Sub(through).Dot(dir))
		}
	}
	slices.Sort(cuts)
	longest := 0.0
	for k := 1; k < len(cuts); k++ {
		mid := through.Add(dir.Mul((cuts[k-1] + cuts[k]) / 2))
		if d := cuts[k] - cuts[k-1]; d > longest && ring.Holds(mid) {
			longest, from, to = d, through.Add(dir.Mul(cuts[k-1])), through.Add(dir.Mul(cuts[k]))
		}
	}
	return from, to
}

// setAllowance gives edges of a piece the allowance that the making asks for,
// else the one given.
func (m *making) setAllowance(p *pattern.Piece, usual map[string]float64, edges func(string) bool) error {
	amount, given := 0.0, m.has("allowance")
	if given {
		var err error
		if amount, err = m.length("allowance"); err != nil {
			return err
		}
		if amount < 0 {
			return fmt.Errorf("allowance: %s is less than nothing", m.format(amount))
		}
	}
	for i := range p.Edges {
		if p.Edges[i].Fold || !edges(p.Edges[i].Name) {
			continue
		}
		for set, v := range usual {
			if given {
				v = amount
			}
			if v > 0 {
				p.Edges[i].Allowance[set] = v
			} else {
				delete(p.Edges[i].Allowance, set)
			}
		}
	}
	return nil
}

// names reads a list of names separated by commas.
func (m *making) names(key string) []string {
	var all []string
	for _, text := range strings.Split(m.text(key), ",") {
		all = append(all, strings.TrimSpace(text))
	}
	return all
}
