package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/pattern"
)

// openingKey is where a new seam stays open.
var openingKey = Key{Name: "opening", What: Text, Means: "where the new seam stays open, FROM:TO or NAME=FROM:TO, each a length from the beginning of the line, L@end from its end, or \"12cm from LINE\"; both ends are notched on both parts; several with ; between"}

// newOpenings reads the openings of the seam between both parts, in mm along
// the new edge of main, its last, and notches their stops on both. turned says
// that this edge runs the other way than the line that was given.
func (m *making) newOpenings(main, other *pattern.Piece, turned bool) ([]pattern.Opening, error) {
	var all []pattern.Opening
	if !m.has("opening") {
		return nil, nil
	}
	for _, text := range strings.Split(m.text("opening"), ";") {
		o, err := m.newOpening(m.asUncut(main, other), strings.TrimSpace(text), turned)
		if err != nil {
			return nil, err
		}
		for k := 2; slices.ContainsFunc(all, func(made pattern.Opening) bool { return made.Name == o.Name }); k++ {
			o.Name = fmt.Sprintf("opening %d", k)
		}
		for _, made := range all {
			if o.From < made.To && made.From < o.To {
				return nil, fmt.Errorf("opening: %q and %q overlap; leave at least a stitch between them", made.Name, o.Name)
			}
		}
		all = append(all, o)
		m.notchStops(main, other, o, turned)
		m.say("the seam of %s and %s stays open over %s for %q", main.Name, other.Name, m.format(o.To-o.From), o.Name)
	}
	return all, nil
}

// newOpening reads FROM:TO or NAME=FROM:TO.
func (m *making) newOpening(main *pattern.Piece, text string, turned bool) (pattern.Opening, error) {
	o := pattern.Opening{Name: "opening"}
	if name, rest, ok := strings.Cut(text, "="); ok {
		clean, err := pattern.CleanName(name)
		if err != nil {
			return o, fmt.Errorf("opening: %w", err)
		}
		o.Name, text = clean, rest
	}
	from, to, ok := strings.Cut(text, ":")
	if !ok {
		return o, fmt.Errorf("opening: %q does not say where it ends; write FROM:TO along the new seam, for instance \"10cm:28cm\"", text)
	}
	length := main.EdgePath(len(main.Edges) - 1).Length()
	var ends [2]float64
	for k, place := range []string{from, to} {
		at, err := m.alongNew(main, strings.TrimSpace(place), turned)
		if err != nil {
			return o, fmt.Errorf("opening: %w", err)
		}
		ends[k] = min(max(roundTo(at), 0), math.Floor(length*1000)/1000)
	}
	o.From, o.To = min(ends[0], ends[1]), max(ends[0], ends[1])
	if o.To-o.From < leastPart {
		return o, fmt.Errorf("opening: %q from %s to %s is no opening; give two places along the new seam, which is %s long", o.Name, from, to, m.format(length))
	}
	return o, nil
}

// asUncut is a copy of a part on which places are read: the half of an edge that
// was cut is called by the edge's old name, and the edges of the other part are
// lines of it, so that a place may be measured from any edge of the whole.
func (m *making) asUncut(main, other *pattern.Piece) *pattern.Piece {
	q := main.Clone()
	for _, d := range m.divided {
		if i, err := q.EdgeIndex(d[0]); err == nil && !slices.Contains(q.EdgeNames(), d[1]) {
			q.Edges[i].Name = d[1]
			for k := range q.Notches {
				if q.Notches[k].Edge == d[0] {
					q.Notches[k].Edge = d[1]
				}
			}
		}
	}
	for i, e := range other.Edges[:len(other.Edges)-1] {
		if !slices.Contains(q.EdgeNames(), e.Name) && !slices.ContainsFunc(q.Lines, func(l pattern.ReferenceLine) bool { return l.Name == e.Name }) {
			q.Lines = append(q.Lines, pattern.ReferenceLine{Name: e.Name, Path: other.EdgePath(i)})
		}
	}
	return q
}

// alongNew reads a place along the new edge of a part, counted from the
// beginning of the line that was given.
func (m *making) alongNew(main *pattern.Piece, text string, turned bool) (float64, error) {
	i := len(main.Edges) - 1
	if turned && (strings.HasSuffix(text, "@start") || strings.HasSuffix(text, "@end")) {
		text = otherEnd(text)
	}
	return main.AlongEdge(i, text, turned, m.ruler())
}

// notchStops marks both ends of an opening on the new edges, the last of each
// part; an end at the end of the seam needs no mark. That of an opening which
// reaches to the seam's end is counted from there, as that of a slit from the hem;
// those of one between the ends from the end away from a hem.
// What is called "from" comes first on the line that was given; turned says that
// main's new edge runs the other way.
func (m *making) notchStops(main, other *pattern.Piece, o pattern.Opening, turned bool) {
	length := main.EdgePath(len(main.Edges) - 1).Length()
	e := seamEnd{piece: main, edge: len(main.Edges) - 1, next: len(main.Edges) - 2}
	hemFirst := e.atHem() // the new edge of main starts at a hem
	first, second := o.Name+" from", o.Name+" to"
	if turned {
		first, second = second, first
	}
	for _, stop := range []struct {
		name string
		at   float64
	}{{first, o.From}, {second, o.To}} {
		if stop.at < leastPart || stop.at > length-leastPart {
			continue
		}
		at, fromEnd := stop.at, o.To > length-leastPart || o.From >= leastPart && hemFirst
		if fromEnd {
			at = roundTo(length - stop.at)
		}
		notchNew(main, stop.name, at, fromEnd)
		notchNew(other, stop.name, at, !fromEnd)
	}
}

// notchNew cuts a notch in the last edge of a piece.
func notchNew(p *pattern.Piece, name string, at float64, fromEnd bool) {
	p.Notches = append(p.Notches, pattern.Notch{Name: freeNotch(p, name), Edge: p.Edges[len(p.Edges)-1].Name, At: at, FromEnd: fromEnd, Count: 1})
}

// besideStop is how far in mm from the end of an opening the matching notch
// has to lie to be told from it.
const besideStop = 10

// matchingNotch marks the middle of the new seam on both parts, where it is
// sewn there; the stops of an opening match the parts otherwise. Both are counted from
// one end of the seam, the one away from a hem, so that they meet still when the other
// moves.
func (m *making) matchingNotch(openings []pattern.Opening, a, b *pattern.Piece) {
	half := math.Round(a.EdgePath(len(a.Edges)-1).Length()*500) / 1000
	for _, o := range openings {
		if half > o.From-besideStop && half < o.To+besideStop {
			return
		}
	}
	name := freeNotch(m.piece, "match") // one of the whole may be what a seam is matched by
	e := seamEnd{piece: a, edge: len(a.Edges) - 1, next: len(a.Edges) - 2}
	hemFirst := e.atHem()              // the new edge of a starts at a hem
	notchNew(a, name, half, hemFirst)  // the same end of the seam, away from the hem,
	notchNew(b, name, half, !hemFirst) // is the other end of the other edge
}
