package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// straightEdges are the edges of a polygon, with one distance or one each.
func straightEdges(by []float64, points ...Point) []OffsetEdge {
	edges := make([]OffsetEdge, len(points))
	for i, p := range points {
		edges[i] = OffsetEdge{Path{Line(p, points[(i+1)%len(points)])}, by[i%len(by)]}
	}
	return edges
}

func rectangle(w, h float64) []Point { return []Point{Pt(0, 0), Pt(w, 0), Pt(w, h), Pt(0, h)} }

func TestOffsetRingMitred(t *testing.T) {
	// FACTS, mitred: A + P·r + r²·Σtan(φ/2), derived from Steiner's formula.
	lShape := []Point{Pt(0, 0), Pt(40, 0), Pt(40, 30), Pt(20, 30), Pt(20, 60), Pt(0, 60)}
	triangle := []Point{Pt(0, 0), Pt(10, 0), Pt(5, 5*math.Sqrt(3))}
	for _, c := range []struct {
		name   string
		points []Point
		by     float64
		area   float64
		delta  float64
	}{
		{"40×60 by 1.5", rectangle(40, 60), 1.5, 2709, 1e-9},
		{"L shape by 1.5", lShape, 1.5, 2109, 1e-9},
		{"triangle of side 10 by 1", triangle, 1, 78.497423, 1e-6},
		{"40×60 inward by 1.5", rectangle(40, 60), -1.5, 37 * 57, 1e-9},
		{"40×60 by nothing", rectangle(40, 60), 0, 2400, 0},
	} {
		ring, from, err := OffsetRing(straightEdges([]float64{c.by}, c.points...), nil, 0.01)
		require.NoError(t, err, c.name)
		assert.InDelta(t, c.area, ring.Area(), c.delta, c.name)
		assert.Len(t, ring, len(c.points), c.name)
		for i, k := range from {
			assert.Equal(t, i, k, c.name)
		}
	}
}

func TestCuttingDrawing(t *testing.T) {
	// FACTS: fold on the left, waist and side 15, hem 40: cutting drawing
	// 315×855 mm around a sewing line of 300×800.
	ring, from, err := OffsetRing(straightEdges([]float64{15, 15, 40, 0}, rectangle(300, 800)...), nil, 0.01)
	require.NoError(t, err)
	size := ring.Box().Size()
	assert.InDelta(t, 315, size.X, 1e-9)
	assert.InDelta(t, 855, size.Y, 1e-9)
	assert.InDelta(t, 315*855, ring.Area(), 1e-6)
	assert.Equal(t, []int{0, 1, 2, 3}, from)
	assert.InDelta(t, 0, ring.Box().Min.X, 1e-12, "nothing beyond the fold")
}

func TestFoldedBackHem(t *testing.T) {
	// FACTS: half-width 35, slope 1 in 6, depth 4: the turned sewing line ends
	// at 34.333333 half-width, a plain extension at 35.666667.
	trapezium := []Point{Pt(-25, 0), Pt(25, 0), Pt(35, 60), Pt(-35, 60)}
	folded := []OffsetCorner{{}, {}, {FoldedBack}, {FoldedBack}}
	by := []float64{0, 0, 4, 0}
	ring, _, err := OffsetRing(straightEdges(by, trapezium...), folded, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 34.333333, widthAt(ring, 64), 1e-6)
	assert.InDelta(t, 35, widthAt(ring, 60), 1e-6)
	plain, _, err := OffsetRing(straightEdges(by, trapezium...), nil, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 35.666667, widthAt(plain, 64), 1e-6)

	// With an allowance of 1 at the sides it lies on top of that, square to the
	// side: 1/cos(atan(1/6)) wider at every height.
	by = []float64{1, 1, 4, 1}
	for _, styles := range [][]OffsetCorner{folded, {{}, {}, {FoldedSecond}, {FoldedFirst}}} {
		ring, from, err := OffsetRing(straightEdges(by, trapezium...), styles, 0.01)
		require.NoError(t, err)
		assert.InDelta(t, 34.333333+math.Hypot(1, 1./6), widthAt(ring, 64), 1e-6)
		assert.InDelta(t, 35+math.Hypot(1, 1./6), widthAt(ring, 60), 1e-6)
		// Symmetrical, so both hem corners are made alike.
		assert.InDelta(t, 0, ring.Box().Centre().X, 1e-9)
		assert.Equal(t, []int{0, 1, 1, 2, 3, 3}, from)
	}
}

