package main

import (
	"fmt"
	"slices"
	"strings"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render/album"
	"toile/repo"
)

// noteTrail follows places of notes from the version that was sewn to others, step
// by step and with the motions of the album. Where a piece was split, a place goes
// to the part that holds it.
type noteTrail struct {
	*binder
	tip   int // the last version of the branch
	steps map[int][]album.Step
	since []album.Step // from the last version to the working pattern, once asked for
}

// working stands for the working pattern where a version could.
const working = -2

// pieceSpot is a place of a piece: the piece by its slug, nil for the whole of it.
type pieceSpot struct {
	slug string
	at   *geom.Point
	side pattern.WearerSide // of the wearer that is spoken of
}

// noteTrail reads the versions that the last one and these sides build on; nil
// where there is none, or no side has a fitting.
func (o *opened) noteTrail(sides ...diffSide) (*noteTrail, error) {
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return nil, err
	}
	tips, none := []repo.Version{*last}, true
	for _, s := range sides {
		if s.kept != nil {
			tips = append(tips, *s.kept)
		}
		none = none && len(s.Fittings) == 0
	}
	if none {
		return nil, nil
	}
	t := &noteTrail{binder: &binder{opened: o, historian: newHistorian(o), at: map[string]int{}, texts: map[string]int{}}, steps: map[int][]album.Step{}}
	if err := t.readVersions(tips); err != nil {
		return nil, err
	}
	t.tip = t.at[last.ID]
	return t, t.followFittings()
}

// version is the place of a version in the trail, that of the working pattern for
// nil.
func (t *noteTrail) version(v *repo.Version) int {
	if v == nil {
		return working
	}
	return t.at[v.ID]
}

// place finds where a note lies in a version. The note and its fitting are as
// another version has them, or as the working pattern does; ok is false where the
// piece is gone there, or cannot be read.
func (t *noteTrail) place(f *pattern.Fitting, n pattern.Note, has, in int) (p pieceSpot, ok bool) {
	sewn, p, ok := t.sewnPlace(f, n, has)
	if !ok {
		p, ok = t.placeThen(n, sewn)
	}
	if !ok || sewn == in {
		return p, ok
	}
	to := in
	if in == working {
		to = t.tip
	}
	if sewn == working {
		return p, false
	}
	p, ok = t.walk(sewn, to, p)
	if !ok || in != working {
		return p, ok
	}
	if t.since == nil {
		if err := t.readSince(); err != nil {
			return p, false
		}
	}
	return ahead(t.since, p)
}

// sewnPlace is where a note lies on the version that was sewn.
func (t *noteTrail) sewnPlace(f *pattern.Fitting, n pattern.Note, has int) (sewn int, p pieceSpot, ok bool) {
	base := has
	if has == working {
		base = t.tip
	}
	there := t.there[base][f.ID]
	if there != nil && there.Version == f.Version {
		sewn = there.sewn
		for _, was := range there.notes {
			if now := f.NoteNow(was.Note); now == nil || now.Number != n.Number || !oneSpot(was.At, n.At) {
				continue
			}
			if sewn < 0 {
				sewn = was.line.first
			}
			for _, named := range slices.Backward(was.named) {
				slug, found := t.slugOf(named.version, named.name)
				if !found {
					continue
				}
				p, ok = t.walk(named.version, sewn, pieceSpot{slug: slug, side: n.Side})
				p.at = n.At
				return sewn, p, ok
			}
		}
	} else if sewn = t.numbered(f.Version, base); sewn < 0 {
		sewn = working
	}
	p, ok = t.placeNow(n, sewn)
	return sewn, p, ok
}

