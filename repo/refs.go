package repo

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

const (
	headsPrefix  = "refs/heads/"
	tagsPrefix   = "refs/tags/"
	remotePrefix = "refs/remotes/" // what others are known to have, by place and branch
	packedFile   = "packed-refs"
	headFile     = "HEAD"
	symbolic     = "ref: "
)

// readRef reads where a branch or name points: its own file, else the packed
// list. Not found is no error; a file that is empty or holds anything but an id
// is, so that a damaged branch never looks like a new one.
func (r *Repo) readRef(ref string) (id plumbing.Hash, found bool, err error) {
	return r.readRefBy(ref, maxSymbolic)
}

// maxSymbolic bounds references that stand for one another; git follows as many.
const maxSymbolic = 5

func (r *Repo) readRefBy(ref string, steps int) (id plumbing.Hash, found bool, err error) {
	content, err := os.ReadFile(r.path(ref))
	switch {
	case err == nil:
		if target, ok := strings.CutPrefix(strings.TrimSpace(string(content)), symbolic); ok && steps > 0 && strings.HasPrefix(target, "refs/") && safeRef(target) {
			id, found, err = r.readRefBy(target, steps-1)
			if err == nil && !found {
				err = &DamagedError{What: refName(ref) + " cannot be read", Err: fmt.Errorf("it stands for %s, which is not there", Printable(target))}
			}
			return id, found, err
		}
		id, err = parseID(content)
		if err != nil {
			return id, false, &DamagedError{What: refName(ref) + " cannot be read", Err: err}
		}
		return id, true, nil
	case !errors.Is(err, fs.ErrNotExist) && !isFolder(r.path(ref)):
		return id, false, &DamagedError{What: refName(ref) + " cannot be read", Err: err}
	}
	packed, err := r.packedRefs()
	if err != nil {
		return id, false, err
	}
	id, found = packed[ref]
	return id, found, nil
}

func parseID(content []byte) (plumbing.Hash, error) {
	text := strings.TrimSpace(string(content))
	if text == "" {
		return plumbing.ZeroHash, errors.New("its file is empty")
	}
	if !plumbing.IsHash(text) || len(text) != 2*len(plumbing.ZeroHash) {
		return plumbing.ZeroHash, errors.New("its file names no version")
	}
	return plumbing.NewHash(text), nil
}

// refName is what a reference is called in a sentence.
func refName(ref string) string {
	if name, ok := strings.CutPrefix(ref, headsPrefix); ok {
		return fmt.Sprintf("the branch %q", Printable(name))
	}
	return fmt.Sprintf("the name %q", Printable(strings.TrimPrefix(ref, tagsPrefix)))
}

func (r *Repo) packedRefs() (map[string]plumbing.Hash, error) {
	content, err := os.ReadFile(r.path(packedFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	refs := map[string]plumbing.Hash{}
	lines := bufio.NewScanner(bytes.NewReader(content))
	for lines.Scan() {
		line := lines.Text()
		if line == "" || line[0] == '#' || line[0] == '^' {
			continue
		}
		text, name, ok := strings.Cut(line, " ")
		id, err := parseID([]byte(text))
		if !ok || err != nil {
			return nil, &DamagedError{What: "the list of branches and names (packed-refs) cannot be read", Err: fmt.Errorf("it holds the line %q", Printable(line))}
		}
		refs[name] = id
	}
	if err := lines.Err(); err != nil {
		return nil, &DamagedError{What: "the list of branches and names (packed-refs) cannot be read", Err: err}
	}
	return refs, nil
}

// listRefs returns every reference under a prefix, by the rest of its name.
func (r *Repo) listRefs(prefix string) (map[string]plumbing.Hash, error) {
	// Loose first: a git program that packs writes the list before it removes
	// the files, so that this order misses nothing.
	refs := map[string]plumbing.Hash{}
	top := r.path(prefix)
	err := filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // packed and removed while we walked
		}
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".lock") || d.Name() == headFile && strings.HasPrefix(prefix, remotePrefix) {
			return err
		}
		name, err := filepath.Rel(top, path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		id, found, err := r.readRef(prefix + name)
		if found {
			refs[name] = id
		}
		return r.sparedRef(prefix+name, err)
	})
	if err != nil {
		return nil, err
	}
	packed, err := r.packedRefs()
	if err != nil {
		return nil, err
	}
	for ref, id := range packed {
		if name, ok := strings.CutPrefix(ref, prefix); ok {
			if _, loose := refs[name]; !loose {
				refs[name] = id
			}
		}
	}
	return refs, nil
}

// sparedRef makes a warning of a branch or name that cannot be read, as git does,
// where nothing depends on it: the folder is on another.
func (r *Repo) sparedRef(ref string, err error) error {
	var damaged *DamagedError
	if !errors.As(err, &damaged) || strings.HasPrefix(ref, remotePrefix) {
		return err
	}
	if branch, _, headErr := r.head(); headErr != nil || ref == headsPrefix+branch {
		return err
	}
	warning := fmt.Sprintf("%s (%v), so it is left out", damaged.What, damaged.Err)
	if !slices.Contains(r.warnings, warning) {
		r.warn(warning)
	}
	return nil
}

