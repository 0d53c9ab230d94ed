package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// spreadCase is a spread or a closing along a line between two edges.
type spreadCase struct {
	kind, piece string
	edges       [2]string
	at          [2]float64 // mm from the edges' starts
	by          float64    // mm
	hinge       int        // which end stays closed; −1 for neither
}

func (c spreadCase) String() string {
	s := fmt.Sprintf("%s %s %.1f mm, %q@%.1f:%q@%.1f", c.kind, c.piece, c.by, c.edges[0], c.at[0], c.edges[1], c.at[1])
	if c.hinge >= 0 {
		s += " on " + c.edges[c.hinge]
	}
	return s
}

// randomSpread takes two edges of a piece, places well inside of them, and an
// amount.
func randomSpread(r *rand.Rand, p *pattern.Pattern) spreadCase {
	q := p.Pieces[r.IntN(len(p.Pieces))]
	i := r.IntN(len(q.Edges))
	j := (i + 1 + r.IntN(len(q.Edges)-1)) % len(q.Edges)
	c := spreadCase{kind: []string{"spread", "close"}[r.IntN(2)], piece: q.Name, edges: [2]string{q.Edges[i].Name, q.Edges[j].Name},
		by: 5 + math.Round(25*r.Float64()), hinge: r.IntN(3) - 1}
	for k, e := range []int{i, j} {
		c.at[k] = math.Round(q.EdgePath(e).Length() * (0.2 + 0.6*r.Float64()))
	}
	return c
}

func (c spreadCase) made(p *pattern.Pattern) (*pattern.Pattern, error) {
	r := alter.Recipe{Kind: c.kind, Piece: c.piece, Values: map[string]string{
		"line": fmt.Sprintf("%s@%.1fmm:%s@%.1fmm", c.edges[0], c.at[0], c.edges[1], c.at[1]), "by": fmt.Sprintf("%.1fmm", c.by)}}
	if c.hinge >= 0 {
		r.Values["hinge"] = c.edges[c.hinge]
	}
	res, err := alter.Make(p, r)
	return res.Pattern, err
}

// misses lists what is told otherwise than it was done. A parallel spread
// between straight edges may lie anywhere between two lines alike.
func (c spreadCase) misses(q *pattern.Piece, d change.PieceDiff) []string {
	var out []string
	var found *change.Change
	for k := range d.Changes {
		switch ch := &d.Changes[k]; {
		case ch.Kind == change.Spread && found == nil:
			found = ch
		case ch.Mark == "" && ch.Notch == "":
			out = append(out, "told: "+ch.Says)
		}
	}
	if found == nil {
		return append(out, "no spread told")
	}
	k := slices.Index(found.Edges, c.edges[0])
	if k < 0 || found.Edges[1-k] != c.edges[1] {
		return append(out, "told: "+found.Says)
	}
	sign := map[string]float64{"spread": 1, "close": -1}[c.kind]
	for end := range 2 {
		want, got := sign*c.by, found.Open[k^end]
		if c.hinge == end {
			want = 0
		}
		if math.Abs(want-got) > 0.1+0.01*c.by {
			out = append(out, fmt.Sprintf("%.3f at %q for %.3f", got, c.edges[end], want))
		}
		i, _ := q.EdgeIndex(c.edges[end])
		if off := found.Lines[0][k^end].Point().Dist(q.EdgePath(i).PointAt(c.at[end])); c.hinge >= 0 && off > 2 {
			out = append(out, fmt.Sprintf("the line is %.1f mm off at %q", off, c.edges[end]))
		}
	}
	return out
}

// cornerOnly reports whether the line cuts off no more than a corner in
// parallel: the corner moved, and what led to it may be told as well.
func (c spreadCase) cornerOnly(q *pattern.Piece) bool {
	return c.hinge < 0 && c.oneCorner(q)
}

// oneCorner reports whether no more than one corner lies beyond the line.
func (c spreadCase) oneCorner(q *pattern.Piece) bool {
	i, _ := q.EdgeIndex(c.edges[0])
	j, _ := q.EdgeIndex(c.edges[1])
	return (i+1)%len(q.Edges) == j || (j+1)%len(q.Edges) == i
}

// asSwing reports whether a hinged line that cuts off one corner is told by the
// other reading of the same outline: the hinged edge swung about the hinge, its
// dent smoothed, and the other edge cut or run on to meet it.
func (c spreadCase) asSwing(q *pattern.Piece, d change.PieceDiff) bool {
	swings := 0
	for _, ch := range d.Changes {
		switch {
		case ch.Kind == change.EdgeSwung && ch.Edges[0] == c.edges[max(c.hinge, 0)]:
			swings++
		case ch.Kind != change.EdgeRun && ch.Mark == "" && ch.Notch == "":
			return false
		}
	}
	return c.hinge >= 0 && c.oneCorner(q) && swings == 1
}

// What a spread or a closing did, along any line, is told as that. What is not
// has less of an edge left beside the cut than is drawn anew there; a hinged
// line that cuts off one corner may as well be told as a swing. No line opens
// at one end and closes at the other.
func TestSpreadsAreTold(t *testing.T) {
	drafted, err := smock()
	require.NoError(t, err)
	p := drafted.Pattern
	const seed, cases = 20260514, 400
	r := rand.New(rand.NewPCG(seed, 1))
	made, missed, swung := 0, 0, 0
	for n := range cases {
		c := randomSpread(r, p)
		after, err := c.made(p)
		if err != nil {
			continue
		}
		made++
		k := slices.IndexFunc(p.Pieces, func(q *pattern.Piece) bool { return q.Name == c.piece })
		d, err := diff.Pieces(p.Pieces[k], after.Pieces[k], p)
		require.NoError(t, err)
		for _, ch := range d.Changes {
			if ch.Kind == change.Spread {
				require.GreaterOrEqual(t, ch.Open[0]*ch.Open[1], 0.0, c)
				require.Equal(t, c.kind == "spread", ch.Open[0]+ch.Open[1] > 0, c)
			}
		}
		if c.cornerOnly(p.Pieces[k]) {
			made--
			continue
		}
		if c.asSwing(p.Pieces[k], d) {
			swung++
			continue
		}
		if m := c.misses(p.Pieces[k], d); len(m) > 0 {
			missed++
			t.Logf("seed %d, case %d, %s: %q", seed, n, c, m)
		}
	}
	t.Logf("%d of %d made, %d told as a swing about the hinge, %d otherwise", made, cases, swung, missed)
	require.Greater(t, made, 200)
	require.LessOrEqual(t, missed, made/16)
}
