package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// overPleats has a facing that lies at a fold of the outer reach over what a lining
// is wider there, as by a back pleat: beside the facing that is part of the lining
// below the facing's inner edge, whose line runs on square to the fold, and the pleat
// is laid at the seam to the facing. What is narrower at the fold is left as it is.
func (m *making) overPleats(o *outer, f laidFacing) (laidFacing, error) {
	for _, d := range o.differences {
		i, err := o.plain.EdgeIndex(d.Edge)
		if err != nil {
			return f, err
		}
		fold := o.plain.EdgePath(i)
		k := slices.IndexFunc(f.laid.Edges, func(e pattern.Edge) bool {
			j, err := f.laid.EdgeIndex(e.Name)
			return err == nil && e.Fold && liesOn(f.laid.EdgePath(j), geom.Carrier(fold, reach))
		})
		if d.By <= 0 || !o.plain.Edges[i].Fold || k < 0 {
			continue
		}
		if f, err = f.overPleat(o, k, d.By); err != nil {
			return f, fmt.Errorf("%s, over the %s at %q: %w", f.stored.Name, d.What, d.Edge, err)
		}
		m.say("the %s of %s at %q is laid at the seam to %s", d.What, m.format(d.By), d.Edge, f.stored.Name)
	}
	return f, nil
}

// overPleat moves fold k of a laid facing outward by mm. Of the edges beside it the
// one along the outer is run on as the outer's is, the other square to the fold.
func (f laidFacing) overPleat(o *outer, k int, by float64) (laidFacing, error) {
	w := begin(f.laid.Clone())
	fold := w.paths[k]
	step := fold.EndTangent().Left().Mul(by)
	run := laidFacing{stored: f.stored, laid: w.piece, added: [2][]float64{slices.Clone(f.added[0]), slices.Clone(f.added[1])}}
	for side := range run.added {
		if run.added[side] == nil {
			run.added[side] = make([]float64, len(w.paths))
		}
	}
	before, after := w.before(k), w.after(k)
	path := ledOverPleat(o, w.paths[before], step)
	run.added[1][before] += path.Length() - w.paths[before].Length()
	w.set(before, path)
	path = ledOverPleat(o, w.paths[after].Reverse(), step).Reverse()
	run.added[0][after] += path.Length() - w.paths[after].Length()
	w.set(after, path)
	w.set(k, geom.Polyline(w.paths[before].End(), w.paths[after].Start()))
	return run, w.finish()
}

// ledOverPleat runs a line on from its end over a pleat: as the outline of the outer, with
// the differences made, goes on from it; else by the step, which is square to the fold.
func ledOverPleat(o *outer, line geom.Path, step geom.Point) geom.Path {
	for i := range o.piece.Edges {
		path := o.piece.EdgePath(i)
		for _, on := range []geom.Path{path, path.Reverse()} {
			place, off := on.Nearest(line.End())
			if off > sameWithin || on.TangentAt(on.LengthTo(place)).Dot(line.EndTangent()) < math.Cos(geom.Degrees(1)) {
				continue
			}
			if rest := on.Length() - on.LengthTo(place); rest > wholeWithin && on.End().Dist(line.End().Add(step)) < step.Len() {
				return slices.Concat(line, on.BetweenLengths(on.LengthTo(place), on.Length()))
			}
		}
	}
	end := line.End().Add(step)
	return runTogether(line, geom.Path{geom.Line(line.End(), end)})
}

// stretch is a run along an edge of the facing as a seam names it, in the lengths of
// the facing as it is stored; ok is false where it lies over the pleat alone.
func (f laidFacing) stretch(r run) (st pattern.Stretch, ok bool) {
	if f.added[0] == nil || f.added[0][r.edge] == 0 && f.added[1][r.edge] == 0 {
		return r.stretch(), true
	}
	length := f.stored.EdgePath(r.edge).Length()
	from := min(r.from, r.to) - f.added[0][r.edge]
	to := max(r.from, r.to) - f.added[0][r.edge]
	if from < wholeWithin {
		from = 0
	}
	if to > length-wholeWithin {
		to = length
	}
	st = pattern.Stretch{Piece: f.stored.Name, Edge: f.stored.Edges[r.edge].Name, From: roundTo(from)}
	if to < length {
		st.To = roundTo(to)
	}
	return st, to > from+wholeWithin
}
