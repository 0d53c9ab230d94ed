package trace

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// groups writes codes and values by turns, a line each.
func groups(pairs ...any) string {
	var b strings.Builder
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(&b, "%3v\n%v\n", pairs[i], pairs[i+1])
	}
	return b.String()
}

// dxfFile makes a file of a header, blocks and entities.
func dxfFile(header, blocks, entities string) string {
	return groups(0, "SECTION", 2, "HEADER") + header + groups(0, "ENDSEC", 0, "SECTION", 2, "BLOCKS") + blocks +
		groups(0, "ENDSEC", 0, "SECTION", 2, "ENTITIES") + entities + groups(0, "ENDSEC", 0, "EOF")
}

func insUnitsOf(n int) string { return groups(9, "$INSUNITS", 70, n) }

// inMM is a file in millimetres without blocks.
func inMM(entities string) string { return dxfFile(insUnitsOf(4), "", entities) }

func readDXF(text string, o Options) (*Drawing, error) {
	return ReadDXF("smock.dxf", strings.NewReader(text), o)
}

func mustDXF(t *testing.T, text string) *Drawing {
	t.Helper()
	d, err := readDXF(text, Options{})
	require.NoError(t, err)
	return d
}

func dxfLine(layer string, x1, y1, x2, y2 float64) string {
	return groups(0, "LINE", 8, layer, 10, x1, 20, y1, 11, x2, 21, y2)
}

// dxfPolyline is a closed LWPOLYLINE of points x, y, bulge.
func dxfPolyline(layer string, points ...[3]float64) string {
	s := groups(0, "LWPOLYLINE", 8, layer, 90, len(points), 70, 1)
	for _, p := range points {
		s += groups(10, p[0], 20, p[1])
		if p[2] != 0 {
			s += groups(42, p[2])
		}
	}
	return s
}

// Lines and arcs of one layer that meet are one outline, in whatever order and
// direction they stand; y is turned down. Area: a square of 100 with a half disc
// of radius 50 on one side, 100² + π·50²/2.
func TestDXFLinesAndArcsAreJoined(t *testing.T) {
	d := mustDXF(t, inMM(
		dxfLine("pocket", 100, 0, 0, 0)+
			groups(0, "ARC", 8, "pocket", 10, 50, 20, 100, 40, 50, 50, 0, 51, 180)+
			dxfLine("pocket", 100, 100.004, 100, 0)+ // 0.004 mm off: the same place
			dxfLine("pocket", 0, 0, 0, 100)))
	require.Len(t, d.Outlines, 1)
	o := d.Outlines[0]
	assert.Equal(t, "pocket", o.Name)
	assert.InDelta(t, 100*100+math.Pi*2500/2, o.Ring.Area(), 0.5)
	box := o.Ring.Box()
	assert.InDelta(t, -150, box.Min.Y, 1e-3)
	assert.InDelta(t, 0, box.Max.Y, 1e-9)
}

// A bulge is a quarter of its arc's angle by the tangent: 1 is half a circle,
// anticlockwise positive. Two of them make a circle: π·r².
func TestDXFBulges(t *testing.T) {
	for _, b := range []float64{1, -1} {
		o := mustDXF(t, inMM(dxfPolyline("disc", [3]float64{0, 0, b}, [3]float64{80, 0, b}))).Outlines[0]
		assert.InDelta(t, math.Pi*1600, o.Ring.Area(), 0.005)
	}
	quarter := math.Tan(math.Pi / 8)
	o := mustDXF(t, inMM(dxfPolyline("round", [3]float64{20, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 60, 0}, [3]float64{0, 60, 0}, [3]float64{0, 20, quarter}))).Outlines[0]
	assert.InDelta(t, 100*60-400+math.Pi*100, o.Ring.Area(), 0.001) // FACTS: rounding a right angle by 20 removes r²(1 − π/4)
}

// Circle π·r² and ellipse π·a·b, its length 4aE(m) for 20, 10: 96.8844822055
// (derived, DLMF ch. 19 from memory).
func TestDXFCircleAndEllipse(t *testing.T) {
	circle := mustDXF(t, inMM(groups(0, "CIRCLE", 8, "crown", 10, 5, 20, 5, 40, 90))).Outlines[0]
	assert.InDelta(t, math.Pi*8100, circle.Ring.Area(), 0.02)
	ellipse := mustDXF(t, inMM(groups(0, "ELLIPSE", 8, "crown", 10, 5, 20, 5, 11, 12, 21, 16, 40, 0.5, 41, 0, 42, 2*math.Pi))).Outlines[0]
	assert.InDelta(t, math.Pi*200, ellipse.Ring.Area(), 0.001)
	assert.InDelta(t, 96.8844822055, ellipse.Ring.Length(), 0.0005)
}

