package repo

import (
	"os"
)

// BrokenOff reports whether a command died while the folder went from one version
// to another, so that it may hold files of both until the next command that changes
// something completes that or takes it back. While another command runs, it is not.
func (r *Repo) BrokenOff() bool {
	info, err := os.Stat(r.own(journalFile))
	if err != nil || info.Size() == 0 {
		return false
	}
	content, err := os.ReadFile(r.own(journalFile))
	if err != nil {
		return false
	}
	if j := parseJournal(string(content)); len(j.locks) == 0 || j.from == j.to {
		return false
	}
	f, err := os.Open(r.own(lockFile))
	if err != nil {
		return false
	}
	free, err := tryLock(f)
	return f.Close() == nil && free && err == nil
}
