package check

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// marksOff finds marks that do not lie on their piece: buttons, buttonholes,
// slits and the points of darts have to lie within the sewing line, all others
// within the widest cutting line.
func (c *checker) marksOff() {
	for _, q := range c.p.Pieces {
		o, err := q.Outline()
		if err != nil {
			continue
		}
		rings := []geom.Ring{o.Ring}
		for _, set := range c.p.Sets {
			if line, err := q.CuttingLine(set); err == nil {
				rings = append(rings, line.Ring)
			}
		}
		for _, m := range q.Marks {
			within := rings
			switch m.Kind {
			case pattern.MarkPleat:
				continue // has no place of its own
			case pattern.MarkButton, pattern.MarkButtonhole, pattern.MarkSlit, pattern.MarkDart:
				within = rings[:1]
			}
			if off, where := outside(m, within); off > offPiece {
				c.add(c.markOff(q, m, off, where))
			}
		}
	}
}

// offPiece is how far in mm a mark may lie outside: a place read off a sheet to
// a tenth of a millimetre.
const offPiece = 0.1

// outside is how far a mark lies outside of all rings, and its furthest place.
func outside(m pattern.Mark, within []geom.Ring) (off float64, where geom.Point) {
	spots := []geom.Point{m.At}
	if len(m.Path) > 0 {
		spots = nil
		for _, d := range places(m.Path.Length()) {
			spots = append(spots, m.Path.PointAt(d))
		}
	}
	for _, s := range spots {
		least := math.Inf(1)
		for _, r := range within {
			_, d := geom.Path(r).Nearest(s)
			if r.Holds(s) {
				d = 0
			}
			least = math.Min(least, d)
		}
		if least > off {
			off, where = least, s
		}
	}
	return off, where
}

func (c *checker) markOff(q *pattern.Piece, m pattern.Mark, off float64, where geom.Point) change.Finding {
	says := fmt.Sprintf("it lies %s outside of the piece", c.length(off))
	do := "move it, or take it away"
	if m.Kind == pattern.MarkDart {
		says = fmt.Sprintf("its point lies %s outside of the piece", c.length(off))
		do = "move its point into the piece"
	}
	return change.Finding{Kind: change.MarkOff, MM: off, Pieces: []string{q.Name}, At: at(where),
		Where: fmt.Sprintf("%s, %s %q", q.Name, m.Kind, m.Name), Says: says, Do: do}
}

// dartLegs finds darts whose two legs, which are sewn to each other, differ in
// length.
func (c *checker) dartLegs() {
	for _, q := range c.p.Pieces {
		for _, d := range q.Darts() {
			a, b := d.A.Dist(d.Mark.At), d.B.Dist(d.Mark.At)
			if math.Abs(a-b) <= c.tol {
				continue
			}
			c.add(change.Finding{Kind: change.DartLegs, MM: b - a, Pieces: []string{q.Name}, At: at(d.Mark.At),
				Where: fmt.Sprintf("%s, dart %q on %q", q.Name, d.Mark.Name, d.Mark.Edge),
				Says:  fmt.Sprintf("its legs are %s and %s long, and they are sewn to each other", c.length(a), c.length(b)),
				Do:    fmt.Sprintf("move its point or its mouth, or redraw %q over the closed dart", d.Mark.Edge)})
		}
	}
}
