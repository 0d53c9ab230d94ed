package main

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// What several alterations of one version did to an edge cannot always be told
// from its line before and after: a taper of an edge that was cut for a hem
// besides is one line with other figures. The alterations are known, however, by
// their recipes. Made again one after the other they give the stages of the
// pattern in between, and from each stage to the next one alteration alone is told.

// stageKey is a state of the pattern: a version, or the one in memory.
type stageKey struct {
	version string
	now     *pattern.Pattern
}

// mostStaged is how many versions back, of those that changed an edge, are looked
// at alteration by alteration.
const mostStaged = 6

// stages are the states that alterations led through, from the one before a step
// of the line to the one after it. It is nil where these are not known: they were
// not made by alterations alone, or made again they lead to another pattern. The error
// says what could not be read.
func (l *lookingBack) stages(at int) ([]*pattern.Pattern, error) {
	if at == -1 && l.staged != nil {
		return l.staged, nil
	}
	key := stageKey{now: l.now}
	if l.last != nil {
		key.version = l.last.ID
	}
	if at >= 0 {
		key = stageKey{version: l.line[at].ID}
	}
	if found, ok := l.opened.stagesOf[key]; ok {
		return found, nil
	}
	found, err := l.madeAgain(at)
	if err != nil {
		return nil, err
	}
	if l.opened.stagesOf == nil {
		l.opened.stagesOf = map[stageKey][]*pattern.Pattern{}
	}
	l.opened.stagesOf[key] = found
	return found, nil
}

// step is one alteration of several.
type step struct {
	recipe alter.Recipe
	before string // the digest of the pieces that it was made on, where it is known
	// start makes the pattern that it was made on, where that is another than the
	// one before left.
	start func(base *pattern.Pattern) (*pattern.Pattern, error)
}

// madeAgain makes the alterations of a step again: each on the pieces as files hold
// those that the one before it left, for so the commands found them, else as they came
// out, for so several of one command did.
func (l *lookingBack) madeAgain(at int) ([]*pattern.Pattern, error) {
	if at+1 >= len(l.line) {
		return nil, nil
	}
	steps, target, err := l.madeAt(at)
	if err != nil || len(steps) == 0 {
		return nil, err
	}
	base, err := l.state(at + 1)
	if err != nil {
		return nil, err
	}
	stages, alike, err := l.replayed(at, base, target, steps, true)
	if !alike && len(steps) > 1 && err == nil {
		if exact, ok, err := l.replayed(at, base, target, steps, false); ok || err != nil {
			return exact, err
		}
	}
	return stages, err
}

// replayed makes the alterations of a step again, and says whether they lead to what
// they did. There are no stages where one cannot be made any more, as by a later
// version of the program.
func (l *lookingBack) replayed(at int, base, target *pattern.Pattern, steps []step, stored bool) (stages []*pattern.Pattern, alike bool, err error) {
	stages = []*pattern.Pattern{base}
	for i, s := range steps {
		if s.start != nil {
			p, err := s.start(base)
			if err != nil {
				return nil, false, err
			}
			stages = append(stages, p)
		}
		on, err := l.digest(stages[len(stages)-1])
		if err != nil || s.before != "" && on != s.before {
			return nil, false, err
		}
		next, err := l.nextStages(at, stages, s.recipe)
		if err == nil && stored {
			err = l.asStored(next)
		}
		if err != nil && i+1 == len(steps) && at >= 0 {
			return append(stages, target), true, nil // it is what the last one led to
		}
		if err == nil {
			next[len(next)-1], err = l.startedFrom(next[len(next)-1], nil) // as it was kept, and read for the one after
		}
		if err != nil {
			return nil, false, nil
		}
		stages = append(stages, next...)
	}
	return l.leadTo(at, stages, target, len(steps))
}

