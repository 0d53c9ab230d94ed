package diff

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/units"
)

// made is a piece after alterations typed in mm.
func made(t *testing.T, p *pattern.Piece, recipes ...map[string]string) *pattern.Piece {
	t.Helper()
	p = p.Clone()
	if p.ID == "" {
		p.ID = "0000abcd"
	}
	pat := pattern.New("test", units.Millimetre)
	pat.Put(p)
	for _, values := range recipes {
		r := pattern.Recipe{Kind: values["alter"], Piece: p.Name, Values: map[string]string{}}
		for k, v := range values {
			if k != "alter" {
				r.Values[k] = v
			}
		}
		done, err := alter.Make(pat, r)
		require.NoError(t, err)
		pat = done.Pattern
	}
	return pat.Pieces[0]
}

func only(d change.PieceDiff, k change.Kind) []change.Change {
	var found []change.Change
	for _, ch := range d.Changes {
		if ch.Kind == k {
			found = append(found, ch)
		}
	}
	return found
}

// The side out by 15 and the hem bent down at 40 from it, 600 long and 100 deep:
// two changes, of which no spread may swallow one.
func TestBentEdgeIsNotASpread(t *testing.T) {
	b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(655, 0)), geom.Polyline(geom.Pt(655, 0), geom.Pt(655, 62)),
		geom.Polyline(geom.Pt(655, 62), geom.Pt(600, 62), geom.Pt(0, 162)), geom.Polyline(geom.Pt(0, 162), geom.Pt(0, 0)))
	d := compare(t, panel(640, 62), b)
	require.Empty(t, only(d, change.Spread))
	require.Equal(t, []string{"edge-moved [side seam]", "edge-swung [hemline]"}, kinds(d)[:2])
	require.InDelta(t, 15, *d.Changes[0].By, 1e-6)
	require.InDelta(t, 9.462322, *d.Changes[1].Turn, 1e-4, "atan(100/600)")
}

// The side out by 40 and the waist bulged over its first 500: the curve's
// greatest height is 3/4 of its handles', 60.
func TestBulgedEdgeIsNotASpread(t *testing.T) {
	waist := geom.Path{geom.Cubic{P0: geom.Pt(0, 0), P1: geom.Pt(100, -80), P2: geom.Pt(400, -80), P3: geom.Pt(500, 0)}, geom.Line(geom.Pt(500, 0), geom.Pt(680, 0))}
	b := build("panel", skirtEdges, waist, geom.Polyline(geom.Pt(680, 0), geom.Pt(680, 200)),
		geom.Polyline(geom.Pt(680, 200), geom.Pt(0, 200)), geom.Polyline(geom.Pt(0, 200), geom.Pt(0, 0)))
	d := compare(t, panel(640, 200), b)
	require.Equal(t, []string{"edge-redrawn [waist]", "edge-moved [side seam]", "edge-run [hemline]"}, kinds(d))
	require.InDelta(t, 60, *d.Changes[0].Max, 1e-3)
}

// A side let out and a hem swung about a place near it.
func TestSwingBesideALetOutEdge(t *testing.T) {
	p := panel(640, 62)
	q := made(t, p, map[string]string{"alter": "let-out", "edge": "side seam", "by": "14.9"},
		map[string]string{"alter": "flare", "edge": "hemline", "by": "26.1", "from": "55@start"})
	d := compare(t, p, q)
	require.Empty(t, only(d, change.Spread))
	require.InDelta(t, 14.9, *only(d, change.EdgeMoved)[0].By, 1e-3)
	swing := only(d, change.EdgeSwung)
	require.Len(t, swing, 1)
	require.InDelta(t, 0, swing[0].Pivot.Point().Dist(geom.Pt(654.9-55, 62)), 0.02)
}

// All edges of a piece moved where it lies: nothing slid.
func TestAllEdgesMovedWhereItLies(t *testing.T) {
	a := panel(300, 800)
	b := build("panel", skirtEdges, geom.Polyline(geom.Pt(-10, -10), geom.Pt(310, -10)), geom.Polyline(geom.Pt(310, -10), geom.Pt(310, 810)),
		geom.Polyline(geom.Pt(310, 810), geom.Pt(-10, 810)), geom.Polyline(geom.Pt(-10, 810), geom.Pt(-10, -10)))
	d := compare(t, a, b)
	require.Equal(t, change.Placement{}, d.Placement)
	require.Equal(t, []string{"edge-moved [waist]", "edge-moved [side seam]", "edge-moved [hemline]", "edge-moved [centre]"}, kinds(d)[:4])
	for _, ch := range only(d, change.EdgeMoved) {
		require.InDelta(t, 10, *ch.By, 1e-6)
	}
}

