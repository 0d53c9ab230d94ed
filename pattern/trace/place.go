package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

// byEye in mm: what lies within it was meant to coincide, as when a corner is
// typed again to 0.1 mm. Whether a drawing is of the piece at all is judged so.
const byEye = 0.5

// So much of the shorter of both outlines has to lie on the other one: leastShare
// of it where the drawing has to be moved for that, and leastInPlace where it
// lies already, which is no chance.
const leastShare, leastInPlace = 0.4, 0.25

// lay brings the drawing over the stored piece: old is its outline, or its
// cutting line when that was drawn.
func (t *tracing) lay(old geom.Ring) error {
	if t.r.Place == PlaceAsIs {
		pose, err := match.Measure(old, t.o.Ring, geom.Motion{}, t.tol)
		if err != nil {
			return err
		}
		t.res.Pose = pose
		return t.refuseOtherLine(old, pose)
	}
	pose, others, err := t.bestPose(old)
	if err != nil {
		return err
	}
	if t.given != nil {
		pose = *t.given
	}
	if err := t.refuseOtherLine(old, pose); err != nil {
		return err
	}
	if err := t.refuseOtherSize(old, pose); err != nil {
		return err
	}
	share, err := t.share(old, pose)
	if err != nil {
		return err
	}
	if share < leastInPlace || (share < leastShare && !pose.Motion.Identity() && t.given == nil) {
		return fmt.Errorf("only %s of the outline of piece %q lies on the drawing, however that is laid; "+
			"if it is that piece and lies where it belongs on the sheet, add --place as-is; if it was redrawn by hand, say how well, "+
			"as in --drawn-within 1mm; if it is a new piece, give it a label of its own", percent(share), t.name)
	}
	if err := t.refuseGiant(old, pose); err != nil {
		return err
	}
	t.res.Pose, t.res.Alternatives, t.unlaid, t.laidOn = pose, others, t.o.Ring, old
	if m := pose.Motion; !m.Identity() {
		t.o = t.o.moved(m)
		if m.Mirror {
			t.fixed = flipped(t.fixed, len(t.o.Ring))
		}
	}
	return nil
}

// bestPose is how the drawing is laid, turned over only where it does not fit
// well as it is and that explains clearly more.
func (t *tracing) bestPose(old geom.Ring) (match.Pose, []match.Pose, error) {
	const well = 0.9
	options := match.Options{OldMarks: t.oldMarks(), NewMarks: t.o.marks()}
	pose, others, err := match.LayOver(old, t.o.Ring, t.tol, options)
	if err != nil || pose.Matched >= well {
		return pose, others, err
	}
	options.AllowMirror = true
	turned, turnedOthers, err := match.LayOver(old, t.o.Ring, t.tol, options)
	if err != nil || !turned.Motion.Mirror {
		return pose, withTurned(others, turnedOthers), err
	}
	so, err := t.share(old, turned)
	if err != nil {
		return pose, others, err
	}
	plain, err := t.share(old, pose)
	t.says("the drawing is turned over, as one drawn from the back of the paper: %s of the outline coincides so, and %s as it was drawn",
		percent(so), percent(plain))
	return turned, turnedOthers, err
}

// withTurned adds to the alternatives of a drawing that was not turned over
// those in which it is.
func withTurned(others, all []match.Pose) []match.Pose {
	for _, p := range all {
		if p.Motion.Mirror {
			others = append(others, p)
		}
	}
	return others
}

// share is the part of the shorter of both outlines that lies on the other
// one, judged by eye.
func (t *tracing) share(old geom.Ring, pose match.Pose) (float64, error) {
	wide, err := match.Measure(old, t.o.Ring, pose.Motion, t.byEye())
	length := old.Length()
	return math.Min(1, wide.Matched*length/math.Min(length, t.o.Ring.Length())), err
}

func (t *tracing) byEye() float64 { return math.Max(byEye, 2*t.tol) }

