package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// layers reminds of inner pieces along a changed edge of their outer of which the
// edge there did not follow.
func (f *across) layers() {
	for _, l := range f.to.Layers {
		outer := f.piece(l.Outer)
		if l.Band || outer == nil || outer.Old == nil || outer.New == nil { // a band's length is told with its seam
			continue
		}
		for _, name := range l.Inner {
			inner := f.piece(name)
			if inner == nil || inner.New == nil {
				continue
			}
			if inner.Old != nil {
				f.corners(outer, inner)
			}
			if inner.Old == nil && liesBetter(inner.New, outer.New, outer.Old) {
				continue
			}
			has := "it has not"
			if inner.Old != nil && outlineChanged(inner) {
				has += " there"
			}
			if edges := f.lagging(outer, inner); len(edges) > 0 {
				f.d.NotFollowed = append(f.d.NotFollowed, change.NotFollowed{Piece: name, Of: l.Outer + "/" + edges[0], Why: "finishes to", Changed: edges,
					Says: fmt.Sprintf("%s finishes to %s, of which %s changed; %s", name, l.Outer, quoted(edges), has)})
			}
		}
	}
}

// lagging lists the changed edges of the outer along which an edge of the inner
// piece lay, or at a declared difference from, that neither changed itself nor lies
// along it now; all of the changed ones where the two cannot be laid over each other
// and the inner piece stayed as it was.
func (f *across) lagging(outer, inner *change.PieceDiff) []string {
	var changed []string
	for _, ch := range outer.Changes {
		if slices.Contains(outlineKinds, ch.Kind) && ch.Kind != change.EdgeRun && !Slight(&ch) {
			for _, e := range ch.Edges {
				if !slices.Contains(changed, e) {
					changed = append(changed, e)
				}
			}
		}
	}
	if len(changed) == 0 {
		return nil
	}
	l, ok := f.underLayer(outer, inner)
	if !ok && inner.Old != nil && outlineChanged(inner) {
		return nil
	}
	if !ok {
		return changed
	}
	other := l.onOtherHalf()
	if other == nil {
		other = l.beyondPleat()
	}
	return slices.DeleteFunc(changed, func(e string) bool {
		i := edgeNamed(outer.Old, e)
		return !l.lags(i) && (other == nil || !other.lags(i))
	})
}

// onOuter is an inner piece as it lay on its outer before both changed.
type onOuter struct {
	outer, inner *change.PieceDiff
	was          *pattern.Piece // the inner piece then; as it was drafted since
	then, now    pattern.Layer  // what is declared of it
	under        geom.Motion    // lays the outer under it
	shared       map[int][]int  // for each edge of the outer the inner edges on it
}

// leastShared is along how many mm of an edge of the outer an inner edge lies at
// least where it belongs there.
const leastShared = 1

// underLayer lays an outer under its inner piece, both as they were.
func (f *across) underLayer(outer, inner *change.PieceDiff) (*onOuter, bool) {
	l := &onOuter{outer: outer, inner: inner, was: inner.Old}
	if l.was == nil {
		l.was = inner.New
	}
	l.then = declaredOf(f.from, outer.Old.Name, l.was.Name)
	l.now = declaredOf(f.to, outer.New.Name, inner.New.Name)
	a, errA := outer.Old.Outline()
	b, errB := l.was.Outline()
	if errA != nil || errB != nil {
		return nil, false
	}
	if !l.insetAsDrawn() {
		var ok bool
		if l.under, ok = laidUnder(b.Ring, a.Ring); !ok {
			return nil, false
		}
	}
	l.share(a, b)
	return l, true
}

// share finds which edges of the inner piece lie on which of the outer's, with both
// outlines as they were.
func (l *onOuter) share(outer, inner pattern.Outline) {
	lengths := map[[2]int]float64{}
	for _, s := range geom.Match(inner.Ring, outer.Ring.Moved(l.under), sameWithin) {
		lengths[[2]int{outer.Edge[s.B], inner.Edge[s.A]}] += inner.Ring[s.A].LengthBetween(s.A0, s.A1)
	}
	l.shared = map[int][]int{}
	for i := range l.outer.Old.Edges {
		for k := range l.was.Edges {
			if lengths[[2]int{i, k}] >= leastShared {
				l.shared[i] = append(l.shared[i], k)
			}
		}
	}
}

