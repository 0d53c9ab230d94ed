package check

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// side is a named edge of a piece under way.
type side struct {
	name string
	path geom.Path
}

func straight(name string, from, to geom.Point) side {
	return side{name, geom.Path{geom.Line(from, to)}}
}

// build makes a piece of sides, each starting where the one before ends, with
// an allowance of so many mm all round.
func build(name string, cut pattern.Cut, by float64, sides ...side) *pattern.Piece {
	q := &pattern.Piece{Name: name, Slug: pattern.Slug(name, nil), Cut: cut, Cloth: "outer"}
	for _, s := range sides {
		q.Corners = append(q.Corners, pattern.Corner{At: s.path.Start()})
		e := pattern.Edge{Name: s.name}
		if by > 0 {
			e.Allowance = map[string]float64{pattern.ClothSet: by, pattern.ToileSet: by}
		}
		e.SetPath(s.path)
		q.Edges = append(q.Edges, e)
	}
	return q
}

// polygon makes a piece of straight edges between points.
func polygon(name string, cut pattern.Cut, by float64, names []string, points ...geom.Point) *pattern.Piece {
	var sides []side
	for i, p := range points {
		sides = append(sides, straight(names[i], p, points[(i+1)%len(points)]))
	}
	return build(name, cut, by, sides...)
}

// oblong is a piece with its upper left corner at (x, y).
func oblong(name string, x, y, wide, high float64, top, right, bottom, left string) *pattern.Piece {
	return polygon(name, pattern.CutPair, 15, []string{top, right, bottom, left},
		geom.Pt(x, y), geom.Pt(x+wide, y), geom.Pt(x+wide, y+high), geom.Pt(x, y+high))
}

// sewn is a valid pattern of the pieces.
func sewn(t *testing.T, seams []pattern.Seam, pieces ...*pattern.Piece) *pattern.Pattern {
	t.Helper()
	p := pattern.New("test", "mm")
	for _, q := range pieces {
		p.Put(q)
		p.GiveIDs(q)
		require.NoError(t, q.Validate())
	}
	p.Seams = seams
	for i := range p.Seams {
		require.NoError(t, p.ValidateSeam(&p.Seams[i]))
	}
	return p
}

// seam sews two chains, typed as PIECE/EDGE+PIECE/EDGE.
func seam(t *testing.T, p *pattern.Pattern, name, first, second string) *pattern.Seam {
	t.Helper()
	a, err := p.ParseChain(first)
	require.NoError(t, err)
	b, err := p.ParseChain(second)
	require.NoError(t, err)
	p.Seams = append(p.Seams, pattern.Seam{Name: name, First: a, Second: b})
	s := &p.Seams[len(p.Seams)-1]
	require.NoError(t, p.ValidateSeam(s))
	return s
}

func run(t *testing.T, p *pattern.Pattern, o ...Options) []change.Finding {
	t.Helper()
	o = append(o, Options{})
	for _, q := range p.Pieces {
		require.NoError(t, q.Validate())
	}
	found, err := Run(p, o[0])
	require.NoError(t, err)
	for _, f := range found.Findings {
		require.NotEmpty(t, f.Where)
		require.NotEmpty(t, f.Says)
		require.NotEmpty(t, f.Do)
		require.Contains(t, change.FindingKinds(), f.Kind)
	}
	return found.Findings
}

// only demands one finding of the kind and amount and no other.
func only(t *testing.T, found []change.Finding, kind change.FindingKind, mm, within float64) change.Finding {
	t.Helper()
	require.Len(t, found, 1, "%+v", found)
	require.Equal(t, kind, found[0].Kind)
	require.InDelta(t, mm, found[0].MM, within)
	return found[0]
}

// kinds lists the kinds found, in order.
func kinds(found []change.Finding) []change.FindingKind {
	var all []change.FindingKind
	for _, f := range found {
		all = append(all, f.Kind)
	}
	return all
}
