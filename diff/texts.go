package diff

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/sergi/go-diff/diffmatchpatch"

	"toile/pattern"
	"toile/pattern/change"
)

// textChanges compares the pattern's name and the texts of fittings and
// notes.
func textChanges(a, b *pattern.Pattern) []change.TextDiff {
	var out []change.TextDiff
	add := func(what, before, after string) {
		if before != after {
			out = append(out, change.TextDiff{What: what, Before: before, After: after, Parts: Words(before, after)})
		}
	}
	add("the pattern's name", a.Name, b.Name)
	then := &pattern.Pattern{Fittings: a.FittingsNumberedAs(b)}
	for _, f := range b.Fittings {
		old := then.FittingByID(f.ID)
		if old == nil {
			old = &pattern.Fitting{}
		}
		if was := a.FittingByID(f.ID); was != nil {
			add(fmt.Sprintf("fitting %d, number", f.Number), fmt.Sprint(was.Number), fmt.Sprint(f.Number))
		}
		compareFitting(old, f, add)
	}
	for _, f := range then.Fittings {
		if b.FittingByID(f.ID) == nil {
			compareFitting(f, &pattern.Fitting{Number: f.Number}, add)
		}
	}
	return out
}

func compareFitting(a, b *pattern.Fitting, add func(what, before, after string)) {
	name := fmt.Sprintf("fitting %d", b.Number)
	add(name+", cloth", a.Cloth, b.Cloth)
	add(name+", worn underneath", a.Worn, b.Worn)
	add(name+", closures", a.Closures, b.Closures)
	before, after := byNumber(a), byNumber(b)
	for k := 1; k < max(a.NextNote(), b.NextNote()); k++ {
		m, n := before[k], after[k]
		note := fmt.Sprintf("note %d.%d", b.Number, k)
		add(note+", seen", m.Seen, n.Seen)
		add(note+", to do", m.ToDo, n.ToDo)
		if noteState(m) != noteState(n) && (m.Number == 0) == (n.Number == 0) {
			add(note+", state", noteState(m), noteState(n))
		}
	}
}

func byNumber(f *pattern.Fitting) map[int]pattern.Note {
	all := map[int]pattern.Note{}
	for _, n := range f.Notes {
		all[n.Number] = n
	}
	return all
}

func noteState(n pattern.Note) string {
	switch {
	case n.Number == 0:
		return ""
	case n.Open() && len(n.Again) > 0:
		s := n.Again[len(n.Again)-1]
		return fmt.Sprintf("open, seen again at fitting %d after version %d", s.Fitting, s.After)
	case n.Open():
		return "open"
	}
	return fmt.Sprintf("answered by version %d", n.Answered)
}

// Words compares two texts word by word: the runs of words that stayed, went
// and came. Joined again, the parts that are not added give before, those not
// removed give after.
func Words(before, after string) []change.TextPart {
	codes := newTokenCodes()
	a, b := codes.of(splitWords(before)), codes.of(splitWords(after))
	var parts []change.TextPart
	for _, d := range diffmatchpatch.New().DiffMainRunes(a, b, false) {
		state := map[diffmatchpatch.Operation]change.State{
			diffmatchpatch.DiffEqual: change.Same, diffmatchpatch.DiffInsert: change.Added, diffmatchpatch.DiffDelete: change.Removed,
		}[d.Type]
		parts = append(parts, change.TextPart{State: state, Text: codes.text([]rune(d.Text))})
	}
	return parts
}

// tokenCodes gives each token of some texts a code point of its own, so that texts
// are compared token by token.
type tokenCodes struct {
	codes  map[string]rune
	tokens map[rune]string
}

func newTokenCodes() tokenCodes { return tokenCodes{map[string]rune{}, map[rune]string{}} }

func (c tokenCodes) of(tokens []string) []rune {
	runes := make([]rune, 0, len(tokens))
	for _, token := range tokens {
		r, known := c.codes[token]
		if !known {
			r = codeRune(len(c.codes))
			c.codes[token], c.tokens[r] = r, token
		}
		runes = append(runes, r)
	}
	return runes
}

// text is what the tokens were cut from.
func (c tokenCodes) text(runes []rune) string {
	var b strings.Builder
	for _, r := range runes {
		b.WriteString(c.tokens[r])
	}
	return b.String()
}

// codeRune gives word number n a code point of its own, outside the range
// that UTF-8 cannot hold.
func codeRune(n int) rune {
	if r := rune(n + 1); r < 0xD800 {
		return r
	}
	return rune(n + 1 + 0x800)
}

// splitWords cuts a text into words and the white space between them.
func splitWords(text string) []string {
	var out []string
	start, space := 0, false
	for i, r := range text {
		if s := unicode.IsSpace(r); i > start && s != space {
			out = append(out, text[start:i])
			start, space = i, s
		} else if i == start {
			space = s
		}
	}
	if start < len(text) {
		out = append(out, text[start:])
	}
	return out
}