// widthAt is the greatest x of a ring at a height.
func widthAt(r Ring, y float64) float64 {
	most := math.Inf(-1)
	for _, c := range r {
		for _, u := range c.MeetLine(Pt(0, y), Pt(1, y)) {
			most = math.Max(most, c.At(u).X)
		}
		if math.Abs(c.P0.Y-y) < 1e-9 {
			most = math.Max(most, c.P0.X)
		}
	}
	return most
}

func TestFoldedBackUnfit(t *testing.T) {
	// A hem that turns from the seam by only 1°: the mirrored seam would run on
	// for 40/tan 1° = 2.3 m before it met the hem's cutting line.
	v := Pt(100, 0)
	points := []Point{Pt(0, 0), v, v.Add(Pt(300, 0).Turn(math.Pi / 180)), Pt(400, 300), Pt(0, 300)}
	_, _, err := OffsetRing(straightEdges([]float64{10, 40, 10, 10, 10}, points...), []OffsetCorner{{}, {FoldedBack}}, 0.01)
	var unfit *StyleUnfit
	require.ErrorAs(t, err, &unfit)
	assert.Equal(t, 1, unfit.Corner)
}

func TestSharpCornerSquaredOff(t *testing.T) {
	// FACTS: mitre length over width 1/sin(θ/2), limit 4 reached at 28.955°.
	for _, c := range []struct {
		degrees float64
		mitred  bool
	}{{28.95, false}, {28.96, true}, {90, true}, {5, false}} {
		half := c.degrees / 2 * math.Pi / 180
		tip := Pt(200*math.Cos(half), 0)
		points := []Point{tip, Pt(0, 200*math.Sin(half)), Pt(0, -200*math.Sin(half))}
		ring, _, err := OffsetRing(straightEdges([]float64{10}, points...), nil, 0.01)
		require.NoError(t, err)
		reach := ring.Box().Max.X - tip.X
		if c.mitred {
			assert.InDelta(t, 10/math.Sin(half), reach, 1e-9)
			assert.Len(t, ring, 3)
		} else {
			// Both lines run on by the width: 10·(cos half + sin half).
			assert.InDelta(t, 10*(math.Cos(half)+math.Sin(half)), reach, 1e-9)
			assert.Len(t, ring, 4)
		}
	}
}

func TestSquaredCorners(t *testing.T) {
	// A right angle: squared is the same as extended.
	for _, s := range []CornerStyle{SquaredFirst, SquaredSecond} {
		ring, _, err := OffsetRing(straightEdges([]float64{1.5}, rectangle(40, 60)...), []OffsetCorner{{s}, {s}, {s}, {s}}, 0.01)
		require.NoError(t, err)
		assert.InDelta(t, 2709, ring.Area(), 1e-9)
	}
	// An inner angle of 45° at (100, 0): the first edge runs along the top.
	points := []Point{Pt(0, 0), Pt(100, 0), Pt(0, 100)}
	first, from, err := OffsetRing(straightEdges([]float64{10, 15, 10}, points...), []OffsetCorner{{}, {SquaredFirst}}, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 115, first.Box().Max.X, 1e-9, "ends 15 beyond the corner, as the other allowance is wide")
	assert.Equal(t, []int{0, 0, 1, 2}, from)
	assert.InDelta(t, 0, first[1].Tangent(0).Dot(Pt(1, 0)), 1e-12, "square to the first edge")
	second, _, err := OffsetRing(straightEdges([]float64{10, 15, 10}, points...), []OffsetCorner{{}, {SquaredSecond}}, 0.01)
	require.NoError(t, err)
	d := Pt(-1, 1).Unit()
	assert.InDelta(t, 0, second[1].Tangent(0).Dot(d), 1e-12, "square to the second edge")
	assert.InDelta(t, -10, second[1].At(0.5).Sub(Pt(100, 0)).Dot(d), 1e-9)
}

func TestSmoothPointUnequal(t *testing.T) {
	// Two edges in one line, 10 and 25: each keeps its half, one step square
	// to the line.
	points := []Point{Pt(0, 0), Pt(50, 0), Pt(100, 0), Pt(100, 80), Pt(0, 80)}
	ring, _, err := OffsetRing(straightEdges([]float64{10, 25, 10, 10, 10}, points...), nil, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 120*100+60*15, ring.Area(), 1e-9)
	assert.Len(t, ring, 6)
}

