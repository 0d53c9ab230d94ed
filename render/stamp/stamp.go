// Package stamp marks a file as written by toile and not changed since, so that
// it may be written over: the file holds a word and a digest of itself.
package stamp

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strings"
)

// digits is the length of the digest: enough that no change keeps it by chance.
const digits = 16

// Blank is what a file holds where its stamp will be: a word that nothing else
// in it has, and zeros in the digest's place.
func Blank(word string) string { return word + strings.Repeat("0", digits) }

// Put puts the digest into a file that holds Blank(word) once. Its length stays.
func Put(text []byte, word string) []byte {
	sum := sha256.Sum256(text)
	return bytes.Replace(text, []byte(Blank(word)), []byte(word+hex.EncodeToString(sum[:])[:digits]), 1)
}

// Untouched reports whether a file bears the word and is as it was written.
func Untouched(text []byte, word string) bool {
	at := bytes.Index(text, []byte(word))
	if at < 0 || len(text) < at+len(word)+digits {
		return false
	}
	again := bytes.Clone(text)
	copy(again[at:], Blank(word))
	return bytes.Equal(Put(again, word), text)
}
