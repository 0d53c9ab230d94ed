package repo

import (
	"fmt"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// vetting goes through everything that received versions lead to, before any of
// it is kept. Objects are looked for in the delivery first, then among those
// that are here.
type vetting struct {
	r     *Repo
	p     *pack                  // nil where nothing had to be delivered
	known map[plumbing.Hash]bool // versions that are here, with all before them
	done  map[plumbing.Hash]bool // versions gone through
	trees map[vettedTree]bool    // the lists gone through: whether pattern.yaml is in them
	names vettedNames
	left  int  // how many more entries of lists are looked at
	met   bool // a version that is here lay on the way, or was the very one
}

// vettedTree is a folder, and what it is in the version: the same content is
// judged differently as the pattern's folder and as one inside.
type vettedTree struct {
	id     plumbing.Hash
	folder string
}

// newVetting knows which versions need no vetting: those that our own branches
// and names, and what was received before, lead to.
func (r *Repo) newVetting(p *pack) (*vetting, error) {
	known, err := r.reachable()
	if err != nil {
		return nil, err
	}
	return &vetting{r: r, p: p, known: known, done: map[plumbing.Hash]bool{}, trees: map[vettedTree]bool{}, left: maxEntries}, nil
}

// reachable are all versions that a branch, a name or a place's branch leads to.
func (r *Repo) reachable() (map[plumbing.Hash]bool, error) {
	var todo []plumbing.Hash
	for _, prefix := range []string{headsPrefix, remotePrefix} {
		refs, err := r.tips(prefix)
		if err != nil {
			return nil, err
		}
		for _, id := range refs {
			todo = append(todo, id)
		}
	}
	names, err := r.nameIDs()
	if err != nil {
		return nil, err
	}
	for _, id := range names {
		todo = append(todo, id)
	}
	return r.ancestors(todo, nil)
}

// ancestors are the given versions and all before them, but for those in
// without and what lies before them.
func (r *Repo) ancestors(todo []plumbing.Hash, without map[plumbing.Hash]bool) (map[plumbing.Hash]bool, error) {
	found := map[plumbing.Hash]bool{}
	todo = slices.Clone(todo)
	for len(todo) > 0 {
		id := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if found[id] || without[id] {
			continue
		}
		c, err := r.commit(id)
		if err != nil {
			return nil, err
		}
		found[id] = true
		todo = append(todo, c.ParentHashes...)
	}
	return found, nil
}

// object reads an object that a received one refers to.
func (v *vetting) object(kind plumbing.ObjectType, id plumbing.Hash) ([]byte, error) {
	if v.p != nil {
		if _, inside := v.p.of[id]; inside {
			found, content, err := v.p.object(id)
			if err == nil && found != kind {
				err = fmt.Errorf("a part of it is a %v where a %v should be", found, kind)
			}
			return content, err
		}
	}
	_, content, err := v.r.fetch(kind, id)
	return content, err
}

// version goes through a version and all before it that are not here yet.
func (v *vetting) version(tip plumbing.Hash) error {
	for todo := []plumbing.Hash{tip}; len(todo) > 0; {
		id := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		v.met = v.met || v.known[id]
		if v.known[id] || v.done[id] {
			continue
		}
		v.done[id] = true
		c, err := v.commit(id)
		if err != nil {
			return refused("a version in it cannot be read", err)
		}
		if err := v.top(c.TreeHash); err != nil {
			return refused("a version in it cannot be kept here", err)
		}
		todo = append(todo, c.ParentHashes...)
	}
	return nil
}

// commit reads a version's own record.
func (v *vetting) commit(id plumbing.Hash) (*commitRecord, error) {
	content, err := v.object(plumbing.CommitObject, id)
	if err != nil {
		return nil, err
	}
	if len(content) > MaxFileSize {
		return nil, tooLarge("a version's text", int64(len(content)))
	}
	if err := vetRecord(content); err != nil {
		return nil, err
	}
	c, err := decodeCommit(content)
	if err != nil {
		return nil, err
	}
	if c.TreeHash.IsZero() || slices.Contains(c.ParentHashes, plumbing.ZeroHash) {
		return nil, fmt.Errorf("it names no content")
	}
	return c, nil
}

// top goes through a version's files.
func (v *vetting) top(id plumbing.Hash) error {
	isPattern, err := v.tree(id, "")
	if err != nil {
		return err
	}
	if !isPattern {
		return fmt.Errorf("it has no %s: it is no pattern", PatternFile)
	}
	return nil
}

// tree goes through one folder and tells whether pattern.yaml is in it.
func (v *vetting) tree(id plumbing.Hash, folder string) (isPattern bool, err error) {
	key := vettedTree{id, folder}
	if isPattern, done := v.trees[key]; done {
		return isPattern, nil
	}
	content, err := v.object(plumbing.TreeObject, id)
	if err != nil {
		return false, fmt.Errorf("the list of files of %s: %w", or(folder, "a version"), err)
	}
	entries, err := v.list(content, folder == "")
	if err != nil {
		return false, err
	}
	for _, e := range entries {
		if err := v.entry(e, folder); err != nil {
			return false, err
		}
		isPattern = isPattern || folder == "" && e.name == PatternFile
	}
	v.trees[key] = isPattern
	return isPattern, nil
}

// list reads a list of files, as long as there are not too many in all.
func (v *vetting) list(content []byte, top bool) ([]treeEntry, error) {
	entries, err := v.names.tree(content, top)
	if err != nil {
		return nil, err
	}
	if v.left -= len(entries); v.left < 0 {
		return nil, refuse("its versions list more than %d files, taken together", maxEntries)
	}
	return entries, nil
}

func or(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

func (v *vetting) entry(e treeEntry, folder string) error {
	path := e.name
	if folder != "" {
		path = folder + "/" + e.name
	}
	layout := slices.Contains(folders, e.name) && folder == ""
	if e.isFolder() {
		if CheckPath(path) == nil {
			return fmt.Errorf("%s is a folder where a file should be", path)
		}
		_, err := v.tree(e.id, e.name)
		return err
	}
	if layout {
		return fmt.Errorf("%s is a file where a folder should be", path)
	}
	return v.file(path, e.id)
}

// file looks at one file: that it is there, how large it is, and, if it is the
// pattern's, that it is text.
func (v *vetting) file(path string, id plumbing.Hash) error {
	size, e, err := v.blob(id)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if CheckPath(path) != nil {
		return nil // somebody's own file: carried along, never read
	}
	if size > MaxFileSize {
		return tooLarge(path, size)
	}
	if !e.text {
		return fmt.Errorf("%s is not text", path)
	}
	if e.dense {
		return fmt.Errorf("%s holds more than %d values, too many for a file of a pattern", path, maxSeparators)
	}
	return nil
}

// blob is the size of a file, and what was found when it was unpacked. What is
// here already has been looked at, or is our own.
func (v *vetting) blob(id plumbing.Hash) (size int64, e packEntry, err error) {
	if v.p != nil {
		if i, inside := v.p.of[id]; inside {
			e = v.p.entries[i]
			if e.kind != plumbing.BlobObject {
				return 0, e, fmt.Errorf("it is a %v and not a file", e.kind)
			}
			return int64(e.size), e, nil
		}
	}
	size, err = v.r.blobSize(id)
	return size, packEntry{text: true}, err
}

// blobSize is the size of a stored file, in bytes.
func (r *Repo) blobSize(id plumbing.Hash) (size int64, err error) {
	if size, err = r.store.size(id); err != nil {
		return 0, errMissing
	}
	return size, nil
}

// rest looks at what no version leads to: it is kept with the rest, so it must
// be harmless too.
func (v *vetting) rest() error {
	if v.p == nil {
		return nil
	}
	for i := range v.p.entries {
		if v.p.entries[i].kind != plumbing.TreeObject {
			continue
		}
		id := v.p.entries[i].id
		if _, done := v.trees[vettedTree{id, ""}]; done {
			continue
		}
		content, err := v.p.content(i)
		if err == nil {
			_, err = v.list(content, true)
		}
		if err != nil {
			return refused("a list of files in it cannot be kept here", err)
		}
	}
	return nil
}

// files returns the pattern's files of a version that has been gone through.
func (v *vetting) files(id plumbing.Hash) (Files, error) {
	c, err := v.commit(id)
	if err != nil {
		return nil, err
	}
	files := Files{}
	err = v.each(c.TreeHash, "", func(path string, e treeEntry) error {
		if CheckPath(path) != nil {
			return nil
		}
		content, err := v.object(plumbing.BlobObject, e.id)
		files[path] = content
		return err
	})
	return files, err
}

// each calls do for every file below a folder.
func (v *vetting) each(id plumbing.Hash, folder string, do func(path string, e treeEntry) error) error {
	content, err := v.object(plumbing.TreeObject, id)
	if err != nil {
		return err
	}
	entries, err := decodeTree(content)
	if err != nil {
		return err
	}
	for _, e := range entries {
		switch {
		case e.isFolder() && folder == "":
			err = v.each(e.id, e.name, do)
		case folder == "":
			err = do(e.name, e)
		default:
			err = do(folder+"/"+e.name, e)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// name follows a given name to its version, through the records in between.
func (v *vetting) name(id plumbing.Hash) (plumbing.Hash, error) {
	for range maxPeel {
		if v.known[id] || v.done[id] {
			return id, nil
		}
		content, err := v.object(plumbing.TagObject, id)
		if err != nil {
			return id, v.version(id) // it is a version, or nothing that is taken
		}
		if err := vetTag(content); err != nil {
			return id, refused("a name in it cannot be kept here", err)
		}
		if id, err = tagTarget(content); err != nil {
			return id, refused("a name in it cannot be read", err)
		}
	}
	return id, refuse("a name in it stands for a name that stands for a name, and so on")
}
