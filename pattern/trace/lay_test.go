package trace

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// seenInUse reads a drawing whose group has a transform and whose one path is
// the piece.
func seenInUse(t *testing.T, piece, transform, path string) Outline {
	t.Helper()
	return outlineOf(t, mustRead(t, fmt.Sprintf(`<g transform="%s"><path id="%s" d="%s"/></g>`, transform, piece, path)), piece)
}

// Seen in use: the wrist is 5 cm up and its corners are typed to 0.1 mm, so
// that both underarm seams, which would meet it at 388.8125 and 106.4875, lie
// 0.0125 mm off. The sleeve stays where it lies, and its head is not redrawn.
func TestSleeveStaysWhereItLies(t *testing.T) {
	const head = "M 50.8 203.2 C 101.6 190.5 127 38.1 241.3 38.1 S 393.7 190.5 444.5 203.2 "
	p := emptyPattern()
	old := put(t, p, seenInUse(t, "sleeve", "", head+"L 381 609.6 H 114.3 Z"), Request{}).Piece.Clone()
	res := put(t, p, seenInUse(t, "sleeve", "", head+"L 388.8 559.6 H 106.5 Z"), Request{})
	assert.True(t, res.Pose.Motion.Identity(), "%+v", res.Pose)
	assert.Equal(t, old.Edges[0], res.Piece.Edges[0])
	assert.Equal(t, old.Corners[:2], res.Piece.Corners[:2])
	assert.Equal(t, []geom.Point{at(388.8, 559.6), at(106.5, 559.6)}, []geom.Point{res.Piece.Corners[2].At, res.Piece.Corners[3].At})
	assert.Empty(t, res.Says)
	assert.Empty(t, res.Alternatives)
}

// Seen in use: the wrist 5 cm up and as wide as before, so that both underarm
// seams swing and only the head, 35 % of the outline, is as it was. It lies in
// its place, and is the sleeve.
func TestSleeveOfWhichTheHeadIsLeft(t *testing.T) {
	const head = "M 50.8 203.2 C 101.6 190.5 127 38.1 241.3 38.1 S 393.7 190.5 444.5 203.2 "
	p := emptyPattern()
	old := put(t, p, seenInUse(t, "sleeve", "", head+"L 381 609.6 H 114.3 Z"), Request{}).Piece.Clone()
	res := put(t, p, seenInUse(t, "sleeve", "", head+"L 381 559.6 H 114.3 Z"), Request{})
	assert.True(t, res.Pose.Motion.Identity())
	assert.Equal(t, old.Edges[0], res.Piece.Edges[0])
	assert.Equal(t, []geom.Point{at(381, 559.6), at(114.3, 559.6)}, []geom.Point{res.Piece.Corners[2].At, res.Piece.Corners[3].At})
}

const (
	smockFront = "M 0 110 C 45 110 75 60 80 0 L 215 45 C 180 115 175 205 240 245 L 275 800 L 0 800 Z"
	hemUp      = "M 0 110 C 45 110 75 60 80 0 L 215 45 C 180 115 175 205 240 245 L 272.4 760 L 0 760 Z"
	sideOut    = "M 0 110 C 45 110 75 60 80 0 L 215 45 C 180 115 185 205 250 245 L 285 800 L 0 800 Z"
)

// Seen in use: the front mirrored on the sheet, with the hem up, with the side
// seam out, and turned besides. It is taken turned over, keeps its ids, and
// lies where the front that is not mirrored would.
func TestMirroredDrawings(t *testing.T) {
	for _, transform := range []string{"translate(600 200) scale(-1 1)", "translate(600 200) rotate(20) scale(-1 1)"} {
		for _, path := range []string{hemUp, sideOut} {
			p := emptyPattern()
			old := put(t, p, seenInUse(t, "front", "", smockFront), Request{}).Piece.Clone()
			plain, err := ToPiece(p, seenInUse(t, "front", "", path), Request{Place: PlaceAsIs})
			require.NoError(t, err)
			res, err := ToPiece(p, seenInUse(t, "front", transform, path), Request{})
			require.NoError(t, err)
			assert.True(t, res.Pose.Motion.Mirror)
			require.NotEmpty(t, res.Says)
			assert.Contains(t, res.Says[0], "front: the drawing is turned over")
			require.Len(t, res.Piece.Edges, len(old.Edges))
			for i, e := range res.Piece.Edges {
				assert.Equal(t, old.Edges[i].ID, e.ID)
				assert.Less(t, plain.Piece.Corners[i].At.Dist(res.Piece.Corners[i].At), 0.002, "corner %d of %s", i+1, path)
			}
		}
	}
}

