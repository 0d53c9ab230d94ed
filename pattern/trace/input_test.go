package trace

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// One drawing in all encodings gives one name.
func TestEncodings(t *testing.T) {
	const name = "vollärmel 1½"
	svg := func(declared string) string {
		return `<?xml version="1.0"` + declared + "?>\n" + sheetMM(`<rect id="`+name+`" width="30" height="40"/>`)
	}
	utf16 := func(e unicode.Endianness, bom unicode.BOMPolicy, s string) []byte {
		b, err := unicode.UTF16(e, bom).NewEncoder().Bytes([]byte(s))
		require.NoError(t, err)
		return b
	}
	latin, err := charmap.ISO8859_1.NewEncoder().Bytes([]byte(svg(` encoding="ISO-8859-1"`)))
	require.NoError(t, err)
	for what, b := range map[string][]byte{
		"UTF-8":              []byte(svg("")),
		"UTF-8, declared":    []byte(svg(` encoding="utf-8"`)),
		"UTF-8 with mark":    append([]byte{0xef, 0xbb, 0xbf}, svg("")...),
		"UTF-16 LE":          utf16(unicode.LittleEndian, unicode.UseBOM, svg(` encoding="UTF-16"`)),
		"UTF-16 BE":          utf16(unicode.BigEndian, unicode.UseBOM, svg(` encoding="UTF-16"`)),
		"UTF-16 LE, no mark": utf16(unicode.LittleEndian, unicode.IgnoreBOM, svg(` encoding="UTF-16LE"`)),
		"UTF-16 BE, no mark": utf16(unicode.BigEndian, unicode.IgnoreBOM, svg("")),
		"said to be UTF-16":  []byte(svg(` encoding="UTF-16"`)),
		"ISO-8859-1":         latin,
		"packed":             zipped(t, svg("")),
		"packed UTF-16":      zipped(t, string(utf16(unicode.LittleEndian, unicode.UseBOM, svg("")))),
	} {
		d, err := ReadSVG("smock.svg", bytes.NewReader(b), Options{})
		if assert.NoError(t, err, what) {
			assert.Equal(t, []string{name}, names(d), what)
			assert.Equal(t, `smock.svg:3: rect "vollärmel 1½"`, d.Outlines[0].Where, what)
		}
	}
}

func TestReadFiles(t *testing.T) {
	dir := t.TempDir()
	points := "# measured\nunit: mm\npiece: back\n0,0\n30,0\n30,40\n"
	for name, c := range map[string]struct{ content, want string }{
		"a.svg":    {sheetMM(backRect), "back"},
		"a.SVGZ":   {string(zipped(t, sheetMM(backRect))), "back"},
		"a.points": {points, "back"},
		"a.xml":    {"\ufeff" + sheetMM(backRect), "back"},
		"a.gz":     {string(zipped(t, sheetMM(backRect))), "back"},
		"a.txt":    {points, "back"},
		"b":        {"0, 0\n3,0\n3,4\n", "b"},
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(c.content), 0o600))
		d, err := Read(path, Options{}, PointsOptions{})
		if assert.NoError(t, err, name) {
			assert.Equal(t, []string{c.want}, names(d), name)
		}
	}
	other := filepath.Join(dir, "letter.txt")
	require.NoError(t, os.WriteFile(other, []byte("Dear all,\n"), 0o600))
	_, err := Read(other, Options{}, PointsOptions{})
	assert.ErrorContains(t, err, other+": neither an SVG or DXF drawing nor a points file")
	_, err = Read(filepath.Join(dir, "gone.svg"), Options{}, PointsOptions{})
	assert.ErrorIs(t, err, os.ErrNotExist)
	_, err = Read(dir, Options{}, PointsOptions{})
	assert.Error(t, err)
}