// refuseOtherLine refuses a drawing that lies on the stored cutting line, and
// not on the sewing line, when nobody said which line was drawn: the piece
// would grow by its allowances.
func (t *tracing) refuseOtherLine(old geom.Ring, pose match.Pose) error {
	const plainly, hardly = 0.8, 0.6
	if t.r.Drawn != "" || pose.Matched >= hardly {
		return nil
	}
	line, err := t.old.CuttingLine(t.r.Set)
	if err != nil {
		return nil // then nothing can lie on it
	}
	sewn, err := t.share(old, pose)
	if err != nil || sewn >= hardly {
		return err
	}
	cut, err := match.Measure(line.Ring, t.o.Ring, geom.Motion{}, t.byEye())
	if err == nil && cut.Matched < plainly && t.r.Place != PlaceAsIs {
		cut, _, err = match.LayOver(line.Ring, t.o.Ring, t.byEye(), match.Options{AllowMirror: true})
	}
	if err != nil || cut.Matched < plainly || !match.ClearlyMore(cut.Matched, sewn) {
		return err
	}
	return fmt.Errorf("this looks like the cutting line of piece %q: it lies on %s of that, and on %s of the sewing line; "+
		"add --drawn cutting, or --drawn sewing if the piece was let out to there", t.name, percent(cut.Matched), percent(sewn))
}

// followSheet brings the stored piece to where the drawing lies when that was
// only moved on its sheet, so that grain line and marks go along.
func (t *tracing) followSheet(old geom.Ring) error {
	const all = 0.99
	asItLies, err := match.Measure(old, t.o.Ring, geom.Motion{}, t.tol)
	if err != nil || asItLies.Matched >= all || math.Abs(t.o.Ring.Length()/old.Length()-1) > 1-all {
		return err
	}
	pose, _, err := match.LayOver(old, t.o.Ring, t.tol, match.Options{OldMarks: t.oldMarks(), NewMarks: t.o.marks()})
	if err != nil || pose.Matched < all || pose.Motion.Identity() {
		return err
	}
	text, err := t.old.Moved(pose.Motion.Inverse()).Encode() // rounded as stored
	if err != nil {
		return err
	}
	if t.old, err = pattern.DecodePiece(t.old.FileName(), t.old.Slug, text); err != nil {
		return err
	}
	if t.old.Grain != nil || len(t.old.Marks)+len(t.old.Lines) > 0 {
		t.says("the piece was only moved on its sheet; its grain line and marks go along")
	}
	return nil
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// moved gives the outline with all that is on and in it after a motion; one
// turned over is turned round, so that it runs clockwise again.
func (o Outline) moved(m geom.Motion) Outline {
	o.Ring = o.Ring.Moved(m)
	if m.Mirror {
		o.reverse()
	}
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
	o.Fold, o.Boundary, o.Around = o.Fold.Moved(m), o.Boundary.Moved(m), o.Around.Moved(m)
	for i := range o.Texts {
		o.Texts[i].At = m.Apply(o.Texts[i].At)
	}
	return o
}

// flipped gives nodes of a ring of n curves by their numbers after it was
// turned round, rising.
func flipped(nodes []int, n int) []int {
	out := slices.Clone(nodes)
	for i := range out {
		out[i] = (n - out[i]) % n
	}
	slices.Sort(out)
	return out
}

// alternatives keeps of the other poses those that would make another piece,
// and none where the drawing was not moved, or changed nothing.
func (t *tracing) alternatives() error {
	const all, most = 0.99, 3
	others := t.res.Alternatives
	t.res.Alternatives = nil
	if t.res.Pose.Motion.Identity() || (t.res.Pose.Matched >= all && !t.res.Changed) {
		return nil
	}
	seen := []geom.Motion{t.res.Pose.Motion}
	for _, p := range others {
		if len(t.res.Alternatives) == most {
			break
		}
		same := false
		for _, m := range seen {
			laid := t.unlaid.Moved(m)
			if m.Mirror {
				laid = laid.Reverse()
			}
			onto, err := match.Measure(laid, t.unlaid, p.Motion, t.tol)
			if err != nil {
				return err
			}
			same = same || (onto.Matched >= all && len(t.o.marks()) == 0)
		}
		if !same {
			seen, t.res.Alternatives = append(seen, p.Motion), append(t.res.Alternatives, p)
		}
	}
	return nil
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

// isGrain and isFold read what a drawn line is from its label.
func isGrain(name string) bool { return strings.Contains(strings.ToLower(name), "grain") }

func isFold(name string) bool { return strings.Contains(strings.ToLower(name), "fold") }
