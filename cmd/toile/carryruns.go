package main

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/change"
)

// runReach is how far in mm an edge's line is run on to find where it ended.
const runReach = 300

// movedWithin is how near in mm an edge is moved to equal distance to find that.
const movedWithin = 0.01

// untoldRuns are the runs at the ends of an edge that was moved or swung and cut or run
// on besides, as for a hem: a diff tells of such an edge by which amount it was moved at
// its ends, and that it is of another length. Runs of less
// than alikeWithin come of the move itself.
func untoldRuns(changes []change.Change) (runs []change.Change) {
	if slices.ContainsFunc(changes, func(ch change.Change) bool { return ch.Kind == change.EdgeRun }) {
		return nil
	}
	for _, ch := range changes {
		if len(ch.OldPath) == 0 || len(ch.NewPath) == 0 {
			continue
		}
		var by [2]float64 // at the start, at the end
		switch {
		case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered && ch.Ends != nil:
			by = ranOnTapered(ch.OldPath, ch.NewPath, *ch.Ends)
		case ch.Kind == change.EdgeMoved && ch.How == change.HowParallel && ch.By != nil:
			if full, err := ch.OldPath.Offset(*ch.By, movedWithin); err == nil {
				by = [2]float64{ranOn(full, ch.NewPath, 0), ranOn(full, ch.NewPath, 1)}
			}
		case ch.Kind == change.EdgeSwung && ch.At != nil:
			far := 0
			if at := ch.At.Point(); at.Dist(ch.OldPath.End()) < at.Dist(ch.OldPath.Start()) {
				far = 1
			}
			stays := ranOn(ch.OldPath, ch.NewPath, 1-far)
			by[1-far], by[far] = stays, ch.NewPath.Length()-ch.OldPath.Length()-stays
		}
		for end, d := range by {
			if math.Abs(d) <= alikeWithin {
				continue
			}
			run := change.Change{Kind: change.EdgeRun, How: change.HowAlong, Edges: ch.Edges, By: change.Amount(d), At: change.At(ch.OldPath.Start()), OldPath: ch.OldPath, NewPath: ch.NewPath}
			if end == 1 {
				run.At = change.At(ch.OldPath.End())
			}
			runs = append(runs, run)
		}
	}
	return runs
}

// ranOn is by how many mm a path reaches beyond another at its start (0) or end
// (1), along that one's line run on; cut off is negative.
func ranOn(full, path geom.Path, end int) float64 {
	if len(full) == 0 {
		return 0
	}
	carrier := geom.Carrier(full, runReach)
	along := func(p geom.Point) float64 {
		at, _ := carrier.Nearest(p)
		return carrier.LengthTo(at)
	}
	if end == 1 {
		return along(path.End()) - along(full.End())
	}
	return along(full.Start()) - along(path.Start())
}

// ranOnTapered is by how many mm a path reaches beyond another at its start and its end
// that was moved outward by a distance growing in proportion to the length along it, from
// ends[0] to ends[1] mm: along the path where it is longer, along the line so moved where
// it was cut.
func ranOnTapered(old, path geom.Path, ends [2]float64) (by [2]float64) {
	on := geom.NewRunOn(old, runReach)
	length := old.Length()
	moved := func(along float64) geom.Point {
		return old.PointAt(along).Add(old.TangentAt(along).Left().Mul(ends[0] + (ends[1]-ends[0])*along/length))
	}
	if first := on.Foot(path.Start()).Along; first > 0 {
		by[0] = -lengthOver(moved, 0, first)
	} else {
		at, _ := path.Nearest(moved(0))
		by[0] = path.LengthTo(at)
	}
	if last := on.Foot(path.End()).Along; last < length {
		by[1] = -lengthOver(moved, last, length)
	} else {
		at, _ := path.Nearest(moved(length))
		by[1] = path.Length() - path.LengthTo(at)
	}
	return by
}

// lengthOver is the length of a line of which places are given, from one to another, by
// chords: of a curve of radius 50 mm over 100 mm within 0.01 mm.
func lengthOver(place func(float64) geom.Point, from, to float64) (sum float64) {
	const chords = 64
	last := place(from)
	for k := 1; k <= chords; k++ {
		next := place(from + (to-from)*float64(k)/chords)
		sum, last = sum+last.Dist(next), next
	}
	return sum
}

