package geom

import (
	"cmp"
	"math"
	"slices"
)

// Meeting is a point that two curves share, with its parameter on each.
type Meeting struct {
	T, U float64
	At   Point
}

// meetTolerance is the distance in mm within which two curves count as
// meeting. Rounding at 1e5 mm is about 1.5e-11 mm, so that a true meeting
// passes, and outlines stored at 0.001 mm are never joined by mistake.
const meetTolerance = 1e-9

// overlapTolerance is the distance in mm within which two curves that share
// two ends count as running on each other between them.
const overlapTolerance = 1e-8

// meetFine is the size in mm below which two stretches, at a cusp or an end
// without a handle, are taken for points and not halved further.
const meetFine = 1e-8

// meetSingle is the distance in mm within which two meetings at neighbouring
// parameters are one.
const meetSingle = 1e-7

// meetBudget bounds the pairs of stretches looked at for two curves. A clear
// crossing takes about ten, curves that nearly coincide one to a few dozen, a
// cusp beside another's a few hundred (docs/accuracy.md); all of it is used
// only where rounding exceeds meetTolerance, far beyond 1e5 mm, and ends within
// a millisecond.
const meetBudget = 4000

// MeetLine returns the parameters in [0, 1], rising, at which the curve meets
// the infinite line through a and b, touches included. Method: Newton with a
// bracket on the distance from the line in Bernstein form, between its
// extremes; accuracy 1e-12 mm at a crossing. A curve that lies on the line,
// or a line without a direction, gives none.
func (c Cubic) MeetLine(a, b Point) []float64 {
	dir := b.Sub(a).Unit()
	f := bernstein{dir.Cross(c.P0.Sub(a)), dir.Cross(c.P1.Sub(a)), dir.Cross(c.P2.Sub(a)), dir.Cross(c.P3.Sub(a))}
	lo, hi := slices.Min(f[:]), slices.Max(f[:])
	if lo > meetTolerance || hi < -meetTolerance || (lo > -meetTolerance && hi < meetTolerance) {
		return nil
	}
	return f.roots()
}

// bernstein is a polynomial of degree three on [0, 1] in Bernstein form.
type bernstein [4]float64

func (f bernstein) at(t float64) float64 {
	s := 1 - t
	return float64(s*s*s*f[0]) + float64(3*s*s*t*f[1]) + float64(3*s*t*t*f[2]) + float64(t*t*t*f[3])
}

func (f bernstein) slope(t float64) float64 {
	s := 1 - t
	return float64(3 * (float64(s*s*(f[1]-f[0])) + float64(2*s*t*(f[2]-f[1])) + float64(t*t*(f[3]-f[2]))))
}

// roots returns where |f| falls to nothing, or to within meetTolerance at an
// end or an extreme.
func (f bernstein) roots() []float64 {
	u, v, w := f[1]-f[0], f[2]-f[1], f[3]-f[2]
	cuts := []float64{0}
	for _, t := range quadraticRoots(u-float64(2*v)+w, 2*(v-u), u) {
		if t > 0 && t < 1 {
			cuts = append(cuts, t)
		}
	}
	cuts = append(cuts, 1)
	slices.Sort(cuts)
	var roots []float64
	add := func(t float64) {
		if n := len(roots); n == 0 || t-roots[n-1] > 1e-9 {
			roots = append(roots, t)
		}
	}
	for i, t := range cuts {
		at := f.at(t)
		if i > 0 {
			if was := f.at(cuts[i-1]); math.Abs(was) > meetTolerance && math.Abs(at) > meetTolerance && (was < 0) != (at < 0) {
				add(f.between(cuts[i-1], t))
			}
		}
		if math.Abs(at) <= meetTolerance {
			add(t)
		}
	}
	return roots
}

// between finds the root in a monotone stretch over which the sign changes.
func (f bernstein) between(lo, hi float64) float64 {
	rising := f.at(lo) < 0
	t := (lo + hi) / 2
	for range 80 {
		y := f.at(t)
		if y == 0 {
			return t
		}
		if (y < 0) == rising {
			lo = t
		} else {
			hi = t
		}
		next := (lo + hi) / 2
		if m := f.slope(t); m != 0 {
			if n := t - y/m; n > lo && n < hi {
				next = n
			}
		}
		if math.Abs(next-t) < 1e-16 {
			return next
		}
		t = next
	}
	return t
}

