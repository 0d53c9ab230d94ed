package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

func newFitting(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "fitting open|pin|list|amend|unpin|answer|again|wearer|sheet …",
		Short: "Open a fitting, pin notes to places, list and answer them",
		Long: `A fitting is one trying-on of a mock-up: its date and cloth, what was worn
underneath, which closures were pinned, the version that was sewn, and notes. A
note says where, what was seen, how much was pinned, on which side of the wearer,
and what to do. It is open until a version answers it. docs/fittings.md goes
through a whole one.

open     starts the next fitting
pin      pins a note to a place
list     lists fittings and notes, open or answered
amend    changes a fitting or a note
unpin    takes a note away
answer   marks notes as answered, by a version or by the next one
again    an answered note was seen again at a later fitting
wearer   keeps name and measures of the wearer on this machine
sheet    draws a piece with its notes, to print and write on

` + exitCodes,
		Example: `  toile fitting open --cloth "old sheet" --worn "thin shirt" --closures "front pinned"
  toile fitting pin front "8cm from centre front, 12cm from neckline" "gapes" --on-toile --pinch 1cm
  toile fitting list --open`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newFittingOpen(a), newFittingPin(a), newFittingList(a), newFittingAmend(a), newFittingUnpin(a),
		newFittingAnswer(a), newFittingAgain(a), newFittingWearer(a), newFittingSheet(a))
	for _, c := range cmd.Commands() {
		c.Args = plainly(c.Args)
	}
	return cmd
}

// lastFitting is the fitting with that number; 0 means the last one. That there
// is none yet is an error.
func (o *opened) lastFitting(number int) (*pattern.Fitting, error) {
	if len(o.Fittings) == 0 {
		return nil, noFitting(fmt.Errorf("the pattern has no fitting yet"))
	}
	if number == 0 {
		return o.Fittings[len(o.Fittings)-1], nil
	}
	return o.Fitting(number)
}

// noFitting adds to an error how the first fitting is opened.
func noFitting(err error) error {
	return fmt.Errorf("%w; open one with `toile fitting open`", err)
}

// fittingHelp adds to an error how the first fitting is opened, where there is
// none.
func (o *opened) fittingHelp(err error) error {
	if len(o.Fittings) > 0 {
		return err
	}
	return noFitting(err)
}

// note finds a note as it is typed.
func (o *opened) note(key string) (*pattern.Fitting, *pattern.Note, error) {
	f, n, err := o.FindNote(key)
	if err != nil {
		return nil, nil, o.fittingHelp(err)
	}
	return f, n, nil
}

// fittingNumber reads a fitting's number as it is typed.
func fittingNumber(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, usagef("%q is no fitting; fittings are numbered from 1", text)
	}
	return n, nil
}

// checkNumberFlag refuses a --fitting that is none.
func checkNumberFlag(cmd *cobra.Command, number int) error {
	if cmd.Flags().Changed("fitting") && number < 1 {
		return usagef("--fitting %d: fittings are numbered from 1", number)
	}
	return nil
}

// fittingText refuses a text that a file may not hold, and takes the white
// space off its ends.
func fittingText(what, text string) (string, error) {
	if c, bad := pattern.Unprintable(text); bad {
		return "", fmt.Errorf("%s holds the control character %U; leave it out", what, c)
	}
	return strings.TrimSpace(text), nil
}

// block prints a text of any length behind a head, its further lines set in.
func (o *opened) block(in, text string) {
	text = strings.ReplaceAll(repo.Printable(text), "\n", "\n"+in+"  ")
	o.say("%s%s", in, text)
}

// noteKeys offers the notes that keep says, with what was seen.
func (a *app) noteKeys(keep func(pattern.Note) bool) completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		var keys []string
		for _, f := range o.Fittings {
			for _, n := range f.Notes {
				if keep(n) {
					keys = append(keys, f.Key(n)+"\t"+firstLine(n.Seen))
				}
			}
		}
		return keys
	})
}

// firstLine is the first line of a text, fit for a terminal, at most 60
// characters of it.
func firstLine(text string) string {
	line, _, cut := strings.Cut(strings.TrimSpace(repo.Printable(text)), "\n")
	line = strings.ReplaceAll(line, "\t", " ")
	const most = 60
	if r := []rune(line); len(r) > most {
		line, cut = strings.TrimSpace(string(r[:most])), true
	}
	if cut {
		line += "…"
	}
	return line
}

// openNoteKeys are the notes that no version has answered, in order.
func openNoteKeys(p *pattern.Pattern) []string {
	keys := []string{}
	for _, f := range p.Fittings {
		for _, n := range f.Notes {
			if n.Open() {
				keys = append(keys, f.Key(n))
			}
		}
	}
	return keys
}

// pendingAnswers are the notes that the next version answers: those said so
// and those of alterations made since the last version. What is answered or
// gone by now is left out.
func (o *opened) pendingAnswers() ([]string, error) {
	p, _, err := o.pendingNow()
	if err != nil {
		return nil, err
	}
	all := slices.Clone(p.Answers)
	for _, m := range p.Made {
		all = append(all, m.Answers...)
	}
	return slices.DeleteFunc(once(all), func(key string) bool {
		_, n, err := o.FindNote(key)
		return err != nil || !n.Open()
	}), nil
}

// withPendingAnswers are the notes that the next version answers, those said
// with it last.
func (o *opened) withPendingAnswers(said []string) ([]string, error) {
	pending, err := o.pendingAnswers()
	return once(append(pending, said...)), err
}
