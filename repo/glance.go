package repo

import (
	"io/fs"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// A command that changes the pattern looks at the working files several times,
// to see what an editor saved meanwhile. A file whose mark is that of the first
// look is not read again.

// fileMark is what the file system says of a file and changes with its content:
// where it lies, its size, when its content and when anything of it changed last.
type fileMark struct {
	device, inode     uint64
	size              int64
	mode              uint32
	modified, changed int64 // ns since 1970
	owner, group      uint32
}

// glance is a working file as this command read or wrote it under its lock.
type glance struct {
	mark    fileMark
	settled bool // a later change cannot have left the same mark
	id      plumbing.Hash
	// content and info are nil where the file was not read, for its mark was known.
	content []byte
	info    fs.FileInfo
}

// stampStep is how far apart two changes of a file are at most that bear the same
// stamp: file systems take it from a clock that goes on 100 times a second or
// more often, and twice that is taken. Where stamps are whole milliseconds or
// seconds the file system may keep no finer ones, and every other second only.
func stampStep(mark fileMark) time.Duration {
	if mark.changed%int64(time.Millisecond) == 0 {
		return 3 * time.Second
	}
	return 20 * time.Millisecond
}

// glanced returns what is known of a working file that is still as it was. lately
// says that a change counts as none which came within the same step of the file
// system's clock, some thousandths of a second, as the look before.
func (r *Repo) glanced(name, file string, lately bool) (glance, bool) {
	if r.held == nil {
		return glance{}, false
	}
	g, ok := r.held.glances[name]
	if !ok || !g.settled && !lately {
		return g, false
	}
	mark, ok := markOf(file)
	return g, ok && mark == g.mark
}

// keepGlance notes what was read of a file that had that mark before.
func (r *Repo) keepGlance(name string, mark fileMark, looked time.Time, content []byte, info fs.FileInfo) {
	if r.held == nil {
		return
	}
	settled := looked.UnixNano()-max(mark.changed, mark.modified) > int64(stampStep(mark))
	r.held.glances[name] = glance{mark: mark, settled: settled, id: plumbing.ComputeHash(plumbing.BlobObject, content), content: content, info: info}
}

// wrote notes a file that was put in place, if it is still the one staged.
func (p *workingPlan) wrote(c workingChange) {
	held := p.r.held
	if held == nil {
		return
	}
	delete(held.glances, c.name)
	if c.staged == nil || c.content == nil {
		return
	}
	info := c.staged.info
	mark, ok := markOf(p.file(c))
	if ok && mark.size == info.Size() && mark.modified == info.ModTime().UnixNano() {
		held.glances[c.name] = glance{mark: mark, id: c.id, content: c.content, info: info}
	}
}
