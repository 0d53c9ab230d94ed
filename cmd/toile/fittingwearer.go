package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/units"
)

// wearerData is what is known of a fitting's wearer.
type wearerData struct {
	Name     string             `json:"wearer"`
	Measures map[string]float64 `json:"measures"` // mm
}

func (w wearerData) empty() bool { return w.Name == "" && len(w.Measures) == 0 }

type wearerOptions struct {
	name                   string
	share, unshare, forget bool
	json                   bool
}

func newFittingWearer(a *app) *cobra.Command {
	var opt wearerOptions
	cmd := &cobra.Command{
		Use:   "wearer [N] [MEASURE=L…]",
		Short: "Keep name and measures of the wearer on this machine",
		Long: `Keeps the wearer's name and measures for the last fitting, or for fitting N: bust,
waist, hips, back length, whatever is measured. "waist=" takes one away. Without
anything to keep it shows what is known.

They stay on this machine, under .git/toile, and are part of no version, of
nothing that is sent and of no drawing. --share, given on purpose, writes them into
the fitting, so that the next version has them and everybody who gets the pattern;
--unshare takes them out again, but versions that have them keep them. --forget
takes them off this machine.

--json gives {fitting, wearer, measures, shared}; measures are mm by name.

` + exitCodes,
		Example: `  toile fitting wearer --name "A. Gardener" bust=92cm waist=74cm "back length=41cm"
  toile fitting wearer 2`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			number := 0
			if len(args) > 0 && !strings.Contains(args[0], "=") {
				var err error
				if number, err = fittingNumber(args[0]); err != nil {
					return err
				}
				args = args[1:]
			}
			if opt.share && opt.unshare || opt.forget && (opt.share || len(args) > 0 || cmd.Flags().Changed("name")) {
				return usagef("--share, --unshare and --forget each say another thing; give one")
			}
			if len(args) == 0 && !cmd.Flags().Changed("name") && !opt.share && !opt.unshare && !opt.forget {
				return a.read(func(o *opened) error { return o.showWearer(number, opt) })
			}
			return a.change(func(o *opened) error { return o.keepWearer(cmd, number, args, opt) })
		},
		ValidArgsFunction: inOrder(a.fittingNumbers(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.name, "name", "", "the wearer's `NAME`")
	f.BoolVar(&opt.share, "share", false, "write name and measures into the pattern, for everybody who gets it")
	f.BoolVar(&opt.unshare, "unshare", false, "take them out of the pattern again")
	f.BoolVar(&opt.forget, "forget", false, "take them off this machine")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "name", nothing)
	return cmd
}

// wearers reads what is known of the wearers, by the ids of the fittings.
func (o *opened) wearers() (map[string]wearerData, error) {
	all := map[string]wearerData{}
	text, err := o.repo.Private()
	if err != nil || len(text) == 0 {
		return all, err
	}
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, fmt.Errorf("what is kept of the wearers on this machine cannot be read (%w); mend or move away .git/toile/wearers", err)
	}
	return all, nil
}

// wearerOf is what is known of a fitting's wearer: on this machine, else as
// shared.
func (o *opened) wearerOf(f *pattern.Fitting) (wearerData, error) {
	all, err := o.wearers()
	if err != nil {
		return wearerData{}, err
	}
	if w, ok := all[f.ID]; ok {
		return w, nil
	}
	return wearerData{Name: f.Wearer, Measures: f.Measures}, nil
}

func (o *opened) showWearer(number int, opt wearerOptions) error {
	f, err := o.lastFitting(number)
	if err != nil {
		return err
	}
	w, err := o.wearerOf(f)
	if err != nil {
		return err
	}
	if opt.json {
		measures := w.Measures
		if measures == nil {
			measures = map[string]float64{}
		}
		return o.sayJSON(struct {
			Fitting  int                `json:"fitting"`
			Wearer   string             `json:"wearer"`
			Measures map[string]float64 `json:"measures"`
			Shared   bool               `json:"shared"`
		}{f.Number, w.Name, measures, shared(f)})
	}
	o.sayWearer(f, w)
	return nil
}

