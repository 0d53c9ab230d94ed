package repo

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// heldLock is what a Repo knows while it holds the pattern's lock.
type heldLock struct {
	file  *os.File
	depth int
	// position is where the branch stood when the lock was taken. Programs
	// that do not know our lock may move it; a commit then refuses instead of
	// undoing their work with files read before.
	position position
	// seen are the working files as Working last read them under this lock, nil
	// before that. A file that an editor saves meanwhile is not overwritten.
	seen map[string]plumbing.Hash
	// glances are the working files as they were read or written under this lock.
	glances map[string]glance
	// leftover: a lock file of ours could not be removed again.
	leftover bool
	// kept are the objects stored under this lock: they need no second writing.
	kept map[plumbing.Hash]bool
}

// position is where the folder stands: a branch, and its last version.
type position struct {
	branch string
	tip    plumbing.Hash
}

// Lock keeps every other toile command from changing the pattern until unlock
// is called; unlock may be called more than once. It waits some seconds for
// another command, then fails with an error that wraps ErrBusy. A command that
// changes anything takes it before it reads what it builds on.
//
// The lock belongs to the Repo: taken again through the same Repo it only
// counts, so that the methods that write, which all take it themselves, work
// with and without a caller that holds it. It is the kernel's lock on a file
// that stays, so it ends with the process however that dies.
func (r *Repo) Lock() (unlock func(), err error) {
	if r.held == nil {
		if err := r.acquire(); err != nil {
			return nil, err
		}
	}
	r.held.depth++
	done := false
	return func() {
		if done || r.held == nil {
			return
		}
		done = true
		if r.held.depth == 1 {
			r.endWithLock()
			r.keepMarks()
		}
		if r.held.depth--; r.held.depth == 0 {
			_ = r.held.file.Close() // closing lets go; nothing was written to it
			r.held = nil
		}
	}, nil
}

func (r *Repo) acquire() error {
	if err := mkdirAll(r.ops, r.own(tempFolder)); err != nil {
		return cannotWrite(r.root, err)
	}
	f, err := os.OpenFile(r.own(lockFile), os.O_CREATE|os.O_RDWR, 0o666)
	if err != nil {
		return cannotWrite(r.root, err)
	}
	if err := r.waitFor(f); err != nil {
		return errors.Join(err, f.Close())
	}
	if err := r.recover(); err != nil {
		return errors.Join(err, f.Close())
	}
	r.held = &heldLock{file: f, position: r.position(), kept: map[plumbing.Hash]bool{}, glances: map[string]glance{}}
	return nil
}

func (r *Repo) waitFor(f *os.File) error {
	deadline := time.Now().Add(r.lockPatience)
	for {
		ok, err := tryLock(f)
		if err != nil {
			return fmt.Errorf("%s cannot be locked: %w", f.Name(), err)
		}
		if ok {
			return nil
		}
		if time.Now().After(deadline) {
			return fmt.Errorf("%w (waited %v); nothing was changed; wait until it is done and run this one again", ErrBusy, r.lockPatience)
		}
		time.Sleep(pollEvery)
	}
}

// position is best effort: what cannot be read here fails where it is needed.
func (r *Repo) position() position {
	branch, _, err := r.head()
	if err != nil || branch == "" {
		return position{}
	}
	tip, _, err := r.readRef(headsPrefix + branch)
	if err != nil {
		return position{}
	}
	return position{branch: branch, tip: tip}
}