// remainder is what an edge was changed by beyond what the edge sewn to it was
// changed by in the same way: changes that the other has not, and the rest of
// those it has by less. It is nothing where the other was changed in ways of its
// own, for then it was made to fit by hand; where it does not fit, what this one was
// cut or run on by alone is left all the same.
func remainder(changes, theirs []change.Change, fits bool) []change.Change {
	var rest, unlike []change.Change
	left := slices.Clone(theirs)
	for _, ch := range changes { // what is alike goes first
		k := slices.IndexFunc(left, func(o change.Change) bool { return alike([]change.Change{ch}, []change.Change{o}) })
		if k < 0 {
			unlike = append(unlike, ch)
			continue
		}
		left = slices.Delete(left, k, k+1)
	}
	left, runs := runsApart(left)
	for _, ch := range unlike {
		if ch.Kind == change.EdgeRun {
			continue
		}
		k := slices.IndexFunc(left, func(o change.Change) bool { return o.Kind == ch.Kind && o.How == ch.How })
		if k < 0 {
			rest = append(rest, ch)
			continue
		}
		less, ok := lessBy(ch, left[k])
		if !ok || less != nil && ch.How == change.HowTapered {
			return nil // of a line cut besides, the taper is told at its old end
		}
		rest = append(rest, *less)
		left = slices.Delete(left, k, k+1)
	}
	if len(left) > 0 && (fits || !onlyRuns(unlike)) {
		return nil
	}
	_, mine := runsApart(unlike)
	ran := runsLeft(mine, runs)
	if len(rest) == 0 && len(ran) == 1 {
		// Of lines that moved alike the lengths tell better than where one ends along the other.
		if by := grown(changes) - grown(theirs); math.Abs(by-*ran[0].By) <= math.Abs(by)/5 {
			ran[0].By = change.Amount(by)
		}
	}
	return append(rest, ran...)
}

// runsApart takes the cuts and runs at ends out of a list of changes.
func runsApart(changes []change.Change) (others, runs []change.Change) {
	for _, ch := range changes {
		if ch.Kind == change.EdgeRun {
			runs = append(runs, ch)
		} else {
			others = append(others, ch)
		}
	}
	return others, runs
}

// mostOtherWay is how many times as far an edge may be cut at an end as the edge sewn
// to it is run on there, or the other way round, and both still come of one move.
const mostOtherWay = 3

// runsLeft is what an edge was cut or run on by beyond what the edge sewn to it was,
// those of about one amount taken for one end. One the other way, of about that size
// or less, comes of the angle at which the edges beside run on, and is nothing to
// follow.
func runsLeft(mine, theirs []change.Change) (rest []change.Change) {
	left := slices.Clone(mine)
	for _, o := range theirs {
		best, apart := -1, math.Inf(1)
		for k, ch := range left {
			other := *ch.By**o.By < 0 && math.Abs(*ch.By) > mostOtherWay*math.Abs(*o.By)
			if d := math.Abs(*ch.By - *o.By); d < apart && !other {
				best, apart = k, d
			}
		}
		if best < 0 {
			continue
		}
		if less, ok := lessBy(left[best], o); ok && less != nil {
			rest = append(rest, *less)
		}
		left = slices.Delete(left, best, best+1)
	}
	return append(rest, left...)
}

// onlyRuns reports whether changes are nothing but cuts and runs at ends.
func onlyRuns(changes []change.Change) bool {
	return !slices.ContainsFunc(changes, func(ch change.Change) bool { return ch.Kind != change.EdgeRun })
}

// chordNow is the chord in mm of what was swung, outward positive, at the end of the
// edge as it is now. It is nil of anything else.
func chordNow(ch change.Change) *float64 {
	if ch.Kind != change.EdgeSwung || ch.Pivot == nil || ch.At == nil || ch.Turn == nil || len(ch.OldPath) == 0 || len(ch.NewPath) == 0 {
		return nil
	}
	end := ch.NewPath.Start()
	if at := ch.At.Point(); at.Dist(ch.OldPath.End()) < at.Dist(ch.OldPath.Start()) {
		end = ch.NewPath.End()
	}
	return change.Amount(2 * end.Dist(ch.Pivot.Point()) * math.Sin(geom.Degrees(*ch.Turn)/2))
}

// taperNow is the amount of a taper that comes to nothing at one end, at the other end
// as the edge is now: a diff tells it where the edge ended before it was cut or run
// on. It is nil of anything else.
func taperNow(ch change.Change) *float64 {
	if ch.Kind != change.EdgeMoved || ch.How != change.HowTapered || ch.Ends == nil || len(ch.OldPath) == 0 || len(ch.NewPath) == 0 {
		return nil
	}
	most, least := ch.Ends[0], ch.Ends[1]
	if math.Abs(least) > math.Abs(most) {
		most, least = least, most
	}
	if math.Abs(least) > alikeWithin {
		return nil
	}
	return change.Amount(most * ch.NewPath.Length() / ch.OldPath.Length())
}
