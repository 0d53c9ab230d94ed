package geom

import (
	"errors"
	"fmt"
	"math"
)

// CornerStyle says how the cutting line goes round a corner.
type CornerStyle int

const (
	// Extended runs both lines on to their meeting; a corner too sharp for that
	// is squared off (sharpestMitre).
	Extended CornerStyle = iota
	// SquaredFirst ends the allowance of the edge before the corner square to
	// that edge, no nearer to the corner than the other allowance is wide.
	SquaredFirst
	// SquaredSecond ends the allowance of the edge after the corner square to it.
	SquaredSecond
	// FoldedBack mirrors the seam at the edge with the wider allowance (a hem),
	// so that the hem lies flat when turned up.
	FoldedBack
	// FoldedFirst and FoldedSecond say which of the two edges is turned up.
	FoldedFirst
	FoldedSecond
)

// OffsetEdge is one edge of a ring and its distance: By mm outward, inward
// when negative; with 0 (a fold, a bound edge) the line stays on the edge.
type OffsetEdge struct {
	Path Path
	By   float64
}

// OffsetCorner is the corner at the start of the edge with the same index.
type OffsetCorner struct{ Style CornerStyle }

// AllowanceTooWide is the error for a distance that reaches beyond the centre
// of curvature of its edge, so that the offset line would run back on itself.
type AllowanceTooWide struct {
	Edge   int
	At     Point   // the tightest place
	Radius float64 // mm, the radius of curvature there
}

func (e *AllowanceTooWide) Error() string {
	return fmt.Sprintf("edge %d: the allowance is wider than the curve's radius of %.2f mm at (%.2f, %.2f)",
		e.Edge, e.Radius, e.At.X, e.At.Y)
}

// OffsetCrosses is the error for an offset that would overlap itself: two
// allowances that meet, or an inward offset that falls into parts.
type OffsetCrosses struct {
	At           Point
	EdgeA, EdgeB int
}

func (e *OffsetCrosses) Error() string {
	return fmt.Sprintf("the offsets of edges %d and %d cross at (%.2f, %.2f)", e.EdgeA, e.EdgeB, e.At.X, e.At.Y)
}

// StyleUnfit is the error for a corner that cannot be made in its style.
type StyleUnfit struct {
	Corner int
	Style  CornerStyle
}

func (e *StyleUnfit) Error() string {
	return fmt.Sprintf("corner %d: the seam mirrored at the hem does not meet the hem's cutting line", e.Corner)
}

// ErrOffsetVanishes is the error for an inward offset that leaves nothing.
var ErrOffsetVanishes = errors.New("nothing of the outline is left at this distance")

// OffsetRing returns the ring at a distance of its own from each edge of a
// clockwise ring, and for each of its curves the index of the edge it came
// from. Edge i ends where edge i+1 starts; corners[i] is the corner at the
// start of edge i, and may be left out (nil: all Extended). Curves are within
// tol mm of the true parallels; an edge with distance 0 is kept as it is.
//
// Corners: where the two lines, run on straight from their ends, meet ahead
// of both, they are run on to the meeting. Where they meet behind both, they
// are cut there. Where one has to be cut and the other run on, that is done
// beside an edge with distance 0, and where no more than a quarter of the
// wider distance is cut off at a turn of at least 45°. Otherwise the wider one
// would be too narrow for a long stretch: at turns below 45° it runs on to the
// line square to the other edge at the corner and steps along that, at greater
// ones it steps square to its own edge. At a smooth point with unequal
// distances the step is square to the line. Styles other than Extended count
// at outward convex corners only.
//
// Loops that the lines make behind a corner or in place of a short edge are
// taken out. The result is a simple clockwise ring, or the error says what is
// in the way: *AllowanceTooWide, *OffsetCrosses, *StyleUnfit,
// ErrOffsetVanishes, or an edge without a direction.
func OffsetRing(edges []OffsetEdge, corners []OffsetCorner, tol float64) (Ring, []int, error) {
	if len(edges) == 1 {
		ring, from, err := OffsetRing(halved(edges[0]), []OffsetCorner{cornerAt(corners, 0), {}}, tol)
		return ring, make([]int, len(from)), renumbered(err)
	}
	sides, err := offsetSides(edges, tol)
	if err != nil {
		return nil, nil, err
	}
	n := len(sides)
	joints := make([]joint, n)
	for i := range sides {
		a, b := sides[(i+n-1)%n], sides[i]
		if joints[i], err = join(a, b, cornerAt(corners, i).Style, tol); err != nil {
			return nil, nil, withCorner(err, i)
		}
	}
	for i, s := range sides {
		if err := s.checkWidth(joints[i].cutStart, joints[(i+1)%n].cutEnd); err != nil {
			return nil, nil, err
		}
	}
	w := joinSides(sides, joints)
	return w.simple(sides, tol)
}

