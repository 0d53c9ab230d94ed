package match

import (
	"errors"
	"fmt"
	"math"

	"toile/geom"
)

// Pose is one way to lay a new outline over an old one.
type Pose struct {
	Motion    geom.Motion // takes the new outline onto the old one
	Matched   float64     // share of the old outline's length, 0 to 1, that then coincides within the tolerance
	Residual  float64     // root mean square distance in mm on that share
	Unchanged []Run       // the stretches of the old outline that are as they were, in the order of the old ring
}

// Options says what LayOver may do and what helps it to choose.
type Options struct {
	// AllowMirror lets the new outline be turned over.
	AllowMirror bool

	// OldMarks and NewMarks are places that belong to the outlines, such as
	// notches and dots, in their own frames. They decide only between poses
	// that explain the outlines equally well.
	OldMarks, NewMarks []geom.Point
}

// LayOver finds the motion that lays the ring new over the ring old. Both run
// clockwise; tol in mm is the distance within which they count as coinciding.
// From 0.05 mm on, or where a ring is a line through dense points, the
// outlines are taken as drawn by hand with errors whose standard deviation is
// a third of tol.
//
// Method. Candidates: the motions that bring a corner of one onto a corner of
// the other, or two onto two with an equal chord, vote; where corners are few,
// places of equal curvature and the outlines' own axes are tried too. Corners
// of dense points are found on windows. Each is brought nearer, and the best
// are refined, by least squares on the distances square to the outline (Chen
// and Medioni, Object modelling by registration of multiple range images,
// 1992), with weights (Beaton and Tukey, The fitting of power series, 1974) on
// a width that narrows to tol, so that what has changed loses its say. The
// boundary that coincides is then measured (geom.Match), and counts.
//
// Hand-drawn outlines are then fitted again, unweighted, to the samples in
// windows whose mean is no farther off than three times the scatter of such
// means, which is estimated from their median (between sigma/3 and sigma, for a
// window holds nine points). Near the best poses others are tried in the same
// way: gliding until a corner meets a corner, and with one edge left out. The
// unchanged windows decide between poses.
//
// Accuracy: outlines that only moved come back to about 1e-9 mm. Traced every
// 3 mm with errors of 0.3 mm and 20 to 40 % of the boundary changed, the rest
// comes to lie within 0.13 mm (root mean square, 90 % of cases; docs/accuracy.md
// says against what). Errors that change slowly, as over 30 mm, cancel less:
// 0.32 mm then, where a fit that is told what is unchanged leaves 0.27.
//
// Lying as they are is preferred: a motion has to explain clearly more
// (ClearlyMore), and also when judged within 0.5 mm, for a slip of the pen is
// far likelier than a motion that brings a stray edge onto another. A pose
// turned over has to explain a tenth of the boundary more than any that is not
// (hand-drawn 7 %, as the ends of unchanged stretches are lost). Where lying as
// they are explains all within tol, nothing else is looked for: a drawing off
// by less than its own tolerance stays.
//
// Other poses that explain nearly as much, as of a symmetric piece or one that
// slides along its parallel sides, come as alternatives, best first, eight at
// most. An outline of which parallel sides alone are left says nothing of where
// along them it lies; the candidates then stop where a corner meets a corner.
// Of many corners the 200 with the longest edges vote, so that the time grows
// in proportion to the curves.
// Best has Matched 0 and no motion when nothing coincides in any pose; that is
// no error. Curves without length, repeated points and loops are borne.
//
// The error says that a ring has no length, a coordinate that is no number, or
// reaches farther than 10 km from the origin, or that tol is not positive.
func LayOver(old, new geom.Ring, tol float64, o Options) (best Pose, alternatives []Pose, err error) {
	if err := usable(old, new, tol); err != nil {
		return Pose{}, nil, err
	}
	l := newLayer(old, new, tol)
	identity := l.measured(geom.Motion{})
	if identity.Matched >= 1-equal {
		return l.told(identity), nil, nil
	}
	motions := []geom.Motion{{}}
	for _, m := range l.shortlist(o.AllowMirror) {
		motions = append(motions, l.refined(m))
	}
	var poses []laid
	if l.drawn {
		poses = l.sharpened(motions)
	} else {
		for _, m := range motions {
			poses = append(poses, l.measured(m))
		}
	}
	best, alternatives = l.choose(poses, o)
	return best, alternatives, nil
}

// farthest in mm from the origin that an outline may reach: beyond, rounding
// is felt before the tolerance of stored outlines.
const farthest = 1e7

// usable reports what keeps rings from being laid over each other.
func usable(old, new geom.Ring, tol float64) error {
	for _, r := range []geom.Ring{old, new} {
		for i, c := range r {
			if !c.Finite() {
				return fmt.Errorf("curve %d of an outline has a coordinate that is no number: it cannot be laid over another", i+1)
			}
			for _, q := range [4]geom.Point{c.P0, c.P1, c.P2, c.P3} {
				if reach := math.Max(math.Abs(q.X), math.Abs(q.Y)); reach > farthest {
					return fmt.Errorf("curve %d of an outline reaches %.3g mm from the origin; farther than %.0e mm it cannot be laid over another", i+1, reach, farthest)
				}
			}
		}
		if len(r) == 0 || !(r.Length() > 1e-6) {
			return errors.New("an outline without length cannot be laid over another")
		}
	}
	if !(tol > 0 && tol <= farthest) {
		return fmt.Errorf("a tolerance of %v mm cannot tell what coincides; it has to be positive", tol)
	}
	return nil
}
