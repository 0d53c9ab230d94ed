package diff

import (
	"fmt"
	"math"
	"strings"

	"toile/diff/explain"
	"toile/pattern"
)

// edgesOf lists for each edge of a part which edge of the whole it lies along,
// −1 for one at the line between the parts.
func (d *divided) edgesOf(part *pattern.Piece) []int {
	out := make([]int, len(part.Edges))
	for j := range part.Edges {
		out[j] = -1
		path := part.EdgePath(j)
		if far, _ := explain.Farthest(path, d.line); far <= inPlace {
			continue
		}
		least := math.Max(inPlace, tolerance(d.whole, part))
		for i := range d.whole.Edges {
			if far, _ := explain.Farthest(path, d.whole.EdgePath(i)); far <= least {
				out[j], least = i, far
			}
		}
	}
	return out
}

// newNames says which edges of the whole a part calls otherwise, and which new
// edge bears the name of another.
func (d *divided) newNames() string {
	parts := []*pattern.Piece{d.one, d.other}
	called := make([][]string, len(d.whole.Edges)) // what each edge is called, and where
	kept := make([]bool, len(d.whole.Edges))
	var borrowed []string
	for _, p := range parts {
		for j, i := range d.edgesOf(p) {
			name := p.Edges[j].Name
			switch {
			case i >= 0:
				called[i] = append(called[i], fmt.Sprintf("%q of %q", name, p.Name))
				kept[i] = kept[i] || name == d.whole.Edges[i].Name
			case edgeNamed(d.whole, name) >= 0 && !numberedName(name):
				hem := ""
				if p.HemEdge() == j {
					hem = " and counts as its hem"
				}
				borrowed = append(borrowed, fmt.Sprintf("the new edge of %q is called %q%s", p.Name, name, hem))
			}
		}
	}
	text := ""
	for i, names := range called {
		if !kept[i] && len(names) > 0 && !numberedName(d.whole.Edges[i].Name) {
			text += fmt.Sprintf("; %q is now %s", d.whole.Edges[i].Name, strings.Join(names, " and "))
		}
	}
	for _, b := range borrowed {
		text += "; " + b
	}
	return text
}

// origin says of the part that is a piece of its own what it was split off
// from, and along which of its edges.
func (d *divided) origin() string {
	says := fmt.Sprintf("split off from %q", d.whole.Name)
	for j, e := range d.other.Edges {
		if far, _ := explain.Farthest(d.other.EdgePath(j), d.line); far <= inPlace {
			return says + fmt.Sprintf(" along %q", e.Name)
		}
	}
	return says
}

// halfOf says of a new piece which pair it is the other half of; empty where it
// is none.
func halfOf(now *pattern.Piece, a, b *pattern.Pattern) string {
	old, other := pairOf(now, a, b)
	if old == nil {
		return ""
	}
	return fmt.Sprintf("one half of the pair %q, for the wearer's %s; the other is %q", old.Name, now.Side, other.Name)
}

// pairOf is the pair of which a new piece is one half, and the piece that is the
// other half now; nil where it is none.
func pairOf(now *pattern.Piece, a, b *pattern.Pattern) (old, other *pattern.Piece) {
	if now.Was == "" {
		return nil, nil
	}
	for _, old := range a.Pieces {
		for _, q := range b.Pieces {
			if old.ID == now.Was && q.ID == old.ID && leftAndRight(old, q, now) {
				return old, q
			}
		}
	}
	return nil, nil
}

// leftAndRight reports whether two pieces are the left and the right one of what was a
// pair.
func leftAndRight(old, one, other *pattern.Piece) bool {
	return old.Cut == pattern.CutPair && one.Cut == pattern.CutOne && other.Cut == pattern.CutOne && one.Side != "" && other.Side != "" && one.Side != other.Side
}
