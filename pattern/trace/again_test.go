package trace

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A file holds three decimals: turned, the same outline is out by half the
// last one, and still the same.
func TestTraceAgainFromWrittenDigits(t *testing.T) {
	rng := fromSeed(t, 41)
	p := emptyPattern()
	before := encoded(t, put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece)
	for range 10 {
		ring := otherwise(rng, smockBack(600)).Moved(elsewhere(rng))
		for i, c := range ring {
			ring[i] = geom.Cubic{P0: rounded3(c.P0), P1: rounded3(c.P1), P2: rounded3(c.P2), P3: rounded3(c.P3)}
		}
		res, err := ToPiece(p, Outline{Name: "back", Ring: ring}, Request{})
		require.NoError(t, err)
		assert.False(t, res.Changed)
		assert.Equal(t, before, encoded(t, res.Piece))
	}
}

// Laid anywhere and altered at the hem: what did not change keeps its stored
// digits, and the new hem lies where it was drawn.
func TestTraceAgainMovedAndAltered(t *testing.T) {
	rng := fromSeed(t, 42)
	for range 10 {
		p := emptyPattern()
		old := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece.Clone()
		res := put(t, p, Outline{Name: "back", Ring: otherwise(rng, smockBack(540))}.moved(elsewhere(rng)), Request{})
		assert.Equal(t, old.Edges, res.Piece.Edges)
		assert.Equal(t, at(240, 540), res.Piece.Corners[4].At)
		assert.Equal(t, at(0, 540), res.Piece.Corners[5].At)
		assert.Equal(t, old.Corners[:4], res.Piece.Corners[:4])
	}
}

// A drawing turned over, its hem taken up besides, is found all the same and
// said to be turned.
func TestTraceAgainTurnedOver(t *testing.T) {
	for _, length := range []float64{600, 590} {
		p := emptyPattern()
		old := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece.Clone()
		notch := Notch{At: smockBack(length)[1].At(0.5)}
		ring := smockBack(length).Moved(geom.Motion{Mirror: true}).Reverse()
		notch.At.X = -notch.At.X
		res, err := ToPiece(p, Outline{Name: "back", Ring: ring, Notches: []Notch{notch}}, Request{})
		require.NoError(t, err)
		require.NotEmpty(t, res.Says)
		assert.Contains(t, res.Says[0], "turned over")
		assert.Equal(t, old.Edges, res.Piece.Edges)
		require.Len(t, res.Piece.Notches, 1)
		at, _, _, err := res.Piece.NotchPlace(res.Piece.Notches[0])
		require.NoError(t, err)
		assert.InDelta(t, -notch.At.X, at.X, 0.01)
	}
}

// Edge names and declared corners of a points file go with a drawing that is
// turned over.
func TestTurnedNames(t *testing.T) {
	ring := geom.Polygon(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(220, 150), geom.Pt(200, 300), geom.Pt(0, 300))
	o := Outline{Ring: ring, Corners: map[int]bool{0: true, 1: true, 3: true, 4: true}, EdgeNames: map[int]string{0: "top", 1: "side", 3: "hem", 4: "fold"}}
	turned := o.moved(geom.Motion{Mirror: true})
	require.Positive(t, turned.Ring.Area())
	lies := map[string]geom.Point{}
	for i, name := range turned.EdgeNames {
		require.True(t, turned.Corners[i], name)
		lies[name] = turned.Ring[i].P0
	}
	assert.Equal(t, map[string]geom.Point{"top": geom.Pt(-200, 0), "side": geom.Pt(-200, 300), "hem": geom.Pt(0, 300), "fold": geom.Pt(0, 0)}, lies)
	assert.Len(t, turned.Corners, 4)
}

// Another piece under the label of a stored one is refused, and asked about.
func TestTraceAgainAnotherPiece(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{})
	other := geom.Circle(geom.Pt(900, 900), 80)
	_, err := ToPiece(p, Outline{Name: "back", Ring: other}, Request{})
	require.ErrorContains(t, err, "--place as-is")
	_, err = ToPiece(p, Outline{Name: "back", Ring: other}, Request{Place: PlaceAsIs})
	require.NoError(t, err)
}

// Seen in use: a sleeve's wrist let down by 50, the corners written to a tenth
// of a millimetre, so that both seams lie 0.0125 mm off. It stays where it
// lies.
func TestTraceAgainWrittenToATenth(t *testing.T) {
	sleeve := func(x, y float64) geom.Ring {
		return geom.Ring{
			{P0: geom.Pt(-190, 0), P1: geom.Pt(-105, -10), P2: geom.Pt(-95, -160), P3: geom.Pt(0, -160)},
			{P0: geom.Pt(0, -160), P1: geom.Pt(90, -160), P2: geom.Pt(95, -10), P3: geom.Pt(190, 0)},
			geom.Line(geom.Pt(190, 0), geom.Pt(x, y)), geom.Line(geom.Pt(x, y), geom.Pt(-x, y)), geom.Line(geom.Pt(-x, y), geom.Pt(-190, 0)),
		}
	}
	p := emptyPattern()
	put(t, p, Outline{Name: "sleeve", Ring: sleeve(120, 520)}, Request{})
	res := put(t, p, Outline{Name: "sleeve", Ring: sleeve(113.282, 570)}, Request{})
	assert.True(t, res.Pose.Motion.Identity())
	assert.Equal(t, geom.Pt(113.282, 570), res.Piece.Corners[2].At)
}