// A piece of noisy points knows its corners by number; turned over they are
// still where they were.
func TestMirroredNoisyPoints(t *testing.T) {
	rng := fromSeed(t, 51)
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece.Clone()
	ring := geom.Polygon(scattered(rng, smockBack(600), 3, 0.15)...)
	mirrored := ring.Moved(geom.Motion{Mirror: true, Turn: 1}).Reverse()
	res := put(t, p, Outline{Name: "back", Ring: mirrored}, Request{})
	assert.True(t, res.Pose.Motion.Mirror)
	require.Len(t, res.Piece.Edges, len(old.Edges))
	for i, e := range res.Piece.Edges {
		assert.Equal(t, old.Edges[i].ID, e.ID)
	}
}

// What lies on the stored piece nowhere to speak of is refused with its share
// and the ways out; taken as it lies it is not.
func TestAnotherPieceUnderTheName(t *testing.T) {
	p := emptyPattern()
	put(t, p, seenInUse(t, "front", "", smockFront), Request{})
	before := encoded(t, p.Pieces[0])
	cuff := Outline{Name: "front", Ring: rectangle(61, 233).Moved(geom.Motion{Turn: 0.4}), Where: `cuffs.svg:3: path "front"`}
	_, err := ToPiece(p, cuff, Request{})
	require.Error(t, err)
	assert.Regexp(t, `^cuffs.svg:3: path "front": only \d+ % of the outline of piece "front" lies on the drawing`, err.Error())
	for _, way := range []string{"--place as-is", "--drawn-within", "a label of its own"} {
		assert.ErrorContains(t, err, way)
	}
	assert.Equal(t, before, encoded(t, p.Pieces[0]))
	_, err = ToPiece(p, cuff, Request{Place: PlaceAsIs})
	assert.NoError(t, err)
}

// A crop top is still the back: what is left of it lies on the old one, though
// that is a third of the old outline.
func TestShortenedByMoreThanHalf(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{})
	res := put(t, p, Outline{Name: "back", Ring: rectangle(300, 200)}, Request{})
	assert.InDelta(t, 300*200, area(t, res.Piece), 1e-9)
	assert.True(t, res.Pose.Motion.Identity())
}

// Drawn again by a hand that wavers by 0.8 mm, with the hem 3 cm up: with
// DrawnWithin all but the hem is the stored outline; the file keeps it.
func TestHandDrawnHemUp(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{}).Piece.Clone()
	ring := smockBack(570)
	for i, c := range ring {
		off := at(0.8, 0).Turn(float64(i))
		ring[(i+len(ring)-1)%len(ring)].P3 = c.P0.Add(off)
		ring[i].P0, ring[i].P1, ring[i].P2 = c.P0.Add(off), c.P1.Add(off), c.P2.Add(off)
		if c.IsStraight(1e-9) {
			end := smockBack(570)[i].P3.Add(at(0.8, 0).Turn(float64((i + 1) % len(ring))))
			ring[i] = geom.Line(ring[i].P0, end)
		}
	}
	res := put(t, p, Outline{Name: "back", Ring: ring}, Request{DrawnWithin: 1})
	assert.Equal(t, 1.0, res.Piece.DrawnWithin)
	for i, e := range res.Piece.Edges {
		assert.Equal(t, old.Edges[i].ID, e.ID)
	}
	assert.Equal(t, old.Edges[:3], res.Piece.Edges[:3], "neckline, shoulder and armhole")
	assert.Equal(t, old.Corners[:4], res.Piece.Corners[:4])
	assert.InDelta(t, 570, res.Piece.Corners[4].At.Y, 2)

	same := put(t, emptyWith(t, old), Outline{Name: "back", Ring: smockBack(600)}, Request{DrawnWithin: 1})
	assert.False(t, same.Changed, "nothing drawn was taken, and nothing is stored of it")
	for _, bad := range []float64{-1, 6, nan(), inf()} {
		_, err := ToPiece(p, Outline{Name: "back", Ring: ring}, Request{DrawnWithin: bad})
		assert.ErrorContains(t, err, "drawn within", "%v", bad)
	}
}

