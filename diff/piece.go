package diff

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
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
	c := &comparison{old: old, tol: tolerance(old, now), unit: p.Unit}
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
	d        change.PieceDiff
	x        *explain.Explanation
	opened   bool     // the old state was opened out at its fold
	turned   bool     // it was turned over for the wearer's other side
	edgeOf   [2][]int // for each curve of either drawn outline, the index of its edge
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

// unfold opens the old state out where the new one is no longer cut on the
// fold, and tells so.
func (c *comparison) unfold(now *pattern.Piece) {
	if c.old.Cut != pattern.CutOnFold || now.Cut == pattern.CutOnFold || slices.ContainsFunc(now.Edges, func(e pattern.Edge) bool { return e.Fold }) {
		return
	}
	whole, ok := unfolded(c.old)
	if !ok {
		return
	}
	fold := c.old.EdgePath(slices.IndexFunc(c.old.Edges, func(e pattern.Edge) bool { return e.Fold }))
	c.old, c.opened = whole, true
	c.add(change.Change{Kind: change.PieceUnfolded, Line: line(fold), OldPath: fold,
		Says: "opened out at the fold, to be cut once, flat"})
}

// otherSide reports whether the piece was for one side of the wearer and is now
// for the other; then it was turned over rather than not.
func (c *comparison) otherSide() bool {
	return c.old.Side != "" && c.now.Side != "" && c.old.Side != c.now.Side
}

