package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// OneEdge makes edge i of a piece and its neighbour j one edge, called as edge i is:
// what DivideEdge does, taken back. The outline stays as it is. The edge has the id of
// the part that the other was divided from, else of the longer part. Notches and marks
// stay in place, and seams go on with the whole; the sentences say which notches count
// otherwise now. It is an error where the two are no neighbours, meet at a corner, or
// differ in what holds for a whole edge: fold, hem, allowances, what is declared of an
// inner piece there.
func OneEdge(p *pattern.Pattern, q *pattern.Piece, i, j int) (says []string, err error) {
	n := len(q.Edges)
	first, second := i, j // in the order of the outline
	switch {
	case n > 1 && (i+1)%n == j:
	case n > 1 && (j+1)%n == i:
		first, second = j, i
	default:
		return nil, fmt.Errorf("%s: %q and %q do not meet; the edges beside %q are %q and %q", q.Name, q.Edges[i].Name, q.Edges[j].Name,
			q.Edges[i].Name, q.Edges[(i+n-1)%n].Name, q.Edges[(i+1)%n].Name)
	}
	if err := refuseOneEdge(p, q, first, second); err != nil {
		return nil, err
	}
	name, gone := q.Edges[i].Name, q.Edges[j].Name
	a, b := q.EdgePath(first), q.EdgePath(second)
	whole := mergedEdge(q.Edges[first], q.Edges[second], a.Length() >= b.Length())
	whole.SetPath(storable(runTogether(a, b)))
	before := notchesOf(q, name, gone)
	countOn(p, q, q.Edges[first].Name, q.Edges[second].Name, a.Length(), a.Length()+b.Length())
	q.Edges[first] = whole
	q.Edges, q.Corners = slices.Delete(q.Edges, second, second+1), slices.Delete(q.Corners, second, second+1)
	first = slices.IndexFunc(q.Edges, func(e pattern.Edge) bool { return e.Name == whole.Name })
	p.RenameEdge(q, first, name)
	renameNotes(p, q.Name, gone, name)
	for _, t := range q.Notches {
		if was, ok := before[t.Name]; ok && was.At != t.At {
			says = append(says, fmt.Sprintf("%s, notch %q: it stays in place and is %s from the %s of %q now; it was %s.",
				q.Name, t.Name, p.Unit.Format(t.At), endOfNotch(t), t.Edge, p.Unit.Format(was.At)))
		}
	}
	return says, nil
}

// mergedEdge is what two edges are as one, but for its line: named like the first in
// the outline, under the id of the one that the other came from, else of the longer.
func mergedEdge(first, second pattern.Edge, firstLonger bool) pattern.Edge {
	whole := first
	whole.Allowance = copyAllowance(first.Allowance)
	if second.ID != "" && first.Was == second.ID || !firstLonger && (second.Was == "" || second.Was != first.ID) {
		whole.ID, whole.Was = second.ID, second.Was
	}
	if whole.Was == whole.ID {
		whole.Was = ""
	}
	return whole
}

// refuseOneEdge refuses two neighbours that cannot be one edge: the message says what
// to do first.
func refuseOneEdge(p *pattern.Pattern, q *pattern.Piece, first, second int) error {
	a, b := q.Edges[first], q.Edges[second]
	pair := fmt.Sprintf("%s: %q and %q cannot be one edge", q.Name, a.Name, b.Name)
	c := q.Corners[second]
	turn := math.Abs(geom.AngleBetween(q.EdgePath(first).EndTangent(), q.EdgePath(second).StartTangent()))
	if len(q.Edges) <= 2 {
		return fmt.Errorf("%s, for the piece has no others", pair)
	}
	switch {
	case c.Round > 0:
		return fmt.Errorf("%s: the corner between them is rounded; make it sharp first with `toile alter restore-corner %q \"%s/%s\"`", pair, q.Name, a.Name, b.Name)
	case turn > p.Tolerances.Corner:
		return fmt.Errorf("%s: they meet at a corner, where the line turns by %.0f°; only edges that run on from each other are one", pair, geom.InDegrees(turn))
	case c.Meant:
		return fmt.Errorf("%s: the corner between them is marked as meant; take that back first with `toile edge %q %q --not-meant %q`", pair, q.Name, a.Name, b.Name)
	case a.Fold != b.Fold:
		return fmt.Errorf("%s: one lies on the fold; set both alike first with `toile edge %q %q --fold`", pair, q.Name, map[bool]string{true: b.Name, false: a.Name}[a.Fold])
	case a.Hem != b.Hem:
		return fmt.Errorf("%s: one is a hem; set both alike first with `toile edge %q %q --hem`", pair, q.Name, map[bool]string{true: b.Name, false: a.Name}[a.Hem])
	}
	for _, set := range p.Sets {
		if x, y := a.AllowanceFor(set), b.AllowanceFor(set); x != y {
			return fmt.Errorf("%s: %q has an allowance of %s in the set %s, %q of %s; set both alike first with `toile edge %q %q --allowance %q --set %s`",
				pair, a.Name, p.Unit.Format(x), set, b.Name, p.Unit.Format(y), q.Name, b.Name, p.Unit.Format(x), set)
		}
	}
	return refuseDeclared(p, q, a.Name, b.Name)
}

