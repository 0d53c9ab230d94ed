package main

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/units"
)

// setOpenings gives a seam the openings that are typed as NAME=FROM:TO[:LEAST],
// lengths along its first chain: in place of those of their names, or beside
// the others. NAME= alone takes one away.
func (o *opened) setOpenings(s *pattern.Seam, texts []string) error {
	for _, text := range texts {
		opening, gone, err := o.openingOf(s, text)
		if err != nil {
			return err
		}
		k := slices.IndexFunc(s.Openings, func(old pattern.Opening) bool { return old.Name == opening.Name })
		switch {
		case gone && k < 0:
			return fmt.Errorf("seam %q has no opening %q to take away", s.Name, opening.Name)
		case gone:
			o.moveStops(s, s.Openings[k], opening, true)
			s.Openings = slices.Delete(slices.Clone(s.Openings), k, k+1)
		case k >= 0:
			was := s.Openings[k]
			s.Openings = slices.Clone(s.Openings)
			s.Openings[k] = opening
			if err := o.ValidateSeam(s); err != nil {
				return err
			}
			o.moveStops(s, was, opening, false)
		default:
			s.Openings = append(slices.Clone(s.Openings), opening)
		}
	}
	slices.SortStableFunc(s.Openings, func(a, b pattern.Opening) int {
		if a.From < b.From {
			return -1
		}
		return 1
	})
	return o.openingsApart(s)
}

// moveStops has the notches at the ends of an opening go with it.
func (o *opened) moveStops(s *pattern.Seam, was, now pattern.Opening, gone bool) {
	for _, m := range alter.MoveStops(o.Pattern, s, was, now, gone) {
		o.advise("%s", m)
	}
}

// openingsApart refuses openings that overlap or that do not lie on the seam.
func (o *opened) openingsApart(s *pattern.Seam) error {
	for k := 1; k < len(s.Openings); k++ {
		if a, b := s.Openings[k-1], s.Openings[k]; b.From < a.To-0.01 {
			return fmt.Errorf("seam %q: the openings %q, to %s, and %q, from %s, overlap; give them lengths apart", s.Name, a.Name, o.length(a.To), b.Name, o.length(b.From))
		}
	}
	return o.ValidateSeam(s)
}

// openingOf reads one opening; gone where it is to be taken away.
func (o *opened) openingOf(s *pattern.Seam, text string) (opening pattern.Opening, gone bool, err error) {
	name, span, ok := strings.Cut(text, "=")
	if !ok {
		return opening, false, usagef("--open is %q; write NAME=FROM:TO, lengths along the first chain, as in \"pocket mouth=18cm:33cm\"", text)
	}
	if opening.Name, err = pattern.CleanName(name); err != nil {
		return opening, false, fmt.Errorf("seam %q, opening: %w", s.Name, err)
	}
	if strings.TrimSpace(span) == "" {
		return opening, true, nil
	}
	parts := strings.Split(span, ":")
	if len(parts) != 2 && len(parts) != 3 {
		return opening, false, usagef("--open: %q is no FROM:TO nor FROM:TO:LEAST; write lengths, as in \"%s=18cm:33cm\"", span, opening.Name)
	}
	into := [3]*float64{&opening.From, &opening.To, &opening.Least}
	for k, part := range parts {
		if *into[k], err = units.ParseLength(part, o.Unit); err != nil {
			return opening, false, usagef("--open: %w", err)
		}
	}
	if opening.From >= opening.To {
		return opening, false, fmt.Errorf("seam %q: the opening %q runs from %s to %s; give the nearer end first", s.Name, opening.Name, o.length(opening.From), o.length(opening.To))
	}
	return opening, false, nil
}

// openingWords says where an opening lies.
func (o *opened) openingWords(s *pattern.Seam, p pattern.Opening) string {
	words := fmt.Sprintf("left open: %q from %s to %s along %s, %s long", p.Name, o.length(p.From), o.length(p.To), s.First, o.length(p.To-p.From))
	if p.Least > 0 {
		words += fmt.Sprintf(", at least %s", o.length(p.Least))
	}
	return words
}
