package diff

import (
	"fmt"
	"math"
	"sort"

	"toile/diff/explain"
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

// namesLost reports whether no id and no name of an edge came through: then
// names decide nothing.
func (c *comparison) namesLost() bool {
	for _, f := range c.now.Edges {
		for _, e := range c.old.Edges {
			if (f.ID != "" && f.ID == e.ID) || (f.Name == e.Name && !numberedName(f.Name)) {
				return false
			}
		}
	}
	return true
}

// pairUp pairs the n old things with the m new ones: in each pass those that
// may be paired, the nearest first. It returns the partner of each, −1 for
// none. A pass gives the distance of two things, negative for no pair.
func pairUp(n, m int, passes ...func(i, j int) float64) (old, now []int) {
	old, now = make([]int, n), make([]int, m)
	for i := range old {
		old[i] = -1
	}
	for j := range now {
		now[j] = -1
	}
	for _, pass := range passes {
		for {
			least, a, b := math.Inf(1), -1, -1
			for i := range old {
				for j := range now {
					if old[i] < 0 && now[j] < 0 {
						if d := pass(i, j); d >= 0 && d < least {
							least, a, b = d, i, j
						}
					}
				}
			}
			if a < 0 {
				break
			}
			old[a], now[b] = b, a
		}
	}
	return old, now
}

// passes lists how notches or marks are paired: those of one name, then those in
// the same place; where all names were lost the nearest ones.
func (c *comparison) passes(named, apart func(i, j int) float64) []func(i, j int) float64 {
	there := func(i, j int) float64 {
		if d := apart(i, j); d <= math.Max(inPlace, c.tol) {
			return d
		}
		return -1
	}
	switch {
	case c.opened:
		return []func(i, j int) float64{there, named}
	case c.namesLost():
		return []func(i, j int) float64{there, apart}
	}
	return []func(i, j int) float64{named, there}
}

// inPlace in mm: notches and marks no farther apart than this lie in one place.
const inPlace = 0.1

// explainNotches compares notches: those of one name on the edge that
// continues theirs, then those in the same place, and where all names were
// lost those nearest on their edge; the rest came or went.
func (c *comparison) explainNotches() {
	a, b := c.old.Notches, c.now.Notches
	apart := func(i, j int) float64 {
		p, _, _, errA := c.old.NotchPlace(a[i])
		q, _, _, errB := c.now.NotchPlace(b[j])
		if errA != nil || errB != nil || !c.sameEdge(a[i].Edge, b[j].Edge) {
			return -1
		}
		return p.Dist(q)
	}
	named := func(i, j int) float64 {
		if a[i].Name != b[j].Name {
			return -1
		}
		return apart(i, j)
	}
	old, now := pairUp(len(a), len(b), c.passes(named, apart)...)
	for i, n := range a {
		if old[i] < 0 {
			c.notchGone(n)
			continue
		}
		if m := b[old[i]]; n.Name != m.Name && !c.opened {
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{n.Edge}, Notch: n.Name, Before: n.Name, After: m.Name,
				Says: fmt.Sprintf("the notch %q on %q is now called %q", n.Name, n.Edge, m.Name)})
		}
		c.explainNotch(n, b[old[i]])
	}
	for j, n := range b {
		if now[j] < 0 {
			c.notchNew(n)
		}
	}
}

// sameEdge reports whether the new edge continues the old one, alone or as a
// part.
func (c *comparison) sameEdge(old, now string) bool {
	i, j := edgeNamed(c.old, old), edgeNamed(c.now, now)
	if i < 0 || j < 0 || c.d.Continues[j] < 0 {
		return false
	}
	to := c.d.Continues[j]
	return to == i || c.x.Edges[i].Into == to
}

func (c *comparison) notchGone(n pattern.Notch) {
	at, _, along, err := c.old.NotchPlace(n)
	if err != nil {
		return
	}
	c.add(change.Change{Kind: change.NotchRemoved, Edges: []string{n.Edge}, Notch: n.Name, At: change.At(at),
		Says: fmt.Sprintf("the notch %q on %q, %s from its start, is gone", n.Name, n.Edge, c.amount(along))})
}