// Drawn after the paper by a hand that wavers: with DrawnWithin the same.
func TestTraceAgainDrawnWithin(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece.Clone()
	ring := smockBack(600)
	for i := range ring {
		shift := geom.Pt(0.3, -0.2).Mul(float64(i%3) / 2)
		ring[i].P3 = ring[i].P3.Add(shift)
		ring[(i+1)%len(ring)].P0 = ring[i].P3
	}
	res := put(t, p, Outline{Name: "back", Ring: ring}, Request{DrawnWithin: 0.5})
	assert.Equal(t, old.Edges, res.Piece.Edges)
	assert.Equal(t, old.Corners, res.Piece.Corners)
}

// Rounded, and drawn as its cutting line again: no change.
func TestCuttingLineOfARoundedPiece(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "front", Ring: rectangle(300, 800)}, Request{Allowance: mm(10)})
	q := put(t, p, Outline{Name: "front", Ring: roundedRectangle(300, 800, 40, 1)}, Request{}).Piece
	line, err := q.CuttingLine("cloth")
	require.NoError(t, err)
	res, err := ToPiece(p, Outline{Name: "front", Ring: line.Ring}, Request{Drawn: DrawnCutting})
	require.NoError(t, err)
	assert.False(t, res.Changed, res.Says)
}

// Noisy points traced twice, laid elsewhere the second time: the same edges.
func TestNoisyPointsAgain(t *testing.T) {
	rng := fromSeed(t, 43)
	p := emptyPattern()
	ring := smockBack(600)
	first := put(t, p, Outline{Name: "back", Ring: geom.Polygon(scattered(rng, ring, 3, 0.15)...)}, Request{}).Piece.Clone()
	for range 5 {
		again := Outline{Name: "back", Ring: geom.Polygon(scattered(rng, ring, 3, 0.15)...)}.moved(elsewhere(rng))
		res, err := ToPiece(p, again, Request{})
		require.NoError(t, err)
		assert.Greater(t, res.Pose.Matched, 0.9)
		require.Len(t, res.Piece.Edges, 6)
		for i, e := range res.Piece.Edges {
			assert.Equal(t, first.Edges[i].ID, e.ID)
		}
		// What lies within three times the error keeps its digits; the fit
		// near the flat corners of the neckline may be out by more.
		for _, i := range []int{1, 3, 4} {
			assert.Equal(t, first.Edges[i], res.Piece.Edges[i], res.Says)
		}
		assert.Equal(t, first.Corners[3:], res.Piece.Corners[3:])
	}
}

func BenchmarkToPieceAgain(b *testing.B) {
	p := emptyPattern()
	res, err := ToPiece(p, Outline{Name: "back", Ring: smockBack(600)}, Request{})
	require.NoError(b, err)
	p.Put(res.Piece)
	o := Outline{Name: "back", Ring: smockBack(540)}.moved(geom.Motion{Turn: 1, Shift: at(300, 20)})
	for b.Loop() {
		if _, err := ToPiece(p, o, Request{}); err != nil {
			b.Fatal(err)
		}
	}
}

// FACTS: side seam swung 200 below the waist, chord 50 at the hem, 300×800
// mm: end (349.9566, 797.9167), length 800 kept.
func TestSwungSideIsOneEdge(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{}).Piece.Clone()
	end := at(349.9566, 797.9167)
	// The hem runs on eased: tangent to the old hem, square to the side.
	hem := geom.Cubic{P0: end, P1: end.Add(at(300, 200).Sub(end).Unit().Right().Mul(-16.7)), P2: at(300+16.7, 800), P3: at(300, 800)}
	ring := geom.Ring{geom.Line(at(0, 0), at(300, 0)), geom.Line(at(300, 0), at(300, 200)), geom.Line(at(300, 200), end),
		hem, geom.Line(at(300, 800), at(0, 800)), geom.Line(at(0, 800), at(0, 0))}
	q := put(t, p, Outline{Name: "back", Ring: ring}, Request{Place: PlaceAsIs}).Piece
	require.Len(t, q.Edges, 4)
	for i, e := range q.Edges {
		assert.Equal(t, old.Edges[i].ID, e.ID)
	}
	assert.Equal(t, []geom.Point{at(300, 200)}, q.Edges[1].Nodes)
	assert.InDelta(t, 800, q.EdgePath(1).Length(), 0.001)
	assert.Equal(t, []geom.Point{at(300, 800)}, q.Edges[2].Nodes)
	assert.Equal(t, old.Corners[3], q.Corners[3])
}

