package main

import (
	"regexp"
	"strconv"
	"strings"
	"sync"

	"toile/pattern/units"
)

// restatedError says in the pattern's unit what the libraries, which count in
// mm, refused.
type restatedError struct {
	error
	text string
}

func (e *restatedError) Error() string { return e.text }
func (e *restatedError) Unwrap() error { return e.error }

// inItsUnit has an error say lengths and places in the pattern's unit. What is
// wrong in a file stays in mm, as files are.
func (o *opened) inItsUnit(err error) error {
	if o.Pattern == nil || strings.Contains(err.Error(), ".yaml") {
		return err
	}
	if text := restated(err.Error(), o.Unit); text != err.Error() {
		return &restatedError{err, text}
	}
	return err
}

// Lengths and places as the libraries print them.
var (
	lengthsInMM = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?:(-?\d+(?:\.\d+)?)( to | and ))?(-?\d+(?:\.\d+)?) mm([^²\w]|$)`)
	})
	placesInMM = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\((-?\d+(?:\.\d+)?), (-?\d+(?:\.\d+)?)\)( mm)?`) })
)

// restated puts lengths in mm and places on the sheet into a unit.
func restated(text string, unit units.Unit) string {
	in := func(number string) string {
		v, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return number
		}
		return unit.Format(v)
	}
	length := func(number string) string {
		if words := in(number); words != unit.Format(0) || strings.Trim(number, "-0.") == "" {
			return words
		}
		return number + " mm" // it is little, but not nothing
	}
	text = placesInMM().ReplaceAllStringFunc(text, func(s string) string {
		m := placesInMM().FindStringSubmatch(s)
		return "(" + in(m[1]) + ", " + in(m[2]) + ")"
	})
	return lengthsInMM().ReplaceAllStringFunc(text, func(s string) string {
		m := lengthsInMM().FindStringSubmatch(s)
		if m[1] == "" {
			return length(m[3]) + m[4]
		}
		return length(m[1]) + m[2] + length(m[3]) + m[4]
	})
}
