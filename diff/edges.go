package diff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// numberedName reports a first name, "edge 3", which says nothing of which
// edge it is.
func numberedName(name string) bool {
	digits, ok := strings.CutPrefix(name, "edge ")
	_, err := strconv.Atoi(digits)
	return ok && err == nil
}

// keptWithin is the distance in mm within which an edge that was drawn again
// counts as the same line where other edges changed: drawings are often
// written to a tenth of a millimetre.
const keptWithin = 0.05

// leastRun is the change of length in mm below which an end has not moved:
// stored coordinates are rounded to 0.001 mm.
const leastRun = 0.005

// leastMeant in mm: of a smaller move it is not said how it was made; writing
// in inches to three decimals rounds by 0.013.
const leastMeant = 0.02

// outlineOf lists a piece's edges with every corner sharp.
func outlineOf(p *pattern.Piece) explain.Outline {
	o := explain.Outline{Hem: p.HemEdge(), Down: p.GrainDirection()}
	for i := range p.Edges {
		o.Edges = append(o.Edges, p.EdgePath(i))
	}
	return o
}

// hints names for each new edge the old one of its id, else of a name that
// somebody gave it.
func (c *comparison) hints() []int {
	hints := make([]int, len(c.now.Edges))
	for j, f := range c.now.Edges {
		hints[j] = -1
		if i := c.old.EdgeByID(f.ID); f.ID != "" && i >= 0 {
			hints[j] = i
			continue
		}
		for i, e := range c.old.Edges {
			if e.Name == f.Name && !numberedName(e.Name) {
				hints[j] = i
			}
		}
	}
	return hints
}

// explainOutline explains the edges, first with kept lines taken as somebody
// drew them; where that leaves nothing changed, by how far they lie off to the
// last hundredth.
func (c *comparison) explainOutline() {
	before := len(c.d.Changes)
	c.x, c.explain = c.settled()
	c.tellEdges()
	if c.explain > c.tol && !slices.ContainsFunc(c.d.Changes[before:], func(ch change.Change) bool { return ch.Kind != change.NameChanged }) {
		c.d.Changes = c.d.Changes[:before]
		c.x, c.explain = c.explainedAt(explain.Tolerance{Same: c.tol, Kept: c.tol}), c.tol
		c.x.OnlyDepartures(leastMeant)
		c.tellEdges()
	}
	c.edgeLengths()
}

// explained explains the edges, and returns within how many mm an edge counts
// as kept. An outline that was drawn by hand is taken as exact where that
// explains it as simply: edges that a trace found moved are stored so.
func (c *comparison) explained() (*explain.Explanation, float64) {
	fine := explain.Tolerance{Same: min(c.tol, sameWithin), Kept: keptWithin, Opened: c.leastOpened()}
	x := c.explainedAt(fine)
	if c.tol <= keptWithin {
		return x, fine.Kept
	}
	y := c.explainedAt(explain.Tolerance{Same: c.tol, Kept: c.tol, Opened: c.leastOpened()})
	if y.Cost() < x.Cost()-1e-9 && (y.Cost() == 0 || y.Unexplained() < x.Unexplained()) {
		return y, c.tol
	}
	return x, fine.Kept
}

// leastOpened in mm is how wide an opening beside other changes has to be to be
// told of an outline that was drawn by hand: beyond what two edges that lie off
// by the tolerance, one each way, make of it.
func (c *comparison) leastOpened() float64 {
	if c.tol <= sameWithin {
		return 0
	}
	return 2 * c.tol
}

func (c *comparison) explainedAt(within explain.Tolerance) *explain.Explanation {
	return explain.Explain(outlineOf(c.old), outlineOf(c.now), c.hints(), within)
}

// tellEdges tells what changed by itself, then what was cut or run on because
// a neighbour changed.
func (c *comparison) tellEdges() {
	for _, s := range c.x.Spreads {
		c.tellSpread(s)
	}
	told := c.x.Spread()
	for i := range c.x.Edges {
		if e := &c.x.Edges[i]; e.Changed() && !told[i] {
			c.tellMove(e)
		}
	}
	for i := range c.x.Edges {
		if !told[i] {
			c.tellGoneOrNew(&c.x.Edges[i])
		}
	}
	for i := range c.x.Edges {
		for end := range 2 {
			if !told[i] {
				c.tellRun(i, end)
			}
		}
		c.tellParts(&c.x.Edges[i])
	}
	c.doubtSpreads()
}

