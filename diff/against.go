package diff

import (
	"toile/pattern"
	"toile/pattern/change"
)

// Against compares two pieces of a garment, such as a lining with its outer or
// the left front with the right: what would have to be done to a to make b of
// it. Figures are in a's frame, and the placement lays b onto a; that the two
// are called otherwise is no change. from is where a is from, and to where b.
// Words use the unit of the pattern p.
func Against(a, b *pattern.Piece, p *pattern.Pattern, from, to change.Version) (change.Diff, error) {
	d := change.Diff{From: from, To: to, Seams: []change.SeamDiff{}, NotFollowed: []change.NotFollowed{}, Notes: []change.Note{},
		Settings: []string{}, Texts: []change.TextDiff{}}
	q, err := Pieces(a, b, p)
	if err != nil {
		return d, err
	}
	q.Piece, q.Before, q.Against = b.Name, a.Name, true
	kept := []change.Change{}
	for _, c := range q.Changes {
		ofPiece := c.Kind == change.NameChanged && len(c.Edges) == 0 && c.Notch == "" && c.Mark == ""
		turned := c.Kind == change.PieceMirrored && c.Before == c.After // how each lies is told by the placement
		if !ofPiece && !turned {
			kept = append(kept, c)
		}
	}
	q.Changes, q.State = kept, change.Altered
	if len(kept) == 0 {
		q.State = change.Same
	}
	d.Pieces = []change.PieceDiff{q}
	return d, nil
}
