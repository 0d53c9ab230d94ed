package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
	"toile/pattern/units"
)

// lay brings the drawing over the stored piece: old is its outline, or its
// cutting line when that was drawn.
func (t *tracing) lay(old geom.Ring) error {
	asItLies, err := match.Measure(old, t.o.Ring, geom.Motion{}, t.tol)
	if err != nil {
		return err
	}
	t.res.Pose = asItLies
	if t.r.Place == PlaceAsIs {
		return nil
	}
	options := match.Options{OldMarks: t.oldMarks(), NewMarks: t.o.marks()}
	pose, others, err := match.LayOver(old, t.o.Ring, t.tol, options)
	if err != nil {
		return err
	}
	const hardly, clearly = 0.1, 0.3 // shares of the boundary
	if pose.Matched < 1-clearly {
		options.AllowMirror = true
		if turned, _, err := match.LayOver(old, t.o.Ring, t.tol, options); err == nil && turned.Motion.Mirror && turned.Matched > pose.Matched+clearly {
			t.says("turned over, the drawing would lie on %s of the stored outline, and as it is on %s; "+
				"if it was drawn from the back of the paper, mirror it and trace it again", percent(turned.Matched), percent(pose.Matched))
		}
	}
	if pose.Matched < hardly {
		t.says("the drawing lies on the stored outline nowhere to speak of (%s), so it is taken where it lies on the sheet", percent(pose.Matched))
		return nil
	}
	t.res.Pose, t.res.Alternatives = pose, others
	if !pose.Motion.Identity() {
		m := pose.Motion
		t.says("laid over the stored piece: %s of its outline coincides; turned by %s, then moved by %s across and %s down",
			percent(pose.Matched), units.FormatAngle(m.Turn), t.p.Unit.Format(m.Shift.X), t.p.Unit.Format(m.Shift.Y))
		t.o = t.o.moved(m)
	}
	return nil
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// moved gives the outline with all that is on and in it after a motion
// without a mirror.
func (o Outline) moved(m geom.Motion) Outline {
	o.Ring = o.Ring.Moved(m)
	o.Notches, o.Lines = slices.Clone(o.Notches), slices.Clone(o.Lines)
	o.Dots, o.Texts = slices.Clone(o.Dots), slices.Clone(o.Texts)
	for i := range o.Notches {
		o.Notches[i].At = m.Apply(o.Notches[i].At)
	}
	for i := range o.Lines {
		o.Lines[i].Path = o.Lines[i].Path.Moved(m)
	}
	for i := range o.Dots {
		o.Dots[i].At = m.Apply(o.Dots[i].At)
	}
	for i := range o.Texts {
		o.Texts[i].At = m.Apply(o.Texts[i].At)
	}
	return o
}

// marks lists the places that can decide between poses.
func (o Outline) marks() []geom.Point {
	var at []geom.Point
	for _, n := range o.Notches {
		at = append(at, n.At)
	}
	for _, d := range o.Dots {
		at = append(at, d.At)
	}
	for _, x := range o.Texts {
		at = append(at, x.At)
	}
	for _, l := range o.Lines {
		at = append(at, l.Path.Start(), l.Path.End())
	}
	return at
}

func (t *tracing) oldMarks() []geom.Point {
	var at []geom.Point
	for _, n := range t.old.Notches {
		if q, _, _, err := t.old.NotchPlace(n); err == nil {
			at = append(at, q)
		}
	}
	if g := t.old.Grain; g != nil {
		at = append(at, g.From, g.To)
	}
	for _, m := range t.old.Marks {
		switch {
		case len(m.Path) > 0:
			at = append(at, m.Path.Start(), m.Path.End())
		case m.Kind == pattern.MarkDot || m.Kind == pattern.MarkText || m.Kind == pattern.MarkButton:
			at = append(at, m.At)
		}
	}
	return at
}

// What tells noisy points from a drawn outline. Each point lies beside the
// line between its neighbours; of that distance, the difference from the mean
// of its neighbours' is taken, in which even bends cancel. On exact polylines
// through curves this is small or changes slowly; for independent errors of
// the points, neighbouring values have the correlation −0.8. Outlines of
// garment parts as polygons have some 36 corners at most, far apart.
const (
	denseCount    = 60   // straight lines, at least
	denseLength   = 8.0  // mm, their mean length at most
	noisyLikeness = -0.4 // correlation of neighbours, at most
	noisyLeast    = 0.02 // mm, root mean square, at least: points out by 0.01
	outlying      = 4.0  // medians; what is greater is a corner and no error
)

// smoothNoise puts a fitted outline in the place of dense, noisy points.
func (t *tracing) smoothNoise() {
	if t.declared() || !noisy(t.o.Ring) {
		return
	}
	points := make([]geom.Point, len(t.o.Ring))
	for i, c := range t.o.Ring {
		points[i] = c.P0
	}
	ring, corners, noise := geom.FitOutline(points, geom.FitOptions{CornerTurn: t.r.Corner})
	if len(ring) == 0 {
		return
	}
	t.says("%d points with an error of about %s mm: curves were laid through them", len(points), units.Number(noise, 2))
	t.o.Ring, t.noise, t.fixed = ring, noise, corners
	if t.fixed == nil {
		t.fixed = []int{}
	}
}

// noisy reports whether a ring is a polyline through dense points that
// scatter.
func noisy(r geom.Ring) bool {
	n := len(r)
	if n <= denseCount || r.Length() > denseLength*float64(n) {
		return false
	}
	for _, c := range r {
		if !c.IsStraight(storedStraight) {
			return false
		}
	}
	wavering := differences(besideNeighbours(r))
	sizes := make([]float64, n)
	for i, w := range wavering {
		sizes[i] = math.Abs(w)
	}
	slices.Sort(sizes)
	most := outlying * sizes[n/2]
	square, product, count := 0.0, 0.0, 0
	for i, w := range wavering {
		if next := wavering[(i+1)%n]; math.Abs(w) <= most && math.Abs(next) <= most {
			square, product, count = square+w*w, product+w*next, count+1
		}
	}
	return count > n/2 && math.Sqrt(square/float64(count)) >= noisyLeast && product <= noisyLikeness*square
}

// besideNeighbours gives for each node how far it lies to the right of the
// line from the node before to the node after.
func besideNeighbours(r geom.Ring) []float64 {
	out := make([]float64, len(r))
	for i, c := range r {
		before := r[(i+len(r)-1)%len(r)].P0
		out[i] = c.P3.Sub(before).Unit().Cross(c.P0.Sub(before))
	}
	return out
}

// differences gives each value less the mean of its neighbours.
func differences(v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i, x := range v {
		out[i] = x - (v[(i+n-1)%n]+v[(i+1)%n])/2
	}
	return out
}

// isGrain and isFold read what a drawn line is from its label.
func isGrain(name string) bool { return strings.Contains(strings.ToLower(name), "grain") }

func isFold(name string) bool { return strings.Contains(strings.ToLower(name), "fold") }
