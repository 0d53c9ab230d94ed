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
how much the inner piece is larger, or smaller when it is negative; WHAT@EDGE says
at which edge of the outer. Inner pieces named together lie side by side, as a
facing and its lining. Saying it again for the same pieces replaces what was said
before.

--band says instead that an edge follows others in length alone, as a waistband, a
collar or a binding does: PIECE/EDGE, and the edges it is sewn along, with + between.
A difference is by how much the band is longer.

` + exitCodes,
		Example: `  toile layers front "front facing"
  toile layers back lining --difference "back pleat=2.5cm" --difference "shorter hem@hemline=-2cm"
  toile layers "cuff/sleeve seam" sleeve/wrist --band --difference overlap=2cm`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.change(func(o *opened) error {
				if opt.band {
					return o.setBand(args, opt)
				}
				return o.setLayers(args[0], args[1:], opt)
			})
		},
		ValidArgsFunction: a.pieceNames(),
	}
	cmd.Flags().StringArrayVar(&opt.differences, "difference", nil, "a declared difference, `WHAT=L` or WHAT@EDGE=L")
	cmd.Flags().BoolVar(&opt.band, "band", false, "say that an edge follows others in length alone")
	completeFlagWith(cmd, "difference", nothing)
	return cmd
}

func (o *opened) setLayers(outer string, inner []string, opt layersOptions) error {
	q, err := o.Piece(outer)
	if err != nil {
		return err
	}
	l := pattern.Layer{Outer: q.Name}
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
	if l.Differences, err = o.differences(q, opt.differences); err != nil {
		return err
	}
	o.replaceLayers(l)
	o.say("to the size of %s: %s", l.Outer, list(l.Inner))
	for _, d := range l.Differences {
		o.say("  but for %s: %s", d.What, o.Unit.FormatSigned(d.By))
	}
	return nil
}

// differences reads WHAT=L and WHAT@EDGE=L; the edge is one of the outer, nil
// where there is none.
func (o *opened) differences(outer *pattern.Piece, texts []string) ([]pattern.Difference, error) {
	var all []pattern.Difference
	for _, text := range texts {
		what, amount, ok := cutLast(text)
		if !ok || what == "" {
			return nil, usagef("--difference is %q; write WHAT=LENGTH, as in \"back pleat=2.5cm\"", text)
		}
		mm, err := units.ParseLength(amount, o.Unit)
		if err != nil {
			return nil, usagef("--difference: %w", err)
		}
		d := pattern.Difference{What: what, By: mm}
		if k := strings.LastIndex(what, "@"); k > 0 && outer != nil {
			i, err := outer.EdgeIndex(strings.TrimSpace(what[k+1:]))
			if err != nil {
				return nil, fmt.Errorf("--difference: %w", err)
			}
			d.What, d.Edge = strings.TrimSpace(what[:k]), outer.Edges[i].Name
		}
		all = append(all, d)
	}
	return all, nil
}

// setBand says that an edge follows others in length.
func (o *opened) setBand(args []string, opt layersOptions) error {
	if len(args) != 2 {
		return usagef("a band is one edge and what it is sewn along: toile layers PIECE/EDGE PIECE/EDGE[+PIECE/EDGE…] --band")
	}
	own, err := o.ParseChain(args[0])
	if err != nil {
		return err
	}
	if len(own) != 1 {
		return usagef("a band is one edge; %s are %d", own, len(own))
	}
	b := pattern.Band{Piece: own[0].Piece, Edge: own[0].Edge}
	if b.Along, err = o.ParseChain(args[1]); err != nil {
		return err
	}
	if b.Differences, err = o.differences(nil, opt.differences); err != nil {
		return err
	}
	if err := o.ValidateBand(&b); err != nil {
		return err
	}
	k := slices.IndexFunc(o.Bands, func(old pattern.Band) bool { return old.Piece == b.Piece && old.Edge == b.Edge })
	if k >= 0 {
		o.advise("%s was a band already; it is said anew.", &b)
		o.Bands[k] = b
	} else {
		o.Bands = append(o.Bands, b)
	}
	has, wants, err := o.BandLength(&b)
	if err != nil {
		return err
	}
	o.say("%s follows the length of %s: %s, wanted %s", &b, b.Along, o.length(has), o.length(wants))
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
			old.Differences = slices.DeleteFunc(slices.Clone(old.Differences), func(d pattern.Difference) bool { return d.Piece != "" && !slices.Contains(old.Inner, d.Piece) })
		}
		kept = append(kept, old)
	}
	o.Layers = append(kept, l)
}
