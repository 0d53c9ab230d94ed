package trace

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/units"
)

// A broken file is refused with the line, the reason, and what to do.
func TestBrokenDXF(t *testing.T) {
	square := dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0})
	whole := inMM(square)
	block := func(inside string) string {
		return dxfFile(insUnitsOf(4), groups(0, "BLOCK", 8, 0, 2, "a", 70, 0, 10, 0, 20, 0)+inside+groups(0, "ENDBLK", 8, 0), groups(0, "INSERT", 8, 0, 2, "a", 10, 0, 20, 0))
	}
	for name, c := range map[string]struct{ file, want string }{
		"nothing":          {"", "smock.dxf:1: no DXF: there is no section in it"},
		"text":             {"hello\nworld\n", `smock.dxf:1: "hello" stands where the number of a group belongs`},
		"binary":           {"AutoCAD Binary DXF\r\n\x1a\x00\x00SECTION", "smock.dxf:1: this is binary DXF; save it again as ASCII DXF"},
		"XML":              {"<svg/>\n", "smock.dxf:1: "},
		"no section":       {groups(0, "LINE", 10, 0), "smock.dxf:2: no DXF: it begins with group 0, \"LINE\""},
		"cut off":          {whole[:len(whole)/2], "the file is cut off"},
		"no end":           {strings.TrimSuffix(whole, groups(0, "EOF")), "the file is cut off"},
		"half a group":     {strings.TrimSuffix(whole, "EOF\n"), "the file is cut off"},
		"code out of size": {groups(0, "SECTION", 99999, "x"), `smock.dxf:3: "99999" stands where`},
		"no number":        {inMM(dxfLine("a", 0, 0, 1, 1) + groups(0, "LINE", 8, "a", 10, "ten", 20, 0, 11, 0, 21, 0)), `smock.dxf:38: LINE: group 10 is "ten", where a number is needed`},
		"NaN":              {inMM(groups(0, "CIRCLE", 8, "a", 10, "nan", 20, 0, 40, 5)), `CIRCLE: group 10 is "nan"`},
		"infinite":         {inMM(groups(0, "CIRCLE", 8, "a", 10, 0, 20, 0, 40, "1e999")), `CIRCLE: group 40 is "1e999"`},
		"huge":             {inMM(groups(0, "CIRCLE", 8, "a", 10, "1e300", 20, 0, 40, 5)), `CIRCLE: group 10 is "1e300"`},
		"far":              {inMM(strings.ReplaceAll(square, " 20\n10\n", " 20\n1e9\n")), "is more than 100 m off the sheet"},
		"missing":          {inMM(groups(0, "LINE", 8, "a", 10, 1, 20, 2, 11, 3)), "LINE: group 21 is missing"},
		"radius 0":         {inMM(groups(0, "CIRCLE", 8, "a", 10, 0, 20, 0, 40, 0)), "CIRCLE: its radius is 0"},
		"radius below 0":   {inMM(groups(0, "ARC", 8, "a", 10, 0, 20, 0, 40, -5, 50, 0, 51, 90)), "ARC: its radius is -5"},
		"bulge":            {inMM(dxfPolyline("a", [3]float64{0, 0, 1e9}, [3]float64{1, 0, 0}, [3]float64{1, 1, 0})), "LWPOLYLINE: the bulge of vertex 1 is 1e+09"},
		"slant":            {inMM(groups(0, "CIRCLE", 8, "a", 10, 0, 20, 0, 40, 5, 210, 1, 220, 0, 230, 0)), "CIRCLE: it lies in a slanting plane"},
		"degree":           {inMM(groups(0, "SPLINE", 8, "a", 71, 40, 10, 0, 20, 0)), "SPLINE: its degree is 40"},
		"few":              {inMM(groups(0, "SPLINE", 8, "a", 71, 3, 10, 0, 20, 0)), "SPLINE: 1 control points are too few for degree 3"},
		"knots":            {inMM(groups(0, "SPLINE", 8, "a", 71, 1, 40, 0, 10, 0, 20, 0, 10, 1, 20, 1)), "need 4 knots, and there are 1"},
		"falling knots":    {inMM(groups(0, "SPLINE", 8, "a", 71, 1, 40, 0, 40, 3, 40, 2, 40, 4, 10, 0, 20, 0, 10, 1, 20, 1)), "its knots do not rise"},
		"same knots":       {inMM(groups(0, "SPLINE", 8, "a", 71, 1, 40, 0, 40, 0, 40, 0, 40, 0, 10, 0, 20, 0, 10, 1, 20, 1)), "its knots are all the same"},
		"weight 0":         {inMM(groups(0, "SPLINE", 8, "a", 71, 1, 40, 0, 40, 0, 40, 1, 40, 1, 41, 0, 41, 1, 10, 0, 20, 0, 10, 1, 20, 1)), "a weight is 0"},
		"no SEQEND":        {inMM(groups(0, "POLYLINE", 8, "a", 66, 1, 70, 1, 0, "VERTEX", 10, 1, 20, 1, 0, "LINE", 10, 1)), "POLYLINE from line 22 has no end (SEQEND)"},
		"scale 0":          {block(groups(0, "INSERT", 8, 0, 2, "b", 41, 0)), `INSERT: block "b" is scaled by 0`},
		"within itself":    {block(square + groups(0, "INSERT", 8, 0, 2, "A", 10, 0, 20, 0)), `block "a" is shown within itself`},
		"no ENDBLK":        {dxfFile(insUnitsOf(4), groups(0, "BLOCK", 8, 0, 2, "a", 10, 0, 20, 0)+square, ""), "ENDSEC stands where ENDBLK is missing"},
		"twice":            {dxfFile(insUnitsOf(4), strings.Repeat(groups(0, "BLOCK", 8, 0, 2, "a", 10, 0, 20, 0, 0, "ENDBLK", 8, 0), 2), square), `block "a" is there twice; the first is on line`},
		"nothing closed":   {inMM(dxfLine("a", 0, 0, 5, 5)), "no outline found"},
		"between":          {groups(0, "SECTION", 2, "HEADER", 0, "ENDSEC", 8, "x"), "smock.dxf:8: group 8, \"x\", lies between the sections"},
	} {
		t.Run(name, func(t *testing.T) {
			d, err := readDXF(c.file, Options{Scale: 1})
			require.Nil(t, d)
			require.Error(t, err)
			var placed *Error
			require.True(t, errors.As(err, &placed))
			assert.Contains(t, err.Error(), c.want)
			assert.NotContains(t, err.Error(), "\n")
			if name != "nothing closed" {
				assert.Positive(t, placed.Line, "it says the line")
			}
		})
	}
}

