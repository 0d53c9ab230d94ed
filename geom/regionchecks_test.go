package geom

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// checkRegions checks each region by itself: finite, closed, its area that of
// its own rings, its sides on the curves they say they come from.
func checkRegions(p outlinePair, o Overlap) error {
	for _, x := range []struct {
		what    string
		regions []Region
		total   float64
	}{{"added", o.Added, o.AddedArea}, {"removed", o.Removed, o.RemovedArea}, {"kept", o.Kept, o.KeptArea}} {
		sum := 0.0
		for i, r := range x.regions {
			if err := checkRegion(p, r); err != nil {
				return fmt.Errorf("region %d of what is %s: %w", i, x.what, err)
			}
			sum += r.Area
		}
		if !(math.Abs(sum-x.total) <= 1e-6) {
			return fmt.Errorf("the regions %s hold %.9f mm² together, stated are %.9f", x.what, sum, x.total)
		}
	}
	return nil
}

func checkRegion(p outlinePair, r Region) error {
	if len(r.Rings) == 0 || len(r.Sides) != len(r.Rings) {
		return fmt.Errorf("%d rings with sides for %d", len(r.Rings), len(r.Sides))
	}
	area, perimeter := 0.0, 0.0
	for k, ring := range r.Rings {
		if len(ring) == 0 || len(r.Sides[k]) != len(ring) {
			return fmt.Errorf("ring %d has %d curves and %d sides", k, len(ring), len(r.Sides[k]))
		}
		for i, c := range ring {
			if !c.Finite() {
				return fmt.Errorf("ring %d, curve %d is not finite: %v", k, i, c)
			}
			if before := ring[(i+len(ring)-1)%len(ring)]; before.P3 != c.P0 {
				return fmt.Errorf("ring %d is open before curve %d by %g mm", k, i, before.P3.Dist(c.P0))
			}
			if err := checkSide(p, c, r.Sides[k][i]); err != nil {
				return fmt.Errorf("ring %d, curve %d: %w", k, i, err)
			}
		}
		inside := ringArea(ring)
		if k == 0 && inside < -areaTarget || k > 0 && inside > areaTarget {
			return fmt.Errorf("ring %d of %d runs the wrong way: %g mm²", k, len(r.Rings), inside)
		}
		area, perimeter = area+inside, perimeter+ring.Length()
	}
	if !(math.Abs(area-r.Area) <= 1e-6) {
		return fmt.Errorf("area %.9f mm², of its rings %.9f", r.Area, area)
	}
	if !(math.Abs(r.Width*perimeter-2*r.Area) <= 1e-6*(1+perimeter)) {
		return fmt.Errorf("width %g mm with area %g and perimeter %g", r.Width, r.Area, perimeter)
	}
	return nil
}

// checkSide holds a side against the curve it says it comes from. Any point of
// that curve bounds the distance from above, so Nearest can only make this
// check too strict.
func checkSide(p outlinePair, c Cubic, s Side) error {
	from := p.a
	if s.OfB {
		from = p.b
	}
	if s.Curve < 0 {
		if l := c.Length(); l > longestJoint {
			return fmt.Errorf("a joint is %g mm long", l)
		}
		return nil
	}
	if s.Curve >= len(from) {
		return fmt.Errorf("comes from curve %d of %d", s.Curve, len(from))
	}
	for _, t := range []float64{0, 0.21, 0.5, 0.77, 1} {
		if _, d := from[s.Curve].Nearest(c.At(t)); !(d <= onCurve) {
			return fmt.Errorf("lies %g mm off the curve it comes from (%+v) at %v", d, s, c.At(t))
		}
	}
	return nil
}

// matchExcess is by how much a stretch may exceed the tolerance between the
// places at which Match looks: seen is 1.065 in one of 64,000 pairs.
const matchExcess = 1.1

// checkStretches checks the matching the areas rest on: within the tolerance
// where it was not sampled before, and no part of an outline matched twice.
func checkStretches(p outlinePair, o Overlap) error {
	var onA, onB []placed
	worst := 0.0
	for k, s := range o.Stretches {
		if !(0 <= s.A0 && s.A0 < s.A1 && s.A1 <= 1 && min(s.B0, s.B1) >= 0 && max(s.B0, s.B1) <= 1 && s.B0 != s.B1) {
			return fmt.Errorf("stretch %d runs from nowhere: %+v", k, s)
		}
		onA = append(onA, placed{s.A, s.A0, s.A1})
		onB = append(onB, placed{s.B, min(s.B0, s.B1), max(s.B0, s.B1)})
		worst = max(worst, s.Deviation)
		for i := range 14 {
			x := (float64(i) + 0.37) / 14
			_, d := p.b[s.B].Nearest(p.a[s.A].At(s.A0 + x*(s.A1-s.A0)))
			_, e := p.a[s.A].Nearest(p.b[s.B].At(s.B0 + x*(s.B1-s.B0)))
			if !(max(d, e) <= matchExcess*pairTolerance) {
				return fmt.Errorf("stretch %d is off by %g mm: %+v", k, max(d, e), s)
			}
		}
	}
	if worst != o.Deviation || worst > pairTolerance {
		return fmt.Errorf("stated deviation %g mm, of the stretches %g", o.Deviation, worst)
	}
	if k, twice := overlapping(onA); twice {
		return fmt.Errorf("a part of A's curve %d is matched twice", k)
	}
	if k, twice := overlapping(onB); twice {
		return fmt.Errorf("a part of B's curve %d is matched twice", k)
	}
	return nil
}

// checkDirection turns B round: the matching covers as much of A as before,
// and a comparison is refused. Done on the pairs whose start was changed.
func checkDirection(p outlinePair, o Overlap) error {
	if p.finish != "started elsewhere" {
		return nil
	}
	turned := p.b.Reverse()
	if _, err := Compare(p.a, turned, pairTolerance); err == nil {
		return fmt.Errorf("an anticlockwise outline was compared")
	}
	covered := func(s []Stretch) float64 {
		sum := 0.0
		for _, x := range s {
			sum += p.a[x.A].LengthBetween(x.A0, x.A1)
		}
		return sum
	}
	if one, other := covered(o.Stretches), covered(Match(p.a, turned, pairTolerance)); !(math.Abs(one-other) <= 2*pairTolerance) {
		return fmt.Errorf("%.4f mm of A are matched, with B turned round %.4f", one, other)
	}
	return nil
}

// placed is a stretch on one curve of an outline.
type placed struct {
	curve    int
	from, to float64
}

func overlapping(s []placed) (curve int, found bool) {
	slices.SortFunc(s, func(x, y placed) int { return cmp.Or(cmp.Compare(x.curve, y.curve), cmp.Compare(x.from, y.from)) })
	for i := 1; i < len(s); i++ {
		if s[i].curve == s[i-1].curve && s[i].from < s[i-1].to {
			return s[i].curve, true
		}
	}
	return 0, false
}
