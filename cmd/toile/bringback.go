package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

type bringBackOptions struct {
	piece, who, at string
}

func newBringBack(a *app) *cobra.Command {
	var opt bringBackOptions
	cmd := &cobra.Command{
		Use:   "bring-back V",
		Short: "Bring back the state of a version, as a new version",
		Long: `Makes a new version with the pieces, seams, layers and settings of version V.
Fittings and their notes stay as they are now, and nothing is dropped: the versions
in between stay in the history. With --piece only that piece comes back, under the
name it has now; seams and layers stay. What is in no version yet is kept first, as
a version of its own. The text says by itself what was brought back.

To take back what one version did and keep what came later, use ` + "`toile revert`" + `.

` + exitCodes,
		Example: `  toile bring-back 4
  toile bring-back first --piece "side panel"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("piece") && strings.TrimSpace(opt.piece) == "" {
				return usagef("--piece is empty; name the piece that is to come back")
			}
			return a.open(true, func(o *opened) error { return o.bringBack(args[0], opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.piece, "piece", "", "only this `PIECE`")
	f.StringVar(&opt.who, "who", "", "the author's `NAME`")
	f.StringVar(&opt.at, "at", "", "the time of the version, as in 2026-05-14T10:00:00+02:00 (`RFC3339`)")
	completeFlagWith(cmd, "piece", a.pieceNames())
	for _, flag := range []string{"who", "at"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

func (o *opened) bringBack(text string, opt bringBackOptions) error {
	at, err := commitOptions{at: opt.at}.time(o.now)
	if err != nil {
		return err
	}
	if _, err := o.lastVersion(); err != nil {
		return err
	}
	v, err := o.repo.Resolve(text)
	if err != nil {
		return err
	}
	if err := o.decodeOrMend(); err != nil {
		return err
	}
	then, err := o.patternOf(v)
	if err != nil {
		return err
	}
	back, what, err := o.broughtBack(then, v, opt.piece)
	if err != nil {
		return err
	}
	if len(o.mended) == 0 {
		if err := o.differs(back, what, v); err != nil {
			return err
		}
	} else if err := o.writeMended(); err != nil {
		return err
	}
	if err := o.keepUnsaved(fmt.Sprintf("Kept before version %d was brought back", v.Number)); err != nil {
		return err
	}
	title := fmt.Sprintf("Back to version %d: %s", v.Number, oneLine(v))
	if what != "" {
		title = what + " b" + title[1:]
	}
	err = o.keepBroughtBack(back, title, opt.who, at)
	if err == nil && opt.piece == "" {
		o.adviseAnswered(o.madeSince(v))
	}
	if len(o.mended) > 0 && errors.Is(err, repo.ErrNothingChanged) {
		return nil
	}
	return err
}

func (o *opened) keepBroughtBack(back repo.Files, text, who string, at time.Time) error {
	last, err := o.lastVersion()
	if err != nil {
		return err
	}
	before, err := o.patternBefore(&last)
	if err != nil {
		return err
	}
	kept, err := o.keepAs(back, text, o.repo.DefaultAuthor(who), at)
	if err != nil {
		return err
	}
	if err := o.decodeWorking(); err != nil {
		return err
	}
	return o.sayCommitted(kept, before)
}

// adviseAnswered reminds of the notes that stay marked as answered by versions
// that are undone now.
func (o *opened) adviseAnswered(undone []repo.Version) {
	numbered := func(n int) bool {
		return slices.ContainsFunc(undone, func(v repo.Version) bool { return v.Number == n })
	}
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			if n.Open() || !numbered(n.Answered) {
				continue
			}
			by, _, err := o.answering(f, n)
			if err != nil || by == nil || !slices.ContainsFunc(undone, func(v repo.Version) bool { return v.ID == by.ID }) {
				continue
			}
			o.advise("Note %s stays marked as answered by %s, which is undone now; `toile fitting answer %s --take-back` opens it again.",
				f.Key(n), o.answeredWords(f, n), f.Key(n))
		}
	}
}

// madeSince are the versions that the last one builds on and v does not.
func (o *opened) madeSince(v repo.Version) []repo.Version {
	all, err := o.repo.History()
	if err != nil {
		return nil
	}
	before, err := o.repo.HistoryOf(v)
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(all, func(w repo.Version) bool {
		return w.ID == v.ID || slices.ContainsFunc(before, func(b repo.Version) bool { return b.ID == w.ID })
	})
}

// broughtBack makes the files of the pattern as it is to be: the whole of a
// version but for the fittings, or one piece of it in the present pattern. what
// is the piece's name.
func (o *opened) broughtBack(then *pattern.Pattern, v repo.Version, piece string) (files repo.Files, what string, err error) {
	now := &opened{Pattern: o.Pattern.Clone(), repo: o.repo, reader: o.reader, files: repo.Files{repo.AttributesFile: o.files[repo.AttributesFile]}}
	if piece == "" {
		then.Fittings = now.Fittings
		now.Pattern = then
	} else if what, err = now.putBack(then, v, piece); err != nil {
		return nil, "", err
	}
	files, err = now.encode()
	if err != nil && piece != "" {
		err = fmt.Errorf("the %s of version %d does not fit the pattern of today: %w; alter what is named first, or bring back the whole version", what, v.Number, err)
	}
	return files, what, err
}

// putBack puts a piece of a version into the pattern, in the place and under
// the name of the one that it has become, which the id tells, else the name.
func (o *opened) putBack(then *pattern.Pattern, v repo.Version, name string) (string, error) {
	here, problem := o.Piece(name)
	is := func(q *pattern.Piece) bool { return here != nil && q.ID != "" && q.ID == here.ID }
	i := slices.IndexFunc(then.Pieces, is)
	if i < 0 {
		was, err := then.Piece(name)
		if err != nil {
			return "", fmt.Errorf("version %d: %w", v.Number, err)
		}
		i = slices.Index(then.Pieces, was)
		if problem != nil { // known by its old name alone
			k := slices.IndexFunc(o.Pieces, func(q *pattern.Piece) bool { return was.ID != "" && q.ID == was.ID })
			if k >= 0 {
				here = o.Pieces[k]
			}
		}
	}
	q := then.Pieces[i].Clone()
	if here != nil {
		q.Name, q.Slug = here.Name, here.Slug
		o.Put(q)
		return q.Name, nil
	}
	taken := func(slug string) bool {
		return slices.ContainsFunc(o.Pieces, func(p *pattern.Piece) bool { return p.Slug == slug })
	}
	if taken(q.Slug) {
		q.Slug = pattern.Slug(q.Name, taken)
	}
	o.Put(q)
	return q.Name, nil
}

// differs refuses to bring back what is there already.
func (o *opened) differs(back repo.Files, what string, v repo.Version) error {
	now, err := o.encode()
	if err != nil {
		return err
	}
	delete(now, repo.RecipesFile)
	if !maps.EqualFunc(now, back, bytes.Equal) {
		return nil
	}
	if what == "" {
		what = "the pattern"
	}
	then := ""
	if unsaved, err := o.repo.Dirty(o.files); err == nil && len(unsaved) > 0 {
		then = "; the last version is another, and `toile commit` keeps the folder as it lies"
	}
	return fmt.Errorf("%s is as in version %d already, so there is nothing to bring back%s", what, v.Number, then)
}