func TestFlatCornerUnequal(t *testing.T) {
	// A corner that turns by 10°, 40 before and 10 after: no normal of either
	// edge may be shorter than its allowance.
	turn := 10 * math.Pi / 180
	for _, swap := range []bool{false, true} {
		for _, sign := range []float64{1, -1} {
			v := Pt(200, 0)
			end := v.Add(Pt(1, 0).Turn(sign * turn).Mul(200))
			points := []Point{Pt(0, 0), v, end, Pt(end.X, 400), Pt(0, 400)}
			a, b := 40., 10.
			if swap {
				a, b = b, a
			}
			ring, _, err := OffsetRing(straightEdges([]float64{a, b, 10, 10, 10}, points...), nil, 0.01)
			require.NoError(t, err)
			for i, e := range []struct {
				edge Cubic
				by   float64
			}{{Line(points[0], v), a}, {Line(v, end), b}} {
				for k := 5; k < 100; k++ {
					q := e.edge.At(float64(k) / 100)
					n := e.edge.Tangent(0).Left()
					got := reach(ring, q, n)
					assert.GreaterOrEqual(t, got, e.by-1e-9, "edge %d at %d %%, swap %v, sign %v", i, k, swap, sign)
				}
			}
		}
	}
}

func TestObtuseCornerUnequal(t *testing.T) {
	// 20 beside 6 at a turn of 66.5°: the 6 mm line run on would cut up to 5 mm
	// off the 20. It steps down square to its edge, which adds a triangle of
	// height 6 and base 6·tan 66.5° to the strips; derived.
	v, turn := Pt(200, 0), Degrees(66.5)
	end := v.Add(Pt(200, 0).Turn(turn))
	points := []Point{Pt(0, 0), v, end, Pt(0, end.Y)}
	edges := straightEdges([]float64{20, 6, 0, 0}, points...)
	ring, _, err := OffsetRing(edges, nil, 0.01)
	require.NoError(t, err)
	strips := 200*20 + 200*6 + 6*6*math.Tan(turn)/2
	beside := 6 * 6 / math.Tan(turn) / 2 // where the 6 runs on to the lower edge's line
	assert.InDelta(t, outline(edges).Area()+strips+beside, ring.Area(), 1e-9)
	for _, l := range []float64{199.999, 199, 195, 190} {
		assert.GreaterOrEqual(t, reach(ring, Pt(l, 0), Pt(0, -1)), 20-1e-9)
	}
}

func TestSmoothPointBesideZero(t *testing.T) {
	// A bound edge without allowance that goes on, but for rounding, in one with
	// 15: it takes nothing away from it and gains nothing.
	for _, turn := range []float64{0, 1e-6, 1e-4, Degrees(1), Degrees(15)} {
		for _, sign := range []float64{1, -1} {
			v := Pt(150, 0)
			end := v.Add(Pt(150, 0).Turn(sign * turn))
			points := []Point{Pt(0, 0), v, end, Pt(end.X, 400), Pt(0, 400)}
			edges := straightEdges([]float64{15, 0, 0, 0, 0}, points...)
			ring, _, err := OffsetRing(edges, nil, 0.01)
			require.NoError(t, err)
			wedge := 15 * 15 * math.Tan(turn) / 2
			if sign < 0 {
				wedge = 0 // the step runs square to the 15
			}
			assert.InDelta(t, outline(edges).Area()+150*15+wedge, ring.Area(), 1e-3, "turn %v", sign*turn)
		}
	}
}

func TestShortEdgeInAHollow(t *testing.T) {
	// The lines of the edges of 20 meet where the short one's strip no longer
	// holds the start of the other's: cutting both there would leave less than
	// 20 beside the corner.
	points := []Point{
		Pt(-90, -274.4), Pt(-19.15, -274.34), Pt(-18.79, -283.69), Pt(-8.68, -283.3),
		Pt(-1.55, -273.66), Pt(120, -269), Pt(120, 0), Pt(-90, 0),
	}
	edges := straightEdges([]float64{40, 6, 8, 20, 20, 6, 15, 12}, points...)
	ring, from, err := OffsetRing(edges, nil, 0.01)
	require.NoError(t, err)
	var s pieceSurvey
	s.measure(0, besides{edges, nil}, ring, from)
	assert.Empty(t, s.faults)
	assert.LessOrEqual(t, s.short, 1e-9)
}

// reach is the distance from q to the ring along a direction.
func reach(r Ring, q, dir Point) float64 {
	least := math.Inf(1)
	for _, c := range r {
		for _, u := range c.MeetLine(q, q.Add(dir)) {
			if d := c.At(u).Sub(q).Dot(dir); d > 0 {
				least = math.Min(least, d)
			}
		}
	}
	return least
}

