package diff

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// sameWithin is the distance in mm within which two stored outlines are the
// same; an outline traced from noisy points counts three times what it was
// drawn within.
const sameWithin = 0.01

// tolerance returns the distance within which the two pieces' outlines count
// as the same.
func tolerance(old, now *pattern.Piece) float64 {
	return math.Max(sameWithin, 3*math.Max(old.DrawnWithin, now.DrawnWithin))
}

// Pieces compares two states of a piece; either may be nil for a piece that
// was added or removed. Words use the unit of the pattern p.
func Pieces(old, now *pattern.Piece, p *pattern.Pattern) (change.PieceDiff, error) {
	return piecesAt(old, now, p, nil)
}

// piecesAt is Pieces with the new state laid by a motion that is known.
func piecesAt(old, now *pattern.Piece, p *pattern.Pattern, at *geom.Motion) (change.PieceDiff, error) {
	switch {
	case old == nil:
		return oneSided(now, change.Added, 1)
	case now == nil:
		return oneSided(old, change.Removed, 0)
	}
	if at == nil && reflect.DeepEqual(old, now) {
		return unchanged(old, now)
	}
	c := &comparison{old: old, tol: tolerance(old, now), unit: p.Unit, limb: p.RoundLimb(now)}
	if at != nil {
		c.now, c.d.Placement = now.Moved(*at), placement(*at)
	} else {
		c.unfold(now)
		if err := c.place(now); err != nil {
			return change.PieceDiff{}, named(old, err)
		}
	}
	if err := c.regions(); err != nil {
		return change.PieceDiff{}, named(old, err)
	}
	c.explainOutline()
	c.tellTurned()
	c.explainCorners()
	c.explainNotches()
	c.explainMarks()
	c.explainSettings()
	c.explainRest()
	c.finish()
	return c.d, nil
}

// named says which piece an error is of, once.
func named(p *pattern.Piece, err error) error {
	var problem *pattern.Problem
	if errors.As(err, &problem) {
		return err
	}
	return fmt.Errorf("%s: %w", p.Name, err)
}

// comparison is one pair of pieces under way.
type comparison struct {
	old, now *pattern.Piece // now laid onto old's sheet
	tol      float64
	explain  float64 // the distance within which an edge's line counts as kept
	unit     units.Unit
	limb     bool // it goes round an arm, or lies on top: of a pair each counts by itself
	d        change.PieceDiff
	x        *explain.Explanation
	pose     geom.Motion           // that laid it there
	poses    map[geom.Motion]tried // those weighed, by what they move the new state as stored by
	lies     bool                  // the new state as stored runs about where the old one does
	opened   bool                  // the old state was opened out at its fold
	turned   bool                  // it was told that it was turned over

	turnedAsStored bool // it was turned over, before it was laid
}

// unchanged describes a piece that is stored alike in both states: nothing is
// looked for.
func unchanged(old, now *pattern.Piece) (change.PieceDiff, error) {
	d := change.PieceDiff{Piece: now.Name, State: change.Same, Old: old, New: now, Edges: []change.EdgeLength{}, Changes: []change.Change{}}
	o, err := old.Outline()
	if err != nil {
		return d, named(old, err)
	}
	area := o.Ring.Area()
	d.NetArea, d.Kept = [2]float64{change.Figure(area), change.Figure(area)}, change.Figure(area)
	d.Overlap = geom.Overlap{Kept: []geom.Region{{Rings: []geom.Ring{o.Ring}, Area: area}}, KeptArea: area}
	for i, e := range old.Edges {
		length := change.Figure(old.Length(i))
		d.Edges = append(d.Edges, change.EdgeLength{Edge: e.Name, Length: [2]float64{length, length}})
		d.Continues, d.Became = append(d.Continues, i), append(d.Became, i)
	}
	return d, nil
}

// opensOut reports whether a piece was cut on the fold and is not any more.
func opensOut(old, now *pattern.Piece) bool {
	return old.Cut == pattern.CutOnFold && foldOf(old) >= 0 && now.Cut != pattern.CutOnFold && foldOf(now) < 0
}

// unfold opens the old state out where the new one is no longer cut on the
// fold, and tells so.
func (c *comparison) unfold(now *pattern.Piece) {
	if !opensOut(c.old, now) {
		return
	}
	whole, ok := unfolded(c.old)
	if !ok {
		return
	}
	fold := c.old.EdgePath(foldOf(c.old))
	calledAsNow(whole, now)
	c.old, c.opened = whole, true
	c.add(openedOut(fold))
}

// openedOut tells that a piece was opened out along its fold.
func openedOut(fold geom.Path) change.Change {
	return change.Change{Kind: change.PieceUnfolded, Edges: []string{}, Line: line(fold), OldPath: fold, Says: "opened out at the fold, to be cut once, flat"}
}

// otherSide reports whether the piece was for one side of the wearer and is now
// for the other; then it was turned over rather than not.
func (c *comparison) otherSide() bool {
	return c.old.Side != "" && c.now.Side != "" && c.old.Side != c.now.Side
}

// turnedOver reports whether the piece was turned over as it is stored: to serve
// the other side, or so that its edges, known by their ids, follow each other
// the other way round.
func (c *comparison) turnedOver() bool { return c.otherSide() || idsReversed(c.old, c.now) }

// sameWayRound reports whether the edges that both states share, known by their
// ids, follow each other round the outline in the same order.
func (c *comparison) sameWayRound() bool { return idsInOrder(c.old, c.now, 1) }

// idsReversed reports whether they follow each other in the opposite order.
func idsReversed(old, now *pattern.Piece) bool {
	n := 0
	for _, e := range old.Edges {
		if e.ID != "" && now.EdgeByID(e.ID) >= 0 {
			n++
		}
	}
	return idsInOrder(old, now, n-1)
}

