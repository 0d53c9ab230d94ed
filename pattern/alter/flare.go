package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/change"
)

var _ = register(&Kind{Name: "flare", Does: "swings an edge about a point on it, outward; the hem runs on, eased, to meet it",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge that swings"},
		{Name: "by", What: Length, Typed: true, Means: "the chord at the far end, outward positive"},
		{Name: "angle", What: Angle, Means: "the angle, instead of the chord"},
		{Name: "from", What: Along, Means: "the pivot, counted from the end away from the hem, or L@start, L@end, L@waist from the end at that edge; without it that end"},
		allRound,
		{Name: "blend", What: Flag, Means: "smooth the dent at the pivot with one curve, and lead the hem on without a hollow"},
	}, Alike: []string{"flare"}, Typed: `back "side seam" 5cm --from 18cm`, make: (*making).flare})

func (m *making) flare() error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	if m.has("by") == m.has("angle") {
		return fmt.Errorf("%s, %q: give either the chord at the far end or --angle", m.piece.Name, m.piece.Edges[i].Name)
	}
	w := begin(m.piece)
	farEnd := m.farFromHem(w, i)
	at, turn, err := m.pivot(w, i, farEnd)
	if err != nil {
		return err
	}
	length := w.paths[i].Length()
	was := slices.Clone(w.paths)
	dent, err := w.swing(i, at, farEnd, turn)
	if err != nil {
		return err
	}
	m.leadHem(w, i, farEnd, turn, was)
	if m.flag("blend") && dent != 0 {
		w.blend(i, at)
		m.say("%s, %q runs smoothly over the pivot; it %s", m.piece.Name, m.piece.Edges[i].Name, m.lengthKept(w.paths[i].Length()-length))
	} else if math.Abs(dent) > geom.Degrees(0.05) {
		m.say("%s, %q has a dent of %.2f° at the pivot", m.piece.Name, m.piece.Edges[i].Name, math.Abs(geom.InDegrees(dent)))
	}
	return w.finish()
}

// drawable is the length in mm below which two lengths are the same on paper: finer
// than any pencil's line.
const drawable = 0.1

// lengthKept says by how much the smoothing of a bend changed an edge's length.
func (m *making) lengthKept(longer float64) string {
	switch amount := change.AmountWords(math.Abs(longer), m.pattern.Unit); {
	case math.Abs(longer) < drawable:
		return "keeps its length, to a tenth of a millimetre"
	case longer < 0:
		return "is " + amount + " shorter for it"
	default:
		return "is " + amount + " longer for it"
	}
}

// pivot reads where edge i swings, in mm from its start, and by which angle.
func (m *making) pivot(w *work, i int, farEnd bool) (at, turn float64, err error) {
	if !farEnd {
		at = w.paths[i].Length()
	}
	if m.has("from") {
		if at, err = m.along("from", i, !farEnd); err != nil {
			return 0, 0, err
		}
	}
	arm := w.paths[i].End()
	if !farEnd {
		arm = w.paths[i].Start()
	}
	turn, err = m.swing(i, w.paths[i].PointAt(at).Dist(arm))
	return at, turn, err
}

// farFromHem says which end swings: the one at the hem, or else the lower one
// along the grain; true for the edge's end.
func (m *making) farFromHem(w *work, i int) bool {
	switch m.piece.HemEdge() {
	case w.after(i):
		return true
	case w.before(i):
		return false
	}
	down := m.piece.GrainDirection()
	return w.paths[i].End().Dot(down) >= w.paths[i].Start().Dot(down)
}

// swing reads the angle, outward positive, for an arm of r mm.
func (m *making) swing(i int, r float64) (float64, error) {
	if m.has("angle") {
		turn, err := m.angle("angle")
		if err == nil && math.Abs(turn) > math.Pi/2 {
			err = fmt.Errorf("%s, %q: an angle of %.4g° would swing it by more than 90°; give less", m.piece.Name, m.piece.Edges[i].Name, geom.InDegrees(turn))
		}
		return turn, err
	}
	by, err := m.length("by")
	if err != nil {
		return 0, err
	}
	if by == 0 {
		return 0, fmt.Errorf("%s, %q: a chord of 0 swings nothing; give more, or less than 0 to swing it inward", m.piece.Name, m.piece.Edges[i].Name)
	}
	if s := by / 2 / r; math.Abs(s) < math.Sin(math.Pi/4) {
		return 2 * math.Asin(s), nil
	}
	return 0, fmt.Errorf("%s, %q: a chord of %s at an arm of %s would swing it by more than 90°; give less",
		m.piece.Name, m.piece.Edges[i].Name, m.format(by), m.format(r))
}

