package main

import (
	"fmt"
	"slices"
	"strings"

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
binding does. WHAT@EDGE says at which edge of the outer the difference is. Inner
pieces named together lie side by side, as a facing and its lining. Saying it again
for the same pieces replaces what was said before.

` + exitCodes,
		Example: `  toile layers front "front facing"
  toile layers back lining --difference "back pleat=2.5cm" --difference "shorter hem@hemline=-2cm"
  toile layers sleeve cuff --band`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.change(func(o *opened) error { return o.setLayers(args[0], args[1:], opt) })
		},
		ValidArgsFunction: a.pieceNames(),
	}
	cmd.Flags().StringArrayVar(&opt.differences, "difference", nil, "a declared difference, `WHAT=L` or WHAT@EDGE=L")
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
		d, err := o.difference(q, text)
		if err != nil {
			return err
		}
		l.Differences = append(l.Differences, d)
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

// difference reads WHAT=L or WHAT@EDGE=L, the edge being one of the outer.
func (o *opened) difference(outer *pattern.Piece, text string) (pattern.Difference, error) {
	what, amount, ok := cutLast(text)
	if !ok || what == "" {
		return pattern.Difference{}, usagef("--difference is %q; write WHAT=LENGTH, as in \"back pleat=2.5cm\"", text)
	}
	mm, err := units.ParseLength(amount, o.Unit)
	if err != nil {
		return pattern.Difference{}, usagef("--difference: %w", err)
	}
	d := pattern.Difference{What: what, By: mm}
	if k := strings.LastIndex(what, "@"); k > 0 {
		i, err := outer.EdgeIndex(strings.TrimSpace(what[k+1:]))
		if err != nil {
			return d, fmt.Errorf("--difference: %w", err)
		}
		d.What, d.Edge = strings.TrimSpace(what[:k]), outer.Edges[i].Name
	}
	return d, nil
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
			old.Differences = slices.DeleteFunc(slices.Clone(old.Differences), func(d pattern.Difference) bool { return d.Piece != "" && !slices.Contains(old.Inner, d.Piece) })
		}
		kept = append(kept, old)
	}
	o.Layers = append(kept, l)
}
