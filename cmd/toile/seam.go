package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/units"
)

type seamOptions struct {
	sameWay  bool
	ease     []string
	gathered bool
	finish   string
	match    []string
	open     []string
	unpick   bool

	typed func(flag string) bool // whether a flag was typed
}

func newSeam(a *app) *cobra.Command {
	var opt seamOptions
	cmd := &cobra.Command{
		Use:   "seam [NAME [A/EDGE[+B/EDGE…] C/EDGE[+…]]]",
		Short: "Say what is sewn to what",
		Long: `Says that one chain of edges is sewn to another, and measures both. A chain is
one edge or several sewn as one, written PIECE/EDGE+PIECE/EDGE in the order in
which they are sewn; ":turned" behind an edge has it run the other way than its
chain, as where a piece is sewn in mirrored; ":1cm:25cm" sews that part of it only,
lengths along the edge from its start, or from its end with @end. The second chain
runs against the first, as it does where two pieces are laid right sides together,
unless --same-way is given. A seam of the same name is said anew; an edge of it of
which a part is sewn keeps that part, unless another is typed, or ":whole".

NAME alone keeps the seam as it is but for what is typed: --ease, --gathered,
--finish, --same-way or --open. NAME --unpick takes the seam away; its edges stay as
they are, sewn to nothing by it. Without a NAME the seams that there are are listed,
with the length of either side.

--match divides the seam into sections at a pair of notches, one of each chain.
--ease is how much longer the second chain is meant to be; with several sections
say which, counted from 1 along the first chain, as in --ease 2=1.5cm. --gathered:
the longer side is drawn up, whatever its length. --finish explains unequal
allowances: lapped, felled, bound.

--open leaves a part open, a slit or the mouth of a pocket: its name and from
where to where it runs, lengths along the first chain from its start, with a third
the least that has to go through. Openings of other names stay when a seam is said
anew; NAME= alone takes one away. The notches at its ends that a split made go
with it.

Lengths that differ are no reason to refuse: the result says by how much.

` + exitCodes,
		Example: `  toile seam "side seam" "front/side seam" "back/side seam"
  toile seam armhole "sleeve/sleeve head" "front/armhole+back/armhole" --ease -2cm
  toile seam "side seam" "front/side seam" "back/side seam" --match "front:hip=back:hip" --ease 1=5mm
  toile seam "side seam" "front/side seam" "back/side seam" --open "pocket mouth=18cm:33cm"
  toile seam "cuff seam" "sleeve/wrist" "cuff/top:1cm:25cm"
  toile seam "cuff seam" --ease 2cm
  toile seam "cuff seam" --unpick
  toile seam`,
		Args: nameOrChains,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return a.read((*opened).listSeams)
			}
			opt.typed = cmd.Flags().Changed
			if opt.unpick {
				if err := unpickAlone(cmd, args); err != nil {
					return err
				}
				return a.change(func(o *opened) error { return o.unpickSeam(args[0]) })
			}
			return a.change(func(o *opened) error { return o.setSeam(args, opt) })
		},
		ValidArgsFunction: inOrder(a.seamNames(), a.chains(), a.chains(), nothing),
	}
	f := cmd.Flags()
	f.BoolVar(&opt.sameWay, "same-way", false, "both chains run the same way")
	f.StringArrayVar(&opt.ease, "ease", nil, "ease-in, a length `[SECTION=]L`, positive where the second chain is longer")
	f.BoolVar(&opt.gathered, "gathered", false, "the longer side is gathered")
	f.StringVar(&opt.finish, "finish", "", "how the seam is made up: lapped, felled, bound…")
	f.StringArrayVar(&opt.match, "match", nil, "notches that meet, `A:NOTCH=C:NOTCH`")
	f.StringArrayVar(&opt.open, "open", nil, "a part left open, `NAME=FROM:TO`, or with the least it has to measure NAME=FROM:TO:LEAST")
	f.BoolVar(&opt.unpick, "unpick", false, "take the seam away")
	for _, flag := range []string{"ease", "finish", "match", "open"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

func (a *app) seamNames() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		return o.seamNames()
	})
}

