package main

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/match"
)

// runReach is how far in mm an edge's line is run on to find where it ended.
const runReach = 300

// untoldRuns are the runs at the ends of an edge that was moved in a taper or swung
// and cut or run on besides, as for a hem: a diff tells of such an edge by which
// amount it was moved at its ends, and that it is of another length. Runs of less
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
			full := match.Tapered(ch.OldPath, ch.Ends[0], (ch.Ends[1]-ch.Ends[0])/ch.OldPath.Length())
			by = [2]float64{ranOn(full, ch.NewPath, 0), ranOn(full, ch.NewPath, 1)}
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

// onlyRuns reports whether changes are nothing but cuts and runs at ends.
func onlyRuns(changes []change.Change) bool {
	return !slices.ContainsFunc(changes, func(ch change.Change) bool { return ch.Kind != change.EdgeRun })
}
