package main

import (
	"errors"
	"fmt"
	"syscall"

	"github.com/spf13/cobra"

	"toile/repo"
)

// The exit codes.
const (
	exitDone     = 0
	exitRefused  = 1
	exitUsage    = 2
	exitMismatch = 3 // a check found a mismatch
)

// exitCodes is what the help of every command says about them.
const exitCodes = "Exit codes: 0 done; 1 refused or failed, and the pattern is as it was; 2 typed wrongly;\n3 check found a mismatch."

// usageError is a command line that cannot be understood, whatever the
// pattern holds.
type usageError struct{ err error }

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

// usagef makes a usageError.
func usagef(format string, args ...any) error {
	return &usageError{fmt.Errorf(format, args...)}
}

// fail prints the error, once, and returns the exit code for it. What goes
// wrong before a command has begun to run is wrong usage.
func (a *app) fail(cmd *cobra.Command, err error) int {
	if errors.Is(err, syscall.ENOSPC) {
		err = fmt.Errorf("the disk is full; make room and run the command again (%w)", err)
	}
	fmt.Fprintln(a.stderr, "toile: "+repo.Printable(err.Error()))
	var usage *usageError
	if a.begun && !errors.As(err, &usage) {
		return exitRefused
	}
	fmt.Fprintf(a.stderr, "See `%s --help`.\n", cmd.CommandPath())
	return exitUsage
}
