package diff

import (
	"toile/pattern"
	"toile/pattern/change"
)

// Set is the allowance set whose cut areas a diff lists.
const Set = pattern.ClothSet

// Patterns compares two patterns: every piece of either, the seams whose fit
// changed, and the texts of fittings and notes. from and to name the sides.
func Patterns(a, b *pattern.Pattern, from, to change.Version) (change.Diff, error) {
	d := change.Diff{From: from, To: to, Pieces: []change.PieceDiff{}, Seams: []change.SeamDiff{}, Texts: []change.TextDiff{}}
	taken := map[*pattern.Piece]bool{}
	for _, old := range a.Pieces {
		now := counterpart(old, a, b, taken)
		p, err := Pieces(old, now, b)
		if err != nil {
			return d, err
		}
		taken[now] = true
		d.Pieces = append(d.Pieces, p)
	}
	for _, now := range b.Pieces {
		if !taken[now] {
			p, err := Pieces(nil, now, b)
			if err != nil {
				return d, err
			}
			d.Pieces = append(d.Pieces, p)
		}
	}
	seams, err := seamChanges(a, b)
	if err != nil {
		return d, err
	}
	d.Seams = append(d.Seams, seams...)
	d.Settings = append([]string{}, Settings(a, b)...)
	d.Texts = append(d.Texts, textChanges(a, b)...)
	return d, nil
}

// counterpart finds the piece of b that continues old: by its id, else by its
// name unless that piece continues another one.
func counterpart(old *pattern.Piece, a, b *pattern.Pattern, taken map[*pattern.Piece]bool) *pattern.Piece {
	for _, q := range b.Pieces {
		if q.ID == old.ID && q.ID != "" && !taken[q] {
			return q
		}
	}
	known := map[string]bool{}
	for _, p := range a.Pieces {
		known[p.ID] = true
	}
	for _, q := range b.Pieces {
		if q.Name == old.Name && !taken[q] && (q.ID == "" || !known[q.ID]) {
			return q
		}
	}
	return nil
}
