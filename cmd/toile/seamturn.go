package main

import (
	"errors"
	"fmt"
	"strings"

	"toile/pattern"
)

// errOrder is wrapped by what is said of notches that are not matched in the
// order of sewing.
var errOrder = errors.New("match them in the order of sewing")

// turnedWord behind a typed edge has it run the other way than its chain.
const turnedWord = ":turned"

// matching reports whether every section fits within the pattern's tolerance.
func (o *opened) matching(sections []pattern.SectionLength) bool {
	for _, c := range sections {
		out := c.Left()
		if c.First <= 0 || c.Second <= 0 || !c.Gathered && max(out, -out) > o.Tolerances.Section {
			return false
		}
	}
	return true
}

// turnHint says which one change of direction, of a chain or of one of its
// edges, makes every section fit; empty where none does. It does not look at
// whether the seam fits as it was typed.
func (o *opened) turnHint(args []string, opt seamOptions) string {
	if len(args) != 3 {
		return ""
	}
	other := opt
	other.sameWay = !opt.sameWay
	if o.fits(args, other) {
		return map[bool]string{
			true:  "with --same-way every section would match: the pieces are drawn with the same side towards each other",
			false: "without --same-way every section would match",
		}[other.sameWay]
	}
	for _, side := range []int{2, 1} {
		parts := strings.Split(args[side], "+")
		for i, part := range parts {
			turned, was := strings.CutSuffix(strings.TrimSpace(part), turnedWord)
			if !was {
				turned += turnedWord
			}
			typed := append([]string(nil), parts...)
			typed[i] = turned
			changed := append([]string(nil), args...)
			changed[side] = strings.Join(typed, "+")
			if o.fits(changed, opt) {
				return fmt.Sprintf("with %q in place of %q every section would match", turned, strings.TrimSpace(part))
			}
		}
	}
	return ""
}

// fits reports whether a seam typed so could be said, and every section of it
// matches.
func (o *opened) fits(args []string, opt seamOptions) bool {
	s, err := o.seamOf(args, opt)
	if err != nil {
		return false
	}
	sections, err := o.WalkSeam(&s)
	return err == nil && o.matching(sections)
}
