package repo

import (
	"bytes"
	"errors"
	"regexp"
	"strings"
	"sync"

	"github.com/go-git/go-git/v5/plumbing"
)

// A version's record and a name's are taken only as git writes them: servers
// that look what they are given through (git fsck) would refuse the pattern for
// ever after. What git fsck demands is in fsck.c of git, fsck_commit,
// fsck_ident and fsck_tag.

// identForm is who made something and when: a name, an address in brackets,
// seconds, hours and minutes east. Twelve digits reach the year 33,658.
var identForm = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[^<>\x00]* <[^<>\x00]*> (0|[1-9][0-9]{0,11}) [+-][0-9]{4}$`)
})

// isID tells an id as git writes it.
func isID(text string) bool {
	return len(text) == 2*len(plumbing.ZeroHash) && strings.Trim(text, "0123456789abcdef") == ""
}

// isTagName tells a name without blanks and signs that do not show.
func isTagName(text string) bool {
	return text != "" && !strings.ContainsFunc(text, func(c rune) bool { return c <= ' ' || c == 0x7f })
}

// headLines reads the lines of a record before its text.
type headLines struct{ rest []byte }

// next returns what follows a word, if that is how the next line begins.
func (h *headLines) next(word string) (value string, ok bool) {
	line, rest, found := bytes.Cut(h.rest, []byte("\n"))
	value, ok = strings.CutPrefix(string(line), word+" ")
	if !found || !ok {
		return "", false
	}
	h.rest = rest
	return value, true
}

// text reports whether the rest are further lines of the head and then, behind an
// empty line, the text, or nothing.
func (h *headLines) text() bool {
	return len(h.rest) == 0 || h.rest[0] == '\n' || bytes.Contains(h.rest, []byte("\n\n"))
}

// vetRecord says what is wrong with a version's own record.
func vetRecord(content []byte) error {
	if bytes.IndexByte(content, 0) >= 0 {
		return errors.New("its text holds a sign that ends texts (NUL)")
	}
	h := headLines{content}
	if id, ok := h.next("tree"); !ok || !isID(id) {
		return errors.New("it does not say which files it has")
	}
	for {
		id, ok := h.next("parent")
		if !ok {
			break
		}
		if !isID(id) {
			return errors.New("it does not say which version it builds on")
		}
	}
	for _, word := range []string{"author", "committer"} {
		if who, ok := h.next(word); !ok || !identForm().MatchString(who) {
			return errors.New("it does not say who made it and when, as git writes it")
		}
	}
	if _, again := h.next("author"); again || !h.text() {
		return errors.New("it is not written as git writes it")
	}
	return nil
}

// vetTag says what is wrong with a name's own record.
func vetTag(content []byte) error {
	h := headLines{content}
	id, ok := h.next("object")
	kind, ok2 := h.next("type")
	name, ok3 := h.next("tag")
	if !ok || !ok2 || !ok3 || !isID(id) || kind != "commit" && kind != "tag" || !isTagName(name) {
		return errors.New("it is not written as git writes it")
	}
	if who, ok := h.next("tagger"); ok && !identForm().MatchString(who) {
		return errors.New("it does not say who gave it and when, as git writes it")
	}
	if !h.text() || bytes.IndexByte(content, 0) >= 0 {
		return errors.New("it is not written as git writes it")
	}
	return nil
}
