package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

const (
	// sameOnPaper is how near in mm two places lie that a pen marks alike.
	sameOnPaper = 0.3
	// clearOfRim is how far in mm the signs on a strip stay from its rim.
	clearOfRim = 2.0
	// leastGrainTurn in radians, a tenth of a degree, is what somebody could draw.
	leastGrainTurn = 0.1 * math.Pi / 180
)

// place is something that is marked on the paper.
type place struct {
	name   string       // its own
	called string       // its name, with what makes it look as it does
	looks  string       // what makes it look as it does, alone
	points []geom.Point // that show where
	onEdge bool         // a notch, dart or pleat
	stayed bool         // it lies where it did, and only looks otherwise
}

// at reports whether two signs lie in one place on paper.
func (w patchwork) at(a, b place) bool {
	if len(a.points) != len(b.points) {
		return false
	}
	for i, p := range a.points {
		if p.Dist(b.points[i]) > math.Max(sameOnPaper, w.within) {
			return false
		}
	}
	return true
}

// newPlaces are the notches, marks, lines and the grain that lie elsewhere on
// the paper than they did, or are new, or drawn otherwise, by what is in both
// versions of the piece: an edge that moves takes its notches along without
// their being moved. What is only called otherwise is none.
func (w patchwork) newPlaces() []place {
	var out []place
	before := w.signsOf(w.diff.Old)
	for _, now := range w.signsOf(w.diff.New) {
		i := slices.IndexFunc(before, func(was place) bool { return was.looks == now.looks && w.at(was, now) })
		if i < 0 {
			now.stayed = slices.ContainsFunc(before, func(was place) bool { return was.name == now.name && w.at(was, now) })
			out = append(out, now)
		}
	}
	if g := w.diff.New.Grain; w.grainTurned() {
		if sh, err := newShape(w.diff.New); err == nil {
			g = sh.piece.Grain // as far as it is drawn
		}
		out = append(out, place{called: grainWords(g), points: []geom.Point{g.From, g.To}})
	}
	return out
}

// signsOf are all that is marked on the paper of a piece but its grain and its
// lines to sew and cut.
func (w patchwork) signsOf(q *pattern.Piece) []place {
	var out []place
	for _, n := range q.Notches {
		at, along, _, err := q.NotchPlace(n)
		if err != nil {
			continue
		}
		by := (&shape{piece: q}).allowedAt(n.Edge, w.print.set)
		if by == 0 {
			by = -paperNotch // drawn inward
		}
		called := n.Name
		if n.Count > 1 {
			called += fmt.Sprintf(" (%d strokes)", n.Count)
		}
		out = append(out, place{name: n.Name, called: called, looks: fmt.Sprintf("%s of %d strokes", notchLooks, max(n.Count, 1)), onEdge: true,
			points: []geom.Point{at, at.Add(along.Left().Mul(by))}})
	}
	for _, m := range q.Marks {
		if points := markPoints(q, m); len(points) > 0 {
			looks := w.markLooks(m)
			out = append(out, place{name: m.Name, called: markWords(m) + looks, looks: string(m.Kind) + looks, points: points, onEdge: m.Edge != ""})
		}
	}
	for _, l := range q.Lines {
		if points := alongMark(l.Path); points != nil {
			out = append(out, place{name: l.Name, called: l.Name, looks: "line", points: points})
		}
	}
	return out
}

// paperNotch is how long in mm a notch is on paper where there is no allowance:
// the pen's ticks with paperLetters.
const paperNotch = tickLetters * paperLetters

// notchLooks begins the looks of every notch.
const notchLooks = "notch"

// markLooks is what is drawn of a mark besides its kind and place.
func (w patchwork) markLooks(m pattern.Mark) string {
	words := ""
	if m.Size > 0 {
		words += " of " + w.print.sheet.Unit.Format(m.Size)
	}
	if m.Direction != "" {
		words += " towards the " + m.Direction + " of " + m.Edge
	}
	if m.Kind == pattern.MarkText {
		words += fmt.Sprintf(" %q", m.Text)
	}
	return words
}

// grainTurned reports whether the grain runs, or is drawn, otherwise than it did;
// where its line stands is nothing.
func (w patchwork) grainTurned() bool {
	old, now := w.diff.Old.Grain, w.diff.New.Grain
	if now == nil || old == nil {
		return now != nil
	}
	turn := math.Abs(geom.AngleBetween(old.To.Sub(old.From), now.To.Sub(now.From)))
	return turn > leastGrainTurn || grainWords(old) != grainWords(now)
}

