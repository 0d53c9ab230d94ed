package repo

import (
	"bytes"
	"fmt"
	"maps"
	"path"
	"slices"
	"unicode/utf8"

	"github.com/go-git/go-git/v5/plumbing"
)

// Beside are the files beside the pattern's own, as a merge puts them together.
type Beside struct {
	// Taken are the files that come from the other side or go as they did there,
	// Joined those whose text was put together; ascending.
	Taken, Joined []string
	Renamed       []BesideRename // those of which a change followed a new name
	// Unsought are files that both sides removed, and of which it was not looked for
	// whether one gave them another name, for it would have been too much.
	Unsought []string

	others map[string][]treeEntry
	drafts []draft
}

// BesideConflict is such a file that both sides changed, and not in the same way.
type BesideConflict struct {
	Path string
	Says string // in a sentence, ready to show
}

// BesideMerge says how MergeBeside settles what it cannot take from one side.
type BesideMerge struct {
	// Lines puts together what two sides did to a text; not ok where it cannot.
	Lines func(shared, here, there string) (merged string, ok bool)
	// Decide says which side counts in a conflict; not ok leaves it open.
	Decide func(BesideConflict) (there, ok bool)
}

// MergeBeside brings together what two versions did since a shared one to the
// files beside the pattern's own, as git does: what one side changed is taken,
// texts changed in different places are put together, what one side renamed and the
// other changed is changed under its new name, and the rest is a conflict
// for Decide. Nothing is written; with open conflicts the files are nil.
func (r *Repo) MergeBeside(shared, here, there Version, how BesideMerge) (*Beside, []BesideConflict, error) {
	var sides [3]*contents
	for i, v := range []Version{shared, here, there} {
		var err error
		if sides[i], err = r.contentsOfVersion(v); err != nil {
			return nil, nil, err
		}
	}
	m := &besideMerge{r: r, how: how, out: &Beside{others: map[string][]treeEntry{}}, made: map[plumbing.Hash][]treeEntry{}, unsought: map[string]bool{}}
	if err := m.follow(&sides); err != nil {
		return nil, nil, err
	}
	for _, folder := range append([]string{""}, folders...) {
		entries, err := m.folder(folder, sides[0].others[folder], sides[1].others[folder], sides[2].others[folder])
		if err != nil {
			return nil, nil, err
		}
		if len(entries) > 0 {
			m.out.others[folder] = entries
		}
	}
	if len(m.open) > 0 {
		return nil, m.open, nil
	}
	return m.out, nil, nil
}

// Changes reports whether anything differs from the version here.
func (b *Beside) Changes() bool { return b != nil && len(b.Taken)+len(b.Joined)+len(b.Renamed) > 0 }

// over is a version's contents with these files in place of its own.
func (b *Beside) over(c *contents) *contents {
	if !b.Changes() {
		return c
	}
	return &contents{files: c.files, subtrees: c.subtrees, others: b.others}
}

func (b *Beside) newObjects() []draft {
	if b == nil {
		return nil
	}
	return b.drafts
}

// besideMerge is such a merge under way.
type besideMerge struct {
	r     *Repo
	how   BesideMerge
	out   *Beside
	open  []BesideConflict
	depth int
	made  map[plumbing.Hash][]treeEntry // folders as they are with renamed files

	unsought map[string]bool // removed files for which no new name was looked
}

// folder merges the entries of one folder.
func (m *besideMerge) folder(at string, shared, here, there []treeEntry) ([]treeEntry, error) {
	if m.depth > maxDepth {
		return nil, fmt.Errorf("%s: folders lie too deep in each other", Printable(at))
	}
	sides, names := [3]map[string]treeEntry{}, map[string]bool{}
	for i, entries := range [][]treeEntry{shared, here, there} {
		sides[i] = map[string]treeEntry{}
		for _, e := range entries {
			sides[i][e.name], names[e.name] = e, true
		}
	}
	var out []treeEntry
	for _, name := range slices.Sorted(maps.Keys(names)) {
		e, err := m.entry(path.Join(at, name), sides[0][name], sides[1][name], sides[2][name])
		if err != nil {
			return nil, err
		}
		if e.name = name; !e.id.IsZero() {
			out = append(out, e)
		}
	}
	return out, nil
}

