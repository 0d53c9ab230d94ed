package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// level is a line across one piece on which a tuck lies.
type level struct {
	piece *pattern.Piece
	a, b  geom.Point
	hem   int    // an edge of the part that moves
	over  string // the edge over which it came onto the piece, at a; none where it was given
}

// tuck folds a strip out across the body (by negative) or lets one in: on the
// piece itself along the line that was given, and on every piece sewn to it at
// that level square to the grain; where the pieces close a ring, and the level comes
// round otherwise from either end of the line, from its first. The part with the hem moves along the grain,
// so that the hem keeps its width; the sides are trued.
func (m *making) tuck(hem int, by float64) error {
	if m.has("along") || m.flag("parallel") {
		return fmt.Errorf("%s: a tuck across the body moves the hem as it is; leave --along and --parallel out", m.piece.Name)
	}
	a, b, err := m.line("inside")
	if err != nil {
		return err
	}
	todo := []level{{m.piece, a, b, hem, ""}}
	done := map[string]level{}
	for len(todo) > 0 {
		l := todo[0]
		todo = todo[1:]
		if before, twice := done[l.piece.Name]; twice {
			m.sayOtherLevel(before, l)
			continue
		}
		done[l.piece.Name] = l
		part := &making{pattern: m.pattern, piece: l.piece, recipe: m.recipe}
		first, second, err := part.crossings(l.a, l.b)
		if err != nil {
			return err
		}
		if first.at.Dist(l.a) > second.at.Dist(l.a) { // as the line runs, whichever way round the piece is drawn
			first, second = second, first
		}
		next, err := m.onwards(l, done, first, second)
		if err != nil {
			return err
		}
		todo = append(todo, next...)
	}
	for _, q := range slices.Clone(m.pattern.Pieces) {
		if l, at := done[q.Name]; at {
			if err := m.tuckOne(l, by); err != nil {
				return err
			}
		}
	}
	return nil
}

// sayOtherLevel tells of a piece that the level comes onto again elsewhere.
func (m *making) sayOtherLevel(before, l level) {
	if off := before.apart(l); off > m.pattern.Tolerances.Section {
		m.say("%s: followed round the other way%s the level lies %s off; the tuck lies where it was first%s", l.piece.Name, l.cameOver(), m.format(off), before.cameOver())
	}
}

// cameOver names the edge over which a level came onto its piece.
func (l level) cameOver() string {
	if l.over == "" {
		return ""
	}
	return fmt.Sprintf(", over %q", l.over)
}

// apart is how far in mm along the grain the place at which another level comes onto
// the same piece lies from this one, which may lie aslant.
func (l level) apart(o level) float64 {
	down := l.piece.GrainDirection()
	line, at := l.b.Sub(l.a), o.a
	across := line.Cross(down)
	if math.Abs(across) < 1e-9 {
		return math.Abs(at.Sub(l.a.Lerp(l.b, 0.5)).Dot(down))
	}
	return math.Abs(at.Sub(l.a).Cross(line) / across)
}

// onwards finds the level on the pieces sewn to this one where its line ends: square
// to the grain, but on one that lies on an outer of which it is known already as it
// lies there.
func (m *making) onwards(l level, done map[string]level, ends ...crossing) ([]level, error) {
	var next []level
	for _, c := range ends {
		places, err := m.pattern.Across(l.piece.Name, l.piece.Edges[c.edge].Name, c.along)
		if err != nil {
			return nil, err
		}
		for _, at := range places {
			q, err := m.pattern.Piece(at.Piece)
			if err != nil {
				return nil, err
			}
			if q == l.piece {
				continue // sewn to its own mirror image
			}
			i, err := q.EdgeIndex(at.Edge)
			if err != nil {
				return nil, err
			}
			far, ok := straightAcross(q, i, at.Along, m.levelWay(q, done))
			if !ok {
				m.say("%s: the level meets %q alone; it has no tuck", q.Name, at.Edge)
				continue
			}
			next = append(next, level{q, q.EdgePath(i).PointAt(at.Along), far, q.HemEdge(), at.Edge})
		}
	}
	return next, nil
}

// levelWay is the direction of the level on a piece: that of the line on an outer on
// which it lies, else square to the grain.
func (m *making) levelWay(q *pattern.Piece, done map[string]level) geom.Point {
	for _, name := range outersOf(m.pattern, q.Name) {
		l, known := done[name]
		if !known {
			continue
		}
		laid, err := laidOn(q, l.piece)
		if err != nil {
			continue
		}
		var from, to []geom.Point
		for k := range q.Corners {
			from, to = append(from, laid.Corners[k].At), append(to, q.Corners[k].At)
		}
		return geom.FitMotion(from, to, false).ApplyVector(l.b.Sub(l.a)).Unit()
	}
	return q.GrainDirection().Left()
}

