package trace

import (
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
		assert.Equal(t, want, dxfText(value, ""), value)
	}
}
