package diff

import (
	"math"

	"toile/diff/explain"
	"toile/geom"
)

// tried is how the outline is explained with the new state laid in one pose,
// and within how many mm an edge counts as kept then.
type tried struct {
	x      *explain.Explanation
	within float64
	cost   float64
}

// contraryCost is what an edge costs that a pose has continue another one than
// its id or its name says: less than any change, so that it only decides
// between poses that explain the outline as well, as those of a symmetric piece.
const contraryCost = 0.04

// tryAt explains the outline with the new state moved so, once for each pose.
func (c *comparison) tryAt(m geom.Motion) tried {
	if t, ok := c.poses[m]; ok {
		return t
	}
	now := c.now
	if !m.Identity() {
		now = now.Moved(m)
	}
	trial := &comparison{old: c.old, now: now, tol: c.tol}
	t := tried{}
	t.x, t.within = trial.explained()
	t.cost = t.x.Cost() + contraryCost*float64(contrary(t.x, trial.hints()))
	if c.poses == nil {
		c.poses = map[geom.Motion]tried{}
	}
	c.poses[m] = t
	return t
}

// costAt is what the changes cost with the new state moved so.
func (c *comparison) costAt(m geom.Motion) float64 { return c.tryAt(m).cost }

// contrary counts the new edges that continue another old edge than the one
// their id or name says.
func contrary(x *explain.Explanation, hints []int) int {
	n := 0
	for i := range x.Edges {
		e := &x.Edges[i]
		for _, j := range e.New {
			if e.Old >= 0 && hints[j] >= 0 && hints[j] != e.Old && e.Into < 0 {
				n++
			}
		}
	}
	return n
}

// halfMovedCost is what a pose costs besides that leaves half of the edges or
// more changed all the same, where the piece may as well lie where it did: one
// let out all round has not slid and been let out twice as much on two sides.
const halfMovedCost = 0.9

// halfMoved is that cost of a pose.
func (c *comparison) halfMoved(m geom.Motion) float64 {
	x := c.tryAt(m).x
	changed, old := 0, len(c.old.Edges)
	for i := range x.Edges[:old] {
		if e := &x.Edges[i]; e.Changed() || len(e.New) == 0 {
			changed++
		}
	}
	if !c.lies || 2*changed < old {
		return 0
	}
	return halfMovedCost
}

const (
	// nearWithin in mm: an edge that was altered where it lies is seldom farther
	// from where it was.
	nearWithin = 100.0

	// nearTurned in radians: nor is it turned by more.
	nearTurned = math.Pi / 9

	// nearShare is the share of the old outline that has to lie near the new one
	// for comparing the two as they lie to be worth a look.
	nearShare = 0.6

	// nearPlaces is at how many places of an edge that is looked at.
	nearPlaces = 5
)

// nearBy reports whether the new outline runs about where the old one does and
// the same way round, as where all edges were altered a little.
func (c *comparison) nearBy() bool {
	near, all := 0.0, 0.0
	now := make([]geom.Path, len(c.now.Edges))
	for j := range now {
		now[j] = c.now.EdgePath(j)
	}
	for i := range c.old.Edges {
		p := c.old.EdgePath(i)
		length := p.Length()
		for k := range nearPlaces {
			at := length * (float64(k) + 0.5) / nearPlaces
			if runsNear(now, p.PointAt(at), p.TangentAt(at)) {
				near += length
			}
			all += length
		}
	}
	return near >= nearShare*all
}

// runsNear reports whether one of the paths passes a place in about a direction.
func runsNear(paths []geom.Path, place, dir geom.Point) bool {
	for _, q := range paths {
		if at, off := q.Nearest(place); off <= nearWithin && math.Abs(geom.AngleBetween(dir, q[at.Curve].Tangent(at.T))) <= nearTurned {
			return true
		}
	}
	return false
}

// settled is the explanation of the pose that was chosen, found already where
// poses were weighed.
func (c *comparison) settled() (*explain.Explanation, float64) {
	if t, ok := c.poses[c.pose]; ok {
		return t.x, t.within
	}
	return c.explained()
}