// straightAcross goes straight across a piece from a place on edge i, in a direction
// or against it, to where the outline is met next.
func straightAcross(q *pattern.Piece, i int, along float64, across geom.Point) (geom.Point, bool) {
	from := q.EdgePath(i).PointAt(along)
	if q.EdgePath(i).TangentAt(along).Right().Dot(across) < 0 {
		across = across.Mul(-1)
	}
	ring, _ := q.SharpRing()
	const far, least = 3000.0, 1.0
	best, found := geom.Point{}, false
	for _, c := range geom.MeetPaths(geom.Path{geom.Line(from, from.Add(across.Mul(far)))}, geom.Path(ring)) {
		if d := from.Dist(c.At); d > least && (!found || d < from.Dist(best)) {
			best, found = c.At, true
		}
	}
	return best, found
}

// tuckOne makes the tuck on one piece.
func (m *making) tuckOne(l level, by float64) error {
	part := &making{pattern: m.pattern, piece: l.piece, recipe: Recipe{Values: map[string]string{}}}
	first, second, err := part.crossings(l.a, l.b)
	if err != nil {
		return err
	}
	if l.hem == first.edge || l.hem == second.edge {
		return fmt.Errorf("%s: the line crosses %q, which is to move as a whole; let it run from side to side", l.piece.Name, l.piece.Edges[l.hem].Name)
	}
	if first.edge == second.edge {
		return fmt.Errorf("%s: the line begins and ends on %q; let it run to another edge", l.piece.Name, l.piece.Edges[first.edge].Name)
	}
	moves := l.hem > first.edge && l.hem < second.edge
	down := outwardFrom(l, l.piece.GrainDirection())
	motion := geom.Motion{Shift: down.Mul(by)}
	steps := [2]float64{}
	for k, c := range [2]crossing{first, second} {
		steps[k] = l.step(c, by, down)
	}
	places := m.tuckPlaces(l.piece, [2]crossing{first, second}, moves)
	if err := part.open(first, second, moves, motion); err != nil {
		return err
	}
	m.slashes = append(m.slashes, part.slashes...)
	m.say("%s: the line lies %s", l.piece.Name, places)
	for k, c := range [2]crossing{first, second} {
		if math.Abs(steps[k]) > 0.005 {
			m.say("%s, %q: the sides step by %s at the tuck; it is trued, %s long now", l.piece.Name, l.piece.Edges[c.edge].Name, m.format(math.Abs(steps[k])), m.format(part.piece.EdgePath(c.edge).Length()))
		}
	}
	return nil
}

// tuckPlaces says where a tuck's line crosses the sides, measured from the corner
// of the part that stays: an outline with straight sides does not tell it later.
func (m *making) tuckPlaces(q *pattern.Piece, crossings [2]crossing, moves bool) string {
	n := len(q.Edges)
	var words [2]string
	for k, c := range crossings {
		at, from := c.along, q.Edges[(c.edge+n-1)%n].Name
		if (k == 0) != moves { // the part after the crossing stays
			at, from = q.EdgePath(c.edge).Length()-c.along, q.Edges[(c.edge+1)%n].Name
		}
		words[k] = fmt.Sprintf("%s from %q on %q", m.format(at), from, q.Edges[c.edge].Name)
	}
	return words[0] + " and " + words[1]
}

// outwardFrom is the direction along the grain that leads from the line of the
// tuck to the edge that moves: up where that is the upper edge of the piece.
func outwardFrom(l level, down geom.Point) geom.Point {
	edge := l.piece.EdgePath(l.hem)
	if edge.PointAt(edge.Length()/2).Sub(l.a.Lerp(l.b, 0.5)).Dot(down) < 0 {
		return down.Mul(-1)
	}
	return down
}

// step is how far in mm across the grain the two parts of a side stand apart
// at the tuck.
func (l level) step(c crossing, by float64, down geom.Point) float64 {
	path := l.piece.EdgePath(c.edge)
	dir := path.TangentAt(c.along)
	if d := dir.Dot(down); math.Abs(d) > 1e-9 {
		return by * dir.Dot(down.Left()) / d
	}
	return 0
}
