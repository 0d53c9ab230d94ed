package main

import (
	"fmt"
	"slices"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// lookingBack finds what was done to edges, from the working pattern, or another,
// back along the line of the version that it was made of.
type lookingBack struct {
	*opened
	now    *pattern.Pattern
	last   *repo.Version // nil before the first version
	line   []repo.Version
	states map[int]*pattern.Pattern
	parts  map[string]change.PieceDiff            // of pieces split since the last version; nil until asked for
	diffs  map[[2]*pattern.Piece]change.PieceDiff // of pieces asked for before
	staged []*pattern.Pattern                     // the stages up to now, where they are known already

	working bool                     // it is the working pattern, as it is or as a command makes it
	until   int                      // how many versions are looked back through; 0 for all
	found   map[[2]string][]edgeStep // by piece and edge, what steps found
	altered bool                     // whether the edge that was asked for last was altered since the last version
}

func (o *opened) lookBack(p *pattern.Pattern) (*lookingBack, error) {
	last, err := o.repo.Last()
	if err != nil {
		return nil, err
	}
	l, err := o.lookBackFrom(p, last)
	if err == nil {
		l.working = true
	}
	return l, err
}

// lookBackFrom looks back from a pattern that was made of a version, nil where
// there is none.
func (o *opened) lookBackFrom(p *pattern.Pattern, from *repo.Version) (*lookingBack, error) {
	l := &lookingBack{opened: o, now: p, last: from, states: map[int]*pattern.Pattern{}}
	if from == nil {
		return l, nil
	}
	var err error
	l.line, err = o.repo.Line(*from)
	return l, err
}

// edgeStep is one state in which an edge was changed: the version's place in
// the line, −1 for the working pattern.
type edgeStep struct {
	at      int
	changes []change.Change
	beside  []change.Change // all of the piece in that step
	// own is what alterations did to the edge, each by itself, where apart says
	// that it is known.
	own   []change.Change
	apart bool
	part  bool // of what is lacking: the rest of something
	more  bool // of what is lacking: an older step is lacking too
}

// state reads the pattern of the version at a place of the line.
func (l *lookingBack) state(at int) (*pattern.Pattern, error) {
	if p, ok := l.states[at]; ok {
		return p, nil
	}
	p, err := l.patternOf(l.line[at])
	l.states[at] = p
	return p, err
}

// carried are the changes that can be carried.
var carried = []change.Kind{change.EdgeMoved, change.EdgeSwung, change.EdgeRun, change.EdgeRedrawn, change.Spread, change.CornerRounded, change.CornerRestored}

// steps finds where an edge was changed, the latest first: since the last
// version, and in each of the line that changed its piece.
func (l *lookingBack) steps(q *pattern.Piece, edge string) ([]edgeStep, error) {
	if l.last == nil {
		return nil, nil
	}
	key := [2]string{q.Name, edge}
	if found, ok := l.found[key]; ok {
		return slices.Clone(found), nil
	}
	found, err := l.findSteps(q, edge)
	if err != nil {
		return nil, err
	}
	if l.found == nil {
		l.found = map[[2]string][]edgeStep{}
	}
	l.found[key] = found
	return slices.Clone(found), nil
}

func (l *lookingBack) findSteps(q *pattern.Piece, edge string) ([]edgeStep, error) {
	was, d, err := l.asKept(q)
	if err != nil {
		return nil, err
	}
	if was == nil {
		return l.newSteps(q, edge)
	}
	trail := &stepTrail{lookingBack: l, edge: edge}
	if err := trail.add(-1, d, q); err != nil {
		return nil, err
	}
	kept, err := l.keptSteps(was.Name)
	if err != nil {
		return nil, err
	}
	for _, s := range kept {
		if trail.edge == "" || s.before == nil || s.now == nil {
			break
		}
		if err := trail.add(s.at, s.said, s.now); err != nil {
			return nil, err
		}
	}
	return trail.found, nil
}

// stepTrail is an edge followed back through the steps of its piece.
type stepTrail struct {
	*lookingBack
	found []edgeStep
	edge  string    // as it is called so far back
	fold  geom.Path // beyond which the edge lies that is followed as its image since; nil for none
}

// add adds what a step changed of the edge, and follows it to before that.
func (t *stepTrail) add(at int, d change.PieceDiff, q *pattern.Piece) error {
	then, called := edgeCalled(d, t.edge)
	s := edgeStep{at: at, changes: changesOf(d, called), beside: d.Changes}
	if len(s.changes) > 0 || at == -1 { // alterations that make up for each other are told of no outline
		if err := t.setApart(&s, q, t.edge, len(t.found)); err != nil {
			return err
		}
	}
	s.changes, s.own = acrossFold(s.changes, t.fold), acrossFold(s.own, t.fold)
	if len(s.changes) > 0 || len(s.own) > 0 {
		t.found = append(t.found, s)
	}
	if image := d.HalfOfImage(t.edge); image != "" {
		then, t.fold = image, d.Unfolded()
	}
	t.edge = then
	return nil
}

// asKept is the piece of the last version that a piece continues, or that it was split
// off since, and what became of it; nil where there is none.
func (l *lookingBack) asKept(q *pattern.Piece) (was *pattern.Piece, d change.PieceDiff, err error) {
	before, err := l.state(0)
	if err != nil {
		return nil, d, err
	}
	i, splitOff := continued(before, q)
	if i < 0 {
		return nil, d, nil
	}
	d, err = l.sinceLast(before, before.Pieces[i], q)
	if err != nil || splitOff && d.State != change.Split {
		return nil, d, err
	}
	return before.Pieces[i], d, nil
}

// newSteps are the steps of a piece of which the last version holds nothing that it can
// be compared with, as of one that was drafted since: what alterations did to it.
func (l *lookingBack) newSteps(q *pattern.Piece, edge string) ([]edgeStep, error) {
	own, beside, ok, err := l.stagedChanges(-1, q, edge)
	if err != nil || !ok || len(own) == 0 {
		return nil, err
	}
	return []edgeStep{{at: -1, own: own, beside: beside, apart: true}}, nil
}

// keptSteps are the steps of a piece in the line of versions; looked up once.
func (l *lookingBack) keptSteps(name string) ([]pieceStep, error) {
	key := [2]string{fmt.Sprint(l.line[0].ID, " ", l.until), name}
	if found, ok := l.opened.keptSteps[key]; ok {
		return found, nil
	}
	found, err := l.pieceStepsUntil(l.line, name, l.until)
	if err != nil {
		return nil, err
	}
	if l.opened.keptSteps == nil {
		l.opened.keptSteps = map[[2]string][]pieceStep{}
	}
	l.opened.keptSteps[key] = found
	return found, nil
}

// edgeCalled is the edge of FROM that an edge of a diff continues, and by which name
// its changes are told: its own where it is new at the line of a split.
func edgeCalled(d change.PieceDiff, edge string) (then, called string) {
	then = diff.EdgeThen(d, edge)
	if d.State == change.Split && then == "" {
		return then, edge
	}
	return then, then
}

// acrossFold are changes of an edge of a half as its image beyond the fold has them,
// since it was opened out; as they are where fold is nil.
func acrossFold(changes []change.Change, fold geom.Path) []change.Change {
	if fold == nil {
		return changes
	}
	changes = slices.Clone(changes)
	for i := range changes {
		changes[i] = changes[i].Across(fold)
	}
	return changes
}

// continued is the piece of an earlier pattern that a piece continues, or that it was
// split off; −1 for none.
func continued(before *pattern.Pattern, q *pattern.Piece) (i int, splitOff bool) {
	i = slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.ID == q.ID && q.ID != "" })
	if i < 0 {
		i = slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.Name == q.Name })
	}
	if i >= 0 || q.Was == "" {
		return i, false
	}
	return slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.ID == q.Was }), true
}