// Meet returns the meetings of two curves in the order of the first, touches
// and common ends included; the curves are within 1e-9 mm of each other there,
// within 1e-12 mm where they cross at an angle. Curves that run on each other,
// within 1e-8 mm, between two shared ends give the two ends of that stretch,
// and no others. Other meetings between which the curves keep within about 1e-8
// mm of each other, as beside a touch of high order, may be given as one. Where
// rounding exceeds that, far beyond 1e5 mm, meetings may be missed. Curves that
// are not finite do not meet.
//
// Method: both curves are halved where their boxes and fat lines overlap
// (Sederberg and Nishita, Curve intersection using Bézier clipping, 1990)
// until either their tangents cannot be parallel, so that there is at most one
// crossing, which Newton's method finds; or they run side by side and the gap
// between them, a quintic, settles it (beside.go), so that curves which nearly
// coincide take no longer than others. What is left, at cusps, is halved down
// to meetFine.
func Meet(a, b Cubic) []Meeting {
	if !a.Finite() || !b.Finite() || !a.HullBox().Grow(meetTolerance).Overlaps(b.HullBox()) {
		return nil
	}
	m := meeter{a: a, b: b, left: meetBudget}
	m.run()
	if len(m.found) < 2 {
		return m.found
	}
	return m.merge()
}

// span is a range of a curve's parameter.
type span [2]float64

func (s span) mid() float64 { return (s[0] + s[1]) / 2 }

// meeter gathers the meetings of two curves. About each, zones holds the range
// of a's parameter in which the curves are within the tolerance, as far as it
// was looked at.
type meeter struct {
	a, b  Cubic
	left  int
	found []Meeting
	zones []span
}

// run finds the meetings, by the simplest way the two curves allow.
func (m *meeter) run() {
	m.ends()
	aStraight, bStraight := m.a.evenlyStraight(), m.b.evenlyStraight()
	switch {
	case m.overlapping(), m.a.hull() <= meetTolerance, m.b.hull() <= meetTolerance:
	case aStraight && bStraight:
		m.lines()
	case aStraight:
		m.withLine(m.b, m.a, func(onCurve, onLine float64) { m.add(onLine, onCurve) })
	case bStraight:
		m.withLine(m.a, m.b, func(onCurve, onLine float64) { m.add(onCurve, onLine) })
	default:
		m.halve(m.a, m.b, span{0, 1}, span{0, 1})
	}
}

// add notes a meeting if the curves are close enough there and it is new.
func (m *meeter) add(t, u float64) bool {
	t, u = math.Min(1, math.Max(0, t)), math.Min(1, math.Max(0, u))
	p, q := m.a.At(t), m.b.At(u)
	if !(p.Dist(q) <= meetTolerance) {
		return false
	}
	for i, f := range m.found {
		if math.Abs(f.T-t) < 0.01 && math.Abs(f.U-u) < 0.01 && (f.At.Dist(p) <= meetSingle || m.zones[i].near(t, 0)) {
			return true
		}
	}
	m.found, m.zones = append(m.found, Meeting{t, u, p}), append(m.zones, span{t, t})
	return true
}

// addZone notes a meeting and the range of a's parameter around it in which
// the curves are within the tolerance; zones that touch are one meeting.
func (m *meeter) addZone(t, u float64, zone span) {
	p := m.a.At(t)
	if !(p.Dist(m.b.At(u)) <= meetTolerance) {
		return
	}
	zone = span{math.Min(zone[0], t), math.Max(zone[1], t)}
	m.found, m.zones = append(m.found, Meeting{t, u, p}), append(m.zones, zone)
}

// merge leaves one meeting of those whose zones touch: an end of a curve, if
// there is one among them, else the closest.
func (m *meeter) merge() []Meeting {
	order := make([]int, len(m.found))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(m.zones[i][0], m.zones[j][0]) })
	var merged []Meeting
	var zones []span
	for _, i := range order {
		f, zone := m.found[i], m.zones[i]
		k := len(merged) - 1
		for k >= 0 && !m.touching(merged[k], zones[k], f, zone) {
			k--
		}
		if k < 0 {
			merged, zones = append(merged, f), append(zones, zone)
			continue
		}
		zones[k][1] = math.Max(zones[k][1], zone[1])
		if m.better(f, merged[k]) {
			merged[k] = f
		}
	}
	slices.SortStableFunc(merged, func(x, y Meeting) int { return cmp.Compare(x.T, y.T) })
	return merged
}

