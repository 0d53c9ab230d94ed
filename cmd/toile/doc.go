// Command toile keeps a sewing pattern under version control: it traces
// pieces in, keeps every fitting and alteration as a version, and says and
// draws what changed between any two.
//
// main is thin, one file holds each command, and only this package prints:
// what was asked for goes to stdout, everything else to stderr. The exit code
// is 0 when it was done, 1 when it was refused or failed and the pattern is
// as it was, 2 when the command was typed wrongly.
package main
