package main

import (
	"fmt"
	"slices"
	"strings"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/repo"
)

// pieceStep is a version at which a piece came, went or became another: the
// piece before and now, nil where there is none, and what is said of it.
type pieceStep struct {
	at          int // where the version stands in the line
	version     repo.Version
	before, now *pattern.Piece // not read where all that is said is known by heart
	said        change.PieceDiff
	byHeart     *stepSaid
}

// pieceTrail follows one piece along the branch's own line, the newest version
// first. Files are read from those versions alone that changed the piece's own;
// where a version added or removed pieces, all that it changed, for one may have
// become another.
type pieceTrail struct {
	*opened
	line  []repo.Version
	read  map[int]*change.Diff // of all pieces that a version changed
	book  *stepBook            // nil where the pieces themselves are wanted
	until int                  // how many versions are looked at; 0 for all
	apart bool                 // whether several alterations of a version are told apart
}

// pieceSteps finds the versions that changed a piece, the newest first. The
// last is the one where it appears first. Several alterations of one version are told
// apart where its outlines leave them open.
// With a book, what is in it is not looked for again.
func (o *opened) pieceSteps(name string, book *stepBook) ([]pieceStep, error) {
	last, err := o.lastVersion()
	if err != nil {
		return nil, err
	}
	line, err := o.repo.Line(last)
	if err != nil {
		return nil, err
	}
	t := &pieceTrail{opened: o, line: line, read: map[int]*change.Diff{}, book: book, apart: true}
	return t.steps(name)
}

// pieceStepsUntil finds them along a line of versions, the newest first, by the outlines
// of each version alone; so many versions of the line are looked at, 0 is for all.
func (o *opened) pieceStepsUntil(line []repo.Version, name string, until int) ([]pieceStep, error) {
	t := &pieceTrail{opened: o, line: line, read: map[int]*change.Diff{}, until: until}
	return t.steps(name)
}

func (t *pieceTrail) steps(name string) ([]pieceStep, error) {
	file, at, err := t.find(name)
	if err != nil {
		return nil, err
	}
	file, at, gone, err := t.forward(file, at)
	if err != nil {
		return nil, err
	}
	steps, err := t.back(file, at)
	if err != nil {
		return nil, err
	}
	if gone {
		removed := pieceStep{at: at - 1, version: t.line[at-1], before: steps[0].now}
		steps = slices.Insert(steps, 0, removed)
	}
	for i := range steps {
		if steps[i].byHeart != nil {
			continue
		}
		if err := t.compare(&steps[i]); err != nil {
			return nil, fmt.Errorf("version %d: %w", steps[i].version.Number, err)
		}
		t.book.enter(&steps[i])
	}
	return steps, nil
}

// piece reads a piece's file in a version of the line, nil where it has none.
func (t *pieceTrail) piece(at int, file string) (*pattern.Piece, error) {
	text, found, err := t.repo.ReadFile(t.line[at], file)
	if err != nil || !found {
		return nil, err
	}
	slug := strings.TrimSuffix(strings.TrimPrefix(file, pattern.PieceFolder), ".yaml")
	q, err := pattern.DecodePiece(file, slug, text)
	if err != nil {
		return nil, fmt.Errorf("version %d: %w", t.line[at].Number, err)
	}
	return q, nil
}

// find looks for the file of a piece where its name was seen last: in the last
// version, in those before it, and last in the working pattern, where it may
// have got the name only now.
func (t *pieceTrail) find(name string) (file string, at int, err error) {
	want, err := pattern.CleanName(name)
	if err != nil {
		return "", 0, err
	}
	usual := pattern.PieceFolder + pattern.Slug(want, nil) + ".yaml"
	if q, err := t.piece(0, usual); err == nil && q != nil && q.Name == want {
		return usual, 0, nil
	}
	last, err := t.patternOf(t.line[0])
	if err != nil {
		return "", 0, err
	}
	q, problem := last.Piece(want)
	if problem == nil {
		return q.FileName(), 0, nil
	}
	for i, v := range t.line[:len(t.line)-1] {
		altered, _, removed, err := t.repo.Changed(v)
		if err != nil {
			return "", 0, err
		}
		for _, file := range pieceFiles(altered, removed) {
			switch q, err := t.piece(i+1, file); {
			case err != nil:
				return "", 0, err
			case q != nil && q.Name == want:
				return file, i + 1, nil
			}
		}
	}
	return t.findWorking(want, last, problem)
}

