package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A copy that is killed leaves its unfinished folder and perhaps some of the
// files, as a start does (startbroken.go). It lists those files by name and
// content before it makes the first, so that the same copy made again can take
// them away and begin anew.

// copyFile is that list, in the folder of our own; an empty one from the start.
const copyFile = "copy"

func (c *copying) listPath() string { return filepath.Join(c.git, ownFolder, copyFile) }

// listFiles notes the files that are going to be made.
func (c *copying) listFiles(v *vetting, tree plumbing.Hash) error {
	var text strings.Builder
	err := v.each(tree, "", func(path string, e treeEntry) error {
		fmt.Fprintf(&text, "%s %s\n", e.id, path)
		return nil
	})
	if err != nil {
		return err
	}
	return replace(c.ops, c.listPath(), "start-", []byte(text.String()), 0o666)
}

// clearBrokenCopy takes away what a copy that was killed left in a folder. What
// somebody has changed since stays, and what is no copy's is left to checkCopy.
func clearBrokenCopy(ops fileOps, dir string) error {
	left := filepath.Join(dir, unfinished)
	list := filepath.Join(left, ownFolder, copyFile)
	info, err := os.Lstat(left)
	if err != nil || !info.IsDir() || exists(filepath.Join(dir, ".git")) {
		return nil
	}
	if !exists(list) { // so far it is what a start makes too
		return clearBrokenStart(ops, dir)
	}
	f, err := os.OpenFile(filepath.Join(left, ownFolder, lockFile), os.O_RDWR, 0)
	if err != nil {
		return nil
	}
	free, err := tryLock(f)
	if err == nil && free {
		err = clearCopied(ops, dir, list)
	}
	err = errors.Join(err, f.Close()) // some systems remove no open file
	if err == nil && !free {
		return fmt.Errorf("a copy is being made in %s at this moment; wait until that is done", Printable(dir))
	}
	if err == nil {
		err = removeAll(ops, left)
	}
	if err != nil {
		return fmt.Errorf("what a copy that was broken off left in %s cannot be cleared away: %w", Printable(left), err)
	}
	return nil
}

// clearCopied removes the listed files that are still as they were made.
func clearCopied(ops fileOps, dir, list string) error {
	content, err := os.ReadFile(list)
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(content)) {
		id, name, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		folder, file, nested := strings.Cut(name, "/")
		if vetName(folder) != nil || nested && vetName(file) != nil {
			continue
		}
		if err := clearUnchanged(ops, filepath.Join(dir, filepath.FromSlash(name)), id); err != nil {
			return err
		}
		if nested {
			_ = ops.Remove(filepath.Join(dir, folder)) // once it is empty
		}
	}
	return nil
}

// clearUnchanged removes a file if its content is the one of that id.
func clearUnchanged(ops fileOps, path, id string) error {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return nil
	}
	text, err := os.ReadFile(path)
	if err != nil || plumbing.ComputeHash(plumbing.BlobObject, text).String() != id {
		return nil // somebody's own by now
	}
	if err := ops.Remove(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