// leadTo ends stages with what the alterations led to.
func (l *lookingBack) leadTo(at int, stages []*pattern.Pattern, target *pattern.Pattern, steps int) (ended []*pattern.Pattern, alike bool, err error) {
	made, err := l.digest(stages[len(stages)-1])
	if err != nil {
		return nil, false, err
	}
	is, err := l.digest(target)
	switch {
	case err != nil:
		return nil, false, err
	case made != is && at >= 0 && steps == 1:
		return []*pattern.Pattern{stages[0], target}, true, nil
	case made != is && (at >= 0 || !l.working):
		return nil, false, nil
	case made != is: // the pieces were changed by other means since
		return append(stages, target), false, nil
	}
	stages[len(stages)-1] = target
	return stages, true, nil
}

// asStored has patterns be as files hold them.
func (l *lookingBack) asStored(all []*pattern.Pattern) error {
	for k, p := range all {
		files, err := l.reader.Encode(p.Clone())
		if err != nil {
			return err
		}
		if all[k], err = l.reader.DecodeKept(files); err != nil {
			return err
		}
	}
	return nil
}

// nextStages makes one alteration on the last of the stages after a version. A carry
// of several alterations has a stage for each.
func (l *lookingBack) nextStages(at int, stages []*pattern.Pattern, r alter.Recipe) (next []*pattern.Pattern, err error) {
	p := stages[len(stages)-1]
	if r.Kind != "carry" {
		result, err := alter.Make(p, r)
		return []*pattern.Pattern{result.Pattern}, err
	}
	reach := 2 * mostStaged
	if l.until > 0 {
		reach = l.until
	}
	then := &lookingBack{opened: l.opened, now: p, last: &l.line[at+1], line: l.line[at+1:], states: map[int]*pattern.Pattern{}, staged: stages, until: max(1, reach-at-1)}
	lacking, err := then.lacking(r)
	if err != nil {
		return nil, err
	}
	several := len(lacking) == 1 && lacking[0].Apart
	for k := 1; several && k < len(lacking[0].Changes); k++ {
		first := lacking[0]
		first.Changes, first.More = first.Changes[:k], true
		result, err := alter.Carry(p, r, []alter.Lacking{first})
		if err != nil {
			break // what it is part of is made all the same
		}
		next = append(next, result.Pattern)
	}
	result, err := alter.Carry(p, r, lacking)
	return append(next, result.Pattern), err
}

// madeAt are the alterations of a step, and the pattern that they led to; none
// where pieces of a version were changed by other means too.
func (l *lookingBack) madeAt(at int) ([]step, *pattern.Pattern, error) {
	if at == -1 {
		steps, err := l.madeNow()
		return steps, l.now, err
	}
	v := l.line[at]
	if len(v.Parents) != 1 || v.Parents[0] != l.line[at+1].ID {
		return nil, nil, nil
	}
	kept, err := l.recipesOf(v)
	if err != nil || slices.ContainsFunc(kept.List, func(r pattern.Recipe) bool { return r.Edited }) {
		return nil, nil, nil // without them it is told from the outlines
	}
	target, err := l.state(at)
	if err != nil {
		return nil, nil, err
	}
	var steps []step
	for _, r := range kept.List {
		steps = append(steps, step{recipe: r})
	}
	return steps, target, nil
}

// madeNow are the alterations made since the last version, those of the running
// command among them, that led to the pattern that is looked back from.
func (l *lookingBack) madeNow() (steps []step, err error) {
	last, err := l.repo.Last()
	if err != nil || last == nil || l.last == nil || last.ID != l.last.ID {
		return nil, err
	}
	now, err := l.digest(l.now)
	if err != nil {
		return nil, err
	}
	before, made := now, slices.Clone(l.made)
	if len(made) > 0 {
		before = made[0].Before
	}
	p, err := l.pending(before)
	if err != nil {
		return nil, err
	}
	if len(made) > 0 && made[0].Start == nil {
		if made[0].Start, err = l.startNow(p); err != nil {
			return nil, err
		}
	}
	p.Made = append(p.Made, made...)
	p.settle(now)
	for _, m := range p.Made {
		s := step{recipe: m.recipe(), before: m.Before}
		if m.Start != nil {
			s.start = func(base *pattern.Pattern) (*pattern.Pattern, error) { return l.startedFrom(base, m.Start) }
		}
		steps = append(steps, s)
	}
	return steps, nil
}

