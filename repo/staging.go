package repo

import (
	"errors"
	"io"
	"io/fs"
)

// staging writes temporary files that are put in place together. They are synced
// together as well: a disk that is told so of many files at once makes one
// journey of it.
type staging struct {
	ops   fileOps
	files []*stagedFile
	open  int            // of these, from the end
	with  []func() error // what is made durable together with them
}

// stagedFile is a temporary file, and what the file system says of it once it is
// synced.
type stagedFile struct {
	path string
	out  outFile // nil once it is closed
	info fs.FileInfo
}

// maxOpenStaged is how many files are open at once; systems allow a program some
// hundreds.
const maxOpenStaged = 64

// add writes content to a new temporary file in folder.
func (s *staging) add(folder, prefix string, content []byte, perm fs.FileMode) (*stagedFile, error) {
	if s.open >= maxOpenStaged {
		if err := s.sync(); err != nil {
			return nil, err
		}
	}
	path, out, err := createTemp(s.ops, folder, prefix, perm)
	if err != nil {
		return nil, err
	}
	f := &stagedFile{path: path, out: out}
	s.files = append(s.files, f)
	s.open++
	n, err := out.Write(content)
	if err == nil && n < len(content) {
		err = io.ErrShortWrite
	}
	return f, err
}

// sync makes everything written so far durable.
func (s *staging) sync() error {
	written := s.files[len(s.files)-s.open:]
	s.open = 0
	syncs := make([]func() error, 0, len(written))
	for _, f := range written {
		syncs = append(syncs, f.out.Sync)
	}
	err := s.ops.Together(append(syncs, s.with...))
	s.with = nil
	for _, f := range written {
		if err == nil {
			f.info, err = f.out.Stat()
		}
		err = errors.Join(err, f.out.Close())
		f.out = nil
	}
	return err
}

// place renames a staged file to where it is to be.
func (s *staging) place(f *stagedFile, path string) error {
	if err := s.ops.Rename(f.path, path); err != nil {
		return err
	}
	f.path = ""
	return nil
}

// discard takes away what was not put in place. What cannot be removed goes when
// the lock is next taken, or when a git program clears up.
func (s *staging) discard() {
	for _, f := range s.files {
		if f.out != nil {
			_ = f.out.Close()
			f.out = nil
		}
		if f.path != "" {
			_ = s.ops.Remove(f.path)
			f.path = ""
		}
	}
	s.open = 0
}

// syncFolders makes the names in several folders durable, each once.
func syncFolders(ops fileOps, folders []string) error {
	syncs := make([]func() error, 0, len(folders))
	for _, folder := range folders {
		syncs = append(syncs, func() error { return ops.SyncFolder(folder) })
	}
	return ops.Together(syncs)
}
