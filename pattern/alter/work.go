package alter

import (
	"errors"
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// work is a piece under alteration: its edges as paths from sharp corner to
// sharp corner. Edges that are not put stay as they are stored.
type work struct {
	piece *pattern.Piece
	paths []geom.Path
	put   []bool
	moved string // the notch or mark that is moved itself
	held  bool   // its darts and pleats were seen to
}

func begin(p *pattern.Piece) *work {
	w := &work{piece: p, put: make([]bool, len(p.Edges))}
	for i := range p.Edges {
		w.paths = append(w.paths, p.EdgePath(i))
	}
	return w
}

// before and after are the neighbours of edge i; the corner between before(i)
// and i is corner i.
func (w *work) before(i int) int { return (i + len(w.paths) - 1) % len(w.paths) }
func (w *work) after(i int) int  { return (i + 1) % len(w.paths) }

// set gives edge i a new line.
func (w *work) set(i int, p geom.Path) { w.paths[i], w.put[i] = p, true }

// name is an edge's name.
func (w *work) name(i int) string { return w.piece.Edges[i].Name }

// reach is how far in mm an edge may be run on to meet its neighbour.
const reach = 150

// leastMeeting is the angle in radians under which two lines are too nearly
// parallel to say where they meet.
const leastMeeting = 10 * math.Pi / 180

// meet brings the edges at corner k together again: at the meeting of their
// lines nearest to the point near, each cut there or run on along its carrier.
func (w *work) meet(k int, near geom.Point) error {
	i := w.before(k)
	a, b := w.paths[i], w.paths[k]
	if a.End().Dist(b.Start()) < 1e-9 {
		return nil
	}
	x, y, ok := meetLines(a, b, near)
	if turn := math.Abs(geom.AngleBetween(a.EndTangent(), b.StartTangent())); !ok && turn < leastMeeting {
		return fmt.Errorf("%s: %q and %q no longer meet: each runs on from the other in nearly one line, so that neither moves by itself; %s",
			w.piece.Name, w.name(i), w.name(k), w.makeOne(i, k))
	}
	if !ok {
		return fmt.Errorf("%s: %q and %q no longer meet: run on by up to %.0f mm they do not cross near (%.1f, %.1f); alter by less, or redraw one of them first",
			w.piece.Name, w.name(i), w.name(k), float64(reach), near.X, near.Y)
	}
	w.set(i, x)
	w.set(k, y)
	return nil
}

// makeOne says what to do about two neighbours of which neither moves by itself.
func (w *work) makeOne(i, k int) string {
	return fmt.Sprintf("make the two one edge first with `toile edge %q %q --with %q`, and alter that", w.piece.Name, w.name(i), w.name(k))
}

// meetLines brings the end of a and the start of b together: at the meeting of
// their lines nearest to the point near, each cut there or run on along its
// carrier. It fails where they do not meet at an angle within reach.
func meetLines(a, b geom.Path, near geom.Point) (x, y geom.Path, ok bool) {
	_, ahead := geom.CarrierEnds(a, reach)
	behind, _ := geom.CarrierEnds(b, reach)
	on, from := append(append(geom.Path{}, a...), ahead...), append(append(geom.Path{}, behind...), b...)
	best, found := geom.PathMeeting{}, false
	for _, m := range geom.MeetPaths(on, from) {
		turn := math.Abs(geom.AngleBetween(on[m.P.Curve].Tangent(m.P.T), from[m.Q.Curve].Tangent(m.Q.T)))
		if turn < leastMeeting || turn > math.Pi-leastMeeting {
			continue
		}
		if !found || m.At.Dist(near) < best.At.Dist(near) {
			best, found = m, true
		}
	}
	if !found {
		return nil, nil, false
	}
	back := geom.Place{Curve: len(from) - 1 - best.Q.Curve, T: 1 - best.Q.T}
	return ended(a, ahead, best.P, best.At), ended(b.Reverse(), behind.Reverse(), back, best.At).Reverse(), true
}

// ended returns the path p, run on along ext, up to the place on both
// together, with its end moved onto the point by rounding alone. A straight
// end that runs on straight stays one line.
func ended(p, ext geom.Path, at geom.Place, end geom.Point) geom.Path {
	whole := append(append(geom.Path{}, p...), ext...)
	out := whole.Between(geom.Place{}, at)
	n := len(out)
	if n == 0 {
		return p
	}
	last := out[n-1]
	switch {
	case n == len(p)+1 && last.IsStraight(1e-6) && out[n-2].IsStraight(1e-6) && inLine(out[n-2], last):
		return append(out[:n-2:n-2], geom.Line(out[n-2].P0, end))
	case last.IsStraight(1e-6):
		out[n-1] = geom.Line(last.P0, end)
	default:
		out[n-1].P3 = end
	}
	return out
}

// inLine reports whether one straight curve runs on another's line.
func inLine(a, b geom.Cubic) bool {
	u, v := a.P3.Sub(a.P0).Unit(), b.P3.Sub(b.P0).Unit()
	return u.Dot(v) > 0 && math.Abs(u.Cross(v)) < 1e-9
}

// finish stores the new lines and checks the piece. Coordinates are stored at
// 0.001 mm. Edges that were not put keep their stored nodes.
func (w *work) finish() error {
	for i, p := range w.paths {
		if w.put[i] && !w.held {
			if err := holdMouths(w.piece, i, w.piece.EdgePath(i), p); err != nil {
				return err
			}
		}
	}
	for i := range w.paths {
		if w.put[i] || w.put[w.before(i)] {
			w.piece.Corners[i].At = rounded(w.paths[i].Start())
		}
	}
	for i, p := range w.paths {
		if w.put[i] {
			w.piece.Edges[i].SetPath(storable(p))
		}
	}
	if ring, _ := w.piece.SharpRing(); ring.Area() <= 0 {
		return fmt.Errorf("that alteration does not work: nothing of %s would be left between its edges there; give less, or a line farther within it; the pattern is as it was", w.piece.Name)
	}
	if err := w.piece.Validate(); err != nil {
		return fmt.Errorf("that alteration does not work: %w; %sthe pattern is as it was", err, w.nextStep(err))
	}
	return nil
}

// nextStep says what to do about a notch or mark that an alteration leaves no
// room for.
func (w *work) nextStep(err error) string {
	var problem *pattern.Problem
	name := ""
	switch {
	case !errors.As(err, &problem):
	case problem.Part == pattern.PartNotch:
		name = w.piece.Notches[problem.Index].Name
	case problem.Part == pattern.PartMark:
		name = w.piece.Marks[problem.Index].Name
	}
	if name == "" {
		return ""
	}
	if name == w.moved {
		return "give another place for it; "
	}
	return fmt.Sprintf("move it first with `toile alter move %q %q`, or take it away with `toile alter remove %q %q`; ", w.piece.Name, name, w.piece.Name, name)
}

func rounded(p geom.Point) geom.Point {
	return geom.Pt(math.Round(p.X*1000)/1000, math.Round(p.Y*1000)/1000)
}

// asStored rounds a piece that a motion moved to what files hold, 0.001 mm.
func asStored(q *pattern.Piece) {
	for i := range q.Corners {
		q.Corners[i].At = rounded(q.Corners[i].At)
	}
	for i := range q.Edges {
		e := &q.Edges[i]
		for k := range e.Nodes {
			e.Nodes[k] = rounded(e.Nodes[k])
		}
		for _, h := range e.Handles {
			if h != nil {
				h.First, h.Second = rounded(h.First), rounded(h.Second)
			}
		}
	}
	if g := q.Grain; g != nil {
		g.From, g.To = rounded(g.From), rounded(g.To)
	}
	for i := range q.Marks {
		q.Marks[i].At = rounded(q.Marks[i].At)
	}
}