// tellSpread tells of a part that moved as one.
func (c *comparison) tellSpread(s explain.Spread) {
	ch := change.Change{Kind: change.Spread, Fit: s.Fit, Turn: change.Amount(geom.InDegrees(s.Turn)),
		Edges: []string{c.old.Edges[s.First].Name, c.old.Edges[s.Last].Name},
		Lines: [][2]change.XY{{*change.At(s.Line[0]), *change.At(s.Line[1])}},
		Open:  &[2]float64{change.Figure(s.Open[0]), change.Figure(s.Open[1])},
		At:    change.At(s.Line[0])}
	n := len(c.old.Edges)
	for i := (s.First + 1) % n; i != s.Last; i = (i + 1) % n {
		ch.Moved = append(ch.Moved, c.old.Edges[i].Name)
		to := c.x.Edges[i].To
		if s.Besides() {
			to = c.x.Edges[i].From.Moved(s.Motion)
		}
		ch.OldPath, ch.NewPath = append(ch.OldPath, c.x.Edges[i].From...), append(ch.NewPath, to...)
	}
	if !s.Anywhere {
		ch.From = c.spreadFrom(s)
	}
	ch.Says = c.saysSpread(s, ch)
	c.add(ch)
	for k, i := range [2]int{s.First, s.Last} {
		e := c.x.Edges[i]
		if d := s.Drawn[k]; d.By > 0 {
			e.Kind, e.How, e.By, e.At, e.Fit = change.EdgeRedrawn, "", d.By, d.At, 0
			c.tellMove(&e)
		}
		c.x.Edges[i].Runs = [2]explain.Run{}
		c.x.Edges[i].Runs[k] = s.Runs[k]
		c.tellRun(i, k)
	}
}

// spreadFrom measures along both edges that a spread's line crosses from the
// corner of the part that stayed to the line.
func (c *comparison) spreadFrom(s explain.Spread) []change.EdgeDistance {
	var from []change.EdgeDistance
	for k, i := range [2]int{s.First, s.Last} {
		path := c.x.Edges[i].From
		if k == 1 {
			path = path.Reverse()
		}
		place, _ := path.Nearest(s.Line[k])
		from = append(from, change.EdgeDistance{Edge: c.endName(i, k), At: s.Line[k], Far: path.LengthTo(place)})
	}
	return from
}

func (c *comparison) tellMove(e *explain.Edge) {
	if c.tol > sameWithin && math.Abs(e.By) < c.tol {
		return // within what the outline was drawn
	}
	ch := change.Change{Kind: e.Kind, How: e.How, Edges: []string{c.old.Edges[e.Old].Name}, Fit: e.Fit, OldPath: e.From, NewPath: e.To, Taper: e.Taper}
	switch {
	case e.Kind == change.EdgeRedrawn:
		ch.Max, ch.At = change.Amount(e.By), change.At(e.At)
	case e.Kind == change.EdgeSwung:
		ch.Pivot, ch.Turn, ch.At = change.At(e.Pivot), change.Amount(geom.InDegrees(e.Turn)), change.At(e.At)
		ch.By, ch.Area, ch.Smoothed = change.Amount(e.By), change.Amount(e.Area), e.Blend
	default:
		ch.By = change.Amount(e.By)
		if e.How == change.HowTapered {
			ch.Ends = &[2]float64{change.Figure(e.Ends[0]), change.Figure(e.Ends[1])}
		}
	}
	ch.Says = c.saysMove(e, ch)
	c.add(ch)
}

// tellGoneOrNew tells of an edge on one side only, unless the other outline
// runs along it all the same: then only a corner came or went.
func (c *comparison) tellGoneOrNew(e *explain.Edge) {
	switch {
	case e.Old < 0 && e.Of > 0:
		of := &c.x.Edges[e.Of-1]
		far, at := explain.Farthest(e.To, of.From)
		place, _ := of.From.Nearest(at)
		name := c.old.Edges[of.Old].Name
		c.add(change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.now.Edges[e.New[0]].Name}, Max: change.Amount(far), At: change.At(at), NewPath: e.To,
			From: []change.EdgeDistance{{Edge: name, At: of.From.At(place), Far: far}},
			Says: fmt.Sprintf("%q is new, up to %s from %q", c.now.Edges[e.New[0]].Name, c.amount(far), name)})
	case e.Old < 0:
		far, at := explain.Farthest(e.To, sharp(c.old))
		if far > c.explain {
			c.add(change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.now.Edges[e.New[0]].Name},
				Says: c.saysNew(e.New[0], far), Max: change.Amount(far), At: change.At(at), NewPath: e.To})
		}
	case len(e.New) == 0 && e.Into < 0:
		far, at := explain.Farthest(e.From, sharp(c.now))
		if far > c.explain {
			c.add(change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.old.Edges[e.Old].Name},
				Says: c.saysGone(e.Old, far), Max: change.Amount(far), At: change.At(at), OldPath: e.From})
		}
	}
}