// markPoints are the points that show where a mark lies: a dart by both ends of
// its mouth and its point, a pleat by both of its lines, a button by its rim.
func markPoints(q *pattern.Piece, m pattern.Mark) []geom.Point {
	var points []geom.Point
	if m.Edge != "" {
		i, err := q.EdgeIndex(m.Edge)
		if err != nil {
			return nil
		}
		edge := q.EdgePath(i)
		for _, along := range []float64{m.From, m.To} {
			points = append(points, edge.PointAt(along))
			if m.Kind == pattern.MarkPleat {
				points = append(points, edge.PointAt(along).Add(edge.TangentAt(along).Right().Mul(pleatDeep*paperLetters)))
			}
		}
	}
	switch {
	case len(m.Path) > 0:
		points = append(points, alongMark(m.Path)...)
	case m.Kind == pattern.MarkButton:
		r := m.Size / 2
		points = append(points, m.At.Sub(geom.Pt(r, 0)), m.At.Add(geom.Pt(r, 0)), m.At.Sub(geom.Pt(0, r)), m.At.Add(geom.Pt(0, r)))
	case marksPoint(m):
		points = append(points, m.At)
	}
	return points
}

// alongMark are points by which two lines are told apart.
func alongMark(path geom.Path) []geom.Point {
	const parts = 8
	if len(path) == 0 {
		return nil
	}
	long := path.Length()
	var out []geom.Point
	for k := range parts + 1 {
		out = append(out, path.PointAt(long*float64(k)/parts))
	}
	return out
}

// withPlaces puts every new notch, mark and line on a strip: on one that is there
// already and holds it whole, or on one of its own, the largest first, so that
// what lies between a place and its corner comes along.
func (w patchwork) withPlaces(patches []patch) []patch {
	onto := func(l place) bool {
		by := w.laidBy(l)
		i := slices.IndexFunc(patches, func(p patch) bool {
			laid := l.stayed || by.ways == nil || len(p.added)+len(p.removed) > 0 || p.frame.Holds(by.at)
			return laid && holdsAll(p.frame, around(l.points, clearOfRim))
		})
		if i >= 0 {
			patches[i].places = append(patches[i].places, l.called)
		}
		return i >= 0
	}
	type framed struct {
		place
		patch patch
	}
	var own []framed
	for _, l := range w.newPlaces() {
		if !onto(l) {
			own = append(own, framed{l, w.patchAround(l)})
		}
	}
	slices.SortStableFunc(own, func(a, b framed) int { return int(math.Copysign(1, b.patch.area-a.patch.area)) })
	for _, l := range own {
		if w.saidRather(l.place, l.patch.area) {
			continue
		}
		if !onto(l.place) {
			patches = append(patches, l.patch)
		}
	}
	return patches
}

// around are points in all four directions from each.
func around(points []geom.Point, by float64) []geom.Point {
	var out []geom.Point
	for _, p := range points {
		out = append(out, p.Add(geom.Pt(by, 0)), p.Add(geom.Pt(0, by)), p.Sub(geom.Pt(by, 0)), p.Sub(geom.Pt(0, by)))
	}
	return out
}

// patchAround is a strip with a place and what it is laid by: the nearest corner
// of the cutting line, or for what lies on an edge the nearest notch that stayed,
// and along an edge there, so that much of it can be laid on the paper. What lies
// where it did is laid by itself.
func (w patchwork) patchAround(l place) patch {
	points, ways := slices.Clone(l.points), []geom.Point{{X: 1}}
	if l.onEdge && len(points) > 1 {
		ways = []geom.Point{points[1].Sub(points[0])}
	}
	if by := w.laidBy(l); by.ways != nil && !l.stayed {
		points, ways = append(points, by.at), by.ways
		if l.onEdge {
			ways = append(ways, by.at.Sub(l.points[0]))
		}
	}
	p := w.framed(rectangleAlong(points, ways, aroundPlace))
	p.places = []string{l.called}
	return p
}

// landmark is a place of the cutting line and the ways the strip may lie there.
type landmark struct {
	at   geom.Point
	ways []geom.Point
}

// laidBy finds the nearest one; it has no ways where the piece has none.
func (w patchwork) laidBy(l place) (by landmark) {
	least := math.Inf(1)
	for _, m := range w.landmarks(l.onEdge) {
		for _, p := range l.points {
			if d := p.Dist(m.at); d < least {
				by, least = m, d
			}
		}
	}
	return by
}

// landmarks are the corners of the new cutting line, and with notches those that
// stayed.
func (w patchwork) landmarks(notches bool) []landmark {
	out := w.cutCorners()
	if !notches {
		return out
	}
	before := w.signsOf(w.diff.Old)
	for _, s := range w.signsOf(w.diff.New) {
		if strings.HasPrefix(s.looks, notchLooks) && slices.ContainsFunc(before, func(was place) bool { return was.looks == s.looks && w.at(was, s) }) {
			out = append(out, landmark{s.points[1], []geom.Point{s.points[1].Sub(s.points[0])}})
		}
	}
	return out
}

// cutCorners are the corners of the new cutting line.
func (w patchwork) cutCorners() []landmark {
	var out []landmark
	n := len(w.now.Ring)
	for k, c := range w.now.Ring {
		if w.now.Edge[(k+n-1)%n] != w.now.Edge[k] {
			before := w.now.Ring[(k+n-1)%n]
			out = append(out, landmark{c.P0, []geom.Point{before.Tangent(1), c.Tangent(0)}})
		}
	}
	return out
}

// tooLittle reports whether something was added or removed that no strip is made
// for.
func (w patchwork) tooLittle() bool { return len(w.lie.Added)+len(w.lie.Removed) > 0 }