// Wherever a good file is cut off, it is refused with a line, or nothing that
// counts is missing.
func TestDXFCutAnywhere(t *testing.T) {
	whole := inMM(dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{10, 0, 0.5}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0}))
	for n := range len(whole) - len("\n") {
		d, err := readDXF(whole[:n], Options{})
		require.Error(t, err, "%d", n)
		require.Nil(t, d)
		require.Regexp(t, `^smock\.dxf:\d+: `, err.Error(), "%d", n)
	}
}

// nested makes blocks that each show the one before twice, and one of lines.
func nested(deep int, inner string) string {
	blocks := groups(0, "BLOCK", 8, 0, 2, "b0", 10, 0, 20, 0) + inner + groups(0, "ENDBLK", 8, 0)
	for i := 1; i <= deep; i++ {
		insert := groups(0, "INSERT", 8, 0, 2, fmt.Sprintf("b%d", i-1), 10, 1, 20, 0)
		blocks += groups(0, "BLOCK", 8, 0, 2, fmt.Sprintf("b%d", i), 10, 0, 20, 0) + insert + insert + groups(0, "ENDBLK", 8, 0)
	}
	return dxfFile(insUnitsOf(4), blocks, groups(0, "INSERT", 8, 0, 2, fmt.Sprintf("b%d", deep), 10, 0, 20, 0))
}

// Small files that multiply themselves, and large ones, stop at a limit, and
// take memory in bounds: some times the file, and 100 MB at most beside.
func TestHostileDXF(t *testing.T) {
	square := dxfPolyline("0", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0})
	many := func(n int, s string) string { return inMM(strings.Repeat(s, n)) }
	for name, file := range map[string]string{
		"blocks doubled":      nested(40, square),
		"empty blocks twice":  nested(60, ""),
		"deep":                nested(200, square),
		"rows and columns":    dxfFile(insUnitsOf(4), groups(0, "BLOCK", 8, 0, 2, "b", 10, 0, 20, 0)+square+groups(0, "ENDBLK", 8, 0), groups(0, "INSERT", 8, 0, 2, "b", 70, 100000, 71, 100000, 44, 0.001, 45, 0.001)),
		"millions of columns": dxfFile(insUnitsOf(4), groups(0, "BLOCK", 8, 0, 2, "b", 10, 0, 20, 0)+square+groups(0, "ENDBLK", 8, 0), groups(0, "INSERT", 8, 0, 2, "b", 70, 2000000000)),
		"many lines":          many(100_001, dxfLine("a", 0, 0, 1, 1)),
		"many points":         many(1_000_001, groups(0, "POINT", 10, 1, 20, 1)),
		"many vertices":       inMM(groups(0, "POLYLINE", 70, 1) + strings.Repeat(groups(0, "VERTEX", 10, 1, 20, 1), 1_000_001) + groups(0, "SEQEND", 8, 0)),
		"many groups":         inMM(groups(0, "LWPOLYLINE", 70, 1) + strings.Repeat(groups(10, 1), 1_100_000)),
		"many drill holes":    crowdedPiece(20_000, groups(0, "POINT", 8, 13, 10, 5, 20, 4)),
		"many notches":        crowdedPiece(20_000, groups(0, "POINT", 8, 4, 10, 5, 20, 0)),
		"many edges named":    crowdedPiece(20_000, groups(0, "TEXT", 8, 15, 10, 5, 20, 0, 40, 1, 1, "edge: side")),
		"long line":           inMM(groups(0, "TEXT", 10, 0, 20, 0, 1, strings.Repeat("x", 1_000_000))),
	} {
		t.Run(name, func(t *testing.T) {
			var err error
			used := memoryOf(func() { _, err = readDXF(file, Options{}) })
			require.Error(t, err)
			assert.Regexp(t, `^smock\.dxf:\d+: `, err.Error())
			if name != "long line" {
				require.ErrorIs(t, err, ErrTooLarge)
			}
			assert.Less(t, used, uint64(300_000_000+12*len(file)))
		})
	}
}

