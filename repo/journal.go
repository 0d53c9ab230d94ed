package repo

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// The journal names the lock files that a command is about to make, before it
// makes them. It is written and read under our own lock only: whoever holds
// that lock and finds a journal knows that its writer has died, and removes
// what it left. Without it one kill would block every later command, and git,
// until somebody removed a file by hand.
//
// A lock file of the same name may still be another program's. Ours is known by
// its content where that was known beforehand, else by its age.

// ownLockWindow is how long after the journal our own lock file was made at the
// latest: the journal gets a new time just before (lockRef).
const ownLockWindow = 3 * time.Second

const (
	journalLine   = "lock "
	journalSwitch = "files "
	journalEnd    = "end"
	unknownYet    = "-"
)

// announced is a lock file that is about to be made.
type announced struct {
	path    string // inside .git, with slashes
	content []byte // nil if not known yet
}

// movesRef tells whether the lock is that of a branch, a name or of which branch
// the folder is on.
func (l announced) movesRef() bool {
	return strings.HasPrefix(l.path, headsPrefix) || strings.HasPrefix(l.path, tagsPrefix) || l.path == headFile+".lock"
}

// announce writes the journal: the two versions between which the working files
// are about to change, the same if they are not, and the lock files. Where a
// branch or name is about to move, the command is in the log before that.
func (r *Repo) announce(from, to plumbing.Hash, locks ...announced) error {
	if r.held != nil && r.step != nil && r.step.number == 0 && slices.ContainsFunc(locks, announced.movesRef) {
		if err := r.beforeChange(true); err != nil {
			return err
		}
	}
	return r.journalOf(from, to, locks...)()
}

// journalOf is the writing of a journal, for announce or with what the command
// stores: lock files and changes of the working files come after both.
func (r *Repo) journalOf(from, to plumbing.Hash, locks ...announced) func() error {
	var b strings.Builder
	b.WriteString(journalSwitch + from.String() + " " + to.String() + "\n")
	for _, l := range locks {
		sum := unknownYet
		if l.content != nil {
			sum = plumbing.ComputeHash(plumbing.BlobObject, l.content).String()
		}
		fmt.Fprintf(&b, "%s%s %d %s\n", journalLine, sum, len(l.content), l.path)
	}
	b.WriteString(journalEnd + "\n")
	return func() error {
		if err := r.ops.Overwrite(r.own(journalFile), []byte(b.String())); err != nil {
			return fmt.Errorf("the command could not be prepared: %w", err)
		}
		return nil
	}
}

// settled empties the journal once no lock file of ours is left. If emptying
// fails, the next command finds a journal whose locks are gone: no harm.
func (r *Repo) settled() {
	if r.held == nil || !r.held.leftover {
		_ = r.ops.Overwrite(r.own(journalFile), nil)
	}
}

// recover clears up after a command that died. It runs with our lock held.
func (r *Repo) recover() error {
	if err := r.clearTemp(); err != nil {
		return err
	}
	if err := r.removeDeadIndexLock(); err != nil {
		return err
	}
	info, err := os.Stat(r.own(journalFile))
	if err != nil || info.Size() == 0 { // nothing was begun, or all of it ended
		return r.mendIndex()
	}
	content, err := os.ReadFile(r.own(journalFile))
	if err != nil {
		return err
	}
	j := parseJournal(string(content))
	for _, l := range j.locks {
		if err := r.removeOwnLock(l, info.ModTime()); err != nil {
			return err
		}
	}
	if len(j.locks) > 0 {
		if err := r.finishSwitch(j); err != nil {
			return err
		}
	}
	if err := r.mendIndex(); err != nil {
		return err
	}
	return r.ops.Overwrite(r.own(journalFile), nil)
}

// journal is what a journal file says.
type journal struct {
	locks    []journaled
	from, to plumbing.Hash // the versions between which the files were changing
}

type journaled struct {
	sum  string
	size int64
	path string
}

// keeps tells whether the command was to make a new version, and not to go to
// another branch.
func (j journal) keeps() bool {
	return !slices.ContainsFunc(j.locks, func(l journaled) bool { return l.path == headFile+".lock" })
}

// parseJournal reads a journal; a torn one was never acted upon and is empty.
func parseJournal(content string) journal {
	var j journal
	body, ok := strings.CutSuffix(content, journalEnd+"\n")
	if !ok {
		return j
	}
	for line := range strings.Lines(body) {
		line = strings.TrimSuffix(line, "\n")
		if rest, ok := strings.CutPrefix(line, journalSwitch); ok {
			from, to, _ := strings.Cut(rest, " ")
			j.from, j.to = plumbing.NewHash(from), plumbing.NewHash(to)
			continue
		}
		rest, ok := strings.CutPrefix(line, journalLine)
		parts := strings.SplitN(rest, " ", 3)
		if !ok || len(parts) != 3 || !lockable(parts[2]) {
			continue
		}
		if size, err := strconv.ParseInt(parts[1], 10, 64); err == nil {
			j.locks = append(j.locks, journaled{sum: parts[0], size: size, path: parts[2]})
		}
	}
	return j
}

// lockable limits what a journal can make us remove.
func lockable(path string) bool {
	name, ok := strings.CutSuffix(path, ".lock")
	if !ok {
		return false
	}
	for _, prefix := range []string{headsPrefix, tagsPrefix, remotePrefix, sentPrefix} {
		if rest, ok := strings.CutPrefix(name, prefix); ok {
			return safeRef(rest)
		}
	}
	return name == headFile || name == indexFile || name == packedFile || name == configFile
}

func (r *Repo) removeOwnLock(l journaled, written time.Time) error {
	lock := r.path(l.path)
	info, err := os.Lstat(lock)
	if err != nil || !info.Mode().IsRegular() {
		return nil // never made, or nothing of ours
	}
	if !l.made(lock, info, written, r.started) {
		return nil
	}
	if err := r.ops.Remove(lock); err != nil {
		return fmt.Errorf("a command that was broken off left %s behind, and it cannot be removed: %w", lock, err)
	}
	return r.ops.SyncFolder(filepath.Dir(lock))
}

// made tells whether a lock file is the one that was announced: by its content
// if it is written in full, else by its age. A power cut may leave zeros in place of
// what was written, and the journal with an older time.
func (l journaled) made(lock string, info fs.FileInfo, written, started time.Time) bool {
	if l.sum != unknownYet && info.Size() >= l.size {
		content, err := os.ReadFile(lock)
		if err != nil || len(bytes.Trim(content, "\x00")) > 0 {
			return err == nil && plumbing.ComputeHash(plumbing.BlobObject, content).String() == l.sum
		}
	}
	age := info.ModTime().Sub(written)
	return age >= 0 && age <= ownLockWindow || outlived(info, started) && holdsNothing(lock)
}

// holdsNothing tells of a file that is empty, or zeros as a power cut leaves it.
func holdsNothing(path string) bool {
	content, err := os.ReadFile(path)
	return err == nil && len(bytes.Trim(content, "\x00")) == 0
}

// outlived tells of a lock file that was made before the system was started, so that
// no program can hold it any more; started is zero where that is not known.
func outlived(info fs.FileInfo, started time.Time) bool { return info.ModTime().Before(started) }

// clearTemp removes temporary files that a command left when it died.
func (r *Repo) clearTemp() error {
	folder := r.own(tempFolder)
	entries, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := r.ops.Remove(filepath.Join(folder, e.Name())); err != nil {
			return fmt.Errorf("a command that was broken off left %s behind, and it cannot be removed: %w", e.Name(), err)
		}
	}
	return nil
}
