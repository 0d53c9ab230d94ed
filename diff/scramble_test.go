package diff_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"toile/geom"
	"toile/pattern"
)

// anyMotion lays a sheet anywhere.
func anyMotion(rng *rand.Rand, mirrored bool) geom.Motion {
	return geom.Motion{Mirror: mirrored, Turn: 2 * math.Pi * (rng.Float64() - 0.5),
		Shift: geom.Pt(1500*(rng.Float64()-0.5), 1500*(rng.Float64()-0.5))}
}

// scrambling is how a piece was scrambled: nothing but its shape is left to
// know it by.
type scrambling struct {
	piece  *pattern.Piece
	motion geom.Motion       // took the piece to where it lies now
	was    map[string]string // names of edges, notches and marks before, by their new ones
}

// scrambled gives a piece new ids and other names (unless those are to be
// kept), another first corner and curves divided elsewhere, and moves it to any
// place on the sheet, turned over if asked.
func scrambled(rng *rand.Rand, p *pattern.Piece, mirrored, keepNames bool) scrambling {
	s := scrambling{motion: anyMotion(rng, mirrored), was: map[string]string{}}
	q := redivided(rng, startedElsewhere(rng, p))
	q.ID, q.Was = randomID(rng), ""
	for i := range q.Edges {
		q.Edges[i].ID, q.Edges[i].Was = randomID(rng), ""
	}
	if !keepNames {
		s.rename(rng, q)
	}
	q = stored(q.Moved(s.motion))
	s.piece = q
	return s
}

// rename gives everything another name: the numbered ones of a first trace, or
// words.
func (s *scrambling) rename(rng *rand.Rand, q *pattern.Piece) {
	format := []string{"edge %d", "line %c"}[rng.IntN(2)]
	q.Name = "traced " + fmt.Sprint(rng.IntN(1000))
	from := rng.IntN(len(q.Edges))
	for i := range q.Edges { // two steps, for a new name may be another edge's old one
		renameEdge(q, i, "\x00"+q.Edges[i].Name)
	}
	for i := range q.Edges {
		number := (i+from)%len(q.Edges) + 1
		name := fmt.Sprintf("edge %d", number)
		if format != "edge %d" {
			name = fmt.Sprintf(format, 'a'+number)
		}
		s.was[name] = q.Edges[i].Name[1:]
		renameEdge(q, i, name)
	}
	for k := range q.Notches {
		name := fmt.Sprintf("notch %d", k+1)
		s.was[name] = q.Notches[k].Name
		q.Notches[k].Name = name
	}
	for k := range q.Marks {
		name := fmt.Sprintf("mark %d", k+1)
		s.was[name] = q.Marks[k].Name
		q.Marks[k].Name = name
	}
	for i := range q.Corners {
		q.Corners[i].Name = ""
	}
}

// startedElsewhere lists the outline from another corner.
func startedElsewhere(rng *rand.Rand, p *pattern.Piece) *pattern.Piece {
	q, n := p.Clone(), len(p.Edges)
	by := rng.IntN(n)
	r := p.Clone()
	for i := range n {
		q.Corners[i], q.Edges[i] = r.Corners[(i+by)%n], r.Edges[(i+by)%n]
	}
	return q
}

// redivided cuts curves into parts at other places; straight lines as well.
func redivided(rng *rand.Rand, p *pattern.Piece) *pattern.Piece {
	q := p.Clone()
	for i := range q.Edges {
		var out geom.Path
		for _, c := range p.EdgePath(i) {
			for range rng.IntN(3) {
				if c.Length() < 8 {
					break
				}
				a, b := c.Split(0.2 + 0.6*rng.Float64())
				out, c = append(out, a), b
			}
			out = append(out, c)
		}
		if !q.Edges[i].Fold || len(out) == 1 {
			q.Edges[i].SetPath(out)
		}
	}
	return q
}

// astray is the greatest distance in mm by which a motion that takes the
// scrambled piece back lays its corners beside where they were.
func (s scrambling) astray(back geom.Motion) float64 {
	if back.Mirror != s.motion.Mirror {
		return math.Inf(1)
	}
	far := 0.0
	for _, c := range s.piece.Corners {
		far = math.Max(far, back.Apply(c.At).Dist(s.motion.Inverse().Apply(c.At)))
	}
	return far
}
