package diff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// bare takes ids and names from a piece and starts its outline at another
// corner.
func bare(p *pattern.Piece, start int, names ...string) *pattern.Piece {
	q := p.Clone()
	n := len(p.Edges)
	for i := range n {
		q.Corners[i], q.Edges[i] = p.Corners[(i+start)%n], p.Edges[(i+start)%n]
		q.Edges[i].ID, q.Edges[i].Name = "", names[i]
	}
	return q
}

// requireFollowed checks one edge both ways.
func requireFollowed(t *testing.T, a, b *pattern.Piece, then, now string) {
	t.Helper()
	d := compare(t, a, b)
	require.Equal(t, then, EdgeThen(d, now))
	require.Equal(t, now, EdgeNow(d, then))
}

func TestEdgeFollowedByID(t *testing.T) {
	b := panel(300, 740)
	b.Edges[2].Name, b.Edges[0].Name = "waist", "hemline" // the names changed places
	requireFollowed(t, panel(300, 800), b, "hemline", "waist")
	requireFollowed(t, panel(300, 800), b, "waist", "hemline")
	requireFollowed(t, panel(300, 800), b, "side seam", "side seam")
}

// Ids and names are gone, the outline starts elsewhere, and the hem has moved:
// every edge is found by the way it lies.
func TestEdgeFollowedByPlace(t *testing.T) {
	a := panel(300, 800)
	a.Corners[2].At = geom.Pt(340, 800)
	b := panel(300, 740)
	b.Corners[2].At = geom.Pt(337, 740)
	for start := range 4 {
		c := bare(b, start, "edge 1", "edge 2", "edge 3", "edge 4")
		for i, now := range c.EdgeNames() {
			requireFollowed(t, a, c, skirtEdges[(i+start)%4], now)
		}
	}
}

// Given names count before places: of two sides of one length each keeps its
// own, also where one of them is called otherwise now.
func TestEdgeFollowedByName(t *testing.T) {
	a := panel(300, 800)
	b := bare(panel(300, 740), 2, "hemline", "centre front", "waist", "side seam")
	for then, now := range map[string]string{"waist": "waist", "side seam": "side seam", "hemline": "hemline", "centre": "centre front"} {
		requireFollowed(t, a, b, then, now)
	}
}

func TestEdgeDividedAndJoined(t *testing.T) {
	a := panel(300, 800)
	b := build("panel", []string{"waist", "upper side", "side seam", "hemline", "centre"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 300)),
		geom.Polyline(geom.Pt(300, 300), geom.Pt(300, 800)), geom.Polyline(geom.Pt(300, 800), geom.Pt(0, 800)),
		geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	for i, id := range []string{"00000001", "000000aa", "00000002", "00000003", "00000004"} {
		b.Edges[i].ID = id
	}
	for _, ids := range []bool{true, false} {
		if !ids {
			for i := range b.Edges {
				b.Edges[i].ID = ""
			}
		}
		d := compare(t, a, b)
		require.Equal(t, "side seam", EdgeThen(d, "upper side"))
		require.Equal(t, "side seam", EdgeThen(d, "side seam"))
		require.Equal(t, "side seam", EdgeNow(d, "side seam"))
		d = compare(t, b, a)
		require.Equal(t, "side seam", EdgeNow(d, "upper side"))
		require.Equal(t, "side seam", EdgeThen(d, "side seam"))
	}
}

// An edge that is new continues none, and one that is gone is continued by
// none.
func TestEdgeNewAndGone(t *testing.T) {
	a := panel(300, 800)
	b := build("panel", []string{"waist", "side seam", "slant", "hemline", "centre"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 600)),
		geom.Polyline(geom.Pt(300, 600), geom.Pt(200, 800)), geom.Polyline(geom.Pt(200, 800), geom.Pt(0, 800)),
		geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	for i, id := range []string{"00000001", "00000002", "000000aa", "00000003", "00000004"} {
		b.Edges[i].ID = id
	}
	d := compare(t, a, b)
	require.Empty(t, EdgeThen(d, "slant"))
	require.Empty(t, EdgeThen(d, "elbow"))
	require.Equal(t, "hemline", EdgeThen(d, "hemline"))
	d = compare(t, b, a)
	require.Empty(t, EdgeNow(d, "slant"))
	require.Empty(t, EdgeNow(d, "elbow"))
}
