package repo

import (
	"bytes"
	"crypto/sha1"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// indexToken is what our lock of git's index holds as long as it is ours: git
// programs write their new index there, which begins otherwise. A command that
// finds it under our own lock knows that its writer has died.
const indexToken = "held by toile\n"

// indexLock is git's lock on its index, taken before a branch moves and held
// until the index is that of the branch's new version. A git commit that fell
// between the two would make a version of the old files.
type indexLock struct {
	r    *Repo
	path string
	held bool
	// ready is the new index where it was written before the branch moved.
	ready  staging
	staged *stagedFile
	err    error // why it could not be had: the index is then behind, and said
}

// announcedIndex is the line of the journal for the index's lock.
func announcedIndex() announced {
	return announced{path: indexFile + ".lock", content: []byte(indexToken)}
}

// lockIndex takes the lock, waiting a moment for another program's. That it
// cannot be had stops nothing: a git program that holds it has read the branch
// before us and finds it moved.
func (r *Repo) lockIndex() *indexLock {
	l := &indexLock{r: r, path: r.path(indexFile + ".lock")}
	var f outFile
	if f, l.err = r.lockRef(l.path); l.err != nil {
		return l
	}
	l.held = true
	_, err := f.Write([]byte(indexToken))
	if l.err = errors.Join(err, f.Close()); l.err != nil {
		l.release()
	}
	return l
}

// removeDeadIndexLock takes away a lock of the index that a command of ours left
// when it died, known by what it holds: after a power cut that may be less.
func (r *Repo) removeDeadIndexLock() error {
	path := r.path(indexFile + ".lock")
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > int64(len(indexToken)) {
		return nil // there is none, or it is another program's
	}
	content, err := os.ReadFile(path)
	torn := outlived(info, r.started) && strings.HasPrefix(indexToken, string(bytes.TrimRight(content, "\x00")))
	if err != nil || string(content) != indexToken && !torn {
		return nil
	}
	if err := r.ops.Remove(path); err != nil {
		return fmt.Errorf("a command that was broken off left %s behind, and it cannot be removed: %w", path, err)
	}
	return nil
}

// release gives the lock back, where it is still held.
func (l *indexLock) release() {
	if !l.held {
		return
	}
	l.held = false
	if l.r.ops.Remove(l.path) != nil { // once more, for it keeps git out
		l.r.removeLock(l.path)
	}
}

// write brings git's index to the version that the branch has now, so that a git
// program sees a clean folder, and releases the lock. Nothing of ours depends on
// it: a failure is a warning that begins with what is done all the same, and the
// next commit mends it. For files beside the pattern's own the next command does
// (noteBehind).
func (l *indexLock) write(done string, before, now *contents, stats map[string]fileStat) {
	defer l.release()
	err := l.err
	if err == nil {
		err = l.put(l.r.indexedBefore(before), now, stats)
	}
	var locked *LockFileError
	switch {
	case err == nil:
		_ = l.r.forgetBehind() // left, it makes the next command write the same again
	case errors.As(err, &locked):
		l.r.warn(fmt.Sprintf("%s; only git's own list of files could not be brought up to date, because another program has locked it with %s (made %s); "+
			"if no git program is running in this folder, delete that file; the next commit brings the list up to date, even one that finds nothing to keep",
			done, locked.Path, locked.Since.Format("2006-01-02 15:04:05")))
	case err != nil:
		l.r.warn(fmt.Sprintf("%s; only git's own list of files could not be brought up to date (%v); the next commit tries again, even one that finds nothing to keep", done, err))
	}
}

// indexedBefore is the version that the index is at, where a command left it
// behind, else the one given.
func (r *Repo) indexedBefore(before *contents) *contents {
	behind, err := r.indexBehind()
	if err != nil || behind.IsZero() {
		return before
	}
	c, err := r.contentsOfCommit(behind)
	if err != nil {
		return before
	}
	return c
}

// prepare writes the index beside before the branch moves, so that it is synced
// together with the branch's lock (syncs), where no working file is to change any
// more, for git keeps their marks there. The function returned takes it away again
// where it was not put in place. A failure shows when the index is to be written.
func (l *indexLock) prepare(before, now *contents, work *workingPlan) (discard func()) {
	l.ready.ops = l.r.ops
	if l.err != nil || len(work.changes) > 0 {
		return l.ready.discard
	}
	content, err := l.r.encodeIndex(l.r.indexedBefore(before), now, work.stats)
	if err == nil {
		l.staged, err = l.ready.add(l.r.own(tempFolder), "", content, 0o666)
	}
	l.err = err
	return l.ready.discard
}

// syncs makes an index durable that was prepared. It stops nothing: without it the
// index stays behind, and that is said.
func (l *indexLock) syncs() []func() error {
	if l.err != nil || l.staged == nil {
		return nil
	}
	return []func() error{func() error {
		l.err = l.ready.sync()
		return nil
	}}
}

// put writes the index beside and renames it into place, under the lock. Its
// folder is not synced: an older index after a power cut is only behind, and is
// written again.
func (l *indexLock) put(before, now *contents, stats map[string]fileStat) error {
	r := l.r
	if l.staged != nil {
		return l.ready.place(l.staged, r.path(indexFile))
	}
	content, err := r.encodeIndex(before, now, stats)
	if err != nil {
		return err
	}
	temp, _, err := stage(r.ops, r.own(tempFolder), "", content, 0o666)
	if err != nil {
		return err
	}
	if err := r.ops.Rename(temp, r.path(indexFile)); err != nil {
		_ = r.ops.Remove(temp)
		return err
	}
	return nil
}

// refreshIndex brings git's index to the version that the branch and the folder
// have, where an earlier command could not.
func (r *Repo) refreshIndex(tip plumbing.Hash, now *contents) {
	if !r.staleIndex(now) {
		return
	}
	if err := r.announce(tip, tip, announcedIndex()); err != nil {
		r.warn(fmt.Sprintf("git's own list of files could not be brought up to date (%v)", err))
		return
	}
	defer r.settled()
	r.lockIndex().write("nothing is lost", now, now, r.workingStats(now))
}

// unreadableIndex says why git's index cannot be kept up: it is whole and holds
// what is not read here, so that writing it anew would lose what was staged. One
// that is damaged holds nothing to keep.
func (r *Repo) unreadableIndex() error {
	content, err := os.ReadFile(r.path(indexFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	body := len(content) - sha1.Size
	if body < 0 || !bytes.HasPrefix(content, []byte("DIRC")) {
		return nil
	}
	sum := sha1.Sum(content[:body])
	if !bytes.Equal(content[body:], sum[:]) {
		return nil
	}
	return errors.New("git keeps it in a form that is not read here; `git update-index --no-split-index --index-version 2` brings it into one that is")
}