// swing turns the part of edge i beyond the length at, towards its end (atEnd)
// or its start, outward by an angle. The neighbour there is eased on to it.
// It returns the dent left at the pivot.
func (w *work) swing(i int, at float64, atEnd bool, out float64) (dent float64, err error) {
	p := w.paths[i]
	length := p.Length()
	if (atEnd && length-at < 1) || (!atEnd && at < 1) {
		return 0, fmt.Errorf("%s, %q: the pivot lies at its far end, so that nothing swings; give a point before it", w.piece.Name, w.name(i))
	}
	pivot := p.PointAt(at)
	lead, arm := p.Split(at)
	if at < 1e-6 {
		lead, arm = nil, p
	} else if at > length-1e-6 {
		lead, arm = p, nil
	}
	turn, k := -out, w.after(i) // outward at the end of a clockwise edge turns anticlockwise
	if !atEnd {
		lead, arm, turn, k = arm, lead, out, i
	}
	about := geom.Motion{Shift: pivot.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: pivot})
	swung := arm.Moved(about)
	next := w.after(i)
	whole := append(append(geom.Path{}, lead...), swung...)
	if !atEnd {
		next = w.before(i)
		whole = append(append(geom.Path{}, swung...), lead...)
	}
	if len(lead) > 0 {
		dent = turn
	}
	w.set(i, whole)
	return dent, w.ease(next, k, turn)
}

// ease leads the edge next on to the corner k that a swing by turn moved:
// one cubic from its old end, tangent there, that meets the swung edge at the
// angle the old corner had. Swung inward, it starts two chords before the
// meeting.
func (w *work) ease(next, k int, turn float64) error {
	p, atStart := w.paths[next], next == k
	if atStart {
		p = p.Reverse()
	}
	to := w.paths[k].Start()
	if atStart {
		to = w.paths[w.before(k)].End()
	}
	from, dir := p.End(), p.EndTangent()
	arrive := dir.Turn(turn)
	if to.Sub(from).Dot(dir) < 0 { // inward
		back := 2 * from.Dist(to)
		length := p.Length()
		at, _ := p.Nearest(to)
		swung := w.paths[w.before(k)]
		if !atStart {
			swung = w.paths[k]
		}
		if m := geom.MeetPaths(p, swung); len(m) > 0 {
			at = m[len(m)-1].P
		}
		start := p.LengthTo(at) - back
		if start <= 0 {
			return fmt.Errorf("%s: %q is %.1f mm long, too short to be led in to the swung edge over %.1f mm; swing by less",
				w.piece.Name, w.name(next), length, back)
		}
		p = p.BetweenLengths(0, start)
		from, dir = p.End(), p.EndTangent()
	}
	p = append(append(geom.Path{}, p...), geom.Eased(from, dir, to, arrive))
	if atStart {
		p = p.Reverse()
	}
	w.set(next, p)
	return nil
}

// mostBlended is how far in mm on either side of a pivot its dent is smoothed
// at most.
const mostBlended = 100.0

// blend smooths edge i at a length from its start: one curve tangent to both
// parts takes the place of as much of either, half of the shorter one at most.
func (w *work) blend(i int, at float64) {
	p := w.paths[i]
	length := p.Length()
	over := math.Min(mostBlended, math.Min(at, length-at)/2)
	lead, rest := p.BetweenLengths(0, at-over), p.BetweenLengths(at+over, length)
	smooth := geom.Eased(lead.End(), lead.EndTangent(), rest.Start(), rest.StartTangent())
	w.set(i, append(append(append(geom.Path{}, lead...), smooth), rest...))
}
