package alter

import (
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

// carryGrain has the grain line go with the part that it lies on. On a piece that is
// cut on the fold it keeps its direction to the fold, whichever part that is.
func (m *making) carryGrain(parts halves, moves bool, motion geom.Motion) {
	g := m.piece.Grain
	if g == nil {
		return
	}
	lies, turns := parts.onBetween(g.From.Lerp(g.To, 0.5)) == moves, false
	if turns = lies; m.piece.Cut == pattern.CutOnFold {
		f := slices.IndexFunc(m.piece.Edges, func(e pattern.Edge) bool { return e.Fold })
		turns = (f > parts.first.edge && f < parts.second.edge) == moves
	}
	middle, half := g.From.Lerp(g.To, 0.5), g.To.Sub(g.From).Mul(0.5)
	if lies {
		middle = motion.Apply(middle)
	}
	if turns {
		half = motion.ApplyVector(half)
	}
	if lies || turns {
		g.From, g.To = rounded(middle.Sub(half)), rounded(middle.Add(half))
	}
}
