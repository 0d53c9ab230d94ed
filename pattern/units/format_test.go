package units

import (
	"math"
	"math/big"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Inch rows: 1 in = 25.4 mm by definition; 34.925 = 1 3/8 × 25.4.
func TestFormat(t *testing.T) {
	for _, c := range []struct {
		unit Unit
		mm   float64
		want string
	}{
		{Centimetre, 412.3, "41.23 cm"},
		{Centimetre, 412.34, "41.23 cm"},
		{Centimetre, 412.36, "41.24 cm"},
		{Centimetre, 405, "40.5 cm"},
		{Centimetre, 400, "40 cm"},
		{Centimetre, -7.3, "−0.73 cm"},
		{Centimetre, 0.049, "0 cm"},
		{Centimetre, -0.049, "0 cm"},
		{Centimetre, math.Copysign(0, -1), "0 cm"},
		{Unit(""), 70, "7 cm"},
		{Millimetre, 412.3, "412.3 mm"},
		{Millimetre, 412.04, "412 mm"},
		{Millimetre, -60, "−60 mm"},
		{Millimetre, -0.04, "0 mm"},
		{Millimetre, 1e5, "100000 mm"},
		{Inch, 34.925, "1 3/8 in"},
		{Inch, -34.925, "−1 3/8 in"},
		{Inch, 15.875, "5/8 in"},
		{Inch, 15.8799, "5/8 in"},
		{Inch, 15.881, "0.625 in"},
		{Inch, 15.9, "0.626 in"},
		{Inch, 1.5875, "1/16 in"},
		{Inch, 12.7, "1/2 in"},
		{Inch, 25.4, "1 in"},
		{Inch, 254, "10 in"},
		{Inch, 23.8125, "15/16 in"},
		{Inch, 25.396, "1 in"},
		{Inch, 0.004, "0 in"},
		{Inch, -0.004, "0 in"},
		{Inch, 100, "3.937 in"},
	} {
		assert.Equal(t, c.want, c.unit.Format(c.mm), "%v mm", c.mm)
	}
}

func TestFormatSigned(t *testing.T) {
	assert.Equal(t, "+0.73 cm", Centimetre.FormatSigned(7.3))
	assert.Equal(t, "−0.73 cm", Centimetre.FormatSigned(-7.3))
	assert.Equal(t, "0 cm", Centimetre.FormatSigned(0.01))
	assert.Equal(t, "0 cm", Centimetre.FormatSigned(-0.01))
	assert.Equal(t, "+0.5 mm", Millimetre.FormatSigned(0.5))
	assert.Equal(t, "+1 3/8 in", Inch.FormatSigned(34.925), "definition of the inch")
	assert.Equal(t, "0 in", Inch.FormatSigned(0.004))
	assert.Equal(t, "+0.01 cm", Centimetre.FormatSigned(0.1))
}

func TestFormatAngle(t *testing.T) {
	assert.Equal(t, "4.5°", FormatAngle(math.Pi/40))
	assert.Equal(t, "−4.5°", FormatAngle(-math.Pi/40))
	assert.Equal(t, "90°", FormatAngle(math.Pi/2))
	assert.Equal(t, "0°", FormatAngle(-1e-6))
	// Derived: 2·asin(5/120), a chord of 5 at a radius of 60, is 4.776031°.
	assert.Equal(t, "4.78°", FormatAngle(2*math.Asin(5./120)))
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals uint
		want     string
	}{
		{0, 3, "0"},
		{math.Copysign(0, -1), 3, "0"},
		{-0.0004, 3, "0"},
		{-0.0006, 3, "-0.001"},
		{1.5, 3, "1.5"},
		{100, 3, "100"},
		{100, 0, "100"},
		{-20, 0, "-20"},
		{15.875, 3, "15.875"},
		{1.0005, 3, "1"},     // the float64 below 1.0005
		{0.0625, 3, "0.062"}, // a true tie goes to the even digit
		{0.1875, 3, "0.188"},
		{2.5, 0, "2"},
		{1e21, 3, "1000000000000000000000"},
		{5e-324, 3, "0"},
		{math.NaN(), 3, "NaN"},
		{math.Inf(1), 3, "+Inf"},
		{math.Inf(-1), 3, "-Inf"},
	} {
		assert.Equal(t, c.want, Number(c.v, c.decimals), "%v to %d", c.v, c.decimals)
	}
}

