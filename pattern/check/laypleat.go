package check

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// centredWay is a way to lay an inner piece with its centre line along the outer's,
// that many mm beyond it.
type centredWay struct {
	motion geom.Motion
	beyond float64
}

// atCentre lists, for each difference of a layer, by how many mm the centre line of an
// inner piece lies beyond that of its outer for it: what is declared at the fold of
// the outer whole, and by half what is declared across the piece at no edge, as a back
// pleat is of an outer that is drawn whole; 0 for every other.
func atCentre(inner, outer *pattern.Piece, under geom.Path, layer pattern.Layer) []float64 {
	amounts := make([]float64, len(layer.Differences))
	runs := across
	if square := under.End().Sub(under.Start()).Unit().Left(); math.Abs(square.Dot(outer.GrainDirection())) > math.Sqrt2/2 {
		runs = along
	}
	for i, d := range layer.Differences {
		w := wayOf(d)
		if d.Edge == "" && d.Of(inner.Name) && (w == either || w == runs) {
			amounts[i] = d.By / 2
		}
		for _, e := range outer.Edges {
			if e.Fold && d.At(inner.Name, e.Name) {
				amounts[i] = d.By
			}
		}
	}
	return amounts
}

// sumsAtCentre are the sums of some of these amounts, without doubles, 0 first.
func sumsAtCentre(amounts []float64) []float64 {
	sums, tried := []float64{0}, 0
	for _, by := range amounts {
		if by == 0 || tried == mostDifferences {
			continue
		}
		tried++
		for _, sum := range slices.Clone(sums) {
			if !slices.ContainsFunc(sums, func(o float64) bool { return math.Abs(o-sum-by) < sameShift }) {
				sums = append(sums, sum+by)
			}
		}
	}
	return sums
}

// centredBeyond are the ways of centred, for every sum of what is declared at the
// centre line: with that of the inner piece so far beyond the outer's, on the side of
// it on which the half does not lie.
func centredBeyond(inner, outer *pattern.Piece, on, under geom.Path, known []int, layer pattern.Layer) []centredWay {
	square := under.End().Sub(under.Start()).Unit().Left()
	var ways []centredWay
	for _, by := range sumsAtCentre(atCentre(inner, outer, under, layer)) {
		for _, m := range centred(inner, outer, on, under, known) {
			out := square
			if inner.Cut == pattern.CutOnFold {
				out = m.ApplyVector(on.End().Sub(on.Start()).Unit().Left())
			}
			ways = append(ways, centredWay{m.Then(geom.Motion{Shift: out.Mul(by)}), by})
		}
		if by == 0 {
			continue
		}
		if d := on.Start().Sub(under.Start()).Dot(square); math.Abs(math.Abs(d)-math.Abs(by)) <= centreWithin &&
			math.Abs(on.End().Sub(under.Start()).Dot(square)-d) <= centreWithin && beyondAsDrawn(inner, on, square, d, by) {
			ways = append(ways, centredWay{geom.Motion{}, by})
		}
	}
	return ways
}

// beyondAsDrawn reports whether a centre line that lies d mm to one side of the
// outer's, as drawn, lies beyond it by what is declared rather than short of it.
func beyondAsDrawn(inner *pattern.Piece, on geom.Path, square geom.Point, d, by float64) bool {
	out := square
	if inner.Cut == pattern.CutOnFold {
		out = on.End().Sub(on.Start()).Unit().Left()
	}
	return math.Signbit(square.Dot(out)*d) == math.Signbit(by)
}

// commonCentre are the lines of an inner piece and its outer, both drawn whole, that
// lie on each other at their centre: the reference line in the middle of the outer, and
// that of the same name, else the line in which most of the inner piece is its own
// mirror image. ok is false where there are none.
func commonCentre(inner, outer *pattern.Piece) (on, under geom.Path, ok bool) {
	if inner.Cut != pattern.CutOne || outer.Cut != pattern.CutOne {
		return nil, nil, false
	}
	k := outer.MiddleLine()
	if k < 0 {
		return nil, nil, false
	}
	under = outer.Lines[k].Path
	on = centreOf(inner, outer.Lines[k].Name)
	return on, under, on != nil
}

// keptCentred is an inner piece that is drawn whole, as its outer is, laid with its
// centre line on the outer's where it does not fit: sides that were both taken in would
// else lie as one that was by twice as much. Of the ways to lie so that counts with
// which the fewest edges are out, and by the least in all. way is that in which it may
// be shifted then, nil where any may do.
func (c *checker) keptCentred(inner, outer *pattern.Piece, best laid, by laying) (kept laid, way *geom.Point) {
	if best.worst <= c.tol {
		return best, nil
	}
	on, under, ok := commonCentre(inner, outer)
	if !ok {
		return best, nil
	}
	found := false
	for _, m := range centred(inner, outer, on, under, by.known) {
		l := c.laidBy(inner, outer, m, by)
		a, b := l.astray, kept.astray
		if l.named > 0 && (!found || a.count < b.count || a.count == b.count && a.sum < b.sum-1e-6) {
			kept, found = l, true
		}
	}
	if !found || kept.sure < leastSure {
		return best, nil
	}
	to := under.End().Sub(under.Start()).Unit()
	return kept, &to
}

