package match

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

const (
	// nearlyEqual: a pose that explains at least this share of what the best
	// one explains is told as an alternative; of hand-drawn outlines
	// nearlyEqualDrawn, as chance decides on more of them.
	nearlyEqual, nearlyEqualDrawn = 0.95, 0.9

	// equal: shares of the boundary that differ by less are the same for the
	// choice between poses; matching loses a few tolerances at each corner. Of
	// hand-drawn outlines with marks, equalDrawn are.
	equal, equalDrawn = 0.002, 0.05

	// worse: of poses with equal shares of outlines that coincide exactly, one
	// whose residual is so many times the least and worseBy mm more is not the
	// exact one. Rounding of stored coordinates alone stays below either.
	worse, worseBy = 10, 1e-6

	// mostAlternatives bounds what is told of highly symmetric outlines.
	mostAlternatives = 8

	// clearly: a pose explains clearly more than another from so much more of
	// the boundary on, or from half of what the other leaves unexplained.
	clearly = 0.2

	// turnedOver: a pose turned over explains clearly more than one that is
	// moved already from so much on; of hand-drawn outlines turnedOverDrawn, as
	// windows across a change lose a part of what each explains.
	turnedOver, turnedOverDrawn = 0.1, 0.07

	// nearlyAll is the share of what lies where it did by eye that a motion
	// hardly seen has to explain.
	nearlyAll = 0.9

	// byEye in mm: somebody who types a corner again to 0.1 mm, or draws with
	// a pen, has not moved what lies within it.
	byEye = 0.5
)

// ClearlyMore reports whether explaining the share more of a boundary, 0 to 1,
// is clearly more than explaining the share less.
func ClearlyMore(more, less float64) bool {
	return more > less && more-less >= math.Min(clearly, (1-less)/2)
}

// choose finds the best of the poses, the first of which is lying as they are,
// and those worth telling besides.
func (l *layer) choose(poses []laid, o Options) (Pose, []Pose) {
	may := l.mayBeBest(poses)
	best := l.best(poses, may, o)
	if poses[best].Matched == 0 {
		return Pose{}, nil
	}
	order := make([]int, len(poses))
	for i := range poses {
		order[i] = i
	}
	sort.SliceStable(order, func(x, y int) bool { return poses[order[x]].score > poses[order[y]].score })
	near := nearlyEqual
	if l.drawn {
		near = nearlyEqualDrawn
	}
	told, others := []laid{poses[best]}, []Pose(nil)
	for _, i := range order {
		p := poses[i]
		if p.score >= near*poses[best].score && !l.repeats(p, told) && len(others) < mostAlternatives {
			told, others = append(told, p), append(others, l.told(p))
		}
	}
	return l.told(poses[best]), others
}

// best is the pose that explains most of those that may be best. Among equal
// ones the marks decide, and then by how little it moves.
func (l *layer) best(poses []laid, may []bool, o Options) int {
	best := -1
	var apart, moved float64
	for _, i := range l.equals(poses, may, o) {
		p := poses[i]
		a, m := marksApart(p.Motion, o), l.new.moved(p.Motion, geom.Motion{})
		if best < 0 || a < apart-2*l.tol || (a <= apart+2*l.tol && m < moved-l.tol) {
			best, apart, moved = i, a, m
		}
	}
	return best
}

// equals lists the poses that explain as much as the best of those that may be
// best, but of outlines that coincide exactly none whose residual is clearly
// above the least: a circle of four curves turned at random still lies on
// itself within the tolerance.
func (l *layer) equals(poses []laid, may []bool, o Options) []int {
	same := equal
	if l.drawn && len(o.OldMarks) > 0 && len(o.NewMarks) > 0 {
		same = equalDrawn
	}
	most := 0.0
	for i, p := range poses {
		if may[i] {
			most = math.Max(most, p.score)
		}
	}
	var out []int
	least := math.Inf(1)
	for i, p := range poses {
		if may[i] && p.score >= most-same {
			out, least = append(out, i), math.Min(least, p.Residual)
		}
	}
	if l.drawn {
		return out
	}
	return slices.DeleteFunc(out, func(i int) bool { return poses[i].Residual > worse*least+worseBy })
}

// mayBeBest says which poses may be best: those that explain clearly more than
// lying as they are, the first pose, or that one alone; and none turned over
// unless it explains clearly more than the best that is not.
func (l *layer) mayBeBest(poses []laid) []bool {
	plain := poses[0]
	for _, p := range poses {
		if !p.Motion.Mirror && p.score > plain.score {
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
// seen is judged within the tolerance, and has to explain there nearly all
// that lying as they are does by eye: else it only shares out slips of the pen.
func (l *layer) explainsMore(p, identity laid) bool {
	if !ClearlyMore(p.score, identity.score) {
		return false
	}
	if l.new.moved(p.Motion, geom.Motion{}) <= 2*byEye {
		return p.Matched >= nearlyAll*l.byEye(identity)
	}
	return ClearlyMore(l.byEye(p), l.byEye(identity))
}

// worthTurning reports whether a pose turned over explains clearly more than
// the best that is not, within the tolerance or by eye.
func (l *layer) worthTurning(p, plain laid) bool {
	if ClearlyMore(p.share, plain.share) {
		return true
	}
	if l.drawn {
		more := math.Max(p.share-plain.share, p.score-plain.score)
		return more >= turnedOverDrawn && !plain.Motion.Identity()
	}
	more := l.byEye(p) - l.byEye(plain)
	return more >= clearly || (more >= turnedOver && p.share-plain.share >= turnedOver && !plain.Motion.Identity())
}

// byEye is the share of the old outline that a pose explains by eye. A drawing
// that is off by as much itself is judged as it was measured.
func (l *layer) byEye(p laid) float64 {
	if l.drawn && l.tol >= byEye {
		return p.share
	}
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
func (l *layer) repeats(p laid, others []laid) bool {
	if l.drawn {
		return l.within(p, others, math.Max(byEye, 2*l.tol))
	}
	return l.within(p, others, math.Max(byEye, 20*l.tol))
}

// within reports whether a pose moves no place by so many mm from where one of
// the others does.
func (l *layer) within(p laid, others []laid, apart float64) bool {
	for _, q := range others {
		if p.Motion.Mirror == q.Motion.Mirror && l.new.moved(p.Motion, q.Motion) < apart {
			return true
		}
	}
	return false
}
