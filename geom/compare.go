package geom

import (
	"fmt"
	"math"
	"sort"
)

// Compare lays two outlines over each other as they are and says what each
// covers. tol is the distance in mm within which two stretches count as the
// same (0.01 for stored outlines; 0 only where they agree to the bit). Both
// rings must run clockwise and not cross themselves; they may touch.
//
// Method: matched stretches share one flattening; one arrangement on a fixed
// grid of 2⁻¹⁶ mm gives every region; areas are taken from the true curves,
// cut at their true meetings. Areas agree with those of the outlines within
// 1e-3 mm² + 1e-4·L, L being the length in mm on which curves that are not
// matched run within 1e-4 mm (2·fineChord) of each other: at slow crossings
// alone when tol is 1e-4 mm or more, so that 1e-3 mm² holds; with a lower tol
// it may be all of the outline (seen then: 3e-6·L). A region is left out where
// its true curves enclose nothing, because nearer than that they lie in another
// order than their chords; no other is, however narrow: a sliver tells itself
// by its Width. Area and width are always positive.
//
// Where an outline, a slit or a dart is narrower than tol, either side is near
// the other's match too. Each is matched with what runs the same way, so that
// an outline and itself are the same; one that is wider or narrower by up to
// tol has the difference in Matched, none of it added or removed.
//
// An error says where a ring is open, runs anticlockwise or crosses itself (in
// loops wider than 2e-4 mm), that a place lies more than 4096 mm from the
// middle of the pair, or that tol is negative or no finite number.
func Compare(a, b Ring, tol float64) (Overlap, error) {
	if !(tol >= 0) || math.IsInf(tol, 0) {
		return Overlap{}, fmt.Errorf("a tolerance of %v mm cannot tell what coincides; it has to be 0 or more, and finite", tol)
	}
	for _, r := range []Ring{a, b} {
		if err := r.closed(); err != nil {
			return Overlap{}, err
		}
		if area := r.Area(); area <= 0 {
			return Overlap{}, fmt.Errorf("an outline runs anticlockwise (its area is %.3f mm²); turn it round", area)
		}
	}
	o := Overlap{Stretches: Match(a, b, tol)}
	for _, s := range o.Stretches {
		o.Deviation = max(o.Deviation, s.Deviation)
	}
	curves := share(a, b, o.Stretches)
	origin := a.Box().Union(b.Box()).Centre()
	o.Matched = b.Area() - sharedArea(curves, origin)
	arr, err := arrange(curves, origin, fineChord)
	if err != nil {
		return Overlap{}, err
	}
	if err := arr.windOnce(a, b); err != nil {
		return Overlap{}, err
	}
	o.Added = arr.regions(func(w [2]int) bool { return w[0] == 0 && w[1] != 0 })
	o.Removed = arr.regions(func(w [2]int) bool { return w[0] != 0 && w[1] == 0 })
	o.Kept = arr.regions(func(w [2]int) bool { return w[0] != 0 && w[1] != 0 })
	o.AddedArea, o.RemovedArea, o.KeptArea = total(o.Added), total(o.Removed), total(o.Kept)
	o.Matched += arr.loops()
	return o, nil
}

// loops returns by how much the area that the second outline winds round
// counts more often than once. Its matched stretches lie on the first's, up to
// the tolerance from its own, so that it may run a loop of that size where a
// free part starts.
func (a *arrangement) loops() float64 {
	sum := 0.0
	seen := map[int]bool{0: true, 1: true}
	for _, w := range a.winding {
		if n := w[1]; !seen[n] {
			seen[n] = true
			sum += float64(float64(n-1) * total(a.regions(func(w [2]int) bool { return w[1] == n })))
		}
	}
	return sum
}

// sharedArea returns the area of the second outline with its matched
// stretches replaced by the first one's.
func sharedArea(curves []weighted, origin Point) float64 {
	m := Motion{Shift: origin.Mul(-1)}
	sum := 0.0
	for _, w := range curves {
		sum += float64(float64(w.w[1]) * w.curve.Moved(m).Area())
	}
	return sum
}

func total(regions []Region) float64 {
	sum := 0.0
	for _, r := range regions {
		sum += r.Area
	}
	return sum
}

// closed checks that each curve starts where the one before ends.
func (r Ring) closed() error {
	if len(r) == 0 {
		return fmt.Errorf("an outline has no curves")
	}
	for i, c := range r {
		if !c.Finite() {
			return fmt.Errorf("curve %d of an outline has a coordinate that is no number", i+1)
		}
		before := r[(i+len(r)-1)%len(r)].P3
		if gap := c.P0.Dist(before); gap > 1e-9 {
			return fmt.Errorf("an outline is open: curve %d starts %.4g mm from the end of the one before, at (%.3f, %.3f)", i+1, gap, c.P0.X, c.P0.Y)
		}
	}
	return nil
}

