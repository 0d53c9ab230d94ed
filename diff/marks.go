package diff

import (
	"fmt"
	"math"
	"sort"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

func sorted(set map[string]bool) []string {
	var names []string
	for n := range set {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// leastMove is the distance in mm below which a notch or mark has not moved.
const leastMove = 0.005

// explainNotches compares notches: first those of one name on the edge that
// continues theirs, then those in the same place; the rest came or went.
func (c *comparison) explainNotches() {
	taken := make([]bool, len(c.now.Notches))
	var left []pattern.Notch
	for _, n := range c.old.Notches {
		k := c.now.NotchByName(n.Name)
		if k < 0 || taken[k] || c.now.Notches[k].Edge != c.edgeNow(n.Edge) {
			left = append(left, n)
			continue
		}
		taken[k] = true
		c.explainNotch(n, c.now.Notches[k])
	}
	for _, n := range left {
		at, _, along, err := c.old.NotchPlace(n)
		if err != nil {
			continue
		}
		if k := c.notchAt(at, taken); k >= 0 {
			taken[k] = true
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{n.Edge}, Notch: n.Name, Before: n.Name, After: c.now.Notches[k].Name,
				Says: fmt.Sprintf("the notch %q on %q is now called %q", n.Name, n.Edge, c.now.Notches[k].Name)})
			c.explainNotch(n, c.now.Notches[k])
			continue
		}
		c.add(change.Change{Kind: change.NotchRemoved, Edges: []string{n.Edge}, Notch: n.Name, At: change.At(at),
			Says: fmt.Sprintf("the notch %q on %q, %s from its start, is gone", n.Name, n.Edge, c.amount(along))})
	}
	for k, n := range c.now.Notches {
		if taken[k] {
			continue
		}
		at, _, _, err := c.now.NotchPlace(n)
		if err != nil {
			continue
		}
		c.add(change.Change{Kind: change.NotchAdded, Edges: []string{c.edgeThen(n.Edge)}, Notch: n.Name, At: change.At(at),
			Says: fmt.Sprintf("a notch %q is new on %q, %s from its %s", n.Name, n.Edge, c.amount(n.At), endWord(n.FromEnd))})
	}
}

func endWord(fromEnd bool) string {
	if fromEnd {
		return "end"
	}
	return "start"
}

func (c *comparison) notchAt(at geom.Point, taken []bool) int {
	for k, n := range c.now.Notches {
		if p, _, _, err := c.now.NotchPlace(n); err == nil && !taken[k] && p.Dist(at) <= math.Max(0.1, c.tol) {
			return k
		}
	}
	return -1
}

// explainNotch compares one notch. It did not move when it is in its place, or
// as far as it was from either end of its edge: the other end may have been
// cut, run on or swung. by_mm is positive away from the end it is counted
// from.
func (c *comparison) explainNotch(a, b pattern.Notch) {
	atA, _, alongA, errA := c.old.NotchPlace(a)
	atB, _, alongB, errB := c.now.NotchPlace(b)
	if errA != nil || errB != nil {
		return
	}
	near := math.Max(leastMove, c.explain)
	fromEndA, fromEndB := c.edgeLength(c.old, a.Edge)-alongA, c.edgeLength(c.now, b.Edge)-alongB
	by := alongB - alongA
	switch {
	case atA.Dist(atB) <= near, math.Abs(by) <= near, math.Abs(fromEndB-fromEndA) <= near:
		by = 0 // in its place, or as far as it was from one of the edge's ends
	case a.FromEnd:
		by = fromEndB - fromEndA
	}
	if by != 0 {
		c.add(change.Change{Kind: change.NotchMoved, Edges: []string{a.Edge}, Notch: a.Name, By: change.Amount(by), At: change.At(atB),
			Says: fmt.Sprintf("the notch %q on %q is moved by %s, away from its %s", a.Name, a.Edge,
				c.amount(math.Abs(by)), endWord(a.FromEnd != (by < 0))),
			OldPath: geom.Polyline(atA, atA), NewPath: geom.Polyline(atB, atB)})
	}
	if a.Count != b.Count {
		c.add(change.Change{Kind: change.MarkChanged, Edges: []string{a.Edge}, Notch: a.Name, At: change.At(atB),
			Before: fmt.Sprint(a.Count), After: fmt.Sprint(b.Count),
			Says: fmt.Sprintf("the notch %q on %q is cut %d times (was %d)", a.Name, a.Edge, b.Count, a.Count)})
	}
}

// edgeLength is the length of a named edge between its sharp corners.
func (c *comparison) edgeLength(p *pattern.Piece, edge string) float64 {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return 0
	}
	return p.EdgePath(i).Length()
}

// edgeNow returns the new name of an old edge, edgeThen the old name of a new
// one; an edge on one side only keeps its name.
func (c *comparison) edgeNow(name string) string {
	for i, e := range c.old.Edges {
		if j := c.counterpart(i); j >= 0 && e.Name == name {
			return c.now.Edges[j].Name
		}
	}
	return name
}

