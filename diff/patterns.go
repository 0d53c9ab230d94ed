package diff

import (
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// Set is the allowance set whose cut areas a diff lists.
const Set = pattern.ClothSet

// Patterns compares two patterns: every piece of either, the seams whose fit
// changed, and the texts of fittings and notes. from and to name the sides.
func Patterns(a, b *pattern.Pattern, from, to change.Version) (change.Diff, error) {
	return PatternsBy(a, b, from, to, nil)
}

// PatternsBy is Patterns for two states with others known between them, in the order
// in which they were led through, each line of them by itself. They are asked
// for the line alone along which a piece was split or joined, where both parts were
// altered there besides.
func PatternsBy(a, b *pattern.Pattern, from, to change.Version, between [][]*pattern.Pattern) (change.Diff, error) {
	d := change.Diff{From: from, To: to, Pieces: []change.PieceDiff{}, Seams: []change.SeamDiff{}, NotFollowed: []change.NotFollowed{}, Texts: []change.TextDiff{}, Notes: Notes(a, b)}
	found := counterparts(a, b)
	taken := map[*pattern.Piece]bool{}
	d.Pieces = make([]change.PieceDiff, len(a.Pieces))
	problems := make([]error, len(a.Pieces))
	pattern.AtOnce(len(a.Pieces), func(k int) { d.Pieces[k], problems[k] = Pieces(a.Pieces[k], found[k], b) })
	for k, err := range problems {
		if err != nil {
			d.Pieces = d.Pieces[:k]
			return d, err
		}
		taken[found[k]] = true
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
	tellParts(&d, a, b, found, linesOf(between))
	for i := range d.Pieces {
		if p := &d.Pieces[i]; p.State == change.Added {
			p.Origin = halfOf(p.New, a, b)
			p.HalfOf, p.HalfLaid = halfLaid(p.New, a, b)
		}
	}
	seams, err := seamChanges(a, b)
	if err != nil {
		return d, err
	}
	d.Seams = append(d.Seams, seams...)
	(&across{from: a, to: b, d: &d, half: map[string]*change.PieceDiff{}}).tell()
	d.Settings = append([]string{}, Settings(a, b)...)
	d.Texts = append(d.Texts, textChanges(a, b)...)
	return d, nil
}

// tellParts tells of pieces that were split or joined.
func tellParts(d *change.Diff, a, b *pattern.Pattern, found []*pattern.Piece, lines knownLines) {
	words := &comparison{unit: b.Unit}
	entry := func(p *pattern.Piece, side func(*change.PieceDiff) *pattern.Piece) *change.PieceDiff {
		for i := range d.Pieces {
			if q := side(&d.Pieces[i]); q != nil && q.Name == p.Name {
				return &d.Pieces[i]
			}
		}
		return &change.PieceDiff{}
	}
	old := func(p *change.PieceDiff) *pattern.Piece { return p.Old }
	now := func(p *change.PieceDiff) *pattern.Piece { return p.New }
	splits, joins := splitsAndJoins(a, b, found)
	for _, s := range splitsAltered(a, b, found, splits, lines) {
		if s.tell(func(q *pattern.Piece) *change.PieceDiff { return entry(q, now) }, b) == nil {
			splits = slices.DeleteFunc(splits, func(d divided) bool { return d.whole == s.whole })
		}
	}
	for _, s := range joinsAltered(a, b, found, joins, lines) {
		_ = s.tellJoin(func(q *pattern.Piece) *change.PieceDiff { return entry(q, old) }, func(q *pattern.Piece) *change.PieceDiff { return entry(q, now) }, b)
	}
	for _, s := range splits {
		p := entry(s.whole, old)
		if laid, err := piecesAt(s.whole, s.laidFrom, b, &s.pose); err == nil {
			*p = laid
		}
		s.tellSplit(p, words)
		other := entry(s.other, now)
		other.State, other.Before = change.Split, s.whole.Name
		s.follow(p, other)
		other.Origin = s.origin()
	}
	for _, j := range joins {
		p := entry(j.whole, now)
		back := j.pose.Inverse()
		if laid, err := piecesAt(j.laidFrom, j.whole, b, &back); err == nil {
			*p = laid
		}
		j.tellJoin(p, words)
		other := entry(j.other, old)
		other.State, other.Into, other.IntoLaid = change.Joined, j.whole, j.poseOther
	}
}
