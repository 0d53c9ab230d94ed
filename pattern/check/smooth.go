package check

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// mostBend is the bend in radians up to which a line counts as smooth where
// pieces are laid together, and at a fold with its other half.
var mostBend = geom.Degrees(3)

// rulerHalf is how far in mm a ruler reaches to both sides of a bend; a finding
// says how far the bend stands off it.
const rulerHalf = 50

// standsOff is how far a bend stands off a ruler laid to both sides.
func standsOff(bend float64) float64 { return rulerHalf * math.Sin(math.Abs(bend)/2) }

// smooth lays pieces together at the ends of their seams and looks whether
// hems, necklines, waists and armholes run on without a bend.
func (c *checker) smooth() {
	for _, j := range c.joints {
		line := c.line(j)
		if line == "" || c.meant(j.a) || c.meant(j.b) {
			continue
		}
		sum := j.a.inside() + j.b.inside()
		bend := math.Pi - sum
		if math.Abs(bend) <= mostBend {
			continue
		}
		where := fmt.Sprintf("%s and %s at seam %q", edgeWords(j.a.piece, j.a.next), edgeWords(j.b.piece, j.b.next), j.seam.Name)
		f := c.bent(bend, where)
		f.Kind, f.Seam, f.Pieces = change.NotSmooth, j.seam.Name, with(nil, j.a.piece.Name, j.b.piece.Name)
		f.At = at(j.a.piece.Corners[j.a.corner].At)
		f.Says = fmt.Sprintf("laid together, the %s has %s of %s: %s and %s make %s, and 180° is wanted; a ruler over 5 cm to both sides stands %s off",
			line, shape(bend), degrees(bend), degrees(j.a.inside()), degrees(j.b.inside()), degrees(sum), c.length(standsOff(bend)))
		f.Do = c.smoothAdvice(where, fmt.Sprintf("redraw the %s as one smooth line with the pieces laid together", line), j.a, j.b)
		c.add(f)
	}
}

// bent is a finding about a bend.
func (c *checker) bent(bend float64, where string) change.Finding {
	return change.Finding{Where: where, MM: standsOff(bend), Turn: change.Amount(geom.InDegrees(bend))}
}

// shape says which way a bend goes: a line with the garment below it and less
// than 180° inside sticks out.
func shape(bend float64) string {
	if bend > 0 {
		return "a point"
	}
	return "a dent"
}

func degrees(angle float64) string { return fmt.Sprintf("%.1f°", math.Abs(geom.InDegrees(angle))) }

// square looks whether every edge meets a fold square, so that it runs on
// smoothly into its other half.
func (c *checker) square() {
	for _, q := range c.p.Pieces {
		n := len(q.Edges)
		for i := range q.Edges {
			if !q.Edges[i].Fold {
				continue
			}
			for _, end := range [2]struct{ corner, next int }{{i, (i + n - 1) % n}, {(i + 1) % n, (i + 1) % n}} {
				e := ending{piece: q, sewn: i, next: end.next, corner: end.corner}
				bend := math.Pi - 2*e.inside()
				if q.Edges[end.next].Fold || c.meant(e) || math.Abs(bend) <= mostBend {
					continue
				}
				f := c.bent(bend, fmt.Sprintf("%s at the fold %q", edgeWords(q, end.next), q.Edges[i].Name))
				f.Kind, f.Pieces, f.At = change.NotSquare, []string{q.Name}, at(q.Corners[end.corner].At)
				f.Says = fmt.Sprintf("it meets the fold at %s, and 90° is wanted: opened out it has %s of %s", degrees(e.inside()), shape(bend), degrees(bend))
				f.Do = c.smoothAdvice(f.Where, fmt.Sprintf("redraw %q square to the fold at its end", q.Edges[end.next].Name), e)
				c.add(f)
			}
		}
	}
}

// smoothOverDarts closes each dart and looks whether a hem, neckline, waist or
// armhole runs on without a bend.
func (c *checker) smoothOverDarts() {
	for _, q := range c.p.Pieces {
		for _, d := range q.Darts() {
			path := q.EdgePath(d.Edge)
			if roleOf(q.Edges[d.Edge].Name) < 0 || d.Mark.From < atEnd || d.Mark.To > path.Length()-atEnd {
				continue
			}
			bend := c.bendOver(path, d)
			if math.Abs(bend) <= mostBend {
				continue
			}
			f := c.bent(bend, fmt.Sprintf("%s over the dart %q", edgeWords(q, d.Edge), d.Mark.Name))
			f.Kind, f.Pieces, f.At = change.NotSmooth, []string{q.Name}, at(d.A)
			f.Says = fmt.Sprintf("with the dart closed it has %s of %s; a ruler over 5 cm to both sides stands %s off", shape(bend), degrees(bend), c.length(standsOff(bend)))
			f.Do = fmt.Sprintf("close the dart on paper and redraw %q as one smooth line", q.Edges[d.Edge].Name)
			c.add(f)
		}
	}
}

// bendOver is the bend of an edge where its dart is closed.
func (c *checker) bendOver(path geom.Path, d pattern.Dart) float64 {
	in := path.BetweenLengths(0, d.Mark.From).EndTangent()
	on := path.BetweenLengths(d.Mark.To, path.Length()).StartTangent()
	return geom.AngleBetween(in, d.Closing().ApplyVector(on))
}
