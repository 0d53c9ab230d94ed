package diff_test

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// remade makes the changes a diff found on the first outline, by the formulas
// of these tests: moves first, then swings, then what was redrawn, then
// corners. What was cut or run on follows by itself. ok is false for changes of
// other kinds, and for those that cannot be made.
func remade(d change.PieceDiff) (p *pattern.Piece, fit float64, ok bool) {
	p = d.Old.Clone()
	for stage := stageMove; stage <= stageCorner; stage++ {
		for _, ch := range d.Changes {
			if s, known := stageOf(ch.Kind); !known {
				return nil, 0, false
			} else if s != stage && ch.Kind != change.EdgeRun {
				continue
			}
			if fit = math.Max(fit, ch.Fit); ch.Kind == change.EdgeRun {
				continue
			}
			if p, ok = remake(p, d.Old, ch, d.Changes); !ok {
				return nil, 0, false
			}
		}
	}
	return p, fit, true
}

// stageOf orders what is made again; known is false for what is not.
func stageOf(k change.Kind) (stage int, known bool) {
	switch k {
	case change.EdgeMoved:
		return stageMove, true
	case change.EdgeSwung:
		return stageSwing, true
	case change.EdgeRedrawn:
		return stageRedraw, true
	case change.CornerRounded, change.CornerRestored:
		return stageCorner, true
	case change.EdgeRun, change.NameChanged, change.NotchMoved, change.NotchAdded, change.NotchRemoved, change.MarkMoved, change.MarkAdded,
		change.MarkRemoved, change.MarkChanged, change.AllowanceChanged, change.GrainTurned, change.CuttingChanged:
		return stageDetail, true
	}
	return 0, false
}

// remake makes one found change; old is the first state of all, told all that
// was found.
func remake(p, old *pattern.Piece, ch change.Change, told []change.Change) (*pattern.Piece, bool) {
	q := p.Clone()
	q.Notches, q.Marks, q.Lines = nil, nil, nil // the outline alone is made again
	if ch.Radius != nil {
		i := old.CornerIndex(ch.Edges[0] + "/" + ch.Edges[1])
		if i < 0 {
			return nil, false
		}
		return rounded(q, i, ch.Radius[1])
	}
	i, err := old.EdgeIndex(ch.Edges[0])
	if err != nil {
		return nil, false
	}
	paths, ok := pathsOf(q), false
	switch {
	case ch.Kind == change.EdgeRedrawn && len(ch.NewPath) > 0:
		paths, ok = redrawnTo(paths, i, ch.NewPath)
	case ch.Kind == change.EdgeSwung && ch.Pivot != nil:
		paths, ok = swungAgain(paths, i, ch, told)
	case ch.Kind == change.EdgeMoved && ch.By != nil:
		paths, ok = movedAgain(paths, i, old, ch)
	}
	if !ok {
		return nil, false
	}
	return withPaths(q, paths)
}

func movedAgain(paths []geom.Path, i int, old *pattern.Piece, ch change.Change) ([]geom.Path, bool) {
	p := old.EdgePath(i)
	switch ch.How {
	case change.HowShifted:
		return rejoined(paths, i, shifted(p, outwardAlongGrain(old, p).Mul(*ch.By)), [2]bool{})
	case change.HowParallel:
		moved, err := p.Offset(*ch.By, 1e-4)
		if err != nil {
			return nil, false
		}
		return rejoined(paths, i, moved, [2]bool{})
	}
	if ch.Ends == nil {
		return nil, false
	}
	ends := *ch.Ends
	var held [2]bool
	for end := range ends { // a corner that nothing else moved stays
		if held[end] = math.Abs(ends[end]) < 0.002 && endOf(p, end) == endOf(paths[i], end); held[end] {
			ends[end] = 0
		}
	}
	moved, ok := tapered(p, ends)
	if !ok {
		return nil, false
	}
	return rejoined(paths, i, moved, held)
}

// swungAgain swings an edge, and eases its neighbour on to it, or where that is
// told as cut or run on along its own line, ends both where they meet.
func swungAgain(paths []geom.Path, i int, ch change.Change, told []change.Change) ([]geom.Path, bool) {
	pivot := ch.Pivot.Point()
	at, off := paths[i].Nearest(pivot)
	if off > 0.1 || ch.Turn == nil || ch.At == nil {
		return nil, false
	}
	near, end := paths[i].LengthTo(at), 1
	if paths[i].Start().Dist(ch.At.Point()) < paths[i].End().Dist(ch.At.Point()) {
		near, end = paths[i].Length()-near, 0
	}
	turn := geom.Degrees(*ch.Turn)
	if near > 1e-6 || !slices.ContainsFunc(told, func(r change.Change) bool {
		return r.Kind == change.EdgeRun && r.How == change.HowAlong && r.CausedBy == ch.Edges[0] && r.At.Point().Dist(ch.At.Point()) < 1
	}) {
		return swungPaths(paths, i, end, near, turn)
	}
	held, angle := [2]bool{true, false}, -turn // outward is anticlockwise along a clockwise outline
	if end == 0 {
		held, angle = [2]bool{false, true}, turn
	}
	return rejoined(paths, i, turnedAbout(paths[i], pivot, angle), held)
}

// redrawnTo puts a drawn path in the place of an edge; its neighbours end
// where it does.
func redrawnTo(paths []geom.Path, i int, path geom.Path) ([]geom.Path, bool) {
	n := len(paths)
	out := append([]geom.Path{}, paths...)
	prev, next := (i+n-1)%n, (i+1)%n
	out[i] = path
	if end := path.Start(); paths[prev].End().Dist(end) > inverseWithin {
		before := carrierOf(paths[prev])
		at, off := before.path.Nearest(end)
		if off > 0.1 || !later(at, before.start) {
			return nil, false
		}
		out[prev] = before.to(at)
	}
	if end := path.End(); paths[next].Start().Dist(end) > inverseWithin {
		after := carrierOf(paths[next])
		at, off := after.path.Nearest(end)
		if off > 0.1 || !later(after.end, at) {
			return nil, false
		}
		out[next] = after.from(at)
	}
	return joined(out), true
}