func (t *pieceTrail) findWorking(want string, last *pattern.Pattern, problem error) (string, int, error) {
	if err := t.decodeWorking(); err != nil {
		return "", 0, problem
	}
	q, err := t.Piece(want)
	if err != nil {
		return "", 0, problem
	}
	for _, old := range last.Pieces {
		if old.FileName() == q.FileName() && old.ID == q.ID {
			return old.FileName(), 0, nil
		}
	}
	return "", 0, fmt.Errorf("the piece %q is in no version yet; keep it with `toile commit TEXT`", want)
}

// pieceFiles keeps those files that are pieces.
func pieceFiles(lists ...[]string) []string {
	return slices.DeleteFunc(slices.Concat(lists...), func(f string) bool { return !strings.HasPrefix(f, pattern.PieceFolder) })
}

// samePiece reports whether two contents of one file are of one piece.
func samePiece(a, b *pattern.Piece) bool {
	return a.Name == b.Name || a.ID == b.ID && a.ID != ""
}

// forward goes on from a version to the newest one that still has the piece.
// gone says that the version after that removed it.
func (t *pieceTrail) forward(file string, at int) (newest string, last int, gone bool, err error) {
	for ; at > 0; at-- {
		here, err := t.piece(at, file)
		if err != nil {
			return "", 0, false, err
		}
		next, err := t.piece(at-1, file)
		if err != nil {
			return "", 0, false, err
		}
		if next != nil && samePiece(here, next) {
			continue
		}
		d, err := t.changes(at - 1)
		if err != nil {
			return "", 0, false, err
		}
		is := func(p change.PieceDiff) bool { return p.Old != nil && p.Old.FileName() == file && p.New != nil }
		i := slices.IndexFunc(d.Pieces, is)
		if i < 0 {
			return file, at, true, nil
		}
		file = d.Pieces[i].New.FileName()
	}
	return file, at, false, nil
}

// back collects the steps from a version that has the piece to the one where
// it appears first.
func (t *pieceTrail) back(file string, at int) (steps []pieceStep, err error) {
	var known *pattern.Piece // the state that the next step leads to
	for file != "" {
		found, err := t.repo.Steps(t.line[at:], file)
		if err != nil {
			return nil, err
		}
		from := ""
		for _, s := range found {
			step := pieceStep{at: at + s.At, version: t.line[at+s.At], now: known}
			if t.until > 0 && step.at >= t.until {
				return steps, nil
			}
			if step.byHeart = t.book.find(step.version, file, s); step.byHeart != nil {
				steps, known = append(steps, step), nil
				continue
			}
			if from, err = t.fill(&step, file, s); err != nil {
				return nil, err
			}
			if s.Went {
				later, err := t.now(&steps[len(steps)-1], file)
				if err != nil || !samePiece(step.before, later) {
					return steps, err // another piece had this file once
				}
			}
			steps, known = append(steps, step), step.before
			if from != "" {
				at = step.at + 1
				break
			}
			if step.before == nil && !s.Came {
				return steps, nil // another piece had this file till then
			}
		}
		file = from
	}
	return steps, nil
}

// now is the piece that a step leads to.
func (t *pieceTrail) now(s *pieceStep, file string) (q *pattern.Piece, err error) {
	if s.now == nil && s.byHeart != nil {
		s.now, err = t.piece(s.at, file)
	}
	return s.now, err
}

