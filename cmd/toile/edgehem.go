package main

import (
	"fmt"
	"strings"

	"toile/pattern"
)

// adviseStillHem says of an edge whose hem was taken back that it counts as one all the same, by its
// name or as the lowest of a piece that nothing is sewn to, and how it is none.
func (o *opened) adviseStillHem(q *pattern.Piece, i int, opt edgeOptions) {
	name := q.Edges[i].Name
	switch {
	case !opt.setHem || opt.hem:
	case strings.Contains(strings.ToLower(name), "hem"):
		o.advise("%s, %q counts as a hem by its name all the same; with another name it is none: `toile edge %q %q NAME`", q.Name, name, q.Name, name)
	case q.HemEdge() == i && !q.Edges[i].Fold && len(o.SeamsOf(q.Name, name)) == 0:
		edge := q.Name + "/" + name
		sew := fmt.Sprintf("`toile seam NAME %q PIECE/EDGE`", edge)
		if q.Cut == pattern.CutPair {
			sew += fmt.Sprintf(", the pair sewn to each other with `toile seam NAME %q %q --same-way`", edge, edge)
		}
		o.advise("%s, %q is the lowest edge, and with nothing sewn to it it counts as the hem all the same; it is none once the seam there is said with %s, or another edge is the hem: `toile edge %q EDGE --hem`", q.Name, name, sew, q.Name)
	}
}