// A spline with knots at its ends alone is the Bézier curve itself; one with a
// weight of cos 45° is a quarter circle (Piegl and Tiller, The NURBS Book, 1995,
// from memory).
func TestDXFSplines(t *testing.T) {
	spline := func(degree int, knots, weights []float64, points ...geom.Point) string {
		s := groups(0, "SPLINE", 8, "leaf", 70, 0, 71, degree)
		for _, k := range knots {
			s += groups(40, k)
		}
		for _, w := range weights {
			s += groups(41, w)
		}
		for _, p := range points {
			s += groups(10, p.X, 20, p.Y, 30, 0)
		}
		return s
	}
	ends := []float64{0, 0, 0, 0, 1, 1, 1, 1}
	// FACTS: area under (0,0)(10,30)(30,30)(40,0) is 630.
	o := mustDXF(t, inMM(spline(3, ends, nil, geom.Pt(0, 0), geom.Pt(10, 30), geom.Pt(30, 30), geom.Pt(40, 0))+dxfLine("leaf", 40, 0, 0, 0))).Outlines[0]
	require.Len(t, o.Ring, 2)
	assert.InDelta(t, 630, o.Ring.Area(), 1e-9)

	half := math.Sqrt2 / 2
	quarter := spline(2, []float64{0, 0, 0, 1, 1, 1}, []float64{1, half, 1}, geom.Pt(100, 0), geom.Pt(100, 100), geom.Pt(0, 100))
	o = mustDXF(t, inMM(quarter+dxfLine("leaf", 0, 100, 0, 0)+dxfLine("leaf", 0, 0, 100, 0))).Outlines[0]
	for _, c := range o.Ring {
		for i := range 21 {
			if p := c.At(float64(i) / 20); !c.IsStraight(1e-9) {
				assert.InDelta(t, 100, p.Len(), 2e-4)
			}
		}
	}

	// Two spans with an inner knot: the same curve as its two halves (de Boor).
	whole := geom.Cubic{P0: geom.Pt(0, 0), P1: geom.Pt(40, 90), P2: geom.Pt(120, -30), P3: geom.Pt(160, 60)}
	l, r := whole.Split(0.5)
	// Control points of the cubic with the knot ½ put in once: P0, l.P1, and the
	// points between (Boehm 1980).
	inserted := []geom.Point{whole.P0, l.P1, whole.P1.Lerp(whole.P2, 0.5), r.P2, whole.P3}
	o = mustDXF(t, inMM(spline(3, []float64{0, 0, 0, 0, 0.5, 1, 1, 1, 1}, nil, inserted...)+
		dxfLine("leaf", 160, 60, 160, 500)+dxfLine("leaf", 160, 500, 0, 500)+dxfLine("leaf", 0, 500, 0, 0))).Outlines[0]
	far := 0.0
	for i := range 101 {
		p := whole.At(float64(i) / 100)
		_, d := geom.Path(o.Ring).Nearest(geom.Pt(p.X, -p.Y))
		far = math.Max(far, d)
	}
	assert.Less(t, far, 1e-9)
}

// A block shown turned, scaled, mirrored and in rows lies where that puts it.
func TestDXFInserts(t *testing.T) {
	block := groups(0, "BLOCK", 8, 0, 2, "yoke", 70, 0, 10, 10, 20, 10) + dxfPolyline("0", [3]float64{10, 10, 0}, [3]float64{110, 10, 0}, [3]float64{10, 60, 0}) +
		groups(0, "ENDBLK", 8, 0)
	o := mustDXF(t, dxfFile(insUnitsOf(4), block, groups(0, "INSERT", 8, "a", 2, "YOKE", 10, 200, 20, 300, 41, 2, 42, 3, 50, 90))).Outlines[0]
	assert.Equal(t, "yoke", o.Name)
	assert.InDelta(t, 100*50/2*6, o.Ring.Area(), 1e-6)
	box := o.Ring.Box() // x: 200 − 3·50 … 200, y upward: 300 … 300 + 2·100
	assert.InDelta(t, 50, box.Min.X, 1e-9)
	assert.InDelta(t, 200, box.Max.X, 1e-9)
	assert.InDelta(t, -500, box.Min.Y, 1e-9)
	assert.InDelta(t, -300, box.Max.Y, 1e-9)

	d, err := readDXF(dxfFile(insUnitsOf(4), block, groups(0, "INSERT", 8, "a", 2, "yoke", 70, 3, 71, 2, 44, 500, 45, 700)), Options{All: true})
	require.NoError(t, err)
	assert.Len(t, d.Outlines, 6)

	back := mustDXF(t, dxfFile(insUnitsOf(4), block, groups(0, "INSERT", 8, "a", 2, "yoke", 10, 5, 20, 0, 230, -1))).Outlines[0]
	assert.InDelta(t, -105, back.Ring.Box().Min.X, 1e-9, "drawn on the back of the plane")
}