func (o *opened) setSeam(args []string, opt seamOptions) error {
	s, err := o.seamTyped(args, opt)
	if hint := o.turnHint(args, opt); errors.Is(err, errOrder) && hint != "" {
		return fmt.Errorf("%w; %s", err, hint)
	}
	if err != nil {
		return err
	}
	sections, err := o.WalkSeam(&s)
	if err != nil {
		return err
	}
	if err := o.putSeam(&s, len(args) == 3, opt); err != nil {
		return err
	}
	o.say("seam %q: %s to %s", s.Name, s.First, s.Second)
	for _, c := range sections {
		o.say("  %s", o.sectionWords(c))
	}
	for _, p := range s.Openings {
		o.say("  %s", o.openingWords(&s, p))
	}
	for _, words := range append(o.meetingWords(&s), o.foldWords(&s)...) {
		o.say("  %s", words)
	}
	if hint := o.turnHint(args, opt); hint != "" && !o.matching(sections) {
		o.say("  %s", hint)
	}
	return nil
}

// putSeam puts a seam in the place of the one of its name, whose openings it keeps, or
// adds it. whole says that it was typed in full, not only in part.
func (o *opened) putSeam(s *pattern.Seam, whole bool, opt seamOptions) error {
	at := o.seamCalled(s.Name)
	if at >= 0 {
		s.Openings = o.Seams[at].Openings
	}
	if err := o.setOpenings(s, opt.open); err != nil {
		return err
	}
	if at < 0 {
		o.Seams = append(o.Seams, *s)
		return nil
	}
	o.Seams[at] = *s
	if whole {
		o.advise("The seam %q was there already; it is said anew.", s.Name)
	}
	return nil
}

// seamOf builds the seam that is typed; of one that was there before it keeps
// which parts of its edges are sewn.
func (o *opened) seamOf(args []string, opt seamOptions) (pattern.Seam, error) {
	s := pattern.Seam{SameWay: opt.sameWay, Finish: strings.TrimSpace(opt.finish)}
	var err error
	if s.Name, err = pattern.CleanName(args[0]); err != nil {
		return s, err
	}
	if s.First, err = o.ParseChain(args[1]); err == nil {
		s.Second, err = o.ParseChain(args[2])
	}
	if at := o.seamCalled(s.Name); err == nil && at >= 0 {
		keepParts(&o.Seams[at], &s.First, args[1])
		keepParts(&o.Seams[at], &s.Second, args[2])
	}
	if err == nil {
		err = o.ValidateSeam(&s)
	}
	if err == nil {
		err = o.matchNotches(&s, opt.match)
	}
	if err != nil {
		return s, err
	}
	return s, o.setEase(&s, opt)
}

// matchNotches divides the seam at pairs of notches, in sewing order.
func (o *opened) matchNotches(s *pattern.Seam, pairs []string) error {
	type section struct {
		pattern.Section
		first, second float64
	}
	var found []section
	for _, text := range pairs {
		c, err := o.matchOf(s, text)
		if err != nil {
			return err
		}
		alone := *s
		alone.Sections = []pattern.Section{c, {}}
		walked, err := o.WalkSeam(&alone)
		if err != nil {
			return err
		}
		found = append(found, section{c, walked[0].First, walked[0].Second})
	}
	slices.SortStableFunc(found, func(a, b section) int { return cmp.Compare(a.first, b.first) })
	for i := 1; i < len(found); i++ {
		a, b := found[i-1], found[i]
		if b.second <= a.second || b.first <= a.first {
			return fmt.Errorf("seam %q: the notches %s and %s come one after the other on %s, but %s and %s do not on %s; %w",
				s.Name, a.First.Notch, b.First.Notch, s.First, a.Second.Notch, b.Second.Notch, s.Second, errOrder)
		}
	}
	for _, c := range found {
		s.Sections = append(s.Sections, c.Section)
	}
	s.Sections = append(s.Sections, pattern.Section{})
	return nil
}

