package main

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"toile/diff"
	"toile/pattern"
	"toile/repo"
)

type commitOptions struct {
	fitting int
	answers []string
	who     string
	at      string
}

// maxVersionText is how many characters a version's text may have: some pages.
const maxVersionText = 10_000

func newCommit(a *app) *cobra.Command {
	var opt commitOptions
	cmd := &cobra.Command{
		Use:   "commit TEXT",
		Short: "Keep everything as the next version",
		Long: `Keeps the whole working pattern as the next version; TEXT says what changed and
why. Files edited by hand are checked first and written in their one printed
form. With nothing changed since the last version it is refused.

--fitting says for which fitting the version was made, --answers which notes it
answers, as FITTING.NOTE, besides those that ` + "`toile fitting answer`" + ` or an
alteration left to it. The author is --who, else what git is set to, else the
account's name.

` + exitCodes,
		Example: `  toile commit "as drafted"
  toile commit "hem taken up by 6 cm" --fitting 1 --answers 1.2 --answers 1.3`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("fitting") && opt.fitting < 1 {
				return usagef("--fitting %d: fittings are numbered from 1", opt.fitting)
			}
			return a.open(true, func(o *opened) error { return o.commit(args[0], opt) })
		},
		ValidArgsFunction: nothing,
	}
	f := cmd.Flags()
	f.IntVar(&opt.fitting, "fitting", 0, "the number `N` of the fitting it was made for")
	f.StringArrayVar(&opt.answers, "answers", nil, "a `NOTE` it answers, such as 2.1; may be given again")
	f.StringVar(&opt.who, "who", "", "the author's `NAME`")
	f.StringVar(&opt.at, "at", "", "the time of the version, as in 2026-05-14T10:00:00+02:00 (`RFC3339`)")
	completeFlagWith(cmd, "fitting", a.fittingNumbers())
	completeFlagWith(cmd, "answers", a.openNotes())
	for _, flag := range []string{"who", "at"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

func (o *opened) commit(text string, opt commitOptions) error {
	at, err := opt.time(o.now)
	if err != nil {
		return err
	}
	if strings.TrimSpace(text) == "" {
		return errors.New("a version needs a text; say what changed and why")
	}
	if n := utf8.RuneCountInString(text); n > maxVersionText {
		return fmt.Errorf("the text has %d characters; at most %d are kept with a version: put the rest into a note or a file beside the pattern", n, maxVersionText)
	}
	last, before, err := o.readToCommit()
	if err != nil {
		return err
	}
	if opt.fitting != 0 {
		if _, err := o.Fitting(opt.fitting); err != nil {
			return o.fittingHelp(err)
		}
	}
	if opt.answers, err = o.withPendingAnswers(opt.answers); err != nil {
		return err
	}
	number := 1
	if last != nil {
		number = last.Number + 1
	}
	if err := o.answer(opt.answers, number); err != nil {
		return err
	}
	files, err := o.encode()
	if err != nil {
		return err
	}
	if err := o.withRecipes(files, before); err != nil {
		return err
	}
	v, err := o.repo.Commit(files, repo.CommitOptions{Text: text, Author: o.repo.DefaultAuthor(opt.who), Time: at, Fitting: opt.fitting, Answers: opt.answers, Same: slices.Sorted(maps.Keys(o.unread))})
	if errors.Is(err, repo.ErrNothingChanged) {
		return fmt.Errorf("nothing has changed since version %d, so there is nothing to keep; alter something first", number-1)
	}
	if err != nil {
		return err
	}
	if err := o.repo.SetPending(nil); err != nil {
		o.advise("The recipes are kept with the version; that they are could not be noted (%v).", err)
	}
	return o.sayCommitted(v, before)
}

// readToCommit reads the working pattern and the last version, an empty pattern
// before the first. What this program kept is in its printed form, so that then no
// more is read than what differs, and what goes with it.
func (o *opened) readToCommit() (last *repo.Version, before *pattern.Pattern, err error) {
	if last, err = o.repo.Last(); err != nil {
		return nil, nil, err
	}
	if last != nil && last.Branch != "" {
		t, ok, err := o.readTogether(diffSide{kept: last}, workingSide())
		if err != nil {
			return nil, nil, err
		}
		if ok {
			before, o.Pattern = t.patterns[0], t.patterns[1]
			now := t.sides[1]
			if o.files, err = now.some(func(file string) bool { return file == repo.RecipesFile || file == repo.AttributesFile }); err != nil {
				return nil, nil, err
			}
			o.unread = maps.Clone(now.ids)
			maps.DeleteFunc(o.unread, func(file, _ string) bool { return !isPiece(file) || t.reads(file) })
			return last, before, nil
		}
	}
	if err := o.decodeWorking(); err != nil {
		return nil, nil, err
	}
	before, err = o.patternBefore(last)
	return last, before, err
}

// time reads --at; without it the time is now.
func (opt commitOptions) time(now func() time.Time) (time.Time, error) {
	if opt.at == "" {
		return now(), nil
	}
	at, err := time.Parse(time.RFC3339, opt.at)
	if err != nil {
		return at, usagef("--at is %q; write the time as in 2026-05-14T10:00:00+02:00", opt.at)
	}
	return at, nil
}

// once leaves out what stands in a list before.
func once(words []string) []string {
	var out []string
	for _, w := range words {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// answer marks notes as answered by the version with that number.
func (o *opened) answer(notes []string, number int) error {
	for _, key := range notes {
		_, n, err := o.openNote(key)
		if err != nil {
			return err
		}
		n.Answered = number
	}
	return nil
}

// sayCommitted names the version and what it changed: pieces, seams, layers,
// fittings.
func (o *opened) sayCommitted(v repo.Version, before *pattern.Pattern) error {
	changed, added, removed, err := o.repo.Changed(v)
	if err != nil {
		return err
	}
	o.say("version %d: %s", v.Number, oneLine(v))
	for _, part := range []struct {
		what  string
		files []string
	}{{"new", added}, {"changed", changed}, {"removed", removed}} {
		if names := o.piecesIn(part.files); len(names) > 0 {
			o.say("  %s: %s", part.what, list(names))
		}
	}
	for _, line := range diff.SettingsNamed(before, o.Pattern) {
		o.say("  %s", line)
	}
	if len(v.Answers) > 0 {
		o.say("  answered: %s", list(v.Answers))
	}
	return nil
}

// piecesIn names the pieces among files; a piece that is no longer there goes
// by its file's name.
func (o *opened) piecesIn(files []string) []string {
	var names []string
	for _, file := range files {
		slug, ok := strings.CutPrefix(file, repo.PiecesFolder+"/")
		if !ok {
			continue
		}
		name := strings.TrimSuffix(slug, ".yaml")
		for _, q := range o.Pieces {
			if q.FileName() == file {
				name = q.Name
			}
		}
		names = append(names, name)
	}
	return names
}
