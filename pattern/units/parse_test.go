package units

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Expected values are products with the definitions 1 cm = 10 mm and
// 1 in = 25.4 mm, worked by hand; 5/8 in = 15.875 mm is the row of the home
// sewing allowance, from the definition of the inch.
func TestParseLength(t *testing.T) {
	for _, c := range []struct {
		text string
		unit Unit
		want float64
	}{
		{"7cm", Millimetre, 70},
		{"70mm", Inch, 70},
		{"7", Centimetre, 70},
		{"7", Unit(""), 70},
		{"7", Millimetre, 7},
		{"7", Inch, 177.8},
		{"2.75in", Centimetre, 69.85},
		{"5/8in", Centimetre, 15.875},
		{"5/8", Inch, 15.875},
		{"5\u20448in", Centimetre, 15.875},
		{"⅝in", Centimetre, 15.875},
		{"1 3/8in", Centimetre, 34.925},
		{"1\u00a0 3/8 in", Centimetre, 34.925},
		{"1 3/8 inches", Centimetre, 34.925},
		{`1-3/8"`, Centimetre, 34.925},
		{"1⅜″", Centimetre, 34.925},
		{"1 ⅜ in", Centimetre, 34.925},
		{"1-⅜in", Centimetre, 34.925},
		{"-1-3/8in", Centimetre, -34.925},
		{"−1 3/8 in", Centimetre, -34.925},
		{"9/8in", Centimetre, 28.575},
		{"1½cm", Millimetre, 15},
		{"½", Centimetre, 5},
		{"+0.5 cm", Inch, 5},
		{".5cm", Inch, 5},
		{"- 6 cm", Inch, -60},
		{"  41.23\u00a0cm ", Inch, 412.3},
		{"41.23\u202fCM", Inch, 412.3},
		{"0", Centimetre, 0},
		{"-0", Centimetre, 0},
		{"0007mm", Centimetre, 7},
		{"010mm", Centimetre, 10}, // never octal
		{"010/1mm", Centimetre, 10},
		{"0.1", Millimetre, 0.1},
		{"0.3cm", Millimetre, 3},
		{"100000mm", Centimetre, 1e5},
		{"-10000cm", Centimetre, -1e5},
		{"1 inch", Centimetre, 25.4},
	} {
		got, err := ParseLength(c.text, c.unit)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.want, got, c.text)
		assert.False(t, got == 0 && math.Signbit(got), "%q read as -0", c.text)
	}
}

