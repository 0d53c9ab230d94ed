package main

import (
	"io"
	"os"
)

func main() {
	spareCollection()
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// run executes one command line and returns the exit code.
func run(args []string, stdout, stderr io.Writer) int {
	return newApp(stdout, stderr).execute(args)
}

// execute is run with what it prints to and its clock given.
func (a *app) execute(args []string) int {
	a.typed = args
	word := ""
	if len(args) > 0 {
		word = args[0]
	}
	root := newRootFor(a, word)
	root.SetArgs(args)
	root.SetOut(a.stdout)
	root.SetErr(a.stderr)
	cmd, err := root.ExecuteC()
	switch {
	case err == nil && a.mismatch:
		return exitMismatch
	case err == nil:
		return exitDone
	}
	return a.fail(cmd, err)
}
