package diff

import (
	"toile/pattern"
	"toile/pattern/change"
)

// EdgeThen names the edge of FROM that an edge of TO continues, in the diff of
// a piece that both sides have; for a part of an edge that was divided, the
// whole. It is empty for an edge that is new.
func EdgeThen(d change.PieceDiff, now string) string {
	j := edgeNamed(d.New, now)
	if j < 0 || j >= len(d.Continues) || d.Continues[j] < 0 {
		return ""
	}
	return Then(d).Edges[d.Continues[j]].Name
}

// Then is the piece of FROM that the edges of a diff are followed to: the old
// state, or the piece that a part was split off. It is nil for a new piece.
func Then(d change.PieceDiff) *pattern.Piece {
	if d.Old != nil {
		return d.Old
	}
	return d.Of
}

// EdgeNow names the edge of TO that continues an edge of FROM; for one that
// became part of another, that other. It is empty for an edge that is gone.
func EdgeNow(d change.PieceDiff, then string) string {
	i := edgeNamed(Then(d), then)
	if i < 0 || i >= len(d.Became) || d.Became[i] < 0 {
		return ""
	}
	return d.New.Edges[d.Became[i]].Name
}

// edgeNamed is the index of the edge of that name, −1 where there is none.
func edgeNamed(p *pattern.Piece, name string) int {
	for i, e := range p.Edges {
		if e.Name == name {
			return i
		}
	}
	return -1
}
