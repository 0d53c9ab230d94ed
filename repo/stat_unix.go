//go:build unix

package repo

import (
	"time"

	"github.com/go-git/go-git/v5/plumbing/format/index"
	"golang.org/x/sys/unix"
)

// markOf is a file's mark now; not ok where it is no regular file.
func markOf(path string) (fileMark, bool) {
	var st unix.Stat_t
	if unix.Lstat(path, &st) != nil || st.Mode&unix.S_IFMT != unix.S_IFREG {
		return fileMark{}, false
	}
	return fileMark{device: uint64(st.Dev), inode: st.Ino, size: st.Size, mode: uint32(st.Mode),
		modified: st.Mtim.Nano(), changed: st.Ctim.Nano(),
		owner: st.Uid, group: st.Gid}, true
}

// fillStat puts into an index entry what git compares to see without reading
// that a file is unchanged: it does so only if the file is still the one that
// stat describes, else the entry stays empty and git reads the file. A settled mark
// is written as it is: should the file have changed since, it bears another.
func fillStat(e *index.Entry, path string, stat fileStat) {
	if stat.mark != (fileMark{}) {
		m := stat.mark
		e.CreatedAt, e.ModifiedAt = time.Unix(0, m.changed), time.Unix(0, m.modified)
		e.Dev, e.Inode, e.UID, e.GID, e.Size = uint32(m.device), uint32(m.inode), m.owner, m.group, uint32(m.size)
		return
	}
	var st unix.Stat_t
	if stat.info == nil || unix.Lstat(path, &st) != nil || st.Size != stat.info.Size() {
		return
	}
	modified := time.Unix(st.Mtim.Unix())
	if !modified.Equal(stat.info.ModTime()) {
		return
	}
	e.CreatedAt = time.Unix(st.Ctim.Unix())
	e.ModifiedAt = modified
	e.Dev, e.Inode = uint32(st.Dev), uint32(st.Ino)
	e.UID, e.GID = st.Uid, st.Gid
	e.Size = uint32(st.Size)
}