func cornerAt(corners []OffsetCorner, i int) OffsetCorner {
	if i < len(corners) {
		return corners[i]
	}
	return OffsetCorner{}
}

// halved divides the one edge of a ring in two, at a node if it has one.
func halved(e OffsetEdge) []OffsetEdge {
	p := e.Path
	if len(p) == 1 {
		a, b := p[0].Split(0.5)
		p = Path{a, b}
	}
	k := len(p) / 2
	return []OffsetEdge{{p[:k], e.By}, {p[k:], e.By}}
}

// renumbered turns the edge numbers of an error about halved edges back to 0.
func renumbered(err error) error {
	var wide *AllowanceTooWide
	if errors.As(err, &wide) {
		wide.Edge = 0
	}
	var cross *OffsetCrosses
	if errors.As(err, &cross) {
		cross.EdgeA, cross.EdgeB = 0, 0
	}
	return err
}

func withCorner(err error, i int) error {
	var unfit *StyleUnfit
	if errors.As(err, &unfit) {
		unfit.Corner = i
	}
	return err
}

// side is an edge with its raw offset.
type side struct {
	index  int
	source Path
	by     float64
	raw    Path
	in, on Point // directions of travel at the source's end and start
}

func offsetSides(edges []OffsetEdge, tol float64) ([]side, error) {
	sides := make([]side, len(edges))
	for i, e := range edges {
		raw, err := e.Path.Offset(e.By, tol)
		if err != nil {
			return nil, fmt.Errorf("edge %d: %w", i, err)
		}
		if len(raw) == 0 {
			return nil, fmt.Errorf("edge %d: %w", i, ErrNoDirection)
		}
		sides[i] = side{i, e.Path, e.By, raw, e.Path.EndTangent(), e.Path.StartTangent()}
	}
	if len(sides) == 0 {
		return nil, ErrNoDirection
	}
	return sides, nil
}

// flipped returns the side seen in a mirror and run the other way, which
// keeps left on the left: what is true at its start is then true at its end.
func (s side) flipped() side {
	m := Motion{Mirror: true}
	flip := func(p Path) Path { return p.Moved(m).Reverse() }
	return side{s.index, flip(s.source), s.by, flip(s.raw), m.ApplyVector(s.on).Mul(-1), m.ApplyVector(s.in).Mul(-1)}
}

// widthSamples is the number of stretches of a curve on which its curvature
// is looked at.
const widthSamples = 64

// checkWidth reports an offset beyond a centre of curvature, on the stretch of
// the edge that is left after cutEnd mm and cutStart mm are cut off. Of a
// zero-length handle, where the curvature grows without bound, the last 1e-3
// of the curve is passed over.
func (s side) checkWidth(cutStart, cutEnd float64) error {
	length := s.source.Length()
	from, to := s.source.PlaceAt(cutStart), s.source.PlaceAt(length-cutEnd)
	worst := &AllowanceTooWide{Edge: s.index}
	least := 0.0
	for i := from.Curve; i <= to.Curve; i++ {
		c := s.source[i]
		lo, hi := 0.001, 0.999
		if i == from.Curve && cutStart > 0 {
			lo = math.Max(lo, from.T)
		}
		if i == to.Curve && cutEnd > 0 {
			hi = math.Min(hi, to.T)
		}
		for k := range widthSamples + 1 {
			t := lo + (hi-lo)*float64(k)/widthSamples
			if f := 1 + s.by*c.Curvature(t); lo < hi && f <= least {
				least = f
				worst.At, worst.Radius = c.At(t), 1/math.Abs(c.Curvature(t))
			}
		}
	}
	if worst.Radius > 0 {
		return worst
	}
	return nil
}

// work is a ring being made, with the edge each curve came from.
type work struct {
	ring Ring
	from []int
}

func (w *work) add(p Path, edge int) {
	for _, c := range p {
		if c.hull() < 1e-9 {
			continue
		}
		if n := len(w.ring); n > 0 {
			last := w.ring[n-1]
			c.P0 = last.P3
			if w.from[n-1] == edge && last.evenlyStraight() && c.evenlyStraight() && inLine(last, c) {
				w.ring[n-1] = Line(last.P0, c.P3)
				continue
			}
		}
		w.ring, w.from = append(w.ring, c), append(w.from, edge)
	}
}

// inLine reports whether two straight curves in a row make one line.
func inLine(a, b Cubic) bool {
	u, v := a.P3.Sub(a.P0).Unit(), b.P3.Sub(b.P0).Unit()
	return u.Dot(v) > 0 && math.Abs(u.Cross(v))*math.Max(a.hull(), b.hull()) < 1e-9
}