// A rectangle lies alike in four ways; what its edges are called says in which.
func TestNamesDecideBetweenEqualPoses(t *testing.T) {
	p := panel(60, 400)
	tapered := made(t, p, map[string]string{"alter": "let-out", "edge": "waist", "by": "5", "to": "end"})
	for _, m := range []geom.Motion{{Mirror: true, Turn: -1.1, Shift: geom.Pt(100, 50)}, {Turn: 0.7, Shift: geom.Pt(400, -300)}, {Turn: 3, Shift: geom.Pt(9, 8)}} {
		var turned []string // its edges follow each other the other way round
		if m.Mirror {
			turned = []string{"piece-mirrored []"}
		}
		d := compare(t, p, p.Moved(m))
		require.Equal(t, turned, kinds(d))
		require.Equal(t, m.Mirror, d.Placement.Mirrored)
		d = compare(t, p, tapered.Moved(m))
		require.Equal(t, append([]string{"edge-moved [waist]", "edge-run [side seam]"}, turned...), kinds(d))
		require.InDelta(t, 5, *d.Changes[0].By, 1e-3)
		require.Equal(t, m.Mirror, d.Placement.Mirrored)
	}
}

// The same of a skirt back with curved sides, each edge by another amount.
func TestCurvedEdgesMovedWhereTheyLie(t *testing.T) {
	a := build("panel", skirtEdges,
		geom.Path{geom.Cubic{P0: geom.Pt(0, 0), P1: geom.Pt(100, 8), P2: geom.Pt(200, 6), P3: geom.Pt(300, -10)}},
		geom.Path{geom.Cubic{P0: geom.Pt(300, -10), P1: geom.Pt(320, 80), P2: geom.Pt(335, 160), P3: geom.Pt(340, 260)}, geom.Line(geom.Pt(340, 260), geom.Pt(360, 790))},
		geom.Path{geom.Cubic{P0: geom.Pt(360, 790), P1: geom.Pt(240, 802), P2: geom.Pt(120, 804), P3: geom.Pt(0, 804)}},
		geom.Polyline(geom.Pt(0, 804), geom.Pt(0, 0)))
	for _, by := range [][4]string{{"10", "20", "10", "20"}, {"10", "-10", "20", "-20"}, {"20", "20", "-10", "10"}} {
		var all []map[string]string
		for k, edge := range []string{"waist", "side seam", "hemline", "centre"} {
			kind, mm := "let-out", by[k]
			if mm[0] == '-' {
				kind, mm = "take-in", mm[1:]
			}
			all = append(all, map[string]string{"alter": kind, "edge": edge, "by": mm})
		}
		d := compare(t, a, made(t, a, all...))
		require.Equal(t, change.Placement{}, d.Placement, by)
		require.Len(t, only(d, change.EdgeMoved), 4, by)
		require.Empty(t, only(d, change.EdgeRedrawn))
	}
}

// A short edge let out by a good part of its length, tapering from nothing.
func TestSteepTaper(t *testing.T) {
	p := panel(60, 400)
	for _, by := range []float64{5, 13, 20, 40} {
		d := compare(t, p, made(t, p, map[string]string{"alter": "let-out", "edge": "waist", "by": fmt.Sprint(by), "to": "end"}))
		require.Equal(t, []string{"edge-moved [waist]", "edge-run [side seam]"}, kinds(d))
		require.Equal(t, change.HowTapered, d.Changes[0].How)
		require.InDelta(t, 0, d.Changes[0].Ends[0], 1e-3)
		require.InDelta(t, by, d.Changes[0].Ends[1], 2e-3)
	}
}

// Two neighbours swung: each is told, the second led on to meet the first.
func TestNeighboursBothSwung(t *testing.T) {
	for k, by := range [][2]string{{"20", "30"}, {"-15", "25"}, {"30", "-20"}, {"12", "40"}} {
		p := panel(400, 600)
		q := made(t, p, map[string]string{"alter": "flare", "edge": "side seam", "by": by[0], "from": "150"},
			map[string]string{"alter": "flare", "edge": "hemline", "by": by[1], "from": "120@start"})
		d := compare(t, p, q)
		require.Empty(t, only(d, change.EdgeRedrawn), "%d: %v", k, kinds(d))
		require.Len(t, only(d, change.EdgeSwung), 2, "%d: %v", k, kinds(d))
		for n, swing := range only(d, change.EdgeSwung) {
			require.InDelta(t, []float64{20, -15, 30, 12, 30, 25, -20, 40}[k+4*n], *swing.By, 1, "%d: its end was led on by the other", k)
		}
	}
}