// onOtherHalf is the inner piece as it lay on the other half of its outer, where one
// of the two is drawn whole and the other on the fold, and both still are; nil where
// they are otherwise.
func (l *onOuter) onOtherHalf() *onOuter {
	half, whole := l.was, l.outer.Old
	if half.Cut == pattern.CutOne {
		half, whole = whole, half
	}
	f := slices.IndexFunc(half.Edges, func(e pattern.Edge) bool { return e.Fold })
	if f < 0 || half.Cut != pattern.CutOnFold || whole.Cut != pattern.CutOne || l.was.Cut != l.inner.New.Cut || l.outer.Old.Cut != l.outer.New.Cut {
		return nil
	}
	fold := half.EdgePath(f)
	if half == l.outer.Old {
		fold = fold.Moved(l.under)
	}
	a, errA := l.outer.Old.Outline()
	b, errB := l.was.Outline()
	if errA != nil || errB != nil {
		return nil
	}
	other := *l
	other.under = l.under.Then(geom.MirrorIn(fold.Start(), fold.End()))
	other.share(a, b)
	return &other
}

// beyondPleat is a whole inner piece as the half of it lay that lies beyond a pleat
// declared across it, on an outer that is drawn whole too; nil where there is none.
func (l *onOuter) beyondPleat() *onOuter {
	a, errA := l.outer.Old.Outline()
	b, errB := l.was.Outline()
	if errA != nil || errB != nil {
		return nil
	}
	var best *onOuter
	most := 0
	for _, aside := range l.then.Asides(l.was, l.outer.Old) {
		other := *l
		other.under = geom.Motion{Shift: aside}.Then(l.under)
		if other.share(a, b); len(other.shared) > most {
			best, most = &other, len(other.shared)
		}
	}
	return best
}

// insetAsDrawn reports whether an edge of the inner piece lies, as both are drawn, at
// the difference that was declared for the outer's edge of its name: the inner piece
// may depart from it all round, and share no line with it.
func (l *onOuter) insetAsDrawn() bool {
	for i := range l.outer.Old.Edges {
		for _, k := range l.along(i) {
			if off, ok := l.off(i, k); ok && off <= l.was.EdgePath(k).Length()/2 {
				return true
			}
		}
	}
	return false
}

// off is for how many mm edge k of the inner piece, as it was, lay off the line at the
// difference that was declared for edge i of the outer. ok is false where none was
// declared, or no such line is.
func (l *onOuter) off(i, k int) (off float64, ok bool) {
	by, _ := l.then.Declared(l.was.Name, l.outer.Old.Edges[i].Name)
	line, err := l.outer.Old.EdgeMoved(i, by)
	if by == 0 || err != nil {
		return 0, false
	}
	return offLine(l.was.EdgePath(k), runOn(line).Moved(l.under)), true
}

// declaredOf is what a pattern declares of an inner piece on an outer, in however
// many layers.
func declaredOf(p *pattern.Pattern, outer, inner string) (all pattern.Layer) {
	for _, l := range p.Layers {
		if !l.Band && l.Outer == outer && slices.Contains(l.Inner, inner) {
			all.Differences = append(all.Differences, l.Differences...)
		}
	}
	return all
}

// along lists the edges of the inner piece that lay along edge i of the outer: on
// it, or at the difference that was declared there.
func (l *onOuter) along(i int) []int {
	by, _ := l.then.Declared(l.was.Name, l.outer.Old.Edges[i].Name)
	if by == 0 {
		return l.shared[i]
	}
	var edges []int
	for k, e := range l.was.Edges {
		if off, ok := l.off(i, k); e.Name == l.outer.Old.Edges[i].Name || ok && off <= l.was.EdgePath(k).Length()/2 {
			edges = append(edges, k)
		}
	}
	return edges
}

