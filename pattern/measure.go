package pattern

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// onOutline is how far in mm a spot may lie from the drawn outline and still
// count as on it: a place read off a sheet to a tenth of a millimetre does.
const onOutline = 0.1

// Spot is a place on a piece that somebody named.
type Spot struct {
	Name string // what it is, for messages: corner a/b, notch x, (3, 4)…
	At   geom.Point

	along geom.Point // the direction of the edge it lies on, zero where it lies on none
}

// The prefixes that say which kind of thing a name means.
const (
	cornerPrefix = "corner:"
	notchPrefix  = "notch:"
	markPrefix   = "mark:"
)

// FindSpot is FindPlace with a ruler on paper; bare numbers count in unit.
func (p *Piece) FindSpot(text string, unit units.Unit) (Spot, error) {
	return p.FindPlace(text, Ruler{Unit: unit})
}

// namedSpot finds a corner, a notch or a mark by its name.
func (p *Piece) namedSpot(text string) (s Spot, ok bool, err error) {
	var found []Spot
	for _, kind := range []struct {
		prefix string
		find   func(string) (Spot, bool, error)
	}{{cornerPrefix, p.cornerSpot}, {notchPrefix, p.notchSpot}, {markPrefix, p.markSpot}} {
		name, asked := strings.CutPrefix(text, kind.prefix)
		s, ok, err := kind.find(strings.TrimSpace(name))
		switch {
		case err != nil:
			return Spot{}, false, err
		case ok && asked:
			return s, true, nil
		case ok:
			found = append(found, s)
		case asked && !strings.Contains(text, ","):
			return Spot{}, false, fmt.Errorf("%s has no %s %q", p.Name, strings.TrimSuffix(kind.prefix, ":"), name)
		}
	}
	switch len(found) {
	case 0:
		return Spot{}, false, nil
	case 1:
		return found[0], true, nil
	}
	return Spot{}, false, fmt.Errorf("%s: %q is the name of %d things; write %s%s, %s%s or %s%s",
		p.Name, text, len(found), cornerPrefix, text, notchPrefix, text, markPrefix, text)
}

// CornerIndex finds a corner by its name or by its two edges, in either
// order, as EDGE/EDGE; −1 when there is none.
func (p *Piece) CornerIndex(text string) int {
	for i := range p.Corners {
		if p.Corners[i].Name == text {
			return i
		}
	}
	first, second, ok := strings.Cut(text, "/")
	if !ok {
		return -1
	}
	a, errA := p.EdgeIndex(strings.TrimSpace(first))
	b, errB := p.EdgeIndex(strings.TrimSpace(second))
	n := len(p.Edges)
	switch {
	case errA != nil || errB != nil:
		return -1
	case (a+1)%n == b:
		return b
	case (b+1)%n == a:
		return a
	}
	return -1
}

func (p *Piece) cornerSpot(text string) (Spot, bool, error) {
	i := p.CornerIndex(text)
	if i < 0 {
		return Spot{}, false, nil
	}
	at := p.Corners[i].At
	if p.Corners[i].Round != 0 {
		o, err := p.Outline()
		if err != nil {
			return Spot{}, false, err
		}
		first, _ := halves(o.Radius[i])
		at = first.End()
	}
	return Spot{Name: "corner " + p.CornerName(i), At: at}, true, nil
}

func (p *Piece) notchSpot(text string) (Spot, bool, error) {
	k := p.NotchByName(text)
	if k < 0 {
		return Spot{}, false, nil
	}
	at, along, _, err := p.NotchPlace(p.Notches[k])
	return Spot{Name: "notch " + text, At: at, along: along}, err == nil, err
}

func (p *Piece) markSpot(text string) (Spot, bool, error) {
	for _, m := range p.Marks {
		if m.Name != text {
			continue
		}
		at := m.At
		if len(m.Path) > 0 {
			at = m.Path.Start()
		}
		if m.Kind == MarkPleat {
			return Spot{}, false, fmt.Errorf("%s: the pleat %q is no single place; measure from %s@LENGTH", p.Name, text, m.Edge)
		}
		return Spot{Name: "mark " + text, At: at}, true, nil
	}
	return Spot{}, false, nil
}

