package repo

import (
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// row is what the version table says of one version: all of its record, and
// which files it changed. So the history of a pattern, or of one piece of it, is
// read from one file, without opening a version.
type row struct {
	number  int // 0 until it is worked out
	parents []plumbing.Hash
	// The id and those of parents as they are written, where they were read so.
	idText      string
	parentTexts []string
	tree        plumbing.Hash
	when        time.Time
	who         string
	note        note
	// changed are the files that it has otherwise than its first parent, by
	// path ascending; nil and counted false until they are worked out.
	changed []fileChange
	counted bool
}

// fileChange is a file that a version added, changed or removed.
type fileChange struct {
	how  byte // added, altered or removed
	name string
	id   plumbing.Hash // of the new content, zero where it is removed
}

const (
	added   = '+'
	altered = '*'
	removed = '-'
)

// versionTable remembers what versions say and changed. It can be rebuilt at
// any time: all of it follows from what git stores, and never changes. On disk
// it is appended to, a line a version, each with its own checksum, so that a
// torn or foreign line is left out and worked out anew.
type versionTable struct {
	rows   map[plumbing.Hash]*row
	lines  map[plumbing.Hash]string // on disk and not read yet: most never are
	text   string                   // all that is on disk, until it is divided into lines
	sought map[plumbing.Hash]bool   // whose lines were read from the text as it was
	loaded bool
	saved  map[plumbing.Hash]bool // lines on disk
	summer summer
	wrong  bool // the file said something false
	// found remembers what fileIn found, by path and version, so that going
	// from version to version costs one step each.
	found map[string]map[plumbing.Hash]plumbing.Hash
}

func (t *versionTable) load(path string) {
	if t.loaded {
		return
	}
	t.loaded = true
	if t.rows == nil {
		t.rows = map[plumbing.Hash]*row{}
	}
	t.saved = map[plumbing.Hash]bool{}
	if text, err := readText(path); err == nil { // else it is only a shortcut
		t.text = text
	}
}

// fewSought is how many versions are looked for in the text as it is: a command
// that needs two or three of thousands need not divide it.
const fewSought = 6

// divide makes lines of the text.
func (t *versionTable) divide() {
	text := t.text
	t.text = ""
	if text == "" {
		return
	}
	t.lines = make(map[plumbing.Hash]string, len(text)/usualLine)
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		id, ok := rowID(line)
		if !ok || t.sought[id] {
			continue
		}
		if _, twice := t.lines[id]; twice || t.rows[id] != nil {
			t.known(id)
			t.believe(line)
			continue
		}
		t.lines[id] = line
	}
}

// readText reads a whole file, and has it in memory once.
func readText(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	var b strings.Builder
	if info, err := f.Stat(); err == nil {
		b.Grow(int(info.Size()) + 512)
	}
	_, err = io.Copy(&b, f)
	return b.String(), err
}

// usualLine is about the length of a line of the table, in bytes.
const usualLine = 200

// known is what the table says of a version, nil if nothing: its line is read
// now.
func (t *versionTable) known(id plumbing.Hash) *row {
	if t.text != "" && !t.sought[id] {
		t.seek(id)
	}
	if line, ok := t.lines[id]; ok {
		delete(t.lines, id)
		t.believe(line)
	}
	return t.rows[id]
}

// seek reads a version's lines in the text.
func (t *versionTable) seek(id plumbing.Hash) {
	if len(t.sought) == fewSought {
		t.divide()
		return
	}
	if t.sought == nil {
		t.sought = map[plumbing.Hash]bool{}
	}
	t.sought[id] = true
	begins := id.String() + "\t"
	for rest, at := t.text, 0; ; {
		if at = strings.Index(rest, begins); at < 0 {
			return
		}
		starts := at == 0 && len(rest) == len(t.text) || at > 0 && rest[at-1] == '\n'
		line, _, _ := strings.Cut(rest[at:], "\n")
		if starts {
			t.believe(line)
		}
		rest = rest[at+len(begins)-1:]
	}
}

// believe takes what a line says, if it is whole.
func (t *versionTable) believe(line string) {
	id, one, ok := t.summer.parseRow(line)
	if !ok {
		return
	}
	if known := t.rows[id]; known != nil && known.number != one.number {
		t.wrong = true // two lines that do not agree: neither is believed
		delete(t.rows, id)
		return
	}
	t.saved[id] = true
	t.rows[id] = one
}

// row is what a version says, from the table, else from the version itself.
func (r *Repo) row(id plumbing.Hash) (*row, error) {
	r.table.load(r.own(tableFile))
	if known := r.table.known(id); known != nil {
		return known, nil
	}
	c, err := r.commit(id)
	if err != nil {
		return nil, err
	}
	made := rowOf(c)
	r.table.rows[id] = made
	return made, nil
}

func rowOf(c *commitRecord) *row {
	_, offset := c.Author.When.Zone()
	return &row{
		parents: slices.Clone(c.ParentHashes), tree: c.TreeHash, who: c.Author.Name,
		when: timeOf(c.Author.When.Unix(), offset), note: decodeMessage(c.Message),
	}
}

// timeOf is a moment in a zone that is so many seconds east of Greenwich.
func timeOf(unix int64, offset int) time.Time {
	return time.Unix(unix, 0).In(time.FixedZone("", offset))
}

