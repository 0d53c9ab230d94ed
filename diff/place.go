package diff

import (
	"math"
	"slices"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// leastMatched is the share of the old outline that a pose has to make
// coincide to count.
const leastMatched = 0.3

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
	c.turnedAsStored = c.turnedOver()
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
		if lies >= 0.5 && best < 2 && !c.turnedAsStored {
			return nil
		}
	}
	if c.lies = c.nearBy(); c.lies || lies >= leastLying {
		best = c.costAt(geom.Motion{}) + c.stays()
	}
	candidates := c.likelyPoses()
	chosen, equal, cost := c.cheapest(candidates, best)
	if cost > enoughKnown || c.tol > sameWithin {
		candidates = append(candidates, c.laidOver(a.Ring, b.Ring, candidates)...)
		chosen, equal, _ = c.cheapest(candidates, best)
	}
	if chosen.Identity() {
		return nil
	}
	chosen = c.grainStays(chosen)
	c.now, c.pose = now.Moved(chosen), chosen
	c.d.Placement = placement(chosen)
	for _, m := range equal {
		c.d.OtherPlacements = append(c.d.OtherPlacements, placement(m))
	}
	return nil
}

// likelyPoses lists the poses that edges, and what lies inside the piece, speak
// for.
func (c *comparison) likelyPoses() []geom.Motion {
	all := c.edgePoses(c.now)
	for _, m := range c.insidePoses() {
		if !slices.ContainsFunc(all, func(n geom.Motion) bool { return sameLaying(m, n, c.now) }) {
			all = append(all, m)
		}
	}
	return all
}

const (
	// equalCost: poses whose costs differ by less are equally good.
	equalCost = 0.01

	// mirrorCost: of a symmetric piece it is not said that it was turned over.
	mirrorCost = 0.02

	// againstIDs is what turning a piece over costs whose edges, known by their
	// ids, follow each other as they did: less than a change, more than a mark.
	againstIDs = 0.6

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

const (
	// leastLying is the share of the old outline that has to lie where it was
	// for comparing the two as they lie to be worth a look whatever the rest does.
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
func (c *comparison) stays() float64 {
	cost := c.strayCost(geom.Motion{})
	if c.turnedAsStored { // it is turned over to be so: lying as it does is no less
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
		cost += movedCost + c.halfMoved(m) + c.leftMarks(m)
		switch {
		case m.Mirror && c.sameWayRound():
			cost += againstIDs
		case m.Mirror && !c.turnedAsStored:
			cost += mirrorCost
		case !m.Mirror && c.turnedAsStored:
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
	for _, s := range c.tryAt(m).x.Spreads {
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

// redrawnCost is what an edge that nothing simple explains costs besides, where
// poses are compared: of two that need as much the one that leaves nothing
// unexplained is the one meant.
const redrawnCost = 0.25

// Cost says what it takes to make now of old, both laid as they are: about one
// for each change, more for an edge that nothing simple explains.
func Cost(old, now *pattern.Piece) float64 {
	c := &comparison{old: old, now: now, tol: tolerance(old, now)}
	x, _ := c.explained()
	return x.Cost() + redrawnCost*float64(x.Unexplained())
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
