package repo

import (
	"bytes"
	"cmp"
	"maps"
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// BesideRename is a file that one side renamed while the other changed it: the
// change went with it.
type BesideRename struct {
	From, To string // ready to show
	There    bool   // the other side renamed it
}

// renameLikeness is the part of the greater of two texts that both have in common
// from which one is taken for the other under a new name. It is git's.
const renameLikeness = 0.5

// maxCompared bounds how many pairs of texts are compared; beyond it only files
// with the same content are taken for renamed ones.
const maxCompared = 10_000

// follow gives files that one side renamed, and the other changed, their new name
// on all sides, so that they are merged as one file.
func (m *besideMerge) follow(sides *[3]*contents) error {
	var flat [3]map[string]treeEntry
	for i, c := range sides {
		var err error
		if flat[i], err = m.r.flatten(c); err != nil {
			return err
		}
	}
	for side := 1; side <= 2; side++ {
		renamed, err := m.renamed(flat[0], flat[side], flat[3-side])
		if err != nil {
			return err
		}
		for _, from := range slices.Sorted(maps.Keys(renamed)) {
			to := renamed[from]
			if !hasRoom(flat[0], to) || !hasRoom(flat[3-side], to) {
				continue
			}
			for _, files := range []map[string]treeEntry{flat[0], flat[3-side]} {
				files[to] = files[from]
				delete(files, from)
			}
			m.out.Renamed = append(m.out.Renamed, BesideRename{From: Printable(from), To: Printable(to), There: side == 2})
		}
	}
	if len(m.out.Renamed) == 0 {
		return nil
	}
	for i := range sides {
		c := newContents()
		c.others = m.nested(flat[i])
		sides[i] = c
	}
	return nil
}

// hasRoom reports whether a file can get the name to: nothing is called so, and no
// folder of its path is a file.
func hasRoom(files map[string]treeEntry, to string) bool {
	for name := range files {
		if name == to || strings.HasPrefix(name, to+"/") || strings.HasPrefix(to, name+"/") {
			return false
		}
	}
	return true
}

// renamed finds the new names of files that a side renamed and the other changed.
func (m *besideMerge) renamed(shared, side, other map[string]treeEntry) (map[string]string, error) {
	var gone, came []string
	for name, e := range shared {
		now, has := other[name]
		if _, stays := side[name]; !stays && has && e.isFile() && now.isFile() && now.id != e.id {
			gone = append(gone, name)
		}
	}
	if len(gone) == 0 {
		return nil, nil
	}
	for name, e := range side {
		if _, was := shared[name]; !was && e.isFile() {
			came = append(came, name)
		}
	}
	slices.Sort(gone)
	slices.Sort(came)
	found, taken := map[string]string{}, map[string]bool{}
	for _, exact := range []bool{true, false} {
		if !exact && len(gone)*len(came) > maxCompared {
			break
		}
		for _, from := range gone {
			if found[from] != "" {
				continue
			}
			to, err := m.likest(from, shared[from], came, side, taken, exact)
			if err != nil {
				return nil, err
			}
			if to != "" {
				found[from], taken[to] = to, true
			}
		}
	}
	return found, nil
}

// likest is the new file with the same content or, not exact, the text most like a
// file's; of equals one with the same last part of its name goes first. It is empty
// where none is like enough.
func (m *besideMerge) likest(from string, was treeEntry, came []string, side map[string]treeEntry, taken map[string]bool, exact bool) (best string, err error) {
	most := 0.0
	for _, name := range came {
		if taken[name] {
			continue
		}
		like := 0.0
		if side[name].id == was.id {
			like = 1
		} else if !exact {
			if like, err = m.likeness(was.id, side[name].id); err != nil {
				return "", err
			}
		}
		if like < renameLikeness || (exact && like < 1) {
			continue
		}
		if c := cmp.Compare(like, most); c > 0 || (c == 0 && path.Base(name) == path.Base(from) && path.Base(best) != path.Base(from)) {
			best, most = name, like
		}
	}
	return best, nil
}

// likeness is the part of the greater of two files that stands in both, line by
// line; 0 for what is too large to read.
func (m *besideMerge) likeness(a, b plumbing.Hash) (float64, error) {
	var texts [2][]byte
	for i, id := range []plumbing.Hash{a, b} {
		if m.r.tooLargeToRead(id) {
			return 0, nil
		}
		text, err := m.r.object(plumbing.BlobObject, id)
		if err != nil {
			return 0, err
		}
		texts[i] = text
	}
	lines := map[string]int{}
	for line := range bytes.Lines(texts[0]) {
		lines[string(line)]++
	}
	common := 0
	for line := range bytes.Lines(texts[1]) {
		if lines[string(line)] > 0 {
			lines[string(line)]--
			common += len(line)
		}
	}
	return float64(common) / float64(max(len(texts[0]), len(texts[1]), 1)), nil
}

// nested puts files, by their paths, back into folders as contents hold them.
func (m *besideMerge) nested(files map[string]treeEntry) map[string][]treeEntry {
	within := map[string]map[string]treeEntry{}
	for name, e := range files {
		folder, file, deeper := strings.Cut(name, "/")
		if !deeper || !slices.Contains(folders, folder) {
			folder, file = "", name
		}
		if within[folder] == nil {
			within[folder] = map[string]treeEntry{}
		}
		within[folder][file] = e
	}
	others := map[string][]treeEntry{}
	for folder, inside := range within {
		others[folder] = m.entriesOf(inside)
	}
	return others
}

// entriesOf lists a folder's files and folders; the folders' lists are noted as
// objects to be kept.
func (m *besideMerge) entriesOf(files map[string]treeEntry) (entries []treeEntry) {
	inner := map[string]map[string]treeEntry{}
	for name, e := range files {
		folder, file, deeper := strings.Cut(name, "/")
		if !deeper {
			e.name = name
			entries = append(entries, e)
			continue
		}
		if inner[folder] == nil {
			inner[folder] = map[string]treeEntry{}
		}
		inner[folder][file] = e
	}
	for name, inside := range inner {
		list := m.entriesOf(inside)
		d := newDraft(plumbing.TreeObject, encodeTree(list))
		m.made[d.id] = list
		m.out.drafts = append(m.out.drafts, d)
		entries = append(entries, treeEntry{mode: modeFolder, name: name, id: d.id})
	}
	return entries
}

// tree lists a folder: one that was put together here, or a stored one.
func (m *besideMerge) tree(id plumbing.Hash) ([]treeEntry, error) {
	if entries, ok := m.made[id]; ok {
		return entries, nil
	}
	return m.r.tree(id)
}
