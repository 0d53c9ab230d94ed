package repo

import (
	"fmt"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// Line returns a version and those before it on its branch's own line, the
// newest first: its first parent, the first parent of that, and so on. What a
// merge brought in from elsewhere is part of the version that merged it.
func (r *Repo) Line(v Version) ([]Version, error) {
	id, err := r.idOf(v)
	if err != nil {
		return nil, err
	}
	var line []Version
	for {
		v, err := r.version(id)
		if err != nil {
			return nil, err
		}
		line = append(line, v)
		if len(v.Parents) == 0 {
			return line, nil
		}
		id = plumbing.NewHash(v.Parents[0])
	}
}

// Step is a version of a line at which one file came, went or has another
// content than in the version before. Which of the three, Came and Went say.
type Step struct {
	At   int  // where the version stands in the line
	Came bool // the version before does not hold the file
	Went bool // this version does not hold it
}

// Steps finds the steps of one file along a line as Line returns it, or along
// its later part, the newest first. It reads what lists the files of each
// version and no file.
func (r *Repo) Steps(line []Version, name string) ([]Step, error) {
	if err := CheckPath(name); err != nil {
		return nil, err
	}
	var steps []Step
	look := lookup{r: r, name: name}
	var now plumbing.Hash
	for i := range len(line) + 1 {
		var before plumbing.Hash // beyond the first version there is nothing
		if i < len(line) {
			var err error
			if before, err = look.in(line[i]); err != nil {
				return nil, err
			}
		}
		if i > 0 && before != now {
			steps = append(steps, Step{At: i - 1, Came: before.IsZero(), Went: now.IsZero()})
		}
		now = before
	}
	return steps, nil
}

// ReadFile returns one file of a version; found is false where the version does
// not hold it.
func (r *Repo) ReadFile(v Version, name string) (content []byte, found bool, err error) {
	if err := CheckPath(name); err != nil {
		return nil, false, err
	}
	look := lookup{r: r, name: name}
	id, err := look.in(v)
	if err != nil || id.IsZero() {
		return nil, false, err
	}
	content, err = r.object(plumbing.BlobObject, id)
	if err == nil && len(content) > MaxFileSize {
		err = tooLarge(name, int64(len(content)))
	}
	if err != nil {
		return nil, false, fmt.Errorf("version %d, %s: %w", v.Number, name, err)
	}
	return content, true, nil
}

// lookup finds one file in version after version. Neighbours mostly hold the
// same folders, so the last ones are remembered by their ids.
type lookup struct {
	r    *Repo
	name string

	top, folder, file plumbing.Hash
}

// in returns the id of the file's content in a version, the zero id where the
// version does not hold it.
func (l *lookup) in(v Version) (plumbing.Hash, error) {
	id, err := l.r.idOf(v)
	if err != nil {
		return id, err
	}
	c, err := l.r.commit(id)
	if err == nil && c.TreeHash != l.top {
		l.top = c.TreeHash
		err = l.search()
	}
	if err != nil {
		l.top, l.folder = plumbing.ZeroHash, plumbing.ZeroHash
		return plumbing.ZeroHash, fmt.Errorf("version %d: %w", v.Number, err)
	}
	return l.file, nil
}

// search looks for the file from the top folder, and stops at a folder that is
// still the one that was searched last.
func (l *lookup) search() error {
	in, file, nested := strings.Cut(l.name, "/")
	if !nested {
		in, file = "", l.name
	}
	folder := l.top
	if nested {
		var err error
		if folder, err = l.entry(l.top, in, treeEntry.isFolder); err != nil {
			return err
		}
	}
	if folder == l.folder && !folder.IsZero() {
		return nil
	}
	l.folder, l.file = folder, plumbing.ZeroHash
	if folder.IsZero() {
		return nil
	}
	var err error
	l.file, err = l.entry(folder, file, treeEntry.isFile)
	return err
}

// entry is the id of a folder's entry, the zero id where it has none. One of
// another kind than the layout's is refused.
func (l *lookup) entry(folder plumbing.Hash, name string, kind func(treeEntry) bool) (plumbing.Hash, error) {
	entries, err := l.r.tree(folder)
	if err != nil {
		return plumbing.ZeroHash, err
	}
	for _, e := range entries {
		if e.name != name {
			continue
		}
		if !kind(e) {
			return plumbing.ZeroHash, fmt.Errorf("%s is not what it should be in this version; put it right with the program that kept it so", l.name)
		}
		return e.id, nil
	}
	return plumbing.ZeroHash, nil
}