// notchesOf are the notches of two edges, by name.
func notchesOf(q *pattern.Piece, edges ...string) map[string]pattern.Notch {
	of := map[string]pattern.Notch{}
	for _, t := range q.Notches {
		if slices.Contains(edges, t.Edge) {
			of[t.Name] = t
		}
	}
	return of
}

// endOfNotch is the end that a notch is counted from.
func endOfNotch(t pattern.Notch) string {
	if t.FromEnd {
		return "end"
	}
	return "start"
}

// countOn counts notches, marks, seams and declared differences along an edge of
// length mm that runs on into the one that is gone, total mm in all.
func countOn(p *pattern.Pattern, q *pattern.Piece, name, gone string, length, total float64) {
	m := &making{pattern: p, piece: q}
	runOnto(q, name, gone, length, total)
	m.mergeChains(q.Name, name, gone, length)
	m.pattern.Layers = differencesOfOne(p.Layers, q.Name, name, gone)
	m.renameDifferences(q.Name, map[string]string{gone: name})
}

// differencesOfOne are the layers without what is declared at the edge of an outer
// that is gone and as much at the one that it becomes part of: it is the same there. A
// band is shorter or longer by what is declared at both.
func differencesOfOne(layers []pattern.Layer, outer, name, gone string) []pattern.Layer {
	layers = slices.Clone(layers)
	for k := range layers {
		if l := &layers[k]; l.Outer == outer && !l.Band {
			was := *l
			l.Differences = slices.DeleteFunc(slices.Clone(l.Differences), func(d pattern.Difference) bool {
				return d.Edge == gone && !slices.ContainsFunc(l.Inner, func(inner string) bool {
					by, any := was.Declared(inner, name)
					other, _ := was.Declared(inner, gone)
					return d.Of(inner) && (!any || by != other)
				})
			})
		}
	}
	return layers
}

// refuseDeclared refuses two edges of an outer at which another difference is declared
// for one inner piece.
func refuseDeclared(p *pattern.Pattern, q *pattern.Piece, a, b string) error {
	for _, l := range p.Layers {
		for _, inner := range l.Inner {
			x, one := l.Declared(inner, a)
			y, other := l.Declared(inner, b)
			if l.Outer == q.Name && !l.Band && one && other && x != y {
				return fmt.Errorf("%s: %q and %q cannot be one edge: %s differs from %s by %s at the one and %s at the other; declare the same at both first with `toile layers %q %q --difference …`",
					q.Name, a, b, inner, q.Name, p.Unit.Format(x), p.Unit.Format(y), q.Name, inner)
			}
		}
	}
	return nil
}

// renameNotes has the notes of fittings that lie on an edge lie on another.
func renameNotes(p *pattern.Pattern, piece, from, to string) {
	for _, f := range p.Fittings {
		for k, n := range f.Notes {
			if n.Piece == piece && n.Edge == from {
				f.Notes[k].Edge = to
			}
		}
	}
}

// orOneEdge says how two parts of an edge, sewn in a row to what edge i is sewn to or
// with edge i itself, are made one edge, so that the seam has one edge on either side;
// empty where there are none.
func orOneEdge(p *pattern.Pattern, q *pattern.Piece, i int) string {
	for _, s := range p.SeamsOf(q.Name, q.Edges[i].Name) {
		for _, c := range [2]pattern.Chain{s.First, s.Second} {
			for k := 1; k < len(c); k++ {
				if a, b := c[k-1], c[k]; canBeOne(p, a, b) {
					return fmt.Sprintf(", or make %s, %q and %q, one edge first with `toile edge %q %q --with %q`", a.Piece, a.Edge, b.Edge, a.Piece, a.Edge, b.Edge)
				}
			}
		}
	}
	return ""
}

// canBeOne reports whether two stretches are whole neighbours on one piece that can be
// made one edge.
func canBeOne(p *pattern.Pattern, a, b pattern.Stretch) bool {
	if a.Piece != b.Piece || !a.Whole() || !b.Whole() {
		return false
	}
	copied := p.Clone()
	q, i, okA := edgeOf(copied, a)
	_, j, okB := edgeOf(copied, b)
	if !okA || !okB {
		return false
	}
	_, err := OneEdge(copied, q, i, j)
	return err == nil
}