// entry merges one file or folder; the zero entry is none.
func (m *besideMerge) entry(at string, shared, here, there treeEntry) (treeEntry, error) {
	folderOrNone := func(e treeEntry) bool { return e.id.IsZero() || e.isFolder() }
	switch {
	case here == there, there == shared:
		return here, nil
	case folderOrNone(here) && folderOrNone(there):
		return m.inside(at, shared, here, there)
	case here == shared:
		m.out.Taken = append(m.out.Taken, at)
		return there, nil
	case shared.isFile() && here.isFile() && there.isFile():
		return m.file(at, shared, here, there)
	}
	return m.decide(at, here, there)
}

// inside merges what lies in a folder.
func (m *besideMerge) inside(at string, shared, here, there treeEntry) (treeEntry, error) {
	var lists [3][]treeEntry
	for i, e := range []treeEntry{shared, here, there} {
		if e.id.IsZero() || !e.isFolder() {
			continue
		}
		var err error
		if lists[i], err = m.tree(e.id); err != nil {
			return e, err
		}
	}
	m.depth++
	entries, err := m.folder(at, lists[0], lists[1], lists[2])
	m.depth--
	if err != nil || len(entries) == 0 {
		return treeEntry{}, err
	}
	d := newDraft(plumbing.TreeObject, encodeTree(entries))
	m.out.drafts = append(m.out.drafts, d)
	return treeEntry{mode: modeFolder, id: d.id}, nil
}

// file merges a file that both sides changed: the permission to run it, which is
// a matter by itself, and the content.
func (m *besideMerge) file(at string, shared, here, there treeEntry) (treeEntry, error) {
	e := here
	if here.mode == shared.mode {
		e.mode = there.mode
	}
	switch {
	case here.id == there.id, there.id == shared.id:
		if e.mode != here.mode {
			m.out.Taken = append(m.out.Taken, at)
		}
		return e, nil
	case here.id == shared.id:
		m.out.Taken = append(m.out.Taken, at)
		e.id = there.id
		return e, nil
	}
	var texts [3]string
	for i, id := range []plumbing.Hash{shared.id, here.id, there.id} {
		if m.r.tooLargeToRead(id) {
			return m.decide(at, here, there)
		}
		content, err := m.r.object(plumbing.BlobObject, id)
		if err != nil {
			return e, fmt.Errorf("%s: %w", Printable(at), err)
		}
		if !utf8.Valid(content) || bytes.IndexByte(content, 0) >= 0 {
			return m.decide(at, here, there)
		}
		texts[i] = string(content)
	}
	merged, ok := m.how.Lines(texts[0], texts[1], texts[2])
	if !ok {
		return m.decide(at, here, there)
	}
	d := newDraft(plumbing.BlobObject, []byte(merged))
	m.out.drafts = append(m.out.drafts, d)
	m.out.Joined = append(m.out.Joined, at)
	e.id = d.id
	return e, nil
}

// decide asks which side counts.
func (m *besideMerge) decide(at string, here, there treeEntry) (treeEntry, error) {
	c := BesideConflict{Path: Printable(at), Says: Printable(at) + ": both changed it, and not in the same way"}
	switch {
	case here.id.IsZero():
		c.Says = Printable(at) + ": removed here and changed there"
	case there.id.IsZero():
		c.Says = Printable(at) + ": changed here and removed there"
	case here.isFolder() != there.isFolder():
		c.Says = Printable(at) + ": a file on one side and a folder on the other"
	}
	if m.unsought[at] {
		c.Says += " (whether it only got another name was not looked for: too much came that it would be compared with)"
	}
	takeThere, ok := m.how.Decide(c)
	switch {
	case !ok:
		m.open = append(m.open, c)
	case takeThere:
		m.out.Taken = append(m.out.Taken, at)
		return there, nil
	}
	return here, nil
}