func emptyWith(t *testing.T, q *pattern.Piece) *pattern.Pattern {
	t.Helper()
	p := emptyPattern()
	p.Put(q.Clone())
	return p
}

// Seen in use: the yoke's left edge let out by 10. Its notch lies where it
// did; only the distance from the hem's end is another.
func TestNotchOfALetOutEdgeStays(t *testing.T) {
	const notch, rest = `<path id="cb notch" d="M 100 200 v -6"/>`, "0 H 200 A 60 60 0 0 1 260 60 V 200 H "
	draw := func(left string) Outline {
		return outlineOf(t, mustRead(t, `<path id="yoke" d="M `+left+" "+rest+left+` Z"/>`+notch), "yoke")
	}
	p := emptyPattern()
	put(t, p, draw("0"), Request{})
	res := put(t, p, draw("-10"), Request{})
	assert.Equal(t, []string{`yoke: notch "cb notch" stays where it is, now 11 cm from the end of edge "edge 2"`}, res.Says)
	where, _, _, err := res.Piece.NotchPlace(res.Piece.Notches[0])
	require.NoError(t, err)
	assert.InDelta(t, 0, where.Dist(at(100, 200)), 0.001)
	assert.Equal(t, Taken{Notches: 1}, res.Taken)
}

// Rectangles fit in many ways; that is told only where it matters, and each
// way makes another piece.
func TestAlternativesAreFew(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "cuff", Ring: rectangle(270, 65)}, Request{})
	m := geom.Motion{Turn: 0.3, Shift: at(200, 50)}
	for _, c := range []struct {
		ring geom.Ring
		most int
	}{
		{rectangle(270, 65), 0},          // nothing changed
		{rectangle(270, 65).Moved(m), 0}, // nothing changed, moved
		{rectangle(270, 85), 0},          // where it lies
		{rectangle(270, 85).Moved(m), 3},
	} {
		res, err := ToPiece(p, Outline{Name: "cuff", Ring: c.ring}, Request{})
		require.NoError(t, err)
		assert.LessOrEqual(t, len(res.Alternatives), c.most)
		laid := []geom.Ring{c.ring.Moved(res.Pose.Motion)}
		for _, other := range res.Alternatives {
			ring := c.ring.Moved(other.Motion)
			for _, before := range laid {
				assert.Greater(t, apart(before, ring), 1.0, "another place on the sheet")
			}
			laid = append(laid, ring)
		}
	}
}

// Taken as it lies on a turned sheet, the drawing says nothing of grain and
// marks: they turn with the piece, as do its edges' names.
func TestAsIsTakesGrainAlong(t *testing.T) {
	o := Outline{Name: "back", Ring: smockBack(600), Notches: []Notch{{At: at(240, 310), Name: "hip"}},
		Lines: []Line{{Name: "grain", Path: geom.Polyline(at(100, 100), at(100, 500))}, {Name: "pocket", Path: geom.Polyline(at(50, 300), at(150, 300))}},
		Dots:  []Dot{{At: at(60, 400), Name: "button"}}}
	m := geom.Motion{Turn: 0.5, Shift: at(300, -40)}
	p := emptyPattern()
	old := put(t, p, o, Request{}).Piece.Clone()
	res := put(t, p, Outline{Name: "back", Ring: o.Ring.Moved(m)}, Request{Place: PlaceAsIs})
	q := res.Piece
	require.NotNil(t, q.Grain)
	assert.InDelta(t, 0, q.Grain.From.Dist(m.Apply(at(100, 100))), 0.001)
	assert.InDelta(t, 0, q.Grain.To.Dist(m.Apply(at(100, 500))), 0.001)
	require.Len(t, q.Marks, 2)
	assert.InDelta(t, 0, q.Marks[0].Path.End().Dist(m.Apply(at(150, 300))), 0.001)
	assert.InDelta(t, 0, q.Marks[1].At.Dist(m.Apply(at(60, 400))), 0.001)
	assert.Equal(t, old.Notches, q.Notches)
	for i, e := range q.Edges {
		assert.Equal(t, old.Edges[i].ID, e.ID)
		assert.Equal(t, old.Edges[i].Name, e.Name)
	}
	assert.True(t, res.Changed)
	assert.Contains(t, strings.Join(res.Says, "\n"), "only moved on its sheet")

	// Redrawn besides, they stay where they are.
	p = emptyWith(t, old)
	res = put(t, p, Outline{Name: "back", Ring: smockBack(500).Moved(m)}, Request{Place: PlaceAsIs})
	assert.Equal(t, old.Grain, res.Piece.Grain)
}