// layBoth lays an inner piece that is drawn whole, as its outer is, half by half, where
// it is declared to be wider at the centre: laid flat, each half of it lies on the
// outer's with its centre line beyond that of the outer. ok is false where it is not,
// or lies otherwise.
func (c *checker) layBoth(inner, outer *pattern.Piece, layer pattern.Layer) (halves []laid, ok bool) {
	on, under, ok := commonCentre(inner, outer)
	if !ok || len(sumsAtCentre(atCentre(inner, outer, under, layer))) == 1 {
		return nil, false
	}
	all := c.partners(inner, outer, layer)
	by := laying{known: onHalf(all, outer, under, 1), differences: layer.Differences, witnesses: c.witnesses(inner, all, layer.Inner)}
	by.weights, by.moved = c.weights(inner, outer, by.known)
	first := c.laidCentred(inner, outer, centredBeyond(inner, outer, on, under, by.known, layer), by)
	if first.sure < leastSure || first.beyond == 0 {
		return nil, false
	}
	way := under.End().Sub(under.Start()).Unit()
	first.on, first.side, first.centre = c.belongs(first, outer, by.known), 1, under
	first = c.shifted(first, &layering{checker: c, layer: layer, outer: outer}, by, &way)
	by.known = onHalf(all, outer, under, -1)
	by.weights, by.moved = c.weights(inner, outer, by.known)
	second := c.laidBy(inner, outer, first.motion.Then(geom.Motion{Shift: way.Left().Mul(-2 * first.beyond)}), by)
	second.on, second.side, second.centre, second.beyond = c.belongs(second, outer, by.known), 2, under, first.beyond
	first.keepHalf(on, under, 1)
	second.keepHalf(on, under, -1)
	return []laid{first, second}, true
}

// onHalf are the edges of the outer to which those of an inner piece are known to
// belong, without those on the other half: half 1 lies to the right of the centre line,
// −1 to its left.
func onHalf(known []int, outer *pattern.Piece, under geom.Path, half float64) []int {
	of := slices.Clone(known)
	for i, k := range known {
		if k >= 0 && len(halfOf(outer.EdgePath(k), under, half)) == 0 {
			of[i] = joinedBeside
		}
	}
	return of
}

// keepHalf leaves of a laid piece what lies on its half, as it lies: up to its own
// centre line, which runs beside the outer's.
func (l *laid) keepHalf(on, under geom.Path, half float64) {
	line := on.Moved(l.motion)
	if line.StartTangent().Dot(under.StartTangent()) < 0 {
		line = line.Reverse()
	}
	l.off = make([]bool, len(l.edges))
	for i, path := range l.edges {
		if part := halfOf(path, line, half); len(part) > 0 {
			l.edges[i] = part
			continue
		}
		l.off[i], l.on[i] = true, -1
	}
}

// halfOf is the longest stretch of a line on one side of a straight one, run on: half 1
// is its right, −1 its left; nil where less than a mm is.
func halfOf(path, centre geom.Path, half float64) geom.Path {
	way := centre.End().Sub(centre.Start())
	cuts := []float64{0, path.Length()}
	for i, c := range path {
		for _, t := range c.MeetLine(centre.Start(), centre.Start().Add(way)) {
			cuts = append(cuts, path.LengthTo(geom.Place{Curve: i, T: t}))
		}
	}
	slices.Sort(cuts)
	var longest geom.Path
	most := 1.0
	for i, to := range cuts[1:] {
		from := cuts[i]
		if to-from <= most {
			continue
		}
		if side := path.PointAt((from + to) / 2).Sub(centre.Start()).Dot(way.Unit().Left()); side*half > 0 {
			continue
		}
		longest, most = path.BetweenLengths(from, to), to-from
	}
	return longest
}

// showsAtCentre marks the declared differences that laid pieces show at their centre
// line, for these to count nowhere else.
func (v *layering) showsAtCentre() {
	for i := range v.lie {
		l := &v.lie[i]
		l.shows = make([]bool, len(v.layer.Differences))
		if l.beyond == 0 {
			continue
		}
		_, l.shows = explained(atCentre(l.piece, v.outer, l.centre, v.layer), l.beyond, centreWithin, l.shows)
		for k, shown := range l.shows {
			v.used[k] = v.used[k] || shown
		}
	}
}
