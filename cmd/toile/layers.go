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
	apart       bool
}

func newLayers(a *app) *cobra.Command {
	var opt layersOptions
	cmd := &cobra.Command{
		Use:   "layers [OUTER INNER…]",
		Short: "Say what finishes to the same size",
		Long: `Says that inner pieces (facing, lining, interfacing) finish to the size of an
outer one. --difference declares where they are meant not to: what it is, and by
how much the inner piece, as drawn, is larger, or smaller when it is negative.
With --band the inner pieces follow in length alone, as a waistband, a collar or a
binding does. WHAT@EDGE says at which edge of the outer the difference is. Inner
pieces named together lie side by side, as a facing and its lining. Saying it again
for the same pieces replaces what was said before. With --difference, pieces that
are layers already stay with those they lie beside, and what else was declared
stays; WHAT= alone takes a difference away. With --apart they finish to its size no
longer. Without pieces the layers that there are are listed; of one piece alone those
in which it is.

` + exitCodes,
		Example: `  toile layers front "front facing"
  toile layers back lining --difference "back pleat=2.5cm" --difference "shorter hem@hemline=-2cm"
  toile layers front "front lining" --difference "turn of cloth@front edge=-2mm"
  toile layers sleeve cuff --band
  toile layers front "pocket bag" --apart
  toile layers
  toile layers front`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 {
				return flagsAlone(cmd, "a layer")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) < 2 {
				return a.read(func(o *opened) error { return o.listLayers(args) })
			}
			if opt.apart {
				if opt.band || len(opt.differences) > 0 {
					return usagef("--apart takes pieces out of the layers; leave --band and --difference out")
				}
				return a.change(func(o *opened) error { return o.layersApart(args[0], args[1:]) })
			}
			return a.change(func(o *opened) error { return o.setLayers(args[0], args[1:], opt) })
		},
		ValidArgsFunction: a.pieceNames(),
	}
	cmd.Flags().StringArrayVar(&opt.differences, "difference", nil, "a declared difference, `WHAT=L` or WHAT@EDGE=L")
	cmd.Flags().BoolVar(&opt.band, "band", false, "they follow in length alone")
	cmd.Flags().BoolVar(&opt.apart, "apart", false, "they finish to its size no longer")
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
	beside := o.layersBeside(l)
	if len(opt.differences) > 0 && beside >= 0 {
		l = o.Layers[beside]
	}
	if l.Differences, err = o.differences(q, l, inner, opt.differences); err != nil {
		return err
	}
	if len(opt.differences) > 0 && beside >= 0 {
		o.Layers[beside] = l
	} else {
		o.replaceLayers(l)
	}
	o.sayLayer(l)
	return nil
}

// layersBeside is the layer of the same kind in which all inner pieces of
// another lie beside each other already; −1 where there is none.
func (o *opened) layersBeside(l pattern.Layer) int {
	return slices.IndexFunc(o.Layers, func(old pattern.Layer) bool {
		return old.Outer == l.Outer && old.Band == l.Band &&
			!slices.ContainsFunc(l.Inner, func(name string) bool { return !slices.Contains(old.Inner, name) })
	})
}

// differences are those of a layer with the typed ones, which take the place of
// one of the same words and edge, or take it away. Where not all of its pieces
// are named, they are declared of those that are.
func (o *opened) differences(outer *pattern.Piece, l pattern.Layer, inner, typed []string) ([]pattern.Difference, error) {
	all := slices.Clone(l.Differences)
	of := []string{""}
	if len(inner) < len(l.Inner) {
		of = nil
		for _, name := range inner {
			q, err := o.Piece(name)
			if err != nil {
				return nil, err
			}
			of = append(of, q.Name)
		}
	}
	for _, text := range typed {
		what, amount, _ := cutLast(text)
		gone := amount == "" && what != ""
		if gone {
			text = what + "=0"
		}
		d, err := o.difference(outer, text)
		if err != nil {
			return nil, err
		}
		for _, piece := range of {
			d.Piece = piece
			k := slices.IndexFunc(all, func(old pattern.Difference) bool {
				return old.What == d.What && (old.Edge == d.Edge || gone && d.Edge == "") && (old.Piece == piece || piece == "" || old.Piece == "")
			})
			switch {
			case gone && k < 0:
				return nil, fmt.Errorf("%s: no difference %q is declared of %s, so none is to take away", outer.Name, what, list(l.Inner))
			case gone:
				all = slices.Delete(all, k, k+1)
			case k >= 0:
				d.Piece = all[k].Piece
				all[k] = d
			default:
				all = append(all, d)
			}
		}
	}
	return all, nil
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

// layersApart takes inner pieces out of the layers of an outer one, with what was
// declared of them alone.
func (o *opened) layersApart(outer string, inner []string) error {
	q, err := o.Piece(outer)
	if err != nil {
		return err
	}
	for _, name := range inner {
		in, err := o.Piece(name)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(o.Layers, func(l pattern.Layer) bool { return l.Outer == q.Name && slices.Contains(l.Inner, in.Name) }) {
			return fmt.Errorf("%s is no layer of %s; `toile layers %q` lists its layers", in.Name, q.Name, q.Name)
		}
		o.takeOutOfLayers(q.Name, []string{in.Name})
		o.say("%s finishes to the size of %s no longer", in.Name, q.Name)
	}
	return nil
}

// replaceLayers takes the layer's inner pieces out of what was said of the
// same outer piece before, and adds it.
func (o *opened) replaceLayers(l pattern.Layer) {
	if o.takeOutOfLayers(l.Outer, l.Inner) {
		o.advise("%s had layers already; they are said anew.", l.Outer)
	}
	o.Layers = append(o.Layers, l)
}

// takeOutOfLayers takes inner pieces out of the layers of an outer one, and reports
// whether any was in them.
func (o *opened) takeOutOfLayers(outer string, inner []string) (taken bool) {
	var kept []pattern.Layer
	for _, old := range o.Layers {
		if old.Outer == outer {
			n := len(old.Inner)
			old.Inner = slices.DeleteFunc(slices.Clone(old.Inner), func(name string) bool { return slices.Contains(inner, name) })
			taken = taken || len(old.Inner) < n
			if len(old.Inner) == 0 {
				continue
			}
			old.Differences = slices.DeleteFunc(slices.Clone(old.Differences), func(d pattern.Difference) bool { return d.Piece != "" && !slices.Contains(old.Inner, d.Piece) })
		}
		kept = append(kept, old)
	}
	o.Layers = kept
	return taken
}
