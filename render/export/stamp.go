package export

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
)

// Every export holds stampWord and a digest of itself with zeros in the
// digest's place.
const (
	stampWord   = "toile export "
	stampDigits = 16
)

// noStamp stands where the digest will be.
var noStamp = stampWord + "0000000000000000"

// stamped puts the digest into an export that holds noStamp once.
func stamped(text []byte) []byte {
	sum := sha256.Sum256(text)
	return bytes.Replace(text, []byte(noStamp), []byte(stampWord+hex.EncodeToString(sum[:])[:stampDigits]), 1)
}

// Untouched reports whether a file is an export as it was written: one that
// was changed since, as in a drawing program, is somebody's work and no export
// any more.
func Untouched(text []byte) bool {
	at := bytes.Index(text, []byte(stampWord))
	if at < 0 || len(text) < at+len(noStamp) {
		return false
	}
	again := bytes.Clone(text)
	copy(again[at:], noStamp)
	return bytes.Equal(stamped(again), text)
}
