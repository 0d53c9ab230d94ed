package alter

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "shift-seam", Does: "moves a seam over: one piece gives what the other takes",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the seam's edge on this piece"},
		{Name: "by", What: Length, Needed: true, Typed: true, Means: "how far it moves outward from this piece; negative inward"},
		{Name: "from", What: Along, Means: "where a taper starts from nothing: L@start, L@end, L@hemline from the end at that edge, or the name of a notch on the edge"},
		{Name: "to", What: End, Means: "the end that moves by the whole amount when it tapers from the other: start or end, or the name of the edge at which it lies"},
	}, Alike: []string{"shift-seam"}, Typed: `front "side seam" 1cm`, make: (*making).shiftSeam})

func (m *making) shiftSeam() error {
	by, err := m.length("by")
	if err != nil {
		return err
	}
	if by == 0 {
		return fmt.Errorf("%s: by nothing the seam stays where it is; give an amount", m.piece.Name)
	}
	give := Recipe{Kind: "let-out", Piece: m.recipe.Piece, Values: maps.Clone(m.recipe.Values)}
	if by < 0 {
		give.Kind = "take-in"
		give.Values["by"] = strings.TrimLeft(m.text("by"), "-\u2212 ")
	}
	partners, err := Partners(m.pattern, give)
	if err != nil {
		return fmt.Errorf("%w; a seam is shifted between two edges sewn to each other", err)
	}
	if len(partners) > 1 {
		return fmt.Errorf("%s, %q is sewn to %d edges; shift it with let-out and take-in on each", m.piece.Name, m.text("edge"), len(partners))
	}
	own := func(r Recipe) bool { return r.Piece == give.Piece && r.Values["edge"] == give.Values["edge"] }
	if len(partners) == 0 || own(partners[0]) {
		return fmt.Errorf("%s, %q is sewn to its own mirror image; there is nothing to shift it to: let it out or take it in", m.piece.Name, m.text("edge"))
	}
	sign := 1.0
	if by < 0 {
		sign = -1
	}
	return m.shiftBetween(give, partners[0], sign)
}

// shiftBetween lets out one side of a seam and takes in the other, or the other way round,
// and says where they do not fit any more.
func (m *making) shiftBetween(give, take Recipe, sign float64) error {
	was := m.misfitsBetween(give, take)
	grows, shrinks := give, take
	if sign < 0 {
		grows, shrinks = take, give
	}
	runOn := m.sharedLines(grows, shrinks)
	if err := m.recast(grows, 1, runOn); err != nil {
		return err
	}
	if err := m.recast(shrinks, -1, nil); err != nil {
		return err
	}
	for s, now := range m.misfitsBetween(give, take) {
		if seam := &m.pattern.Seams[s]; now > m.pattern.Tolerances.Section && now > was[s] {
			m.say("seam %q no longer fits by %s, for the edges beside it run on at different angles on both sides; `toile check --seam %q` tells where", seam.Name, m.format(now), seam.Name)
		}
	}
	return nil
}

// misfitsBetween is by how many mm the seams of two edges do not fit, by their places
// in the pattern.
func (m *making) misfitsBetween(a, b Recipe) map[int]float64 {
	has := func(c pattern.Chain, r Recipe) bool {
		return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == r.Piece && st.Edge == r.Values["edge"] })
	}
	out := map[int]float64{}
	for i := range m.pattern.Seams {
		s := &m.pattern.Seams[i]
		if has(s.First, a) && has(s.Second, b) || has(s.First, b) && has(s.Second, a) {
			out[i] = misfit(m.pattern, s)
		}
	}
	return out
}

// sharedLines runs the neighbours of the edge that grows on along what the other piece
// has there: laid together at the seam, a line that goes on smoothly from one piece to
// the other is one line, which both sides of the seam end at wherever it is moved to. It
// is nil where the edges are not congruent, or one is sewn to a part of the other.
func (m *making) sharedLines(grows, shrinks Recipe) func(w *work, i int) {
	q, i, okA := edgeOf(m.pattern, pattern.Stretch{Piece: grows.Piece, Edge: grows.Values["edge"]})
	other, j, okB := edgeOf(m.pattern, pattern.Stretch{Piece: shrinks.Piece, Edge: shrinks.Values["edge"]})
	if !okA || !okB || q == other {
		return nil
	}
	laid, err := m.layTogether(q, i, other, j)
	if err != nil {
		return nil
	}
	n := len(laid.Edges)
	before, after := laid.EdgePath((j+n-1)%n), laid.EdgePath((j+1)%n)
	return func(w *work, i int) {
		if k := w.before(i); w.paths[k].End() != w.paths[i].Start() {
			if on, ok := runsOnSmoothly(w.paths[k], after); ok {
				w.set(k, on)
			}
		}
		if k := w.after(i); w.paths[k].Start() != w.paths[i].End() {
			if on, ok := runsOnSmoothly(w.paths[k].Reverse(), before.Reverse()); ok {
				w.set(k, on.Reverse())
			}
		}
	}
}

// sharedBend is the bend in radians up to which a line that goes on from one piece to
// the other is one line: what counts as smooth where pieces are laid together.
const sharedBend = 3 * math.Pi / 180

// runsOnSmoothly is a line and the one that goes on from its end as one, where they
// do so smoothly.
func runsOnSmoothly(line, on geom.Path) (geom.Path, bool) {
	if len(on) == 0 || math.Abs(geom.AngleBetween(line.EndTangent(), on.StartTangent())) > sharedBend {
		return nil, false
	}
	on = slices.Clone(on)
	if on[0].IsStraight(1e-6) {
		on[0] = geom.Line(line.End(), on[0].P3)
	} else {
		on[0].P0 = line.End()
	}
	return runTogether(line, on), true
}

// recast lets one side of the seam out, or takes it in, as part of this
// alteration.
func (m *making) recast(r Recipe, sign float64, runOn func(w *work, i int)) error {
	q, err := m.pattern.Piece(r.Piece)
	if err != nil {
		return err
	}
	part := &making{pattern: m.pattern, piece: q, recipe: r}
	if err := part.letOutAlong(sign, runOn); err != nil {
		return err
	}
	m.says = append(m.says, part.says...)
	return nil
}
