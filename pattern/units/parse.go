package units

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"
)

const (
	// maxLength is the greatest length read, in millimetres. A hundred metres
	// is beyond any piece of cloth in one garment, so more is a slip of the
	// unit or of a digit.
	maxLength = 1e5
	// maxAngle is the greatest angle read, in degrees: one full turn.
	maxAngle = 360
	// maxText is the longest text looked at, in bytes. The longest sensible
	// one, a mixed fraction with a unit in words, has about half of that.
	maxText = 64
	// maxQuoted is how many characters of a refused value a message repeats.
	maxQuoted = 40
)

// vulgar gives the numerator and denominator of each fraction character.
var vulgar = map[string][2]string{
	"½": {"1", "2"}, "⅓": {"1", "3"}, "⅔": {"2", "3"}, "¼": {"1", "4"}, "¾": {"3", "4"},
	"⅕": {"1", "5"}, "⅖": {"2", "5"}, "⅗": {"3", "5"}, "⅘": {"4", "5"},
	"⅙": {"1", "6"}, "⅚": {"5", "6"}, "⅐": {"1", "7"},
	"⅛": {"1", "8"}, "⅜": {"3", "8"}, "⅝": {"5", "8"}, "⅞": {"7", "8"},
	"⅑": {"1", "9"}, "⅒": {"1", "10"},
}

// The three forms of a number without its sign. Only plain digits are taken;
// U+2044 is the fraction slash.
var (
	decimalForm  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)$`) })
	fractionForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(?:([0-9]+)(?:-| ))?([0-9]+)[/\x{2044}]([0-9]+)$`) })
	vulgarForm   = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^(?:([0-9]+)(?:-| ?))?([¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])$`)
	})
)

// commaThousands finds a comma that may part thousands, as in 1,250.
var commaThousands = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[^0-9]*[1-9][0-9]{0,2},[0-9]{3}(?:[^0-9]|$)`) })

// ParseLength reads a length as typed and returns it in millimetres, the
// float64 nearest to the exact value. unit is what a bare number counts in.
//
// Accepted are a whole number or a decimal with a point (7cm, 2.75in, .5in), a
// fraction (5/8in, ½"), and a whole number with a proper fraction, a space or a
// hyphen between (1 3/8in, 1-3/8", 1⅜in); a sign (+, - or the minus U+2212)
// before, a unit as ParseUnit takes it after. A decimal comma is refused and
// the point proposed; so are NaN, infinity, hexadecimal, exponents, and
// anything beyond 100 m either way. The error names the value and the forms.
func ParseLength(text string, unit Unit) (mm float64, err error) {
	if strings.Contains(text, ",") {
		proposal := withPoint(text)
		_, err := ParseLength(proposal, unit)
		return 0, refuseComma("length", text, proposal, lengthForms(unit), err == nil)
	}
	number, tail, err := splitQuantity(text, "length", lengthForms(unit))
	if err != nil {
		return 0, err
	}
	typed := unit
	if tail != "" {
		if typed, err = ParseUnit(tail); err != nil {
			return 0, refuse("length", text, quoted(tail)+" is not a unit of length", lengthForms(unit))
		}
	}
	mm, _ = number.Mul(number, typed.ratio()).Float64()
	if math.Abs(mm) > maxLength {
		return 0, refuse("length", text, "more than 100 m, so the unit or a digit is wrong", lengthForms(unit))
	}
	return mm, nil
}

// ParsePositive is ParseLength for an amount that must be more than 0.
func ParsePositive(text string, unit Unit) (mm float64, err error) {
	mm, err = ParseLength(text, unit)
	if err != nil {
		return 0, err
	}
	if mm <= 0 {
		return 0, refuse("length", text, "it must be more than 0", lengthForms(unit))
	}
	return mm, nil
}

// ParseAngle reads an angle in degrees, with deg, degree, degrees, ° or nothing
// after it, and returns it in radians, to 1e-15 of its value. The number has
// the forms of ParseLength. More than a full turn either way is refused. The
// error names the value and the forms.
func ParseAngle(text string) (rad float64, err error) {
	const forms = "write 4.5deg, 4.5° or a bare number of degrees"
	if strings.Contains(text, ",") {
		proposal := withPoint(text)
		_, err := ParseAngle(proposal)
		return 0, refuseComma("angle", text, proposal, forms, err == nil)
	}
	number, tail, err := splitQuantity(text, "angle", forms)
	if err != nil {
		return 0, err
	}
	switch strings.ToLower(tail) {
	case "", "deg", "degree", "degrees", "°":
	default:
		return 0, refuse("angle", text, quoted(tail)+" is not a unit of angle", forms)
	}
	degrees, _ := number.Float64()
	if math.Abs(degrees) > maxAngle {
		return 0, refuse("angle", text, "more than a full turn", forms)
	}
	return degrees * math.Pi / 180, nil
}