// fill reads what a step leads from and to. from is the file where the piece
// was before, if that has to be looked for anew.
func (t *pieceTrail) fill(step *pieceStep, file string, s repo.Step) (from string, err error) {
	if step.now == nil && !s.Went {
		if step.now, err = t.piece(step.at, file); err != nil {
			return "", err
		}
	}
	if !s.Came {
		if step.before, err = t.piece(step.at+1, file); err != nil {
			return "", err
		}
		if s.Went || samePiece(step.before, step.now) {
			return "", nil
		}
		step.before = nil
	}
	if step.at+1 == len(t.line) {
		return "", nil
	}
	d, err := t.changes(step.at)
	if err != nil {
		return "", err
	}
	for _, p := range d.Pieces {
		if then := diff.Then(p); p.New != nil && p.New.FileName() == file && then != nil {
			from = then.FileName()
			step.before, err = t.piece(step.at+1, from)
		}
	}
	return from, err
}

// changes compares all pieces whose files a version changed.
func (t *pieceTrail) changes(at int) (*change.Diff, error) {
	if d, ok := t.read[at]; ok {
		return d, nil
	}
	altered, added, removed, err := t.repo.Changed(t.line[at])
	if err != nil {
		return nil, err
	}
	sides := [2]*pattern.Pattern{}
	for side, files := range [2][]string{pieceFiles(altered, removed), pieceFiles(altered, added)} {
		if sides[side], err = t.head(at); err != nil {
			return nil, err
		}
		for _, f := range files {
			q, err := t.piece(at+1-side, f)
			if err != nil {
				return nil, err
			}
			sides[side].Pieces = append(sides[side].Pieces, q)
		}
	}
	var before *repo.Version
	if at+1 < len(t.line) {
		before = &t.line[at+1]
	}
	d, err := t.compareWith(sides[0], sides[1], [2]change.Version{}, before, &t.line[at])
	t.read[at] = &d
	return &d, err
}

// head is a version's pattern without pieces and without what spans pieces.
func (t *pieceTrail) head(at int) (*pattern.Pattern, error) {
	text, found, err := t.repo.ReadFile(t.line[at], pattern.PatternFile)
	if err != nil || !found {
		return pattern.New("", units.Centimetre), err
	}
	head, err := pattern.DecodeHead(text)
	if err != nil {
		return nil, err
	}
	head.Seams, head.Layers = nil, nil
	return head, nil
}

// compare says what a step changed. Where pieces came or went with it, that is
// told with them in sight: a piece may have been split or joined.
func (t *pieceTrail) compare(s *pieceStep) error {
	if s.at+1 < len(t.line) {
		_, added, removed, err := t.repo.Changed(s.version)
		if err != nil {
			return err
		}
		if len(pieceFiles(added, removed)) > 0 {
			if found, err := t.compareAmong(s); found || err != nil {
				return err
			}
		}
	}
	head, err := t.head(s.at)
	if err != nil {
		return err
	}
	s.said, err = diff.Pieces(s.before, s.now, head)
	if err != nil || !t.apart || s.at+1 >= len(t.line) || !diff.Doubtful(s.said) {
		return err
	}
	between, err := t.statesBetween(t.line[s.at+1], &t.line[s.at], mostToldApart)
	s.said = diff.Apart(s.said, s.before, s.now, between, head)
	return err
}

// compareAmong takes what is said of the piece where all that the version
// changed is compared; found is false where that pairs it with another one.
func (t *pieceTrail) compareAmong(s *pieceStep) (found bool, err error) {
	d, err := t.changes(s.at)
	if err != nil {
		return false, err
	}
	same := func(p, q *pattern.Piece) bool {
		return p == nil && q == nil || p != nil && q != nil && p.Slug == q.Slug
	}
	for _, p := range d.Pieces {
		if same(diff.Then(p), s.before) && same(p.New, s.now) {
			s.said = p
			return true, nil
		}
	}
	return false, nil
}
