package trace

// tellEdges says which edges are new, parts of others, or gone.
func (t *tracing) tellEdges(runs []run) {
	goes := map[int]bool{}
	for i, u := range runs {
		goes[u.identity.Edge] = true
		switch {
		case u.identity.Edge >= 0 && u.drawn != "" && u.drawn != u.name:
			t.says("edge %d is called %q in the drawing and stays %q; rename it with `toile edge %q %d %q`",
				i+1, u.drawn, u.name, t.name, i+1, u.drawn)
		case u.identity.Part >= 0:
			t.says("edge %q was divided; a part of it is edge %q now", t.old.Edges[u.identity.Part].Name, u.name)
		case u.identity.Edge < 0:
			t.says("edge %q is new%s", u.name, t.newAllowance(i, u))
		}
	}
	for k, e := range t.old.Edges {
		if !goes[k] {
			t.says("nothing in the drawing continues edge %q; it is gone", e.Name)
		}
	}
}

// newAllowance says what allowance a new edge got that nobody gave it.
func (t *tracing) newAllowance(i int, u run) string {
	switch {
	case u.allowance != nil || u.fold:
		return ""
	case len(t.piece.Edges[i].Allowance) > 0:
		return " and has the allowances of the others; set its own with `toile edge`"
	}
	return " and has no allowance yet; set one with `toile edge`"
}
