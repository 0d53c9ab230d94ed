package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern/match"
)

var _ = register(&Kind{Name: "redraw", Does: "draws an edge, or a whole piece, anew by a drawn path",
	Keys: []Key{
		{Name: "edge", What: Edge, Typed: true, Means: "the edge; without it the whole piece, by a closed path"},
		{Name: "path", What: Drawn, Needed: true, Means: "the drawn path: a drawing (.svg), a list of points (.points), or path data in mm on the sheet, such as \"M 0 0 C 30 0 60 20 80 50\""},
		{Name: "place", What: Text, Means: "as-is, where it was drawn, or fit, laid on the edge's start and towards its end, or on the old outline; without it as-is"},
	}, Alike: []string{"redraw"}, Typed: `front neckline --path neckline.svg`, make: (*making).redraw})

// How a drawn path is placed.
const (
	placeAsIs = "as-is"
	placeFit  = "fit"
)

func (m *making) redraw() error {
	path, closed, err := m.drawn("path")
	if err != nil {
		return err
	}
	switch m.text("place") {
	case "", placeAsIs, placeFit:
	default:
		return fmt.Errorf("place: %q is no way to place it; it is %s or %s", m.text("place"), placeAsIs, placeFit)
	}
	if !m.has("edge") {
		if !closed {
			return fmt.Errorf("%s: a whole piece is drawn anew by a closed path, and this one is open; close it, or name the edge", m.piece.Name)
		}
		return m.redrawPiece(geom.Ring(path))
	}
	if closed {
		return fmt.Errorf("%s, %q: an edge is drawn anew by an open path, and this one is closed; open it at the corners, name the edge behind the point at which it starts if it is a list of points, or leave the edge out", m.piece.Name, m.text("edge"))
	}
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	return m.redrawEdge(i, path)
}

// snaps is how far in mm from a corner, or from the neighbour's line, a drawn
// end still counts as on it: a pencil line.
const snaps = 0.1

func (m *making) redrawEdge(i int, path geom.Path) error {
	w := begin(m.piece)
	old := w.paths[i]
	if m.text("place") == placeFit {
		turn := geom.AngleBetween(path.End().Sub(path.Start()), old.End().Sub(old.Start()))
		path = path.Moved(geom.Motion{Shift: path.Start().Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: old.Start()}))
	}
	along := path.Start().Dist(old.Start()) + path.End().Dist(old.End())
	if back := path.End().Dist(old.Start()) + path.Start().Dist(old.End()); back < along {
		path = path.Reverse()
	}
	path[0].P0 = snapped(path.Start(), old.Start())
	path[len(path)-1].P3 = snapped(path.End(), old.End())
	w.set(i, path)
	next := w.after(i)
	if err := w.endNeighbour(w.before(i), i, path.Start(), false); err != nil {
		return err
	}
	if err := w.endNeighbour(next, next, path.End(), true); err != nil {
		return err
	}
	return w.finish()
}

func snapped(p, corner geom.Point) geom.Point {
	if p.Dist(corner) < snaps {
		return corner
	}
	return p
}

// endNeighbour ends neighbour k of a drawn edge where that ends, if its line
// passes there; else both are cut or run on to their meeting. corner is the
// corner between them, atStart says that the neighbour starts there.
func (w *work) endNeighbour(k, corner int, at geom.Point, atStart bool) error {
	p := w.paths[k]
	if atStart {
		p = p.Reverse()
	}
	if p.End().Dist(at) < 1e-9 {
		return nil
	}
	_, ahead := geom.CarrierEnds(p, reach)
	whole := append(append(geom.Path{}, p...), ahead...)
	place, off := whole.Nearest(at)
	if off > snaps {
		return w.meet(corner, at)
	}
	p = ended(p, ahead, place, at)
	if atStart {
		p = p.Reverse()
	}
	w.set(k, p)
	return nil
}

// cornerReach is how far in mm from its old place a corner of the drawn
// outline may lie and still be known as that one.
const cornerReach = 150

// redrawPiece takes a closed path as the outline. Each corner is the drawn
// node nearest to the old one at which the direction turns, or if there is
// none near by the nearest place; edges that were drawn as they are keep their
// stored line.
func (m *making) redrawPiece(ring geom.Ring) error {
	if ring.Area() < 0 {
		ring = ring.Reverse()
	}
	sharp, _ := m.piece.SharpRing()
	if m.text("place") == placeFit {
		const near = 0.5
		pose, _, err := match.LayOver(sharp, ring, near, match.Options{})
		if err != nil {
			return fmt.Errorf("%s: the drawn outline cannot be laid on the old one: %w; place it as-is", m.piece.Name, err)
		}
		ring = ring.Moved(pose.Motion)
	}
	w := begin(m.piece)
	places, err := m.drawnCorners(ring)
	if err != nil {
		return err
	}
	n := len(places)
	for i := range n {
		path := between(geom.Path(ring), places[i], places[(i+1)%n])
		if !sameLine(w.paths[i], path) {
			w.set(i, path)
		}
	}
	for i := range n { // corners between edges that stay are where they were
		if !w.put[i] && w.put[w.before(i)] {
			w.paths[w.before(i)][len(w.paths[w.before(i)])-1].P3 = w.paths[i].Start()
		}
		if w.put[i] && !w.put[w.before(i)] {
			w.paths[i][0].P0 = w.paths[w.before(i)].End()
		}
	}
	m.drawnSharp(w, ring)
	return w.finish()
}