// touching reports whether two meetings, the first with the earlier zone, are
// one.
func (m *meeter) touching(f Meeting, before span, g Meeting, after span) bool {
	return math.Abs(f.U-g.U) < 0.01+math.Abs(f.T-g.T) &&
		(after[0] <= before[1] || f.At.Dist(g.At) <= meetSingle || m.a.At(before[1]).Dist(m.a.At(after[0])) <= meetSingle)
}

// better reports whether f stands for a meeting rather than g.
func (m *meeter) better(f, g Meeting) bool {
	end := func(x Meeting) bool { return x.T == 0 || x.T == 1 || x.U == 0 || x.U == 1 }
	if end(f) != end(g) {
		return end(f)
	}
	gap := func(x Meeting) float64 { return m.a.At(x.T).Dist(m.b.At(x.U)) }
	return gap(f) < gap(g)
}

// ends finds the ends of each curve that lie on the other.
func (m *meeter) ends() {
	boxA, boxB := m.a.HullBox().Grow(meetTolerance), m.b.HullBox().Grow(meetTolerance)
	for _, t := range []float64{0, 1} {
		if q := m.a.At(t); boxB.Holds(q) {
			if u, d := m.b.Nearest(q); d <= meetTolerance {
				m.add(t, u)
			}
		}
		if q := m.b.At(t); boxA.Holds(q) {
			if u, d := m.a.Nearest(q); d <= meetTolerance {
				m.add(u, t)
			}
		}
	}
}

// overlapping reports whether the curves run on each other between two of
// the ends found so far. Two different cubics share at most nine points
// (Bézout), so a few samples would be enough but for closely similar curves.
func (m *meeter) overlapping() bool {
	for i, f := range m.found {
		for _, g := range m.found[:i] {
			if m.sameBetween(f, g) {
				return true
			}
		}
	}
	return false
}

func (m *meeter) sameBetween(f, g Meeting) bool {
	if math.Abs(f.T-g.T) < 1e-9 || math.Abs(f.U-g.U) < 1e-9 {
		return false
	}
	for i := 1; i < 12; i++ {
		p := m.a.At(f.T + (g.T-f.T)*float64(i)/12)
		u, d := m.b.Nearest(p)
		if d > overlapTolerance || u < math.Min(f.U, g.U)-1e-6 || u > math.Max(f.U, g.U)+1e-6 {
			return false
		}
	}
	return true
}

// lines finds the crossing of two straight curves.
func (m *meeter) lines() {
	da, db := m.a.P3.Sub(m.a.P0), m.b.P3.Sub(m.b.P0)
	cross := da.Cross(db)
	if math.Abs(cross) <= 1e-13*da.Len()*db.Len() {
		return
	}
	w := m.b.P0.Sub(m.a.P0)
	t, u := w.Cross(db)/cross, w.Cross(da)/cross
	slackT, slackU := meetTolerance/da.Len(), meetTolerance/db.Len()
	if t >= -slackT && t <= 1+slackT && u >= -slackU && u <= 1+slackU {
		m.add(t, u)
	}
}

// withLine finds the crossings of a curve and a straight curve.
func (m *meeter) withLine(curve, line Cubic, add func(onCurve, onLine float64)) {
	d := line.P3.Sub(line.P0)
	l2, slack := d.Dot(d), meetTolerance/d.Len()
	for _, t := range curve.MeetLine(line.P0, line.P3) {
		if u := curve.At(t).Sub(line.P0).Dot(d) / l2; u >= -slack && u <= 1+slack {
			add(t, u)
		}
	}
}

// halve looks for meetings of the stretches a and b, which are m.a over s and
// m.b over t.
func (m *meeter) halve(a, b Cubic, s, t span) {
	if m.left--; m.left < 0 || apart(a, b) {
		return
	}
	if (neverParallel(a, b) && m.crossing(s, t)) || m.beside(a, b, s, t) || m.together(a, b, s, t) {
		return
	}
	sizeA, sizeB := a.hull(), b.hull()
	if sizeA < meetFine && sizeB < meetFine {
		x, y := closest(a, b)
		m.addZone(s.within(x), t.within(y), s)
		return
	}
	a0, a1 := a.Split(0.5)
	b0, b1 := b.Split(0.5)
	s0, s1 := span{s[0], s.mid()}, span{s.mid(), s[1]}
	t0, t1 := span{t[0], t.mid()}, span{t.mid(), t[1]}
	switch {
	case sizeA > 4*sizeB:
		m.halve(a0, b, s0, t)
		m.halve(a1, b, s1, t)
	case sizeB > 4*sizeA:
		m.halve(a, b0, s, t0)
		m.halve(a, b1, s, t1)
	default:
		m.halve(a0, b0, s0, t0)
		m.halve(a0, b1, s0, t1)
		m.halve(a1, b0, s1, t0)
		m.halve(a1, b1, s1, t1)
	}
}

