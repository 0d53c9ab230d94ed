package match_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

// box gives the edges of a polygon, one straight line each.
func box(points ...geom.Point) []geom.Path {
	var out []geom.Path
	for _, c := range geom.Polygon(points...) {
		out = append(out, geom.Path{c})
	}
	return out
}

func edgesOf(ids []match.Identity) []int {
	var out []int
	for _, id := range ids {
		out = append(out, id.Edge)
	}
	return out
}

func TestEdgesHemUp(t *testing.T) {
	old := box(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	// Listed from another corner: hem, left, top, right.
	new := box(pt(300, 740), pt(0, 740), pt(0, 0), pt(300, 0))
	ids := match.Edges(old, new, tol)
	assert.Equal(t, []int{2, 3, 0, 1}, edgesOf(ids))
	assert.Zero(t, ids[0].Shared, "the hem was settled by order")
	assert.InDelta(t, 740, ids[1].Shared, 1e-6)
}

func TestEdgesAllMovedALittle(t *testing.T) {
	old := box(pt(0, 0), pt(300, 0), pt(310, 800), pt(0, 800))
	new := box(pt(301, 803), pt(-2, 806), pt(-2, 3), pt(296, 2))
	assert.Equal(t, []int{2, 3, 0, 1}, edgesOf(match.Edges(old, new, tol)))
}

// An edge divided in two: the longer part keeps it, the other knows whose
// part it is.
func TestEdgesDivided(t *testing.T) {
	old := box(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	new := box(pt(0, 0), pt(300, 0), pt(300, 300), pt(340, 310), pt(300, 320), pt(300, 800), pt(0, 800))
	ids := match.Edges(old, new, tol)
	assert.Equal(t, []int{0, -1, -1, -1, 1, 2, 3}, edgesOf(ids))
	assert.Equal(t, 1, ids[1].Part)
	assert.Equal(t, -1, ids[2].Part)
	assert.InDelta(t, 300, ids[1].Shared, 1e-6)
}

// A hem drawn as two edges: one continues it.
func TestEdgesHemInTwo(t *testing.T) {
	old := box(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	new := box(pt(0, 0), pt(300, 0), pt(300, 740), pt(200, 660), pt(0, 660))
	assert.Equal(t, []int{0, 1, -1, 2, 3}, edgesOf(match.Edges(old, new, tol)))
}

func TestSplitAtSmooth(t *testing.T) {
	// The right side is two edges that meet at (300, 300) without a turn.
	old := box(pt(0, 0), pt(300, 0), pt(300, 300), pt(300, 800), pt(0, 800))
	corner := geom.Degrees(20)
	ring := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 740), pt(0, 740))
	split, starts := match.SplitAtSmooth(old, ring, []int{0, 1, 2, 3}, corner, tol)
	require.Equal(t, []int{0, 1, 2, 3, 4}, starts)
	require.Len(t, split, 5)
	assert.Equal(t, pt(300, 300), split[2].P0)
	assert.Len(t, ring, 4, "the ring given stays")

	// A sharp corner that now lies within a side is none.
	longer := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 900), pt(0, 900))
	split, starts = match.SplitAtSmooth(box(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800)), longer, []int{0, 1, 2, 3}, corner, tol)
	assert.Equal(t, longer, split)
	assert.Equal(t, []int{0, 1, 2, 3}, starts)
}
