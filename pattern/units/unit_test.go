package units

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseUnit(t *testing.T) {
	for text, want := range map[string]Unit{
		"mm": Millimetre, "cm": Centimetre, "in": Inch,
		"MM": Millimetre, " cm ": Centimetre, "Inch": Inch, "inches": Inch,
		`"`: Inch, "″": Inch, "”": Inch,
		"millimetres": Millimetre, "millimeter": Millimetre,
		"centimetre": Centimetre, "Centimeters": Centimetre,
	} {
		got, err := ParseUnit(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
}

func TestParseUnitRefuses(t *testing.T) {
	for _, text := range []string{"", "m", "km", "ft", "'", "''", "pt", "px", "mm2", "c m", "deg"} {
		got, err := ParseUnit(text)
		require.Error(t, err, text)
		assert.Empty(t, got)
		assert.Contains(t, err.Error(), quoted(text))
		assert.Contains(t, err.Error(), "write mm, cm or in")
	}
}

// The inch is 25.4 mm by definition (international yard and pound, 1959); the
// others are the prefixes of the SI.
func TestMM(t *testing.T) {
	assert.Equal(t, 1.0, Millimetre.MM())
	assert.Equal(t, 10.0, Centimetre.MM())
	assert.Equal(t, 25.4, Inch.MM())
	assert.Equal(t, 10.0, Unit("").MM(), "the zero unit is the default one")
	assert.Panics(t, func() { Unit("ell").MM() })
}