// share cuts both rings at their matched stretches and lists each part once:
// a matched stretch as A's curve with B's weight on it too, free parts with
// the weight of their own ring. Where B's end of a stretch lies off A's, a
// joint of at most the tolerance closes the gap.
func share(a, b Ring, stretches []Stretch) []weighted {
	curves := freeParts(a, stretches, func(s Stretch) (int, float64, float64) { return s.A, s.A0, s.A1 }, 0)
	for _, s := range stretches {
		w := 1
		if s.B0 > s.B1 {
			w = -1
		}
		curves = append(curves, weighted{curve: a[s.A].Part(s.A0, s.A1), w: [2]int{1, w}, side: Side{Curve: s.A}})
	}
	free := freeParts(b, stretches, func(s Stretch) (int, float64, float64) {
		return s.B, min(s.B0, s.B1), max(s.B0, s.B1)
	}, 1)
	curves = append(curves, free...)
	curves = append(curves, joints(a, b, stretches)...)
	return closeEnds(curves)
}

// freeParts returns the parts of a ring that no stretch covers.
func freeParts(r Ring, stretches []Stretch, span func(Stretch) (int, float64, float64), which int) []weighted {
	taken := make([][][2]float64, len(r))
	for _, s := range stretches {
		i, t0, t1 := span(s)
		taken[i] = append(taken[i], [2]float64{t0, t1})
	}
	var out []weighted
	for i, c := range r {
		spans := taken[i]
		sort.Slice(spans, func(x, y int) bool { return spans[x][0] < spans[y][0] })
		at := 0.0
		add := func(to float64) {
			if to > at {
				w := weighted{curve: c.Part(at, to), side: Side{OfB: which == 1, Curve: i}}
				w.w[which] = 1
				out = append(out, w)
			}
		}
		for _, s := range spans {
			add(s[0])
			at = s[1]
		}
		add(1)
	}
	return out
}

// joints runs once around B and adds a straight joint wherever its next part
// does not start where the last one ended, because one of them is A's.
func joints(a, b Ring, stretches []Stretch) []weighted {
	type part struct{ start, end Point }
	byCurve := make([][]Stretch, len(b))
	for _, s := range stretches {
		byCurve[s.B] = append(byCurve[s.B], s)
	}
	var parts []part
	for j, c := range b {
		list := byCurve[j]
		lo := func(s Stretch) float64 { return min(s.B0, s.B1) }
		sort.Slice(list, func(x, y int) bool { return lo(list[x]) < lo(list[y]) })
		at := 0.0
		for _, s := range list {
			if lo(s) > at {
				free := c.Part(at, lo(s))
				parts = append(parts, part{free.P0, free.P3})
			}
			shared := a[s.A].Part(s.A0, s.A1)
			if s.B0 > s.B1 {
				shared = shared.Reverse()
			}
			parts = append(parts, part{shared.P0, shared.P3})
			at = max(s.B0, s.B1)
		}
		if at < 1 {
			free := c.Part(at, 1)
			parts = append(parts, part{free.P0, free.P3})
		}
	}
	var out []weighted
	for i, p := range parts {
		before := parts[(i+len(parts)-1)%len(parts)].end
		if before != p.start {
			out = append(out, weighted{curve: Line(before, p.start), w: [2]int{0, 1}, side: Side{OfB: true, Curve: -1}})
		}
	}
	return out
}

// closeEnds gives ends that differ by rounding alone one common place, so
// that they fall on one grid point. Joints shorter than that vanish.
func closeEnds(curves []weighted) []weighted {
	const rounding = 1e-9
	type cell struct{ x, y int64 }
	known := map[cell][]Point{}
	fix := func(p Point) Point {
		c := cell{int64(p.X * 1e6), int64(p.Y * 1e6)}
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for _, q := range known[cell{c.x + dx, c.y + dy}] {
					if p.Dist(q) <= rounding {
						return q
					}
				}
			}
		}
		known[c] = append(known[c], p)
		return p
	}
	out := curves[:0]
	for _, w := range curves {
		w.curve.P0, w.curve.P3 = fix(w.curve.P0), fix(w.curve.P3)
		if w.side.Curve == -1 && w.curve.P0 == w.curve.P3 {
			continue
		}
		out = append(out, w)
	}
	return out
}

// Cover returns the regions that the ring winds around at least once
// clockwise: the ring itself when it does not cross itself, else what is left
// of it when loops that run the other way are dropped and overlaps are laid
// together. Method and accuracy as for Compare.
func Cover(r Ring) ([]Region, error) {
	if err := r.closed(); err != nil {
		return nil, err
	}
	arr, err := r.arranged()
	if err != nil {
		return nil, err
	}
	return arr.regions(func(w [2]int) bool { return w[0] > 0 }), nil
}

// arranged is the arrangement of one closed ring.
func (r Ring) arranged() (*arrangement, error) {
	curves := make([]weighted, len(r))
	for i, c := range r {
		curves[i] = weighted{curve: c, w: [2]int{1, 0}, side: Side{Curve: i}}
	}
	return arrange(closeEnds(curves), r.Box().Centre(), fineChord)
}
