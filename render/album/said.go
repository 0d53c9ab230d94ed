package album

import (
	"regexp"
	"strings"

	"toile/pattern/units"
)

// lengthIn finds a length as sentences write it, in the unit of a pattern.
var lengthIn = map[units.Unit]*regexp.Regexp{
	units.Centimetre: regexp.MustCompile(`[-−]?\d+(?:\.\d+)?[ \x{a0}]cm\b`),
	units.Millimetre: regexp.MustCompile(`[-−]?\d+(?:\.\d+)?[ \x{a0}]mm\b`),
	units.Inch:       regexp.MustCompile(`[-−]?(?:\d+[ \x{a0}]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?)[ \x{a0}]in\b`),
}

// twice finds an amount that is said again with its direction.
var twice = regexp.MustCompile(`by ([^()]+) \(([^()]+) (down|up|to the left|to the right)\)`)

// said is a sentence of toile's as an album shows it: each length in both units,
// names in quotation marks. Lengths within names stay as they are.
func (l lengths) said(text string) string {
	parts := strings.Split(text, `"`)
	if len(parts)%2 == 0 { // a quotation mark within a name
		return l.inBoth(text)
	}
	var b strings.Builder
	for i, part := range parts {
		if i%2 == 1 {
			b.WriteString("“" + part + "”")
			continue
		}
		b.WriteString(l.inBoth(part))
	}
	return b.String()
}

// inBoth writes each length of a text in both units.
func (l lengths) inBoth(text string) string {
	find := lengthIn[l.unit]
	if find == nil {
		return text
	}
	text = twice.ReplaceAllStringFunc(text, func(found string) string {
		if m := twice.FindStringSubmatch(found); m[1] == m[2] {
			return "by " + m[1] + " " + m[3]
		}
		return found
	})
	return find.ReplaceAllStringFunc(text, func(found string) string {
		mm, err := units.ParseLength(strings.ReplaceAll(found, "−", "-"), l.unit)
		if err != nil {
			return found
		}
		return unbroken(l.both(mm))
	})
}

var (
	typedLength = regexp.MustCompile(`(?:\d+[ \x{a0}]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?)[ \x{a0}]?(?:cm|mm|in)\b`)
	bareLength  = regexp.MustCompile(`(^|[,;] )(\d[\d./ ]*) from `)
)

// place writes a place with each length in both units, whichever it was typed in;
// a bare number is in the pattern's own.
func (l lengths) place(text string) string {
	text = bareLength.ReplaceAllString(text, "${1}${2} "+string(l.unit)+" from ")
	return typedLength.ReplaceAllStringFunc(text, func(found string) string {
		mm, err := units.ParseLength(found, l.unit)
		if err != nil {
			return found
		}
		return unbroken(l.both(mm))
	})
}

// unbroken keeps the number, the fraction and the unit of each length on one
// line.
func unbroken(text string) string {
	return strings.ReplaceAll(strings.ReplaceAll(text, " ", "\u00a0"), "\u00a0·\u00a0", " · ")
}

// amountIn finds an amount of a figure.
var amountIn = regexp.MustCompile(`[-−]?[\d.]+[ \x{a0}]cm · [-−]?[\d./ \x{a0}]+[ \x{a0}]in|[\d.]+°`)

// unsaid joins those amounts of a change that its sentence does not have.
func unsaid(said string, all []figure) string {
	var rest []figure
	said = strings.ReplaceAll(said, "\u00a0", " ")
	for _, f := range all {
		for _, amount := range amountIn.FindAllString(f.long, -1) {
			if !strings.Contains(said, amount) {
				rest = append(rest, f)
				break
			}
		}
	}
	return figureLine(rest)
}