// apart reports whether the curves certainly do not meet, by their control
// points' boxes and by the strips along their chords.
func apart(a, b Cubic) bool {
	if !a.HullBox().Grow(meetTolerance).Overlaps(b.HullBox()) {
		return true
	}
	return outsideStrip(a, b) || outsideStrip(b, a)
}

// outsideStrip reports whether b lies wholly on one side of the strip along
// a's chord that holds a.
func outsideStrip(a, b Cubic) bool {
	u := a.P3.Sub(a.P0).Unit()
	if u == (Point{}) {
		return false
	}
	lo, hi := 0.0, 0.0
	for _, p := range [2]Point{a.P1, a.P2} {
		d := u.Cross(p.Sub(a.P0))
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range [4]Point{b.P0, b.P1, b.P2, b.P3} {
		d := u.Cross(p.Sub(a.P0))
		least, most = math.Min(least, d), math.Max(most, d)
	}
	return least > hi+meetTolerance || most < lo-meetTolerance
}

// neverParallel reports whether no tangent of a is parallel to one of b. The
// cross product of two derivatives is a sum of the cross products of their
// control vectors with weights that are not negative, so one common sign is
// enough; then the curves meet at most once.
func neverParallel(a, b Cubic) bool {
	v := [3]Point{a.P1.Sub(a.P0), a.P2.Sub(a.P1), a.P3.Sub(a.P2)}
	w := [3]Point{b.P1.Sub(b.P0), b.P2.Sub(b.P1), b.P3.Sub(b.P2)}
	sign := 0.0
	for _, p := range v {
		for _, q := range w {
			x := p.Cross(q)
			if p == (Point{}) || q == (Point{}) {
				continue
			}
			if x == 0 || x*sign < 0 {
				return false
			}
			sign = x
		}
	}
	return sign != 0
}

// crossing looks for a crossing in the two ranges by Newton's method. It fails
// where rounding keeps that from settling, at angles below 1e-5.
func (m *meeter) crossing(s, t span) bool {
	x, y, last := s.mid(), t.mid(), 1.0
	for range 24 {
		f, da, db := m.a.At(x).Sub(m.b.At(y)), m.a.Deriv(x), m.b.Deriv(y)
		det := da.Cross(db)
		if det == 0 {
			return false
		}
		dx, dy := -f.Cross(db)/det, da.Cross(f)/det
		x, y = x+dx, y+dy
		if !(x > -0.5 && x < 1.5 && y > -0.5 && y < 1.5) {
			return false
		}
		if last = math.Abs(dx) + math.Abs(dy); last < 1e-15 {
			break
		}
	}
	return last < 1e-10 && s.near(x, 1e-9) && t.near(y, 1e-9) && m.add(x, y)
}

// near reports whether x lies in the range or within slack of it.
func (s span) near(x, slack float64) bool { return x >= s[0]-slack && x <= s[1]+slack }

// closest returns parameters at which two tiny curves are closest, going from
// one to the other and back.
func closest(a, b Cubic) (t, u float64) {
	t = 0.5
	for range 3 {
		u, _ = b.Nearest(a.At(t))
		t, _ = a.Nearest(b.At(u))
	}
	return t, u
}

// together reports whether two stretches are the same within the tolerance,
// and notes that as one meeting: around a cusp or an end without a handle that
// both curves share.
func (m *meeter) together(a, b Cubic, s, t span) bool {
	if a.P0.Dist(b.P3) < a.P0.Dist(b.P0) {
		b, t = b.Reverse(), span{t[1], t[0]}
	}
	if !(max(a.P0.Dist(b.P0), a.P1.Dist(b.P1), a.P2.Dist(b.P2), a.P3.Dist(b.P3)) <= meetTolerance) {
		return false
	}
	m.addZone(s.mid(), t.mid(), s)
	return true
}
