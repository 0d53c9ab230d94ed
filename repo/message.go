package repo

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/go-git/go-git/v5/plumbing"
)

// A version's message is the user's text, an empty line, and a last paragraph
// of lines of ours. That paragraph is known by its Toile-Branch line, so that a
// text which happens to end in "Fitting: 2" stays text. Lines that other
// programs add to the paragraph stay part of the text.
const (
	branchKey  = "Toile-Branch: "
	fittingKey = "Fitting: "
	answersKey = "Answers: "
)

var noteForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9.-]{0,79}$`) })

// note is what a message says.
type note struct {
	text    string
	branch  string
	fitting int
	answers []string
}

// checkText returns a text as it is stored, trailing white space off.
func checkText(text string) (string, error) {
	text = strings.TrimRightFunc(text, unicode.IsSpace)
	switch {
	case strings.TrimSpace(text) == "":
		return "", errors.New("the version has no text; say what changed, and why")
	case !utf8.ValidString(text):
		return "", errors.New("the version's text is not UTF-8; type it again")
	case strings.ContainsRune(text, 0):
		return "", errors.New("the version's text holds a NUL character; type it again without")
	case len(text) > MaxFileSize:
		return "", fmt.Errorf("the version's text is %d bytes long; at most %d are kept", len(text), MaxFileSize)
	}
	return text, nil
}

func (n note) encode() (string, error) {
	text, err := checkText(n.text)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(text + "\n\n" + branchKey + n.branch + "\n")
	if n.fitting < 0 {
		return "", fmt.Errorf("there is no fitting %d; fittings count from 1", n.fitting)
	}
	if n.fitting > 0 {
		fmt.Fprintf(&b, "%s%d\n", fittingKey, n.fitting)
	}
	for _, answer := range n.answers {
		if !noteForm().MatchString(answer) {
			return "", fmt.Errorf("%q is no note of a fitting; notes are named like 2.1", Printable(answer))
		}
		b.WriteString(answersKey + answer + "\n")
	}
	return b.String(), nil
}

func decodeMessage(message string) note {
	message = strings.TrimRightFunc(message, unicode.IsSpace)
	at := strings.LastIndex(message, "\n\n")
	if at < 0 {
		return note{text: message}
	}
	text, last := message[:at], message[at+2:]
	if !strings.HasPrefix(last, branchKey) && !strings.Contains(last, "\n"+branchKey) {
		return note{text: message}
	}
	n, rest := decodeTrailers(last)
	if n.text = strings.TrimRightFunc(text, unicode.IsSpace); rest != "" {
		n.text += "\n\n" + rest
	}
	return n
}

// decodeTrailers reads the lines of ours in the last paragraph, and returns the
// others.
func decodeTrailers(paragraph string) (n note, rest string) {
	var others []string
	for line := range strings.SplitSeq(paragraph, "\n") {
		line = strings.TrimSuffix(line, "\r")
		if branch, ok := strings.CutPrefix(line, branchKey); ok {
			n.branch = branch
		} else if answer, ok := strings.CutPrefix(line, answersKey); ok && noteForm().MatchString(answer) {
			n.answers = append(n.answers, answer)
		} else if number, ok := strings.CutPrefix(line, fittingKey); ok && isFitting(number) {
			n.fitting, _ = strconv.Atoi(number)
		} else {
			others = append(others, line)
		}
	}
	return n, strings.Join(others, "\n")
}

func isFitting(s string) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n > 0 && strconv.Itoa(n) == s
}

// encodeCommit is a version's record as git stores it. Times before 1970 have no
// form there.
func encodeCommit(tree plumbing.Hash, parents []plumbing.Hash, a Author, when time.Time, message string) ([]byte, error) {
	if when.Unix() < 0 || when.Year() > 9999 {
		return nil, fmt.Errorf("the time %s cannot be kept; give one from 1970 to 9999", when.Format(time.RFC3339))
	}
	a = a.clean()
	if a.Name == "" {
		a.Name = nobody
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "tree %s\n", tree)
	for _, p := range parents {
		fmt.Fprintf(&b, "parent %s\n", p)
	}
	stamp := fmt.Sprintf("%s <%s> %d %s", a.Name, a.Email, when.Unix(), when.Format("-0700"))
	fmt.Fprintf(&b, "author %s\ncommitter %s\n\n%s", stamp, stamp, message)
	return b.Bytes(), nil
}
