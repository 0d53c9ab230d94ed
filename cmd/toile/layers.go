package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/units"
)

type layersOptions struct {
	differences []string
	band        bool
}

func newLayers(a *app) *cobra.Command {
	var opt layersOptions
	cmd := &cobra.Command{
		Use:   "layers OUTER INNER…",
		Short: "Say what finishes to the same size",
		Long: `Says that inner pieces (facing, lining, interfacing) finish to the size of an
outer one. --difference declares where they are meant not to: what it is, and by
how much the inner piece, as drawn, is larger, or smaller when it is negative.
With --band the inner pieces follow in length alone, as a waistband, a collar or a
binding does. Saying it again for the same pieces replaces what was said before.

` + exitCodes,
		Example: `  toile layers front "front facing"
  toile layers back lining --difference "back pleat=2.5cm" --difference "hem=-2cm"`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.change(func(o *opened) error { return o.setLayers(args[0], args[1:], opt) })
		},
		ValidArgsFunction: a.pieceNames(),
	}
	cmd.Flags().StringArrayVar(&opt.differences, "difference", nil, "a declared difference, `WHAT=L`")
	cmd.Flags().BoolVar(&opt.band, "band", false, "they follow in length alone")
	completeFlagWith(cmd, "difference", nothing)
	return cmd
}

func (o *opened) setLayers(outer string, inner []string, opt layersOptions) error {
	q, err := o.Piece(outer)
	if err != nil {
		return err
	}
	l := pattern.Layer{Outer: q.Name, Band: opt.band}
	for _, name := range inner {
		in, err := o.Piece(name)
		if err != nil {
			return err
		}
		if in == q {
			return fmt.Errorf("%s cannot be a layer of itself; name the pieces that lie inside it", q.Name)
		}
		if slices.Contains(l.Inner, in.Name) {
			return fmt.Errorf("%s is named twice as a layer of %s; name it once", in.Name, q.Name)
		}
		l.Inner = append(l.Inner, in.Name)
	}
	for _, text := range opt.differences {
		what, amount, ok := cutLast(text)
		if !ok || what == "" {
			return usagef("--difference is %q; write WHAT=LENGTH, as in \"back pleat=2.5cm\"", text)
		}
		mm, err := units.ParseLength(amount, o.Unit)
		if err != nil {
			return usagef("--difference: %w", err)
		}
		l.Differences = append(l.Differences, pattern.Difference{What: what, By: mm})
	}
	o.replaceLayers(l)
	size := "size"
	if l.Band {
		size = "length"
	}
	o.say("to the %s of %s: %s", size, l.Outer, list(l.Inner))
	for _, d := range l.Differences {
		o.say("  but for %s: %s", d.What, o.Unit.FormatSigned(d.By))
	}
	return nil
}

// replaceLayers takes the layer's inner pieces out of what was said of the
// same outer piece before, and adds it.
func (o *opened) replaceLayers(l pattern.Layer) {
	var kept []pattern.Layer
	for _, old := range o.Layers {
		if old.Outer == l.Outer {
			n := len(old.Inner)
			old.Inner = slices.DeleteFunc(slices.Clone(old.Inner), func(name string) bool { return slices.Contains(l.Inner, name) })
			if len(old.Inner) < n {
				o.advise("%s had layers already; they are said anew.", l.Outer)
			}
			if len(old.Inner) == 0 {
				continue
			}
		}
		kept = append(kept, old)
	}
	o.Layers = append(kept, l)
}
