package geom

import (
	"cmp"
	"math"
	"slices"
)

// dropOverlaps trims or drops stretches that overlap better ones on either
// ring. Two curves that meet smoothly are both near a third for a few
// tolerances beyond their meeting; the two sides of a slit, a dart or a strip
// narrower than the tolerance are both near either along its whole length.
func dropOverlaps(a, b Ring, s []Stretch, tol float64) []Stretch {
	rankStretches(a, s, tol)
	onA := rivals(s, len(a), spanOnA)
	onB := rivals(s, len(b), spanOnB)
	kept := make([][]Stretch, len(s))
	var all []Stretch
	for k, x := range s {
		parts := []Stretch{x}
		for _, r := range onA[k] {
			for _, y := range kept[r] {
				parts = cutParts(parts, a, b, y, Stretch.trimA)
			}
		}
		for _, r := range onB[k] {
			for _, y := range kept[r] {
				parts = cutParts(parts, a, b, y, Stretch.trimB)
			}
		}
		for _, p := range parts {
			if p.A1 > p.A0 && a[p.A].Part(p.A0, p.A1).hull() > breakpointGap {
				kept[k] = append(kept[k], p)
			}
		}
		all = append(all, kept[k]...)
	}
	return all
}

func spanOnA(s Stretch) (curve int, lo, hi float64) { return s.A, s.A0, s.A1 }

func spanOnB(s Stretch) (curve int, lo, hi float64) { return s.B, min(s.B0, s.B1), max(s.B0, s.B1) }

// ranked is a stretch with what decides which of two that overlap stays.
type ranked struct {
	Stretch
	length  float64 // mm, between its ends
	against bool    // it runs the way that fewer do
}

// rankStretches sorts stretches by which stays. Those that run the way most
// do, by length and the more the closer they lie, come first: two outlines run
// alike on the whole, or opposite ways, and the other side of a slit runs the
// other way. Then the longer comes first, and among those whose lengths differ
// by no more than what moving their ends within the tolerance makes of them,
// the one that deviates less.
func rankStretches(a Ring, s []Stretch, tol float64) {
	list := make([]ranked, len(s))
	alike := 0.0
	for k, x := range s {
		list[k] = ranked{Stretch: x, length: a[x.A].At(x.A0).Dist(a[x.A].At(x.A1)), against: x.B0 > x.B1}
		weight := list[k].length
		if tol > 0 {
			weight = float64(weight * (1 - x.Deviation/float64(2*tol)))
		}
		if list[k].against {
			weight = -weight
		}
		alike += weight
	}
	for k := range list {
		list[k].against = list[k].against != (alike < 0)
	}
	slices.SortStableFunc(list, func(x, y ranked) int {
		if x.against != y.against {
			if y.against {
				return -1
			}
			return 1
		}
		return cmp.Compare(y.length, x.length)
	})
	for from := 0; from < len(list); {
		first, to := list[from], from+1
		for to < len(list) && list[to].against == first.against && list[to].length >= first.length-float64(2*tol) {
			to++
		}
		slices.SortStableFunc(list[from:to], func(x, y ranked) int { return cmp.Compare(x.Deviation, y.Deviation) })
		from = to
	}
	for k := range list {
		s[k] = list[k].Stretch
	}
}

// rivals lists for each stretch those before it in the list whose spans on one
// ring overlap its own. Method: the spans of each curve sorted by their start.
func rivals(s []Stretch, curves int, span func(Stretch) (int, float64, float64)) [][]int {
	type on struct {
		lo, hi float64
		k      int
	}
	byCurve := make([][]on, curves)
	for k, x := range s {
		i, lo, hi := span(x)
		byCurve[i] = append(byCurve[i], on{lo, hi, k})
	}
	out := make([][]int, len(s))
	for _, list := range byCurve {
		slices.SortFunc(list, func(x, y on) int { return cmp.Or(cmp.Compare(x.lo, y.lo), cmp.Compare(x.k, y.k)) })
		for i, x := range list {
			for _, y := range list[i+1:] {
				if y.lo >= x.hi {
					break
				}
				later := max(x.k, y.k)
				out[later] = append(out[later], min(x.k, y.k))
			}
		}
	}
	for k := range out {
		slices.Sort(out[k])
	}
	return out
}

// cutParts cuts off each part of a stretch what y already holds. A part that
// runs on beyond y on both sides becomes two.
func cutParts(parts []Stretch, a, b Ring, y Stretch, trim func(x Stretch, c, d Cubic, y Stretch) (before, after Stretch)) []Stretch {
	out := parts[:0:0]
	for _, x := range parts {
		before, after := trim(x, a[x.A], b[x.B], y)
		for _, p := range [2]Stretch{before, after} {
			if p.A1 > p.A0 {
				out = append(out, p)
			}
		}
	}
	return out
}

// trimA returns what is left of x before and after the span y holds of their
// common curve of A; what is empty has A0 = A1.
func (x Stretch) trimA(c, d Cubic, y Stretch) (before, after Stretch) {
	if x.A1 <= y.A0 || x.A0 >= y.A1 {
		return x, Stretch{}
	}
	if x.A0 < y.A0 {
		before = x
		before.A1 = y.A0
		before.B1 = d.nearestWithin(x.B0, x.B1, c.At(y.A0))
	}
	if x.A1 > y.A1 {
		after = x
		after.A0 = y.A1
		after.B0 = d.nearestWithin(x.B0, x.B1, c.At(y.A1))
	}
	return before, after
}

// nearestWithin is the parameter between two others at which the curve is
// nearest to a place; it may pass there at another time too.
func (c Cubic) nearestWithin(t, u float64, at Point) float64 {
	lo, hi := math.Min(t, u), math.Max(t, u)
	x, _ := c.Part(lo, hi).Nearest(at)
	return lo + float64(x*(hi-lo))
}

// trimB is trimA for the common curve of B.
func (x Stretch) trimB(c, d Cubic, y Stretch) (before, after Stretch) {
	_, xl, xh := spanOnB(x)
	_, yl, yh := spanOnB(y)
	if xh <= yl || xl >= yh {
		return x, Stretch{}
	}
	same := x.B1 > x.B0
	part := func(u float64, low bool) Stretch {
		p, t := x, c.nearestWithin(x.A0, x.A1, d.At(u))
		if same == low {
			p.A1, p.B1 = t, u
		} else {
			p.A0, p.B0 = t, u
		}
		return p
	}
	if xl < yl {
		before = part(yl, true)
	}
	if xh > yh {
		after = part(yh, false)
	}
	return before, after
}
