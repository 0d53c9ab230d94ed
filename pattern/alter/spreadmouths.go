package alter

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// mouths are the darts and pleats of a piece that is opened along a line: which
// go with the part that moves, and which lie behind the cut on an edge that it
// crosses, by the length that the edge had. Both by the mark's index.
type mouths struct {
	moved map[int]bool
	after map[int]float64
}

// mouthsOn tells where the mouths of darts and pleats lie before a part moves.
func (m *making) mouthsOn(first, second crossing, moves bool) mouths {
	on := mouths{map[int]bool{}, map[int]float64{}}
	for k, mark := range m.piece.Marks {
		i := slices.IndexFunc(m.piece.Edges, func(e pattern.Edge) bool { return e.Name == mark.Edge })
		if mark.Edge == "" || i < 0 {
			continue
		}
		between := i > first.edge && i < second.edge
		for n, c := range [2]crossing{first, second} {
			if i != c.edge {
				continue
			}
			behind := (mark.From+mark.To)/2 > c.along
			if between = behind == (n == 0); behind {
				on.after[k] = m.piece.EdgePath(i).Length()
			}
		}
		on.moved[k] = between == moves
	}
	return on
}

// refuseThroughMouth refuses to open a piece along a line that runs through a dart,
// or into the mouth of one or of a pleat: what is opened or folded out there is
// what the dart takes out.
func (m *making) refuseThroughMouth(first, second crossing) error {
	for _, k := range m.piece.Marks {
		for _, c := range [2]crossing{first, second} {
			if k.Edge == m.piece.Edges[c.edge].Name && c.along > k.From+wholeWithin && c.along < k.To-wholeWithin {
				return fmt.Errorf("%s: the line runs into the mouth of the %s %q, which takes %s to %s of %q; lead it beside that, or take the %s away first with `toile alter remove %q %q`",
					m.piece.Name, k.Kind, k.Name, m.format(k.From), m.format(k.To), k.Edge, k.Kind, m.piece.Name, k.Name)
			}
		}
	}
	return m.refuseThroughDart(geom.Path{geom.Line(first.at, second.at)})
}

// carry has a dart's point go with its mouth, and a mouth behind the cut stay
// at its distance from the edge's end, so that it keeps its shape and its place
// in the cloth.
func (on mouths) carry(p *pattern.Piece, w *work, motion geom.Motion) {
	for k := range p.Marks {
		mark := &p.Marks[k]
		if on.moved[k] && mark.Kind == pattern.MarkDart {
			mark.At = motion.Apply(mark.At)
		}
		if length, behind := on.after[k]; behind {
			i := slices.IndexFunc(p.Edges, func(e pattern.Edge) bool { return e.Name == mark.Edge })
			by := w.paths[i].Length() - length
			mark.From, mark.To = roundTo(mark.From+by), roundTo(mark.To+by)
		}
	}
}

// carryGrain has the grain line go with the part that it lies on. That of a piece
// on the fold goes with the fold: cut in one with it they cannot differ.
func (m *making) carryGrain(parts halves, moves bool, motion geom.Motion) {
	g := m.piece.Grain
	if g == nil {
		return
	}
	on := parts.onBetween(g.From.Lerp(g.To, 0.5))
	if f := slices.IndexFunc(m.piece.Edges, func(e pattern.Edge) bool { return e.Fold }); f >= 0 {
		if f == parts.first.edge || f == parts.second.edge {
			return
		}
		on = f > parts.first.edge && f < parts.second.edge
	}
	if on == moves {
		g.From, g.To = rounded(motion.Apply(g.From)), rounded(motion.Apply(g.To))
	}
}
