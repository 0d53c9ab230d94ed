package trace

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Signs written as two percent signs and a letter or number, as DXF has them
// since its first releases; letters by their numbers.
func TestDXFText(t *testing.T) {
	for value, want := range map[string]string{
		"%%c20 caf\\U+00E9": "⌀20 café",
		"45%%d %%P1":        "45° ±1",
		"%%uhem%%u":         "hem",
		"100%%% wool":       "100% wool",
		"%%065%%09":         "A%%09",
		"50 % wool":         "50 % wool",
		`%\U+0025c`:         "%%c",
		"a%%007b":           "a b",
	} {
		assert.Equal(t, want, dxfText(value, dxfPage{}), value)
	}
}

// Texts in the code pages of DXF; the bytes are those of the standards of the
// pages, as `iconv` writes them. Before release AC1021 a file is in its page also
// where the bytes could be UTF-8.
func TestDXFPages(t *testing.T) {
	for _, c := range []struct{ page, release, bytes, want string }{
		{"ANSI_932", "AC1015", "\x91\x4f\x90\x67\x8d\x91", "前身国"},
		{"ANSI_936", "AC1015", "\xc7\xb0\xc6\xac", "前片"},
		{"ansi_949", "AC1009", "\xbe\xd5\xc6\xc7", "앞판"},
		{"ANSI_950", "AC1015", "\xab\x65\xa4\xf9", "前片"},
		{"DOS850", "AC1009", "Vorderteil \x84", "Vorderteil ä"},
		{"dos437", "AC1009", "r\x81cken", "rücken"},
		{"dos866", "AC1009", "\x8f\xa5\xe0\xa5\xa4", "Перед"},
		{"ANSI_1251", "AC1015", "\xd0\x91", "Р‘"},
		{"ANSI_1251", "AC1024", "\xd0\x91", "Б"},
		{"ANSI_1252", "AC1015", "caf\xc3\xa9", "café"},
		{"ANSI_1252", "AC1015", "caf\xe9", "café"},
		{"", "", "caf\xc3\xa9", "café"},
	} {
		assert.Equal(t, c.want, dxfText(c.bytes, pageOf(c.page, c.release)), c.page)
	}
	assert.Nil(t, dxfPage{name: "ANSI_9999"}.known())
	assert.Nil(t, dxfPage{}.known())
	d := mustDXF(t, dxfFile(insUnitsOf(4)+groups(9, "$DWGCODEPAGE", 3, "ANSI_9999"), "", dxfPolyline("pocket", [3]float64{0, 0, 0}, [3]float64{90, 0, 0}, [3]float64{90, 90, 0})))
	assert.Contains(t, strings.Join(d.Ignored, "\n"), `code page "ANSI_9999", which is not known`)
}