func (c *comparison) edgeThen(name string) string {
	for i, e := range c.old.Edges {
		if j := c.counterpart(i); j >= 0 && c.now.Edges[j].Name == name {
			return e.Name
		}
	}
	return name
}

// explainMarks compares marks and reference lines by name.
func (c *comparison) explainMarks() {
	a, b := marksOf(c.old), marksOf(c.now)
	for _, m := range a {
		k := indexOf(b, m.Name)
		if k < 0 {
			c.add(change.Change{Kind: change.MarkRemoved, Mark: m.Name, At: change.At(anchor(m)), OldPath: m.Path,
				Says: fmt.Sprintf("the %s %q is gone", m.Kind, m.Name)})
			continue
		}
		c.explainMark(m, b[k])
	}
	for _, m := range b {
		if indexOf(a, m.Name) < 0 {
			c.add(change.Change{Kind: change.MarkAdded, Mark: m.Name, At: change.At(anchor(m)), NewPath: m.Path,
				Says: fmt.Sprintf("a %s %q is new", m.Kind, m.Name)})
		}
	}
}

// referenceKind is how a reference line is called where marks are compared.
const referenceKind pattern.MarkKind = "reference line"

func marksOf(p *pattern.Piece) []pattern.Mark {
	marks := append([]pattern.Mark(nil), p.Marks...)
	for _, l := range p.Lines {
		marks = append(marks, pattern.Mark{Kind: referenceKind, Name: l.Name, Path: l.Path})
	}
	return marks
}

func indexOf(marks []pattern.Mark, name string) int {
	for k, m := range marks {
		if m.Name == name {
			return k
		}
	}
	return -1
}

// anchor is the place a mark is told by.
func anchor(m pattern.Mark) geom.Point {
	if len(m.Path) > 0 {
		return m.Path.Start()
	}
	return m.At
}

func (c *comparison) explainMark(a, b pattern.Mark) {
	by := anchor(b).Sub(anchor(a))
	if before, after := describeMark(a, c), describeMark(b, c); before != after {
		c.add(change.Change{Kind: change.MarkChanged, Mark: a.Name, At: change.At(anchor(b)), Before: before, After: after,
			Says: fmt.Sprintf("the %s %q is now %s (was %s)", a.Kind, a.Name, after, before), OldPath: a.Path, NewPath: b.Path})
		return
	}
	shifted := samePath(a.Path.Moved(geom.Motion{Shift: by}), b.Path)
	switch {
	case !shifted:
		c.add(change.Change{Kind: change.MarkChanged, Mark: a.Name, At: change.At(anchor(b)), OldPath: a.Path, NewPath: b.Path,
			Before: c.amount(a.Path.Length()), After: c.amount(b.Path.Length()),
			Says: fmt.Sprintf("the %s %q is drawn anew, %s long (was %s)", a.Kind, a.Name, c.amount(b.Path.Length()), c.amount(a.Path.Length()))})
	case by.Len() > math.Max(leastMove, c.tol):
		c.add(change.Change{Kind: change.MarkMoved, Mark: a.Name, At: change.At(anchor(b)), ByVector: change.At(by), OldPath: a.Path, NewPath: b.Path,
			Says: fmt.Sprintf("the %s %q is moved by %s (%s)", a.Kind, a.Name, c.amount(by.Len()), c.wayOf(by))})
	}
}

// describeMark puts what a mark is, but for its place, into words.
func describeMark(m pattern.Mark, c *comparison) string {
	text := string(m.Kind)
	if m.Size != 0 {
		text += " of " + c.amount(m.Size)
	}
	if m.Text != "" {
		text += fmt.Sprintf(" %q", m.Text)
	}
	if m.Edge != "" {
		text += fmt.Sprintf(" on %q from %s to %s", m.Edge, c.amount(m.From), c.amount(m.To))
	}
	if m.Direction != "" {
		text += " towards its " + m.Direction
	}
	return text
}

func samePath(a, b geom.Path) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		for _, d := range []float64{a[i].P0.Dist(b[i].P0), a[i].P1.Dist(b[i].P1), a[i].P2.Dist(b[i].P2), a[i].P3.Dist(b[i].P3)} {
			if d > sameWithin {
				return false
			}
		}
	}
	return true
}

// wayOf tells a vector on the sheet in words.
func (c *comparison) wayOf(by geom.Point) string {
	text := ""
	if math.Abs(by.X) > leastMove {
		text = c.amount(math.Abs(by.X)) + map[bool]string{true: " to the right", false: " to the left"}[by.X > 0]
	}
	if math.Abs(by.Y) > leastMove {
		if text != "" {
			text += ", "
		}
		text += c.amount(math.Abs(by.Y)) + map[bool]string{true: " down", false: " up"}[by.Y > 0]
	}
	return text
}