// placeNow is where a note lies that no version has yet, found by the name of its
// piece in the working pattern.
func (t *noteTrail) placeNow(n pattern.Note, sewn int) (pieceSpot, bool) {
	if t.Pattern == nil {
		return pieceSpot{}, false
	}
	now, err := t.Piece(n.Piece)
	if err != nil {
		return pieceSpot{}, false
	}
	if sewn == working {
		return pieceSpot{now.Slug, n.At, n.Side}, true
	}
	then, err := t.patternOf(t.versions[sewn])
	if err != nil {
		return pieceSpot{}, false
	}
	i := slices.IndexFunc(then.Pieces, func(q *pattern.Piece) bool { return q.ID == now.ID && q.ID != "" })
	if i < 0 {
		i = slices.IndexFunc(then.Pieces, func(q *pattern.Piece) bool { return q.Name == now.Name })
	}
	if i < 0 {
		return pieceSpot{}, false
	}
	return pieceSpot{then.Pieces[i].Slug, n.At, n.Side}, true
}

func oneSpot(a, b *geom.Point) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// slugOf finds a piece by its name in a version.
func (t *noteTrail) slugOf(version int, name string) (slug string, found bool) {
	v := t.versions[version]
	bears := func(file string, text []byte) bool {
		slug = strings.TrimSuffix(strings.TrimPrefix(file, pattern.PieceFolder), ".yaml")
		q, err := pattern.DecodePiece(file, slug, text)
		return err == nil && q.Name == name
	}
	usual := pattern.PieceFolder + pattern.Slug(name, nil) + ".yaml"
	if text, is, err := t.repo.ReadFile(v, usual); err == nil && is && bears(usual, text) {
		return slug, true
	}
	files, err := t.repo.ReadFolder(v, strings.TrimSuffix(pattern.PieceFolder, "/"))
	if err != nil {
		return "", false
	}
	for file, text := range files {
		if bears(file, text) {
			return slug, true
		}
	}
	return "", false
}

// line are a version and those before it on its own line, the newest first.
func (t *noteTrail) line(version int) []int {
	var out []int
	for version >= 0 {
		out = append(out, version)
		parents := t.versions[version].Parents
		if version = -1; len(parents) > 0 {
			version = t.at[parents[0]]
		}
	}
	return out
}

// walk follows a place from one version to another: back to where their lines meet
// and on from there. A piece that came on both lines is the same one where its id
// and its file are.
func (t *noteTrail) walk(from, to int, p pieceSpot) (pieceSpot, bool) {
	way := t.line(to)
	start := -1
	for _, at := range t.line(from) {
		if start = slices.Index(way, at); start >= 0 {
			break
		}
		steps, err := t.stepsAt(at)
		if err != nil {
			return p, false
		}
		before, came := behind(steps, p)
		if came == nil {
			p = before
			continue
		}
		if start = t.cameAlike(way, came); start < 0 {
			return p, false
		}
		break
	}
	if start < 0 {
		return p, false
	}
	for _, at := range slices.Backward(way[:start]) {
		steps, err := t.stepsAt(at)
		if err != nil {
			return p, false
		}
		var ok bool
		if p, ok = ahead(steps, p); !ok {
			return p, false
		}
	}
	return p, true
}

// cameAlike finds the version of a line at which a piece came, −1 for none.
func (t *noteTrail) cameAlike(way []int, came *pattern.Piece) int {
	return slices.IndexFunc(way, func(at int) bool {
		steps, err := t.stepsAt(at)
		return err == nil && slices.ContainsFunc(steps, func(s album.Step) bool {
			return s.New != nil && s.Old == nil && s.New.Slug == came.Slug && s.New.ID == came.ID
		})
	})
}

// behind is where a place lay before a version; came is the piece where it is one
// that the version brought.
func behind(steps []album.Step, p pieceSpot) (before pieceSpot, came *pattern.Piece) {
	i := slices.IndexFunc(steps, func(s album.Step) bool { return s.New != nil && s.New.Slug == p.slug })
	if i < 0 {
		return p, nil
	}
	of, at := change.Trace(diffsOf(steps), storedIn(steps, func(s album.Step) *pattern.Piece { return s.Old }), p.slug, p.at)
	if of == nil {
		return p, steps[i].New
	}
	return pieceSpot{of.Slug, at, p.side}, nil
}

// diffsOf are the diffs of steps.
func diffsOf(steps []album.Step) []change.PieceDiff {
	var pieces []change.PieceDiff
	for _, s := range steps {
		pieces = append(pieces, s.Diff)
	}
	return pieces
}

