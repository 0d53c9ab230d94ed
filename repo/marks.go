package repo

import (
	"encoding/hex"
	"fmt"
	"hash/crc32"
	"os"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// marksFile remembers which content a working file had and by which mark, so that
// the next command need not read a file that still bears it: what a command costs
// then follows what has changed. It can go at any time.
//
// A mark is believed only where it was settled when the file was read (stampStep):
// git believes one that is a stamp older than its index, we one that was some
// stamps old. It holds the time of change as well as that of the content, which
// nobody sets back, and it counts only while the system runs that it was taken in:
// after a power cut a file may bear its mark and not hold what was written.
const marksFile = "marks"

const (
	// maxMarks bounds what is read of it, in bytes.
	maxMarks = 16 << 20
	// spareMarks is how much of it may be out of date before it is made anew, in
	// bytes, beside as much as is not.
	spareMarks = 64 << 10
	// markLine is about the length of a line, in bytes.
	markLine = 160
)

// markedContent is a working file's mark, and the id of what it holds.
type markedContent struct {
	id   plumbing.Hash
	mark fileMark
}

// knownMarks are the marks on disk, by file.
type knownMarks struct {
	of   map[string]markedContent
	size int64 // on disk, 0 where none of it is in force
}

func marksHead(boot string) string { return "marks of " + boot }

// knownMarks reads the marks; none are in force where it is not known which
// running of the system this is.
func (r *Repo) knownMarks() *knownMarks {
	if r.marks != nil {
		return r.marks
	}
	r.marks = &knownMarks{of: map[string]markedContent{}}
	info, err := os.Lstat(r.own(marksFile))
	if err != nil || r.boot == "" || !info.Mode().IsRegular() || info.Size() > maxMarks {
		return r.marks
	}
	text, err := readText(r.own(marksFile))
	if err != nil {
		return r.marks
	}
	first, rest, _ := strings.Cut(text, "\n")
	if first != marksHead(r.boot) {
		return r.marks
	}
	r.marks.size = int64(len(text))
	lines := &summer{}
	for line := range strings.Lines(rest) {
		if name, m, ok := lines.parseMark(strings.TrimSuffix(line, "\n")); ok {
			r.marks.of[name] = m
		}
	}
	for name, m := range r.marks.of { // git's own rule, by the clock of the file system
		if max(m.mark.modified, m.mark.changed) >= info.ModTime().UnixNano() {
			delete(r.marks.of, name)
		}
	}
	return r.marks
}

// line is a mark as it is written, with its checksum.
func (m markedContent) line(name string) string {
	b := make([]byte, 0, markLine)
	b = append(b, name...)
	b = append(b, ' ')
	b = hex.AppendEncode(b, m.id[:])
	for _, n := range m.mark.numbers() {
		b = append(b, ' ')
		b = strconv.AppendInt(b, n, 16)
	}
	return fmt.Sprintf("%08x %s\n", crc32.ChecksumIEEE(b), b)
}

// parseMark reads a line; ok is false where it is torn or of another form.
func (s *summer) parseMark(line string) (name string, m markedContent, ok bool) {
	sum, body, _ := strings.Cut(line, " ")
	if !s.sums(sum, body) {
		return "", m, false
	}
	name, rest, _ := strings.Cut(body, " ")
	id, rest, _ := strings.Cut(rest, " ")
	if n, err := hex.Decode(m.id[:], []byte(id)); len(id) != 2*len(m.id) || err != nil || n != len(m.id) {
		return "", m, false
	}
	var numbers [markNumbers]int64
	for i := range numbers {
		var digits string
		var err error
		digits, rest, _ = strings.Cut(rest, " ")
		if numbers[i], err = strconv.ParseInt(digits, 16, 64); err != nil {
			return "", m, false
		}
	}
	m.mark = markFrom(numbers)
	return name, m, rest == "" && CheckPath(name) == nil && m.mark.size <= MaxFileSize
}

const markNumbers = 8

// numbers are the parts of a mark in the order they are written in.
func (m fileMark) numbers() [markNumbers]int64 {
	return [markNumbers]int64{int64(m.device), int64(m.inode), m.size, int64(m.mode), m.modified, m.changed, int64(m.owner), int64(m.group)}
}

func markFrom(n [markNumbers]int64) fileMark {
	return fileMark{device: uint64(n[0]), inode: uint64(n[1]), size: n[2], mode: uint32(n[3]), modified: n[4], changed: n[5], owner: uint32(n[6]), group: uint32(n[7])}
}

// keepMarks notes what was read under the lock that ends. A few are not worth a
// write. It is not synced: lines are whole or not believed.
func (r *Repo) keepMarks() {
	if r.boot == "" {
		return
	}
	known := r.knownMarks()
	fresh := map[string]bool{}
	for name, g := range r.held.glances {
		if m := (markedContent{g.id, g.mark}); g.settled && known.of[name] != m {
			known.of[name], fresh[name] = m, true
		}
	}
	if len(fresh) <= fewMissing {
		r.marks = nil // what was not written is not known to the next command either
		return
	}
	path := r.own(marksFile)
	var b strings.Builder
	if known.size == 0 || known.size > spareMarks+int64(2*markLine*len(known.of)) {
		if r.ops.Overwrite(path, nil) != nil {
			return
		}
		b.WriteString(marksHead(r.boot) + "\n")
		for name, m := range known.of {
			if _, there := r.held.glances[name]; there {
				b.WriteString(m.line(name))
			}
		}
	} else {
		b.WriteByte('\n') // closes a line that an earlier death tore
		for name := range fresh {
			b.WriteString(known.of[name].line(name))
		}
	}
	if r.ops.Append(path, []byte(b.String())) == nil {
		known.size += int64(b.Len())
	}
	r.marks = nil
}
