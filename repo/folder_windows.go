package repo

import (
	"errors"
	"os"
)

// syncFolder does nothing: Windows cannot sync a folder.
func syncFolder(string) error { return nil }

// syncFile makes durable what a file holds, which needs leave to write.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