// sharp is a piece's outline with every corner sharp.
func sharp(p *pattern.Piece) geom.Path {
	r, _ := p.SharpRing()
	return geom.Path(r)
}

// tellRun tells of an end that was cut or run on, and what caused it.
func (c *comparison) tellRun(i, end int) {
	e := &c.x.Edges[i]
	r := e.Runs[end]
	if math.Abs(r.By) <= max(leastRun, c.explain-sameWithin, c.tol-sameWithin) {
		return
	}
	cause := ""
	if k := c.x.Cause(i, end); k >= 0 {
		cause = c.nameOf(&c.x.Edges[k])
	}
	at := e.From.Start()
	if end == 1 {
		at = e.From.End()
	}
	says := c.saysRun(e.Old, end, r.By, r.How, cause)
	if e.Taper != nil && end == e.Taper.Far && cause == "" {
		says = c.saysLonger(e.Old, r.By)
	}
	c.add(change.Change{Kind: change.EdgeRun, Edges: []string{c.old.Edges[e.Old].Name}, By: change.Amount(r.By), How: r.How,
		CausedBy: cause, Fit: e.Fit, At: change.At(at), Says: says, OldPath: e.From, NewPath: e.To})
}

// nameOf is the name of an edge, FROM's where it has one.
func (c *comparison) nameOf(e *explain.Edge) string {
	if e.Old >= 0 {
		return c.old.Edges[e.Old].Name
	}
	return c.now.Edges[e.New[0]].Name
}

// tellParts tells of an edge that was only divided, or is now part of another.
func (c *comparison) tellParts(e *explain.Edge) {
	if e.Old < 0 || c.opened {
		return
	}
	name := c.old.Edges[e.Old].Name
	if e.Into >= 0 {
		into := c.old.Edges[e.Into].Name
		c.add(change.Change{Kind: change.NameChanged, Edges: []string{name}, Before: name, After: into,
			Says: fmt.Sprintf("%q is now part of %q", name, into)})
		return
	}
	main := c.counterpart(e.Old)
	for _, j := range e.New {
		if part := c.now.Edges[j].Name; j != main {
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{name}, Before: name, After: part,
				Says: fmt.Sprintf("%q is divided: a part of it is now %q", name, part)})
		}
	}
}

// counterpart is the new edge that bears on an old one's name and settings:
// the part of its id, else of its name, else the longest; −1 when it is gone.
func (c *comparison) counterpart(i int) int {
	parts := c.x.Edges[i].New
	for _, j := range parts {
		if c.now.Edges[j].ID == c.old.Edges[i].ID && c.old.Edges[i].ID != "" {
			return j
		}
	}
	best, length := -1, -1.0
	for _, j := range parts {
		if c.now.Edges[j].Name == c.old.Edges[i].Name {
			return j
		}
		if l := c.now.EdgePath(j).Length(); l > length {
			best, length = j, l
		}
	}
	return best
}

// edgeLengths lists the length of every edge before and after, and which
// continues which.
func (c *comparison) edgeLengths() {
	c.d.Continues, c.d.Became = make([]int, len(c.now.Edges)), make([]int, len(c.old.Edges))
	for i := range c.x.Edges {
		e := &c.x.Edges[i]
		l := change.EdgeLength{Edge: c.nameOf(e)}
		if e.Old >= 0 {
			l.Length[0] = change.Figure(c.old.Length(e.Old))
			c.d.Became[e.Old] = c.counterpart(e.Old)
		}
		if e.Into >= 0 {
			c.d.Became[e.Old] = c.counterpart(e.Into)
		}
		for _, j := range e.New {
			l.Length[1] += c.now.Length(j)
			c.d.Continues[j] = e.Old
		}
		l.Length[1] = change.Figure(l.Length[1])
		c.d.Edges = append(c.d.Edges, l)
	}
}
