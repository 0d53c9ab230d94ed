package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"syscall"
	"time"
)

var (
	// ErrNoPattern: neither the folder nor one above it holds a pattern.
	ErrNoPattern = errors.New("there is no pattern here")
	// ErrNothingChanged: the files are those of the last version already.
	ErrNothingChanged = errors.New("nothing has changed since the last version")
	// ErrBusy: another command holds the lock of this pattern.
	ErrBusy = errors.New("another command is still changing this pattern")
	// ErrMoved: another program changed the pattern while this command ran.
	ErrMoved = errors.New("the pattern was changed by another program meanwhile")
	// ErrUnsupported: the repository uses something that cannot be read safely.
	ErrUnsupported = errors.New("this pattern is stored in a way that is not supported")
	// ErrNoBranch: the folder stands on a bare version instead of a branch.
	ErrNoBranch = errors.New("the folder is not on a branch")
)

// NoVersionError says that what was typed means no version, and what there is.
type NoVersionError struct {
	Text string // as typed
	Says string // the whole sentence, with what exists instead
}

func (e *NoVersionError) Error() string { return e.Says }

// Candidate is one of several versions that the same text could mean.
type Candidate struct {
	Version Version
	Start   string // the shortest start of its id that means this version alone
}

// AmbiguousError says that what was typed means more than one version.
type AmbiguousError struct {
	Text       string
	Candidates []Candidate
}

func (e *AmbiguousError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s means %d versions; type one of these instead:", Printable(e.Text), len(e.Candidates))
	for _, c := range e.Candidates {
		v := c.Version
		fmt.Fprintf(&b, "\n  %s  version %d, %s, %s: %s", c.Start, v.Number, v.Who,
			v.Time.Format("2006-01-02 15:04"), firstLine(v.Text))
	}
	return b.String()
}

// LockFileError says that another program's lock file stands in the way.
type LockFileError struct {
	Path  string    // the lock file
	Since time.Time // when it was made
	Stale bool      // so old that its program has surely died
	Done  string    // what the command had done before, if it had
}

func (e *LockFileError) Error() string {
	when, done := e.Since.Format("2006-01-02 15:04:05"), e.Done
	if done == "" {
		done = "nothing was changed"
	}
	if e.Stale {
		return fmt.Sprintf("another program left the lock file %s behind (made %s); %s; if no git program is running in this folder, remove that file and run the command again", e.Path, when, done)
	}
	return fmt.Sprintf("another program holds the lock file %s (made %s); %s; wait until it is done and run the command again", e.Path, when, done)
}

// cannotWrite says of an error for want of permission or of room which folder is
// meant and what to do; other errors stay as they are.
func cannotWrite(folder string, err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		return fmt.Errorf("the disk that holds %s is full (%w); make room there and run the command again", Printable(folder), bare(err))
	}
	if !errors.Is(err, fs.ErrPermission) && !errors.Is(err, syscall.EROFS) {
		return err
	}
	return fmt.Errorf("the folder %s cannot be written (%w); nothing was changed; allow writing there, or work in a copy of it", folder, bare(err))
}

// bare is an error of the file system without the name of the file.
func bare(err error) error {
	if e := (*fs.PathError)(nil); errors.As(err, &e) {
		return e.Err
	}
	if e := (*os.LinkError)(nil); errors.As(err, &e) {
		return e.Err
	}
	return err
}

// DamagedError says that something stored is missing or is not what it was.
type DamagedError struct {
	What   string // in words, for the user
	Object string // id of the stored object, if one is concerned
	Err    error
}

func (e *DamagedError) Error() string {
	return fmt.Sprintf("%s: %v; nothing was changed; bring the pattern back from a copy", e.What, e.Err)
}

func (e *DamagedError) Unwrap() error { return e.Err }

// UnsavedError names working files that differ from the last version where a
// command would have overwritten them.
type UnsavedError struct{ Names []string }

func (e *UnsavedError) Error() string {
	return fmt.Sprintf("%s not kept in a version yet; commit first", listed(e.Names, "is", "are"))
}

// listed joins names for a sentence, the verb in the number that fits.
func listed(names []string, one, many string) string {
	const show = 4
	switch n := len(names); {
	case n == 0:
		return "nothing " + one
	case n == 1:
		return names[0] + " " + one
	case n <= show:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1] + " " + many
	default:
		return fmt.Sprintf("%s and %d more %s", strings.Join(names[:show], ", "), n-show, many)
	}
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}

// SentError says that a version has been sent to others since it was made, so
// that it can be reverted and not undone.
type SentError struct{ Version Version }

func (e *SentError) Error() string {
	v := e.Version
	if len(v.Parents) > 1 {
		return fmt.Sprintf("version %d has been sent to others since, so it stays; it merged two branches: go back to an earlier state with a version of its own, `toile bring-back V`, or take back single versions of the branch with `toile revert V`", v.Number)
	}
	return fmt.Sprintf("version %d has been sent to others since, so it stays; take back what it did with a version of its own: `toile revert %d`", v.Number, v.Number)
}
