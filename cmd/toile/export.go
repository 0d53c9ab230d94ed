package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/render/export"
)

type exportOptions struct {
	output, form, set string
	pieces            []string
}

// exportForms are the forms by the ending of their files.
var exportForms = []string{"svg", "dxf", "json"}

func newExport(a *app) *cobra.Command {
	var opt exportOptions
	cmd := &cobra.Command{
		Use:   "export [V] -o FILE|FOLDER",
		Short: "Write pieces for other programs: SVG, DXF, JSON",
		Long: `Writes pieces as other programs read them, at true size in millimetres, with
sewing line, cutting line, notches, grain and marks:

  SVG   for drawing programs; lines and marks in groups with their names
  DXF   after ASTM D6673, for cutters and plotters; one block a piece
  JSON  for programs; docs/schema holds its shape

The ending of FILE says which: .svg, .dxf or .json. A FOLDER gets one file a
piece, in the form of --as. A version is typed as for diff; without one it is the
working pattern. --piece exports that piece alone, and may stand several times;
--for chooses the allowances, the first set unless said. -o - prints the one file.

A file that is no export of toile's, or was changed since, is never written over.
toile trace reads SVG and DXF back. docs/exporting.md says what is in them.

` + exitCodes,
		Example: `  toile export -o smock.dxf
  toile export fitting-2 -o front.svg --piece front --for toile
  toile export 5 -o cutter --as dxf`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := opt.usage(); err != nil {
				return err
			}
			return a.open(false, func(o *opened) error { return o.export(args, opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), nothing),
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "the `FILE`, ending in .svg, .dxf or .json, or a folder")
	f.StringVar(&opt.form, "as", "", "the `FORM`: svg, dxf or json")
	f.StringVar(&opt.set, "for", "", "the allowance `SET`, such as cloth or toile")
	f.StringArrayVar(&opt.pieces, "piece", nil, "only this `PIECE`")
	completeFlag(cmd, "as", exportForms...)
	completeFlagWith(cmd, "for", a.setNames())
	completeFlagWith(cmd, "piece", a.pieceNames())
	return cmd
}

// ending is the form that the output's name ends in, "" for a folder.
func (opt exportOptions) ending() string {
	end := strings.TrimPrefix(strings.ToLower(filepath.Ext(opt.output)), ".")
	if slices.Contains(exportForms, end) {
		return end
	}
	return ""
}

// chosenForm is the form that was asked for.
func (opt exportOptions) chosenForm() string {
	if opt.form != "" {
		return opt.form
	}
	return opt.ending()
}

// usage refuses what cannot be meant, whatever the pattern holds.
func (opt exportOptions) usage() error {
	if opt.form != "" {
		if err := oneOf("as", opt.form, exportForms...); err != nil {
			return err
		}
	}
	end := opt.ending()
	switch {
	case opt.output == "":
		return usagef("say where the export goes with -o FILE, ending in .svg, .dxf or .json, or with -o FOLDER --as FORM")
	case opt.chosenForm() == "":
		return usagef("-o is %q; name a file that ends in .svg, .dxf or .json, or say the form of the files in a folder, or of what is printed, with --as", opt.output)
	case end != "" && end != opt.chosenForm():
		return usagef("--as %s and a file that ends in .%s contradict each other", opt.form, end)
	}
	return nil
}

func (o *opened) export(args []string, opt exportOptions) error {
	s, err := o.oneSide(args)
	if err != nil {
		return err
	}
	if len(s.Pieces) == 0 {
		return fmt.Errorf("%s has no pieces to export; bring some in with `toile trace FILE`", s.words())
	}
	job := export.Job{Pattern: s.Name, Made: o.day()}
	if job.Set, err = s.chosenSet(opt.set); err != nil {
		return err
	}
	if job.Version, err = o.drawnWords(s); err != nil {
		return err
	}
	if job.Pieces, err = s.chosenPieces(opt.pieces); err != nil {
		return err
	}
	if opt.output == toStdout || opt.ending() != "" {
		return o.exportOne(job, opt)
	}
	return o.exportEach(job, opt)
}

// exported makes one file.
func exported(job export.Job, form string) (text []byte, err error) {
	switch form {
	case "svg":
		text, err = job.SVG()
	case "dxf":
		text, err = job.DXF()
	default:
		text, err = job.JSON()
	}
	if err != nil {
		return nil, fmt.Errorf("%w; or choose other allowances with --for, or export the other pieces with --piece", err)
	}
	return text, nil
}

// exportOne writes all pieces into one file, or prints it.
func (o *opened) exportOne(job export.Job, opt exportOptions) error {
	text, err := exported(job, opt.chosenForm())
	if err != nil {
		return err
	}
	if opt.output == toStdout {
		_, err := o.result.Write(text)
		return err
	}
	if err := mayExportOver(opt.output); err != nil {
		return err
	}
	if err := writeFile(opt.output, text); err != nil {
		return err
	}
	o.say("exported: %s, %s", opt.output, count(len(job.Pieces), "piece", "pieces"))
	return nil
}

// exportEach writes a file a piece. All are made, and every place is looked at,
// before the first is written.
func (o *opened) exportEach(job export.Job, opt exportOptions) error {
	if info, err := os.Stat(opt.output); err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file, whose name does not end in .svg, .dxf or .json; name a folder, or another file", opt.output)
	}
	var files []drawing
	for _, q := range job.Pieces {
		one := job
		one.Pieces = []*pattern.Piece{q}
		text, err := exported(one, opt.form)
		if err != nil {
			return err
		}
		files = append(files, drawing{q.Slug + "." + opt.form, text})
	}
	written, err := writeInto(opt.output, files, mayExportOver)
	for _, path := range written {
		o.say("exported: %s", path)
	}
	return err
}

// mayExportOver refuses a path at which something lies that is no export of
// toile's as it was written.
func mayExportOver(path string) error {
	if there, err := fileAt(path); !there {
		return err
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if len(text) > 0 && !export.Untouched(text) {
		return fmt.Errorf("%s is there already and is no export of toile's, or was changed since; name another place with -o, or move it away", path)
	}
	return nil
}
