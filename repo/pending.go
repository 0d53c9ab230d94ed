package repo

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
)

// pendingFile holds the alterations made since the last version, on this
// machine alone.
const pendingFile = "recipes"

// Pending returns what SetPending kept; nothing where there is none.
func (r *Repo) Pending() ([]byte, error) {
	info, err := os.Stat(r.own(pendingFile))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case info.Size() > MaxFileSize:
		return nil, tooLarge(r.own(pendingFile), info.Size())
	}
	return os.ReadFile(r.own(pendingFile))
}

// SetPending keeps what is to be said of the working pattern with the next
// version: temporary file, sync, rename. Nothing takes it away.
func (r *Repo) SetPending(content []byte) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if was, err := r.Pending(); err == nil && bytes.Equal(was, content) {
		return nil
	}
	if err := r.beforeChange(true); err != nil {
		return err
	}
	if len(content) > 0 {
		if len(content) > MaxFileSize {
			return tooLarge(r.own(pendingFile), int64(len(content)))
		}
		temp, _, err := stage(r.ops, r.own(tempFolder), "", content, 0o666)
		if err != nil {
			return err
		}
		if err := r.ops.Rename(temp, r.own(pendingFile)); err != nil {
			_ = r.ops.Remove(temp)
			return err
		}
		return r.ops.SyncFolder(r.own(""))
	}
	if err := r.ops.Remove(r.own(pendingFile)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return r.ops.SyncFolder(r.own(""))
}
