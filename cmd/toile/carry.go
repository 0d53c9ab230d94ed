package main

import (
	"fmt"
	"math"
	"slices"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/repo"
)

// make makes an alteration on a pattern; to carry a change it looks back
// through the versions for what has to be carried.
func (o *opened) make(p *pattern.Pattern, r alter.Recipe) (alter.Result, error) {
	if r.Kind != "carry" {
		return alter.Make(p, r)
	}
	l, err := o.lookBack(p)
	if err != nil {
		return alter.Result{}, err
	}
	lacking, err := l.lacking(r)
	if err != nil {
		return alter.Result{}, err
	}
	if err := o.refuseOlder(r, lacking, l.altered); err != nil {
		return alter.Result{}, err
	}
	return alter.Carry(p, r, lacking)
}

// lookingBack finds what was done to edges, from the working pattern, or another,
// back along the line of the version that it was made of.
type lookingBack struct {
	*opened
	now    *pattern.Pattern
	last   *repo.Version // nil before the first version
	line   []repo.Version
	states map[int]*pattern.Pattern
	parts  map[string]change.PieceDiff // of pieces split since the last version; nil until asked for
	staged []*pattern.Pattern          // the stages up to now, where they are known already

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

// lacking finds for each follower of the recipe's edge the last change that it
// lacks.
func (l *lookingBack) lacking(r alter.Recipe) ([]alter.Lacking, error) {
	followers, err := alter.FollowersAsked(l.now, r)
	if err != nil {
		return nil, err
	}
	q, err := l.now.Piece(r.Piece)
	if err != nil {
		return nil, err
	}
	i, err := q.EdgeIndex(r.Values["edge"])
	if err != nil {
		return nil, err
	}
	steps, err := l.steps(q, q.Edges[i].Name)
	if err != nil {
		return nil, err
	}
	var lacking []alter.Lacking
	for _, f := range followers {
		found, err := l.lackOnSide(q, q.Edges[i].Name, steps, f)
		if err != nil {
			return nil, err
		}
		lacking = append(lacking, found...)
	}
	l.altered = len(steps) > 0 && steps[0].at < 0
	if len(lacking) == 0 {
		return lacking, l.refusePart(r, q, q.Edges[i].Name, sewnSteps(steps), followers)
	}
	return latestOnly(lacking), nil
}

// lackOnSide is what a follower lacks. Where its side of a seam is several pieces, a
// move at equal distance is lacked by each that has not made it; of anything else
// one of them has made it for all.
func (l *lookingBack) lackOnSide(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	each := f.Each(l.now)
	if len(each) == 1 {
		return l.lack(q, edge, steps, f)
	}
	var some []alter.Lacking
	for _, g := range each {
		found, err := l.lack(q, edge, steps, g)
		if err != nil {
			return nil, err
		}
		some = append(some, found...)
	}
	if len(some) == len(each) && !slices.ContainsFunc(some, func(g alter.Lacking) bool {
		return g.Older != some[0].Older || len(g.Changes) != len(some[0].Changes) || !alike(g.Changes, some[0].Changes)
	}) {
		return l.lack(q, edge, steps, f)
	}
	return slices.DeleteFunc(some, func(g alter.Lacking) bool {
		return slices.ContainsFunc(g.Changes, func(ch change.Change) bool {
			return ch.Kind != change.EdgeRun && (ch.Kind != change.EdgeMoved || ch.How == change.HowTapered)
		}) || !slices.ContainsFunc(g.Changes, func(ch change.Change) bool { return ch.Kind == change.EdgeMoved })
	}), nil
}

// lack is what one follower lacks: nothing, or one change.
func (l *lookingBack) lack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	switch f.Why {
	case alter.Banded:
		if f.BandLacks(l.now) {
			return []alter.Lacking{{Follower: f}}, nil
		}
		return nil, nil
	case alter.Placed:
		if f.PlaceLacks(l.now, q.Name, edge) {
			return []alter.Lacking{{Follower: f}}, nil
		}
		return nil, nil
	case alter.Layered:
		return l.layerLack(q, edge, steps, f)
	}
	follower, err := l.now.Piece(f.Piece)
	if err != nil {
		return nil, err
	}
	if alter.LiesAlong(l.now, f.Piece, f.Edge, q.Name, edge) {
		return nil, nil // an inner piece that lies on its outer
	}
	theirs, err := l.steps(follower, f.Edge)
	if err != nil {
		return nil, err
	}
	steps, theirs = sewnSteps(steps), sewnSteps(theirs)
	sought := steps
	if alter.BesideUnderOuter(l.now, q.Name, f.Piece) { // what one gains the other loses
		sought, theirs = otherWaySteps(otherWaySteps(steps)), otherWaySteps(theirs)
	}
	settled := l.settledSince(q, edge, follower, f.Edge, steps, theirs, f.Fits(l.now))
	if s := unmatched(sought, theirs, f.Fits(l.now), settled); s != nil {
		lacking := alter.Lacking{Follower: f, Changes: s.changes, Apart: s.apart, More: s.more, Beside: s.beside, Older: s.at >= 0}
		if lacking.Older {
			lacking.Version = l.line[s.at].Number
		}
		return []alter.Lacking{lacking}, nil
	}
	return nil, nil
}