func sheetSpot(xText, yText string, unit units.Unit) (Spot, error) {
	x, err := units.ParseLength(xText, unit)
	if err != nil {
		return Spot{}, err
	}
	y, err := units.ParseLength(yText, unit)
	if err != nil {
		return Spot{}, err
	}
	return Spot{Name: fmt.Sprintf("(%s, %s)", unit.Format(x), unit.Format(y)), At: geom.Pt(x, y)}, nil
}

// AlongOutline measures from one spot to another along the drawn outline, in
// mm: clockwise, and the other way round. Both spots must lie on it within
// 0.1 mm. A spot counted as the start and the end of the whole way round gives
// 0 clockwise.
func (p *Piece) AlongOutline(from, to Spot) (clockwise, other float64, err error) {
	o, err := p.Outline()
	if err != nil {
		return 0, 0, err
	}
	line := geom.Path(o.Ring)
	var at [2]float64
	for i, s := range []Spot{from, to} {
		place, distance := line.Nearest(s.At)
		if distance > onOutline {
			return 0, 0, fmt.Errorf("%s: %s lies %s mm off the outline; measure it with --straight", p.Name, s.Name, number(distance))
		}
		at[i] = line.LengthTo(place)
	}
	whole := line.Length()
	clockwise = at[1] - at[0]
	if clockwise < -1e-9 {
		clockwise += whole
	}
	clockwise = math.Max(0, clockwise)
	return clockwise, whole - clockwise, nil
}

// Top returns the piece's highest place down the grain, as a distance in mm
// from the sheet's origin along GrainDirection.
func (p *Piece) Top() (float64, error) {
	o, err := p.Outline()
	if err != nil {
		return 0, err
	}
	down := p.GrainDirection()
	turned := o.Ring.Moved(geom.Motion{Turn: math.Pi/2 - down.Angle()})
	return turned.Box().Min.Y, nil
}

// EdgeLevel returns the level of an edge's middle down the grain, as Top does.
func (p *Piece) EdgeLevel(i int) float64 {
	path := p.EdgePath(i)
	return path.PointAt(path.Length() / 2).Dot(p.GrainDirection())
}

// besideLevel is how far in mm above and below a level the width is taken, so
// that a straight edge that lies level itself has a width.
const besideLevel = 1e-6

// WidthAt returns how wide the piece is at a level, in mm: across the grain,
// within the sewing line, dart intakes at that level left out. level is a
// distance from the sheet's origin along GrainDirection. Where the piece is
// wider just above the level than just below it, or the other way, the wider
// counts: at a level hem that is the hem. 0 means that the level misses the
// piece. The piece counts once, as drawn. Accuracy about 1e-6 mm by the slope
// of the outline.
func (p *Piece) WidthAt(level float64) (float64, error) {
	o, err := p.Outline()
	if err != nil {
		return 0, err
	}
	down := p.GrainDirection()
	var darts []geom.Ring
	for _, m := range p.Marks {
		if m.Kind == MarkDart {
			i, err := p.EdgeIndex(m.Edge)
			if err != nil {
				return 0, err
			}
			path := p.EdgePath(i)
			darts = append(darts, geom.Polygon(path.PointAt(m.From), path.PointAt(m.To), m.At))
		}
	}
	widest := 0.0
	for _, l := range []float64{level - besideLevel, level + besideLevel} {
		width := ringWidth(o.Ring, down, l)
		for _, d := range darts {
			width -= ringWidth(d, down, l)
		}
		widest = math.Max(widest, width)
	}
	return widest, nil
}

// ringWidth adds up the stretches of the line across `down` at the level that
// lie inside the ring.
func ringWidth(r geom.Ring, down geom.Point, level float64) float64 {
	origin, across := down.Mul(level), down.Left()
	var cuts []float64
	for _, c := range r {
		for _, t := range c.MeetLine(origin, origin.Add(across)) {
			cuts = append(cuts, c.At(t).Dot(across))
		}
	}
	sort.Float64s(cuts)
	sum := 0.0
	for i := 1; i < len(cuts); i++ {
		if step := cuts[i] - cuts[i-1]; step > 1e-9 {
			if r.Winding(origin.Add(across.Mul(cuts[i-1]+step/2))) != 0 {
				sum += step
			}
		}
	}
	return sum
}
