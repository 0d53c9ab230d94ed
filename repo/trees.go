package repo

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// Modes in a stored folder, as git writes them.
const (
	modeFile       = "100644"
	modeExecutable = "100755"
	modeGroupWrite = "100664" // very old git programs wrote it
	modeFolder     = "40000"
)

// treeEntry is one line of a stored folder.
type treeEntry struct {
	mode, name string
	id         plumbing.Hash
}

func (e treeEntry) isFolder() bool { return e.mode == modeFolder || e.mode == "040000" }

func (e treeEntry) isFile() bool {
	return e.mode == modeFile || e.mode == modeExecutable || e.mode == modeGroupWrite
}

// sortKey orders entries as git does: a folder as if its name ended in a slash.
func (e treeEntry) sortKey() string {
	if e.isFolder() {
		return e.name + "/"
	}
	return e.name
}

func encodeTree(entries []treeEntry) []byte {
	slices.SortFunc(entries, func(a, b treeEntry) int { return strings.Compare(a.sortKey(), b.sortKey()) })
	var b bytes.Buffer
	for _, e := range entries {
		b.WriteString(e.mode + " " + e.name + "\x00")
		b.Write(e.id[:])
	}
	return b.Bytes()
}

// decodeTree reads a stored folder strictly: git's own order, which also means
// that no name occurs twice, and no name that could leave the folder.
func decodeTree(content []byte) ([]treeEntry, error) {
	entries := make([]treeEntry, 0, min(len(content)/shortEntry, maxFiles))
	for len(content) > 0 {
		mode, rest, ok := bytes.Cut(content, []byte{' '})
		name, rest, named := bytes.Cut(rest, []byte{0})
		if !ok || !named || len(rest) < len(plumbing.ZeroHash) {
			return nil, fmt.Errorf("a list of files breaks off after %d entries", len(entries))
		}
		e := treeEntry{mode: modeOf(mode), name: string(name)}
		copy(e.id[:], rest)
		content = rest[len(e.id):]
		if e.name == "" || e.name == "." || e.name == ".." || strings.Contains(e.name, "/") {
			return nil, fmt.Errorf("a list of files holds the name %q", Printable(e.name))
		}
		if n := len(entries); n > 0 && entries[n-1].sortKey() >= e.sortKey() {
			return nil, fmt.Errorf("a list of files is out of order at %q", Printable(e.name))
		}
		if entries = append(entries, e); len(entries) > maxFiles {
			return nil, fmt.Errorf("a list of files has more than %d entries", maxFiles)
		}
	}
	return entries, nil
}

// shortEntry is about what an entry of a short name takes, in bytes.
const shortEntry = 32

// modeOf is string(mode), without a copy of its own for the usual ones.
func modeOf(mode []byte) string {
	switch string(mode) {
	case modeFile:
		return modeFile
	case modeFolder:
		return modeFolder
	}
	return string(mode)
}

func (r *Repo) tree(id plumbing.Hash) ([]treeEntry, error) {
	content, err := r.object(plumbing.TreeObject, id)
	if err != nil {
		return nil, err
	}
	entries, err := decodeTree(content)
	if err != nil {
		return nil, &DamagedError{What: "the pattern's versions are damaged", Object: id.String(), Err: err}
	}
	return entries, nil
}

// contents is what one version holds.
type contents struct {
	files    map[string]plumbing.Hash // the files of the layout, by path
	subtrees map[string]plumbing.Hash // the layout's folders, by name
	// others are the entries outside the layout, by folder ("" is the top):
	// somebody else's files, carried from version to version untouched.
	others map[string][]treeEntry
}

func newContents() *contents {
	return &contents{
		files:    map[string]plumbing.Hash{},
		subtrees: map[string]plumbing.Hash{},
		others:   map[string][]treeEntry{},
	}
}

// contentsOf lists a version's tree.
func (r *Repo) contentsOf(id plumbing.Hash) (*contents, error) {
	if c := r.listed[id]; c != nil {
		return c, nil
	}
	c, err := r.listContents(id)
	if err == nil {
		if len(r.listed) >= maxListed {
			clear(r.listed)
		}
		r.listed[id] = c
	}
	return c, err
}

// maxListed is how many lists of files are kept: whoever goes from version to
// version needs each of them twice.
const maxListed = 8