// joinSides puts the sides and joints together. A side whose cuts have passed
// each other is run backwards, which makes a loop that is taken out later.
func joinSides(sides []side, joints []joint) work {
	var w work
	n := len(sides)
	for i, s := range sides {
		from, to := joints[i].start, joints[(i+1)%n].end
		part := s.raw
		if from.compare(to) <= 0 {
			part = part.Between(from, to)
		} else {
			part = part.Between(to, from).Reverse()
		}
		if at := joints[(i+1)%n].slideTo; at != nil {
			part = part.endMoved(*at)
		}
		if at := joints[i].slideTo; at != nil {
			part = part.Reverse().endMoved(*at).Reverse()
		}
		w.add(part, s.index)
		for _, r := range joints[(i+1)%n].run {
			w.add(r.path, r.edge)
		}
	}
	if n := len(w.ring); n > 0 {
		w.close()
	}
	return w
}

// close makes the ring end where it starts and joins a line divided there.
func (w *work) close() {
	n := len(w.ring)
	w.ring[n-1].P3 = w.ring[0].P0
	first, last := w.ring[0], w.ring[n-1]
	if n > 2 && w.from[0] == w.from[n-1] && first.evenlyStraight() && last.evenlyStraight() && inLine(last, first) {
		w.ring[0] = Line(last.P0, first.P3)
		w.ring, w.from = w.ring[:n-1], w.from[:n-1]
	}
}

// loopArea is the area in mm² below which a loop counts as empty.
const loopArea = 1e-6

// simple takes out the loops that offsetting makes and returns the ring if it
// is simple then.
func (w work) simple(sides []side, tol float64) (Ring, []int, error) {
	for range 4 * (len(w.ring) + 8) {
		m, i, j, found := w.ring.selfMeeting()
		if !found {
			break
		}
		inner, outer := w.between(Place{i, m.T}, Place{j, m.U}), w.around(Place{i, m.T}, Place{j, m.U})
		inArea, outArea := inner.ring.Area(), outer.ring.Area()
		crosses := &OffsetCrosses{m.At, w.from[i], w.from[j]}
		switch {
		case inArea <= loopArea && inArea <= outArea:
			if inner.keepsOff(sides, tol) {
				return nil, nil, crosses
			}
			w = outer
		case outArea <= loopArea:
			if outer.keepsOff(sides, tol) {
				return nil, nil, crosses
			}
			w = inner
		case inner.coveredBy(outer):
			w = outer
		case outer.coveredBy(inner):
			w = inner
		default:
			return nil, nil, crosses
		}
		if len(w.ring) == 0 {
			return nil, nil, ErrOffsetVanishes
		}
	}
	if m, i, j, found := w.ring.selfMeeting(); found {
		return nil, nil, &OffsetCrosses{m.At, w.from[i], w.from[j]}
	}
	if w.ring.Area() <= loopArea {
		return nil, nil, ErrOffsetVanishes
	}
	return w.ring, w.from, nil
}

// between and around are the two loops into which a meeting divides a ring.
func (w work) between(a, b Place) work {
	var out work
	for i := a.Curve; i <= b.Curve; i++ {
		lo, hi := 0.0, 1.0
		if i == a.Curve {
			lo = a.T
		}
		if i == b.Curve {
			hi = b.T
		}
		if lo < hi {
			out.add(Path{w.ring[i].Part(lo, hi)}, w.from[i])
		}
	}
	return out.closed()
}

func (w work) around(a, b Place) work {
	var out work
	if b.T < 1 {
		out.add(Path{w.ring[b.Curve].Part(b.T, 1)}, w.from[b.Curve])
	}
	for k := b.Curve + 1; k < a.Curve+len(w.ring); k++ {
		i := k % len(w.ring)
		out.add(Path{w.ring[i]}, w.from[i])
	}
	if a.T > 0 {
		out.add(Path{w.ring[a.Curve].Part(0, a.T)}, w.from[a.Curve])
	}
	return out.closed()
}

func (w work) closed() work {
	if len(w.ring) > 0 {
		w.close()
	}
	return w
}

// coveredBy reports whether a loop lies inside another, as that of a short
// edge does which its neighbours' allowances swallow.
func (w work) coveredBy(other work) bool {
	for _, c := range w.ring {
		q := c.At(0.5)
		if other.ring.Holds(q) {
			continue
		}
		if _, d := Path(other.ring).Nearest(q); d > 1e-6 {
			return false
		}
	}
	return true
}

// keepsOff reports whether a loop lies outside all allowances, as the rim of
// a true hole between them does; the loops that are only left behind by
// offsetting lie nearer to some edge than its distance.
func (w work) keepsOff(sides []side, tol float64) bool {
	if math.Abs(w.ring.Area()) <= loopArea {
		return false
	}
	for _, c := range w.ring {
		q := c.At(0.5)
		for _, s := range sides {
			if _, d := s.source.Nearest(q); s.by <= 0 || d < s.by-2*tol {
				return false
			}
		}
	}
	return true
}
