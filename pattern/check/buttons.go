package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// row is the buttons or buttonholes of a piece, in order along it.
type row struct {
	piece *pattern.Piece
	holes bool
	marks []pattern.Mark
	at    []geom.Point // where a button sits, or a hole is at its middle
}

// buttons holds buttons against the buttonholes that they belong to: those of
// the same piece, or of a piece that has only the others; one laid almost on
// another is told in any case. Where a pattern has
// no buttonholes, or no buttons, nothing is told: snaps and loops are no marks.
func (c *checker) buttons() {
	var buttons, holes []row
	for _, q := range c.p.Pieces {
		b, h := rowOf(q, pattern.MarkButton), rowOf(q, pattern.MarkButtonhole)
		c.crowded(b)
		c.crowded(h)
		switch {
		case len(b.marks) > 0 && len(h.marks) > 0:
			c.opposite(b, h)
		case len(b.marks) > 0:
			buttons = append(buttons, b)
		case len(h.marks) > 0:
			holes = append(holes, h)
		}
	}
	if len(buttons) == 0 || len(holes) == 0 {
		return
	}
	for _, h := range holes {
		k := nearestRow(buttons, h)
		if k < 0 {
			c.add(c.unbuttoned(h))
			continue
		}
		c.opposite(buttons[k], h)
		buttons = slices.Delete(buttons, k, k+1)
	}
	for _, b := range buttons {
		c.add(c.unbuttoned(b))
	}
}

// leastButton is the distance in mm, between middles, below which buttons or
// buttonholes of one kind lie on each other: smaller buttons are hardly made. A
// button of known width needs its width.
const leastButton = 6

// crowded finds buttons or buttonholes of a row of which one is laid almost on
// another.
func (c *checker) crowded(r row) {
	for k := range r.at {
		for l := range k {
			least := math.Max(leastButton, (r.marks[k].Size+r.marks[l].Size)/2)
			far := r.at[k].Dist(r.at[l])
			if r.holes {
				least = leastButton
			}
			if far >= least {
				continue
			}
			name := map[bool]string{true: "buttonhole", false: "button"}[r.holes]
			c.add(change.Finding{Kind: change.Buttons, MM: far, Where: fmt.Sprintf("%s, %s %q", r.piece.Name, name, r.marks[k].Name), Pieces: []string{r.piece.Name}, At: at(r.at[k]),
				Says: fmt.Sprintf("it lies %s from %q, almost on it", c.length(far), r.marks[l].Name),
				Do:   fmt.Sprintf("move it with `toile alter move`, or take one of them away with `toile alter remove %q %q`", r.piece.Name, r.marks[k].Name)})
		}
	}
}

func rowOf(q *pattern.Piece, kind pattern.MarkKind) row {
	r := row{piece: q, holes: kind == pattern.MarkButtonhole}
	for _, m := range q.Marks {
		if m.Kind == kind {
			r.marks = append(r.marks, m)
		}
	}
	place := func(m pattern.Mark) geom.Point {
		if len(m.Path) > 0 {
			return m.Path.PointAt(m.Path.Length() / 2)
		}
		return m.At
	}
	down := q.GrainDirection()
	way := down
	for _, m := range r.marks { // along the row, down the grain or to its left
		if v := place(m).Sub(place(r.marks[0])); v.Len() > 1 && math.Abs(v.Dot(down)) < math.Abs(v.Cross(down)) {
			way = down.Left()
		}
	}
	slices.SortStableFunc(r.marks, func(a, b pattern.Mark) int { return cmp.Compare(place(a).Dot(way), place(b).Dot(way)) })
	for _, m := range r.marks {
		r.at = append(r.at, place(m))
	}
	return r
}

// nearestRow is the row of buttons that fits a row of holes best: that with the
// same number of them, and among those with the most edges called alike.
func nearestRow(buttons []row, h row) int {
	best, score := -1, math.Inf(1)
	for k, b := range buttons {
		s := 100 * math.Abs(float64(len(b.marks)-len(h.marks)))
		for _, name := range b.piece.EdgeNames() {
			if slices.Contains(h.piece.EdgeNames(), name) {
				s--
			}
		}
		if s < score {
			best, score = k, s
		}
	}
	return best
}

func (r row) words() string {
	n := len(r.marks)
	word := "button"
	if r.holes {
		word = "buttonhole"
	}
	if n != 1 {
		word += "s"
	}
	return fmt.Sprintf("%d %s of %s", n, word, r.piece.Name)
}

func (c *checker) unbuttoned(r row) change.Finding {
	other := map[bool]string{true: "buttons", false: "buttonholes"}[r.holes]
	return change.Finding{Kind: change.Buttons, Where: r.words(), Pieces: []string{r.piece.Name}, At: at(r.at[0]),
		Says: "no " + other + " are left for them, while other pieces have some", Do: "mark the " + other + " too, or take these away"}
}

