package repo

import (
	"strings"
	"unicode/utf8"
)

// Printable returns s safe to show on a terminal: line feeds and tabs stay,
// other control characters become visible signs (escape becomes ␛), bytes that
// are not UTF-8 and characters that turn the writing direction become U+FFFD.
// CR LF counts as one line feed.
func Printable(s string) string {
	s = strings.ReplaceAll(s, "\r\n", "\n")
	clean := true
	for _, c := range s {
		if visible(c) != c || c == utf8.RuneError {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	return strings.Map(visible, strings.ToValidUTF8(s, "\uFFFD"))
}

// visible is the substitute of one character, itself if it does no harm.
func visible(c rune) rune {
	switch {
	case c == '\n' || c == '\t':
		return c
	case c < 0x20:
		return 0x2400 + c // the Unicode pictures of the control characters
	case c == 0x7F:
		return 0x2421
	case c >= 0x80 && c < 0xA0: // C1: some terminals obey these
		return utf8.RuneError
	case c >= 0x202A && c <= 0x202E, c >= 0x2066 && c <= 0x2069: // embeddings, overrides, isolates
		return utf8.RuneError
	}
	return c
}
