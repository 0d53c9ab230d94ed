package repo

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"os"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/object"
)

// numberTable remembers the numbers of versions, so that a save need not walk
// the whole history for one. It can be rebuilt at any time: a version's number
// follows from its parents and never changes. On disk it is appended to, a line
// a version, each with its own checksum, so that a torn or foreign line is left
// out and worked out anew.
type numberTable struct {
	of     map[plumbing.Hash]int
	loaded bool
	saved  map[plumbing.Hash]bool // lines on disk
	wrong  bool                   // the file said something false
}

func (t *numberTable) load(path string) {
	if t.loaded {
		return
	}
	t.loaded = true
	if t.of == nil {
		t.of = map[plumbing.Hash]int{}
	}
	t.saved = map[plumbing.Hash]bool{}
	content, err := os.ReadFile(path)
	if err != nil {
		return // none yet, or none to be had: it is only a shortcut
	}
	for line := range strings.Lines(string(content)) {
		if id, number, ok := parseNumber(strings.TrimSuffix(line, "\n")); ok {
			t.saved[id] = true
			if known := t.of[id]; known == 0 {
				t.of[id] = number
			} else if known != number {
				t.wrong = true
			}
		}
	}
}

func numberLine(id plumbing.Hash, number int) string {
	body := fmt.Sprintf("%s %d", id, number)
	return fmt.Sprintf("%s %08x\n", body, crc32.ChecksumIEEE([]byte(body)))
}

func parseNumber(line string) (id plumbing.Hash, number int, ok bool) {
	text, rest, _ := strings.Cut(line, " ")
	digits, _, _ := strings.Cut(rest, " ")
	id, err := parseID([]byte(text))
	if err != nil {
		return id, 0, false
	}
	number, err = strconv.Atoi(digits)
	if err != nil || number < 1 {
		return id, 0, false
	}
	return id, number, numberLine(id, number) == line+"\n"
}

// correct takes over numbers that were worked out from all parents, and
// remembers if the file must be written anew.
func (t *numberTable) correct(numbers map[plumbing.Hash]int) {
	if t.of == nil {
		t.of = map[plumbing.Hash]int{}
	}
	for id, n := range numbers {
		if old, known := t.of[id]; known && old != n {
			t.wrong = true
		}
		t.of[id] = n
	}
}

// number works out a version's number, from those already known.
func (r *Repo) number(id plumbing.Hash) (int, error) {
	r.numbers.load(r.own(numbersFile))
	of := r.numbers.of
	for todo := []plumbing.Hash{id}; len(todo) > 0; {
		at := todo[len(todo)-1]
		if of[at] > 0 {
			todo = todo[:len(todo)-1]
			continue
		}
		c, err := r.commit(at)
		if err != nil {
			return 0, err
		}
		n, missing := numberFrom(of, c.ParentHashes)
		if len(missing) > 0 {
			todo = append(todo, missing...)
			continue
		}
		of[at] = n
	}
	return of[id], nil
}

// numberFrom is 1 + the greatest number among parents, or the parents that have
// none yet.
func numberFrom(of map[plumbing.Hash]int, parents []plumbing.Hash) (n int, missing []plumbing.Hash) {
	for _, p := range parents {
		if of[p] == 0 {
			missing = append(missing, p)
		}
		n = max(n, of[p])
	}
	return n + 1, missing
}

// numberAll numbers a set of versions that holds all their ancestors.
func numberAll(commits map[plumbing.Hash]*object.Commit) map[plumbing.Hash]int {
	of := make(map[plumbing.Hash]int, len(commits))
	for id := range commits {
		for todo := []plumbing.Hash{id}; len(todo) > 0; {
			at := todo[len(todo)-1]
			n, missing := numberFrom(of, commits[at].ParentHashes)
			if len(missing) > 0 {
				todo = append(todo, missing...)
				continue
			}
			of[at] = n
			todo = todo[:len(todo)-1]
		}
	}
	return of
}

// saveNumbers puts what is known on disk, under the pattern's lock. Failing
// costs time later and nothing else, so it is not reported.
func (r *Repo) saveNumbers() {
	path := r.own(numbersFile)
	r.numbers.load(path)
	if r.numbers.wrong {
		r.numbers.wrong, r.numbers.saved = false, map[plumbing.Hash]bool{}
		if r.ops.Overwrite(path, nil) != nil {
			return
		}
	}
	var b bytes.Buffer
	for id, n := range r.numbers.of {
		if !r.numbers.saved[id] {
			b.WriteString(numberLine(id, n))
			r.numbers.saved[id] = true
		}
	}
	if b.Len() > 0 {
		// The leading line end closes a line that an earlier death tore.
		_ = r.ops.Append(path, append([]byte("\n"), b.Bytes()...))
	}
}
