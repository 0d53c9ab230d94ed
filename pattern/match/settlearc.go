package match

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

// foundArc is a stored corner that the points show drawn round, and where its
// arc begins, has its middle and ends, in mm along the ring.
type foundArc struct {
	k             int
	at            geom.Point // the sharp corner
	radius        float64    // mm
	from, mid, to float64
	gain          float64 // of χ² over the sharp corner
}

// withArcs finds the stored corners that were drawn round and cuts the ring at
// the middle of each arc, where the two edges part; corners found on the arc
// are none. Without that one end of an arc counts as the corner and its points
// as the neighbour's.
//
// Method. Where two stored edges meet, each as it was or as its own points
// away from its ends say it was moved, the points near by are tried against
// both with the arc between that touches them, the radius by least squares. It
// counts where it lies by the points as well as the hand's error allows, and
// clearly better than the corner without it.
func (r Retraced) withArcs() Retraced {
	if len(r.Points) < 8 || len(r.Ring) == 0 || !(r.Sigma > 0) {
		return r
	}
	a := newArcs(r)
	var found []foundArc
	for k := range r.Old {
		if f, ok := a.at(k); ok {
			found = append(found, f)
		}
	}
	found = a.apart(found)
	if len(found) == 0 {
		return r
	}
	return a.cut(found)
}

// arcs looks for roundings on a ring.
type arcs struct {
	settler
	lengths []float64 // mm to the start of each curve of the ring, and its whole
}

func newArcs(r Retraced) *arcs {
	a := &arcs{settler: settler{Retraced: r, together: 1, alone: true, ring: geom.Path(r.Ring)}}
	a.lengths = make([]float64, len(a.ring)+1)
	for i, c := range a.ring {
		a.lengths[i+1] = a.lengths[i] + c.Length()
	}
	a.length = a.lengths[len(a.ring)]
	for i, q := range r.Points {
		at, _ := a.ring.Nearest(q)
		a.settler.at = append(a.settler.at, drawnAt{q, a.lengthTo(at)})
		a.spacing += q.Dist(r.Points[(i+1)%len(r.Points)]) / float64(len(r.Points))
	}
	sort.SliceStable(a.settler.at, func(i, j int) bool { return a.settler.at[i].at < a.settler.at[j].at })
	return a
}

func (a *arcs) lengthTo(at geom.Place) float64 {
	return a.lengths[at.Curve] + a.ring[at.Curve].LengthBetween(0, at.T)
}

// beyond is the length along the ring from one place on to another, in
// (−half, half] of it.
func (a *arcs) beyond(from, to float64) float64 {
	d := math.Mod(to-from+a.length, a.length)
	if d > a.length/2 {
		d -= a.length
	}
	return d
}

// at looks for a rounding of stored corner k.
func (a *arcs) at(k int) (foundArc, bool) {
	before := (k + len(a.Old) - 1) % len(a.Old)
	if before == k || math.Abs(geom.AngleBetween(a.Old[before].EndTangent(), a.Old[k].StartTangent())) < cornerTurn {
		return foundArc{}, false
	}
	first, second := a.linesOf(before), a.linesOf(k)
	for moved := 0; moved <= 2; moved++ {
		best, ok := foundArc{}, false
		for i, p := range first {
			for j, q := range second {
				if min(i, 1)+min(j, 1) != moved {
					continue
				}
				if f, is := a.between(k, p, q); is && (!ok || f.gain > best.gain) {
					best, ok = f, true
				}
			}
		}
		if ok {
			return best, true
		}
	}
	return foundArc{}, false
}

// linesOf lists where stored edge k may run: as it was first, then moved as the
// middle of what continues it shows, or else the longest stretch of points that
// lies beside it at one distance.
func (a *arcs) linesOf(k int) []geom.Path {
	lines := []geom.Path{a.Old[k]}
	for _, points := range [][]geom.Point{a.middleOf(k), a.beside(k)} {
		if len(points) < 8 {
			continue
		}
		x := newScatter(a.Old[k], points)
		if x.farthest() <= a.tolerance() {
			return lines
		}
		for _, m := range a.motions(k, x) {
			if m.kind != asSwung && a.explains(newScatter(m.line, points).out) {
				lines = append(lines, m.line)
			}
		}
		if len(lines) > 1 {
			return lines
		}
	}
	return lines
}

// middleOf lists the points of the middle half of the runs that continue stored
// edge k.
func (a *arcs) middleOf(k int) []geom.Point {
	var points []geom.Point
	for i, of := range a.Of {
		if of != k {
			continue
		}
		from := a.lengths[a.Corners[i]]
		to := a.lengths[a.Corners[(i+1)%len(a.Corners)]]
		if to <= from {
			to += a.length
		}
		quarter := (to - from) / 4
		for _, p := range a.settler.at {
			if at := p.at + a.length*math.Ceil((from-p.at)/a.length); at > from+quarter && at < to-quarter {
				points = append(points, p.q)
			}
		}
	}
	return points
}

