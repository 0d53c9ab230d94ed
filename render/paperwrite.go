package render

import (
	"fmt"
	"strings"

	"toile/pattern"
)

// toWrite says in sentences which words and figures on the paper are wrong now.
func (w patchwork) toWrite() []string {
	var out []string
	old, now := w.diff.Old, w.diff.New
	if old.Grain != nil && now.Grain == nil {
		out = append(out, "it has no grain line of its own any more; strike it out on the paper")
	}
	if old.Name != now.Name {
		out = append(out, fmt.Sprintf("it was called %q; write the new name on the paper", old.Name))
	}
	if words := cutWords(now); words != cutWords(old) {
		out = append(out, fmt.Sprintf("it is %s now; write that on the paper", words))
	}
	var named, figures []string
	for i, e := range now.Edges {
		k := old.EdgeByID(e.ID)
		if k < 0 {
			continue
		}
		was := old.Edges[k]
		if e.Name != was.Name {
			named = append(named, fmt.Sprintf("%s (was: %s)", e.Name, was.Name))
		}
		if e.Fold != was.Fold {
			out = append(out, fmt.Sprintf("edge %q is %s now; write that on the paper", e.Name, map[bool]string{true: "a fold", false: "no fold any more"}[e.Fold]))
		}
		if words := w.figures(now, i); words != w.figures(old, k) {
			figures = append(figures, e.Name+" "+words)
		}
	}
	for _, m := range w.calledOtherwise() {
		named = append(named, m)
	}
	if len(named) > 0 {
		out = append(out, "new names to write on the paper: "+strings.Join(named, ", "))
	}
	if len(figures) > 0 {
		out = append(out, "new figures to write on the paper: "+strings.Join(figures, "; "))
	}
	return out
}

// figures are the length and the allowance that the paper bears at an edge.
func (w patchwork) figures(q *pattern.Piece, edge int) string {
	d := &drawing{sheet: w.print.sheet}
	return d.edgeFigures(&shape{piece: q}, edge, w.print.set)
}

// calledOtherwise are the notches, marks and lines that stayed under new names.
func (w patchwork) calledOtherwise() []string {
	var out []string
	now := w.signsOf(w.diff.New)
	for _, was := range w.signsOf(w.diff.Old) {
		name := ""
		for _, s := range now {
			if s.looks == was.looks && w.at(was, s) && (name == "" || s.name == was.name) {
				name = s.name
			}
		}
		if name != "" && name != was.name {
			out = append(out, fmt.Sprintf("%s (was: %s)", name, was.name))
		}
	}
	return out
}
