package explain

import "toile/pattern/change"

// cutOut looks for old edges that were not redrawn but had something cut out of
// or set onto them, as a dart or a step: of the new edges that take their place
// the first and the last still lie on the old line, and those between are new.
// It needs no fewer changes, but says what became of each part.
func (e *explainer) cutOut(x *Explanation) {
	n := x.old()
	spread := x.Spread()
	for i := range n {
		edge := &x.Edges[i]
		if edge.Kind != change.EdgeRedrawn || edge.whole || len(edge.New) < 3 || spread[i] {
			continue
		}
		kept, fresh, ok := e.partsOn(edge)
		if !ok {
			continue
		}
		was := *edge
		*edge = Edge{Old: was.Old, Into: -1, New: kept, From: was.From, To: was.To}
		for k, j := range fresh {
			x.Edges = append(x.Edges, Edge{Old: -1, Into: -1, New: []int{j}, To: e.now.Edges[j], Of: i + 1, cutOut: k > 0})
		}
	}
}

// partsOn tells the new edges that lie on the old line from those that do not.
// It is ok when both ends of the old edge are where they were and each new edge
// is one or the other.
func (e *explainer) partsOn(edge *Edge) (kept, fresh []int, ok bool) {
	within := e.tol.Kept
	if edge.From.Start().Dist(edge.To.Start()) > within || edge.From.End().Dist(edge.To.End()) > within {
		return nil, nil, false
	}
	for _, j := range edge.New {
		if far, _ := Farthest(e.now.Edges[j], edge.From); far <= within {
			kept = append(kept, j)
		} else {
			fresh = append(fresh, j)
		}
	}
	first, last := edge.New[0], edge.New[len(edge.New)-1]
	return kept, fresh, len(kept) >= 2 && kept[0] == first && kept[len(kept)-1] == last && len(fresh) > 0
}
