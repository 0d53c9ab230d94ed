package main

import (
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
	d, err := diff.Pieces(sewn.Pieces[i], q, p)
	if err != nil {
		return geom.Motion{}
	}
	return placed(d.Placement).Inverse()
}
