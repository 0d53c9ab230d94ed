package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/geom"
	"toile/render"
)

type drawOptions struct {
	output string
	set    string
}

// toStdout as a drawing's file stands for stdout.
const toStdout = "-"

// drawingEnding is the ending of a drawing's file.
const drawingEnding = ".svg"

func newDraw(a *app) *cobra.Command {
	var opt drawOptions
	cmd := &cobra.Command{
		Use:   "draw PIECE",
		Short: "Draw one piece",
		Long: `Draws a piece at true size as SVG: sewing line and cutting line, notches, marks,
grain, edges with their lengths and allowances, the notes pinned to it, and which
version it is. The drawing goes into a file called as the piece in the current
folder, or where -o says, a name that ends in .svg; -o - prints it. --for chooses
the allowances, the first set unless said. A file that is no drawing of toile's is
never written over.

` + exitCodes,
		Example: `  toile draw front
  toile draw front --for toile -o front-mock-up.svg`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if opt.output != "" && opt.output != toStdout && !strings.EqualFold(filepath.Ext(opt.output), drawingEnding) {
				return usagef("-o is %q; a drawing is written as SVG, so name a file that ends in %s, or %s to print it", opt.output, drawingEnding, toStdout)
			}
			return a.read(func(o *opened) error { return o.draw(args[0], opt) })
		},
		ValidArgsFunction: inOrder(a.pieceNames(), nothing),
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "the drawing's `FILE`, - to print it")
	f.StringVar(&opt.set, "for", "", "the allowance `SET`, such as cloth or toile")
	completeFlagWith(cmd, "for", a.setNames())
	return cmd
}

func (o *opened) draw(name string, opt drawOptions) error {
	q, err := o.Piece(name)
	if err != nil {
		return err
	}
	set := opt.set
	if set == "" {
		set = o.Sets[0]
	}
	if !o.HasSet(set) {
		return fmt.Errorf("there is no allowance set %q; the sets are %s", set, list(o.Sets))
	}
	version, err := o.workingWords()
	if err != nil {
		return err
	}
	trail, err := o.noteTrail(diffSide{Pattern: o.Pattern})
	if err != nil {
		return err
	}
	sheet := render.Sheet{Pattern: o.Name, Unit: o.Unit, Version: version, Date: o.now().Format(time.DateOnly),
		Notes: pinnedNotes(o.Pattern, o.Pattern, trail.onPiece(workingSide(), q, geom.Motion{}))}
	var b bytes.Buffer
	if err := render.Piece(&b, sheet, q, set); err != nil {
		return err
	}
	if opt.output == toStdout {
		_, err := b.WriteTo(&o.result)
		return err
	}
	path := opt.output
	if path == "" {
		path = q.Slug + drawingEnding
	}
	if err := mayOverwrite(path); err != nil {
		return err
	}
	if err := writeFile(path, b.Bytes()); err != nil {
		return err
	}
	o.say("drawn: %s", path)
	return nil
}
