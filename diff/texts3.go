package diff

import (
	"slices"
	"strings"

	"github.com/sergi/go-diff/diffmatchpatch"
)

// maxTokens bounds what two texts that share nothing cost to compare: the
// comparison is quadratic in what differs.
const maxTokens = 20_000

// MergeLines puts together what two sides did to the lines of a text. ok is false
// where both changed the same lines, or lines with none unchanged between them,
// and not in the same way; so it is where a text has over 20,000 lines.
func MergeLines(shared, here, there string) (merged string, ok bool) {
	return mergeTokens(shared, here, there, func(text string) []string { return slices.Collect(strings.Lines(text)) })
}

// MergeWords is MergeLines word by word, for the short texts of notes.
func MergeWords(shared, here, there string) (merged string, ok bool) {
	return mergeTokens(shared, here, there, splitWords)
}

// replacement says that the tokens from..to of the shared text are others now.
type replacement struct {
	from, to int
	by       []rune
}

// mergeTokens is the three-way merge of texts cut into tokens: both sides are
// compared with the shared text, and every stretch that one of them replaced is
// replaced (S. Khanna, K. Kunal and B. Pierce, "A Formal Investigation of
// Diff3", 2007).
func mergeTokens(shared, here, there string, cut func(string) []string) (string, bool) {
	codes := newTokenCodes()
	was, h, t := codes.of(cut(shared)), codes.of(cut(here)), codes.of(cut(there))
	if max(len(was), len(h), len(t)) > maxTokens {
		return "", false
	}
	all, ok := together(replaced(was, h), replaced(was, t))
	if !ok {
		return "", false
	}
	var out strings.Builder
	write := func(runes []rune) { out.WriteString(codes.text(runes)) }
	at := 0
	for _, c := range all {
		write(was[at:c.from])
		write(c.by)
		at = c.to
	}
	write(was[at:])
	return out.String(), true
}

// replaced lists what of a text was replaced, in its order, with something
// unchanged between any two.
func replaced(was, now []rune) []replacement {
	compare := diffmatchpatch.New()
	compare.DiffTimeout = 0 // the same on every machine
	var all []replacement
	at, open := 0, false
	for _, d := range compare.DiffMainRunes(was, now, false) {
		runes := []rune(d.Text)
		if d.Type == diffmatchpatch.DiffEqual {
			at += len(runes)
			open = open && len(runes) == 0
			continue
		}
		if !open {
			all, open = append(all, replacement{from: at, to: at}), true
		}
		c := &all[len(all)-1]
		if d.Type == diffmatchpatch.DiffInsert {
			c.by = append(c.by, runes...)
		} else {
			at += len(runes)
			c.to = at
		}
	}
	return all
}

// together puts two lists of replacements into one. ok is false where two that
// are not the same touch or overlap.
func together(a, b []replacement) (all []replacement, ok bool) {
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].from == b[0].from && a[0].to == b[0].to && slices.Equal(a[0].by, b[0].by):
			all, a, b = append(all, a[0]), a[1:], b[1:]
		case a[0].to < b[0].from:
			all, a = append(all, a[0]), a[1:]
		case b[0].to < a[0].from:
			all, b = append(all, b[0]), b[1:]
		default:
			return nil, false
		}
	}
	return append(append(all, a...), b...), true
}
