package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"toile/pattern"
)

// flagsAlone refuses flags where a command without arguments only lists.
func flagsAlone(cmd *cobra.Command, what string) error {
	var typed string
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if f.Name != "pattern" {
			typed = f.Name
		}
	})
	if typed != "" {
		return usagef("--%s says something of %s; name it", typed, what)
	}
	return nil
}

// listSeams prints every seam: its name, both sides, their lengths, section by
// section, and what is left open.
func (o *opened) listSeams() error {
	if len(o.Seams) == 0 {
		o.say("no seams yet; say what is sewn to what with `toile seam NAME A/EDGE C/EDGE`")
	}
	for i := range o.Seams {
		s := &o.Seams[i]
		sections, err := o.WalkSeam(s)
		if err != nil {
			return fmt.Errorf("seam %q: %w", s.Name, err)
		}
		words := ""
		if s.SameWay {
			words += ", the same way"
		}
		if s.Finish != "" {
			words += ", " + s.Finish
		}
		o.say("%s: %s to %s%s", s.Name, o.chainWords(s.First), o.chainWords(s.Second), words)
		for _, c := range sections {
			o.say("  %s", o.sectionWords(c))
		}
		for _, p := range s.Openings {
			o.say("  %s", o.openingWords(s, p))
		}
	}
	return nil
}

// chainWords is a chain as it is typed, with the lengths of an edge's part that is
// sewn.
func (o *opened) chainWords(c pattern.Chain) string {
	var parts []string
	for _, st := range c {
		text := st.String()
		if !st.Whole() {
			to := o.Unit.Typed(0) + "@end"
			if st.To != 0 {
				to = o.Unit.Typed(st.To)
			}
			head := st.Piece + "/" + st.Edge
			text = head + fmt.Sprintf(":%s:%s", o.Unit.Typed(st.From), to) + strings.TrimPrefix(text, head)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "+")
}

// listLayers prints what finishes to the size, or to the length, of which piece; of a
// piece that is named those layers in which it is, outer or inner.
func (o *opened) listLayers(of []string) error {
	layers := o.Layers
	if len(of) > 0 {
		q, err := o.Piece(of[0])
		if err != nil {
			return err
		}
		layers = slices.DeleteFunc(slices.Clone(layers), func(l pattern.Layer) bool { return l.Outer != q.Name && !slices.Contains(l.Inner, q.Name) })
		if len(layers) == 0 {
			o.say("%s is in no layer; say what finishes to its size with `toile layers %q INNER…`", q.Name, q.Name)
		}
	} else if len(layers) == 0 {
		o.say("no layers yet; say what finishes to the same size with `toile layers OUTER INNER…`")
	}
	for _, l := range layers {
		o.sayLayer(l)
	}
	return nil
}

func (o *opened) sayLayer(l pattern.Layer) {
	size := "size"
	if l.Band {
		size = "length"
	}
	o.say("to the %s of %s: %s", size, l.Outer, list(l.Inner))
	for _, d := range l.Differences {
		words := ""
		if d.Edge != "" {
			words += fmt.Sprintf(" at %q", d.Edge)
		}
		if d.Piece != "" && len(l.Inner) > 1 {
			words += " of " + d.Piece
		}
		o.say("  but for %s%s: %s", d.What, words, o.Unit.FormatSigned(d.By))
	}
}
