package render

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"toile/geom"
)

// Sizes of a line of text in parts of its letter size: what it takes up with
// its space, and how far the base line lies below the middle.
const (
	lineHeight = 1.3
	baseLine   = 0.35
)

// plain returns text fit for one line of XML: white space as single spaces,
// and without control characters, broken UTF-8, characters XML does not allow,
// and those that turn the direction of writing around.
func plain(s string) string {
	var b strings.Builder
	space := false
	for i, r := range s {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], "\uFFFD"):
		case unicode.IsSpace(r) || r == '\u2028' || r == '\u2029':
			space = b.Len() > 0
		case unicode.IsControl(r) || turnsWriting(r) || r == 0xFFFE || r == 0xFFFF:
		default:
			if space {
				b.WriteByte(' ')
				space = false
			}
			b.WriteRune(r)
		}
	}
	return b.String()
}

// turnsWriting reports the characters that change the direction of writing
// without being seen, and the byte order mark.
func turnsWriting(r rune) bool {
	return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 ||
		r == 0x200E || r == 0x200F || r == 0x061C || r == 0xFEFF
}

// textWidth estimates the width of a line in mm, rather too wide than too
// narrow: whichever sans-serif letters a viewer has, the line stays inside its
// box. The classes are set so that no letter of a wide typeface (one with
// digits of 0.64 of the letter size) is wider than its class on average.
func textWidth(line string, size float64, bold bool) float64 {
	sum := 0.0
	for _, r := range line {
		sum += runeWidth(r)
	}
	if bold {
		sum *= 1.17
	}
	return sum * size
}

// runeWidth is a letter's width in parts of the letter size.
func runeWidth(r rune) float64 {
	switch {
	case strings.ContainsRune("ijlIJ'|", r):
		return 0.34
	case strings.ContainsRune(" .,:;!()[]-/\\rtf·", r):
		return 0.42
	case strings.ContainsRune("mMwW@%#&<>=+~^−→…—", r):
		return 1.0
	case r < 0x80 && unicode.IsUpper(r), strings.ContainsRune("DGHNOQU", r):
		return 0.79
	case r < 0x80:
		return 0.64
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x250:
		return 0.9
	case r < 0x1100:
		return 1.0
	}
	return 1.3
}

// wrap breaks text into lines no wider than width. A word too long for a line
// is broken anywhere. More than most lines (0: any number) end in '…'.
func wrap(text string, size float64, bold bool, width float64, most int) []string {
	var lines []string
	line := ""
	for _, word := range figureWords(plain(text)) {
		for _, part := range breakWord(word, size, bold, width) {
			joined := part
			if line != "" {
				joined = line + " " + part
			}
			if line != "" && textWidth(joined, size, bold) > width {
				lines = append(lines, line)
				joined = part
			}
			line = joined
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	if most > 0 && len(lines) > most {
		lines = lines[:most]
		lines[most-1] = cutShort(lines[most-1]+"…", size, bold, width)
	}
	return lines
}

// figureWords splits text into words; a figure and its unit stay one word.
func figureWords(text string) []string {
	var words []string
	for _, word := range strings.Fields(text) {
		last := len(words) - 1
		if last >= 0 && unitWord(word) && strings.ContainsAny(words[last][len(words[last])-1:], "0123456789") {
			words[last] += " " + word
			continue
		}
		words = append(words, word)
	}
	return words
}

// unitWord reports a unit of length or area, with what may follow it in a
// sentence.
func unitWord(word string) bool {
	switch strings.TrimRight(word, ".,;:)”") {
	case "mm", "cm", "in", "cm²", "in²":
		return true
	}
	return false
}

// cutShort takes letters away before the '…' at the end until the line fits.
func cutShort(line string, size float64, bold bool, width float64) string {
	r := []rune(line)
	for len(r) > 2 && textWidth(string(r), size, bold) > width {
		r = append(r[:len(r)-2], '…')
	}
	return string(r)
}

func breakWord(word string, size float64, bold bool, width float64) []string {
	if textWidth(word, size, bold) <= width {
		return []string{word}
	}
	var parts []string
	part := ""
	for _, r := range word {
		if part != "" && textWidth(part+string(r), size, bold) > width {
			parts = append(parts, part)
			part = ""
		}
		part += string(r)
	}
	return append(parts, part)
}

// lines writes lines of text one below the other from the top left corner and
// returns the height they take.
func (c *canvas) lines(at geom.Point, lines []string, size float64, bold bool, attrs ...string) float64 {
	all := append([]string{c.length("font-size", size)}, attrs...)
	if bold {
		all = append(all, attr("font-weight", "bold"))
	}
	for i, line := range lines {
		y := at.Y + size*(lineHeight*(float64(i)+0.5)+baseLine)
		c.text(geom.Pt(at.X, y), line, all...)
	}
	return float64(len(lines)) * size * lineHeight
}

// Plain returns a text as drawings show it: on one line, without control
// characters and characters that turn the direction of writing unseen.
func Plain(s string) string { return plain(s) }
