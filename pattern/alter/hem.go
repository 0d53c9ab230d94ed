package alter

import (
	"errors"
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

var hemKeys = []Key{
	{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the hem, or another edge that is shortened at"},
	{Name: "by", What: Length, Needed: true, Typed: true, Means: "how much"},
	{Name: "along", What: Edge, Means: "the neighbour that is to lose or gain exactly that"},
	{Name: "parallel", What: Flag, Means: "at equal distance all along, instead of along the grain"},
	{Name: "inside", What: Line, Means: "a line across the body, a reference line or PLACE:PLACE, at which a tuck is folded out or let in: the hem keeps its width, the sides are trued, and every piece sewn to it at that level has it too"},
}

var _ = register(&Kind{Name: "shorten", Does: "takes a hem up along the grain and cuts its neighbours to meet it",
	Keys: hemKeys, Alike: []string{"lengthen"}, Typed: `back hemline 6cm --along "side seam" --both`, make: func(m *making) error { return m.hem(-1) }})

var _ = register(&Kind{Name: "lengthen", Does: "lets a hem down along the grain and runs its neighbours on to meet it",
	Keys: hemKeys, Alike: []string{"shorten"}, Typed: `back hemline 2cm`, make: func(m *making) error { return m.hem(1) }})

// hem moves an edge down by the amount times sign.
func (m *making) hem(sign float64) error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	by, err := m.positive("by")
	if err != nil {
		return err
	}
	if m.has("inside") {
		return m.tuck(i, sign*by)
	}
	if !m.flag("parallel") && runsAlong(m.piece.EdgePath(i), m.piece.GrainDirection()) {
		return fmt.Errorf("%s, %q runs along the grain, so that moved along it it stays where it is; move it at equal distance with --parallel", m.piece.Name, m.piece.Edges[i].Name)
	}
	as := m.piece.Clone()
	if err := m.hemBy(i, sign*by); err != nil {
		return m.lessFits(as, i, sign, by, err)
	}
	return nil
}

// runsAlong reports whether a line runs straight in a direction, or against it,
// within half a degree.
func runsAlong(p geom.Path, dir geom.Point) bool {
	for _, c := range p {
		if !c.IsStraight(1e-6) || math.Abs(c.P3.Sub(c.P0).Unit().Cross(dir)) > 0.01 {
			return false
		}
	}
	return true
}

// lessFits adds to a refusal how much of the amount there is room for.
func (m *making) lessFits(piece *pattern.Piece, i int, sign, by float64, refused error) error {
	fits := 0.0
	for step := by / 2; step > 1; step /= 2 {
		m.piece = piece.Clone()
		if m.hemBy(i, sign*(fits+step)) == nil {
			fits += step
		}
	}
	fit := func(cm float64) bool {
		m.piece = piece.Clone()
		return m.hemBy(i, sign*10*cm) == nil
	}
	cm := math.Floor(fits / 10) // said as somebody would cut it
	for 10*(cm+1) < by && fit(cm+1) {
		cm++
	}
	tall := tallness(piece)
	room := fmt.Sprintf("up to %s fits", m.format(10*cm))
	switch {
	case fits < 1: // it is not the amount that is in the way
		return refused
	case cm < 1 || by <= 10*(cm+1):
		for fits = math.Floor(fits); fits+1 < by && fit((fits+1)/10); {
			fits++
		}
		room = fmt.Sprintf("up to %s fits", m.format(math.Floor(fits)))
	}
	if sign > 0 && by > fits+1 && fits > reach/2 {
		room += fmt.Sprintf(" at once, for an edge runs on by %s at most; lengthen in two goes, or let the length in across the body with --inside LINE", m.format(reach))
	}
	if sign < 0 && by >= tall {
		m.piece = piece.Clone()
		var problem *pattern.Problem
		if errors.As(m.hemBy(i, -10*(cm+1)), &problem) && problem.Part == pattern.PartNotch {
			room += fmt.Sprintf(", as far as the notch %q", piece.Notches[problem.Index].Name)
		}
		return fmt.Errorf("%s, %q: the piece is %s long along the grain and cannot be shortened by %s; %s", piece.Name, piece.Edges[i].Name, m.format(tall), m.format(by), room)
	}
	return fmt.Errorf("%w; %s", refused, room)
}

// tallness is how long a piece is along the grain in mm, between the nodes of its
// outline.
func tallness(piece *pattern.Piece) float64 {
	down := piece.GrainDirection()
	least, most := math.Inf(1), math.Inf(-1)
	for k := range piece.Edges {
		for _, c := range piece.EdgePath(k) {
			least, most = math.Min(least, c.P0.Dot(down)), math.Max(most, c.P0.Dot(down))
		}
	}
	return most - least
}

// hemBy moves edge i out by mm, negative in: a hem down, the upper edge of a
// piece up.
func (m *making) hemBy(i int, by float64) error {
	w := begin(m.piece)
	moved, err := m.movedHem(w, i, by)
	if err != nil {
		return err
	}
	w.set(i, moved)
	if err := w.meet(i, w.paths[i].Start()); err != nil {
		return err
	}
	if err := w.meet(w.after(i), w.paths[i].End()); err != nil {
		return err
	}
	return w.finish()
}

// movedHem is edge i out by mm: along the grain, at equal distance, or so that
// a neighbour gains as much.
func (m *making) movedHem(w *work, i int, by float64) (geom.Path, error) {
	down, old := m.piece.GrainDirection(), w.paths[i]
	switch {
	case m.flag("parallel"):
		moved, err := parallel(old, by)
		if err != nil {
			return nil, m.edgeError(i, err)
		}
		return moved, nil
	case m.has("along"):
		k, err := m.edge("along")
		if err != nil {
			return nil, err
		}
		if by, err = w.shiftAlong(i, k, by, down); err != nil {
			return nil, err
		}
	default:
		down = outwardAlong(old, down)
	}
	return old.Moved(geom.Motion{Shift: down.Mul(by)}), nil
}

// outwardAlong is the direction along the grain that leads out of the piece over
// an edge as a whole: down at a hem, up at the upper edge of a pocket or sleeve.
func outwardAlong(edge geom.Path, down geom.Point) geom.Point {
	// The normals of a line add up to its chord, turned by a right angle.
	if edge.End().Sub(edge.Start()).Left().Dot(down) < 0 {
		return down.Mul(-1)
	}
	return down
}

// edgeError adds which edge a kernel's error is about.
func (m *making) edgeError(i int, err error) error {
	return fmt.Errorf("%s, %q: %w", m.piece.Name, m.piece.Edges[i].Name, err)
}

// shiftAlong is the shift along the grain with which neighbour k of edge i
// gains by mm (negative: loses) along its own line.
func (w *work) shiftAlong(i, k int, by float64, down geom.Point) (float64, error) {
	p := w.paths[k]
	from, at := p.Start(), -by
	switch k {
	case w.before(i):
		from, at = p.End(), p.Length()+by
	case w.after(i):
	default:
		return 0, fmt.Errorf("%s: %q does not meet %q; give one of its neighbours, %q or %q",
			w.piece.Name, w.name(k), w.name(i), w.name(w.before(i)), w.name(w.after(i)))
	}
	if by <= -p.Length() {
		return 0, fmt.Errorf("%s: %q is %.1f mm long and cannot lose %.1f mm to %q", w.piece.Name, w.name(k), p.Length(), -by, w.name(i))
	}
	to, ok := pointOn(p, at)
	if !ok {
		return 0, fmt.Errorf("%s: %q and %q no longer meet: %q cannot be run on by %.0f mm, only by up to %.0f mm; alter by less, or redraw one of them first",
			w.piece.Name, w.name(i), w.name(k), w.name(k), by, float64(reach))
	}
	d := to.Sub(from).Dot(down)
	// On a curved or slanted hem the point of the hem's line that comes to lie
	// there is another one: solved on the hem itself.
	hem := geom.Carrier(w.paths[i], reach)
	best, found := 0.0, false
	for _, c := range hem {
		for _, t := range c.MeetLine(to, to.Add(down)) {
			if s := to.Sub(c.At(t)).Dot(down); !found || abs(s-d) < abs(best-d) {
				best, found = s, true
			}
		}
	}
	if !found {
		return 0, fmt.Errorf("%s: %q runs along the grain where %q would end, so that nothing moved along the grain changes the length there; `shorten` and `lengthen` take it at equal distance with --parallel", w.piece.Name, w.name(i), w.name(k))
	}
	return best, nil
}

// pointOn is the point at a length along a path's carrier; below 0 and beyond
// the path's own length it lies on the run-on, and is not ok where that ends.
func pointOn(p geom.Path, at float64) (to geom.Point, ok bool) {
	const rounding = 1e-6
	before, after := geom.CarrierEnds(p, reach)
	length := p.Length()
	switch {
	case at < 0:
		return before.PointAt(before.Length() + at), len(before) > 0 && -at <= before.Length()+rounding
	case at > length:
		return after.PointAt(at - length), len(after) > 0 && at-length <= after.Length()+rounding
	}
	return p.PointAt(at), true
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

// offsetWithin is how near in mm a parallel line is drawn to the true one.
const offsetWithin = 0.002

// parallel is the line at a distance in mm to the left, outward.
func parallel(p geom.Path, by float64) (geom.Path, error) { return p.Offset(by, offsetWithin) }