func TestRound(t *testing.T) {
	assert.Equal(t, 0.062, Round(0.0625, 3))
	assert.Equal(t, 1234.568, Round(1234.5678, 3))
	assert.Equal(t, -60.0, Round(-59.99999, 3))
	assert.False(t, math.Signbit(Round(-0.0001, 3)), "never -0")
	assert.True(t, math.IsNaN(Round(math.NaN(), 3)))
	assert.Equal(t, math.MaxFloat64, Round(math.MaxFloat64, 3))
}

// fileNumber is what a number in a file looks like.
var fileNumber = regexp.MustCompile(`^(0|-?[1-9][0-9]*|-?(0|[1-9][0-9]*)\.[0-9]*[1-9])$`)

// Number against exact arithmetic: no multiple of the last digit is nearer to
// the binary value than what is printed, and printing is stable.
func TestNumberAgainstExactArithmetic(t *testing.T) {
	random := seeded(t)
	for range 20000 {
		v := (random.Float64() - 0.5) * math.Pow(10, random.Float64()*14-6)
		decimals := uint(random.IntN(7))
		text := Number(v, decimals)
		require.Regexp(t, fileNumber, text, "%v to %d", v, decimals)
		printed, ok := new(big.Rat).SetString(text)
		require.True(t, ok, text)
		gap := new(big.Rat).Sub(printed, new(big.Rat).SetFloat64(v))
		unit := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
		half := new(big.Rat).SetFrac(big.NewInt(1), unit.Lsh(unit, 1))
		require.LessOrEqual(t, gap.Abs(gap).Cmp(half), 0, "%v to %d gave %s", v, decimals, text)

		rounded := Round(v, decimals)
		back, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		require.Equal(t, back, rounded)
		require.Equal(t, text, Number(rounded, decimals), "%v to %d", v, decimals)
		require.Equal(t, rounded, Round(rounded, decimals))
	}
}

// What is written for people is read back within half of the last digit shown:
// 0.05 mm for 0.01 cm and for 0.1 mm, 0.0127 mm for 0.001 in, 0.005 mm for a
// fraction of an inch.
func TestFormatIsReadBack(t *testing.T) {
	random := seeded(t)
	for range 20000 {
		mm := (random.Float64() - 0.5) * math.Pow(10, random.Float64()*7-2)
		if random.IntN(4) == 0 {
			mm = float64(random.IntN(4000)-2000) * 25.4 / 16
		}
		for _, unit := range []Unit{Millimetre, Centimetre, Inch} {
			for _, text := range []string{unit.Format(mm), unit.FormatSigned(mm)} {
				within := 0.05
				if unit == Inch {
					within = 0.0005 * 25.4
					if strings.Contains(text, "/") {
						within = fractionWithin
					}
				}
				other := Millimetre // the text has its own unit, this one is not to matter
				got, err := ParseLength(text, other)
				require.NoError(t, err, text)
				require.InDelta(t, mm, got, within+1e-9, "%v mm shown as %s", mm, text)
				if unit != Inch { // 12.707 mm is shown as 0.5 in, and that as 1/2 in
					require.Equal(t, strings.TrimLeft(text, "+"), unit.Format(got), "shown twice")
				}
				require.NotContains(t, text, "-")
				require.NotRegexp(t, `\.[0-9]*0 `, text)
			}
		}
	}
}

func TestFormatAngleIsReadBack(t *testing.T) {
	random := seeded(t)
	for range 5000 {
		rad := (random.Float64() - 0.5) * 4 * math.Pi
		got, err := ParseAngle(FormatAngle(rad))
		require.NoError(t, err)
		require.InDelta(t, rad, got, 0.005*math.Pi/180+1e-12)
	}
}

// seeded returns a random source and prints its seed.
func seeded(t *testing.T) *rand.Rand {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 1))
}