// head says on which branch the folder is, or on which bare version.
func (r *Repo) head() (branch string, detached plumbing.Hash, err error) {
	content, err := os.ReadFile(r.path(headFile))
	if err != nil {
		return "", detached, &DamagedError{What: "it cannot be read which branch the folder is on", Err: err}
	}
	if ref, ok := strings.CutPrefix(strings.TrimSpace(string(content)), symbolic); ok {
		branch, ok = strings.CutPrefix(ref, headsPrefix)
		if ok && safeRef(branch) {
			return branch, detached, nil
		}
		return "", detached, &DamagedError{What: "it cannot be read which branch the folder is on", Err: fmt.Errorf("HEAD holds %q", Printable(ref))}
	}
	if detached, err = parseID(content); err != nil {
		return "", detached, &DamagedError{What: "it cannot be read which branch the folder is on (HEAD)", Err: err}
	}
	return "", detached, nil
}

// safeRef refuses what would leave the folder of branches.
func safeRef(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if part == "" || part == "." || part == ".." || strings.HasSuffix(part, ".lock") {
			return false
		}
	}
	return !strings.ContainsAny(name, "\\\x00")
}

// moveRef moves a branch or name from old to id, the zero id standing for one
// that is not there yet. It does so as git does: a lock file made exclusively,
// the comparison, the sync, the rename. between runs while the lock is held and
// the outcome is still open; what it returns takes back what it did.
func (r *Repo) moveRef(ref string, old, id plumbing.Hash, between func() (undo func(), err error)) error {
	return r.moveRefWith(nil, ref, old, id, between)
}

// moveRefWith is moveRef; with is made durable together with the lock.
func (r *Repo) moveRefWith(with []func() error, ref string, old, id plumbing.Hash, between func() (undo func(), err error)) error {
	path := r.path(ref)
	if old.IsZero() {
		if err := r.checkRefRoom(ref); err != nil {
			return err
		}
	}
	if r.standsForAnother(ref) {
		return fmt.Errorf("%s stands for another one in git (a symbolic reference), so it is not moved; nothing was changed; work on that one", refName(ref))
	}
	if err := mkdirAll(r.ops, filepath.Dir(path)); err != nil {
		return err
	}
	return r.swapWith(with, path, []byte(id.String()+"\n"), func() (func(), error) {
		now, _, err := r.readRef(ref)
		if err != nil {
			return nil, err
		}
		if now != old {
			return nil, fmt.Errorf("%s: %w; run the command again", refName(ref), ErrMoved)
		}
		if between == nil {
			return nil, nil
		}
		return between()
	})
}

// standsForAnother tells whether a reference is a symbolic one.
func (r *Repo) standsForAnother(ref string) bool {
	content, err := os.ReadFile(r.path(ref))
	return err == nil && strings.HasPrefix(string(content), symbolic)
}

// checkRefRoom refuses a new branch or name that lies over another one or under
// it, as a and a/b do: git keeps no two such.
func (r *Repo) checkRefRoom(ref string) error {
	for _, prefix := range []string{headsPrefix, tagsPrefix, remotePrefix} {
		if !strings.HasPrefix(ref, prefix) {
			continue
		}
		refs, err := r.listRefs(prefix)
		if err != nil {
			return err
		}
		for name := range refs {
			other := prefix + name
			if strings.HasPrefix(other, ref+"/") || strings.HasPrefix(ref, other+"/") {
				return fmt.Errorf("%s cannot be beside %s: git keeps one name as the folder of the other; choose another name", refName(ref), refName(other))
			}
		}
	}
	return nil
}

// swap replaces a file that git programs lock by NAME.lock. check runs with the
// lock held and the new content durable in it; its error leaves everything as
// it was, and so does a rename that fails.
func (r *Repo) swap(path string, content []byte, check func() (undo func(), err error)) error {
	return r.swapWith(nil, path, content, check)
}

// swapWith is swap; with is made durable together with the lock.
func (r *Repo) swapWith(with []func() error, path string, content []byte, check func() (undo func(), err error)) error {
	lock := path + ".lock"
	f, err := r.lockRef(lock)
	if err != nil {
		return err
	}
	sync := func() error { return r.ops.Together(append([]func() error{f.Sync}, with...)) }
	if err := finishBy(f, content, sync); err != nil {
		r.removeLock(lock)
		return err
	}
	undo, err := check()
	if err != nil {
		r.removeLock(lock)
		return err
	}
	if err := r.ops.Rename(lock, path); err != nil {
		if undo != nil {
			undo()
		}
		r.removeLock(lock)
		return err
	}
	if path == r.path(indexFile) {
		return nil // an older index after a power cut is only behind, and is written again
	}
	if err := r.ops.SyncFolder(filepath.Dir(path)); err != nil {
		r.warn(fmt.Sprintf("%s is written, but the disk did not confirm it (%v); check the disk", path, err))
	}
	return nil
}

// removeLock takes away a lock file of ours. One that cannot be removed stays in
// the journal, for the next command to try again.
func (r *Repo) removeLock(lock string) {
	if r.ops.Remove(lock) != nil && r.held != nil {
		r.held.leftover = true
	}
}

// lockRef makes a lock file, waiting a moment for another program's.
func (r *Repo) lockRef(lock string) (outFile, error) {
	deadline := time.Now().Add(r.refPatience)
	for {
		if r.held != nil { // so that ours is known by its age; the lock's content says it as well
			before := time.Now().Add(-time.Second) // the file system's clock may be behind, and count seconds
			_ = os.Chtimes(r.own(journalFile), before, before)
		}
		f, err := r.ops.Create(lock, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
		info, statErr := os.Lstat(lock)
		if errors.Is(statErr, fs.ErrNotExist) {
			continue // gone in between
		}
		if statErr != nil {
			return nil, statErr
		}
		stale := time.Since(info.ModTime()) > staleAge
		if stale || time.Now().After(deadline) {
			return nil, &LockFileError{Path: lock, Since: info.ModTime(), Stale: stale}
		}
		time.Sleep(pollEvery)
	}
}