// drawnSharp takes the rounding off corners that were drawn sharp: a node of the
// drawn outline lies where the corner is now, and its line turns there.
func (m *making) drawnSharp(w *work, ring geom.Ring) {
	for i := range m.piece.Corners {
		c := &m.piece.Corners[i]
		if c.Round == 0 {
			continue
		}
		for k, curve := range ring {
			before := ring[(k+len(ring)-1)%len(ring)]
			if curve.P0.Dist(w.paths[i].Start()) < snaps && math.Abs(geom.AngleBetween(before.Tangent(1), curve.Tangent(0))) > m.pattern.Tolerances.Corner {
				c.Round = 0
				m.say("%s: the corner %q was drawn sharp, and is rounded no more", m.piece.Name, m.piece.CornerName(i))
				break
			}
		}
	}
}

// turnsAt reports whether the outline turns at corner i by enough for a corner.
func (m *making) turnsAt(i int) bool {
	n := len(m.piece.Edges)
	turn := geom.AngleBetween(m.piece.EdgePath((i+n-1)%n).EndTangent(), m.piece.EdgePath(i).StartTangent())
	return math.Abs(turn) > m.pattern.Tolerances.Corner
}

// drawnCorners finds the old corners on a drawn outline, clockwise.
func (m *making) drawnCorners(ring geom.Ring) ([]geom.Place, error) {
	path := geom.Path(ring)
	var places []geom.Place
	for i, c := range m.piece.Corners {
		best, distance := path.Nearest(c.At)
		node, nodeDistance := geom.Place{}, math.Inf(1)
		for k, curve := range ring {
			before := ring[(k+len(ring)-1)%len(ring)]
			turn := math.Abs(geom.AngleBetween(before.Tangent(1), curve.Tangent(0)))
			if d := curve.P0.Dist(c.At); turn > m.pattern.Tolerances.Corner && d < nodeDistance {
				node, nodeDistance = geom.Place{Curve: k}, d
			}
		}
		if nodeDistance < cornerReach && m.turnsAt(i) {
			best, distance = node, nodeDistance
		}
		if distance > cornerReach {
			return nil, fmt.Errorf("%s: the drawn outline lies %s from the corner %q; place it with --place fit, or redraw edge by edge", m.piece.Name, m.format(distance), m.piece.CornerName(i))
		}
		places = append(places, best)
	}
	turns := 0
	for i := range places {
		next := places[(i+1)%len(places)]
		if next == places[i] {
			return nil, fmt.Errorf("%s: the corners %q and %q fall together on the drawn outline; redraw edge by edge", m.piece.Name, m.piece.CornerName(i), m.piece.CornerName((i+1)%len(places)))
		}
		if later(places[i], next) {
			turns++
		}
	}
	if turns != 1 {
		return nil, fmt.Errorf("%s: its corners do not lie in the same order on the drawn outline; redraw edge by edge", m.piece.Name)
	}
	return places, nil
}

func later(a, b geom.Place) bool { return a.Curve > b.Curve || (a.Curve == b.Curve && a.T > b.T) }

// between is the closed path from one place on to another, over its start
// where that lies between.
func between(path geom.Path, from, to geom.Place) geom.Path {
	if later(to, from) {
		return path.Between(from, to)
	}
	end := geom.Place{Curve: len(path) - 1, T: 1}
	out := path.Between(from, end)
	if from == end {
		out = nil
	}
	if to != (geom.Place{}) {
		out = append(out, path.Between(geom.Place{}, to)...)
	}
	return out
}

// sameLine reports whether a line was drawn as it is stored, within 0.005 mm.
func sameLine(a, b geom.Path) bool {
	const within, samples = 0.005, 32
	if a.Start().Dist(b.Start()) > within || a.End().Dist(b.End()) > within {
		return false
	}
	for _, pair := range [2][2]geom.Path{{a, b}, {b, a}} {
		length := pair[0].Length()
		for k := range samples + 1 {
			if _, d := pair[1].Nearest(pair[0].PointAt(length * float64(k) / samples)); d > within {
				return false
			}
		}
	}
	return true
}