// sinceLast is what became of a piece since the last version; of one that was
// split since, of the half of it that it was.
func (l *lookingBack) sinceLast(before *pattern.Pattern, old, q *pattern.Piece) (change.PieceDiff, error) {
	if l.parts == nil {
		l.parts = map[string]change.PieceDiff{}
		split := slices.ContainsFunc(l.now.Pieces, func(o *pattern.Piece) bool {
			return o.Was != "" && slices.ContainsFunc(before.Pieces, func(b *pattern.Piece) bool { return b.ID == o.Was }) &&
				!slices.ContainsFunc(before.Pieces, func(b *pattern.Piece) bool { return b.ID == o.ID })
		})
		if split {
			d, err := diff.Patterns(before, l.now, change.Version{}, change.Version{Working: true})
			if err != nil {
				return change.PieceDiff{}, err
			}
			for _, p := range d.Pieces {
				if p.State == change.Split {
					l.parts[p.Piece] = p
				}
			}
		}
	}
	if d, ok := l.parts[q.Name]; ok {
		return d, nil
	}
	key := [2]*pattern.Piece{old, q}
	if d, ok := l.diffs[key]; ok {
		return d, nil
	}
	d, err := diff.Pieces(old, q, l.now)
	if err == nil && l.diffs == nil {
		l.diffs = map[[2]*pattern.Piece]change.PieceDiff{}
	}
	if err == nil {
		l.diffs[key] = d
	}
	return d, err
}

// betweenStages is what became of a piece from one stage of several to the next.
func (o *opened) betweenStages(before, after *pattern.Pattern, old, q *pattern.Piece) (change.PieceDiff, error) {
	key := [2]*pattern.Pattern{before, after}
	l, ok := o.between[key]
	if !ok {
		l = &lookingBack{opened: o, now: after}
		if o.between == nil {
			o.between = map[[2]*pattern.Pattern]*lookingBack{}
		}
		o.between[key] = l
	}
	return l.sinceLast(before, old, q)
}

// changesOf lists the changes of an edge that can be carried.
func changesOf(d change.PieceDiff, edge string) []change.Change {
	var found []change.Change
	for _, ch := range d.Changes {
		if edge != "" && slices.Contains(carried, ch.Kind) && (slices.Contains(ch.Edges, edge) || slices.Contains(ch.Moved, edge)) {
			found = append(found, ch)
		}
	}
	return append(found, untoldRuns(found)...)
}