// beside lists the longest row of points at one distance from stored edge k that
// follow each other as it runs; nil where that is short.
func (a *arcs) beside(k int) []geom.Point {
	const band, least = 5.0, 0.3 // σ; of the edge
	all := make([]geom.Point, len(a.settler.at))
	for i, p := range a.settler.at {
		all[i] = p.q
	}
	x := newScatter(a.Old[k], append(all, all...))
	best, longest := []geom.Point(nil), least*x.length
	for i := 0; i < len(all); i += 1 + len(all)/2000 {
		lo, hi, j := x.out[i], x.out[i], i
		for ; j+1 < i+len(all); j++ {
			lo, hi = math.Min(lo, x.out[j+1]), math.Max(hi, x.out[j+1])
			if hi-lo > band*a.Sigma || x.along[j+1] < -a.spacing || x.along[j+1] > x.length+a.spacing {
				break
			}
		}
		if d := x.along[j] - x.along[i]; d > longest {
			best, longest = x.points[i:j+1], d
		}
	}
	return best
}

// explains reports whether distances are no more than the hand's error, with
// something for how the drawing was laid.
func (a *arcs) explains(off []float64) bool {
	const most, share = 6.0, 1.6 // σ, of one point and of all on average
	sum := 0.0
	for _, r := range off {
		if math.Abs(r) > most*a.Sigma {
			return false
		}
		sum += r * r
	}
	return sum <= share*share*a.Sigma*a.Sigma*float64(len(off))
}

// between tries the corner k of two lines drawn round.
func (a *arcs) between(k int, before, after geom.Path) (foundArc, bool) {
	const clearly = 4 * priceRound
	at := a.Old[k].Start()
	if before.End() != after.Start() {
		m, ok := meetingOf(before, after, at)
		if !ok || m.At.Dist(at) > carrierReach {
			return foundArc{}, false
		}
		at = m.At
		before, after = cutTo(before, at), cutTo(after.Reverse(), at).Reverse()
	}
	place, _ := a.ring.Nearest(at)
	near := a.lengthTo(place)
	c := roundable{before: before, after: after}
	for _, p := range a.settler.at {
		if d := a.beyond(near, p.at); math.Abs(d) < 2*largestRadius && c.reaches(p.q, d > 0) {
			c.points = append(c.points, p.q)
		}
	}
	if len(c.points) < 8 {
		return foundArc{}, false
	}
	sharp := c.chi(&a.settler, 0)
	if sharp < clearly {
		return foundArc{}, false
	}
	radius := c.fitted(&a.settler)
	off := c.off(radius)
	gain := sharp - a.chi(off)
	if off == nil || gain < clearly || !a.explains(off) {
		return foundArc{}, false
	}
	f := foundArc{k: k, at: at, radius: radius, gain: gain}
	ok := a.placed(&f, c)
	return f, ok
}

// reaches reports whether a point on the side before or after the corner lies
// beside that half of the edge that ends there, no farther off than the largest
// rounding reaches.
func (c roundable) reaches(q geom.Point, after bool) bool {
	p := c.after
	if !after {
		p = c.before.Reverse()
	}
	at, _ := p.Nearest(q)
	return p.LengthTo(at) <= math.Min(largestRadius, p.Length()/2)
}

// placed finds where an arc lies on the ring.
func (a *arcs) placed(f *foundArc, c roundable) bool {
	arc, _, _, err := geom.RoundCorner(c.before, c.after, f.radius)
	if err != nil {
		return false
	}
	length := arc.Length()
	for i, to := range []*float64{&f.from, &f.mid, &f.to} {
		place, off := a.ring.Nearest(arc.PointAt(length * float64(i) / 2))
		if off > 2*a.tolerance()+f.radius/4 { // the ring may cut the arc short
			return false
		}
		*to = a.lengthTo(place)
	}
	first, second := a.beyond(f.from, f.mid), a.beyond(f.mid, f.to)
	return first > 0 && second > 0 && first+second < 1.5*length+4*a.spacing
}

// apart leaves out arcs that lie over one another, those that explain less.
func (a *arcs) apart(found []foundArc) []foundArc {
	slices.SortStableFunc(found, func(p, q foundArc) int {
		if p.gain > q.gain {
			return -1
		}
		return 1
	})
	var out []foundArc
	for _, f := range found {
		if !slices.ContainsFunc(out, func(g foundArc) bool {
			d := a.beyond(f.mid, g.mid)
			if d > 0 {
				return a.beyond(f.mid, f.to)+a.beyond(g.from, g.mid) > d+4*a.spacing
			}
			return a.beyond(g.mid, g.to)+a.beyond(f.from, f.mid) > -d+4*a.spacing
		}) {
			out = append(out, f)
		}
	}
	slices.SortFunc(out, func(p, q foundArc) int { return p.k - q.k })
	return out
}
