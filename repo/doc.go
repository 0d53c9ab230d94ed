// Package repo keeps the versions of one pattern folder, in a real git
// repository that the git program accepts as its own.
//
// It knows files, versions, branches and names, and nothing of what a piece is.
// The types, in the order one meets them:
//
//   - Files is a pattern folder in memory: slash paths and contents. layout.go
//     says which paths a pattern has; every other file that somebody keeps in
//     the same repository is carried from version to version untouched.
//   - Repo is an open pattern. It is for one goroutine; a second one opens its
//     own. Lock keeps other processes out from reading to writing.
//   - Version is one kept state: a git commit, numbered 1 + the greatest number
//     of its parents. The number follows from the parents alone, so it is for
//     ever and versions that the git program makes on top have one too.
//
// What git stores is read by store.go and storedpack.go, and decoded by record.go
// and trees.go. Everything written goes through the file operations of fileops.go:
// temporary file, sync, rename, sync of the folder; what is put in place together
// is synced together (staging.go). A save runs in this order, and dying at any
// point leaves the version before it readable and the repository whole:
//
//	objects (blobs, then trees, then the commit)     objects.go, trees.go, staging.go
//	journal, git's index locked                      journal.go, indexlock.go
//	branch lock, comparison                          refs.go
//	working files in their canonical form            working.go
//	the branch, by one rename                        refs.go
//	git's index, so that git sees a clean folder     index.go
//	the version table                                table.go, tableline.go
//
// docs/store.md says why dying after each of them is harmless. A command that
// names itself by Begin is preceded by a step in the command log (undo.go,
// undolog.go), which Undo and Redo take back (takeback.go).
//
// Texts and names in a Version are ready to show: control characters are
// replaced (Printable). What is stored is what was typed.
package repo