// matchOf reads A:NOTCH=C:NOTCH. A notch's name may hold an equals sign, so
// every one is tried.
func (o *opened) matchOf(s *pattern.Seam, text string) (pattern.Section, error) {
	var problem error
	for i := range text {
		if text[i] != '=' {
			continue
		}
		first, err := o.notchOf(text[:i])
		var second pattern.NotchRef
		if err == nil {
			second, err = o.notchOf(text[i+1:])
		}
		if err == nil {
			return pattern.Section{First: first, Second: second}, nil
		}
		problem = err
	}
	if problem == nil {
		return pattern.Section{}, usagef("--match is %q; write A:NOTCH=C:NOTCH, as in front:hip=back:hip", text)
	}
	return pattern.Section{}, fmt.Errorf("seam %q: %w", s.Name, problem)
}

func (o *opened) notchOf(text string) (pattern.NotchRef, error) {
	piece, notch, ok := strings.Cut(text, ":")
	if !ok {
		return pattern.NotchRef{}, usagef("--match: %q names no notch; write PIECE:NOTCH", text)
	}
	q, err := o.Piece(strings.TrimSpace(piece))
	if err != nil {
		return pattern.NotchRef{}, err
	}
	notch = strings.TrimSpace(notch)
	if q.NotchByName(notch) < 0 {
		var names []string
		for _, n := range q.Notches {
			names = append(names, n.Name)
		}
		return pattern.NotchRef{}, fmt.Errorf("%s has no notch %q; its notches are %s", q.Name, notch, list(names))
	}
	return pattern.NotchRef{Piece: q.Name, Notch: notch}, nil
}

// setEase gives the sections their ease-in.
func (o *opened) setEase(s *pattern.Seam, opt seamOptions) error {
	for _, text := range opt.ease {
		number, amount := 1, text
		if before, after, ok := cutLast(text); ok {
			n, err := strconv.Atoi(before)
			if err != nil {
				return usagef("--ease: %q is no section; they are numbered from 1", before)
			}
			number, amount = n, after
		} else if len(s.Sections) > 1 {
			return fmt.Errorf("seam %q: it has %d sections; say which one takes %s, as in --ease 1=%s", s.Name, len(s.Sections), text, text)
		}
		if number < 1 || number > len(s.Sections) {
			return fmt.Errorf("seam %q: there is no section %d for the ease-in of %s; it has %s", s.Name, number, amount, count(len(s.Sections), "section", "sections"))
		}
		mm, err := units.ParseLength(amount, o.Unit)
		if err != nil {
			return usagef("--ease: %w", err)
		}
		s.Sections[number-1].Ease = mm
	}
	if opt.gathered {
		for i := range s.Sections {
			s.Sections[i].Gathered = true
		}
	}
	if len(s.Sections) == 1 && s.Sections[0].Ease == 0 && !s.Sections[0].Gathered {
		s.Sections = nil
	}
	return nil
}

// sectionWords says how a section's two sides compare.
func (o *opened) sectionWords(c pattern.SectionLength) string {
	text := fmt.Sprintf("%s: %s and %s", c.Name, o.length(c.First), o.length(c.Second))
	if c.Gathered {
		return text + ", gathered"
	}
	if c.Ease != 0 {
		text += fmt.Sprintf(", with %s of ease-in", o.length(c.Ease))
	}
	out := c.Left()
	switch {
	case out > o.Tolerances.Section:
		return text + fmt.Sprintf("; the second is %s too long: alter one of them, or record ease-in", o.length(out))
	case out < -o.Tolerances.Section:
		return text + fmt.Sprintf("; the second is %s too short: alter one of them, or record ease-in", o.length(-out))
	}
	return text + ", they match"
}
