package repo

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
)

// privateFile holds what is known of wearers, on this machine alone.
const privateFile = "wearers"

// pendingFile holds the alterations made since the last version, on this
// machine alone.
const pendingFile = "recipes"

// Pending returns what SetPending kept; nothing where there is none.
func (r *Repo) Pending() ([]byte, error) { return r.readOwn(pendingFile) }

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
	return r.setOwn(pendingFile, content, 0o666)
}

// Private returns what SetPrivate kept; nothing where there is none.
func (r *Repo) Private() ([]byte, error) { return r.readOwn(privateFile) }

// SetPrivate keeps what is known of wearers, readable by nobody but this
// account. It is no part of any version and is never sent.
func (r *Repo) SetPrivate(content []byte) error { return r.setOwn(privateFile, content, 0o600) }

// readOwn reads a file of this machine's own.
func (r *Repo) readOwn(name string) ([]byte, error) {
	info, err := os.Stat(r.own(name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case info.Size() > MaxFileSize:
		return nil, tooLarge(r.own(name), info.Size())
	}
	return os.ReadFile(r.own(name))
}

// setOwn puts a file of this machine's own in place, or takes it away where it
// holds nothing.
func (r *Repo) setOwn(name string, content []byte, mode fs.FileMode) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if len(content) > 0 {
		if len(content) > MaxFileSize {
			return tooLarge(r.own(name), int64(len(content)))
		}
		temp, _, err := stage(r.ops, r.own(tempFolder), "", content, mode)
		if err != nil {
			return err
		}
		if err := r.ops.Rename(temp, r.own(name)); err != nil {
			_ = r.ops.Remove(temp)
			return err
		}
		return r.ops.SyncFolder(r.own(""))
	}
	if err := r.ops.Remove(r.own(name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return r.ops.SyncFolder(r.own(""))
}
