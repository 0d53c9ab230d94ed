package trace

import (
	"errors"
	"fmt"
)

// Limits of what is read. They lie far above any drawing of a garment and
// keep a hostile file from taking the machine.
const (
	MaxBytes = 100_000_000 // bytes of a file, and of a packed one unpacked

	maxElements = 100_000    // elements in a file, and elements drawn with all copies by use
	maxDepth    = 200        // elements within elements, copies by use included
	maxCurves   = 1_000_000  // curves in all shapes together
	maxText     = 1_000      // characters of one text mark
	maxSorting  = 50_000_000 // curves looked at to find what lies in which outline: seconds
	maxCoord    = 1e5        // mm from the origin of the sheet: a hundred metres
)

// Errors a caller may want to tell apart; they come wrapped in an *Error.
var (
	// ErrNoScale says that a drawing does not tell its size on paper.
	ErrNoScale = errors.New("no scale in the file")

	// ErrTooLarge says that a file is beyond a limit of size or number.
	ErrTooLarge = errors.New("too large")

	// ErrOpen says that a named outline does not close.
	ErrOpen = errors.New("outline open")

	// ErrNoOutline says that a file holds nothing that could be a piece.
	ErrNoOutline = errors.New("no outline found")
)

// Error tells where in a file reading failed, why, and what to do.
type Error struct {
	File string
	Line int    // 0: the file as a whole
	What string // the element or piece: `path "back"`; empty when none
	Err  error
}

// Error gives `file:line: what: reason`.
func (e *Error) Error() string {
	return where(e.File, e.Line, e.What) + ": " + e.Err.Error()
}

// Unwrap gives the reason.
func (e *Error) Unwrap() error { return e.Err }

// where is the start of a message: `smock.svg:12: path "back"`.
func where(file string, line int, what string) string {
	s := file
	if line > 0 {
		s = fmt.Sprintf("%s:%d", file, line)
	}
	if what != "" {
		s += ": " + what
	}
	return s
}

// tooLarge is an ErrTooLarge that names the limit.
func tooLarge(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrTooLarge, fmt.Sprintf(format, args...))
}
