package repo

import (
	"fmt"
	"hash/crc32"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A line of the version table has these fields between tabs, the last of them
// the checksum of what is before it:
//
//	id, number, parents, tree, seconds since 1970, seconds east of Greenwich,
//	fitting, answers, branch, author, text, changed files, checksum
//
// Lists are separated by blanks; branch, author and text are quoted as in Go. A
// changed file is +, * or -, the path, and unless it was removed = and an id.
const rowFields = 13

func rowLine(id plumbing.Hash, one *row) string {
	var parents, changed []string
	for _, p := range one.parents {
		parents = append(parents, p.String())
	}
	for _, c := range one.changed {
		text := string(c.how) + c.name
		if c.how != removed {
			text += "=" + c.id.String()
		}
		changed = append(changed, text)
	}
	_, offset := one.when.Zone()
	body := strings.Join([]string{
		id.String(), strconv.Itoa(one.number), strings.Join(parents, " "), one.tree.String(),
		strconv.FormatInt(one.when.Unix(), 10), strconv.Itoa(offset),
		strconv.Itoa(one.note.fitting), strings.Join(one.note.answers, " "),
		strconv.Quote(one.note.branch), strconv.Quote(one.who), strconv.Quote(one.note.text),
		strings.Join(changed, " "),
	}, "\t")
	return fmt.Sprintf("%s\t%08x\n", body, crc32.ChecksumIEEE([]byte(body)))
}

// parseRow reads a line; ok is false for one that is torn or makes no sense.
func (s *summer) parseRow(line string) (id plumbing.Hash, one *row, ok bool) {
	at := strings.LastIndexByte(line, '\t')
	if at < 0 || !s.sums(line[at+1:], line[:at]) {
		return id, nil, false
	}
	f := strings.SplitN(line, "\t", rowFields+1)
	if len(f) != rowFields {
		return id, nil, false
	}
	p := rowParser{}
	one = &row{counted: true}
	id = p.id(f[0])
	one.number = int(p.number(f[1]))
	one.idText = f[0]
	for text := range strings.FieldsSeq(f[2]) {
		one.parents, one.parentTexts = append(one.parents, p.id(text)), append(one.parentTexts, text)
	}
	one.tree = p.id(f[3])
	one.when = timeOf(p.number(f[4]), int(p.number(f[5])))
	one.note = note{fitting: int(p.number(f[6])), branch: p.text(f[8]), text: p.text(f[10])}
	one.note.answers = strings.Fields(f[7])
	if len(one.note.answers) == 0 {
		one.note.answers = nil
	}
	one.who = p.text(f[9])
	for text := range strings.FieldsSeq(f[11]) {
		one.changed = append(one.changed, p.change(text))
	}
	return id, one, !p.failed && one.number > 0
}

// rowID reads the id that a line begins with.
func rowID(line string) (id plumbing.Hash, ok bool) {
	text, _, ok := strings.Cut(line, "\t")
	p := rowParser{failed: !ok}
	id = p.id(text)
	return id, !p.failed
}

// summer checks lines, with the same memory each time.
type summer struct{ text []byte }

// sums tells whether digits are the checksum of a text: eight of them, with
// small letters.
func (s *summer) sums(digits, text string) bool {
	if len(digits) != 8 {
		return false
	}
	sum := uint32(0)
	for i := range digits {
		d := hexDigit(digits[i])
		if d > 15 {
			return false
		}
		sum = sum<<4 | uint32(d)
	}
	s.text = append(s.text[:0], text...)
	return sum == crc32.ChecksumIEEE(s.text)
}

// rowParser reads fields and remembers whether one of them was wrong.
type rowParser struct{ failed bool }

func (p *rowParser) id(text string) (id plumbing.Hash) {
	if len(text) != 2*len(id) {
		p.failed = true
		return id
	}
	for i := range id {
		high, low := hexDigit(text[2*i]), hexDigit(text[2*i+1])
		p.failed = p.failed || high|low > 15
		id[i] = high<<4 | low&15
	}
	return id
}

// hexDigit is the value of a digit as this table writes it, more than 15 for
// another sign.
func hexDigit(c byte) byte {
	switch {
	case c >= '0' && c <= '9':
		return c - '0'
	case c >= 'a' && c <= 'f':
		return c - 'a' + 10
	}
	return 0xFF
}

func (p *rowParser) number(text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	p.failed = p.failed || err != nil
	return n
}

func (p *rowParser) text(quoted string) string {
	s, err := strconv.Unquote(quoted)
	p.failed = p.failed || err != nil
	return s
}

func (p *rowParser) change(text string) fileChange {
	c := fileChange{how: text[0]}
	var id string
	c.name, id, _ = strings.Cut(text[1:], "=")
	switch {
	case CheckPath(c.name) != nil || !strings.ContainsRune("+*-", rune(c.how)):
		p.failed = true
	case c.how != removed:
		c.id = p.id(id)
	default:
		p.failed = p.failed || id != ""
	}
	return c
}
