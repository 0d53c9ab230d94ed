package main

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
)

// laps says of stretches of edges that are sewn up to a length, counted from the
// edge's start, how much is left beyond them where the edge got another length: the
// lap of a cuff that was taken in at one end goes at the other.
func (o *opened) laps(before, after *pattern.Pattern) []string {
	var lines []string
	for _, s := range after.Seams {
		k := slices.IndexFunc(before.Seams, func(b pattern.Seam) bool { return b.Name == s.Name })
		if k < 0 {
			continue
		}
		old := before.Seams[k]
		for _, sides := range [2][2]pattern.Chain{{s.First, old.First}, {s.Second, old.Second}} {
			for _, st := range sides[0] {
				if st.To == 0 || !slices.Contains(sides[1], st) || sewnFrom(after, st) || before.SewnWithin(st) {
					continue
				}
				now, then := edgeLength(after, st), edgeLength(before, st)
				if math.Abs(now-then) < endMoved || math.Abs(then-st.To) < endMoved {
					continue
				}
				lines = append(lines, fmt.Sprintf("%s, %q: sewn in seam %q up to %s from its start, as before, so that beyond it, at its end%s, %s is left, where it was %s",
					st.Piece, st.Edge, s.Name, o.length(st.To), endWords(after, st), o.length(now-st.To), o.length(then-st.To)),
					"  to have it sewn elsewhere: say with `toile seam` from where to where, as PIECE/EDGE:FROM:TO")
			}
		}
	}
	return lines
}

// sewnFrom reports whether what lies beyond a stretch is sewn as well, so that
// nothing is left there.
func sewnFrom(p *pattern.Pattern, st pattern.Stretch) (sewn bool) {
	p.EachStretch(func(next *pattern.Stretch) {
		if next.Piece == st.Piece && next.Edge == st.Edge && math.Abs(next.From-st.To) < endMoved {
			sewn = true
		}
	})
	return sewn
}

// endWords names the edge that meets the end of a stretch's edge.
func endWords(p *pattern.Pattern, st pattern.Stretch) string {
	q, err := p.Piece(st.Piece)
	if err != nil {
		return ""
	}
	i, err := q.EdgeIndex(st.Edge)
	if err != nil {
		return ""
	}
	return fmt.Sprintf(" at %q", q.Edges[(i+1)%len(q.Edges)].Name)
}

// edgeLength is how long the edge of a stretch is in a state of the pattern in mm, 0
// where it is not there.
func edgeLength(p *pattern.Pattern, st pattern.Stretch) float64 {
	q, err := p.Piece(st.Piece)
	if err != nil {
		return 0
	}
	i, err := q.EdgeIndex(st.Edge)
	if err != nil {
		return 0
	}
	return q.EdgePath(i).Length()
}
