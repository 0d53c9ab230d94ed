package alter

import (
	"maps"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// settleRecipe puts into the recipe names for what holds for one outline
// alone: edges that were typed as numbers, the piece as it is called, lines
// across the piece that were given by places on the sheet, which become places
// on edges, and the ends of edges, which on a mirror image are the other ones.
func (m *making) settleRecipe(k *Kind) {
	m.recipe.Piece = m.piece.Name
	for _, key := range k.Keys {
		switch {
		case !m.has(key.Name):
		case key.What == Edge:
			if i, err := m.piece.EdgeIndex(m.text(key.Name)); err == nil {
				m.recipe.Values[key.Name] = m.piece.Edges[i].Name
			}
		case key.What == Line:
			lines := strings.Split(m.text(key.Name), ";")
			for i, text := range lines {
				lines[i] = m.lineOnEdges(strings.TrimSpace(text))
			}
			m.recipe.Values[key.Name] = strings.Join(lines, ";")
		}
	}
	m.nameEnds(k)
}

// lineOnEdges is a line PLACE:PLACE given by places on the sheet, by where it
// crosses the outline; any other text is left as it is.
func (m *making) lineOnEdges(text string) string {
	first, second, ok := strings.Cut(text, ":")
	if !ok || !strings.Contains(text, ",") {
		return text
	}
	var ends [2]geom.Point
	for k, place := range []string{first, second} {
		at, err := m.spot(strings.TrimSpace(place))
		if err != nil {
			return text
		}
		ends[k] = at
	}
	a, b, err := m.crossings(ends[0], ends[1])
	if err != nil {
		return text
	}
	if b.on.T < a.on.T { // the line keeps its direction: openings count from its beginning
		a, b = b, a
	}
	return m.placeOnEdge(a) + ":" + m.placeOnEdge(b)
}

// placeOnEdge names a place of the outline as EDGE@LENGTH, or as the corner
// that it is.
func (m *making) placeOnEdge(c crossing) string {
	n := len(m.piece.Edges)
	corner := -1
	switch length := m.piece.EdgePath(c.edge).Length(); {
	case c.along < wholeWithin:
		corner = c.edge
	case c.along > length-wholeWithin:
		corner = (c.edge + 1) % n
	}
	if corner >= 0 {
		return m.piece.Edges[(corner+n-1)%n].Name + "/" + m.piece.Edges[corner].Name
	}
	return m.piece.Edges[c.edge].Name + "@" + units.Number(c.along, 3) + "mm"
}

// Redirected is a recipe for other pieces: now tells which stand for those it
// names.
func Redirected(r Recipe, now map[string]string) Recipe {
	other := func(name string) string {
		if to := now[strings.TrimSpace(name)]; to != "" {
			return to
		}
		return name
	}
	c := r
	c.Piece, c.Values = other(r.Piece), maps.Clone(r.Values)
	k := kinds[r.Kind]
	if k == nil {
		return c
	}
	for _, key := range k.Keys {
		v, ok := r.Values[key.Name]
		if !ok || key.What != Piece && key.What != Pieces {
			continue
		}
		names := strings.Split(v, ",")
		for i := range names {
			names[i] = other(names[i])
		}
		c.Values[key.Name] = strings.Join(names, ",")
	}
	return c
}

// OfTheSheet says what of a recipe belongs to the sheet of the piece that it
// was made on: drawn is a line, which is a part of an outline; places are
// coordinates, and what counts to the right or clockwise, which hold only where a
// piece lies alike.
func OfTheSheet(r Recipe) (drawn bool, places []string) {
	k := kinds[r.Kind]
	if k == nil {
		return false, nil
	}
	for _, key := range k.Keys {
		v := r.Values[key.Name]
		if v == "" {
			continue
		}
		drawn = drawn || key.What == Drawn
		if r.Kind == "move" && key.Name == "across" || r.Kind == "grain" && key.Name == "turn" ||
			r.Kind == "mark" && key.Name == "length" && r.Values["lie"] != "down" {
			places = append(places, "--"+key.Name+" "+v) // to the right, or clockwise
		}
		if (key.What == Place || key.What == Line) && onSheet(v) {
			places = append(places, v)
		}
	}
	return drawn, places
}

// onSheet reports whether a place or line has a place X,Y, two bare lengths: a distance
// from an edge, as in "8cm from LINE, 12cm from LINE", goes with the piece.
func onSheet(text string) bool {
	for _, place := range strings.FieldsFunc(text, func(r rune) bool { return r == ':' || r == ';' }) {
		parts := strings.Split(place, ",")
		if len(parts) < 2 {
			continue
		}
		_, errX := units.ParseLength(strings.TrimSpace(parts[0]), units.Millimetre)
		_, errY := units.ParseLength(strings.TrimSpace(parts[1]), units.Millimetre)
		if errX == nil && errY == nil {
			return true
		}
	}
	return false
}