func TestOffsetRingSteiner(t *testing.T) {
	// Steiner's formula for parallel sets: outside a convex ring without
	// corners the area is A + P·r + π·r² and the length P + 2π·r.
	rings := map[string]Ring{"circle": Circle(Pt(7, -3), 90)}
	var rounded Ring
	for i, c := range []Point{Pt(100, 100), Pt(0, 100), Pt(0, 0), Pt(100, 0)} {
		arc := Arc(c, 30, float64(i)*math.Pi/2, math.Pi/2)
		if i > 0 {
			rounded = append(rounded, Line(rounded[len(rounded)-1].P3, arc[0].P0))
		}
		rounded = append(rounded, arc...)
	}
	rings["rounded square"] = append(rounded, Line(rounded[len(rounded)-1].P3, rounded[0].P0))
	for name, ring := range rings {
		for _, r := range []float64{1.5, 10, 40, -20} {
			const tol = 0.001
			out, _, err := OffsetRing([]OffsetEdge{{Path(ring), r}}, nil, tol)
			require.NoError(t, err, name)
			p := ring.Length()
			assert.InDelta(t, ring.Area()+p*r+math.Pi*r*r, out.Area(), tol*out.Length(), "%s by %v", name, r)
			assert.InDelta(t, p+2*math.Pi*r, out.Length(), 0.01, "%s by %v", name, r)
		}
	}
}

func TestAllowanceTooWide(t *testing.T) {
	// FACTS: concave sewing line of radius 8: impossible when the allowance is
	// the radius or more; else cut to sewn length (8 − a)/8.
	bay := func(by float64) []OffsetEdge {
		arc := Arc(Pt(50, 0), 8, math.Pi, -math.Pi)
		return []OffsetEdge{
			{Path{Line(Pt(0, 0), Pt(42, 0))}, 0}, {arc, by}, {Path{Line(Pt(58, 0), Pt(100, 0))}, 0},
			{Path{Line(Pt(100, 0), Pt(100, 80))}, 0}, {Path{Line(Pt(100, 80), Pt(0, 80))}, 0}, {Path{Line(Pt(0, 80), Pt(0, 0))}, 0},
		}
	}
	_, _, err := OffsetRing(bay(8.2), nil, 0.001)
	var wide *AllowanceTooWide
	require.ErrorAs(t, err, &wide)
	assert.Equal(t, 1, wide.Edge)
	assert.InDelta(t, 8, wide.Radius, 0.2)
	for _, c := range []struct{ by, ratio float64 }{{0.6, 0.925}, {1, 0.875}, {1.5, 0.8125}} {
		e := bay(c.by)[1]
		o, err := e.Path.Offset(c.by, 0.001)
		require.NoError(t, err)
		assert.InDelta(t, c.ratio, o.Length()/e.Path.Length(), 2e-3, "the cubic arc is not quite a circle")
	}
}

func TestOffsetRingRefusals(t *testing.T) {
	_, _, err := OffsetRing(nil, nil, 0.01)
	assert.Error(t, err)
	_, _, err = OffsetRing(straightEdges([]float64{-25}, rectangle(40, 60)...), nil, 0.01)
	assert.Error(t, err, "nothing is left")
	// A narrow mouth: the allowances meet and would close a hole.
	c := []Point{Pt(0, 0), Pt(100, 0), Pt(100, 45), Pt(80, 45), Pt(80, 20), Pt(20, 20), Pt(20, 80), Pt(80, 80), Pt(80, 55), Pt(100, 55), Pt(100, 100), Pt(0, 100)}
	_, _, err = OffsetRing(straightEdges([]float64{8}, c...), nil, 0.01)
	var cross *OffsetCrosses
	require.ErrorAs(t, err, &cross)
	// A dumbbell inward falls into two parts.
	d := []Point{Pt(0, 0), Pt(40, 0), Pt(40, 15), Pt(60, 15), Pt(60, 0), Pt(100, 0), Pt(100, 40), Pt(60, 40), Pt(60, 25), Pt(40, 25), Pt(40, 40), Pt(0, 40)}
	_, _, err = OffsetRing(straightEdges([]float64{-6}, d...), nil, 0.01)
	require.ErrorAs(t, err, &cross)
	point := Path{Line(Pt(5, 5), Pt(5, 5))}
	_, _, err = OffsetRing([]OffsetEdge{{point, 1}, {point, 0}}, nil, 0.01)
	assert.ErrorIs(t, err, ErrNoDirection)
}