// layerLack looks for the last change of the edge before which the inner piece
// lay along it, and neither right after it nor now.
func (l *lookingBack) layerLack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	for _, s := range steps {
		found, known, drafted := l.stagedLayerLack(s.at, q, edge, f)
		if len(found) > 0 || drafted {
			return found, nil
		}
		if known {
			continue
		}
		lacking, err := l.beforeStep(s.at, f)
		if err != nil {
			return nil, err
		}
		lacking.Changes = s.changes
		if lacks, _ := lacking.InLayer(l.now, q.Name, edge); !lacks {
			continue
		}
		if s.at >= 0 {
			after, err := l.state(s.at)
			if err != nil {
				return nil, err
			}
			if lacks, _ := lacking.InLayer(after, q.Name, edge); !lacks {
				continue
			}
		}
		if len(s.changes) == 0 {
			lacking.Changes = s.own
		}
		lacking.Slashes, err = l.slashes(s.at, q)
		return []alter.Lacking{lacking}, err
	}
	return nil, nil
}

// beforeStep is an inner piece with the pattern before a step. One that was
// drafted in that step is there as it came out of it: it tells whether it was
// drafted before the outer was altered, for then it lies on the outer as that was.
func (l *lookingBack) beforeStep(at int, f alter.Follower) (alter.Lacking, error) {
	lacking := alter.Lacking{Follower: f}
	var err error
	if lacking.Before, err = l.state(at + 1); err != nil {
		return lacking, err
	}
	now, err := l.now.Piece(f.Piece)
	if err != nil {
		return lacking, err
	}
	after := l.now
	if at >= 0 {
		if after, err = l.state(at); err != nil {
			return lacking, err
		}
	}
	same := func(q *pattern.Piece) bool { return q.ID == now.ID && q.ID != "" || q.Name == now.Name }
	k := slices.IndexFunc(after.Pieces, same)
	if k < 0 || slices.ContainsFunc(lacking.Before.Pieces, same) {
		return lacking, nil
	}
	lacking.Before, lacking.Drafted = lacking.Before.Clone(), true
	lacking.Before.Put(after.Pieces[k])
	return lacking, nil
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
	if l.last == nil {
		return nil, nil
	}
	before, err := l.state(0)
	if err != nil {
		return nil, err
	}
	i, splitOff := continued(before, q)
	if i < 0 {
		return nil, nil // drafted since
	}
	d, err := l.sinceLast(before, before.Pieces[i], q)
	if err != nil || splitOff && d.State != change.Split {
		return nil, err
	}
	var found []edgeStep
	add := func(at int, d change.PieceDiff, q *pattern.Piece) {
		then, called := edgeCalled(d, edge)
		s := edgeStep{at: at, changes: changesOf(d, called), beside: d.Changes}
		if len(s.changes) > 0 || at == -1 { // alterations that make up for each other are told of no outline
			l.setApart(&s, q, edge, len(found))
		}
		if len(s.changes) > 0 || len(s.own) > 0 {
			found = append(found, s)
		}
		edge = then
	}
	add(-1, d, q)
	kept, err := l.keptSteps(before.Pieces[i].Name)
	if err != nil {
		return nil, err
	}
	for _, s := range kept {
		if edge == "" || s.before == nil || s.now == nil {
			break
		}
		add(s.at, s.said, s.now)
	}
	return found, nil
}

