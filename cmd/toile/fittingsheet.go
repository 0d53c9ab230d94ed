package main

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/render"
)

type fittingSheetOptions struct {
	output, paper  string
	fitting        int
	measures, kids bool
}

func newFittingSheet(a *app) *cobra.Command {
	var opt fittingSheetOptions
	cmd := &cobra.Command{
		Use:   "sheet PIECE",
		Short: "Draw a piece with its notes, to print and write on",
		Long: `Draws a piece small enough for one sheet of paper, with the notes that are open and
those of the fitting, numbered at their places, and lines to write on. It is drawn
as it was sewn for the last fitting, or for --fitting N. It is for writing at a
fitting, not for cutting. -o names the file, -o - prints it; notes without room
go on in a second file, FILE-2.svg, and so on. A file that ends in .html holds all
of it, and any browser prints it at the paper's size.

The sheet bears cautions for pins, blades and irons, with --child one for cords as
well. The rules of the place you work in come first. Name and measures of the
wearer are left out unless --measures is given.

` + exitCodes,
		Example: `  toile fitting sheet front -o front-fitting.svg
  toile fitting sheet "side panel" -o panel.html --paper letter --fitting 2`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkNumberFlag(cmd, opt.fitting); err != nil {
				return err
			}
			if opt.output != toStdout && !strings.EqualFold(filepath.Ext(opt.output), drawingEnding) && !opt.asPage() {
				return usagef("-o is %q; name the file to draw, which ends in %s or %s, or %s to print it", opt.output, drawingEnding, albumEnding, toStdout)
			}
			if err := oneOf("paper", opt.paper, render.PaperNames()...); err != nil {
				return err
			}
			return a.read(func(o *opened) error { return o.fittingSheet(args[0], opt) })
		},
		ValidArgsFunction: inOrder(a.pieceNames(), nothing),
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "the drawing's `FILE`, - to print it")
	f.StringVar(&opt.paper, "paper", "a4", "the `PAPER`: a4, letter or a3")
	f.IntVar(&opt.fitting, "fitting", 0, "the number `N` of the fitting; the last unless said")
	f.BoolVar(&opt.measures, "measures", false, "with the wearer's name and measures")
	f.BoolVar(&opt.kids, "child", false, "the garment is for a child")
	completeFlag(cmd, "paper", render.PaperNames()...)
	completeFlagWith(cmd, "fitting", a.fittingNumbers())
	return cmd
}

// asPage says whether the sheets are written as one page for a browser.
func (opt fittingSheetOptions) asPage() bool {
	return strings.EqualFold(filepath.Ext(opt.output), albumEnding)
}

func (o *opened) fittingSheet(name string, opt fittingSheetOptions) error {
	f, err := o.lastFitting(opt.fitting)
	if err != nil {
		return err
	}
	sewn, err := o.sewn(f)
	if err != nil {
		return err
	}
	q, now, err := o.pieceSewn(sewn, f, name)
	if err != nil {
		return err
	}
	s := render.FittingSheet{Sheet: render.Sheet{Pattern: o.Name, Unit: o.Unit, Date: o.now().Format(time.DateOnly), Fitting: fittingWords(o.Pattern, f.Number)},
		Paper: opt.paper, Child: opt.kids}
	if f.Version > 0 {
		s.Version = fmt.Sprintf("version %d, as sewn", f.Version)
	}
	for _, part := range []struct{ what, text string }{{"cloth: ", f.Cloth}, {"worn underneath: ", f.Worn}, {"closures: ", f.Closures}} {
		s.Worn = append(s.Worn, part.what+part.text)
	}
	if s.Entries, err = o.sheetEntries(f, q, now); err != nil {
		return err
	}
	if opt.measures {
		if err := o.sheetMeasures(f, &s); err != nil {
			return err
		}
	}
	pages, err := render.FittingPages(s, q)
	if err != nil {
		return err
	}
	if opt.asPage() {
		pages = [][]byte{render.FittingPage(s, q.Name, pages)}
	}
	return o.writePages(pages, opt.output)
}

// sheetEntries are the notes of the piece that are open, were pinned at the
// fitting, or were seen again there.
// Those of earlier fittings lie where the piece was sewn for this one.
func (o *opened) sheetEntries(f *pattern.Fitting, q *pattern.Piece, piece string) ([]render.FittingNote, error) {
	trail, in, err := o.trailTo(f)
	if err != nil {
		return nil, err
	}
	var all []render.FittingNote
	for _, of := range o.Fittings {
		for _, n := range of.Notes {
			again := slices.ContainsFunc(n.Again, func(s pattern.SeenAgain) bool { return s.Fitting == f.Number })
			if of.Number > f.Number || (!n.Open() && of != f && !again) {
				continue
			}
			at, on := trail.on(of, n, in, q.Slug, piece)
			if !on {
				continue
			}
			e := render.FittingNote{Key: of.Key(n), State: o.noteState(of, n, false), Seen: n.Seen, Pinned: pinnedWords(n, o.Unit), ToDo: n.ToDo, Side: string(n.Side), Open: n.Open()}
			e.At = at
			if e.Place = o.placeSaid(of, n); n.Place == "" {
				e.Place = n.Edge
			}
			for _, s := range n.Again {
				e.Seen += fmt.Sprintf("; seen again at fitting %d", s.Fitting)
				if s.Seen != "" {
					e.Seen += ": " + s.Seen
				}
			}
			if n.OnToile {
				e.Place += " (on the mock-up)"
			}
			if n.Piece != piece && n.Piece != q.Name {
				e.Place = strings.TrimPrefix(e.Place+", pinned to "+n.Piece, ", ")
			}
			all = append(all, e)
		}
	}
	return all, nil
}

// placeSaid is the place of a note in words, by the piece as it was sewn: as it
// was typed where that is not known.
func (o *opened) placeSaid(f *pattern.Fitting, n pattern.Note) string {
	sewn, err := o.sewn(f)
	if err != nil {
		return n.Place
	}
	return o.inPlaceWords(sewn, f, n).Place
}

// sheetMeasures puts the wearer's name and measures on the sheet.
func (o *opened) sheetMeasures(f *pattern.Fitting, s *render.FittingSheet) error {
	w, err := o.wearerOf(f)
	if err != nil {
		return err
	}
	if w.Name != "" {
		s.Worn = append(s.Worn, "wearer: "+w.Name)
	}
	for _, m := range slices.Sorted(maps.Keys(w.Measures)) {
		s.Worn = append(s.Worn, m+": "+o.length(w.Measures[m]))
	}
	return nil
}

// writePages writes the sheets, the second and further ones beside the first.
func (o *opened) writePages(pages [][]byte, output string) error {
	if output == toStdout {
		if len(pages) > 1 {
			return fmt.Errorf("the notes take %d sheets, and one drawing holds one; name a file with -o", len(pages))
		}
		o.result.Write(pages[0])
		return nil
	}
	folder, file := filepath.Split(output)
	base, ending := strings.TrimSuffix(file, filepath.Ext(file)), filepath.Ext(file)
	var drawings []drawing
	for i, text := range pages {
		name := file
		if i > 0 {
			name = fmt.Sprintf("%s-%d%s", base, i+1, ending)
		}
		drawings = append(drawings, drawing{name, bytes.Clone(text)})
	}
	for _, d := range drawings {
		if err := mayOverwrite(filepath.Join(folder, d.name)); err != nil {
			return err
		}
	}
	for _, d := range drawings {
		path := filepath.Join(folder, d.name)
		if err := writeFile(path, d.text); err != nil {
			return err
		}
		o.say("drawn: %s", path)
	}
	return nil
}