func TestShortEdgeVanishes(t *testing.T) {
	// A step 3 deep and 3 wide in the side of a square is swallowed by an
	// allowance of 10: the result has no trace of it but the extension.
	points := []Point{Pt(0, 0), Pt(100, 0), Pt(100, 50), Pt(97, 50), Pt(97, 53), Pt(100, 53), Pt(100, 100), Pt(0, 100)}
	ring, _, err := OffsetRing(straightEdges([]float64{10}, points...), nil, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 120*120, ring.Area(), 1e-6)
}

func TestOffsetRingRandom(t *testing.T) {
	r := seeded(t, 51)
	made := 0
	for range 300 {
		edges, corners := allowancePiece(r)
		ring, from, err := OffsetRing(edges, corners, 0.01)
		if err != nil {
			continue
		}
		made++
		require.Len(t, from, len(ring))
		_, i, j, found := ring.SelfCrossing()
		require.False(t, found, "curves %d, %d", i, j)
		for i, c := range ring {
			require.Equal(t, c.P3, ring[(i+1)%len(ring)].P0, "closed")
		}
		// No point of the sewing line lies outside the cutting line, and away
		// from the corners the allowance is as wide as asked.
		for k, e := range edges {
			for _, f := range []float64{0.3, 0.5, 0.7} {
				l := f * e.Path.Length()
				q, n := e.Path.PointAt(l), e.Path.TangentAt(l).Left()
				beside := edges[(k+1)%len(edges)].By*edges[(k+len(edges)-1)%len(edges)].By == 0
				if e.By > 0 && !beside { // beside a fold an allowance ends on the fold's line
					assert.True(t, ring.Holds(q), "edge %d", k)
					assert.GreaterOrEqual(t, reach(ring, q, n), e.By-0.011, "edge %d at %v", k, f)
				}
			}
		}
	}
	t.Logf("%d of 300 made", made)
	assert.Greater(t, made, 270)
}

func TestOffsetRingOfRoundedNodes(t *testing.T) {
	// A smooth outline as it is stored, at 0.001 mm, so that it turns a little
	// at every node; one edge per curve. Inside and outside there is one curve
	// or a few for each, and every point keeps its distance.
	r := seeded(t, 52)
	for range 20 {
		ring := wavyRing(r, 40, 0.1)
		for i := range ring {
			for _, p := range []*Point{&ring[i].P0, &ring[i].P1, &ring[i].P2, &ring[i].P3} {
				*p = Pt(math.Round(p.X*1000)/1000, math.Round(p.Y*1000)/1000)
			}
		}
		edges := make([]OffsetEdge, len(ring))
		for _, by := range []float64{10, -10} {
			for i, c := range ring {
				edges[i] = OffsetEdge{Path{c}, by}
			}
			out, from, err := OffsetRing(edges, nil, 0.01)
			require.NoError(t, err)
			assert.Len(t, from, len(out))
			assert.LessOrEqual(t, len(out), 2*len(ring))
			for _, c := range out {
				for _, u := range []float64{0, 0.3, 0.6} {
					_, d := Path(ring).Nearest(c.At(u))
					assert.InDelta(t, 10, d, 0.012)
				}
			}
		}
	}
}

func TestHalvesOfAnArcStepApart(t *testing.T) {
	// Unequal allowances that meet at the middle of a rounded corner: each takes
	// its half of the arc, with one step square to the line.
	before, after := Path{Line(Pt(0, 0), Pt(100, 0))}, Path{Line(Pt(100, 0), Pt(100, 80))}
	arc, x, y, err := RoundCorner(before, after, 30)
	require.NoError(t, err)
	half := arc.Length() / 2
	first := append(before.BetweenLengths(0, 100-x), arc.BetweenLengths(0, half)...)
	second := append(arc.BetweenLengths(half, 2*half), after.BetweenLengths(y, 80)...)
	edges := []OffsetEdge{{first, 10}, {second, 25}, {Path{Line(Pt(100, 80), Pt(0, 80))}, 10}, {Path{Line(Pt(0, 80), Pt(0, 0))}, 10}}
	ring, from, err := OffsetRing(edges, nil, 0.01)
	require.NoError(t, err)
	steps := 0
	for i, c := range ring {
		next := from[(i+1)%len(ring)]
		if math.Abs(c.Length()-15) < 0.01 && from[i] == 1 && next == 1 {
			steps++
			assert.InDelta(t, 0, c.Tangent(0).Dot(arc.TangentAt(half)), 1e-6, "square to the line")
		}
	}
	assert.Equal(t, 1, steps)
}
