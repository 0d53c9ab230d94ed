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
// in which they were led through, each line of them by itself. They are asked for what
// the outlines of both leave open: the line along which a piece was split or joined,
// where both parts were altered there besides, and what several alterations of one
// piece did each.
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
	for k, old := range a.Pieces {
		if now := found[k]; now != nil {
			d.Pieces[k] = Apart(d.Pieces[k], old, now, between, b)
		}
	}
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
	p := &partsTold{d: d, to: b, words: &comparison{unit: b.Unit}}
	splits, joins := splitsAndJoins(a, b, found)
	for _, s := range splitsAltered(a, b, found, splits, lines) {
		if s.tell(p.now, b) == nil {
			splits = slices.DeleteFunc(splits, func(d divided) bool { return d.whole == s.whole })
		}
	}
	for _, s := range joinsAltered(a, b, found, joins, lines) {
		_ = s.tellJoin(p.then, p.now, b) // it stays told as altered where that fails
	}
	for _, s := range splits {
		p.split(s)
	}
	for _, j := range joins {
		p.joined(j)
	}
}

// partsTold puts what is told of splits and joins into the entries of a diff.
type partsTold struct {
	d     *change.Diff
	to    *pattern.Pattern
	words *comparison
}

// then is the entry of an old piece, now that of a new one.
func (p *partsTold) then(q *pattern.Piece) *change.PieceDiff {
	return p.entry(q, func(d *change.PieceDiff) *pattern.Piece { return d.Old })
}

func (p *partsTold) now(q *pattern.Piece) *change.PieceDiff {
	return p.entry(q, func(d *change.PieceDiff) *pattern.Piece { return d.New })
}

func (p *partsTold) entry(q *pattern.Piece, side func(*change.PieceDiff) *pattern.Piece) *change.PieceDiff {
	for i := range p.d.Pieces {
		if on := side(&p.d.Pieces[i]); on != nil && on.Name == q.Name {
			return &p.d.Pieces[i]
		}
	}
	return &change.PieceDiff{}
}

// split tells of a piece that was split and of which nothing else changed.
func (p *partsTold) split(s divided) {
	entry := p.then(s.whole)
	if laid, err := piecesAt(s.whole, s.laidFrom, p.to, &s.pose); err == nil {
		*entry = laid
	}
	s.tellSplit(entry, p.words)
	other := p.now(s.other)
	other.State, other.Before = change.Split, s.whole.Name
	s.follow(entry, other)
	other.Origin = s.origin()
}

// joined tells of two pieces that were joined and of which nothing else changed.
func (p *partsTold) joined(j divided) {
	entry := p.now(j.whole)
	back := j.pose.Inverse()
	if laid, err := piecesAt(j.laidFrom, j.whole, p.to, &back); err == nil {
		*entry = laid
	}
	j.tellJoin(entry, p.words)
	other := p.then(j.other)
	other.State, other.Into, other.IntoLaid = change.Joined, j.whole, j.poseOther
}
