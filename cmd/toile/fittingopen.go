package main

import (
	"crypto/rand"
	"errors"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
)

// fittingOptions are what is said of a fitting as a whole.
type fittingOptions struct {
	date, cloth, worn, closures, version string
}

// flags adds the flags to a command.
func (opt *fittingOptions) flags(a *app, cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&opt.date, "date", "", "the `DAY`, as in 2026-05-14; today unless said")
	f.StringVar(&opt.cloth, "cloth", "", "what the mock-up was made of, a `TEXT`")
	f.StringVar(&opt.worn, "worn", "", "what was worn underneath, shoes too, a `TEXT`")
	f.StringVar(&opt.closures, "closures", "", "which closures were pinned, a `TEXT`")
	f.StringVar(&opt.version, "version", "", "the version `V` that was sewn; the last unless said")
	for _, flag := range []string{"date", "cloth", "worn", "closures"} {
		completeFlagWith(cmd, flag, nothing)
	}
	completeFlagWith(cmd, "version", a.versions())
}

func newFittingOpen(a *app) *cobra.Command {
	var opt fittingOptions
	cmd := &cobra.Command{
		Use:   "open",
		Short: "Start the next fitting",
		Long: `Starts the next fitting of the mock-up: its day, cloth, what was worn underneath,
which closures were pinned, and the version that was sewn, the last one unless
said. Notes are then pinned with ` + "`toile fitting pin`" + `; what of earlier fittings is
still open is listed. All of it can be amended.

` + exitCodes,
		Example: `  toile fitting open --cloth "old sheet" --worn "thin shirt, flat shoes" --closures "front pinned"
  toile fitting open --date 2026-05-14 --version 5`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.change(func(o *opened) error { return o.openFitting(cmd, opt) })
		},
		ValidArgsFunction: nothing,
	}
	opt.flags(a, cmd)
	return cmd
}

func (o *opened) openFitting(cmd *cobra.Command, opt fittingOptions) error {
	if !cmd.Flags().Changed("date") {
		opt.date = o.now().Format(time.DateOnly)
		cobra.CheckErr(cmd.Flags().Set("date", opt.date))
	}
	f := &pattern.Fitting{Number: 1}
	if n := len(o.Fittings); n > 0 {
		f.Number = o.Fittings[n-1].Number + 1
	}
	if err := o.sayOf(f, cmd, opt); err != nil {
		return err
	}
	if opt.version == "" {
		last, err := o.repo.Last()
		if err != nil {
			return err
		}
		if last == nil {
			return errors.New("there is no version yet that could have been sewn; keep one first with `toile commit TEXT`")
		}
		f.Version = last.Number
	}
	before := openNoteKeys(o.Pattern)
	f.ID = o.NewFittingID(f, rand.Text())
	o.Fittings = append(o.Fittings, f)
	o.say("%s", o.fittingHead(f))
	o.adviseChanged(f)
	for i, key := range before {
		if i == 0 {
			o.say("still open from before")
		}
		of, n, err := o.FindNote(key)
		if err != nil {
			return err
		}
		o.sayNote(of, *n, false)
	}
	return nil
}

// adviseChanged says that the pieces are no longer as they were sewn.
func (o *opened) adviseChanged(f *pattern.Fitting) {
	v, err := o.versionSewn(f)
	if err != nil || v == nil {
		return
	}
	files, err := o.encode()
	if err != nil {
		return
	}
	changed, err := o.repo.Dirty(files)
	if last, lastErr := o.repo.Last(); err == nil && lastErr == nil && last != nil && (last.ID != v.ID || len(o.piecesIn(changed)) > 0) {
		o.advise("The pieces have changed since version %d, which was sewn; places are found on that version.", f.Version)
	}
}

// sayOf puts what was typed into a fitting and leaves the rest.
func (o *opened) sayOf(f *pattern.Fitting, cmd *cobra.Command, opt fittingOptions) error {
	for _, field := range []struct {
		flag, text string
		to         *string
	}{{"cloth", opt.cloth, &f.Cloth}, {"worn", opt.worn, &f.Worn}, {"closures", opt.closures, &f.Closures}} {
		if !cmd.Flags().Changed(field.flag) {
			continue
		}
		text, err := fittingText("--"+field.flag, field.text)
		if err != nil {
			return err
		}
		*field.to = text
	}
	if cmd.Flags().Changed("date") {
		if _, err := time.Parse(time.DateOnly, opt.date); err != nil {
			return usagef("--date is %q; write the day as in 2026-05-14", opt.date)
		}
		f.Date = opt.date
	}
	if opt.version == "" {
		return nil
	}
	v, err := o.repo.Resolve(opt.version)
	if err != nil {
		return err
	}
	f.Version = v.Number
	return nil
}

// sewn is the pattern as it was sewn for a fitting: the working pattern where
// the fitting says no version.
func (o *opened) sewn(f *pattern.Fitting) (*pattern.Pattern, error) {
	v, err := o.versionSewn(f)
	if err != nil {
		return nil, err
	}
	if v == nil {
		return o.Pattern, nil
	}
	return o.patternOf(*v)
}

// fittingHead says what a fitting was in one line.
func (o *opened) fittingHead(f *pattern.Fitting) string {
	head := fittingWords(o.Pattern, f.Number)
	if f.Version > 0 {
		head += ", " + o.sewnWords(f) + " sewn"
	}
	for _, part := range []struct{ what, text string }{{"in ", f.Cloth}, {"worn underneath: ", f.Worn}, {"closures: ", f.Closures}} {
		if part.text != "" {
			head += "; " + part.what + oneLined(part.text)
		}
	}
	return head
}