// splitQuantity reads the number at the front of text and returns it with
// whatever follows it, spaces trimmed. kind and forms are for the error.
func splitQuantity(text, kind, forms string) (number *big.Rat, tail string, err error) {
	if len(text) > maxText {
		return nil, "", refuse(kind, text, "too long to be one", forms)
	}
	plain := singleSpaced(text)
	if plain == "" {
		return nil, "", refuse(kind, text, "there is nothing in it", forms)
	}
	plain, negative := cutSign(plain)
	end := numberEnd(plain)
	number, problem := parseNumber(plain[:end])
	if problem != "" {
		return nil, "", refuse(kind, text, problem, forms)
	}
	if negative {
		number.Neg(number)
	}
	return number, strings.TrimSpace(plain[end:]), nil
}

// cutSign takes a sign off the front.
func cutSign(s string) (rest string, negative bool) {
	for _, sign := range []string{"-", "\u2212", "+"} {
		if after, ok := strings.CutPrefix(s, sign); ok {
			return strings.TrimLeft(after, " "), sign != "+"
		}
	}
	return s, false
}

// numberEnd returns the byte where the number ends and the unit begins: after
// the last digit, point, slash or fraction character.
func numberEnd(s string) int {
	last := strings.LastIndexFunc(s, func(r rune) bool {
		_, isVulgar := vulgar[string(r)]
		return isVulgar || strings.ContainsRune("0123456789./\u2044", r)
	})
	if last < 0 {
		return 0
	}
	_, size := utf8.DecodeRuneInString(s[last:])
	return last + size
}

// parseNumber reads an unsigned number exactly. problem says in words what is
// wrong with it, and is empty when nothing is.
func parseNumber(s string) (value *big.Rat, problem string) {
	if s == "" {
		return nil, "there is no number in it"
	}
	if decimalForm().MatchString(s) {
		value, _ = new(big.Rat).SetString(s)
		return value, ""
	}
	if m := fractionForm().FindStringSubmatch(s); m != nil {
		return mixedNumber(m[1], m[2], m[3])
	}
	if m := vulgarForm().FindStringSubmatch(s); m != nil {
		parts := vulgar[m[2]]
		return mixedNumber(m[1], parts[0], parts[1])
	}
	return nil, quoted(s) + " is not a number"
}

// mixedNumber adds a whole number, which may be missing, and a fraction; all
// three are plain digits.
func mixedNumber(whole, numerator, denominator string) (value *big.Rat, problem string) {
	above, _ := new(big.Int).SetString(numerator, 10)
	below, _ := new(big.Int).SetString(denominator, 10)
	if below.Sign() == 0 {
		return nil, "a fraction cannot be over 0"
	}
	value = new(big.Rat).SetFrac(above, below)
	if whole == "" {
		return value, ""
	}
	if above.Cmp(below) >= 0 {
		return nil, "after a whole number the fraction must be less than 1"
	}
	count, _ := new(big.Int).SetString(whole, 10)
	return value.Add(value, new(big.Rat).SetInt(count)), ""
}

// lengthForms lists what can be typed for a length.
func lengthForms(unit Unit) string {
	return "write 7cm, 70mm, 2.75in, 5/8in, 1 3/8in or a bare number of " + string(unit.orDefault())
}

// refuse makes the error of a value: what it is, the value, what is wrong, what
// to type instead.
func refuse(kind, text, problem, next string) error {
	return fmt.Errorf("%s %s: %s; %s", kind, quoted(text), problem, next)
}

// withPoint writes points for commas, and single ordinary spaces.
func withPoint(text string) string {
	return strings.ReplaceAll(singleSpaced(text), ",", ".")
}

// singleSpaced makes each run of spaces one ordinary space and drops those at
// the ends, so that a proposal stays on one line.
func singleSpaced(text string) string {
	return strings.Join(strings.Fields(text), " ")
}

// refuseComma proposes the text with a point if that can be read. A comma before
// three digits may have been meant to part thousands, so then the text without
// it is proposed beside.
func refuseComma(kind, text, proposal, forms string, readable bool) error {
	if readable {
		forms = "write " + proposal
		if commaThousands().MatchString(text) {
			forms += ", or " + strings.Replace(singleSpaced(text), ",", "", 1) + " if thousands were meant"
		}
	}
	return refuse(kind, text, "decimals have a point here, not a comma", forms)
}

// quoted puts a refused value in quotation marks, shortened if it is long, with
// control characters made visible. A value that holds a quotation mark itself
// stands between backquotes.
func quoted(s string) string {
	if utf8.RuneCountInString(s) > maxQuoted {
		s = string([]rune(s)[:maxQuoted]) + "…"
	}
	if strings.Contains(s, `"`) {
		return fmt.Sprintf("%#q", s)
	}
	return fmt.Sprintf("%q", s)
}