// crowdedPiece is a piece with so many of a sign.
func crowdedPiece(n int, sign string) string {
	return piecesFile(groups(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 1, 1, "PIECE NAME: front") +
		dxfPolyline("1", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}) + strings.Repeat(sign, n))
}

// A plain drawing of more lines than a piece can have, all between the same two
// places, is refused when the piece is made.
func TestTooManyMarks(t *testing.T) {
	var lines strings.Builder
	for i := range 4000 {
		lines.WriteString(dxfPolyline("a", [3]float64{1, 1, 0}, [3]float64{5 + 5*float64(i%97), 5 + 5*float64(i/97), 0}, [3]float64{499, 499, 0}))
	}
	open := strings.ReplaceAll(lines.String(), groups(90, 3, 70, 1), groups(90, 3, 70, 0))
	d := mustDXF(t, inMM(dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{500, 0, 0}, [3]float64{500, 500, 0}, [3]float64{0, 500, 0})+open))
	require.Greater(t, len(d.Outlines[0].Lines), mostMarks)
	_, err := ToPiece(pattern.New("Smock", units.Centimetre), d.Outlines[0], Request{})
	require.ErrorIs(t, err, ErrTooLarge)
	require.ErrorContains(t, err, "3000 are the most")
}

// Lines that all meet in one point, points that all lie in one place, and texts
// in all of many outlines take no more than their share of time.
func TestCrowdedDXF(t *testing.T) {
	var knot strings.Builder
	for i := range 20_000 {
		knot.WriteString(dxfLine("a", 0, 0, float64(i%977), float64(i%787)))
	}
	_, err := readDXF(inMM(knot.String()), Options{})
	require.Error(t, err)

	piece := piecesFile(groups(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 1, 1, "PIECE NAME: front") + dxfPolyline("1", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}) +
		strings.Repeat(groups(0, "POINT", 8, 3, 10, 0, 20, 0), 90_000))
	_, err = readDXF(piece, Options{})
	require.NoError(t, err)
}

// Thousands of outlines and texts of one name, and points on curves that scatter,
// through which no few cubics go.
func TestScatteredDXF(t *testing.T) {
	var many, points strings.Builder
	for i := range 3000 {
		x := float64(i * 20)
		many.WriteString(dxfPolyline(fmt.Sprintf("l%d", i), [3]float64{x, 0, 0}, [3]float64{x + 10, 0, 0}, [3]float64{x + 10, 10, 0}))
		many.WriteString(groups(0, "TEXT", 8, "t", 10, x+8, 20, 2, 40, 1, 1, "l0"))
	}
	_, err := readDXF(inMM(many.String()), Options{})
	require.NoError(t, err)

	var outline [][3]float64
	for i := range 20_000 {
		x, y := float64(i%200)*5, float64(i/200)*5+float64(i*7919%13)/10
		outline = append(outline, [3]float64{x, y, 0})
		layer := dxfCurve
		if i%200 == 0 {
			layer = dxfTurn
		}
		points.WriteString(dxfPointOn(layer, x, y))
	}
	_, err = readDXF(piecesFile(dxfText1("PIECE NAME: front")+dxfPolyline("14", outline...)+points.String()), Options{})
	require.NoError(t, err)
}

// A DXF under another name is known by its first lines.
func TestReadFindsDXF(t *testing.T) {
	square := dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{10, 0, 0}, [3]float64{10, 10, 0}, [3]float64{0, 10, 0})
	for name, text := range map[string]string{"a.dxf": inMM(square), "b.DXF": inMM(square), "c.txt": groups(999, "made by hand") + inMM(square), "d": "\ufeff" + inMM(square)} {
		file := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(text, "\n", "\r\n")), 0o600))
		d, err := Read(file, Options{}, PointsOptions{})
		require.NoError(t, err, name)
		assert.Equal(t, "pocket", d.Outlines[0].Name)
	}
	file := filepath.Join(t.TempDir(), "binary")
	require.NoError(t, os.WriteFile(file, []byte(dxfBinary+"\r\n\x1a\x00"), 0o600))
	_, err := Read(file, Options{}, PointsOptions{})
	require.ErrorContains(t, err, "binary DXF")
}
