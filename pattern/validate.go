package pattern

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern/units"
)

// Part says which part of a piece a problem is about.
type Part string

// The parts of a piece.
const (
	PartPiece  Part = "piece"
	PartCorner Part = "corner"
	PartEdge   Part = "edge"
	PartNotch  Part = "notch"
	PartMark   Part = "mark"
	PartLine   Part = "line"
	PartGrain  Part = "grain"
)

// Problem is a rule of the model that a piece breaks.
type Problem struct {
	Piece  string
	Part   Part
	Index  int // of the corner, edge, notch, mark or line
	Reason string
}

// Error names piece and reason.
func (p *Problem) Error() string { return p.Piece + ": " + p.Reason }

// maxCoordinate is the greatest coordinate in mm: a sheet of 100 m.
const maxCoordinate = 1e5

// foldTolerance is how far in mm a fold may depart from a straight line and
// closedTolerance how short an edge may be.
const (
	foldTolerance = 0.01
	shortestEdge  = 0.01
)

// Validate checks the piece against the model's rules; the first one broken
// is returned as a *Problem.
func (p *Piece) Validate() error {
	checks := []func() *Problem{
		p.validateHead, p.validateOutline, p.validateEdges, p.validateRing, p.validateNotches, p.validateMarks,
	}
	for _, check := range checks {
		if problem := check(); problem != nil {
			problem.Piece = p.Name
			return problem
		}
	}
	return nil
}

func (p *Piece) validateHead() *Problem {
	fail := func(format string, args ...any) *Problem {
		return &Problem{Part: PartPiece, Reason: fmt.Sprintf(format, args...)}
	}
	if _, err := CleanName(p.Name); err != nil {
		return fail("%v", err)
	}
	switch p.Cut {
	case CutOne, CutPair, CutOnFold:
	default:
		return fail("cut is %q; it is \"one\", \"a pair\" or \"one on fold\"", p.Cut)
	}
	if p.Side != "" && p.Side != "left" && p.Side != "right" {
		return fail("side is %q; it is the wearer's \"left\" or \"right\"", p.Side)
	}
	if g := p.Grain; g != nil && g.From.Dist(g.To) < 1 {
		return &Problem{Part: PartGrain, Reason: "the grain line is shorter than 1 mm; give it two places apart"}
	}
	return nil
}

func (p *Piece) validateOutline() *Problem {
	if len(p.Edges) == 0 || len(p.Edges) != len(p.Corners) {
		return &Problem{Part: PartPiece, Reason: fmt.Sprintf("the outline has %d corners and %d edges; it takes one edge after each corner", len(p.Corners), len(p.Edges))}
	}
	check := func(q geom.Point) bool {
		return q.Finite() && math.Abs(q.X) <= maxCoordinate && math.Abs(q.Y) <= maxCoordinate
	}
	for i, c := range p.Corners {
		if !check(c.At) {
			return &Problem{Part: PartCorner, Index: i, Reason: fmt.Sprintf("corner %d: the place is off any sheet (more than 100 m)", i+1)}
		}
		if c.Round < 0 || math.IsNaN(c.Round) || c.Round > maxCoordinate {
			return &Problem{Part: PartCorner, Index: i, Reason: fmt.Sprintf("corner %d: a rounding of %v mm is no radius", i+1, c.Round)}
		}
	}
	for i, e := range p.Edges {
		if len(e.Handles) != len(e.Nodes)+1 {
			return &Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: %d inner nodes take %d stretches, there are %d", e.Name, len(e.Nodes), len(e.Nodes)+1, len(e.Handles))}
		}
		for _, c := range p.EdgePath(i) {
			if !check(c.P0) || !check(c.P1) || !check(c.P2) || !check(c.P3) {
				return &Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: a place is off any sheet (more than 100 m)", e.Name)}
			}
		}
	}
	return nil
}

func (p *Piece) validateEdges() *Problem {
	names, ids, folds := map[string]int{}, map[string]int{}, 0
	for i, e := range p.Edges {
		fail := func(format string, args ...any) *Problem {
			return &Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: ", e.Name) + fmt.Sprintf(format, args...)}
		}
		if _, err := CleanName(e.Name); err != nil {
			return fail("%v", err)
		}
		if before, ok := names[e.Name]; ok {
			return fail("edges %d and %d bear the same name; rename one", before+1, i+1)
		}
		names[e.Name] = i
		if before, ok := ids[e.ID]; ok && e.ID != "" {
			return fail("it bears the id %s of edge %q; leave its id line out and it gets a new one", e.ID, p.Edges[before].Name)
		}
		ids[e.ID] = i
		path := p.EdgePath(i)
		if l := path.Length(); l < shortestEdge {
			return fail("it is %s mm long; take out one of the corners at its ends", units.Number(l, 4))
		}
		for set, a := range e.Allowance {
			if a < 0 || a > 500 || math.IsNaN(a) {
				return fail("an allowance of %s mm in the set %s is not between 0 and 500 mm", number(a), set)
			}
		}
		if e.Fold {
			folds++
			if d := straightness(path); d > foldTolerance {
				return fail("it is a fold and not straight: it departs by %s mm from the line between its ends; straighten it or drop the fold", number(d))
			}
		}
	}
	if p.Cut == CutOnFold && folds == 0 {
		return &Problem{Part: PartPiece, Reason: "it is cut on the fold, but no edge is a fold; set one with `toile edge PIECE N NAME --fold`"}
	}
	return nil
}

// straightness returns the path's greatest distance from its chord.
func straightness(path geom.Path) float64 {
	chord := geom.Line(path.Start(), path.End())
	worst := 0.0
	for _, c := range path {
		for k := range 17 {
			_, d := chord.Nearest(c.At(float64(k) / 16))
			worst = math.Max(worst, d)
		}
	}
	return worst
}

