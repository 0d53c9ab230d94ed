package pattern

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

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

	key   string // of the file, where the problem lies in one key's value
	cause error
}

// Unwrap is what geom said, nil where the rule is the model's own.
func (p *Problem) Unwrap() error { return p.cause }

// at names the key of the file that holds what is wrong.
func (p *Problem) at(key string) *Problem {
	p.key = key
	return p
}

func (p *Problem) spot() spot { return spot{p.Part, p.Index, p.key} }

// Error names piece and reason.
func (p *Problem) Error() string { return p.Piece + ": " + p.Reason }

// maxCoordinate is the greatest coordinate in mm: a sheet of 100 m.
const maxCoordinate = 1e5

// The limits of a piece in mm: how far a fold may depart from a straight line
// (paper folds no truer), how short an edge, a mark's or a reference line may
// be (what is shorter is a slip of the pen), how short a grain line (below
// 1 mm the three decimals of a file no longer hold its direction to 0.1°), and
// the widest allowance (wider than any hem).
const (
	foldTolerance   = 0.01
	shortestEdge    = 0.01
	shortestGrain   = 1
	widestAllowance = 500
	mostNotchCount  = 9
	leastArea       = 1 // mm²
)

// alongEdge is how far in mm beyond an edge's end a place along it may lie:
// what rounding both to three decimals makes.
const alongEdge = 0.001

// Validate checks the piece against the model's rules; the first one broken
// is returned as a *Problem.
func (p *Piece) Validate() error {
	if problem := p.problem(); problem != nil {
		return problem
	}
	return nil
}

// problem returns the first rule that the piece breaks, nil when there is none.
func (p *Piece) problem() *Problem {
	checks := []func() *Problem{
		p.validateHead, p.validateOutline, p.validateEdges, p.validateRing, p.validateNotches, p.validateMarks, p.validateLines,
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
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{Part: PartPiece, key: key, Reason: fmt.Sprintf(format, args...)}
	}
	if err := cleanName(p.Name); err != nil {
		return fail("name", "%v", err)
	}
	switch p.Cut {
	case CutOne, CutPair, CutOnFold:
	default:
		return fail("cut", "cut is %q; it is %q, %q or %q", p.Cut, CutOne, CutPair, CutOnFold)
	}
	if p.Side != "" && p.Side != string(WearerLeft) && p.Side != string(WearerRight) {
		return fail("side", "side is %q; it is the wearer's %q or %q", p.Side, WearerLeft, WearerRight)
	}
	if !(p.DrawnWithin >= 0 && p.DrawnWithin <= maxCoordinate) {
		return fail("drawn_within_mm", "drawn_within_mm is %s; it is 0 or more", number(p.DrawnWithin))
	}
	if g := p.Grain; g != nil {
		switch {
		case !onSheet(g.From) || !onSheet(g.To):
			return &Problem{Part: PartGrain, Reason: "the grain line: " + offSheet}
		case g.From.Dist(g.To) < shortestGrain:
			return &Problem{Part: PartGrain, Reason: "the grain line is shorter than 1 mm; give it two places apart"}
		}
	}
	return nil
}

// cleanName refuses a name that is not in its stored form.
func cleanName(name string) error {
	clean, err := CleanName(name)
	if err == nil && clean != name {
		err = fmt.Errorf("the name %q is not in its stored form %q", name, clean)
	}
	return err
}

// offSheet is what is wrong with a place that onSheet refuses.
const offSheet = "a place is off any sheet (more than 100 m)"

// onSheet reports whether a place can lie on a sheet at all.
func onSheet(q geom.Point) bool {
	return q.Finite() && math.Abs(q.X) <= maxCoordinate && math.Abs(q.Y) <= maxCoordinate
}

func pathOnSheet(path geom.Path) bool {
	for _, c := range path {
		if !onSheet(c.P0) || !onSheet(c.P1) || !onSheet(c.P2) || !onSheet(c.P3) {
			return false
		}
	}
	return true
}

func (p *Piece) validateOutline() *Problem {
	if len(p.Edges) == 0 || len(p.Edges) != len(p.Corners) {
		return (&Problem{Part: PartPiece, Reason: fmt.Sprintf("the outline has %d corners and %d edges; it takes one edge after each corner", len(p.Corners), len(p.Edges))}).at("outline")
	}
	names := map[string]bool{}
	for i, c := range p.Corners {
		if problem := c.validate(names); problem != nil {
			problem.Index, problem.Reason = i, fmt.Sprintf("corner %d: ", i+1)+problem.Reason
			return problem
		}
	}
	for i, e := range p.Edges {
		if len(e.Handles) != len(e.Nodes)+1 {
			return &Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: %d inner nodes take %d stretches, there are %d", e.Name, len(e.Nodes), len(e.Nodes)+1, len(e.Handles))}
		}
		if !pathOnSheet(p.EdgePath(i)) {
			return (&Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: %s", e.Name, offSheet)}).at("path")
		}
	}
	return nil
}

// validate checks one corner; names are those of the corners before it.
func (c Corner) validate(names map[string]bool) *Problem {
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{Part: PartCorner, key: key, Reason: fmt.Sprintf(format, args...)}
	}
	if !onSheet(c.At) {
		return fail("at", offSheet)
	}
	if !(c.Round >= 0 && c.Round <= maxCoordinate) {
		return fail("round", "a rounding of %s mm is no radius", number(c.Round))
	}
	if c.Name != "" {
		if err := cleanName(c.Name); err != nil {
			return fail("name", "%v", err)
		}
		if names[c.Name] {
			return fail("name", "two corners bear the name %q; rename one", c.Name)
		}
		names[c.Name] = true
	}
	switch c.Style {
	case "", CornerExtended, CornerSquareBefore, CornerSquareAfter, CornerFoldedBack:
		return nil
	}
	return fail("style", "style is %q; it is %q, %q, %q or %q", c.Style, CornerExtended, CornerSquareBefore, CornerSquareAfter, CornerFoldedBack)
}

