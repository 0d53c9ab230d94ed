package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// Folder is the pattern's files as they lie in the folder, each by the id of what
// it holds. What they hold is read of those that are asked for.
type Folder struct {
	r   *Repo
	ids map[string]plumbing.Hash
	// read are the files that had to be read to know their ids.
	read Files
}

// Folder looks at the working files as Working does, and reads only those that
// have changed since a command last read them (marks.go).
func (r *Repo) Folder() (*Folder, error) {
	f, err := r.lookFolder(false)
	if err == nil && r.held != nil {
		r.held.seen = f.seen()
	}
	return f, err
}

// lookFolder is Folder without remembering what it held; lately is as for glanced.
func (r *Repo) lookFolder(lately bool) (*Folder, error) {
	names, err := r.workingNames()
	if err != nil {
		return nil, err
	}
	f := &Folder{r: r, ids: make(map[string]plumbing.Hash, len(names)), read: Files{}}
	for _, name := range names {
		g, err := r.lookWorking(name, lately)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		f.ids[name] = g.id
		if g.info != nil {
			f.read[name] = g.content
		}
	}
	return f, nil
}

// seen is a copy of the ids.
func (f *Folder) seen() map[string]plumbing.Hash {
	ids := make(map[string]plumbing.Hash, len(f.ids))
	for name, id := range f.ids {
		ids[name] = id
	}
	return ids
}

// FileIDs lists the files with the ids of their contents, as Repo.FileIDs.
func (f *Folder) FileIDs() map[string]string { return hexIDs(f.ids) }

// Some are the files of which it is wanted. One that somebody has saved since the
// folder was looked at is an error (ErrMoved).
func (f *Folder) Some(wanted func(name string) bool) (Files, error) {
	files := Files{}
	for name := range f.ids {
		if !wanted(name) {
			continue
		}
		content, err := f.content(name)
		if err != nil {
			return nil, err
		}
		files[name] = content
	}
	return files, nil
}

func (f *Folder) content(name string) ([]byte, error) {
	if content, ok := f.read[name]; ok {
		return content, nil
	}
	content, _, err := f.r.readWorking(name)
	if errors.Is(err, fs.ErrNotExist) || err == nil && plumbing.ComputeHash(plumbing.BlobObject, content) != f.ids[name] {
		return nil, fmt.Errorf("%s: %w; run the command again", name, ErrMoved)
	}
	if err == nil {
		f.read[name] = content
	}
	return content, err
}

// notIn are the files whose content a version does not hold under the same name,
// and the ids of the others.
func (f *Folder) notIn(c *contents) (files Files, same map[string]plumbing.Hash, err error) {
	same = map[string]plumbing.Hash{}
	for name, id := range f.ids {
		if c.files[name] == id {
			same[name] = id
		}
	}
	files, err = f.Some(func(name string) bool { return same[name].IsZero() })
	return files, same, err
}

// folderBeside is notIn for the folder as the command has read it, else as it is now.
func (r *Repo) folderBeside(c *contents) (files Files, same map[string]plumbing.Hash, err error) {
	folder := &Folder{r: r, ids: r.held.seen, read: Files{}}
	if r.held.seen == nil {
		if folder, err = r.lookFolder(false); err != nil {
			return nil, nil, err
		}
	}
	return folder.notIn(c)
}

// stays are the files of a version, of those named, that lie in the folder as it
// has them; it is an error (ErrMoved) where one does not.
func (r *Repo) stays(names []string, last *contents) (map[string]plumbing.Hash, error) {
	same := make(map[string]plumbing.Hash, len(names))
	for _, name := range names {
		id, ok := last.files[name]
		if !ok || r.held.seen[name] != id {
			return nil, fmt.Errorf("%s is not as the last version has it: %w; run the command again", name, ErrMoved)
		}
		same[name] = id
	}
	return same, nil
}

// keepAsIs takes files into a plan that stay as they lie there, with their marks
// for git's index; it is an error (ErrMoved) where one does not hold that any more.
func (p *workingPlan) keepAsIs(same map[string]plumbing.Hash) error {
	for name, id := range same {
		if g, ok := p.r.held.glances[name]; ok && g.settled && g.id == id && !p.r.wronglyExecutable(g) {
			p.stats[name] = g.stat() // what somebody saves now bears another mark, for git as well
			continue
		}
		g, err := p.r.lookWorking(name, false)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if err != nil || g.id != id {
			return fmt.Errorf("%s: %w; run the command again", name, ErrMoved)
		}
		if p.r.wronglyExecutable(g) { // git would show it as changed
			content, _, err := p.r.readWorking(name)
			if err != nil {
				return err
			}
			if err := p.write(name, content); err != nil {
				return err
			}
			continue
		}
		p.stats[name] = g.stat()
	}
	return nil
}

// touchedSince lists the files that a command changed, with what they hold now: those
// of which it knows since it read the folder that they are not as before, and that
// are still as it knows them. An empty id says that a file is gone.
func (r *Repo) touchedSince(before, seen map[string]plumbing.Hash) (map[string]string, error) {
	var names []string
	for name, id := range seen {
		if was, had := before[name]; !had || was != id {
			names = append(names, name)
		}
	}
	for name := range before {
		if _, stays := seen[name]; !stays {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	touched := map[string]string{}
	for _, name := range names {
		want, there := seen[name]
		g, err := r.lookWorking(name, true)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			if !there {
				touched[name] = ""
			}
		case err != nil:
			return nil, err
		case there && g.id == want:
			touched[name] = want.String()
		}
	}
	return touched, nil
}
