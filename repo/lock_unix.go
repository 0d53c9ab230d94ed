//go:build unix && !solaris && !illumos && !aix

package repo

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// tryLock takes the lock on an open file if it is free. The kernel lets go of
// it when the process ends, however it ends.
func tryLock(f *os.File) (bool, error) {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case err == nil:
			return true, nil
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return false, nil
		}
		return false, err
	}
}
