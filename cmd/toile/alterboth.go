package main

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/alter"
)

// refuseApart refuses to let a seam out or take it in on both of its sides
// where that leaves the seam itself apart: the edges beside it run on at
// different angles, so that one side gets longer than the other.
func (o *opened) refuseApart(before, after *pattern.Pattern, r alter.Recipe) error {
	words := map[string]string{"let-out": "let out", "take-in": "taken in"}
	moves, err := alter.Plain(before, r)
	if err != nil || words[moves[0].Kind] == "" {
		return err
	}
	for i := range after.Seams {
		s := &after.Seams[i]
		if !slices.ContainsFunc(moves, func(one alter.Recipe) bool { return sews(s, one.Piece, one.Values["edge"]) }) {
			continue
		}
		was, now := worstOf(before, s.Name), worstOf(after, s.Name)
		if math.Abs(now) <= after.Tolerances.Section || math.Abs(now) <= math.Abs(was)+0.5 {
			continue
		}
		return fmt.Errorf("seam %q: %s on both sides, %s and %s would be %s apart in length, for the edges beside them run on at different angles; %s",
			s.Name, words[moves[0].Kind], s.First, s.Second, o.length(math.Abs(now)), o.insteadOfBoth(r, s))
	}
	return nil
}

// insteadOfBoth names what can be done in place of a move on both sides.
func (o *opened) insteadOfBoth(r alter.Recipe, s *pattern.Seam) string {
	alone := fmt.Sprintf("leave --both out, alter %s and %s one after the other, and bring one of them to the length of the other where it ends, or record the difference as ease-in with `toile seam`", s.First, s.Second)
	if r.Values["to"] != "" || r.Values["from"] != "" {
		return alone
	}
	for _, to := range []string{"start", "end"} {
		t := r
		t.Values = maps.Clone(r.Values)
		t.Values["to"] = to
		partners, err := alter.Partners(o.Pattern, t)
		if err != nil {
			continue
		}
		p := o.Pattern
		for _, one := range append([]alter.Recipe{t}, partners...) {
			result, problem := alter.Make(p, one)
			if err = problem; err != nil {
				break
			}
			p = result.Pattern
		}
		if err == nil && math.Abs(worstOf(p, s.Name)) <= p.Tolerances.Section {
			return fmt.Sprintf("--to %s, tapering to nothing at the other end, keeps them alike; or %s", o.endAt(r, to), alone)
		}
	}
	return alone
}

// endAt calls an end of the recipe's edge by the edge that lies there.
func (o *opened) endAt(r alter.Recipe, end string) string {
	q, err := o.Piece(r.Piece)
	if err != nil {
		return end
	}
	i, err := q.EdgeIndex(r.Values["edge"])
	if err != nil {
		return end
	}
	k := (i + 1) % len(q.Edges)
	if end == "start" {
		k = (i + len(q.Edges) - 1) % len(q.Edges)
	}
	return fmt.Sprintf("%q", q.Edges[k].Name)
}

// sews reports whether a seam sews an edge to something.
func sews(s *pattern.Seam, piece, edge string) bool {
	for _, c := range []pattern.Chain{s.First, s.Second} {
		if len(c) == 1 && c[0].Piece == piece && c[0].Edge == edge {
			return true
		}
	}
	return false
}

// worstOf is what the worst section of a seam is out, in mm.
func worstOf(p *pattern.Pattern, seam string) float64 {
	worst := 0.0
	for i := range p.Seams {
		if p.Seams[i].Name != seam {
			continue
		}
		sections, err := p.WalkSeam(&p.Seams[i])
		if err != nil {
			return 0
		}
		for _, c := range sections {
			if by := c.Left(); !c.Gathered && math.Abs(by) > math.Abs(worst) {
				worst = by
			}
		}
	}
	return worst
}