// lags reports whether an inner edge that lay along edge i of the outer stayed
// where it was and does not lie along the outer any more.
func (l *onOuter) lags(i int) bool {
	return i >= 0 && slices.ContainsFunc(l.along(i), func(k int) bool { return !l.changed(k) && l.leftBehind(i, k) })
}

// changed reports whether edge k of the inner piece changed its line.
func (l *onOuter) changed(k int) bool {
	if l.inner.Old == nil {
		return false
	}
	name := l.was.Edges[k].Name
	return slices.ContainsFunc(l.inner.Changes, func(ch change.Change) bool {
		return slices.Contains(outlineKinds, ch.Kind) && ch.Kind != change.EdgeRun && !Slight(&ch) && (slices.Contains(ch.Edges, name) || slices.Contains(ch.Moved, name))
	})
}

// leftBehind reports whether more of edge k of the inner piece lies off the outer
// as it is than lay off edge i as it was; where a difference is declared, off the
// line at that from the edge.
func (l *onOuter) leftBehind(i, k int) bool {
	its := k
	if l.inner.Old != nil {
		if its = l.inner.Became[k]; its < 0 {
			return false
		}
	}
	now := l.onNow(i)
	if now == nil {
		return true
	}
	path := l.inner.New.EdgePath(its)
	before, ok := l.off(i, k)
	switch {
	case !ok:
		before = offLine(l.was.EdgePath(k), runOn(l.outer.Old.EdgePath(i)).Moved(l.under))
	case before > l.was.EdgePath(k).Length()/2:
		return true // how it lies there cannot be told, but it stayed
	}
	after := math.Inf(1)
	for _, m := range l.underNow() {
		after = math.Min(after, offLine(path, now.Moved(m)))
	}
	return after > before+leastShared+path.Length()/lineSamples
}

// onNow is the line of the outer as it is now that an inner edge has to lie on
// which lay along edge i: any of it, or that at the declared difference. It is nil
// where there is none.
func (l *onOuter) onNow(i int) geom.Path {
	j := l.outer.Became[i]
	if j >= 0 {
		if by, _ := l.now.Declared(l.inner.New.Name, l.outer.New.Edges[j].Name); by != 0 {
			line, err := l.outer.New.EdgeMoved(j, by)
			if err != nil {
				return nil
			}
			return runOn(line)
		}
	}
	var all geom.Path
	for k := range l.outer.New.Edges {
		all = append(all, runOn(l.outer.New.EdgePath(k))...)
	}
	return all
}

// underNow are the ways in which the outer lies under the inner piece now, each laid
// onto what it was: as before, or as both are stored.
func (l *onOuter) underNow() []geom.Motion {
	stored := motionOf(l.outer.Placement).Inverse().Then(l.under)
	if l.inner.Old != nil {
		stored = stored.Then(motionOf(l.inner.Placement))
	}
	return []geom.Motion{l.under, stored}
}

// lineSamples is at how many places an edge is held against a line.
const lineSamples = 128

// offLine is for how many mm a path lies visibly off a line.
func offLine(path, line geom.Path) float64 {
	length, off := path.Length(), 0
	for k := range lineSamples {
		if _, d := line.Nearest(path.PointAt(length * (float64(k) + 0.5) / lineSamples)); d > visible {
			off++
		}
	}
	return length * float64(off) / lineSamples
}

// mostRunOn is by how many mm a line is run on at its ends where an inner edge may
// reach beyond it: as far as an edge is run on anywhere.
const mostRunOn = 150

func runOn(line geom.Path) geom.Path { return geom.Carrier(line, mostRunOn) }

// cornerKinds are the changes to a corner that both of its pieces share.
var cornerKinds = []change.Kind{change.CornerRounded, change.CornerRestored}

