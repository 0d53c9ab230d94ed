package repo

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// BranchInfo is one branch.
type BranchInfo struct {
	Name    string
	Last    *Version // nil before the first version
	Current bool     // the folder is on it
}

// Branch is the branch that the folder is on. The error wraps ErrNoBranch if a
// git program has put the folder on a bare version.
func (r *Repo) Branch() (string, error) {
	branch, _, err := r.head()
	if err == nil && branch == "" {
		err = fmt.Errorf("%w but on a version by itself; `git switch %s` puts it back, or `git switch -c NAME` makes a branch of it with all that you changed", ErrNoBranch, r.someBranch())
	}
	return branch, err
}

// someBranch is the first branch, or where there is no such branch another one.
func (r *Repo) someBranch() string {
	heads, err := r.listRefs(headsPrefix)
	if _, ok := heads[FirstBranch]; ok || err != nil || len(heads) == 0 {
		return FirstBranch
	}
	return keys(heads)[0]
}

// Branches lists all branches by name, the current one too if it has no version
// yet.
func (r *Repo) Branches() ([]BranchInfo, error) {
	current, _, err := r.head()
	if err != nil {
		return nil, err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return nil, err
	}
	if _, ok := heads[current]; !ok && current != "" {
		heads[current] = plumbing.ZeroHash
	}
	var out []BranchInfo
	for _, name := range slices.Sorted(maps.Keys(heads)) {
		b := BranchInfo{Name: name, Current: name == current}
		if id := heads[name]; !id.IsZero() {
			v, err := r.version(id)
			if err != nil {
				return nil, fmt.Errorf("the branch %q: %w", Printable(name), err)
			}
			b.Last = &v
		}
		out = append(out, b)
	}
	return out, nil
}

// NewBranch starts a branch at a version. The folder stays where it is.
func (r *Repo) NewBranch(name string, from Version) error {
	if err := ValidName(name); err != nil {
		return err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	if _, taken := heads[name]; taken {
		return fmt.Errorf("there is a branch %q already; choose another name, or go to it with `toile use %s`", name, name)
	}
	names, err := r.nameIDs()
	if err != nil {
		return err
	}
	if _, taken := names[name]; taken {
		return fmt.Errorf("the name %q is that of a version; choose another for the branch", name)
	}
	return r.newRef(headsPrefix+name, from)
}

// Name gives a version a name of its own, for ever.
func (r *Repo) Name(name string, v Version) error {
	if err := ValidName(name); err != nil {
		return err
	}
	names, err := r.nameIDs()
	if err != nil {
		return err
	}
	if id, taken := names[name]; taken {
		old, err := r.version(id)
		if err != nil {
			return err
		}
		return fmt.Errorf("the name %q is taken by version %d; choose another", name, old.Number)
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	if _, taken := heads[name]; taken {
		return fmt.Errorf("the name %q is that of a branch; choose another for the version", name)
	}
	return r.newRef(tagsPrefix+name, v)
}

// newRef makes a branch or name that must not be there yet.
func (r *Repo) newRef(ref string, v Version) error {
	id, err := r.idOf(v)
	if err != nil {
		return err
	}
	if _, err := r.commit(id); err != nil {
		return err
	}
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := r.beforeChange(false); err != nil {
		return err
	}
	content := []byte(id.String() + "\n")
	tip := r.held.position.tip // the working files stay
	if err := r.announce(tip, tip, announced{path: ref + ".lock", content: content}); err != nil {
		return err
	}
	defer r.settled()
	return r.moveRef(ref, plumbing.ZeroHash, id, nil)
}

// Names are the given names and the ids of their versions.
func (r *Repo) Names() (map[string]string, error) {
	ids, err := r.nameIDs()
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for name, id := range ids {
		names[name] = id.String()
	}
	return names, nil
}

// nameIDs leaves out names that a git program gave to something else than a
// version.
func (r *Repo) nameIDs() (map[string]plumbing.Hash, error) {
	tags, err := r.listRefs(tagsPrefix)
	if err != nil {
		return nil, err
	}
	for name, id := range tags {
		version, ok, err := r.peel(id)
		if err != nil {
			return nil, fmt.Errorf("the name %q: %w", Printable(name), err)
		}
		if ok {
			tags[name] = version
		} else {
			delete(tags, name)
		}
	}
	return tags, nil
}

// maxPeel bounds a name that stands for a name that stands for a name.
const maxPeel = 8

// peel follows a name that carries a message of its own to its version.
func (r *Repo) peel(id plumbing.Hash) (version plumbing.Hash, ok bool, err error) {
	for range maxPeel {
		if r.commits[id] != nil {
			return id, true, nil
		}
		kind, content, err := r.objectOf(plumbing.AnyObject, id)
		if err != nil || kind == plumbing.CommitObject {
			return id, err == nil, err
		}
		if kind != plumbing.TagObject {
			return id, false, nil // a file or folder, not a version
		}
		if id, err = tagTarget(content); err != nil {
			return id, false, err
		}
	}
	return id, false, nil
}

// Use brings the folder to another branch: its last version's files, the
// branch, git's index. Files that are in no version yet are not overwritten:
// the error is then an *UnsavedError, or for files beside the pattern's own a
// *BesideError.
func (r *Repo) Use(name string) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := r.checkReady(); err != nil {
		return err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	to, ok := heads[name]
	if !ok {
		return r.noBranch(name, heads)
	}
	branch, from, err := r.head()
	if err != nil {
		return err
	}
	if branch == name {
		return nil
	}
	if branch != "" {
		if from, _, err = r.readRef(headsPrefix + branch); err != nil {
			return err
		}
	}
	return r.switchTo(name, from, to)
}

// switchTo changes the working files from one version's to another's, and then
// the branch.
func (r *Repo) switchTo(branch string, from, to plumbing.Hash) error {
	before, err := r.contentsOfCommit(from)
	if err != nil {
		return err
	}
	folder, err := r.Folder()
	if err != nil {
		return err
	}
	if names := dirty(&contents{files: folder.ids}, before); len(names) > 0 {
		if r.held.position.branch == "" {
			return fmt.Errorf("%s in no version yet, and the folder is on a version by itself; make a branch of it with `git switch -c NAME`, commit there, and go to %q then", listed(names, "is", "are"), Printable(branch))
		}
		return &UnsavedError{Names: names}
	}
	now, files, err := r.contentsAndFiles(to)
	if err != nil {
		return fmt.Errorf("the branch %q: %w", Printable(branch), err)
	}
	work, err := r.planWorking(files, absent(folder.ids, files))
	if err != nil {
		return err
	}
	defer work.discard()
	if err := work.carryOthers(from, before, now, false); err != nil {
		return err
	}
	head := []byte(symbolic + headsPrefix + branch + "\n")
	if err := r.announce(from, to, announced{headFile + ".lock", head}, announcedIndex()); err != nil {
		return err
	}
	defer r.settled()
	index := r.lockIndex()
	defer index.release()
	err = r.swap(r.path(headFile), head, func() (func(), error) {
		if r.position() != r.held.position {
			return nil, fmt.Errorf("the branch: %w; run the command again", ErrMoved)
		}
		return work.undo, work.apply()
	})
	if err != nil {
		return err
	}
	work.noteSeen()
	r.held.position = position{branch: branch, tip: to}
	index.write(fmt.Sprintf("the folder is on the branch %q", branch), before, now, work.stats)
	return nil
}

func (r *Repo) contentsAndFiles(id plumbing.Hash) (*contents, Files, error) {
	c, err := r.contentsOfCommit(id)
	if err != nil {
		return nil, nil, err
	}
	files, err := r.Read(Version{ID: id.String()})
	return c, files, err
}

// absent lists the names that are in a and not in b, ascending.
func absent(a map[string]plumbing.Hash, b Files) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(a)), func(name string) bool {
		_, ok := b[name]
		return ok
	})
}

