package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// area prints mm² in the square of a unit: mm² whole, cm² to 0.1, in² to 0.01.
func area(unit units.Unit, mm2 float64) string {
	name := unit
	if name == "" {
		name = units.Centimetre
	}
	decimals := map[units.Unit]uint{units.Millimetre: 0, units.Centimetre: 1, units.Inch: 2}[name]
	text := units.Number(math.Abs(mm2)/(unit.MM()*unit.MM()), decimals)
	if mm2 < 0 && text != "0" {
		text = "\u2212" + text
	}
	return text + " " + string(name) + "²"
}

// list joins words for a sentence.
func list(words []string) string {
	switch n := len(words); n {
	case 0:
		return "none"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// count prints a number with its noun in the form that fits.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// oneOf refuses a flag's value that is none of the choices.
func oneOf(flag, value string, choices ...string) error {
	if slices.Contains(choices, value) {
		return nil
	}
	quoted := make([]string, len(choices))
	for i, c := range choices {
		quoted[i] = fmt.Sprintf("%q", c)
	}
	return usagef("--%s is %q; it is %s", flag, value, strings.Join(quoted, " or "))
}

// flagLength reads a flag's length of 0 or more.
func flagLength(flag, text string, unit units.Unit) (float64, error) {
	mm, err := units.ParseLength(text, unit)
	if err != nil {
		return 0, usagef("--%s: %w", flag, err)
	}
	if mm < 0 {
		return 0, usagef("--%s: %s is less than nothing; give a length of 0 or more", flag, text)
	}
	return mm, nil
}

// cutLast divides NAME=VALUE at the last equals sign.
func cutLast(text string) (name, value string, ok bool) {
	i := strings.LastIndex(text, "=")
	if i < 0 {
		return "", "", false
	}
	return strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:]), true
}

// numberList is a list of numbers only, spread over lines: a point, a pair of
// lengths. No text in JSON holds a line feed, so none can look like one.
var numberList = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\[\n\s*(-?[0-9.e+-]+(?:,\n\s*-?[0-9.e+-]+)*)\n\s*\]`)
})

// sayJSON makes the value the result, indented, with each list of numbers on
// one line.
func (o *opened) sayJSON(v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	o.result.Write(numberList().ReplaceAllFunc(b.Bytes(), func(list []byte) []byte {
		return bytes.Join(bytes.Fields(list), nil)
	}))
	return nil
}

// xy prints a point for JSON.
func xy(p geom.Point) change.XY { return *change.At(p) }