// What the numbers count is asked for unless it is said once and for all.
func TestDXFUnits(t *testing.T) {
	square := dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0})
	text := func(s string) string { return groups(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 1, 1, s) }
	measurement := func(n int) string { return groups(9, "$MEASUREMENT", 70, n) }
	for _, c := range []struct {
		header, text string
		mm           float64 // 0: asked for
	}{
		{insUnitsOf(4), "", 1}, {insUnitsOf(5), "", 10}, {insUnitsOf(1), "", 25.4}, {insUnitsOf(2), "", 304.8}, {insUnitsOf(6), "", 1000}, {insUnitsOf(14), "", 100},
		{"", "UNITS: METRIC", 1}, {"", "units : english", 25.4}, {insUnitsOf(0), "UNITS: ENGLISH", 25.4},
		{insUnitsOf(4) + measurement(1), "Units: Metric", 1}, {insUnitsOf(1) + measurement(0), "", 25.4},
		{"", "", 0}, {insUnitsOf(0), "", 0}, {insUnitsOf(12), "", 0}, {"", "UNITS: ELLS", 0}, {measurement(1), "", 0},
		{insUnitsOf(1), "UNITS: METRIC", 0}, {insUnitsOf(4), "UNITS: ENGLISH", 0}, {insUnitsOf(5), "UNITS: METRIC", 0},
		{insUnitsOf(4) + measurement(0), "", 0}, {insUnitsOf(1) + measurement(1), "", 0}, {measurement(0), "UNITS: METRIC", 0},
	} {
		entities := square
		if c.text != "" {
			entities += text(c.text)
		}
		file := dxfFile(c.header, "", entities)
		d, err := readDXF(file, Options{})
		if c.mm == 0 {
			require.ErrorIs(t, err, ErrUnits, "%v", c)
			assert.Contains(t, err.Error(), "--scale", "%v", c)
			assert.NotContains(t, err.Error(), "\n")
			d, err = readDXF(file, Options{Scale: 2})
			require.NoError(t, err)
			c.mm = 2
		}
		require.NoError(t, err, "%v", c)
		assert.InDelta(t, 100*c.mm*c.mm, d.Outlines[0].Ring.Area(), 1e-6, "%v", c)
	}
}

// Names come from the block, the layer, the text within, or the file.
func TestDXFNames(t *testing.T) {
	at := func(x float64) [][3]float64 {
		return [][3]float64{{x, 0, 0}, {x + 100, 0, 0}, {x + 100, 100, 0}, {x, 100, 0}}
	}
	text := func(s string, x float64) string { return groups(0, "TEXT", 8, "words", 10, x, 20, 50, 40, 1, 1, s) }
	d := mustDXF(t, inMM(dxfPolyline("yoke", at(0)...)+text("cut two", 20)+dxfPolyline("0", at(200)...)+text("Mantel-Ru\\U+0308cken", 220)+
		dxfPolyline("pieces", at(400)...)+text("cuff", 420)+dxfPolyline("pieces", at(600)...)+text("collar", 620)))
	assert.Equal(t, []string{"yoke", "Mantel-Ru\u0308cken", "cuff", "collar"}, names(d))
	assert.Equal(t, "cut two", outlineOf(t, d, "yoke").Texts[0].Text)
	assert.Empty(t, outlineOf(t, d, "cuff").Texts, "a text that became a name is no mark")

	assert.Equal(t, []string{"smock"}, names(mustDXF(t, inMM(dxfPolyline("0", at(0)...)))), "a single outline is called as the file")
	_, err := readDXF(inMM(dxfPolyline("0", at(0)...)+dxfPolyline("0", at(200)...)), Options{})
	require.ErrorIs(t, err, ErrNoOutline)
	assert.Contains(t, err.Error(), "--all")
}

// Frozen layers, layers that are off, and what lies on paper are not read.
func TestDXFHidden(t *testing.T) {
	square := func(layer string) string {
		return dxfPolyline(layer, [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0})
	}
	layer := func(name string, flags, colour int) string {
		return groups(0, "LAYER", 2, name, 70, flags, 62, colour, 6, "CONTINUOUS")
	}
	tables := groups(0, "SECTION", 2, "TABLES", 0, "TABLE", 2, "LAYER", 70, 3) + layer("old", 1, 7) + layer("off", 0, -7) + layer("cuff", 0, 7) +
		groups(0, "ENDTAB", 0, "ENDSEC")
	paper := strings.Replace(square("title"), "  8\ntitle\n", "  8\ntitle\n 67\n1\n", 1)
	d := mustDXF(t, tables+inMM(square("old")+square("off")+square("cuff")+paper))
	assert.Equal(t, []string{"cuff"}, names(d))
}

// Text in a code page of old is read by it.
func TestDXFCodepage(t *testing.T) {
	square := dxfPolyline("0", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0})
	for page, name := range map[string]string{"ANSI_1252": "R\xfccken", "ANSI_1250": "R\xfccken", "": "R\xfccken", "nonsense": "R\xfccken", "ANSI_1251": "\xcf\xf0\xe8\xe2\xe5\xf2"} {
		want := "Rücken"
		if page == "ANSI_1251" {
			want = "Привет"
		}
		d := mustDXF(t, dxfFile(insUnitsOf(4)+groups(9, "$DWGCODEPAGE", 3, page), "", square+groups(0, "TEXT", 8, 0, 10, 5, 20, 2, 40, 1, 1, name)))
		assert.Equal(t, want, d.Outlines[0].Name, page)
	}
}
