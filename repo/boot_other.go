//go:build !linux && !darwin

package repo

import "time"

// bootID is not known.
func bootID() string { return "" }

// bootTime is not known.
func bootTime() time.Time { return time.Time{} }
