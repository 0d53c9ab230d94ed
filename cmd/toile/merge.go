package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/diff/merge"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render"
	"toile/repo"
)

// mergeOptions are those of merge and revert.
type mergeOptions struct {
	keep           []string
	shared, piece  string
	out            string
	who, at        string
	asked, typedAs string // what was typed, for the next step of a refusal
	refused        string // how a refusal begins

	reverted []repo.Version // the version that is taken back, none for one piece of it
	beside   *besideThem    // the files beside the pattern's own, nil where they stay
}

func newMerge(a *app) *cobra.Command {
	var opt mergeOptions
	cmd := &cobra.Command{
		Use:   "merge NAME",
		Short: "Bring in what was done on another branch, as a new version",
		Long: `Brings what was done on the branch NAME, or up to the version NAME, together with
what was done here, as a new version. Everything that one side changed is taken: an
edge's line, a corner's rounding, a notch, a mark, a seam, a layer, a setting, a
note. Where edges were only cut or run on to meet a changed one, they are made to
meet anew.

What both sides changed differently is told, with -o also drawn, and nothing
changes until --keep says for each which side counts: here or there for
everything, here:PIECE/EDGE or there:PIECE/EDGE for one, as the message names it,
here:PIECE for all of a piece; it may be given again. Where nothing was done here
since the branch began, the working pattern just moves to NAME's version.

Files beside the pattern's own that were kept with git are merged as git does it; one
that both sides changed in the same place is asked about as here:FILE, there:FILE.

` + exitCodes,
		Example: `  toile merge longer
  toile merge longer -o conflicts
  toile merge longer --keep there:back/hemline --keep here`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			opt.asked, opt.typedAs = args[0], "toile merge "+args[0]
			opt.refused = "nothing was merged yet, for both sides changed the same thing, each in its own way"
			return a.open(true, func(o *opened) error { return o.mergeNamed(opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), nothing),
	}
	opt.flags(cmd)
	cmd.Flags().StringVar(&opt.shared, "shared", "", "the version `V` that both sides go back to, where there are several")
	completeFlagWith(cmd, "shared", a.versions())
	return cmd
}

// flags are those that merge and revert have in common.
func (opt *mergeOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringArrayVar(&opt.keep, "keep", nil, "which `SIDE` counts where both changed something: here or there, or here:PIECE/EDGE; may be given again")
	f.StringVarP(&opt.out, "out", "o", "", "draw what is in conflict into this `DIR`")
	f.StringVar(&opt.who, "who", "", "the author's `NAME`")
	f.StringVar(&opt.at, "at", "", "the time of the version, as in 2026-05-14T10:00:00+02:00 (`RFC3339`)")
	cobra.CheckErr(cmd.MarkFlagDirname("out"))
	completeFlag(cmd, "keep", "here", "there")
	for _, flag := range []string{"who", "at"} {
		completeFlagWith(cmd, flag, nothing)
	}
}

// answers reads --keep.
func (opt mergeOptions) answers() ([]merge.Answer, error) {
	var all []merge.Answer
	for _, text := range opt.keep {
		a, err := merge.ParseAnswer(text)
		if err != nil {
			return nil, usagef("--keep: %w", err)
		}
		for _, b := range all {
			if b.Where == a.Where && b.Side != a.Side {
				what := "everything"
				if a.Where != "" {
					what = fmt.Sprintf("%q", a.Where)
				}
				return nil, usagef("--keep says both here and there for %s; give one of them", what)
			}
		}
		all = append(all, a)
	}
	return all, nil
}

func (o *opened) mergeNamed(opt mergeOptions) error {
	if _, err := opt.answers(); err != nil {
		return err
	}
	here, err := o.lastVersion()
	if err != nil {
		return err
	}
	there, err := o.repo.Resolve(opt.asked)
	if err != nil {
		return err
	}
	shared, err := o.sharedVersion(here, there, opt)
	if err != nil {
		return err
	}
	if shared.ID == there.ID {
		return fmt.Errorf("everything of %s is here already, so there is nothing to merge", o.versionSaid(there, opt.asked))
	}
	if err := o.decodeWorking(); err != nil {
		return err
	}
	unsaved, err := o.repo.Dirty(o.files)
	if err != nil {
		return err
	}
	if shared.ID == here.ID && len(unsaved) == 0 {
		return o.forward(here, there, opt.asked)
	}
	in := merge.Input{Here: o.Pattern}
	if in.Shared, err = o.patternOf(shared); err != nil {
		return err
	}
	if in.There, err = o.patternOf(there); err != nil {
		return err
	}
	opt.beside = &besideThem{shared: shared, there: there}
	title := "Merged " + o.versionSaid(there, opt.asked)
	return o.keepMerged(in, opt, title, []string{there.ID})
}

// versionSaid names a version by what was typed for it.
func (o *opened) versionSaid(v repo.Version, typed string) string {
	if branches, err := o.repo.Branches(); err == nil {
		for _, b := range branches {
			if b.Name == typed {
				return fmt.Sprintf("%s (version %d)", typed, v.Number)
			}
		}
	}
	if strings.ContainsAny(typed, "/:") { // of a branch at a place, or of another one
		return fmt.Sprintf("%s (version %d)", typed, v.Number)
	}
	return fmt.Sprintf("version %d", v.Number)
}

// sharedVersion finds the version that both sides go back to. Several are a
// question.
func (o *opened) sharedVersion(here, there repo.Version, opt mergeOptions) (repo.Version, error) {
	found, err := o.repo.Shared(here, there)
	if err != nil {
		return repo.Version{}, err
	}
	if opt.shared != "" {
		v, err := o.repo.Resolve(opt.shared)
		if err != nil {
			return v, err
		}
		if !slices.ContainsFunc(found, func(f repo.Version) bool { return f.ID == v.ID }) {
			return v, fmt.Errorf("version %d is not one that both sides last go back to; those are %s", v.Number, versionNumbers(found))
		}
		return v, nil
	}
	switch len(found) {
	case 0:
		return repo.Version{}, fmt.Errorf("%s and what is here go back to no version in common, so that they cannot be merged; trace or alter here what is wanted of it", o.versionSaid(there, opt.asked))
	case 1:
		return found[0], nil
	}
	return repo.Version{}, fmt.Errorf("both sides go back to several versions, %s, because they were merged crosswise; say from which the changes count: `%s --shared %s`",
		versionNumbers(found), opt.typedAs, typedStart(found[0], found))
}

// versionNumbers lists versions with their texts; equal numbers are told apart by
// the start of the id.
func versionNumbers(versions []repo.Version) string {
	var words []string
	for _, v := range versions {
		words = append(words, fmt.Sprintf("%s (%s)", typedStart(v, versions), oneLine(v)))
	}
	return list(words)
}

// typedStart is what is typed for a version among others: its number, or where
// several bear it a start of its id.
func typedStart(v repo.Version, among []repo.Version) string {
	for _, w := range among {
		if w.ID != v.ID && w.Number == v.Number {
			return v.ID[:12]
		}
	}
	return fmt.Sprint(v.Number)
}

// forward moves the branch on where nothing was done here.
func (o *opened) forward(here, there repo.Version, typed string) error {
	before, err := o.patternOf(here)
	if err != nil {
		return err
	}
	if err := o.repo.Forward(there); err != nil {
		return err
	}
	if err := o.repo.SetPending(nil); err != nil {
		o.advise("The working pattern moved on; that no alteration is pending could not be noted (%v).", err)
	}
	if o.Pattern, err = o.patternOf(there); err != nil {
		return err
	}
	o.say("Nothing was done here since version %d, so the working pattern moved on to %s: %s", here.Number, o.versionSaid(there, typed), oneLine(there))
	o.sayWhatChanged(before)
	return nil
}

// keepMerged merges and keeps the result as a version, or says what has to be
// decided.
func (o *opened) keepMerged(in merge.Input, opt mergeOptions, title string, merges []string) error {
	at, err := commitOptions{at: opt.at}.time(o.now)
	if err != nil {
		return err
	}
	res, beside, err := o.mergeAll(in, opt)
	if err != nil {
		return err
	}
	if err := o.keepUnsaved("Kept before: " + title); err != nil {
		return err
	}
	before := o.Pattern
	title += decisions(res.Answered)
	for _, r := range res.Renumbered {
		title += "\n\n" + r
	}
	then, err := o.withoutRecipes()
	if err != nil {
		return err
	}
	o.Pattern = res.Pattern
	beside.put(o)
	files, err := o.withoutRecipes()
	if err != nil {
		return err
	}
	if len(merges) == 0 && maps.EqualFunc(then, files, bytes.Equal) && !beside.files.Changes() {
		return errors.New("that changes nothing: the pattern is already as it would be")
	}
	v, err := o.repo.Commit(files, repo.CommitOptions{Text: title, Author: o.repo.DefaultAuthor(opt.who), Time: at, Merges: merges, Beside: beside.files})
	if err != nil {
		return err
	}
	if err := o.repo.SetPending(nil); err != nil {
		o.advise("The version is kept; that no alteration is pending could not be noted (%v).", err)
	}
	if err := o.sayMerged(v, before, res); err != nil {
		return err
	}
	beside.say(o, in.Revert)
	if in.Revert {
		o.adviseAnswered(opt.reverted)
	}
	return nil
}

// mergeAll merges the pattern, and the files beside it where they are to be. What
// has to be decided is an error.
func (o *opened) mergeAll(in merge.Input, opt mergeOptions) (res merge.Result, beside *besideThem, err error) {
	if in.Keep, err = opt.answers(); err != nil {
		return res, nil, err
	}
	beside = opt.beside
	if beside == nil {
		beside = &besideThem{}
	} else if in.Keep, err = beside.merge(o, in.Keep); err != nil {
		return res, nil, err
	}
	in.Elsewhere = beside.where()
	if res, err = merge.Merge(in); err != nil {
		return res, nil, err
	}
	if open := slices.Concat(res.Conflicts, beside.open); len(open) > 0 {
		return res, nil, o.undecided(open, opt)
	}
	res.Answered = append(res.Answered, beside.answered...)
	return res, beside, nil
}

// decisions says, for the text of the version, which side was kept of what both
// sides had changed.
func decisions(answered []merge.Answered) string {
	var sides [2][]string
	for _, a := range answered {
		sides[a.Side] = append(sides[a.Side], a.Where)
	}
	var b strings.Builder
	for side, where := range sides {
		if len(where) > 0 {
			fmt.Fprintf(&b, "\nkept as %s: %s", merge.Side(side), list(where))
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "\n" + b.String()
}

// withoutRecipes prints the pattern's files for a version in which no
// alteration was made.
func (o *opened) withoutRecipes() (repo.Files, error) {
	files, err := o.encode()
	delete(files, repo.RecipesFile)
	return files, err
}

// sayMerged tells of the version, and of what was decided.
func (o *opened) sayMerged(v repo.Version, before *pattern.Pattern, res merge.Result) error {
	if err := o.sayCommitted(v, before); err != nil {
		return err
	}
	for _, a := range res.Answered {
		o.say("  decided: %s; kept: %s", a.Says, a.Side)
	}
	for _, s := range res.Says {
		o.say("  %s", s)
	}
	return nil
}

// sayWhatChanged lists the pieces that differ from a pattern before.
func (o *opened) sayWhatChanged(before *pattern.Pattern) {
	then, err := before.Encode()
	if err != nil {
		return
	}
	now, err := o.Encode()
	if err != nil {
		return
	}
	var changed []string
	for _, q := range o.Pieces {
		if !bytes.Equal(then[q.FileName()], now[q.FileName()]) {
			changed = append(changed, q.Name)
		}
	}
	if len(changed) > 0 {
		o.say("  new or changed: %s", list(changed))
	}
}

// undecided is the question: each conflict in a sentence, and what is typed.
func (o *opened) undecided(conflicts []change.Conflict, opt mergeOptions) error {
	var b strings.Builder
	b.WriteString(opt.refused + ":")
	for _, c := range conflicts {
		fmt.Fprintf(&b, "\n  %s\n    keep here:%s, or there:%s", c.Says, c.Where, c.Where)
	}
	drawn, err := o.drawConflicts(conflicts, opt)
	if err != nil {
		return err
	}
	for _, file := range drawn {
		fmt.Fprintf(&b, "\n  drawn: %s", file)
	}
	fmt.Fprintf(&b, "\nSay which side counts: `%s --keep here`, or --keep \"there:%s\" for one", opt.typedAs, conflicts[0].Where)
	if opt.out == "" {
		b.WriteString("; -o DIR draws them")
	}
	return errors.New(b.String())
}

// drawConflicts draws the pieces in conflict where a folder was named.
func (o *opened) drawConflicts(conflicts []change.Conflict, opt mergeOptions) ([]string, error) {
	if opt.out == "" {
		return nil, nil
	}
	var drawings []drawing
	taken := map[string]bool{}
	for i, c := range conflicts {
		if c.Piece == "" || slices.ContainsFunc(conflicts[:i], func(d change.Conflict) bool { return d.Piece == c.Piece }) {
			continue
		}
		of := slices.DeleteFunc(slices.Clone(conflicts), func(d change.Conflict) bool { return d.Piece != c.Piece })
		var b bytes.Buffer
		sheet := render.Sheet{Pattern: o.Name, Unit: o.Unit, Version: opt.typedAs, Date: o.now().Format(time.DateOnly)}
		if err := render.Conflicts(&b, sheet, of); err != nil {
			return nil, err
		}
		slug := pattern.Slug(c.Piece, func(s string) bool { return taken[s] })
		taken[slug] = true
		drawings = append(drawings, drawing{slug + ".svg", b.Bytes()})
	}
	if len(drawings) == 0 {
		return nil, nil
	}
	return writeDrawings(filepath.Clean(opt.out), drawings)
}