// Every fraction character stands for the division of its two numbers.
func TestParseLengthFractionCharacters(t *testing.T) {
	want := map[string]float64{
		"½": 1. / 2, "⅓": 1. / 3, "⅔": 2. / 3, "¼": 1. / 4, "¾": 3. / 4, "⅕": 1. / 5,
		"⅖": 2. / 5, "⅗": 3. / 5, "⅘": 4. / 5, "⅙": 1. / 6, "⅚": 5. / 6, "⅐": 1. / 7,
		"⅛": 1. / 8, "⅜": 3. / 8, "⅝": 5. / 8, "⅞": 7. / 8, "⅑": 1. / 9, "⅒": 1. / 10,
	}
	assert.Len(t, vulgar, len(want))
	for text, value := range want {
		got, err := ParseLength(text, Millimetre)
		require.NoError(t, err, text)
		assert.Equal(t, value, got, text)
		got, err = ParseLength("12"+text, Millimetre)
		require.NoError(t, err, text)
		assert.InDelta(t, 12+value, got, 1e-14, text)
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for text, why := range map[string]string{
		"":                       "nothing in it",
		"  ":                     "nothing in it",
		"cm":                     "no number",
		"-":                      "no number",
		"NaN":                    "no number",
		"inf":                    "no number",
		"-Infinity":              "no number",
		"0x10":                   "not a number",
		"0x1p4":                  "not a number",
		"1e3":                    "not a number",
		"1E3mm":                  "not a number",
		"1_000mm":                "not a number",
		"7.cm":                   "not a number",
		"5 in.":                  "not a number",
		"1.2.3cm":                "not a number",
		"--7cm":                  "not a number",
		"+-7cm":                  "not a number",
		"1 3in":                  "not a number",
		"1 - 3/8in":              "not a number",
		"1 -3/8in":               "not a number",
		"3/8/2in":                "not a number",
		"1.5 3/8in":              "not a number",
		"½½cm":                   "not a number",
		"7cm 3mm":                "not a number",
		"٧cm":                    "no number",
		"\xff7cm":                "not a number",
		"3/in":                   "not a number",
		"3/0in":                  "over 0",
		"1 8/8in":                "less than 1",
		"1 9/8in":                "less than 1",
		"7km":                    `"km" is not a unit of length`,
		"7 c m":                  `"c m" is not a unit of length`,
		"7cm\x00":                "is not a unit of length",
		"7deg":                   `"deg" is not a unit of length`,
		"7'":                     "not a unit of length",
		"7%":                     "not a unit of length",
		"100000.1mm":             "more than 100 m",
		"-10001":                 "more than 100 m",
		"99999in":                "more than 100 m",
		strings.Repeat("9", 60):  "more than 100 m",
		strings.Repeat("9", 400): "too long",
	} {
		got, err := ParseLength(text, Centimetre)
		require.Error(t, err, "%q gave %v", text, got)
		assert.Zero(t, got, text)
		assert.Contains(t, err.Error(), why, text)
		assert.Contains(t, err.Error(), "length "+quoted(text), "the value")
		assert.Contains(t, err.Error(), "write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of cm")
	}
}

func TestParseLengthWholeMessage(t *testing.T) {
	for text, want := range map[string]string{
		"7km": `length "7km": "km" is not a unit of length; ` +
			"write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of in",
		`1 9/8"`: "length `1 9/8\"`: after a whole number the fraction must be less than 1; " +
			"write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of in",
		"7,5cm":     `length "7,5cm": decimals have a point here, not a comma; write 7.5cm`,
		" -,5 ":     `length " -,5 ": decimals have a point here, not a comma; write -.5`,
		"1,250mm":   `length "1,250mm": decimals have a point here, not a comma; write 1.250mm, or 1250mm if thousands were meant`,
		"1,5 \n cm": `length "1,5 \n cm": decimals have a point here, not a comma; write 1.5 cm`,
		"0,125in":   `length "0,125in": decimals have a point here, not a comma; write 0.125in`,
		"12,3750in": `length "12,3750in": decimals have a point here, not a comma; write 12.3750in`,
		"1,2,3": `length "1,2,3": decimals have a point here, not a comma; ` +
			"write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of in",
		"7,5km": `length "7,5km": decimals have a point here, not a comma; ` +
			"write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of in",
	} {
		_, err := ParseLength(text, Inch)
		assert.EqualError(t, err, want)
	}
}

func TestParsePositive(t *testing.T) {
	got, err := ParsePositive("5/8in", Centimetre)
	require.NoError(t, err)
	assert.Equal(t, 15.875, got, "definition of the inch")
	for _, text := range []string{"0", "0.0mm", "-0", "-6cm", "−½in"} {
		got, err := ParsePositive(text, Centimetre)
		require.Error(t, err, text)
		assert.Zero(t, got, text)
		assert.Contains(t, err.Error(), quoted(text)+": it must be more than 0; write 7cm")
	}
	_, err = ParsePositive("7,5", Centimetre)
	assert.ErrorContains(t, err, "write 7.5")
}

// The whole circle is 2π and parts of it in proportion.
func TestParseAngle(t *testing.T) {
	for text, want := range map[string]float64{
		"0": 0, "-0deg": 0, "180deg": math.Pi, "90°": math.Pi / 2, "-90": -math.Pi / 2,
		"−45 degrees": -math.Pi / 4, "360": 2 * math.Pi, "+60 Deg": math.Pi / 3,
		"4.5deg": math.Pi / 40, "4.5°": math.Pi / 40, "4½°": math.Pi / 40, "4 1/2deg": math.Pi / 40,
		"1 degree": math.Pi / 180, ".5": math.Pi / 360,
	} {
		got, err := ParseAngle(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, got, 1e-15*math.Abs(want), text)
		assert.False(t, got == 0 && math.Signbit(got), "%q read as -0", text)
	}
}

func TestParseAngleRefuses(t *testing.T) {
	for text, why := range map[string]string{
		"":         "nothing in it",
		"deg":      "no number",
		"NaN":      "no number",
		"1e1":      "not a number",
		"0.1rad":   `"rad" is not a unit of angle`,
		"5cm":      `"cm" is not a unit of angle`,
		"4°30'":    "not a number",
		"360.1deg": "more than a full turn",
		"-400":     "more than a full turn",
		"1/0":      "over 0",
	} {
		got, err := ParseAngle(text)
		require.Error(t, err, text)
		assert.Zero(t, got, text)
		assert.Contains(t, err.Error(), why, text)
		assert.Contains(t, err.Error(), "angle "+quoted(text)+": ")
		assert.Contains(t, err.Error(), "write 4.5deg, 4.5° or a bare number of degrees")
	}
	_, err := ParseAngle("4,5deg")
	assert.EqualError(t, err, `angle "4,5deg": decimals have a point here, not a comma; write 4.5deg`)
}

func TestLongValueIsShortenedInMessages(t *testing.T) {
	_, err := ParseLength(strings.Repeat("ü", 30000), Centimetre)
	require.Error(t, err)
	assert.Contains(t, err.Error(), strings.Repeat("ü", maxQuoted)+"…")
	assert.Less(t, len(err.Error()), 300)
}
