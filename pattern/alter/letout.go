package alter

import (
	"fmt"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

var letOutKeys = []Key{
	{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the seam edge"},
	{Name: "by", What: Length, Typed: true, Means: "how much at each place, square to the edge"},
	allRound,
	{Name: "from", What: Along, Means: "where a taper starts from nothing: L@start, L@end, L@hemline from the end at that edge, or the name of a notch on the edge"},
	{Name: "to", What: End, Means: "the end that gets the whole amount when it tapers from the other: start or end, or the name of the edge at which it lies, such as hemline"},
}

var _ = register(&Kind{Name: "let-out", Does: "moves a seam edge outward, parallel or tapering from nothing",
	Keys: letOutKeys, Alike: []string{"take-in"}, Typed: `back "side seam" 1cm --both`, make: func(m *making) error { return m.letOut(1) }})

var _ = register(&Kind{Name: "take-in", Does: "moves a seam edge inward, parallel or tapering from nothing",
	Keys: letOutKeys, Alike: []string{"let-out"}, Typed: `front "side seam" 1cm --to end`, make: func(m *making) error { return m.letOut(-1) }})

func (m *making) letOut(sign float64) error { return m.letOutAlong(sign, nil) }

// letOutAlong lets an edge out, or takes it in. runOn, unless it is nil, runs the lines
// of its neighbours on before they are brought to meet it.
func (m *making) letOutAlong(sign float64, runOn func(w *work, i int)) error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	if m.piece.Edges[i].Fold {
		return fmt.Errorf("%s, %q lies on the fold; let it out by spreading the piece, or unfold it first", m.piece.Name, m.piece.Edges[i].Name)
	}
	by, err := m.positive("by")
	if err != nil {
		return err
	}
	w := begin(m.piece)
	if m.has("from") || m.has("to") {
		if err := m.taper(w, i, sign*by); err != nil {
			return err
		}
	} else {
		moved, err := parallel(w.paths[i], sign*by)
		if err != nil {
			return m.edgeError(i, err)
		}
		w.set(i, moved)
	}
	if runOn != nil {
		runOn(w, i)
	}
	if err := w.meet(i, w.paths[i].Start()); err != nil {
		return err
	}
	if err := w.meet(w.after(i), w.paths[i].End()); err != nil {
		return err
	}
	return w.finish()
}

// endNamed reads an end of edge i, as pattern.Piece.EndNamed does: start or end.
// The error says which end is which.
func endNamed(q *pattern.Piece, i int, text string) (string, error) {
	if atEnd, ok := q.EndNamed(i, text); ok {
		return map[bool]string{false: "start", true: "end"}[atEnd], nil
	}
	n := len(q.Edges)
	return "", fmt.Errorf("%s, %q: to: %q is no end of it; it is start, which lies at %q, or end, at %q", q.Name, q.Edges[i].Name, text, q.Edges[(i+n-1)%n].Name, q.Edges[(i+1)%n].Name)
}

// taper moves the part of edge i from a place to one end by a distance that
// grows in proportion to the length along it.
func (m *making) taper(w *work, i int, by float64) error {
	p := w.paths[i]
	length := p.Length()
	atEnd := true
	if m.has("to") {
		to, err := endNamed(m.piece, i, m.text("to"))
		if err != nil {
			return err
		}
		atEnd = to == "end"
	}
	from := 0.0
	if !atEnd {
		from = length
	}
	if text := m.text("from"); text != "" {
		var err error
		if k := m.piece.NotchByName(text); k >= 0 && m.piece.Notches[k].Edge == m.piece.Edges[i].Name {
			_, _, from, err = m.piece.NotchPlace(m.piece.Notches[k])
		} else {
			from, err = m.along("from", i, false)
		}
		if err != nil {
			return err
		}
	}
	if !atEnd {
		w.set(i, tapered(p.Reverse(), length-from, -by).Reverse())
	} else {
		w.set(i, tapered(p, from, by))
	}
	return nil
}

// tapered keeps the path up to a length and moves the rest out, to the left,
// by a distance that grows from nothing to by at its end.
func tapered(p geom.Path, from, by float64) geom.Path {
	lead, rest := geom.Path(nil), p
	if from > 1e-6 {
		lead, rest = p.Split(from)
	}
	return append(lead, match.Tapered(rest, 0, by/rest.Length())...)
}