// keptSteps are the steps of a piece in the line of versions; looked up once.
func (l *lookingBack) keptSteps(name string) ([]pieceStep, error) {
	key := [2]string{fmt.Sprint(l.line[0].ID, " ", l.until), name}
	if found, ok := l.opened.keptSteps[key]; ok {
		return found, nil
	}
	found, err := l.pieceStepsUntil(l.line, name, nil, l.until)
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
	return diff.Pieces(old, q, l.now)
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

// unmatched is the last change of an edge that the edge sewn to it lacks. It
// has followed where it changed in the same version, or later by the same; what
// it changed by less then, it lacks. Of steps that are not known alteration by
// alteration those up to settled are left out.
func unmatched(steps, theirs []edgeStep, fits bool, settled int) *edgeStep {
	lacks, rest := unmatchedApart(steps, theirs, fits)
	mine, others := unknownOf(steps, theirs)
	mine, others = olderThan(mine, settled), olderThan(others, settled)
	if lacks != nil || len(mine) == 0 {
		return lacks
	}
	rest = slices.DeleteFunc(rest, func(t edgeStep) bool {
		return slices.ContainsFunc(others, func(o edgeStep) bool { return o.at == t.at })
	})
	return unmatchedOnWhole(mine, slices.Concat(rest, others), fits)
}

// unmatchedOnWhole is unmatched by what a version did to an edge in all.
func unmatchedOnWhole(steps, theirs []edgeStep, fits bool) *edgeStep {
	pairs, byHand := followedIn(steps, theirs)
	rests := givenByHand(steps, pairs, byHand)
	for i := range steps {
		switch k := pairs[i]; {
		case len(steps[i].changes) == 0:
		case k < 0:
			if len(rests[i]) > 0 {
				return &edgeStep{at: steps[i].at, changes: rests[i], beside: steps[i].beside}
			}
		case theirs[k].at == steps[i].at && (steps[i].at == -1 || !fits):
			rest := remainder(steps[i].changes, theirs[k].changes, fits)
			if len(rest) > 0 && !(fits && onlyRuns(rest)) {
				return &edgeStep{at: steps[i].at, changes: rest, beside: steps[i].beside}
			}
		}
	}
	return nil
}

// followedIn pairs each step of an edge with the step of a sewn-to edge that
// follows it, or that it follows; −1 for none. Those that are alike go before
// those that were only made in the same version. alone are those of the sewn-to
// edge that are paired with none.
func followedIn(steps, theirs []edgeStep) (pairs []int, alone []edgeStep) {
	used := make([]bool, len(theirs))
	pairs = make([]int, len(steps))
	pair := func(fits func(s, t edgeStep) bool) {
		for i := range steps {
			for j := len(theirs) - 1; j >= 0 && pairs[i] < 0; j-- {
				if !used[j] && len(theirs[j].changes) > 0 && fits(steps[i], theirs[j]) {
					pairs[i], used[j] = j, true
				}
			}
		}
	}
	for i := range steps {
		pairs[i] = -1
		steps[i].changes = slices.DeleteFunc(slices.Clone(steps[i].changes), func(ch change.Change) bool {
			return ch.Kind == change.CornerRounded || ch.Kind == change.CornerRestored
		})
	}
	pair(func(s, t edgeStep) bool { return t.at == s.at && alike(s.changes, t.changes) })
	pair(func(s, t edgeStep) bool { return t.at < s.at && alike(s.changes, t.changes) })
	pair(func(s, t edgeStep) bool { return t.at == s.at })
	pairFollowers(steps, theirs, pairs, used)
	for j, t := range theirs {
		if !used[j] {
			alone = append(alone, t)
		}
	}
	return pairs, alone
}

// pairFollowers pairs what is left of an edge's steps with the older step of
// the sewn-to edge that each follows itself: what was carried here from there
// is not to be carried back. The oldest are paired first.
func pairFollowers(steps, theirs []edgeStep, pairs []int, used []bool) {
	for i := len(steps) - 1; i >= 0; i-- {
		for j := len(theirs) - 1; j >= 0 && pairs[i] < 0; j-- {
			if !used[j] && theirs[j].at > steps[i].at && alike(steps[i].changes, theirs[j].changes) {
				pairs[i], used[j] = j, true
			}
		}
	}
}

// The differences up to which two edges were changed by the same amount: mm,
// and degrees of a swing, whose chord depends on the length of the edge.
const (
	alikeWithin = 0.5
	turnWithin  = 0.1
)

// alike reports whether an edge was changed as another was: a change of both is
// of one kind and amount.
func alike(a, b []change.Change) bool {
	for _, x := range a {
		for _, y := range b {
			switch {
			case x.Kind != y.Kind || x.How != y.How:
			case x.Kind == change.EdgeSwung:
				if armsAlike(x, y) && (amountsAlike(x.Turn, y.Turn, turnWithin) || amountsAlike(chordNow(x), chordNow(y), alikeWithin) && chordNow(x) != nil) {
					return true
				}
			case amountsAlike(x.By, y.By, alikeWithin) && amountsAlike(x.Max, y.Max, alikeWithin):
				return true
			case amountsAlike(taperNow(x), taperNow(y), alikeWithin) && taperNow(x) != nil:
				return true
			}
		}
	}
	return false
}

func amountsAlike(a, b *float64, within float64) bool {
	if a == nil || b == nil {
		return a == b
	}
	return math.Abs(*a-*b) <= within
}