// corners reminds of corners of the outer that were rounded or made sharp and
// have a corner of the inner piece on them, or at the declared differences from their
// edges, that was not.
func (f *across) corners(outer, inner *change.PieceDiff) {
	if !slices.ContainsFunc(outer.Changes, ofCorner) {
		return
	}
	l, ok := f.underLayer(outer, inner)
	if !ok {
		return
	}
	for _, ch := range outer.Changes {
		if !ofCorner(ch) {
			continue
		}
		c := cornerOn(outer.Old, ch.At.Point())
		if then, now, ok := l.cornerAt(c, ch.At.Point()); ok && now == then {
			f.d.NotFollowed = append(f.d.NotFollowed, change.NotFollowed{Piece: inner.Piece, Of: outer.Piece + "/" + ch.Edges[0], Why: "finishes to", Corner: outer.Old.CornerName(c),
				Says: fmt.Sprintf("%s finishes to %s, of which %s; it has not", inner.Piece, outer.Piece, ch.Says)})
		}
	}
}

// ofCorner reports whether a change is one of a corner of the outer as it was.
func ofCorner(ch change.Change) bool {
	return slices.Contains(cornerKinds, ch.Kind) && len(ch.Edges) > 0 && ch.At != nil
}

// cornerAt gives the rounding that the corner of the inner piece had and has which
// belongs to corner c of the outer, at a place of it.
func (l *onOuter) cornerAt(c int, at geom.Point) (then, now float64, ok bool) {
	k := cornerOn(l.was, l.under.Apply(at))
	if n, m := len(l.outer.Old.Edges), len(l.was.Edges); k < 0 && c >= 0 {
		before, after := l.along((c+n-1)%n), l.along(c)
		if l.under.Mirror {
			before, after = after, before
		}
		k = slices.IndexFunc(l.was.Edges, func(e pattern.Edge) bool {
			k := edgeNamed(l.was, e.Name)
			return slices.Contains(before, (k+m-1)%m) && slices.Contains(after, k)
		})
	}
	if k < 0 {
		return 0, 0, false
	}
	j := l.inner.New.EdgeByID(l.was.Edges[k].ID)
	if j < 0 {
		return 0, 0, false
	}
	return l.was.Corners[k].Round, l.inner.New.Corners[j].Round, true
}

// cornerOn is the corner of a piece at a place, −1 where there is none.
func cornerOn(q *pattern.Piece, at geom.Point) int {
	return slices.IndexFunc(q.Corners, func(c pattern.Corner) bool { return c.At.Dist(at) <= sameWithin })
}

func outlineChanged(p *change.PieceDiff) bool {
	return slices.ContainsFunc(p.Changes, func(ch change.Change) bool { return slices.Contains(outlineKinds, ch.Kind) })
}

// leastAlong is the share of an inner piece's outline that has to lie on its
// outer's for the two to be laid over each other.
const leastAlong = 0.1

// liesBetter reports whether a piece that was drafted just now lies on its outer
// as it is at least as well as on it as it was: then it was drafted afterwards.
func liesBetter(inner, now, then *pattern.Piece) bool {
	on := func(outer *pattern.Piece) float64 {
		a, _ := outer.SharpRing()
		b, _ := inner.SharpRing()
		pose, _, err := match.LayOver(b, a, sameWithin, match.Options{AllowMirror: true})
		if err != nil {
			return 0
		}
		return pose.Matched
	}
	return on(now) >= on(then)-1e-6
}

// laidUnder lays an outer's outline under an inner one: as both lie where they
// share lines there, else as it fits best; not ok where less than leastAlong does.
func laidUnder(inner, outer geom.Ring) (geom.Motion, bool) {
	if sharedLength(inner, outer) >= leastAlong*inner.Length() {
		return geom.Motion{}, true
	}
	pose, _, err := match.LayOver(inner, outer, sameWithin, match.Options{AllowMirror: true})
	return pose.Motion, err == nil && pose.Matched >= leastAlong
}

// sharedLength is for how many mm an outline lies on another.
func sharedLength(inner, outer geom.Ring) (shared float64) {
	for _, s := range geom.Match(inner, outer, sameWithin) {
		shared += inner[s.A].LengthBetween(s.A0, s.A1)
	}
	return shared
}
