package alter

import (
	"fmt"
	"math"
	"strconv"

	"toile/pattern"
)

var _ = register(&Kind{Name: "notch", Does: "cuts a notch at a distance along an edge",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge"},
		{Name: "at", What: Place, Needed: true, Typed: true, Means: "how far along it, from its start or, as L@end, from its end"},
		{Name: "name", What: Name, Means: "what it is called; without it \"notch\", with a number where that is taken"},
		{Name: "count", What: Text, Means: "how many cuts: 1, 2 or more; one marks the front, two the back"},
	}, Typed: `back "side seam" 31cm --both`, make: (*making).notch})

var _ = register(&Kind{Name: "remove-notch", Does: "takes a notch away",
	Keys:  []Key{{Name: "name", What: Name, Needed: true, Typed: true, Means: "the notch"}},
	Typed: `back hip`, make: (*making).removeNotch})

func (m *making) notch() error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	fromStart, err := m.along("at", i, false)
	if err != nil {
		return err
	}
	n := pattern.Notch{Edge: m.piece.Edges[i].Name, At: roundTo(fromStart), Count: 1}
	if hasEnd(m.text("at")) {
		n.FromEnd = true
		n.At = roundTo(m.piece.EdgePath(i).Length() - fromStart)
	}
	if m.has("count") {
		if n.Count, err = strconv.Atoi(m.text("count")); err != nil || n.Count < 1 || n.Count > 4 {
			return fmt.Errorf("count: %q is no number of cuts; give 1 to 4", m.text("count"))
		}
	}
	n.Name = freeNotch(m.piece, "notch")
	if m.has("name") {
		if n.Name, err = pattern.CleanName(m.text("name")); err != nil {
			return fmt.Errorf("name: %w", err)
		}
		if k := m.piece.NotchByName(n.Name); k >= 0 {
			return fmt.Errorf("%s has a notch %q already, on %q; choose another name, or take that one away first", m.piece.Name, n.Name, m.piece.Notches[k].Edge)
		}
	}
	m.piece.Notches = append(m.piece.Notches, n)
	return begin(m.piece).finish()
}

func hasEnd(place string) bool { return len(place) > 4 && place[len(place)-4:] == "@end" }

func roundTo(mm float64) float64 { return math.Round(mm*1000) / 1000 }

func (m *making) removeNotch() error {
	k := m.piece.NotchByName(m.text("name"))
	if k < 0 {
		return fmt.Errorf("%s has no notch %q; its notches are %s", m.piece.Name, m.text("name"), m.notchNames())
	}
	name := m.piece.Notches[k].Name
	for _, s := range m.pattern.Seams {
		for _, c := range s.Sections {
			for _, ref := range []pattern.NotchRef{c.First, c.Second} {
				if ref.Piece == m.piece.Name && ref.Notch == name {
					return fmt.Errorf("%s: the seam %q is matched at the notch %q; say the seam anew without it first", m.piece.Name, s.Name, name)
				}
			}
		}
	}
	m.piece.Notches = append(m.piece.Notches[:k:k], m.piece.Notches[k+1:]...)
	return begin(m.piece).finish()
}

func (m *making) notchNames() string {
	text := ""
	for i, n := range m.piece.Notches {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%q", n.Name)
	}
	if text == "" {
		return "none"
	}
	return text
}