// idsInOrder reports whether the edges that two states share, three at least,
// lie at places in the new outline that fall so many times on the way round the
// old one: once in the same order, at all but one in the opposite.
func idsInOrder(old, now *pattern.Piece, falls int) bool {
	var at []int
	for _, e := range old.Edges {
		if k := now.EdgeByID(e.ID); e.ID != "" && k >= 0 {
			at = append(at, k)
		}
	}
	n := len(at)
	for i := range at {
		if at[(i+1)%n] < at[i] {
			falls--
		}
	}
	return n >= 3 && falls == 0
}

// tellTurned tells of a piece that was turned over.
func (c *comparison) tellTurned() {
	if !c.d.Placement.Mirrored || !c.turnedAsStored {
		return
	}
	says := "turned over"
	if c.otherSide() {
		says = fmt.Sprintf("turned over: it was for the wearer's %s and is for the %s", c.old.Side, c.now.Side)
	}
	c.add(change.Change{Kind: change.PieceMirrored, Before: c.old.Side, After: c.now.Side, Says: says})
	c.turned = true
}

// oneSided describes a piece that is on one side only.
func oneSided(q *pattern.Piece, state change.State, side int) (change.PieceDiff, error) {
	d := change.PieceDiff{Piece: q.Name, State: state, Edges: []change.EdgeLength{}, Changes: []change.Change{}}
	o, err := q.Outline()
	if err != nil {
		return d, err
	}
	region := geom.Region{Rings: []geom.Ring{o.Ring}, Area: o.Ring.Area()}
	d.NetArea[side] = region.Area
	for i, e := range q.Edges {
		l := change.EdgeLength{Edge: e.Name}
		l.Length[side] = change.Figure(q.Length(i))
		d.Edges = append(d.Edges, l)
	}
	if state == change.Added {
		d.New, d.Added = q, region.Area
		d.Overlap.Added, d.Overlap.AddedArea = []geom.Region{region}, region.Area
	} else {
		d.Old, d.Removed = q, region.Area
		d.Overlap.Removed, d.Overlap.RemovedArea = []geom.Region{region}, region.Area
	}
	return d, nil
}

// CutAreas computes the areas inside the cutting lines, which comparing does
// not need.
func CutAreas(pieces []change.PieceDiff) {
	for i := range pieces {
		d := &pieces[i]
		if d.Old != nil {
			d.CutArea[0] = cutArea(d.Old)
		}
		switch {
		case d.State == change.Same:
			d.CutArea[1] = d.CutArea[0]
		case d.New != nil:
			d.CutArea[1] = cutArea(d.New)
		}
	}
}

// cutArea is nil where the piece has no cutting line, as when an allowance is
// wider than a hollow: what changed in its sewing line can be told all the
// same.
func cutArea(q *pattern.Piece) *float64 {
	area, err := q.CutArea(Set)
	if err != nil {
		return nil
	}
	return change.Amount(area)
}

// regions computes areas and the regions between the drawn outlines.
func (c *comparison) regions() error {
	c.d.Piece, c.d.Old, c.d.New = c.old.Name, c.old, c.now
	a, err := c.old.Outline()
	if err != nil {
		return err
	}
	b, err := c.now.Outline()
	if err != nil {
		return err
	}
	o, err := geom.Compare(a.Ring, b.Ring, c.tol)
	if err != nil {
		return err
	}
	c.d.Overlap = o
	c.d.NetArea = [2]float64{a.Ring.Area(), b.Ring.Area()}
	c.d.Added, c.d.Removed, c.d.Kept, c.d.Matched = o.AddedArea, o.RemovedArea, o.KeptArea, o.Matched
	return nil
}

// finish sets the state and rounds the figures.
func (c *comparison) finish() {
	d := &c.d
	if d.Changes == nil {
		d.Changes = []change.Change{}
	}
	c.sayNewNames()
	d.State = change.Same
	onlyName := true
	for _, ch := range d.Changes {
		onlyName = onlyName && ch.Kind == change.NameChanged && len(ch.Edges) == 0 && ch.Mark == ""
	}
	switch {
	case len(d.Changes) > 0 && onlyName:
		d.State = change.Renamed
	case len(d.Changes) > 0:
		d.State = change.Altered
	}
	if c.old.Name != c.now.Name {
		d.Piece, d.Before = c.now.Name, c.old.Name
	}
	for _, v := range []*float64{&d.Added, &d.Removed, &d.Kept, &d.Matched, &d.NetArea[0], &d.NetArea[1]} {
		*v = change.Figure(*v)
	}
}

// sayNewNames adds to the first sentence about the line of a renamed edge what it
// is called now, the name that commands take.
func (c *comparison) sayNewNames() {
	for _, r := range c.d.Changes {
		if r.Kind != change.NameChanged || len(r.Edges) != 1 || r.Edges[0] != r.Before || r.Notch != "" || r.Mark != "" || edgeNamed(c.now, r.Before) >= 0 {
			continue
		}
		then := fmt.Sprintf("%q", r.Before)
		for k := range c.d.Changes {
			if ch := &c.d.Changes[k]; slices.Contains(outlineKinds, ch.Kind) && slices.Contains(ch.Edges, r.Before) && strings.Contains(ch.Says, then) {
				ch.Says = strings.Replace(ch.Says, then, fmt.Sprintf("%s (now %q)", then, r.After), 1)
				break
			}
		}
	}
}

// add appends a change.
func (c *comparison) add(ch change.Change) {
	if ch.Edges == nil {
		ch.Edges = []string{}
	}
	ch.Fit = change.Figure(ch.Fit)
	c.d.Changes = append(c.d.Changes, ch)
}
