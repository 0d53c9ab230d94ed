package trace

import (
	"math"

	"toile/geom"
	"toile/pattern/match"
)

const (
	// besideTold is how far in mm a cutting line that is drawn beside the sewing
	// line may lie off that of the piece without a word: more than files round.
	besideTold = 0.2

	// itsCutting is the share of the stored cutting line that a line around an
	// outline has to lie on to count as one.
	itsCutting = 0.4
)

// tellCutting tells that the cutting line, which a drawing shows beside the sewing
// line, is another than that of the piece: it was not taken. The allowances of any
// set may be those that are drawn. A drawing of which somebody said that its sewing
// line counts needs no word.
func (t *tracing) tellCutting() error {
	if t.r.Drawn != "" || len(t.o.Boundary)+len(t.o.Around) == 0 {
		return nil
	}
	drawn := t.o.Boundary
	if len(drawn) == 0 {
		if its, err := t.liesOnCutting(t.o.Around); !its {
			return err
		}
		drawn = t.o.Around
	}
	least, at := math.Inf(1), geom.Point{}
	for _, set := range t.p.Sets {
		line, err := t.piece.CuttingLine(set)
		if err != nil {
			continue // then nothing can be compared with it
		}
		far, where := offEach(drawn, line.Ring)
		if far < least {
			least, at = far, where
		}
	}
	if tol := math.Max(besideTold, 2*t.tol); least > tol && !math.IsInf(least, 1) {
		t.says("the cutting line in the drawing lies up to %s off that of the piece, at edge %q; the sewing line was taken: "+
			"--drawn cutting takes the cutting line, and `toile edge` sets an allowance", t.p.Unit.Format(least), t.edgeNear(at))
	}
	return nil
}

// liesOnCutting reports whether enough of a stored cutting line lies on a ring.
func (t *tracing) liesOnCutting(ring geom.Ring) (bool, error) {
	for _, set := range t.p.Sets {
		line, err := t.old.CuttingLine(set)
		if err != nil {
			continue
		}
		pose, err := match.Measure(line.Ring, ring, geom.Motion{}, t.byEye())
		if err != nil || pose.Matched >= itsCutting {
			return err == nil, err
		}
	}
	return false, nil
}

// edgeNear names the edge of the piece that lies nearest to a place.
func (t *tracing) edgeNear(q geom.Point) string {
	name, least := "", math.Inf(1)
	for i, e := range t.piece.Edges {
		if _, d := t.piece.EdgePath(i).Nearest(q); d < least {
			name, least = e.Name, d
		}
	}
	return name
}

// offEach is how far two outlines lie from each other at most, and where.
func offEach(a, b geom.Ring) (far float64, at geom.Point) {
	far, at = farthestFrom(geom.Path(a), geom.Path(b))
	if other, where := farthestFrom(geom.Path(b), geom.Path(a)); other > far {
		return other, where
	}
	return far, at
}
