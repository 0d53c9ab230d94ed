package change

import (
	"math"
	"slices"
)

// leastLength is the change of an edge's length in mm from which it is told
// where no change says it: half of what a ruler shows.
const leastLength = 0.5

// LengthsUntold lists the edges, there before and after, whose length from sharp
// corner to sharp corner changed by more than their own changes say: those that
// moved and at the same time ended elsewhere, as a side seam let out above a hem
// that was taken up.
func (p PieceDiff) LengthsUntold() []EdgeLength {
	if p.Old == nil || p.New == nil || p.State != Altered || len(p.Became) != len(p.Old.Edges) {
		return nil
	}
	var untold []EdgeLength
	for _, l := range p.Edges {
		i := slices.Index(p.Old.EdgeNames(), l.Edge)
		if i < 0 || l.Length[0] == 0 || l.Length[1] == 0 {
			continue
		}
		by := -p.Old.EdgePath(i).Length()
		for j, k := range p.Continues {
			if k == i {
				by += p.New.EdgePath(j).Length()
			}
		}
		if told, moved := p.lengthTold(l.Edge); moved && math.Abs(by-told) >= leastLength && math.Abs(l.Length[1]-l.Length[0]) >= leastLength {
			untold = append(untold, l)
		}
	}
	return untold
}

// lengthTold adds up what the changes say an edge gained, and reports whether it
// moved parallel, shifted or tapered: of any other change its length is no part.
func (p PieceDiff) lengthTold(edge string) (by float64, moved bool) {
	for _, c := range p.Changes {
		if len(c.Edges) == 0 || c.Edges[0] != edge || c.By == nil {
			continue
		}
		switch c.Kind {
		case EdgeRun:
			by += *c.By
		case EdgeMoved:
			moved = true
		}
	}
	return by, moved
}
