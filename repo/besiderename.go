package repo

import (
	"fmt"
	"maps"
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

// maxCompared bounds the work of comparing texts: the sum of their lengths over all
// pairs, in bytes, about half a second. maxLooked bounds how much is read for it.
// maxPairs bounds how many pairs are looked at by their lengths alone.
// Beyond any of them, as git beyond its limit, only files with the same content are taken
// for renamed ones, and that is said.
const (
	maxCompared = 256 << 20
	maxLooked   = 16 << 20
	maxPairs    = 1_000_000
)

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
	var renamed [3]map[string]string
	for side := 1; side <= 2; side++ {
		var err error
		if renamed[side], err = m.renamed(flat[0], flat[side], flat[3-side]); err != nil {
			return err
		}
	}
	followed := m.settle(&flat, renamed)
	for side := 1; side <= 2; side++ {
		for _, from := range slices.Sorted(maps.Keys(renamed[side])) {
			followed = m.carry(&flat, from, renamed[side][from], side) || followed
		}
	}
	if !followed {
		return nil
	}
	for i := range sides {
		c := newContents()
		c.others = m.nested(flat[i])
		sides[i] = c
	}
	return nil
}

// carry gives a file that one side renamed its new name in the shared version and on
// the other side, where that has room.
func (m *besideMerge) carry(flat *[3]map[string]treeEntry, from, to string, side int) bool {
	if !hasRoom(flat[0], to) || !hasRoom(flat[3-side], to) {
		return false
	}
	for _, files := range []map[string]treeEntry{flat[0], flat[3-side]} {
		files[to] = files[from]
		delete(files, from)
	}
	m.out.Renamed = append(m.out.Renamed, BesideRename{From: Printable(from), To: Printable(to), There: side == 2})
	return true
}

// settle asks about files that one side renamed and the other called otherwise or
// removed, and puts what was answered into the sides; both take these files out of
// renamed. It reports whether the sides changed.
func (m *besideMerge) settle(flat *[3]map[string]treeEntry, renamed [3]map[string]string) (changed bool) {
	for _, from := range slices.Sorted(maps.Keys(flat[0])) {
		here, there := renamed[1][from], renamed[2][from]
		_, stays := flat[1][from]
		_, staysThere := flat[2][from]
		if stays || staysThere || (here == "" && there == "") {
			continue
		}
		delete(renamed[1], from)
		delete(renamed[2], from)
		side, ok := 1, true
		if here != there {
			side, ok = m.decideName(from, here, there)
		}
		if ok {
			m.rename(flat, from, [3]string{1: here, 2: there}, side)
			changed = true
		}
	}
	return changed
}

// rename gives a file the name that it has on a side: the shared version's and the
// other side's are called so too. With no name there the file goes.
func (m *besideMerge) rename(flat *[3]map[string]treeEntry, from string, names [3]string, side int) {
	to, other := names[side], names[3-side]
	e := flat[3-side][other]
	if delete(flat[3-side], other); to == "" {
		if side == 2 {
			m.out.Taken = append(m.out.Taken, other)
		}
		return
	}
	if other == "" || !hasRoom(flat[0], to) || !hasRoom(flat[3-side], to) {
		return
	}
	flat[0][to], flat[3-side][to] = flat[0][from], e
	delete(flat[0], from)
	if to != other {
		m.out.Renamed = append(m.out.Renamed, BesideRename{From: Printable(from), To: Printable(to), There: side == 2})
	}
}

// decideName asks what a file is to be called; an empty name is that of a removed one.
func (m *besideMerge) decideName(from, here, there string) (side int, ok bool) {
	words := func(name string) string {
		if name == "" {
			return "removed"
		}
		return "called " + Printable(name)
	}
	c := BesideConflict{Path: Printable(from), Says: fmt.Sprintf("%s: %s here and %s there", Printable(from), words(here), words(there))}
	takeThere, ok := m.how.Decide(c)
	if !ok {
		m.open = append(m.open, c)
	}
	if takeThere {
		return 2, ok
	}
	return 1, ok
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

// emptyFile is the id of a file without content, which is never taken for another.
var emptyFile = newDraft(plumbing.BlobObject, nil).id

// renamed finds the new names of files that a side renamed and the other changed, or
// has not either.
func (m *besideMerge) renamed(shared, side, other map[string]treeEntry) (map[string]string, error) {
	var gone, came []string
	for name, e := range shared {
		now, has := other[name]
		if _, stays := side[name]; !stays && e.isFile() && e.id != emptyFile && (!has || now.isFile() && now.id != e.id) {
			gone = append(gone, name)
		}
	}
	if len(gone) == 0 {
		return nil, nil
	}
	for name, e := range side {
		if _, was := shared[name]; !was && e.isFile() && e.id != emptyFile {
			came = append(came, name)
		}
	}
	slices.Sort(gone)
	slices.Sort(came)
	s := renameSearch{r: m.r, shared: shared, side: side, found: map[string]string{}, taken: map[string]bool{}}
	s.exact(gone, came)
	unsought, err := s.alike(gone, came)
	for _, name := range unsought {
		m.unsought[name] = true
		if _, has := other[name]; !has && !slices.Contains(m.out.Unsought, Printable(name)) {
			m.out.Unsought = append(m.out.Unsought, Printable(name))
		}
	}
	return s.found, err
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
