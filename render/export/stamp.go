package export

import "toile/render/stamp"

// stampWord stands before the digest in every export.
const stampWord = "toile export "

// noStamp stands where the digest will be.
var noStamp = stamp.Blank(stampWord)

// stamped puts the digest into an export that holds noStamp once.
func stamped(text []byte) []byte { return stamp.Put(text, stampWord) }

// Untouched reports whether a file is an export as it was written: one that
// was changed since, as in a drawing program, is somebody's work and no export
// any more.
func Untouched(text []byte) bool { return stamp.Untouched(text, stampWord) }
