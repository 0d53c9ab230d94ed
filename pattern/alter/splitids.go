package alter

import (
	"slices"

	"toile/pattern"
)

// keepEdgeIDs has the half of an edge that was cut which lies on the part that
// stays keep the edge's id, though it be the shorter; the other half came from it.
func keepEdgeIDs(main, other *pattern.Piece) {
	for i := range other.Edges {
		e := &other.Edges[i]
		k := slices.IndexFunc(main.Edges, func(o pattern.Edge) bool { return o.ID == "" && o.Was != "" && o.Was == e.ID })
		if k >= 0 {
			main.Edges[k].ID, main.Edges[k].Was = e.ID, e.Was
			e.ID, e.Was = "", e.ID
		}
	}
}