// number works out a version's number, from those already known.
func (r *Repo) number(id plumbing.Hash) (int, error) {
	for todo := []plumbing.Hash{id}; len(todo) > 0; {
		at := todo[len(todo)-1]
		one, err := r.row(at)
		if err != nil {
			return 0, err
		}
		if one.number > 0 {
			todo = todo[:len(todo)-1]
			continue
		}
		n := 0
		var missing []plumbing.Hash
		for _, p := range one.parents {
			above, err := r.row(p)
			if err != nil {
				return 0, err
			}
			if above.number == 0 {
				missing = append(missing, p)
			}
			n = max(n, above.number)
		}
		if todo = append(todo, missing...); len(missing) == 0 {
			one.number = n + 1
		}
	}
	return r.table.rows[id].number, nil
}

// renumber works the numbers of a set of versions out from their parents, all
// of which the set holds, and notes where the table said something else.
func (t *versionTable) renumber(set map[plumbing.Hash]*row) {
	of := make(map[plumbing.Hash]int, len(set))
	todo := make([]plumbing.Hash, 0, len(set))
	for id := range set {
		for todo = append(todo[:0], id); len(todo) > 0; {
			at := todo[len(todo)-1]
			n, missing := 0, false
			for _, p := range set[at].parents {
				if of[p] == 0 {
					todo, missing = append(todo, p), true
				}
				n = max(n, of[p])
			}
			if !missing {
				of[at] = n + 1
				todo = todo[:len(todo)-1]
			}
		}
	}
	for id, one := range set {
		t.wrong = t.wrong || one.number > 0 && one.number != of[id]
		one.number = of[id]
	}
}

// changesOf lists the files that a version has otherwise than its first parent,
// the first version otherwise than nothing.
func (r *Repo) changesOf(id plumbing.Hash) ([]fileChange, error) {
	one, err := r.row(id)
	if err != nil {
		return nil, err
	}
	if one.counted {
		return one.changed, nil
	}
	var parent plumbing.Hash
	if len(one.parents) > 0 {
		parent = one.parents[0]
	}
	before, err := r.contentsOfCommit(parent)
	if err != nil {
		return nil, err
	}
	now, err := r.contentsOfCommit(id)
	if err != nil {
		return nil, err
	}
	one.count(before, now)
	return one.changed, nil
}

func (one *row) count(before, now *contents) {
	changed, came, went := now.compare(before)
	one.changed = nil
	for how, names := range map[byte][]string{altered: changed, added: came, removed: went} {
		for _, name := range names {
			one.changed = append(one.changed, fileChange{how, name, now.files[name]})
		}
	}
	slices.SortFunc(one.changed, func(a, b fileChange) int { return strings.Compare(a.name, b.name) })
	one.counted = true
}

// fileIn looks a file of a version up in the table alone: in the newest version
// on its own line that changed the file. known is false where the table does
// not reach.
func (r *Repo) fileIn(id plumbing.Hash, name string) (file plumbing.Hash, known bool) {
	r.table.load(r.own(tableFile))
	if r.table.found[name] == nil {
		if r.table.found == nil {
			r.table.found = map[string]map[plumbing.Hash]plumbing.Hash{}
		}
		r.table.found[name] = map[plumbing.Hash]plumbing.Hash{}
	}
	found := r.table.found[name]
	var passed []plumbing.Hash
	for {
		if file, known = found[id]; known {
			break
		}
		passed = append(passed, id)
		one := r.table.known(id)
		if one == nil || !one.counted {
			return plumbing.ZeroHash, false
		}
		if c, ok := one.change(name); ok {
			file = c.id
			break
		}
		if len(one.parents) == 0 {
			break
		}
		id = one.parents[0]
	}
	for _, id := range passed {
		found[id] = file
	}
	return file, true
}

func (one *row) change(name string) (fileChange, bool) {
	i, ok := slices.BinarySearchFunc(one.changed, name, func(c fileChange, name string) int { return strings.Compare(c.name, name) })
	if !ok {
		return fileChange{}, false
	}
	return one.changed[i], true
}

// saveTable puts what is known on disk, under the pattern's lock. Failing costs
// time later and nothing else, so it is not reported.
func (r *Repo) saveTable() {
	path := r.own(tableFile)
	r.table.load(path)
	if r.table.wrong {
		r.table.readAll()
		r.table.wrong, r.table.saved = false, map[plumbing.Hash]bool{}
		if r.ops.Overwrite(path, nil) != nil {
			return
		}
	}
	r.appendTable()
}

// readAll reads the lines that nobody has asked for yet.
func (t *versionTable) readAll() {
	t.divide()
	for id := range t.lines {
		t.known(id)
	}
}

// appendTable adds what is known and not on disk yet. Each line is whole or is
// not believed, so that two commands may do it at once.
func (r *Repo) appendTable() {
	var b strings.Builder
	for id, one := range r.table.rows {
		if !r.table.saved[id] && one.counted && one.number > 0 {
			b.WriteString(rowLine(id, one))
			r.table.saved[id] = true
		}
	}
	if b.Len() > 0 {
		// The leading line end closes a line that an earlier death tore.
		_ = r.ops.Append(r.own(tableFile), []byte("\n"+b.String()))
	}
}

// fewMissing is how many versions may be missing from the table before reading
// commands add them: a handful costs less to work out again than to write.
const fewMissing = 20

// SaveWhatWasRead lets a command that only read keep what it had to work out
// about versions that other programs made, so that the next one need not. It
// writes nothing where toile made the versions itself.
func (r *Repo) SaveWhatWasRead() {
	missing := 0
	for id, one := range r.table.rows {
		if !r.table.saved[id] && one.counted && one.number > 0 {
			missing++
		}
	}
	if missing > fewMissing && !r.table.wrong {
		r.appendTable()
	}
}

// forgetTable empties the table before the last branch goes: a table without
// any branch is the sign of one that was lost (checkUnborn).
func (r *Repo) forgetTable() error {
	r.table = versionTable{}
	return r.ops.Overwrite(r.own(tableFile), nil)
}
