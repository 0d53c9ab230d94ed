//go:build unix

package repo

import (
	"io/fs"
	"time"

	"github.com/go-git/go-git/v5/plumbing/format/index"
	"golang.org/x/sys/unix"
)

// fillStat puts into an index entry what git compares to see without reading
// that a file is unchanged: it does so only if the file is still the one that
// info describes, else the entry stays empty and git reads the file.
func fillStat(e *index.Entry, path string, info fs.FileInfo) {
	var st unix.Stat_t
	if unix.Lstat(path, &st) != nil || st.Size != info.Size() {
		return
	}
	modified := time.Unix(st.Mtim.Unix())
	if !modified.Equal(info.ModTime()) {
		return
	}
	e.CreatedAt = time.Unix(st.Ctim.Unix())
	e.ModifiedAt = modified
	e.Dev, e.Inode = uint32(st.Dev), uint32(st.Ino)
	e.UID, e.GID = st.Uid, st.Gid
	e.Size = uint32(st.Size)
}
