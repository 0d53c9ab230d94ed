package merge

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/units"
)

// drawn is one edge of a piece under way.
type drawn struct {
	name string
	path geom.Path
}

func lineTo(name string, x0, y0, x1, y1 float64) drawn {
	return drawn{name, geom.Polyline(geom.Pt(x0, y0), geom.Pt(x1, y1))}
}

func curveTo(name string, v ...float64) drawn {
	return drawn{name, geom.Path{{P0: geom.Pt(v[0], v[1]), P1: geom.Pt(v[2], v[3]), P2: geom.Pt(v[4], v[5]), P3: geom.Pt(v[6], v[7])}}}
}

func pieceOf(name string, edges ...drawn) *pattern.Piece {
	q := &pattern.Piece{Name: name, Cloth: "outer", Cut: pattern.CutOne}
	for _, d := range edges {
		q.Corners = append(q.Corners, pattern.Corner{At: d.path.Start()})
		e := pattern.Edge{Name: d.name, Allowance: map[string]float64{pattern.ClothSet: 10}}
		e.SetPath(d.path)
		q.Edges = append(q.Edges, e)
	}
	return q
}

// patternOf holds the pieces, as files would.
func patternOf(t testing.TB, pieces ...*pattern.Piece) *pattern.Pattern {
	t.Helper()
	p := pattern.New("smock", units.Millimetre)
	for _, q := range pieces {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	return kept1(t, p)
}

// kept1 is the pattern as it is after being kept.
func kept1(t testing.TB, p *pattern.Pattern) *pattern.Pattern {
	t.Helper()
	q, err := stored(p)
	require.NoError(t, err)
	return q
}

// block is the piece of the worked examples: waist at y 0, side at x 200, hem at
// y 600, centre at x 0.
func block(t testing.TB) *pattern.Pattern {
	return patternOf(t, pieceOf("back", lineTo("waist", 0, 0, 200, 0), lineTo("side", 200, 0, 200, 600),
		lineTo("hem", 200, 600, 0, 600), lineTo("centre", 0, 600, 0, 0)))
}

// altered makes an alteration; keys and values come in pairs.
func altered(t testing.TB, p *pattern.Pattern, kind, piece string, values ...string) *pattern.Pattern {
	t.Helper()
	q, err := tried(p, kind, piece, values...)
	require.NoError(t, err, "%s %s %v", kind, piece, values)
	return kept1(t, q)
}

func tried(p *pattern.Pattern, kind, piece string, values ...string) (*pattern.Pattern, error) {
	r := pattern.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	res, err := alter.Make(p, r)
	return res.Pattern, err
}

// joined merges without conflicts.
func joined(t testing.TB, shared, here, there *pattern.Pattern) *pattern.Pattern {
	t.Helper()
	res, err := Merge(Input{Shared: shared, Here: here, There: there})
	require.NoError(t, err)
	require.Empty(t, res.Conflicts)
	return res.Pattern
}

// reverted takes the changes from before to version out of present.
func reverted(t testing.TB, version, present, before *pattern.Pattern) *pattern.Pattern {
	t.Helper()
	res, err := Merge(Input{Shared: version, Here: present, There: before, Revert: true})
	require.NoError(t, err)
	require.Empty(t, res.Conflicts)
	return res.Pattern
}

func corners(p *pattern.Pattern, piece string) []geom.Point {
	q, _ := p.Piece(piece)
	var at []geom.Point
	for _, c := range q.Corners {
		at = append(at, c.At)
	}
	return at
}

// near requires two points to lie within so many mm of each other.
func near(t testing.TB, want, got geom.Point, within float64) {
	t.Helper()
	require.InDelta(t, 0, want.Dist(got), within, "want %v, got %v", want, got)
}

// text is everything that files say of a pattern.
func text(t testing.TB, p *pattern.Pattern) string {
	t.Helper()
	files, err := p.Encode()
	require.NoError(t, err)
	all := ""
	for _, name := range slices.Sorted(maps.Keys(files)) {
		all += fmt.Sprintf("== %s\n%s", name, files[name])
	}
	return all
}
