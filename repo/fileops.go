package repo

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
)

// fileOps is everything this package does to a disk. Tests replace it to fail
// at each single step.
type fileOps interface {
	// Create makes a new file for writing and fails if the name exists.
	Create(path string, perm fs.FileMode) (outFile, error)
	// Overwrite puts content into a small file in place, and syncs it unless
	// it is empty. Whoever reads the file must be able to tell a torn one.
	Overwrite(path string, content []byte) error
	// Append adds to a file that can be rebuilt; it is not synced.
	Append(path string, content []byte) error
	Rename(from, to string) error
	Remove(path string) error
	// Mkdir makes one folder; one that is there already is no error.
	Mkdir(path string) error
	// SyncFolder makes new, renamed and removed names in a folder durable.
	SyncFolder(path string) error
	// Together does independent syncs at once; the error has all that failed.
	Together(syncs []func() error) error
	Chmod(path string, perm fs.FileMode) error
}

// outFile is a file being written.
type outFile interface {
	io.Writer
	Sync() error
	Close() error
	Stat() (fs.FileInfo, error)
}

// diskOps are the real file operations.
type diskOps struct{}

func (diskOps) Create(path string, perm fs.FileMode) (outFile, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (diskOps) Overwrite(path string, content []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	if len(content) == 0 {
		return f.Close()
	}
	return finish(f, content)
}

func (diskOps) Append(path string, content []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	return errors.Join(err, f.Close())
}

func (diskOps) Rename(from, to string) error { return os.Rename(from, to) }
func (diskOps) Remove(path string) error     { return os.Remove(path) }

func (diskOps) Mkdir(path string) error {
	err := os.Mkdir(path, 0o777)
	if errors.Is(err, fs.ErrExist) {
		if info, statErr := os.Stat(path); statErr == nil && info.IsDir() {
			return nil
		}
	}
	return err
}

func (diskOps) SyncFolder(path string) error { return syncFolder(path) }

// atOnce is how many syncs run at the same time. More do not shorten the disk's
// journey.
const atOnce = 8

func (diskOps) Together(syncs []func() error) error {
	if len(syncs) == 1 {
		return syncs[0]()
	}
	problems := make([]error, len(syncs))
	places := make(chan struct{}, atOnce)
	var all sync.WaitGroup
	for i, do := range syncs {
		places <- struct{}{}
		all.Go(func() {
			problems[i] = do()
			<-places
		})
	}
	all.Wait()
	return errors.Join(problems...)
}

func (diskOps) Chmod(path string, perm fs.FileMode) error { return os.Chmod(path, perm) }

// finish writes content, syncs and closes.
func finish(f outFile, content []byte) error { return finishBy(f, content, f.Sync) }

// finishBy is finish with the sync given.
func finishBy(f outFile, content []byte, sync func() error) error {
	n, err := f.Write(content)
	if err == nil && n < len(content) {
		err = io.ErrShortWrite
	}
	if err == nil {
		err = sync()
	}
	return errors.Join(err, f.Close())
}

// stage writes content to a new temporary file in folder, synced, and returns
// its path and what the file system says about it. Nothing is left on failure.
func stage(ops fileOps, folder, prefix string, content []byte, perm fs.FileMode) (path string, info fs.FileInfo, err error) {
	path, f, err := createTemp(ops, folder, prefix, perm)
	if err != nil {
		return "", nil, err
	}
	if info, err = writeAndStat(f, content); err != nil {
		_ = ops.Remove(path)
		return "", nil, err
	}
	return path, info, nil
}

// createTemp makes a file of a new name.
func createTemp(ops fileOps, folder, prefix string, perm fs.FileMode) (path string, f outFile, err error) {
	for range 16 { // a clash of 64 random bits means the name was left behind
		path = filepath.Join(folder, prefix+randomName())
		if f, err = ops.Create(path, perm); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	return path, f, err
}

func randomName() string { return fmt.Sprintf("%016x", rand.Uint64()) }

func writeAndStat(f outFile, content []byte) (fs.FileInfo, error) {
	n, err := f.Write(content)
	if err == nil && n < len(content) {
		err = io.ErrShortWrite
	}
	if err == nil {
		err = f.Sync()
	}
	var info fs.FileInfo
	if err == nil {
		info, err = f.Stat()
	}
	return info, errors.Join(err, f.Close())
}

// replace writes a whole file: temporary file, sync, rename, sync of the folder.
func replace(ops fileOps, path, prefix string, content []byte, perm fs.FileMode) error {
	folder := filepath.Dir(path)
	temp, _, err := stage(ops, folder, prefix, content, perm)
	if err != nil {
		return err
	}
	if err := ops.Rename(temp, path); err != nil {
		_ = ops.Remove(temp)
		return err
	}
	return ops.SyncFolder(folder)
}

// makeFolder makes one folder where it is missing. What is missing above it is made
// durable; the folder itself is when the one it is in is synced.
func makeFolder(ops fileOps, path string) error {
	if isFolder(path) {
		return nil
	}
	if err := mkdirAll(ops, filepath.Dir(path)); err != nil {
		return err
	}
	return ops.Mkdir(path)
}

// mkdirAll makes path and what is missing above it, each made durable.
func mkdirAll(ops fileOps, path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	parent := filepath.Dir(path)
	if parent != path {
		if err := mkdirAll(ops, parent); err != nil {
			return err
		}
	}
	if err := ops.Mkdir(path); err != nil {
		return err
	}
	return ops.SyncFolder(parent)
}
