package check

import (
	"fmt"
	"math"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// Opening is something that has to go through: the edges that run round it, the
// openings of seams that widen it, and the least measure.
type Opening struct {
	Words  string   // as it was typed
	MM     float64  // what it measures
	Least  float64  // what it has to measure
	Pieces []string // whose edges it is made of
}

// Measure reads what an opening is made of, joined by plus signs: PIECE/EDGE for
// an edge that runs round it, counted as often as the piece is cut, or the name
// of a seam's opening, which counts on both its sides. An opening by itself
// counts once, along its seam.
func Measure(p *pattern.Pattern, text string) (Opening, error) {
	o := Opening{Words: strings.TrimSpace(text)}
	parts := strings.Split(text, "+")
	for _, part := range parts {
		part = strings.TrimSpace(part)
		if s, slit, ok := seamOpening(p, part); ok {
			o.MM += slit.To - slit.From
			if len(parts) > 1 {
				o.MM += slit.To - slit.From
			}
			for _, st := range append(append(pattern.Chain{}, s.First...), s.Second...) {
				o.Pieces = with(o.Pieces, st.Piece)
			}
			continue
		}
		chain, err := p.ParseChain(part)
		if err != nil {
			return o, fmt.Errorf("%q is no opening of a seam and no edge: %w", part, err)
		}
		q, err := p.Piece(chain[0].Piece)
		if err != nil {
			return o, err
		}
		i, err := q.EdgeIndex(chain[0].Edge)
		if err != nil {
			return o, err
		}
		length := sewnLength(q, i)
		if !chain[0].Whole() {
			walked, _, err := p.WalkChains(&pattern.Seam{First: chain, Second: chain, SameWay: true})
			if err != nil {
				return o, err
			}
			length = walked.Length
		}
		o.MM += length * float64(q.Cut.Count())
		o.Pieces = with(o.Pieces, q.Name)
	}
	return o, nil
}

// seamOpening finds an opening by its name.
func seamOpening(p *pattern.Pattern, name string) (*pattern.Seam, pattern.Opening, bool) {
	for i := range p.Seams {
		for _, o := range p.Seams[i].Openings {
			if o.Name == name {
				return &p.Seams[i], o, true
			}
		}
	}
	return nil, pattern.Opening{}, false
}

// openingWithin is how much in mm an opening may be too small.
const openingWithin = 0.05

// openings finds openings that are smaller than they have to be: those of
// seams, and those asked for; and those for which a side of their seam is too short.
func (c *checker) openings() {
	for _, w := range c.walks {
		c.openingsBeyond(w)
		for _, o := range w.seam.Openings {
			if got := o.To - o.From; got < o.Least-openingWithin {
				f := c.small(fmt.Sprintf("opening %q of seam %q", o.Name, w.seam.Name), got, o.Least)
				f.Seam = w.seam.Name
				part, place := w.sides[0].Place(o.From)
				f.At = at(part.Piece.EdgePath(part.Edge).PointAt(place))
				_, f.Pieces = sideWords(w.sides[0], o.From, o.To, nil)
				c.add(f)
			}
		}
	}
	for _, o := range c.options.Openings {
		if o.MM < o.Least-openingWithin {
			f := c.small("opening "+o.Words, o.MM, o.Least)
			f.Pieces = o.Pieces
			c.add(f)
		}
	}
}

// openingsBeyond finds openings of a seam that reach beyond the end of its second
// side. Where they lie is counted along the first, on which they have to lie to be
// stored; what is meant to be eased in is left out, and of a seam that is gathered
// nothing can be said.
func (c *checker) openingsBeyond(w walk) {
	length := w.sides[1].Length
	for _, s := range w.sections {
		if s.Gathered {
			return
		}
		length -= s.Ease
	}
	for _, o := range w.seam.Openings {
		over := o.To - length
		if over <= c.tol {
			continue
		}
		got := math.Max(0, length-o.From)
		_, pieces := sideWords(w.sides[0], o.From, o.To, nil)
		_, pieces = sideWords(w.sides[1], 0, w.sides[1].Length, pieces)
		part, place := w.sides[1].Place(w.sides[1].Length)
		c.add(change.Finding{Kind: change.OpeningSmall, Where: fmt.Sprintf("opening %q of seam %q", o.Name, w.seam.Name), Seam: w.seam.Name, MM: -over, Pieces: pieces,
			At: at(part.Piece.EdgePath(part.Edge).PointAt(place)),
			Says: fmt.Sprintf("it runs from %s to %s along %s, and %s ends at %s: %s of the opening's %s lie on it", c.length(o.From), c.length(o.To),
				w.seam.First, w.seam.Second, c.length(length), c.length(got), c.length(o.To-o.From)),
			Do: fmt.Sprintf("make %s longer, or move the opening with `toile seam %q --open \"%s=FROM:TO\"`", w.seam.Second, w.seam.Name, o.Name)})
	}
}

func (c *checker) small(where string, got, least float64) change.Finding {
	return change.Finding{Kind: change.OpeningSmall, Where: where, MM: got - least,
		Says: fmt.Sprintf("it measures %s, and %s have to go through", c.length(got), c.length(least)),
		Do:   fmt.Sprintf("make it longer by %s, or lengthen an edge round it", c.length(least-got))}
}