// finishSwitch ends what a command that died had begun with the working files:
// where the branch stands decides. Files that are as one of the two versions
// has them become as the branch's version has them; what somebody has written
// since stays. Git's index follows.
func (r *Repo) finishSwitch(j journal) error {
	from, to := j.from, j.to
	branch, at, err := r.head()
	if err != nil {
		return err
	}
	if branch != "" {
		if at, _, err = r.readRef(headsPrefix + branch); err != nil {
			return err
		}
	}
	if at.IsZero() {
		return nil
	}
	now, err := r.contentsOfCommit(at)
	if err != nil {
		return err
	}
	if from != to && (at == from || at == to) {
		other := from
		if at == from {
			other = to
		}
		old, err := r.contentsOfCommit(other)
		if lost := (*DamagedError)(nil); errors.As(err, &lost) && at == from && j.keeps() && lost.Object == to.String() && errors.Is(err, errMissing) {
			old, err = now, nil // it was not stored yet, so that no file can be as it has it
		}
		if err != nil {
			return err
		}
		if err := r.returnTo(at, old, now); err != nil {
			return err
		}
	}
	index := r.lockIndex()
	index.write("what a command that was broken off had begun is put right", now, now, r.workingStats(now))
	return nil
}

// returnTo makes of files that are as old has them those that the version at,
// which holds now, has.
func (r *Repo) returnTo(at plumbing.Hash, old, now *contents) error {
	files, err := r.Read(Version{ID: at.String()})
	if err != nil {
		return err
	}
	working, err := r.Working()
	if err != nil {
		return err
	}
	write, remove := Files{}, []string(nil)
	for name, content := range files {
		if here, ok := working[name]; ok && plumbing.ComputeHash(plumbing.BlobObject, here) == old.files[name] {
			write[name] = content
		} else if _, both := old.files[name]; !ok && !both {
			write[name] = content
		}
	}
	for name, here := range working {
		if _, stays := files[name]; !stays && plumbing.ComputeHash(plumbing.BlobObject, here) == old.files[name] {
			remove = append(remove, name)
		}
	}
	work, err := r.planWorking(write, remove)
	if err != nil {
		return err
	}
	defer work.discard()
	if err := work.carryOthers(plumbing.ZeroHash, old, now, true); err != nil {
		return err
	}
	if err := work.apply(); err != nil {
		return err
	}
	work.dropEmptyFolders()
	return nil
}
