//go:build unix

package repo

import (
	"errors"
	"os"
)

// syncFolder makes the names in a folder durable.
func syncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