// startedFrom is a version's pattern with other files in place of some of its own.
func (l *lookingBack) startedFrom(base *pattern.Pattern, start map[string]*string) (*pattern.Pattern, error) {
	files, err := base.Clone().Encode()
	if err != nil {
		return nil, err
	}
	for name, text := range start {
		if delete(files, name); text != nil {
			files[name] = []byte(*text)
		}
	}
	return l.reader.DecodeKept(files)
}

// stagedChanges are what the alterations of a step did to an edge of a piece, the
// oldest first: each by itself, without what its ends were cut or run on by to meet
// a neighbour where it changed itself. ok is false
// where that cannot be told. beside are all changes of the piece.
func (l *lookingBack) stagedChanges(at int, q *pattern.Piece, edge string) (found, beside []change.Change, ok bool, err error) {
	stages, err := l.stages(at)
	if len(stages) < 2 || err != nil {
		return nil, nil, false, err
	}
	var fold geom.Path
	for k := len(stages) - 1; k > 0; k-- {
		now := pieceAsIn(stages[k], q)
		if now == nil {
			return nil, nil, false, nil
		}
		i, splitOff := continued(stages[k-1], now)
		if i < 0 {
			break // it came to be here
		}
		if anyGone(stages[k-1], stages[k]) && !sameLines(stages[k-1].Pieces[i], now) {
			return nil, nil, false, nil // that one was joined to it
		}
		d, err := l.betweenStages(stages[k-1], stages[k], stages[k-1].Pieces[i], now)
		if err != nil {
			return nil, nil, false, err
		}
		if splitOff && d.State != change.Split {
			break // one half of what was a pair came to be here
		}
		then, called := edgeCalled(d, edge)
		found = append(acrossFold(ownOf(followable(changesOf(d, called), called)), fold), found...)
		beside = append(slices.Clone(d.Changes), beside...)
		if image := d.HalfOfImage(edge); image != "" {
			then, fold = image, d.Unfolded()
		}
		if edge, q = then, stages[k-1].Pieces[i]; edge == "" {
			break
		}
	}
	return found, beside, true, nil
}

// anyGone reports whether a pattern no longer has a piece of an earlier state.
func anyGone(then, now *pattern.Pattern) bool {
	return slices.ContainsFunc(then.Pieces, func(q *pattern.Piece) bool { return pieceAsIn(now, q) == nil })
}

// followable leaves out of an edge's changes what an edge sewn to it does not follow:
// the rounding of corners, and that it moved as one with a part that was spread.
func followable(changes []change.Change, edge string) []change.Change {
	return slices.DeleteFunc(withoutCorners(changes), func(ch change.Change) bool {
		return ch.Kind == change.Spread && !slices.Contains(ch.Edges, edge)
	})
}

// pieceAsIn is a piece as another pattern has it, nil where it has none.
func pieceAsIn(p *pattern.Pattern, q *pattern.Piece) *pattern.Piece {
	k := slices.IndexFunc(p.Pieces, func(other *pattern.Piece) bool { return sameKept(other, q) })
	if k < 0 {
		return nil
	}
	return p.Pieces[k]
}

// summedUp adds up changes of one sort: moves at equal distance, tapers, runs at
// one end, swings about one point. What comes to nothing is left out.
func summedUp(changes []change.Change) []change.Change {
	var sums []change.Change
	for _, ch := range changes {
		added := false
		for k := range sums {
			if sum, ok := plus(sums[k], ch); ok {
				sums[k], added = sum, true
				break
			}
		}
		if !added {
			sums = append(sums, ch)
		}
	}
	return slices.DeleteFunc(sums, comesToNothing)
}

