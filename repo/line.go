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
// its later part, the newest first. The version table says them: no file and,
// where it holds the versions, nothing of a version is read.
func (r *Repo) Steps(line []Version, name string) ([]Step, error) {
	if err := CheckPath(name); err != nil {
		return nil, err
	}
	var steps []Step
	for i, v := range line {
		id, err := r.idOf(v)
		if err != nil {
			return nil, err
		}
		if _, err := r.changesOf(id); err != nil {
			return nil, fmt.Errorf("version %d: %w", v.Number, err)
		}
		if c, ok := r.table.rows[id].change(name); ok {
			steps = append(steps, Step{At: i, Came: c.how == added, Went: c.how == removed})
		}
	}
	return steps, nil
}

// ReadFile returns one file of a version; found is false where the version does
// not hold it.
func (r *Repo) ReadFile(v Version, name string) (content []byte, found bool, err error) {
	if err := CheckPath(name); err != nil {
		return nil, false, err
	}
	version, err := r.idOf(v)
	if err != nil {
		return nil, false, err
	}
	id, known := r.fileIn(version, name)
	if !known {
		if id, err = r.search(version, name); err != nil {
			return nil, false, fmt.Errorf("version %d: %w", v.Number, err)
		}
	}
	if id.IsZero() {
		return nil, false, nil
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

// search looks a file of a version up in what lists the version's files; the
// zero id where the version does not hold it.
func (r *Repo) search(version plumbing.Hash, name string) (plumbing.Hash, error) {
	one, err := r.row(version)
	if err != nil {
		return plumbing.ZeroHash, err
	}
	folder := one.tree
	in, file, nested := strings.Cut(name, "/")
	if !nested {
		file = name
	} else if folder, err = r.entry(folder, in, treeEntry.isFolder, name); err != nil || folder.IsZero() {
		return plumbing.ZeroHash, err
	}
	return r.entry(folder, file, treeEntry.isFile, name)
}

// entry is the id of a folder's entry, the zero id where it has none. One of
// another kind than the layout's is refused.
func (r *Repo) entry(folder plumbing.Hash, in string, kind func(treeEntry) bool, name string) (plumbing.Hash, error) {
	entries, err := r.tree(folder)
	if err != nil {
		return plumbing.ZeroHash, err
	}
	for _, e := range entries {
		if e.name != in {
			continue
		}
		if !kind(e) {
			return plumbing.ZeroHash, fmt.Errorf("%s is not what it should be in this version; put it right with the program that kept it so", name)
		}
		return e.id, nil
	}
	return plumbing.ZeroHash, nil
}

// Alone reports whether v alone bears its number among the versions that the last
// one builds on, as far as its branch's own line tells: where no version since has
// merged another branch, what is not on the line is older than v and numbered lower.
// It is false where that line does not tell.
func (r *Repo) Alone(v Version) (bool, error) {
	_, at, err := r.tip()
	for err == nil && !at.IsZero() {
		var w Version
		w, err = r.version(at)
		switch {
		case err != nil || w.ID == v.ID:
			return err == nil, err
		case w.Number <= v.Number || len(w.Parents) != 1:
			return false, nil
		}
		at = plumbing.NewHash(w.Parents[0])
	}
	return false, err
}
