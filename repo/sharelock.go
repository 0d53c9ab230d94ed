package repo

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// Two who write the one file of a place at once are kept apart by a lock file
// beside it, which any system and any shared disk knows. It names the machine
// that made it, and whoever holds it has the kernel's lock on it: so one that was
// left behind by a kill on this very machine is known and taken over.

// lockMark begins what stands in a lock file.
const lockMark = "toile "

// lockFileAt takes the lock of a place's file, and clears away what somebody left
// there who died while holding it.
func (r *Repo) lockFileAt(file string) (unlock func(), err error) {
	path := file + ".lock"
	deadline := time.Now().Add(r.refPatience)
	for {
		f, err := takeFileLock(path)
		if err != nil {
			return nil, cannotWrite(filepath.Dir(file), err)
		}
		if f != nil {
			r.clearTempBundles(file)
			return func() { letGoOf(f, path) }, nil
		}
		if time.Now().After(deadline) {
			return nil, heldElsewhere(file, path)
		}
		time.Sleep(pollEvery)
	}
}

// takeFileLock makes the lock file, or takes over one of this machine whose maker
// has died; nil if somebody has it.
func takeFileLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	made := err == nil
	if errors.Is(err, fs.ErrExist) {
		f, err = os.OpenFile(path, os.O_RDWR, 0)
		if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) {
			return nil, nil // gone in between; or another account's, who can say more
		}
	}
	if err != nil {
		return nil, err
	}
	locked, lockErr := tryLock(f)
	switch {
	case made && (locked || lockErr != nil): // some disks lock nothing
	case !made && locked && lockErr == nil && lockedBy(f) == thisMachine() && sameAs(f, path):
	default:
		_ = f.Close()
		if made { // looked at by somebody in this very moment
			_ = os.Remove(path)
		}
		return nil, nil
	}
	if made && locked {
		if _, err := f.WriteString(lockMark + thisMachine() + "\n"); err != nil {
			letGoOf(f, path)
			return nil, err
		}
	}
	return f, nil
}

// letGoOf removes a lock file that is held. Some systems remove no open file.
func letGoOf(f *os.File, path string) {
	if runtime.GOOS == "windows" {
		_ = f.Close()
	}
	_ = os.Remove(path)
	_ = f.Close()
}

// thisMachine is what this machine is called, and where the system says it a sign
// that tells it from others of the same name.
func thisMachine() string {
	name, err := os.Hostname()
	if err != nil || strings.TrimSpace(name) == "" {
		name = "?"
	}
	id, _ := os.ReadFile("/etc/machine-id") // systems without it are told apart by name alone
	sum := sha256.Sum256(append([]byte(lockMark), id...))
	return fmt.Sprintf("%s %x", strings.ReplaceAll(Printable(strings.TrimSpace(name)), " ", "-"), sum[:4])
}

// lockedBy is the machine that a lock file names, empty if it names none.
func lockedBy(f io.ReaderAt) string {
	b := make([]byte, 256)
	n, err := f.ReadAt(b, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return ""
	}
	name, ok := strings.CutPrefix(string(b[:n]), lockMark)
	if !ok || !strings.HasSuffix(name, "\n") {
		return ""
	}
	return Printable(strings.TrimSpace(name))
}

// sameAs tells whether an open file is still the one of that name.
func sameAs(f *os.File, path string) bool {
	open, errOpen := f.Stat()
	named, errNamed := os.Stat(path)
	return errOpen == nil && errNamed == nil && os.SameFile(open, named)
}

// heldElsewhere says who has the lock, and when its file may be removed by hand.
func heldElsewhere(file, path string) error {
	who, since := "somebody else", ""
	if f, err := os.Open(path); err == nil {
		if name := lockedBy(f); name != "" {
			host, _, _ := strings.Cut(name, " ")
			who = "the machine " + host
		}
		if info, err := f.Stat(); err == nil {
			since = " since " + info.ModTime().Format("2006-01-02 15:04:05")
		}
		_ = f.Close()
	}
	return fmt.Errorf("%s is writing %s%s, or was broken off in it; nothing was sent; wait a moment and send again. If you know that nobody is sending there now, remove %s first",
		who, Printable(file), since, Printable(path))
}

// clearTempBundles removes unfinished files, which only the holder of the lock
// makes.
func (r *Repo) clearTempBundles(file string) {
	found, err := filepath.Glob(globEscape(tempBundle(file)) + "*")
	if err != nil {
		return
	}
	for _, path := range found {
		if len(path) == len(tempBundle(file))+len(randomName()) {
			_ = r.ops.Remove(path)
		}
	}
}
