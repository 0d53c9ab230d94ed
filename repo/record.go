package repo

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// commitRecord is a version's own record as git stores it, as far as it is read.
type commitRecord struct {
	TreeHash          plumbing.Hash
	ParentHashes      []plumbing.Hash
	Author, Committer signature
	Message           string
}

// signature is who made something, and when; the zero time where that cannot be
// read.
type signature struct {
	Name, Email string
	When        time.Time
}

var errRecord = errors.New("it is no record of a version")

// decodeCommit reads a record: the line of its tree, those of its parents, then
// those of the author and of who stored it, further lines that are passed over, an empty line, and the
// message.
func decodeCommit(content []byte) (*commitRecord, error) {
	head, message, _ := strings.Cut(string(content), "\n\n")
	c := &commitRecord{Message: message}
	line, rest, _ := strings.Cut(head, "\n")
	id, ok := headerID(line, "tree ")
	if !ok {
		return nil, errRecord
	}
	c.TreeHash = id
	for strings.HasPrefix(rest, "parent ") {
		line, rest, _ = strings.Cut(rest, "\n")
		if id, ok = headerID(line, "parent "); !ok {
			return nil, errRecord
		}
		c.ParentHashes = append(c.ParentHashes, id)
	}
	for key, s := range map[string]*signature{"author ": &c.Author, "committer ": &c.Committer} {
		_, text, _ := strings.Cut("\n"+rest, "\n"+key)
		text, _, _ = strings.Cut(text, "\n")
		*s = parseSignature(text)
	}
	return c, nil
}

// tagTarget is what a name that carries a message of its own stands for.
func tagTarget(content []byte) (plumbing.Hash, error) {
	line, _, _ := strings.Cut(string(content), "\n")
	id, ok := headerID(line, "object ")
	if !ok {
		return id, &DamagedError{What: "a name cannot be read", Err: errors.New("it does not say what it stands for")}
	}
	return id, nil
}

// headerID reads the id in a line of a record.
func headerID(line, key string) (id plumbing.Hash, ok bool) {
	text, ok := strings.CutPrefix(line, key)
	if !ok || !plumbing.IsHash(text) || len(text) != 2*len(id) {
		return id, false
	}
	return plumbing.NewHash(text), true
}

// parseSignature reads NAME <ADDRESS> SECONDS ZONE. What is wrong in it is left
// out.
func parseSignature(text string) (s signature) {
	open, end := strings.LastIndexByte(text, '<'), strings.LastIndexByte(text, '>')
	if open < 0 || end < open {
		return s
	}
	s.Name, s.Email = strings.Trim(text[:open], " "), text[open+1:end]
	digits, zone, _ := strings.Cut(strings.TrimPrefix(text[end+1:], " "), " ")
	seconds, err := strconv.ParseInt(digits, 10, 64)
	if err != nil {
		return s
	}
	s.When = timeOf(seconds, zoneOffset(zone))
	return s
}

// zoneOffset reads +HHMM or -HHMM as seconds east of Greenwich, 0 where it is
// something else.
func zoneOffset(zone string) int {
	if len(zone) < 5 || zone[0] != '+' && zone[0] != '-' {
		return 0
	}
	hours, errH := strconv.ParseUint(zone[1:3], 10, 8)
	minutes, errM := strconv.ParseUint(zone[3:5], 10, 8)
	if errH != nil || errM != nil {
		return 0
	}
	offset := int(hours)*3600 + int(minutes)*60
	if zone[0] == '-' {
		return -offset
	}
	return offset
}