// A bought piece traced from its cutting line, and once more with nothing
// said: it would grow by its allowances.
func TestCuttingLineBySlip(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: "back", Ring: rectangle(315, 855)}
	put(t, p, o, Request{Drawn: DrawnCutting, Fold: "left", Allowance: mm(15), Edges: map[string]float64{"bottom": 40}})
	before := encoded(t, p.Pieces[0])
	shorter := Outline{Name: "back", Ring: rectangle(315, 815)}
	for _, c := range []struct {
		o     Outline
		place string
	}{{o, PlaceFit}, {o, PlaceAsIs}, {o.moved(geom.Motion{Turn: math.Pi / 2, Shift: at(40, 40)}), PlaceFit}, {shorter, PlaceFit}} {
		_, err := ToPiece(p, c.o, Request{Place: c.place})
		require.ErrorContains(t, err, `this looks like the cutting line of piece "back"`, c.place)
		assert.ErrorContains(t, err, "--drawn cutting")
		assert.ErrorContains(t, err, "--drawn sewing")
	}
	assert.Equal(t, before, encoded(t, p.Pieces[0]))
	res, err := ToPiece(p, o, Request{Drawn: DrawnSewing, Place: PlaceAsIs})
	require.NoError(t, err, "somebody let it out to there")
	assert.InDelta(t, 315*855, area(t, res.Piece), 1e-9)
	// The sewing line is taken without a word, also let out by the hem's own
	// allowance.
	for _, ring := range []geom.Ring{rectangle(300, 800), rectangle(300, 840)} {
		_, err = ToPiece(p, Outline{Name: "back", Ring: ring.Moved(geom.Motion{Shift: at(0, 15)})}, Request{})
		require.NoError(t, err)
	}
}

// A mistyped word is no name of an edge.
func TestPointsSlipNamesLine(t *testing.T) {
	file := t.TempDir() + "/slip.points"
	require.NoError(t, os.WriteFile(file, []byte("piece: a\n0,0 corner top\n10,0 korner\n10,10\n"), 0o666))
	_, err := Read(file, Options{}, PointsOptions{})
	assert.ErrorContains(t, err, `slip.points:3: piece "a": "korner"`)
	assert.ErrorContains(t, err, "corner or curve")
}

// A new edge is told once, with the allowance it got.
func TestNewEdgeIsToldOnce(t *testing.T) {
	for want, r := range map[string]Request{
		"has the allowances of the others": {Allowance: mm(10)}, "has no allowance yet": {},
	} {
		p := emptyPattern()
		put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, r)
		cut := geom.Polygon(at(0, 0), at(200, 0), at(300, 100), at(300, 800), at(0, 800))
		res := put(t, p, Outline{Name: "back", Ring: cut}, Request{})
		require.Len(t, res.Says, 1)
		assert.Contains(t, res.Says[0], `back: edge "edge 5" is new and `+want)
		edge, err := res.Piece.EdgeIndex("edge 5")
		require.NoError(t, err)
		assert.Equal(t, want == "has the allowances of the others", res.Piece.Edges[edge].AllowanceFor("cloth") == 10)
	}
}
