//go:build !linux && !darwin

package repo

// bootID is not known.
func bootID() string { return "" }