// plus is a change and a later one of the same edge in one; not ok where they are
// of different sorts.
func plus(a, b change.Change) (sum change.Change, ok bool) {
	if a.Kind != b.Kind || a.How != b.How || a.By == nil || b.By == nil || len(a.OldPath) == 0 || len(b.OldPath) == 0 {
		return a, false
	}
	sum = a
	sum.NewPath = b.NewPath
	sum.By = change.Amount(*a.By + *b.By)
	sum.Says, sum.Smoothed = "", max(a.Smoothed, b.Smoothed)
	switch {
	case a.Kind == change.EdgeMoved && a.How == change.HowParallel:
		return sum, true
	case a.Kind == change.EdgeMoved && a.How == change.HowTapered && a.Ends != nil && b.Ends != nil:
		sum.Ends = &[2]float64{a.Ends[0] + b.Ends[0], a.Ends[1] + b.Ends[1]}
		return sum, true
	case a.Kind == change.EdgeRun && a.At != nil && b.At != nil:
		return sum, farEnd(a) == farEnd(b)
	case a.Kind == change.EdgeSwung && a.Turn != nil && b.Turn != nil:
		sum.Turn = change.Amount(*a.Turn + *b.Turn)
		return sum, farEnd(a) == farEnd(b) && math.Abs(heldOf(a)-heldOf(b)) <= alikeWithin
	}
	return a, false
}

// farEnd is the end of its edge that a run or a swing is at: 0 the start.
func farEnd(ch change.Change) int {
	if ch.At != nil && ch.At.Point().Dist(ch.OldPath.End()) < ch.At.Point().Dist(ch.OldPath.Start()) {
		return 1
	}
	return 0
}

// heldOf is how many mm of an edge that was swung stay, from the end that stays.
func heldOf(ch change.Change) float64 {
	if ch.Pivot == nil {
		return 0
	}
	at, _ := ch.OldPath.Nearest(ch.Pivot.Point())
	if farEnd(ch) == 1 {
		return ch.OldPath.LengthTo(at)
	}
	return ch.OldPath.Length() - ch.OldPath.LengthTo(at)
}

// comesToNothing reports whether a change is too small to be one.
func comesToNothing(ch change.Change) bool {
	const nothing = 0.05 // mm
	switch {
	case ch.Ends != nil:
		return math.Abs(ch.Ends[0]) < nothing && math.Abs(ch.Ends[1]) < nothing
	case ch.Kind == change.EdgeSwung && ch.Turn != nil:
		return math.Abs(*ch.Turn) < turnWithin/10
	case ch.Kind == change.EdgeRedrawn || ch.By == nil:
		return false
	}
	return math.Abs(*ch.By) < nothing
}

// recently looks back not much further than versions are looked at alteration by
// alteration.
func (l *lookingBack) recently() *lookingBack {
	short := *l
	short.until, short.found = 2*mostStaged, nil
	return &short
}

// setApart looks what alterations did to an edge at a step, where its line before
// and after may tell it otherwise. nth counts the steps from the latest.
func (l *lookingBack) setApart(s *edgeStep, q *pattern.Piece, edge string, nth int) error {
	only := len(s.changes) > 0 && onlyRuns(s.changes) // with no figures that those could be mixed with
	if nth < mostStaged && (l.until == 0 || s.at < l.until) && (s.at == -1 || !only) {
		own, beside, ok, err := l.stagedChanges(s.at, q, edge)
		if err != nil {
			return err
		}
		if ok {
			s.own, s.beside, s.apart = own, beside, true
			return nil
		}
	}
	if only {
		s.own, s.apart = s.changes, true
	}
	return nil
}

// sewnSteps are steps as an edge sewn to this one has to follow them.
func sewnSteps(steps []edgeStep) []edgeStep {
	sewn := slices.Clone(steps)
	for i := range sewn {
		if sewn[i].apart {
			sewn[i].changes = sewn[i].own
		}
	}
	return sewn
}
