package pattern

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// cubicSector is the area of a quarter circle of radius 1 as one cubic with
// handles 4/3·(√2−1): Riškus, Information Technology and Control 35 (2006);
// derived with Green's theorem.
const cubicSector = 0.7856180832

// cubicQuarter is the length of the same cubic.
const cubicQuarter = 1.5710166981

func TestRoundedOutline(t *testing.T) {
	const r = 40.0
	p := oblong("front", 300, 800)
	p.Corners[1].Round = r
	o, err := p.Outline()
	require.NoError(t, err)
	area, err := p.NetArea()
	require.NoError(t, err)
	// a right angle loses r², less the sector that stays
	assert.InDelta(t, 300*800-r*r*(1-cubicSector), area, 1e-6)
	// against the true circle: r²(1−π/4), within the cubic's own error
	assert.InDelta(t, r*r*(1-math.Pi/4), 300*800-area, r*r*(cubicSector-math.Pi/4)+1e-6)
	// edges count to the arc's middle
	assert.InDelta(t, 300-r+r*cubicQuarter/2, p.Length(0), 1e-6)
	assert.InDelta(t, 800-r+r*cubicQuarter/2, p.Length(1), 1e-6)
	assert.InDelta(t, 300, p.Length(2), 1e-12)
	// the middle lies on the diagonal, r from the centre (260, 40)
	first, second := halves(o.Radius[1])
	assert.InDelta(t, 0, first.End().Dist(geom.Pt(260+r*math.Sqrt2/2, 40-r*math.Sqrt2/2)), 0.012)
	assert.Equal(t, first.End(), second.Start())
	sum := 0.0
	for i := range p.Edges {
		sum += p.Length(i)
	}
	assert.InDelta(t, o.Ring.Length(), sum, 1e-9)
	for k, c := range o.Ring {
		assert.Equal(t, o.Ring[(k+1)%len(o.Ring)].P0, c.P3, "closed without a gap")
		assert.Equal(t, o.Arc[k] == 1, c.Curvature(0.5) != 0 && !c.IsStraight(1e-6), "curve %d", k)
	}
}

func TestRoundedOutlineAtOtherAngles(t *testing.T) {
	// Removed area r²(tan(φ/2) − φ/2), tangent length r·tan(φ/2), φ the turn:
	// derived; 60° inside: 17.121331 for r 5, tangent 8.660254.
	const r, turn = 5.0, 2 * math.Pi / 3
	p := &Piece{Name: "gusset", Cut: CutOne, Edges: straightEdges("a", "b", "c"),
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(50, 50*math.Sqrt(3)))}
	p.Corners[0].Round = r
	area, err := p.NetArea()
	require.NoError(t, err)
	removed := 2500*math.Sqrt(3) - area
	// the error of the arc of two cubics is below that of two quarter circles
	assert.InDelta(t, r*r*(math.Tan(turn/2)-turn/2), removed, 2*r*r*(cubicSector-math.Pi/4))
	assert.InDelta(t, 17.121331, removed, 2*r*r*(cubicSector-math.Pi/4))
	o, err := p.Outline()
	require.NoError(t, err)
	assert.InDelta(t, 8.660254, o.Radius[0].End().X, 1e-6)
}

func TestRoundingsThatMeet(t *testing.T) {
	// Four quarter circles of half the width: a circle, no straight piece left.
	p := oblong("patch", 80, 80)
	for i := range p.Corners {
		p.Corners[i].Round = 40
	}
	require.NoError(t, p.Validate())
	o, err := p.Outline()
	require.NoError(t, err)
	assert.InDelta(t, 4*1600*cubicSector, o.Ring.Area(), 1e-6)
	for _, c := range o.Ring {
		assert.Greater(t, c.Length(), 1.0, "no remains of the edges")
	}
}

func TestNotchPlaceFromBothEnds(t *testing.T) {
	p := oblong("front", 300, 800)
	p.Corners[1].Round = 40 // anchors count to the sharp corner all the same
	for _, c := range []struct {
		notch Notch
		at    geom.Point
		along geom.Point
		from  float64
	}{
		{Notch{Edge: "right", At: 250}, geom.Pt(300, 250), geom.Pt(0, 1), 250},
		{Notch{Edge: "right", At: 250, FromEnd: true}, geom.Pt(300, 550), geom.Pt(0, 1), 550},
		{Notch{Edge: "bottom", At: 0}, geom.Pt(300, 800), geom.Pt(-1, 0), 0},
		{Notch{Edge: "left", At: 0, FromEnd: true}, geom.Pt(0, 0), geom.Pt(0, -1), 800},
	} {
		at, along, from, err := p.NotchPlace(c.notch)
		require.NoError(t, err)
		assert.InDelta(t, 0, at.Dist(c.at), 1e-9)
		assert.InDelta(t, 0, along.Dist(c.along), 1e-9)
		assert.InDelta(t, c.from, from, 1e-9)
	}
	_, _, _, err := p.NotchPlace(Notch{Edge: "hem"})
	assert.ErrorContains(t, err, `front has no edge "hem"; its edges are "top", "right", "bottom", "left"`)
}

