package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
)

// nameOrChains takes a seam's name, or that and both its chains; nothing at all lists
// the seams.
func nameOrChains(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return flagsAlone(cmd, "a seam")
	}
	if len(args) == 1 || len(args) == 3 {
		return nil
	}
	return usagef("give a seam's name and both its chains, as in toile seam \"side seam\" \"front/side seam\" \"back/side seam\"; or the name alone of one that is there")
}

// seamCalled is the place of the seam of a name; −1 where there is none.
func (o *opened) seamCalled(name string) int {
	return slices.IndexFunc(o.Seams, func(s pattern.Seam) bool { return s.Name == strings.TrimSpace(name) })
}

// seamTyped is the seam that is typed: with chains said anew, by its name alone
// as it was but for the flags.
func (o *opened) seamTyped(args []string, opt seamOptions) (pattern.Seam, error) {
	if len(args) == 3 {
		return o.seamOf(args, opt)
	}
	at := o.seamCalled(args[0])
	if at < 0 {
		return pattern.Seam{}, fmt.Errorf("there is no seam %q to change; say what it sews, as in toile seam %q A/EDGE C/EDGE%s", args[0], args[0], seamsThere(o.seamNames()))
	}
	s := o.Seams[at]
	switch {
	case opt.typed("match"):
		return s, fmt.Errorf("seam %q: what divides it in sections is said with its chains; type them too: toile seam %q %q %q --match …", s.Name, s.Name, s.First, s.Second)
	case !slices.ContainsFunc([]string{"ease", "gathered", "finish", "same-way", "open"}, opt.typed):
		return s, usagef("seam %q is there already; give what is to be changed of it, such as --ease, or its chains", s.Name)
	}
	if opt.typed("same-way") {
		s.SameWay = opt.sameWay
	}
	if opt.typed("finish") {
		s.Finish = strings.TrimSpace(opt.finish)
	}
	s.Sections = slices.Clone(s.Sections)
	if len(s.Sections) == 0 {
		s.Sections = []pattern.Section{{}}
	}
	if opt.typed("gathered") {
		for i := range s.Sections {
			s.Sections[i].Gathered = opt.gathered
		}
	}
	if err := o.setEase(&s, opt); err != nil {
		return s, err
	}
	return s, o.ValidateSeam(&s)
}

// seamsThere ends a message with the seams that are there.
func seamsThere(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return "; there are " + list(names)
}

// keepParts gives the edges of a chain that were in the seam before the parts
// that were sewn of them, in order, unless a part was typed.
func keepParts(old *pattern.Seam, c *pattern.Chain, text string) {
	parts := strings.Split(text, "+")
	var before []pattern.Stretch
	before = append(append(before, old.First...), old.Second...)
	for k := range *c {
		st := &(*c)[k]
		j := slices.IndexFunc(before, func(was pattern.Stretch) bool { return was.Piece == st.Piece && was.Edge == st.Edge })
		if j < 0 {
			continue
		}
		if _, part, _ := strings.Cut(parts[k], ":"); part == "" || strings.TrimSpace(part) == "turned" {
			st.From, st.To = before[j].From, before[j].To
		}
		before = slices.Delete(before, j, j+1)
	}
}