func (c *comparison) notchNew(n pattern.Notch) {
	at, _, _, err := c.now.NotchPlace(n)
	if err != nil {
		return
	}
	c.add(change.Change{Kind: change.NotchAdded, Edges: []string{c.edgeThen(n.Edge)}, Notch: n.Name, At: change.At(at),
		Says: fmt.Sprintf("a notch %q is new on %q, %s from its %s", n.Name, n.Edge, c.amount(n.At), endWord(n.FromEnd))})
}

func endWord(fromEnd bool) string {
	if fromEnd {
		return "end"
	}
	return "start"
}

// explainNotch compares one notch. It did not move when it is in its place, as
// far as it was from the end it is counted from, or from another end that
// stayed: see stayedFrom. by_mm is positive away from the end it is counted from.
func (c *comparison) explainNotch(a, b pattern.Notch) {
	atA, _, alongA, errA := c.old.NotchPlace(a)
	atB, _, alongB, errB := c.now.NotchPlace(b)
	if errA != nil || errB != nil {
		return
	}
	lengthA, lengthB := c.edgeLength(c.old, a.Edge), c.edgeLength(c.now, b.Edge)
	e := &c.x.Edges[edgeNamed(c.old, a.Edge)]
	divided := len(e.New) > 1 || len(e.From) != len(c.old.EdgePath(e.Old))
	if divided {
		// Divided, or joined with a neighbour: counted on the whole.
		p, _ := e.From.Nearest(atA)
		q, _ := e.To.Nearest(atB)
		alongA, alongB, lengthA, lengthB = e.From.LengthTo(p), e.To.LengthTo(q), e.From.Length(), e.To.Length()
	}
	near := math.Max(leastMove, c.explain)
	fromEndA, fromEndB := lengthA-alongA, lengthB-alongB
	by, other := alongB-alongA, fromEndB-fromEndA
	if a.FromEnd {
		by, other = other, by
	}
	if atA.Dist(atB) <= near || (math.Abs(other) <= near && (divided || c.stayedFrom(e, !a.FromEnd))) || math.Abs(by) <= near {
		by = 0
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

// stayedFrom reports whether a notch that is as far as it was from an end of an
// edge may be said to have stayed, although it is counted from the other end.
// Along an edge that was kept it would lie in its place; along one that was
// swung the end at the pivot tells.
func (c *comparison) stayedFrom(e *explain.Edge, end bool) bool {
	switch {
	case c.x.Spread()[e.Old]:
		return true // the part beyond the line moved with its notches
	case e.Kind == change.EdgeSwung:
		return end == (e.Far == 0)
	}
	return e.Changed()
}

// edgeLength is the length of a named edge between its sharp corners.
func (c *comparison) edgeLength(p *pattern.Piece, edge string) float64 {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return 0
	}
	return p.EdgePath(i).Length()
}

// edgeThen returns the old name of a new edge; an edge without a counterpart
// keeps its own.
func (c *comparison) edgeThen(name string) string {
	for i, e := range c.old.Edges {
		if j := c.counterpart(i); j >= 0 && c.now.Edges[j].Name == name {
			return e.Name
		}
	}
	return name
}

// explainMarks compares marks and reference lines by name, then by place; where
// all names were lost, the nearest of a kind.
func (c *comparison) explainMarks() {
	a, b := marksOf(c.old), marksOf(c.now)
	apart := func(i, j int) float64 {
		if a[i].Kind != b[j].Kind || (a[i].Edge != "" && !c.sameEdge(a[i].Edge, b[j].Edge)) {
			return -1
		}
		if c.opened && a[i].Edge != "" {
			return apartOnEdges(c.old, c.now, a[i], b[j])
		}
		return anchor(a[i]).Dist(anchor(b[j])) + math.Abs(a[i].From-b[j].From)
	}
	named := func(i, j int) float64 {
		if a[i].Name == b[j].Name {
			return 0
		}
		return -1
	}
	old, now := pairUp(len(a), len(b), c.passes(named, apart)...)
	for i, m := range a {
		if old[i] < 0 {
			c.add(change.Change{Kind: change.MarkRemoved, Mark: m.Name, At: change.At(anchor(m)), OldPath: m.Path,
				Says: fmt.Sprintf("the %s %q is gone", m.Kind, m.Name)})
			continue
		}
		if n := b[old[i]]; n.Name != m.Name && !c.opened {
			c.add(change.Change{Kind: change.NameChanged, Mark: m.Name, Before: m.Name, After: n.Name,
				Says: fmt.Sprintf("the %s %q is now called %q", m.Kind, m.Name, n.Name)})
		}
		c.explainMark(m, b[old[i]])
	}
	for j, m := range b {
		if now[j] < 0 {
			c.markNew(m)
		}
	}
}

func (c *comparison) markNew(m pattern.Mark) {
	from := c.nearestEdges(m)
	c.add(change.Change{Kind: change.MarkAdded, Mark: m.Name, At: change.At(anchor(m)), NewPath: m.Path, From: from,
		Says: fmt.Sprintf("a %s %q is new%s", m.Kind, m.Name, c.whereNew(m, from))})
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

// anchor is the place a mark is told by.
func anchor(m pattern.Mark) geom.Point {
	if len(m.Path) > 0 {
		return m.Path.Start()
	}
	return m.At
}

func (c *comparison) explainMark(a, b pattern.Mark) {
	by := anchor(b).Sub(anchor(a))
	if c.opened && a.Edge != "" && apartOnEdges(c.old, c.now, a, b) <= math.Max(inPlace, c.tol) {
		return // counted along an edge that now runs over the fold, but where it was
	}
	if b.Edge != "" && c.sameEdge(a.Edge, b.Edge) && apartOnEdges(c.old, c.now, a, b) <= math.Max(inPlace, c.tol) {
		b.Edge, b.From, b.To = a.Edge, a.From, a.To // only counted anew, as where its edge is divided
	}
	if b.Edge != "" {
		b.Edge = c.edgeThen(b.Edge)
	}
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
		part := "" // of a dart whose mouth stayed, or it would be described otherwise
		if a.Kind == pattern.MarkDart && a.Edge != "" {
			part = "the point of "
		}
		c.add(change.Change{Kind: change.MarkMoved, Mark: a.Name, At: change.At(anchor(b)), ByVector: change.At(by), OldPath: a.Path, NewPath: b.Path,
			Says: fmt.Sprintf("%sthe %s %q is moved by %s (%s)", part, a.Kind, a.Name, c.amount(by.Len()), c.wayOf(by))})
	}
}

// whereNew says where a new mark lies: on its edge, else by its distances from
// the edges nearest to it.
func (c *comparison) whereNew(m pattern.Mark, from []change.EdgeDistance) string {
	if m.Edge != "" {
		return fmt.Sprintf(" on %q, from %s to %s", m.Edge, c.amount(m.From), c.amount(m.To))
	}
	if len(from) < 2 {
		return ""
	}
	return fmt.Sprintf(", %s from %q and %s from %q", c.amount(from[0].Far), from[0].Edge, c.amount(from[1].Far), from[1].Edge)
}

// nearestEdges measures a mark that is a place inside the piece from the two
// edges nearest to it, the nearer first; nil for any other mark.
func (c *comparison) nearestEdges(m pattern.Mark) []change.EdgeDistance {
	if m.Edge != "" || len(m.Path) > 0 || len(c.now.Edges) < 2 {
		return nil
	}
	var all []change.EdgeDistance
	for i, e := range c.now.Edges {
		path := c.now.EdgePath(i)
		place, far := path.Nearest(m.At)
		all = append(all, change.EdgeDistance{Edge: e.Name, At: path.At(place), Far: far})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Far < all[j].Far })
	return all[:2]
}

// apartOnEdges is how far the ends of two marks that lie on edges are apart at
// most, whichever way the edges run; −1 when one of them is not there.
func apartOnEdges(p, q *pattern.Piece, a, b pattern.Mark) float64 {
	i, j := edgeNamed(p, a.Edge), edgeNamed(q, b.Edge)
	if i < 0 || j < 0 {
		return -1
	}
	on, of := p.EdgePath(i), q.EdgePath(j)
	from, to := on.PointAt(a.From), on.PointAt(a.To)
	first, second := of.PointAt(b.From), of.PointAt(b.To)
	return math.Min(math.Max(from.Dist(first), to.Dist(second)), math.Max(from.Dist(second), to.Dist(first)))
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
