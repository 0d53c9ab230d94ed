package repo

import (
	"errors"
	"fmt"
)

// What is received from others is bounded before it is looked at. Each bound
// lies far above an honest pattern: one of 2,000 versions of 40 pieces has
// 11,000 objects, 70 MB when unpacked and 2 MB packed.
const (
	// maxPackObjects bounds one delivery: about 18,000 versions.
	maxPackObjects = 100_000
	// maxPackBytes bounds what is spooled to the disk before it is vetted.
	maxPackBytes = 256 << 20
	// Unpacking may produce at most unpackBase + unpackRatio × the packed size,
	// and never more than maxUnpacked, in bytes. A large piece of which each
	// version changes a line comes to 200 times what it takes packed.
	unpackBase  = 32 << 20
	unpackRatio = 200
	maxUnpacked = 512 << 20
	// What is larger than largePart counts largeWeight times: pieces are not,
	// and what is made to fill a memory mostly is.
	largePart, largeWeight = 64 << 10, 8
	// maxChain bounds differences of differences; git stores at most 250 unless
	// told otherwise.
	maxChain = 1000
	// maxEntries bounds the lists of files of one delivery, taken together: one
	// of 18,000 versions of 40 pieces has 830,000 entries.
	maxEntries = 1_000_000
	// packCache holds unpacked objects that others may be differences of.
	packCache = 8 << 20

	// maxSeparators bounds how many values a file of the pattern may hold,
	// because a reader of YAML takes some 400 bytes for each: 60,000 take 25 MB.
	// A piece of 500 curves has under 10,000.
	maxSeparators = 60_000

	// maxShareRefs and maxListing bound the list of branches and names.
	maxShareRefs = 10_000
	maxListing   = 1 << 20
)

// RefusedError says that what somebody else offers is not taken, and why.
// Nothing of it was kept.
type RefusedError struct {
	What string // the reason, in words
	Err  error  // what lies under it, or nil
	Way  string // what can be done about it; by default nothing but to ask
}

func (e *RefusedError) Error() string {
	text := "what is offered there is refused: " + e.What
	if e.Err != nil {
		text += ": " + e.Err.Error()
	}
	way := e.Way
	if way == "" {
		way = "ask whoever sent it, and take none of it by other means"
	}
	return Printable(text + "; nothing of it was kept; " + way)
}

func (e *RefusedError) Unwrap() error { return e.Err }

func refuse(format string, args ...any) error {
	return &RefusedError{What: Printable(fmt.Sprintf(format, args...))}
}

// refused makes any error about foreign content a RefusedError.
func refused(what string, err error) error {
	if e := (*RefusedError)(nil); errors.As(err, &e) {
		return err
	}
	return &RefusedError{What: Printable(what), Err: err}
}

// separators counts the signs that can stand between two values of a file.
func separators(text []byte) int {
	n := 0
	for _, c := range text {
		switch c {
		case ',', ':', '\n', '\r', '[', '{', '-', '?', '\t', '!', '&', '*':
			n++
		}
	}
	return n
}
