package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

// run is one edge of the outline being traced.
type run struct {
	path      geom.Path
	name      string // as stored in the end
	drawn     string // as the points file calls it; empty when it does not
	fold      bool
	allowance *float64 // mm in the set asked for; nil when nothing says
	hem       bool     // as a file of toile's own says
	round     float64  // mm, radius at its start; the path is then sharp there
	identity  match.Identity
	settled   bool // a stored edge, moved or not, with the hand's error taken out
}

// crumb: exact drawings have curves shorter than this, in mm, only where a
// program rounded; they would make corners of nothing.
const crumb = 0.002

// divide finds the curves at which edges start. Where nothing turns and
// nothing is declared the ring's own start has to do.
func (t *tracing) divide(ring geom.Ring) (geom.Ring, []int) {
	ring, starts := t.corners(ring)
	if len(starts) == 0 {
		starts = []int{0}
	}
	return ring, starts
}

// corners finds the corners: as declared, as found in noise, else by turn.
func (t *tracing) corners(ring geom.Ring) (geom.Ring, []int) {
	switch {
	case t.fixed != nil:
		return ring, slices.Clone(t.fixed)
	case t.declared():
		var starts []int
		for i := range ring {
			if _, named := t.o.EdgeNames[i]; named || t.o.Corners[i] {
				starts = append(starts, i)
			}
		}
		return ring, starts
	}
	ring = withoutCrumbs(ring)
	return ring, turningAt(ring, t.r.Corner)
}

func (t *tracing) declared() bool { return t.o.Corners != nil || t.o.EdgeNames != nil }

// turningAt lists the curves at whose start the ring turns by more than so
// many radians.
func turningAt(ring geom.Ring, corner float64) []int {
	var starts []int
	for i, c := range ring {
		before := ring[(i+len(ring)-1)%len(ring)]
		if math.Abs(geom.AngleBetween(before.Tangent(1), c.Tangent(0))) > corner {
			starts = append(starts, i)
		}
	}
	return starts
}

// withoutCrumbs drops curves shorter than a crumb; the one before is brought
// to their end.
func withoutCrumbs(ring geom.Ring) geom.Ring {
	isCrumb := func(c geom.Cubic) bool {
		return c.P0.Dist(c.P1)+c.P1.Dist(c.P2)+c.P2.Dist(c.P3) < crumb
	}
	if !slices.ContainsFunc(ring, isCrumb) {
		return ring
	}
	kept := slices.DeleteFunc(slices.Clone(ring), isCrumb)
	for i := range kept {
		if next := kept[(i+1)%len(kept)].P0; kept[i].P3 != next {
			kept[i] = moveEnds(kept[i], kept[i].P0, next)
		}
	}
	if len(kept) == 0 {
		return ring
	}
	return kept
}

// moveEnds brings a curve's ends to p and q, each with its handle.
func moveEnds(c geom.Cubic, p, q geom.Point) geom.Cubic {
	if c.IsStraight(storedStraight) {
		return geom.Line(p, q)
	}
	return geom.Cubic{P0: p, P1: c.P1.Add(p.Sub(c.P0)), P2: c.P2.Add(q.Sub(c.P3)), P3: q}
}

// runs cuts the ring at the starts.
func (t *tracing) runs(ring geom.Ring, starts []int) []run {
	n := len(ring)
	out := make([]run, len(starts))
	for k, from := range starts {
		to := starts[(k+1)%len(starts)]
		if to <= from {
			to += n
		}
		u := run{drawn: t.o.EdgeNames[from], identity: match.Identity{Edge: -1, Part: -1}}
		for i := from; i < to; i++ {
			u.path = append(u.path, ring[i%n])
		}
		if told, ok := t.o.Told[from]; ok && t.old == nil {
			u.fold, u.hem = told.Fold, told.Hem
			if !told.Fold {
				u.allowance = &told.Allowance
			}
		}
		out[k] = u
	}
	return out
}

// nameRuns gives every run that has no name the one drawn, else `edge N`:
// N is its number, or the next free one where that is taken.
func (t *tracing) nameRuns(runs []run) error {
	taken := map[string]bool{}
	for _, u := range runs {
		taken[u.name] = true
	}
	for i := range runs {
		if u := &runs[i]; u.name == "" && u.drawn != "" {
			name, err := pattern.CleanName(u.drawn)
			if err != nil {
				return fmt.Errorf("edge %d: %w; change it in the file", i+1, err)
			}
			u.name = unusedName(name, taken)
			if u.name != name {
				t.says("edge %d is called %q, for the name %q is that of another edge; name it with `toile edge %q %d NAME`", i+1, u.name, name, t.name, i+1)
			}
		}
	}
	if t.old != nil { // a name of an edge that is gone is not given again
		for _, e := range t.old.Edges {
			taken[e.Name] = true
		}
	}
	for i := range runs {
		if runs[i].name == "" {
			runs[i].name = numberedName("edge", i+1, taken)
		}
	}
	return nil
}

// unusedName returns the name, with a number behind it where it is taken, and
// takes it.
func unusedName(name string, taken map[string]bool) string {
	if !taken[name] {
		taken[name] = true
		return name
	}
	return numberedName(name, 2, taken)
}

// numberedName returns `word N` for the first free N from n on, and takes it.
func numberedName(word string, n int, taken map[string]bool) string {
	for ; ; n++ {
		if name := fmt.Sprintf("%s %d", word, n); !taken[name] {
			taken[name] = true
			return name
		}
	}
}

// storedStraight: a curve within so many mm of its chord is stored as a line;
// half the last digit of stored coordinates.
const storedStraight = 0.0005

// setRounded stores a path as an edge's inner nodes and handles, as rounded in
// the file.
func setRounded(e *pattern.Edge, path geom.Path) {
	e.Nodes, e.Handles = nil, nil
	for i, c := range path {
		if i > 0 {
			e.Nodes = append(e.Nodes, rounded3(c.P0))
		}
		if c.IsStraight(storedStraight) {
			e.Handles = append(e.Handles, nil)
		} else {
			e.Handles = append(e.Handles, &pattern.Handles{First: rounded3(c.P1), Second: rounded3(c.P2)})
		}
	}
}

// listRuns tells edges with number, name and the side they lie on, for
// messages.
func listRuns(runs []run, which func(run) bool) string {
	var out []string
	for i, u := range runs {
		if which(u) {
			out = append(out, fmt.Sprintf("%d %q (%s)", i+1, u.name, u.side()))
		}
	}
	return strings.Join(out, ", ")
}

func anyRun(run) bool { return true }
