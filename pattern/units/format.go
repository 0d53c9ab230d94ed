package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

const (
	// minus is the sign people read; files have the ASCII hyphen.
	minus = "\u2212"
	// sixteenths is the finest division of an inch tape.
	sixteenths = 16
	// fractionWithin is how near, in millimetres, a length must be to a
	// sixteenth of an inch to be shown as one: under half of the last digit of
	// the three decimals shown else (0.0127 mm), so a fraction claims no more.
	fractionWithin = 0.005
	// angleDecimals: 0.01° at 60 cm from the pivot is 0.1 mm, the least that
	// lengths show.
	angleDecimals = 2
)

// Format writes a length in millimetres for people to read, with the unit:
// centimetres to 0.01 ("41.23 cm"), millimetres to 0.1 ("412.3 mm"), inches as
// a fraction in sixteenths where one lies within 0.005 mm ("1 3/8 in"), else to
// 0.001 ("1.377 in"). Trailing zeros are left out, a value that rounds to 0 has
// no sign, and the minus is U+2212. ParseLength reads it back within half of
// the last digit shown.
func (u Unit) Format(mm float64) string {
	text := u.magnitude(math.Abs(mm)) + " " + string(u.orDefault())
	if mm < 0 && !strings.HasPrefix(text, "0 ") {
		return minus + text
	}
	return text
}

// FormatSigned is Format with a plus before what is more than 0: for
// differences, where outward, longer and opening are positive. What rounds to 0
// has no sign.
func (u Unit) FormatSigned(mm float64) string {
	text := u.Format(mm)
	if mm > 0 && !strings.HasPrefix(text, "0 ") {
		return "+" + text
	}
	return text
}

// Typed is a length as it is typed in a command, to 0.01 mm: a number and the
// unit without a space, with a minus sign that a keyboard has.
func (u Unit) Typed(mm float64) string {
	decimals := map[Unit]uint{Millimetre: 2, Centimetre: 3, Inch: 4}
	return Number(mm/u.MM(), decimals[u.orDefault()]) + string(u.orDefault())
}

// magnitude writes a length of 0 or more, in millimetres, without the unit.
func (u Unit) magnitude(mm float64) string {
	value := mm / u.MM()
	switch u {
	case Millimetre:
		return Number(value, 1)
	case Inch:
		if text, ok := inchFraction(mm); ok {
			return text
		}
		return Number(value, 3)
	default:
		return Number(value, 2)
	}
}

// inchFraction writes a length in millimetres, 0 or more, as inches and a
// fraction in lowest terms, if it is near enough to a sixteenth.
func inchFraction(mm float64) (text string, ok bool) {
	count := math.Round(mm / Inch.MM() * sixteenths)
	if !(math.Abs(count*Inch.MM()/sixteenths-mm) <= fractionWithin) {
		return "", false
	}
	whole, above, below := math.Floor(count/sixteenths), int(math.Mod(count, sixteenths)), sixteenths
	if above == 0 {
		return Number(whole, 0), true
	}
	for above%2 == 0 {
		above, below = above/2, below/2
	}
	if whole == 0 {
		return fmt.Sprintf("%d/%d", above, below), true
	}
	return fmt.Sprintf("%s %d/%d", Number(whole, 0), above, below), true
}

// FormatAngle writes an angle in radians for people to read, in degrees to 0.01
// ("4.5°"), with the minus U+2212 and no sign on what rounds to 0.
func FormatAngle(rad float64) string {
	text := Number(rad*180/math.Pi, angleDecimals)
	return strings.Replace(text, "-", minus, 1) + "°"
}

// Number is the one printing of a number in files: at most so many decimals,
// rounded from the exact binary value (an exact tie goes to the even digit), no
// trailing zeros, no -0, an ASCII minus, never an exponent. Reading it and
// printing it again gives the same text. It is no gate: NaN and the infinities
// come out as NaN, +Inf and -Inf, which no reader of ours accepts, so they are
// to be refused before.
func Number(v float64, decimals uint) string {
	text := strconv.FormatFloat(v, 'f', int(decimals), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// Round rounds a number to so many decimals, to what Number prints: the result
// is the float64 nearest to that decimal, and never -0. So a rounded value in
// memory equals the same value read back from a file.
func Round(v float64, decimals uint) float64 {
	rounded, err := strconv.ParseFloat(Number(v, decimals), 64)
	if err != nil { // nothing FormatFloat writes is refused by ParseFloat
		panic(fmt.Sprintf("units: rounding %v: %v", v, err))
	}
	return rounded
}
