package main

import (
	"math"
	"slices"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
)

// A note is kept where it was on the sheet that was sewn. On a sheet of another
// version, where the piece may lie elsewhere or be turned over, it is where the
// piece takes it.

// notesLaid is a pattern whose notes are where they lie on its own sheets; one
// whose piece was not sewn, or is gone, stays where it was. The pattern that is
// given remains as it is.
func (o *opened) notesLaid(p *pattern.Pattern) *pattern.Pattern {
	out := *p
	out.Fittings = slices.Clone(p.Fittings)
	for i, f := range out.Fittings {
		if !slices.ContainsFunc(f.Notes, func(n pattern.Note) bool { return n.At != nil }) {
			continue
		}
		sewn, err := o.sewn(f)
		if err != nil {
			continue
		}
		g := *f
		g.Notes = slices.Clone(f.Notes)
		known := map[string]geom.Motion{}
		for k, n := range g.Notes {
			q, err := p.Piece(n.Piece)
			if err != nil || n.At == nil {
				continue
			}
			motion, ok := known[n.Piece]
			if !ok {
				motion = sewnToNow(sewn, q, p)
				known[n.Piece] = motion
			}
			at := motion.Apply(*n.At)
			g.Notes[k].At = &at
		}
		out.Fittings[i] = &g
	}
	return &out
}

// sewnToNow is the motion that takes a piece as it was sewn onto the sheet of q,
// the same piece in p.
func sewnToNow(sewn *pattern.Pattern, q *pattern.Piece, p *pattern.Pattern) geom.Motion {
	i := slices.IndexFunc(sewn.Pieces, func(was *pattern.Piece) bool { return was.ID == q.ID && q.ID != "" })
	if i < 0 {
		i = slices.IndexFunc(sewn.Pieces, func(was *pattern.Piece) bool { return was.Name == q.Name })
	}
	if i < 0 || sewn.Pieces[i] == q {
		return geom.Motion{}
	}
	if motion, ok := motionByIDs(sewn.Pieces[i], q); ok {
		return motion
	}
	d, err := diff.Pieces(sewn.Pieces[i], q, p)
	if err != nil {
		return geom.Motion{}
	}
	return placed(d.Placement).Inverse()
}

// sameSpot in mm is how near a corner has to come to where it was, to count.
const sameSpot = 0.02

// motionByIDs lays an edge onto the one that bears its id now, and takes the one
// of those motions at which most ends of edges meet those of the edges that bear
// their ids: a shape that is its own mirror image is told from it by that alone.
// ok is false where fewer than three meet.
func motionByIDs(was, now *pattern.Piece) (best geom.Motion, ok bool) {
	ends := func(p *pattern.Piece, i int) [2]geom.Point {
		return [2]geom.Point{p.Corners[i].At, p.Corners[(i+1)%len(p.Corners)].At}
	}
	var pairs [][2][2]geom.Point
	for i, e := range was.Edges {
		if k := now.EdgeByID(e.ID); e.ID != "" && k >= 0 {
			pairs = append(pairs, [2][2]geom.Point{ends(was, i), ends(now, k)})
		}
	}
	most := 2
	for _, pair := range pairs {
		for _, mirror := range []bool{false, true} {
			motion := layEdge(pair, mirror)
			meet := 0
			for _, q := range pairs {
				a, b := q[0], turnedEnds(q[1], mirror)
				for e := range a {
					if motion.Apply(a[e]).Dist(b[e]) < sameSpot {
						meet++
					}
				}
			}
			if meet > most {
				best, ok, most = motion, true, meet
			}
		}
	}
	return best, ok
}

// turnedEnds are the ends of an edge as a piece that is turned over has them:
// outlines run clockwise, so it runs the other way.
func turnedEnds(ends [2]geom.Point, mirror bool) [2]geom.Point {
	if mirror {
		return [2]geom.Point{ends[1], ends[0]}
	}
	return ends
}

// layEdge is the motion that lays an edge onto another, start on start.
func layEdge(pair [2][2]geom.Point, mirror bool) geom.Motion {
	from, to := pair[0], turnedEnds(pair[1], mirror)
	m := geom.Motion{Mirror: mirror}
	a, b := m.ApplyVector(from[1].Sub(from[0])), to[1].Sub(to[0])
	m.Turn = math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
	m.Shift = to[0].Sub(m.Apply(from[0]))
	return m
}