// tellTurned tells of a piece that was turned over to serve the other side.
func (c *comparison) tellTurned() {
	if c.d.Placement.Mirrored && c.otherSide() {
		c.add(change.Change{Kind: change.PieceMirrored, Before: c.old.Side, After: c.now.Side,
			Says: fmt.Sprintf("turned over: it was for the wearer's %s and is for the %s", c.old.Side, c.now.Side)})
		c.turned = true
	}
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

// leastMatched is the share of the old outline that a pose has to make
// coincide to count.
const leastMatched = 0.3

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

// movedCost is what lying elsewhere on the sheet costs, in changes: a piece is
// far more often altered where it lies than moved, and two changes told as
// they lie are better than one told of a piece that slid. One that slid whole
// along its own sides is told so.
const movedCost = 1.2

// place lays the new state onto the old one's sheet, in the way that needs the
// fewest changes. An outline of which half lies where it was and that needs
// one change at most has not been moved.
func (c *comparison) place(now *pattern.Piece) error {
	c.now = now
	a, err := c.old.Outline()
	if err != nil {
		return err
	}
	b, err := now.Outline()
	if err != nil {
		return err
	}
	lies := matchedLength(a.Ring, geom.Match(a.Ring, b.Ring, max(c.tol, keptWithin))) / a.Ring.Length()
	best := math.Inf(1)
	if lies >= leastLying {
		best = c.costAt(geom.Motion{})
		if lies >= 0.5 && best < 2 && !c.otherSide() {
			return nil
		}
	}
	candidates := c.edgePoses(now)
	for _, m := range c.insidePoses() {
		if !slices.ContainsFunc(candidates, func(n geom.Motion) bool { return sameLaying(m, n, now) }) {
			candidates = append(candidates, m)
		}
	}
	chosen, equal, cost := c.cheapest(candidates, best+c.stays(lies))
	if cost > enoughKnown || c.tol > sameWithin {
		candidates = append(candidates, c.laidOver(a.Ring, b.Ring, candidates)...)
		chosen, equal, _ = c.cheapest(candidates, best+c.stays(lies))
	}
	if chosen.Identity() {
		return nil
	}
	chosen = c.grainStays(chosen)
	c.now = now.Moved(chosen)
	c.d.Placement = placement(chosen)
	for _, m := range equal {
		c.d.OtherPlacements = append(c.d.OtherPlacements, placement(m))
	}
	return nil
}

const (
	// equalCost: poses whose costs differ by less are equally good.
	equalCost = 0.01

	// mirrorCost: of a symmetric piece it is not said that it was turned over.
	mirrorCost = 0.02

	// sideCost is what not being turned over costs a piece that was for one side
	// of the wearer and is for the other: less than a mark that lies elsewhere.
	sideCost = 0.05

	// stray is what a pose costs in which nothing inside the piece lies where it
	// was; less than any change, so that it decides between poses that explain
	// the outline equally well.
	stray = 0.9

	// strayAt in mm: a notch, mark or grain line so far from any of the old ones
	// does not lie where it was.
	strayAt = 4.0
)

// strayCost weighs how far notches, marks, the grain line and the fold would
// lie from the old ones with the new state moved so.
func (c *comparison) strayCost(m geom.Motion) float64 {
	then, now := landmarks(c.old), landmarks(c.now)
	sum, n := 0.0, 0
	for _, kind := range slices.Sorted(maps.Keys(then)) { // sums depend on the order
		for _, p := range then[kind] {
			nearest := strayAt
			for _, q := range now[kind] {
				nearest = math.Min(nearest, m.Apply(q).Dist(p))
			}
			sum, n = sum+nearest, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return stray * sum / (strayAt * float64(n))
}

// landmarks lists the places inside a piece by what lies there.
func landmarks(p *pattern.Piece) map[string][]geom.Point {
	at := map[string][]geom.Point{}
	for _, n := range p.Notches {
		if q, _, _, err := p.NotchPlace(n); err == nil {
			at["notch"] = append(at["notch"], q)
		}
	}
	for _, m := range marksOf(p) {
		if m.Edge == "" {
			at[string(m.Kind)] = append(at[string(m.Kind)], anchor(m))
		}
	}
	for i, e := range p.Edges {
		if e.Fold {
			path := p.EdgePath(i)
			at["fold"] = append(at["fold"], path.PointAt(path.Length()/2))
		}
	}
	if g := p.Grain; g != nil && g.OneWay {
		at["grain"] = append(at["grain"], g.From, g.To)
	} else if g != nil { // either way up
		at["grain"] = append(at["grain"], g.From.Lerp(g.To, 0.25), g.From.Lerp(g.To, 0.75))
	}
	return at
}

const (
	// leastLying is the share of the old outline that has to lie where it was
	// for comparing the two as they lie to be worth a look.
	leastLying = 0.1

	// mostPoses bounds how many poses are explained besides the best.
	mostPoses = 4
)

func placement(m geom.Motion) change.Placement {
	return change.Placement{DX: change.Figure(m.Shift.X), DY: change.Figure(m.Shift.Y),
		Turn: change.Figure(geom.InDegrees(m.Turn)), Mirrored: m.Mirror}
}

// enoughKnown: an explanation that costs no more needs no pose that only
// laying the outlines over each other as a whole can find.
const enoughKnown = 3.3

// stays is what lying as it does costs besides its changes.
func (c *comparison) stays(lies float64) float64 {
	if lies < leastLying {
		return 0
	}
	cost := c.strayCost(geom.Motion{})
	if c.otherSide() { // it is turned over to be so: lying as it does is no less
		cost += movedCost + sideCost
	}
	return cost
}

// laidOver lists the poses found by laying the whole outlines over each other,
// those left out that are known.
func (c *comparison) laidOver(a, b geom.Ring, known []geom.Motion) []geom.Motion {
	pose, others, err := match.LayOver(a, b, c.tol, match.Options{AllowMirror: true, OldMarks: places(c.old), NewMarks: places(c.now)})
	if err != nil {
		return nil // nothing to lay by: compare as they lie
	}
	var found []geom.Motion
	for k, p := range append([]match.Pose{pose}, others...) {
		if p.Matched >= leastMatched && k <= mostPoses &&
			!slices.ContainsFunc(known, func(n geom.Motion) bool { return sameLaying(p.Motion, n, c.now) }) {
			found = append(found, p.Motion)
		}
	}
	return found
}

// cheapest chooses among poses and returns what the choice costs; a pose has
// to cost less than lying as it does, best.
func (c *comparison) cheapest(candidates []geom.Motion, best float64) (chosen geom.Motion, equal []geom.Motion, cost float64) {
	for _, m := range candidates {
		if m.Identity() {
			continue
		}
		cost := c.costAt(m) + c.strayCost(m)
		cost += movedCost
		switch {
		case m.Mirror && !c.otherSide():
			cost += mirrorCost
		case !m.Mirror && c.otherSide():
			cost += sideCost
		}
		switch {
		case cost < best-equalCost:
			best, chosen, equal = cost, m, nil
		case cost < best+equalCost && !chosen.Identity():
			equal = append(equal, m)
		}
	}
	return chosen, equal, best
}

// grainStays lays a piece that was spread so that the part with the fold, or
// else the grain, is the one that stayed.
func (c *comparison) grainStays(m geom.Motion) geom.Motion {
	trial := &comparison{old: c.old, now: c.now.Moved(m), tol: c.tol}
	x, _ := trial.explained()
	for _, s := range x.Spreads {
		if c.mainPartMoved(s) {
			return m.Then(s.Motion.Inverse())
		}
	}
	return m
}

// mainPartMoved reports whether the fold, else the middle of the grain line,
// lies in the part that a spread moved: to the left of the line from its first
// end to the other.
func (c *comparison) mainPartMoved(s explain.Spread) bool {
	n := len(c.old.Edges)
	if f := slices.IndexFunc(c.old.Edges, func(e pattern.Edge) bool { return e.Fold }); f >= 0 && f != s.First && f != s.Last {
		return (f-s.First+n)%n < (s.Last-s.First+n)%n
	}
	g := c.old.Grain
	return g != nil && s.Line[1].Sub(s.Line[0]).Cross(g.From.Lerp(g.To, 0.5).Sub(s.Line[0])) < 0
}

// costAt is what the changes cost with the new state moved so.
func (c *comparison) costAt(m geom.Motion) float64 {
	now := c.now
	if !m.Identity() {
		now = now.Moved(m)
	}
	trial := &comparison{old: c.old, now: now, tol: c.tol}
	x, _ := trial.explained()
	return x.Cost()
}

// places lists where a piece's notches and marks lie, which decide between
// poses that explain its outline equally well.
func places(p *pattern.Piece) []geom.Point {
	var at []geom.Point
	for _, n := range p.Notches {
		if q, _, _, err := p.NotchPlace(n); err == nil {
			at = append(at, q)
		}
	}
	for _, m := range p.Marks {
		if m.Edge == "" {
			at = append(at, anchor(m))
		}
	}
	if p.Grain != nil {
		at = append(at, p.Grain.From, p.Grain.To)
	}
	return at
}

func matchedLength(a geom.Ring, stretches []geom.Stretch) float64 {
	sum := 0.0
	for _, s := range stretches {
		sum += a[s.A].LengthBetween(s.A0, s.A1)
	}
	return sum
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
	c.d.Overlap, c.edgeOf = o, [2][]int{a.Edge, b.Edge}
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

// add appends a change.
func (c *comparison) add(ch change.Change) {
	if ch.Edges == nil {
		ch.Edges = []string{}
	}
	ch.Fit = change.Figure(ch.Fit)
	c.d.Changes = append(c.d.Changes, ch)
}