// Whatever is drawn, the piece is what was drawn: valid, within the
// tolerance, ids never twice, and drawn a second time no change.
func TestTraceAgainAtRandom(t *testing.T) {
	rng := fromSeed(t, 44)
	traced := 0
	for range 300 {
		n := 4 + rng.IntN(6)
		star := func() []geom.Point {
			var out []geom.Point
			for k := range n {
				out = append(out, at(400, 400).Add(at(200+150*rng.Float64(), 0).Turn(geom.Degrees(360*(float64(k)+0.5*rng.Float64())/float64(n)))))
			}
			return out
		}
		points := star()
		other := append([]geom.Point{}, points...)
		for range 1 + rng.IntN(3) {
			other[rng.IntN(n)] = star()[rng.IntN(n)]
		}
		p := emptyPattern()
		if res, err := ToPiece(p, Outline{Name: "a", Ring: bulging(rng, points)}, Request{}); err == nil {
			p.Put(res.Piece)
		} else {
			continue
		}
		ring := otherwise(rng, bulging(rng, other))
		if ring.Area() < 0 {
			continue
		}
		o := Outline{Name: "a", Ring: ring}
		r := Request{Place: PlaceAsIs}
		if rng.IntN(2) == 0 {
			o, r.Place = o.moved(elsewhere(rng)), PlaceFit
		}
		res, err := ToPiece(p, o, r)
		if err != nil && r.Place == PlaceFit && strings.Contains(err.Error(), "--place as-is") {
			o, r.Place = Outline{Name: "a", Ring: ring}, PlaceAsIs // too little of it is left
			res, err = ToPiece(p, o, r)
		}
		if err != nil {
			require.ErrorContains(t, err, "crosses itself")
			continue
		}
		traced++
		require.NoError(t, res.Piece.Validate())
		drawn := res.Pose.Motion
		outline, err := res.Piece.Outline()
		require.NoError(t, err)
		there, _ := farthestFrom(geom.Path(outline.Ring), geom.Path(o.Ring.Moved(drawn)))
		back, _ := farthestFrom(geom.Path(o.Ring.Moved(drawn)), geom.Path(outline.Ring))
		require.LessOrEqual(t, there, 2*sameWithin)
		require.LessOrEqual(t, back, 2*sameWithin)
		encoded(t, res.Piece)
		p.Put(res.Piece)
		res, err = ToPiece(p, o.moved(drawn), Request{Place: PlaceAsIs})
		require.NoError(t, err)
		require.False(t, res.Changed, res.Says)
	}
	assert.Greater(t, traced, 100)
}

// bulging joins points by lines and curves by turns at random.
func bulging(rng interface{ Float64() float64 }, points []geom.Point) geom.Ring {
	var out geom.Ring
	for _, c := range geom.Polygon(points...) {
		if rng.Float64() < 0.4 {
			off := c.P3.Sub(c.P0).Left().Mul(0.3 * (rng.Float64() - 0.5))
			c.P1, c.P2 = c.P1.Add(off), c.P2.Add(off)
		}
		out = append(out, c)
	}
	return out
}

// The same outline in other commands, from another start, the other way
// round, in a group that is moved: no change.
func TestSameOutlineOtherCommands(t *testing.T) {
	p := emptyPattern()
	draw := func(path string) Outline {
		return outlineOf(t, mustRead(t, path), "back")
	}
	before := encoded(t, put(t, p, draw(`<path id="back" d="M 100,120 C 140,120 170,115 175,100 L 290,145 V 700 H 100 Z"/>`), Request{}).Piece)
	for _, other := range []string{
		`<path id="back" d="m 100,120 c 40,0 70,-5 75,-20 l 115,45 v 555 h -190 z"/>`,
		`<path id="back" d="M 290,145 L 290,400 290,700 100,700 100,120 C 140,120 170,115 175,100 Z"/>`,
		`<path id="back" d="M 100,120 V 700 H 290 V 145 L 175,100 C 170,115 140,120 100,120 Z"/>`,
		`<g transform="translate(30 40) rotate(25)"><path id="back" d="m 100,120 c 40,0 70,-5 75,-20 l 115,45 v 555 h -190 z"/></g>`,
	} {
		res, err := ToPiece(p, draw(other), Request{})
		require.NoError(t, err)
		assert.False(t, res.Changed, other)
		assert.Equal(t, before, encoded(t, res.Piece))
	}
}

// A rectangle whose hem went up fits two ways once it was moved; both are
// told, and the piece is one of them.
func TestAmbiguousPoseIsTold(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{})
	m := geom.Motion{Turn: 0.3, Shift: at(200, 50)}
	res := put(t, p, Outline{Name: "back", Ring: rectangle(300, 740)}.moved(m), Request{})
	assert.NotEmpty(t, res.Alternatives)
	assert.InDelta(t, 300*740, area(t, res.Piece), 0.01)
	assert.InDelta(t, (300+2*740.0)/2200, res.Pose.Matched, 1e-3)
}