func TestGrainDirection(t *testing.T) {
	p := oblong("front", 300, 800)
	assert.Equal(t, geom.Pt(0, 1), p.GrainDirection(), "down the sheet")
	p.Edges[3].Fold = true // runs up
	assert.Equal(t, geom.Pt(0, 1), p.GrainDirection(), "along the fold, down")
	p.Edges[3].Fold, p.Edges[2].Fold = false, true // runs to the left
	assert.Equal(t, geom.Pt(1, 0), p.GrainDirection(), "along a level fold, to the right")
	p.Grain = &Grain{From: geom.Pt(0, 0), To: geom.Pt(30, -40)}
	assert.InDelta(t, 0, p.GrainDirection().Dist(geom.Pt(0.6, -0.8)), 1e-12, "the grain line goes before")
}

func TestHemEdge(t *testing.T) {
	p := oblong("front", 300, 800)
	assert.Equal(t, 2, p.HemEdge(), "the lowest")
	p.Grain = &Grain{From: geom.Pt(0, 0), To: geom.Pt(0, -1)}
	assert.Equal(t, 0, p.HemEdge(), "the lowest along the grain")
	p.Edges[0].Fold = true
	assert.NotEqual(t, 0, p.HemEdge(), "a fold is no hem")
	p.Edges[0].Fold = false
	p.Edges[1].Name = "sleeve Hemline"
	assert.Equal(t, 1, p.HemEdge(), "named so")
	p.Edges[3].Hem = true
	assert.Equal(t, 3, p.HemEdge(), "set so")
}

func TestEdgeIndex(t *testing.T) {
	p := oblong("front", 300, 800)
	p.Edges[3].Name = "2"
	p.Edges[0].Name = "réglé"
	for text, want := range map[string]int{"right": 1, "3": 2, "2": 3, "1": 0, "re\u0301glé": 0, " bottom ": 2} {
		i, err := p.EdgeIndex(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, i, text)
	}
	for _, text := range []string{"", "0", "5", "-1", "hem"} {
		_, err := p.EdgeIndex(text)
		assert.ErrorContains(t, err, "front has no edge", text)
	}
}

func TestSetPathAndEdgePath(t *testing.T) {
	p := oblong("front", 100, 100)
	path := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(20, 5)), {P0: geom.Pt(20, 5), P1: geom.Pt(40, 9), P2: geom.Pt(70, 9), P3: geom.Pt(100, 0)}}
	p.Edges[0].SetPath(path)
	assert.Equal(t, path, p.EdgePath(0))
	assert.Len(t, p.Edges[0].Handles, len(p.Edges[0].Nodes)+1)
	assert.Nil(t, p.Edges[0].Handles[0], "a line has no handles")
}

func TestMirrorKeepsTheOutlineClockwise(t *testing.T) {
	p := richFront()
	area, err := p.NetArea()
	require.NoError(t, err)
	for _, m := range []geom.Motion{
		{Mirror: true},
		{Mirror: true, Turn: 0.7, Shift: geom.Pt(12, -300)},
		{Turn: -2, Shift: geom.Pt(5, 5)},
	} {
		q := p.Moved(m)
		require.NoError(t, q.Validate())
		moved, err := q.NetArea()
		require.NoError(t, err)
		assert.InDelta(t, area, moved, 1e-6, "a rigid motion changes no area")
		for k := range p.Notches {
			before, _, _, err := p.NotchPlace(p.Notches[k])
			require.NoError(t, err)
			after, _, _, err := q.NotchPlace(q.Notches[k])
			require.NoError(t, err)
			assert.InDelta(t, 0, after.Dist(m.Apply(before)), 1e-9, "notch %s", p.Notches[k].Name)
		}
		for i := range p.Edges {
			j, err := q.EdgeIndex(p.Edges[i].Name)
			require.NoError(t, err)
			assert.Equal(t, p.Edges[i].ID, q.Edges[j].ID)
			assert.InDelta(t, p.Length(i), q.Length(j), 1e-9)
		}
		for k, mark := range p.Marks {
			if mark.Edge == "" {
				continue
			}
			i, _ := p.EdgeIndex(mark.Edge)
			j, _ := q.EdgeIndex(mark.Edge)
			ends := []geom.Point{m.Apply(p.EdgePath(i).PointAt(mark.From)), m.Apply(p.EdgePath(i).PointAt(mark.To))}
			from, to := q.EdgePath(j).PointAt(q.Marks[k].From), q.EdgePath(j).PointAt(q.Marks[k].To)
			if m.Mirror {
				from, to = to, from
			}
			assert.InDelta(t, 0, from.Dist(ends[0]), 1e-9, mark.Name)
			assert.InDelta(t, 0, to.Dist(ends[1]), 1e-9, mark.Name)
			assert.Less(t, q.Marks[k].From, q.Marks[k].To, mark.Name)
			switch mark.Kind {
			case MarkPleat:
				assert.Equal(t, m.Mirror, q.Marks[k].Direction == towardsStart, "laid towards the other end of the edge, which is the same place")
			case MarkDart:
				assert.Equal(t, m.Apply(mark.At), q.Marks[k].At)
			}
		}
		back := q.Moved(m.Inverse())
		for i := range p.Corners {
			assert.InDelta(t, 0, back.Corners[i].At.Dist(p.Corners[i].At), 1e-9)
			assert.Equal(t, p.Corners[i].Style, back.Corners[i].Style)
			assert.Equal(t, p.Edges[i].Name, back.Edges[i].Name)
		}
	}
	assert.Equal(t, richFront(), p, "the piece itself stays")
}
