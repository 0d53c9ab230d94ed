package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/render"
	"toile/render/paper"
)

type printOptions struct {
	output, paper, set, lay, measured string
	pieces                            []string
	changed                           bool
}

func newPrint(a *app) *cobra.Command {
	var opt printOptions
	cmd := &cobra.Command{
		Use:   "print [V] -o FILE.pdf | print --changed FROM [TO] -o FILE.pdf",
		Short: "Print pieces at true size, as PDF",
		Long: `Writes a PDF of the pieces at true size: cutting line, sewing line, notches, marks,
grain, names, and how each is cut from which cloth. A version is typed as for
diff; without one it is the working pattern. --piece prints that piece alone, and
may stand several times; --for chooses the allowances, the first set unless said.

A piece larger than a sheet is divided, portrait or landscape, whichever takes
fewer sheets, and small ones share a sheet; sheets that would be empty are left
out. Every sheet says piece, version, day, fitting, row and column. The first page
is a plan with a square of 10 cm to measure. A printer that draws it 9.92 cm wide
is put right with --measured 99.2mm, or across and down with 99.2mm,99.6mm.

--changed prints only what differs between two versions, or between FROM and the
working pattern: strips to paste onto the paper that is there, with a margin for
the glue, or to cut it along, and the places of new notches, marks and lines.

A file that is no print of toile's, or was changed since, is never written over.
docs/printing.md has the whole way from printer to paste.

` + exitCodes,
		Example: `  toile print -o smock.pdf
  toile print fitting-2 -o toile.pdf --for toile --paper Letter
  toile print -o front.pdf --piece front --piece "front facing" --measured 99.2mm
  toile print --changed 3 5 -o strips.pdf`,
		Args: cobra.MaximumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := opt.usage(args); err != nil {
				return err
			}
			return a.open(false, func(o *opened) error { return o.print(args, opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), a.versions(), nothing),
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "the print's `FILE`, ending in .pdf")
	f.StringVar(&opt.paper, "paper", "A4", "the `PAPER`: "+strings.Join(paper.SizeNames(), ", ")+" or WxH")
	f.StringVar(&opt.set, "for", "", "the allowance `SET`, such as cloth or toile")
	f.StringArrayVar(&opt.pieces, "piece", nil, "only this `PIECE`")
	f.StringVar(&opt.lay, "lay", "", "the `WAY` the sheets lie: portrait or landscape")
	f.StringVar(&opt.measured, "measured", "", "what the square of 10 cm measured: `L`, or L,L across and down")
	f.BoolVar(&opt.changed, "changed", false, "print only what changed")
	completeFlag(cmd, "paper", paper.SizeNames()...)
	completeFlagWith(cmd, "for", a.setNames())
	completeFlagWith(cmd, "piece", a.pieceNames())
	completeFlag(cmd, "lay", string(paper.Upright), string(paper.Level))
	completeFlagWith(cmd, "measured", nothing)
	return cmd
}

// printEnding is the ending of a print's file.
const printEnding = ".pdf"

// usage refuses what cannot be meant, whatever the pattern holds.
func (opt printOptions) usage(args []string) error {
	switch {
	case opt.output == "":
		return usagef("say where the print goes with -o FILE%s", printEnding)
	case opt.output != toStdout && !strings.EqualFold(filepath.Ext(opt.output), printEnding):
		return usagef("-o is %q; a print is written as PDF, so name a file that ends in %s, or %s to print it", opt.output, printEnding, toStdout)
	case opt.changed && len(args) == 0:
		return usagef("--changed needs the version of the paper that is there, and may have the one to bring it to: toile print --changed FROM [TO] -o FILE%s", printEnding)
	case !opt.changed && len(args) > 1:
		return usagef("only one version is printed; with --changed it is what changed between two")
	case opt.lay != "":
		return oneOf("lay", opt.lay, string(paper.Upright), string(paper.Level))
	}
	return nil
}

func (o *opened) print(args []string, opt printOptions) error {
	of := args
	if opt.changed {
		of = args[1:]
	}
	s, err := o.oneSide(of)
	if err != nil {
		return err
	}
	if len(s.Pieces) == 0 {
		return fmt.Errorf("%s has no pieces to print; bring some in with `toile trace FILE`", s.words())
	}
	job, sheet, set, err := o.printJob(s, opt)
	if err != nil {
		return err
	}
	printing := render.NewPrint(sheet, set, job)
	if opt.changed {
		err = o.printChanged(args, s, &job, printing, set, opt)
	} else {
		err = printWhole(s, &job, printing, set, opt)
	}
	if err == nil {
		job.Legend, err = printing.Legend(paper.LegendWide)
	}
	if err != nil {
		return err
	}
	if len(job.Plots) == 0 {
		o.advise("Nothing of it has to be printed.")
		for _, section := range job.Sections {
			for _, line := range section.Lines {
				o.say("%s", line)
			}
		}
		return nil
	}
	return o.writePrint(job, opt)
}

// printJob is what every print of a version has.
func (o *opened) printJob(s diffSide, opt printOptions) (job paper.Job, sheet render.Sheet, set string, err error) {
	job = paper.Job{Title: s.Name, Unit: s.Unit, Lay: paper.Lay(opt.lay), Measured: [2]float64{paper.Square, paper.Square}, Made: o.day()}
	if set, err = s.chosenSet(opt.set); err != nil {
		return job, sheet, set, err
	}
	if job.Paper, err = paper.ParseSize(opt.paper, s.Unit); err != nil {
		return job, sheet, set, usagef("--%w", err)
	}
	if opt.measured != "" {
		if job.Measured, err = o.measuredSquare(opt.measured, s.Unit); err != nil {
			return job, sheet, set, err
		}
	}
	version, err := o.drawnWords(s)
	if err != nil {
		return job, sheet, set, err
	}
	fitting, err := o.fittingOf(s)
	if err != nil {
		return job, sheet, set, err
	}
	day := o.now().Format(time.DateOnly)
	job.About = []string{version, fitting, "printed on " + day}
	job.Says = []string{"allowances: set " + set}
	return job, render.Sheet{Pattern: s.Name, Unit: s.Unit, Version: version, Date: day, Fitting: fitting}, set, nil
}

// day is the present day without its hour, so that the same pattern printed
// again on it is the same file.
func (o *opened) day() time.Time {
	year, month, day := o.now().Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// fittingOf names the fitting of a version, that of the last one for the working
// pattern.
func (o *opened) fittingOf(s diffSide) (string, error) {
	kept := s.kept
	if kept == nil {
		last, err := o.repo.Last()
		if err != nil {
			return "", err
		}
		kept = last
	}
	if kept != nil {
		if words, err := o.fittingWordsNow(s.Pattern, kept.Fitting); words != "" || err != nil {
			return words, err
		}
	}
	return "no fitting", nil
}

// The square of 10 cm is put right within these bounds, in mm; what is further
// off is a setting of the printer and no error of it. beyondFeed is the most
// that rollers and heat do to paper.
const (
	leastMeasured    = 80.0
	greatestMeasured = 125.0
	beyondFeed       = 2.0
)

// measuredSquare reads L, or L,L.
func (o *opened) measuredSquare(text string, unit units.Unit) (sides [2]float64, err error) {
	parts := strings.Split(text, ",")
	if len(parts) > 2 {
		return sides, usagef("--measured is %q; give one length, or two with a comma between them, across and down", text)
	}
	for i := range sides {
		part := strings.TrimSpace(parts[min(i, len(parts)-1)])
		if sides[i], err = units.ParsePositive(part, unit); err != nil {
			return sides, usagef("--measured: %w", err)
		}
		if sides[i] < leastMeasured || sides[i] > greatestMeasured {
			return sides, usagef("--measured is %s; the square is %s, and a printer that makes %s of it is set to another size: print at \"actual size\" or 100 %% and measure again",
				part, unit.Format(paper.Square), unit.Format(sides[i]))
		}
		if d := sides[i] - paper.Square; i < len(parts) && (d > beyondFeed || d < -beyondFeed) {
			o.advise("The square came out %s instead of %s. That is more than printers err by; look first whether it printed \"fit to page\".", unit.Format(sides[i]), unit.Format(paper.Square))
		}
	}
	return sides, nil
}

// chosenPieces are those named, all where none is.
func (s diffSide) chosenPieces(names []string) ([]*pattern.Piece, error) {
	if len(names) == 0 {
		return s.Pieces, nil
	}
	var chosen []*pattern.Piece
	for _, name := range names {
		q, err := s.piece(name)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(chosen, q) {
			chosen = append(chosen, q)
		}
	}
	return chosen, nil
}

// printWhole adds whole pieces and the cutting list.
func printWhole(s diffSide, job *paper.Job, printing *render.Print, set string, opt printOptions) error {
	pieces, err := s.chosenPieces(opt.pieces)
	if err != nil {
		return err
	}
	var mind []string
	for _, q := range pieces {
		shown, says, err := s.legible(q)
		if err != nil {
			return err
		}
		if says != "" {
			mind = append(mind, says)
		}
		q := shown
		plot, missed, err := printing.Piece(q)
		if err != nil {
			return fmt.Errorf("%w; or choose other allowances with --for, or print the other pieces with --piece", err)
		}
		job.Plots = append(job.Plots, plot)
		if len(missed) > 0 {
			mind = append(mind, q.Name+": no room in the drawing for "+strings.Join(render.FirstOf(missed), "; "))
		}
		if !slices.ContainsFunc(q.Edges, func(e pattern.Edge) bool { return e.AllowanceFor(set) != 0 }) {
			mind = append(mind, q.Name+": no allowance in the set "+set+"; the thick line is the sewing line")
		}
	}
	all, cloths := s.CuttingList(set)
	rows := slices.DeleteFunc(all, func(r pattern.CutRow) bool { return !slices.Contains(pieces, r.Piece) })
	if err := s.legibleRows(rows); err != nil {
		return err
	}
	lines := cutRowLines(s.Unit, rows)
	if len(rows) == len(s.Pieces) {
		for _, line := range clothLines(s.Unit, cloths) {
			lines = append(lines, "in all from "+line)
		}
	}
	if len(mind) > 0 {
		job.Sections = append(job.Sections, paper.Section{Heading: "To mind", Lines: mind})
	}
	job.Sections = append(job.Sections, paper.Section{Heading: "Cutting list", Lines: lines},
		paper.Section{Heading: "When cutting", Lines: render.Cautions()})
	return nil
}

// printChanged adds what changed in the pieces, and what to do with it.
func (o *opened) printChanged(args []string, s diffSide, job *paper.Job, printing *render.Print, set string, opt printOptions) error {
	c, err := o.compare(args, true)
	if err != nil {
		return err
	}
	if !c.from.HasSet(set) {
		return fmt.Errorf("%s has no allowance set %q; choose one that both have with --for", c.from.words(), set)
	}
	from, err := o.drawnWords(c.from)
	if err != nil {
		return err
	}
	job.About = append([]string{"changed since " + from}, job.About...)
	wanted, err := c.wanted(opt.pieces)
	if err != nil {
		return err
	}
	var does, how, says []string
	for _, p := range c.Pieces {
		if p.State == change.Same || (len(wanted) > 0 && !wanted[p.Piece]) {
			continue
		}
		if err := c.legible(&p); err != nil {
			return err
		}
		printed, err := printing.Changed(p)
		if err != nil {
			return fmt.Errorf("%w; or choose other allowances with --for, or print the other pieces with --piece", err)
		}
		job.Plots = append(job.Plots, printed.Plots...)
		does = append(does, printed.Says...)
		for _, way := range printed.How {
			if !slices.Contains(how, way) {
				how = append(how, way)
			}
		}
		for _, ch := range p.Changes {
			says = append(says, p.Piece+": "+ch.Says)
		}
	}
	if len(does) == 0 {
		does = []string{"No piece changed from " + c.from.words() + " to " + s.words() + "."}
	}
	job.Sections = append(job.Sections, paper.Section{Heading: "What to do", Lines: append(does, how...)})
	if len(says) > 0 {
		job.Sections = append(job.Sections, paper.Section{Heading: "What changed", Lines: says})
	}
	return nil
}

// wanted are the pieces named, each on one side at least.
func (c *comparison) wanted(names []string) (map[string]bool, error) {
	wanted := map[string]bool{}
	for _, name := range names {
		only := &comparison{Diff: c.Diff, from: c.from, to: c.to}
		if err := only.keepPiece(name); err != nil {
			return nil, err
		}
		for _, p := range only.Pieces {
			wanted[p.Piece] = true
		}
	}
	return wanted, nil
}

// writePrint makes the file and says what it holds.
func (o *opened) writePrint(job paper.Job, opt printOptions) error {
	var b bytes.Buffer
	made, err := paper.Write(&b, job)
	if err != nil {
		return err
	}
	if len(made.Lacking) > 0 {
		o.advise("The letters of the print have no sign for %s; a question mark stands for each.", strings.Join(made.Lacking, " "))
	}
	if opt.output == toStdout {
		_, err := b.WriteTo(&o.result)
		return err
	}
	if err := mayPrintOver(opt.output); err != nil {
		return err
	}
	if err := writeFile(opt.output, b.Bytes()); err != nil {
		return err
	}
	o.say("printed: %s, %s of %s and %s", opt.output, count(made.Sheets, "sheet", "sheets"), job.Paper.Name,
		count(made.Plan, "page of plan", "pages of plan"))
	o.advise("Print page 1 first, at actual size, and measure the square of 10 cm both ways.")
	return nil
}

// mayPrintOver refuses a path at which something lies that is no print of
// toile's as it was written: notes in it are somebody's work.
func mayPrintOver(path string) error {
	if there, err := fileAt(path); !there {
		return err
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if len(text) > 0 && !paper.Untouched(text) {
		return fmt.Errorf("%s is there already and is no print of toile's, or was changed since; name another place with -o, or move it away", path)
	}
	return nil
}
