package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// toWrite says in sentences which words and figures on the paper are wrong now.
func (w patchwork) toWrite(patches []patch) []string {
	out := w.grainInWords(patches)
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
			figures = append(figures, e.Name+nameGap(e.Name)+words)
		}
	}
	named = append(named, w.calledOtherwise()...)
	if len(named) > 0 {
		out = append(out, "new names to write on the paper: "+strings.Join(named, ", "))
	}
	if len(figures) > 0 {
		out = append(out, "new figures to write on the paper: "+strings.Join(figures, "; "))
	}
	return out
}

// mostOfGrain is the part of a piece's area from which on a strip with its grain
// line is more work than drawing that by two measured places.
const mostOfGrain = 0.3

// saidRather reports whether a place is better said than printed: a long grain line.
func (w patchwork) saidRather(l place, area float64) bool {
	g := w.diff.New.Grain
	return g != nil && l.called == grainWords(g) && l.name == "" && area > mostOfGrain*w.now.Ring.Area()
}

// grainInWords says where a turned grain line is to be drawn that is on no strip:
// by where it runs over the sewing line.
func (w patchwork) grainInWords(patches []patch) []string {
	g := w.diff.New.Grain
	if !w.grainTurned() || slices.ContainsFunc(patches, func(p patch) bool { return slices.Contains(p.places, grainWords(g)) }) {
		return nil
	}
	if sh, err := newShape(w.diff.New); err == nil {
		g = sh.piece.Grain
	}
	from, to := "", ""
	before, after := math.Inf(-1), math.Inf(1)
	way := g.To.Sub(g.From)
	for i, e := range w.diff.New.Edges {
		path := w.diff.New.EdgePath(i)
		for k, c := range path {
			for _, t := range c.MeetLine(g.From, g.To) {
				at := c.At(t).Sub(g.From).Dot(way) / way.Dot(way)
				along := w.print.sheet.Unit.Format(path.LengthTo(geom.Place{Curve: k, T: t}))
				words := fmt.Sprintf("%s along %s from the corner %s", along, e.Name, w.diff.New.CornerName(i))
				if at < 0.5 && at > before {
					before, from = at, words
				} else if at > 0.5 && at < after {
					after, to = at, words
				}
			}
		}
	}
	if from == "" || to == "" {
		return []string{fmt.Sprintf("new %s; strike the old one out, and print the piece whole for it", grainWords(g))}
	}
	return []string{fmt.Sprintf("new %s; strike the old one out, and draw it between %s and %s, both on the sewing line", grainWords(g), from, to)}
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
