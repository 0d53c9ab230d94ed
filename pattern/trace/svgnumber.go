package trace

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// numbers scans the numbers, flags and separators of path data, point lists
// and transforms.
type numbers struct {
	s string
	i int
}

func (n *numbers) skipSpace() {
	for n.i < len(n.s) && strings.IndexByte(" \t\r\n\f", n.s[n.i]) >= 0 {
		n.i++
	}
}

// skipComma passes over white space with at most one comma in it, and reports
// whether there was a comma.
func (n *numbers) skipComma() bool {
	n.skipSpace()
	if n.i < len(n.s) && n.s[n.i] == ',' {
		n.i++
		n.skipSpace()
		return true
	}
	return false
}

func (n *numbers) done() bool { return n.i >= len(n.s) }

// atNumber reports whether a number can start here.
func (n *numbers) atNumber() bool {
	return n.i < len(n.s) && (isDigit(n.s[n.i]) || strings.IndexByte("+-.", n.s[n.i]) >= 0)
}

// number reads one number: sign, digits with at most one point, exponent. A
// second point or a sign starts the next number.
func (n *numbers) number() (float64, error) {
	start, i := n.i, n.i
	if i < len(n.s) && (n.s[i] == '+' || n.s[i] == '-') {
		i++
	}
	whole := digitsEnd(n.s, i)
	digits := whole - i
	i = whole
	if i < len(n.s) && n.s[i] == '.' {
		fraction := digitsEnd(n.s, i+1)
		digits += fraction - i - 1
		i = fraction
	}
	if digits == 0 {
		return 0, fmt.Errorf("a number is expected at %s", n.excerpt())
	}
	if i < len(n.s) && (n.s[i] == 'e' || n.s[i] == 'E') {
		j := i + 1
		if j < len(n.s) && (n.s[j] == '+' || n.s[j] == '-') {
			j++
		}
		if end := digitsEnd(n.s, j); end > j {
			i = end
		}
	}
	v, err := strconv.ParseFloat(n.s[start:i], 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, fmt.Errorf("number %s is beyond all measure", quote(n.s[start:i]))
	}
	n.i = i
	return v, nil
}

// flag reads one of the flags of an arc: a single 0 or 1, with or without
// anything after it.
func (n *numbers) flag() (bool, error) {
	if n.i < len(n.s) && (n.s[n.i] == '0' || n.s[n.i] == '1') {
		n.i++
		return n.s[n.i-1] == '1', nil
	}
	return false, fmt.Errorf("a flag 0 or 1 is expected at %s", n.excerpt())
}

// excerpt shows where the scan stands.
func (n *numbers) excerpt() string {
	if n.done() {
		return "the end"
	}
	return fmt.Sprintf("character %d, %s", utf8.RuneCountInString(n.s[:n.i])+1, quote(n.s[n.i:]))
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func digitsEnd(s string, i int) int {
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}

// numberList reads numbers parted by white space or commas, and nothing else.
func numberList(s string) ([]float64, error) {
	n := &numbers{s: s}
	var v []float64
	n.skipSpace()
	for comma := false; comma || !n.done(); comma = n.skipComma() {
		x, err := n.number()
		if err != nil {
			return nil, err
		}
		v = append(v, x)
	}
	return v, nil
}

// quote shows a value from a file, cut short.
func quote(s string) string {
	const most = 40
	if len(s) <= most {
		return strconv.Quote(s)
	}
	cut := most
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return strconv.Quote(s[:cut]) + "…"
}

// pxPerUnit gives the CSS px (1/96 inch) of the absolute units of CSS Values
// and Units, section 6.2.
var pxPerUnit = map[string]float64{
	"": 1, "px": 1, "mm": 96 / 25.4, "cm": 96 / 2.54, "q": 96 / 101.6, "in": 96, "pt": 96. / 72, "pc": 16,
}

// mmPerPx is a CSS px in millimetres.
const mmPerPx = 25.4 / 96

// length is a length as written: so many px, or per cent of something.
type length struct {
	px      float64 // or the percentage
	percent bool
}

// of gives the length in px, a percentage taken of whole.
func (l length) of(whole float64) float64 {
	if l.percent {
		return l.px / 100 * whole
	}
	return l.px
}

// parseLength reads a length with any absolute unit or in per cent.
func parseLength(s string) (length, error) {
	n := &numbers{s: strings.TrimSpace(s)}
	v, err := n.number()
	if err != nil {
		return length{}, fmt.Errorf("length %s: %w", quote(s), err)
	}
	unit := strings.ToLower(n.s[n.i:])
	if unit == "%" {
		return length{v, true}, nil
	}
	px, ok := pxPerUnit[unit]
	if !ok {
		return length{}, fmt.Errorf("length %s: unit %s has no fixed size; use mm, cm, in, pt, pc or px", quote(s), quote(unit))
	}
	return length{px: v * px}, nil
}