// opposite holds a row of buttons against a row of holes: number, distances and
// size.
func (c *checker) opposite(b, h row) {
	f := change.Finding{Kind: change.Buttons, Where: b.words() + " against " + h.words(), Pieces: with([]string{b.piece.Name}, h.piece.Name)}
	if len(b.marks) != len(h.marks) {
		f.Says, f.Do, f.At = "their numbers differ", "mark as many buttonholes as buttons", at(b.at[0])
		c.add(f)
		return
	}
	for k := range b.marks {
		if k > 0 {
			off := h.at[k].Dist(h.at[k-1]) - b.at[k].Dist(b.at[k-1])
			if math.Abs(off) > c.tol {
				g := f
				g.MM, g.At = off, at(b.at[k])
				g.Says = fmt.Sprintf("from %q to %q it is %s, but from %q to %q %s", b.marks[k-1].Name, b.marks[k].Name, c.length(b.at[k].Dist(b.at[k-1])),
					h.marks[k-1].Name, h.marks[k].Name, c.length(h.at[k].Dist(h.at[k-1])))
				g.Do = "space both rows alike"
				c.add(g)
			}
		}
		if size := b.marks[k].Size; size > 0 && h.marks[k].Path.Length() < size-offPiece {
			g := f
			g.MM, g.At = h.marks[k].Path.Length()-size, at(b.at[k])
			g.Says = fmt.Sprintf("%q is %s wide, and %q only %s long", b.marks[k].Name, c.length(size), h.marks[k].Name, c.length(h.marks[k].Path.Length()))
			g.Do = fmt.Sprintf("make %q longer, or take a smaller button", h.marks[k].Name)
			c.add(g)
		}
	}
	c.level(b, h, f)
}

// level holds the first button against the first hole where the two pieces are
// halves of each other: both as far from the corners of an edge called alike, that
// beside which the row runs.
func (c *checker) level(b, h row, f change.Finding) {
	if b.piece == h.piece {
		return
	}
	i, k := c.runsBeside(b, h.piece)
	if i < 0 {
		return
	}
	off := fromTop(h, k) - fromTop(b, i)
	if math.Abs(off) <= c.tol {
		return
	}
	f.MM, f.At = off, at(b.at[0])
	f.Says = fmt.Sprintf("along %q the first button lies %s the upper end, the first buttonhole %s it", b.piece.Edges[i].Name, c.heightWords(fromTop(b, i)), c.heightWords(fromTop(h, k)))
	f.Do = "move one of the rows"
	c.add(f)
}

// heightWords is how far from an upper end a place lies, or above it.
func (c *checker) heightWords(down float64) string {
	if down < 0 {
		return c.length(-down) + " above"
	}
	return c.length(down) + " from"
}

// besideRow is how far in mm a row of buttons lies at most, on average, from the edge
// that it is measured along: a double-breasted front overlaps by about as much.
const besideRow = 80

// runsBeside is the edge of a row's piece beside which the row runs and the edge of its
// name, as long, on the other piece; −1 where there is none. A curved neckline at the
// end of the row may be nearer to its first button, but does not run as the row does.
func (c *checker) runsBeside(r row, other *pattern.Piece) (edge, its int) {
	edge, its = -1, -1
	least := besideRow + 1e-9
	way := r.at[len(r.at)-1].Sub(r.at[0])
	for i := range r.piece.Edges {
		k := namesake(r.piece, i, other)
		if k < 0 || r.piece.Edges[i].Fold || math.Abs(r.piece.Length(i)-other.Length(k)) > c.tol {
			continue
		}
		path, sum := r.piece.EdgePath(i), 0.0
		for _, at := range r.at {
			_, far := path.Nearest(at)
			sum += far
		}
		middle, _ := path.Nearest(r.at[len(r.at)/2])
		along := way.Len() < 1 || math.Abs(way.Unit().Dot(path[middle.Curve].Tangent(middle.T))) >= sameDirection
		if mean := sum / float64(len(r.at)); along && mean < least {
			edge, its, least = i, k, mean
		}
	}
	return edge, its
}

// fromTop is how far below the upper end of an edge, along it, the first mark of
// a row lies; less than 0 above it.
func fromTop(r row, edge int) float64 {
	path := r.piece.EdgePath(edge)
	place, _ := path.Nearest(r.at[0])
	along := path.LengthTo(place) + r.at[0].Sub(path.At(place)).Dot(path[place.Curve].Tangent(place.T)) // beyond an end as well
	if down := r.piece.GrainDirection(); path.End().Sub(path.Start()).Dot(down) < 0 {
		return path.Length() - along
	}
	return along
}