// storedIn finds the pieces of one side of steps by their slugs.
func storedIn(steps []album.Step, side func(album.Step) *pattern.Piece) func(slug string) *pattern.Piece {
	return func(slug string) *pattern.Piece {
		for _, s := range steps {
			if p := side(s); p != nil && p.Slug == slug {
				return p
			}
		}
		return nil
	}
}

// ahead is where a place lies after a version; ok is false where its piece is gone.
func ahead(steps []album.Step, p pieceSpot) (after pieceSpot, ok bool) {
	if !slices.ContainsFunc(steps, func(s album.Step) bool { return s.Old != nil && s.Old.Slug == p.slug }) {
		return p, true
	}
	k, at := change.Follow(diffsOf(steps), storedIn(steps, func(s album.Step) *pattern.Piece { return s.New }), p.slug, p.at, p.side)
	if k < 0 {
		return p, false
	}
	return pieceSpot{steps[k].New.Slug, at, p.side}, true
}

// stepsAt are what a version did to pieces.
func (t *noteTrail) stepsAt(i int) ([]album.Step, error) {
	if steps, known := t.steps[i]; known {
		return steps, nil
	}
	s, _, err := t.stepsOf(t.versions[i])
	if err != nil {
		return nil, err
	}
	for _, n := range append(slices.Clone(s.then), s.now...) {
		q := &t.pieces[n]
		if q.piece == nil {
			slug := strings.TrimSuffix(strings.TrimPrefix(q.file, pattern.PieceFolder), ".yaml")
			if q.piece, err = pattern.DecodePiece(q.file, slug, q.text); err != nil {
				return nil, fmt.Errorf("version %d: %w", t.versions[i].Number, err)
			}
		}
	}
	if t.steps[i], err = t.compareOne(s); err == nil {
		err = t.tellTypedAt(t.steps[i], t.versions[i], s.headNow)
	}
	return t.steps[i], err
}

// readSince compares the working pattern with the last version.
func (t *noteTrail) readSince() error {
	last, err := t.patternOf(t.versions[t.tip])
	if err != nil {
		return err
	}
	d, err := diff.Patterns(last, t.Pattern, change.Version{}, change.Version{})
	if err != nil {
		return err
	}
	made, err := t.recipesSince(last)
	if err != nil {
		return err
	}
	tellDrawn(&d, made.List)
	t.since = []album.Step{}
	for _, p := range d.Pieces {
		s := album.Step{Diff: p, Laid: p.Placement.Motion()}
		if p.Old != nil {
			s.Old = pieceBySlug(last, p.Old.Slug)
		}
		if p.New != nil {
			s.New = pieceBySlug(t.Pattern, p.New.Slug)
		}
		t.since = append(t.since, s)
	}
	return nil
}

// pieceBySlug is a piece by its slug, nil where there is none.
func pieceBySlug(p *pattern.Pattern, slug string) *pattern.Piece {
	for _, q := range p.Pieces {
		if q.Slug == slug {
			return q
		}
	}
	return nil
}

// trailTo is the trail of notes, and the version that was sewn for a fitting in it.
func (o *opened) trailTo(f *pattern.Fitting) (*noteTrail, int, error) {
	v, err := o.versionSewn(f)
	if err != nil {
		return nil, working, err
	}
	t, err := o.noteTrail(diffSide{Pattern: o.Pattern, kept: v})
	if err != nil || t == nil {
		return nil, working, err
	}
	return t, t.version(v), nil
}

// on reports whether a note of the working pattern lies on a piece of a version,
// and where; name is how the piece is called now. A place that cannot be followed
// is nil.
func (t *noteTrail) on(f *pattern.Fitting, n pattern.Note, in int, slug, name string) (at *geom.Point, on bool) {
	if n.Piece == "" {
		return nil, false
	}
	if t == nil {
		return n.At, n.Piece == name
	}
	spots := t.places(f, n, working, in)
	for _, p := range spots {
		if p.slug == slug {
			return p.at, true
		}
	}
	return nil, len(spots) == 0 && n.Piece == name
}