func (r *Repo) listContents(id plumbing.Hash) (*contents, error) {
	c := newContents()
	top, err := r.tree(id)
	if err != nil {
		return nil, err
	}
	for _, e := range top {
		if !slices.Contains(folders, e.name) {
			if err := c.add("", e); err != nil {
				return nil, err
			}
			continue
		}
		if !e.isFolder() {
			return nil, fmt.Errorf("%s is not a folder in this version; put it right with the program that kept it so", e.name)
		}
		c.subtrees[e.name] = e.id
		inside, err := r.tree(e.id)
		if err != nil {
			return nil, err
		}
		for _, e2 := range inside {
			if err := c.add(e.name, e2); err != nil {
				return nil, err
			}
		}
	}
	return c, nil
}

func (c *contents) add(folder string, e treeEntry) error {
	path := e.name
	if folder != "" {
		path = folder + "/" + e.name
	}
	switch {
	case CheckPath(path) != nil:
		c.others[folder] = append(c.others[folder], e)
	case e.isFile():
		c.files[path] = e.id
	default:
		return fmt.Errorf("%s is not a regular file in this version; put it right with the program that kept it so", path)
	}
	return nil
}

// plan works out the objects of a new tree: its files, and what the version
// before held besides. same are further files, which that version has. Objects that
// it has already are not listed again.
func (c *contents) plan(files Files, same map[string]plumbing.Hash) (next *contents, drafts []draft, top plumbing.Hash) {
	next = newContents()
	next.others = c.others
	next.files = make(map[string]plumbing.Hash, len(files)+len(same))
	maps.Copy(next.files, same)
	for _, name := range files.names() {
		d := newDraft(plumbing.BlobObject, files[name])
		next.files[name] = d.id
		if c.files[name] != d.id {
			drafts = append(drafts, d)
		}
	}
	entries := map[string][]treeEntry{}
	for folder, others := range c.others {
		entries[folder] = slices.Clone(others)
	}
	for name, id := range next.files {
		folder, file, nested := strings.Cut(name, "/")
		if !nested {
			folder, file = "", name
		}
		entries[folder] = append(entries[folder], treeEntry{mode: modeFile, name: file, id: id})
	}
	for _, folder := range folders {
		if len(entries[folder]) == 0 {
			continue // git has no empty folders
		}
		d := newDraft(plumbing.TreeObject, encodeTree(entries[folder]))
		next.subtrees[folder] = d.id
		if c.subtrees[folder] != d.id {
			drafts = append(drafts, d)
		}
		entries[""] = append(entries[""], treeEntry{mode: modeFolder, name: folder, id: d.id})
	}
	d := newDraft(plumbing.TreeObject, encodeTree(entries[""]))
	return next, append(drafts, d), d.id
}

// compare lists the layout's files that differ from those of before, ascending.
func (c *contents) compare(before *contents) (changed, added, removed []string) {
	for _, name := range slices.Sorted(maps.Keys(c.files)) {
		switch old, ok := before.files[name]; {
		case !ok:
			added = append(added, name)
		case old != c.files[name]:
			changed = append(changed, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(before.files)) {
		if _, ok := c.files[name]; !ok {
			removed = append(removed, name)
		}
	}
	return changed, added, removed
}

// same tells whether two versions hold the same files of the layout.
func (c *contents) same(other *contents) bool { return maps.Equal(c.files, other.files) }

// maxDepth bounds folders within folders outside the layout.
const maxDepth = 32

// flatten lists every file outside the layout by its path, for git's index.
func (r *Repo) flatten(c *contents) (map[string]treeEntry, error) {
	out := map[string]treeEntry{}
	for folder, entries := range c.others {
		prefix := ""
		if folder != "" {
			prefix = folder + "/"
		}
		if err := r.flattenInto(out, prefix, entries, 0); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (r *Repo) flattenInto(out map[string]treeEntry, prefix string, entries []treeEntry, depth int) error {
	if depth > maxDepth || len(out) > maxFiles {
		return fmt.Errorf("the folder holds too many files that are not the pattern's")
	}
	for _, e := range entries {
		if !e.isFolder() {
			out[prefix+e.name] = e
			continue
		}
		inside, err := r.tree(e.id)
		if err != nil {
			return err
		}
		if err := r.flattenInto(out, prefix+e.name+"/", inside, depth+1); err != nil {
			return err
		}
	}
	return nil
}