// shared reports whether the pattern itself holds data of the wearer.
func shared(f *pattern.Fitting) bool { return f.Wearer != "" || len(f.Measures) > 0 }

func (o *opened) sayWearer(f *pattern.Fitting, w wearerData) {
	if w.empty() && !shared(f) {
		o.say("fitting %d: nothing is known of the wearer", f.Number)
		return
	}
	name := ""
	if w.Name != "" {
		name = ", " + oneLined(w.Name)
	}
	where := "on this machine alone"
	if shared(f) {
		where = "shared with everybody who gets the pattern"
	}
	o.say("fitting %d%s: %s", f.Number, name, where)
	for _, m := range slices.Sorted(maps.Keys(w.Measures)) {
		o.say("  %s: %s", m, o.length(w.Measures[m]))
	}
}

// keepWearer changes what is kept, and shares it or takes it out where that is
// asked.
func (o *opened) keepWearer(cmd *cobra.Command, number int, measures []string, opt wearerOptions) error {
	f, err := o.lastFitting(number)
	if err != nil {
		return err
	}
	w, err := o.wearerOf(f)
	if err != nil {
		return err
	}
	w.Measures = maps.Clone(w.Measures)
	if cmd.Flags().Changed("name") {
		if w.Name, err = fittingText("--name", opt.name); err != nil {
			return err
		}
	}
	for _, text := range measures {
		if err := o.measureSaid(&w, text); err != nil {
			return err
		}
	}
	switch {
	case opt.forget:
		w = wearerData{}
	case opt.share && w.empty():
		return fmt.Errorf("nothing is known of the wearer of fitting %d, so that there is nothing to share; give a name with --name or a measure, as in waist=74cm", f.Number)
	case opt.share:
		f.Wearer, f.Measures = w.Name, w.Measures
		o.advise("The next version has the wearer's name and measures, and so does everybody who gets the pattern.")
	case opt.unshare:
		f.Wearer, f.Measures = "", nil
		o.advise("Versions that have the wearer's name and measures keep them.")
	}
	if shared(f) && !opt.share {
		o.advise("The pattern has name or measures of the wearer as they were shared before; --share writes them anew, --unshare takes them out.")
	}
	if err := o.setWearer(f, w); err != nil {
		return err
	}
	o.sayWearer(f, w)
	return nil
}

// measureSaid reads MEASURE=L; MEASURE= takes it away.
func (o *opened) measureSaid(w *wearerData, text string) error {
	name, amount, ok := cutLast(text)
	if !ok {
		return usagef("%q is no measure; write it as in waist=74cm", text)
	}
	name, err := pattern.CleanName(name)
	if err != nil {
		return err
	}
	if amount == "" {
		if _, ok := w.Measures[name]; !ok {
			return fmt.Errorf("there is no measure %q to take away; there are %s", name, list(slices.Sorted(maps.Keys(w.Measures))))
		}
		delete(w.Measures, name)
		return nil
	}
	mm, err := units.ParsePositive(amount, o.Unit)
	if err != nil {
		return usagef("%s: %w", name, err)
	}
	const most = 100_000 // mm, what a file takes
	if mm = units.Round(mm, 3); mm == 0 || mm > most {
		return fmt.Errorf("%s is %s; that is no measure of a person", name, amount)
	}
	if w.Measures == nil {
		w.Measures = map[string]float64{}
	}
	w.Measures[name] = mm
	return nil
}

// setWearer keeps what is known of a fitting's wearer on this machine.
func (o *opened) setWearer(f *pattern.Fitting, w wearerData) error {
	all, err := o.wearers()
	if err != nil {
		return err
	}
	if all[f.ID] = w; w.empty() {
		delete(all, f.ID)
	}
	if len(all) == 0 {
		return o.repo.SetPrivate(nil)
	}
	text, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return o.repo.SetPrivate(text)
}
