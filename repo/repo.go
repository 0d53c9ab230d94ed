package repo

import (
	"os"
	"path/filepath"
	"time"

	"github.com/go-git/go-git/v5/config"
	"github.com/go-git/go-git/v5/plumbing"
)

const (
	// lockPatience is how long Lock waits for another command. A save takes
	// some tens of milliseconds; five seconds of waiting mean that it hangs or
	// that somebody is typing a password.
	lockPatience = 5 * time.Second
	// refPatience is how long a git program's lock file is waited for. It holds
	// one for milliseconds.
	refPatience = time.Second
	// staleAge is how old a lock file is before its program is taken for dead.
	staleAge = 10 * time.Minute
	// pollEvery is the pause between two looks at a lock.
	pollEvery = 20 * time.Millisecond
)

// Repo is an open pattern. It is for one goroutine at a time; several Repos of
// the same folder, in one process or in many, are kept apart by Lock.
type Repo struct {
	root string // the pattern folder, absolute
	git  string // root/.git

	ops    fileOps
	config *config.Config
	store  objectStore

	commits map[plumbing.Hash]*commitRecord
	listed  map[plumbing.Hash]*contents // some trees, never changed
	table   versionTable

	marks *knownMarks // of working files, nil until they are read

	started time.Time // when the system was, zero where not known
	boot    string    // of the system's running since it was started, empty where not known
	reads   int       // objects read, for tests of what an operation costs

	held     *heldLock
	step     *pendingStep // the command that runs, for the command log (Begin)
	warnings []string

	lockPatience, refPatience time.Duration
}

// Root is the pattern folder.
func (r *Repo) Root() string { return r.root }

// Close lets go of the files that reading keeps open. A Repo can be read again
// after it.
func (r *Repo) Close() error { return r.store.close() }

// Warnings returns what went wrong since the last call without making a command
// fail, in sentences for the user, and forgets it.
func (r *Repo) Warnings() []string {
	w := r.warnings
	r.warnings = nil
	return w
}

func (r *Repo) warn(sentence string) { r.warnings = append(r.warnings, sentence) }

// reopen drops everything known about packs, which a git program may have
// replaced by others.
func (r *Repo) reopen() {
	_ = r.store.close() // only reading descriptors: nothing can be lost
	r.store = objectStore{folder: r.path("objects")}
}

// path is a file inside .git, given with slashes.
func (r *Repo) path(name string) string {
	return filepath.Join(r.git, filepath.FromSlash(name))
}

// own is a file of ours inside .git/toile.
func (r *Repo) own(name string) string { return filepath.Join(r.git, ownFolder, name) }

// The folder of what stays on this machine, and what this package has in it.
const (
	ownFolder   = "toile"
	tempFolder  = "tmp"
	lockFile    = "lock"
	journalFile = "journal"
	tableFile   = "versions"
)

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