func (p *Piece) validateEdges() *Problem {
	names, ids, folds := map[string]int{}, map[string]int{}, 0
	for i, e := range p.Edges {
		if problem := p.validateEdge(i, names, ids); problem != nil {
			problem.Part, problem.Index = PartEdge, i
			problem.Reason = fmt.Sprintf("edge %q: ", e.Name) + problem.Reason
			return problem
		}
		if e.Fold {
			if folds++; folds > 1 {
				return (&Problem{Part: PartEdge, Index: i, Reason: fmt.Sprintf("edge %q: it is the second fold; a piece has one at most: draw it unfolded along the other", e.Name)}).at("fold")
			}
		}
	}
	if p.Cut != CutOnFold && folds > 0 {
		return (&Problem{Part: PartPiece, Reason: fmt.Sprintf("cut is %q, but it has a fold; it is cut %q, or none of its edges is a fold", p.Cut, CutOnFold)}).at("cut")
	}
	if p.Cut == CutOnFold && folds == 0 {
		return (&Problem{Part: PartPiece, Reason: "it is cut on the fold, but no edge is a fold; set one with `toile edge PIECE N NAME --fold`"}).at("cut")
	}
	return nil
}

// validateEdge checks edge i; names and ids are those of the edges before it.
func (p *Piece) validateEdge(i int, names, ids map[string]int) *Problem {
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{key: key, Reason: fmt.Sprintf(format, args...)}
	}
	e := p.Edges[i]
	if err := cleanName(e.Name); err != nil {
		return fail("name", "%v", err)
	}
	if _, err := strconv.Atoi(e.Name); err == nil {
		return fail("name", "a bare number is the place of an edge in the outline; give it a name of words")
	}
	if before, ok := names[e.Name]; ok {
		return fail("name", "edges %d and %d bear the same name; rename one", before+1, i+1)
	}
	names[e.Name] = i
	if before, ok := ids[e.ID]; ok && e.ID != "" {
		return fail("id", "it bears the id %s of edge %q; leave its id line out and it gets a new one", e.ID, p.Edges[before].Name)
	}
	ids[e.ID] = i
	path := p.EdgePath(i)
	if l := path.Length(); l < shortestEdge {
		return fail("", "it is %s mm long; take out one of the corners at its ends", units.Number(l, 4))
	}
	for _, set := range slices.Sorted(maps.Keys(e.Allowance)) {
		if err := cleanName(set); err != nil {
			return fail("allowance", "%v", err)
		}
		if v := e.Allowance[set]; !(v >= 0 && v <= widestAllowance) {
			return fail("allowance", "an allowance of %s mm in the set %s is not between 0 and %d mm", number(v), set, widestAllowance)
		}
	}
	if d := straightness(path); e.Fold && d > foldTolerance {
		return fail("fold", "it is a fold and not straight: it departs by %s mm from the line between its ends; straighten it or drop the fold", number(d))
	}
	return nil
}

// straightness returns the path's greatest distance from its chord, found on
// 16 parts of each curve: low by at most 1 % of what it is.
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

// validateRing checks the outline as a whole: no crossing, clockwise, some
// area, and roundings that fit.
func (p *Piece) validateRing() *Problem {
	sharp, source := p.SharpRing()
	if at, i, j, found := sharp.SelfCrossing(); found {
		return p.crossing(at, source[i], source[j])
	}
	fail := func(format string, args ...any) *Problem {
		return (&Problem{Part: PartPiece, Reason: fmt.Sprintf(format, args...)}).at("outline")
	}
	switch area := sharp.Area(); {
	case area < 0:
		return fail("the outline runs anticlockwise; list its corners clockwise as seen")
	case area < leastArea:
		return fail("the outline holds only %s mm²; %d is the least", number(area), leastArea)
	}
	o, err := p.Outline()
	if err != nil {
		var problem *Problem
		if errors.As(err, &problem) {
			return problem
		}
		return fail("%v", err)
	}
	if len(o.Radius) == 0 {
		return nil
	}
	if at, i, j, found := o.Ring.SelfCrossing(); found {
		return p.crossing(at, o.Edge[i], o.Edge[j])
	}
	return nil
}

// crossing says that two edges meet where they should not.
func (p *Piece) crossing(at geom.Point, i, j int) *Problem {
	what := fmt.Sprintf("edges %q and %q cross", p.Edges[i].Name, p.Edges[j].Name)
	if i == j {
		what = fmt.Sprintf("edge %q crosses itself", p.Edges[i].Name)
	}
	return &Problem{Part: PartEdge, Index: max(i, j), Reason: fmt.Sprintf("the outline crosses itself: %s at %s; redraw it without the crossing", what, place(at))}
}