func (p *Piece) validateRing() *Problem {
	sharp, source := p.SharpRing()
	if at, i, j, found := sharp.SelfCrossing(); found {
		a, b := p.Edges[source[i]].Name, p.Edges[source[j]].Name
		what := fmt.Sprintf("edges %q and %q cross", a, b)
		if a == b {
			what = fmt.Sprintf("edge %q crosses itself", a)
		}
		return &Problem{Part: PartEdge, Index: source[j], Reason: fmt.Sprintf("the outline crosses itself: %s at %s; redraw it without the crossing", what, place(at))}
	}
	area := sharp.Area()
	if area < 0 {
		return &Problem{Part: PartPiece, Reason: "the outline runs anticlockwise; list its corners clockwise as seen"}
	}
	if area < 1 {
		return &Problem{Part: PartPiece, Reason: fmt.Sprintf("the outline holds only %s mm²", number(area))}
	}
	if _, err := p.Outline(); err != nil {
		problem := &Problem{Part: PartPiece, Reason: err.Error()}
		if q, ok := err.(*Problem); ok {
			problem.Part, problem.Index, problem.Reason = q.Part, q.Index, q.Reason
		}
		return problem
	}
	return nil
}

func (p *Piece) validateNotches() *Problem {
	names := map[string]bool{}
	for k, n := range p.Notches {
		fail := func(format string, args ...any) *Problem {
			return &Problem{Part: PartNotch, Index: k, Reason: fmt.Sprintf("notch %q: ", n.Name) + fmt.Sprintf(format, args...)}
		}
		if _, err := CleanName(n.Name); err != nil {
			return fail("%v", err)
		}
		if names[n.Name] {
			return fail("two notches bear this name; rename one")
		}
		names[n.Name] = true
		i, err := p.EdgeIndex(n.Edge)
		if err != nil || p.Edges[i].Name != n.Edge {
			return fail("there is no edge %q; the edges are %s", n.Edge, quoteList(p.EdgeNames()))
		}
		length := p.EdgePath(i).Length()
		if n.At < 0 || n.At > length+0.001 || math.IsNaN(n.At) {
			return fail("it lies off its edge: %s mm along %q, which is %s mm long", number(n.At), n.Edge, number(length))
		}
		if n.Count < 1 || n.Count > 9 {
			return fail("count is %d; it is from 1 to 9", n.Count)
		}
		if problem := p.notchInRounding(k, i, length); problem != nil {
			return problem
		}
	}
	return nil
}

// notchInRounding refuses a notch within the tangent length of a rounding.
func (p *Piece) notchInRounding(k, edge int, length float64) *Problem {
	n := p.Notches[k]
	size := len(p.Edges)
	from := n.At
	if n.FromEnd {
		from = length - n.At
	}
	for _, end := range []int{edge, (edge + 1) % size} {
		r := p.Corners[end].Round
		if r == 0 {
			continue
		}
		before := (end + size - 1) % size
		_, cutBefore, cutAfter, err := geom.RoundCorner(p.EdgePath(before), p.EdgePath(end), r)
		if err != nil {
			continue
		}
		if (end == edge && from < cutAfter-0.001) || (end != edge && length-from < cutBefore-0.001) {
			return &Problem{Part: PartNotch, Index: k, Reason: fmt.Sprintf(
				"notch %q: it lies in the rounding of the corner %s; move it at least %s mm from there",
				n.Name, p.CornerName(end), number(math.Max(cutAfter, cutBefore)))}
		}
	}
	return nil
}

func (p *Piece) validateMarks() *Problem {
	names := map[string]bool{}
	for k, m := range p.Marks {
		if problem := p.validateMark(k, m, names); problem != nil {
			return problem
		}
	}
	lines := map[string]bool{}
	for k, l := range p.Lines {
		fail := func(reason string) *Problem {
			return &Problem{Part: PartLine, Index: k, Reason: fmt.Sprintf("line %q: %s", l.Name, reason)}
		}
		if _, err := CleanName(l.Name); err != nil {
			return fail(err.Error())
		}
		if lines[l.Name] {
			return fail("two lines bear this name; rename one")
		}
		lines[l.Name] = true
		if len(l.Path) == 0 || l.Path.Length() < shortestEdge {
			return fail("it has no length")
		}
	}
	return nil
}

func (p *Piece) validateMark(k int, m Mark, names map[string]bool) *Problem {
	fail := func(format string, args ...any) *Problem {
		return &Problem{Part: PartMark, Index: k, Reason: fmt.Sprintf("mark %q: ", m.Name) + fmt.Sprintf(format, args...)}
	}
	if _, err := CleanName(m.Name); err != nil {
		return fail("%v", err)
	}
	if names[m.Name] {
		return fail("two marks bear this name; rename one")
	}
	names[m.Name] = true
	switch m.Kind {
	case MarkButton, MarkDot, MarkText:
	case MarkButtonhole, MarkSlit, MarkPlacement, MarkFoldLine:
		if len(m.Path) == 0 {
			return fail("a %s takes a path of at least two places", m.Kind)
		}
	case MarkDart, MarkPleat:
		i, err := p.EdgeIndex(m.Edge)
		if err != nil || p.Edges[i].Name != m.Edge {
			return fail("there is no edge %q; the edges are %s", m.Edge, quoteList(p.EdgeNames()))
		}
		if length := p.EdgePath(i).Length(); !(m.From >= 0 && m.To > m.From && m.To <= length+0.001) {
			return fail("its mouth runs from %s to %s mm along %q, which is %s mm long", number(m.From), number(m.To), m.Edge, number(length))
		}
	default:
		return fail("there is no kind of mark %q", m.Kind)
	}
	return nil
}
