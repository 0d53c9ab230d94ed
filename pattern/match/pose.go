package match

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"toile/geom"
)

// Pose is one way to lay a new outline over an old one.
type Pose struct {
	Motion   geom.Motion // takes the new outline onto the old one
	Matched  float64     // share of the old outline's length, 0 to 1, that then coincides within the tolerance
	Residual float64     // root mean square distance in mm on that share
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

const (
	// nearlyEqual: a pose that explains at least this share of what the best
	// one explains is told as an alternative.
	nearlyEqual = 0.95

	// equal: shares of the boundary that differ by less are the same for the
	// choice between poses; matching loses a few tolerances at each corner.
	equal = 0.002

	// finalists is the number of candidates refined. More cost time; fewer
	// miss a good pose among look-alikes such as the turns of a star.
	finalists = 10

	// mostAlternatives bounds what is told of highly symmetric outlines.
	mostAlternatives = 8

	// clearly: a pose explains clearly more than another from so much more of
	// the boundary on, or from half of what the other leaves unexplained.
	clearly = 0.2

	// turnedOver: a pose turned over explains clearly more than one that is
	// moved already from so much on.
	turnedOver = 0.1

	// byEye in mm: somebody who types a corner again to 0.1 mm, or draws with
	// a pen, has not moved what lies within it.
	byEye = 0.5
)

// errNoOutline is the error for rings without length.
var errNoOutline = errors.New("an outline without length cannot be laid over another")

// LayOver finds the motion that lays the ring new over the ring old. Both run
// clockwise; tol in mm is the distance within which they count as coinciding.
//
// Method: the motions that bring a corner of one onto a corner of the other
// with equal turn, or two onto two with an equal chord, vote; where corners
// are few, places of equal curvature and the outlines' own axes are tried
// too. The best are refined by least squares on the distances square to the
// outline, with Tukey's weights on a width that narrows to tol (Chen and
// Medioni, Object modelling by registration of multiple range images, 1992),
// so that what has changed loses its say. The boundary that coincides is then
// measured, and counts.
//
// Outlines that only moved come back to about 1e-9 mm. Lying as they are is
// preferred: a motion has to explain clearly more (ClearlyMore), and also when
// judged within 0.5 mm, for a slip of the pen is far likelier than a motion
// that brings a stray edge onto another. A pose turned over has to explain
// clearly more than any that is not. Where lying as they are explains all,
// nothing else is looked for. Other poses that explain nearly as much, as of a
// symmetric piece or one that slides along its parallel sides, come as
// alternatives, best first. Best has Matched 0 and no motion when nothing
// coincides in any pose; that is no error. The error says that a ring is
// empty, has no length or a coordinate that is no number.
func LayOver(old, new geom.Ring, tol float64, o Options) (best Pose, alternatives []Pose, err error) {
	for _, r := range []geom.Ring{old, new} {
		if !usable(r) {
			return Pose{}, nil, errNoOutline
		}
	}
	if !(tol > 0) {
		return Pose{}, nil, fmt.Errorf("a tolerance of %v mm cannot tell what coincides; it has to be positive", tol)
	}
	l := newLayer(old, new, tol)
	identity := l.measured(geom.Motion{})
	if identity.Matched >= 1-equal {
		return identity, nil, nil
	}
	poses := []Pose{identity}
	for _, m := range l.shortlist(o.AllowMirror) {
		poses = append(poses, l.refined(m))
	}
	return choose(poses, l, o)
}

func usable(r geom.Ring) bool {
	for _, c := range r {
		if !c.Finite() {
			return false
		}
	}
	return len(r) > 0 && r.Length() > 1e-6
}

// ClearlyMore reports whether explaining the share more of a boundary, 0 to 1,
// is clearly more than explaining the share less.
func ClearlyMore(more, less float64) bool {
	return more > less && more-less >= math.Min(clearly, (1-less)/2)
}

// choose sorts the poses, the first of which is lying as they are, and leaves
// out repeats.
func choose(poses []Pose, l *layer, o Options) (Pose, []Pose, error) {
	may := l.mayBeBest(poses)
	apart := make([]float64, len(poses))
	order := make([]int, len(poses))
	for i, p := range poses {
		apart[i], order[i] = marksApart(p.Motion, o), i
	}
	sort.SliceStable(order, func(x, y int) bool {
		i, j := order[x], order[y]
		p, q := poses[i], poses[j]
		if may[i] != may[j] {
			return may[i]
		}
		if math.Abs(p.Matched-q.Matched) > equal {
			return p.Matched > q.Matched
		}
		if math.Abs(apart[i]-apart[j]) > 2*l.tol {
			return apart[i] < apart[j]
		}
		return l.moved(p.Motion, geom.Motion{}) < l.moved(q.Motion, geom.Motion{})-l.tol
	})
	best := poses[order[0]]
	if best.Matched == 0 {
		return Pose{}, nil, nil
	}
	var others []Pose
	for _, i := range order[1:] {
		p := poses[i]
		if p.Matched < nearlyEqual*best.Matched || l.repeats(p, append(others, best)) || len(others) == mostAlternatives {
			continue
		}
		others = append(others, p)
	}
	return best, others, nil
}

// mayBeBest says which poses may be best: those that explain clearly more than
// lying as they are, the first pose, or that one alone; and none turned over
// unless it explains clearly more than the best that is not.
func (l *layer) mayBeBest(poses []Pose) []bool {
	plain := poses[0]
	for _, p := range poses {
		if !p.Motion.Mirror && p.Matched > plain.Matched {
			plain = p
		}
	}
	may, some := make([]bool, len(poses)), false
	for i, p := range poses[1:] {
		may[i+1] = l.explainsMore(p, poses[0]) && (!p.Motion.Mirror || l.worthTurning(p, plain))
		some = some || may[i+1]
	}
	may[0] = !some
	return may
}

// explainsMore reports whether a pose explains clearly more than lying as they
// are does, within the tolerance and by eye. A motion that itself is hardly
// seen is judged within the tolerance only.
func (l *layer) explainsMore(p, identity Pose) bool {
	if !ClearlyMore(p.Matched, identity.Matched) {
		return false
	}
	return l.moved(p.Motion, geom.Motion{}) <= 2*byEye || ClearlyMore(l.byEye(p), l.byEye(identity))
}

// worthTurning reports whether a pose turned over explains clearly more than
// the best that is not, within the tolerance or by eye.
func (l *layer) worthTurning(p, plain Pose) bool {
	if ClearlyMore(p.Matched, plain.Matched) {
		return true
	}
	more := l.byEye(p) - l.byEye(plain)
	return more >= clearly || (more >= turnedOver && p.Matched-plain.Matched >= turnedOver && !plain.Motion.Identity())
}

// byEye is the share of the old outline that a pose explains by eye.
func (l *layer) byEye(p Pose) float64 {
	wide := *l
	wide.tol = math.Max(byEye, 2*l.tol)
	return wide.measured(p.Motion).Matched
}

// marksApart is how far, in mm on average, the new marks lie from the nearest
// old ones under a motion; marks farther off than 20 mm are taken for others.
func marksApart(m geom.Motion, o Options) float64 {
	const other = 20.0
	if len(o.OldMarks) == 0 || len(o.NewMarks) == 0 {
		return 0
	}
	sum := 0.0
	for _, q := range o.NewMarks {
		nearest := other
		for _, p := range o.OldMarks {
			nearest = math.Min(nearest, m.Apply(q).Dist(p))
		}
		sum += nearest
	}
	return sum / float64(len(o.NewMarks))
}

// repeats reports whether a pose differs from one of the others by no more
// than the noise lets through.
func (l *layer) repeats(p Pose, others []Pose) bool {
	for _, q := range others {
		if p.Motion.Mirror == q.Motion.Mirror && l.moved(p.Motion, q.Motion) < math.Max(0.5, 20*l.tol) {
			return true
		}
	}
	return false
}

// moved is the greatest distance in mm between the places to which two
// motions take the corners of the new outline's box.
func (l *layer) moved(m, n geom.Motion) float64 {
	b := l.new.box
	d := 0.0
	for _, q := range []geom.Point{b.Min, b.Max, geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Min.Y)} {
		d = math.Max(d, m.Apply(q).Dist(n.Apply(q)))
	}
	return d
}

// Measure says how well a motion lays one outline over another.
func Measure(old, new geom.Ring, m geom.Motion, tol float64) (Pose, error) {
	if !usable(old) || !usable(new) {
		return Pose{}, errNoOutline
	}
	return newLayer(old, new, tol).measured(m), nil
}
