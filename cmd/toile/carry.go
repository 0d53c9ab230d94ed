package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	lacking, err := o.lacking(p, r)
	if err != nil {
		return alter.Result{}, err
	}
	return alter.Carry(p, r, lacking)
}

// lookingBack finds what was done to edges, from the working pattern back
// along the branch's own line.
type lookingBack struct {
	*opened
	now    *pattern.Pattern
	last   *repo.Version // nil before the first version
	line   []repo.Version
	states map[int]*pattern.Pattern
}

func (o *opened) lookBack(p *pattern.Pattern) (*lookingBack, error) {
	l := &lookingBack{opened: o, now: p, states: map[int]*pattern.Pattern{}}
	var err error
	if l.last, err = o.repo.Last(); err != nil || l.last == nil {
		return l, err
	}
	l.line, err = o.repo.Line(*l.last)
	return l, err
}

// edgeStep is one state in which an edge was changed: the version's place in
// the line, −1 for the working pattern.
type edgeStep struct {
	at      int
	changes []change.Change
}

// lacking finds for each follower of the recipe's edge the last change that it
// lacks.
func (o *opened) lacking(p *pattern.Pattern, r alter.Recipe) ([]alter.Lacking, error) {
	followers, err := alter.FollowersAsked(p, r)
	if err != nil {
		return nil, err
	}
	l, err := o.lookBack(p)
	if err != nil {
		return nil, err
	}
	q, err := p.Piece(r.Piece)
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
		found, err := l.lack(q, q.Edges[i].Name, steps, f)
		if err != nil {
			return nil, err
		}
		lacking = append(lacking, found...)
	}
	return lacking, o.refuseOlder(r, lacking)
}

// refuseOlder asks for a version between two changes that are carried to one
// sewn-to edge: until the first is kept, what it did cannot be told from what
// the second does.
func (o *opened) refuseOlder(r alter.Recipe, lacking []alter.Lacking) error {
	sewn := slices.IndexFunc(lacking, func(l alter.Lacking) bool { return l.Why == alter.Sewn })
	if sewn < 0 {
		return nil
	}
	now, err := o.digest(o.Pattern)
	if err != nil {
		return err
	}
	p, err := o.pending(now)
	if err != nil {
		return err
	}
	for _, m := range p.Made {
		if m.Kind == "carry" && m.Piece == r.Piece && m.Values["edge"] == r.Values["edge"] && (m.Values["to"] == "" || m.Values["to"] == lacking[sewn].Piece) {
			return fmt.Errorf("%s, %q: a change of it was carried to %s since the last version; keep that with `toile commit`, then carry the one before it", r.Piece, r.Values["edge"], lacking[sewn].Follower)
		}
	}
	return nil
}

// lack is what one follower lacks: nothing, or one change.
func (l *lookingBack) lack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	switch f.Why {
	case alter.Banded:
		if f.BandLacks(l.now) {
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
	theirs, err := l.steps(follower, f.Edge)
	if err != nil {
		return nil, err
	}
	if s := unmatched(steps, theirs); s != nil {
		return []alter.Lacking{{Follower: f, Changes: s.changes}}, nil
	}
	return nil, nil
}

// layerLack looks for the last change of the edge before which the inner piece
// lay along it, and neither right after it nor now.
func (l *lookingBack) layerLack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	for _, s := range steps {
		lacking, err := l.beforeStep(s.at, f)
		if err != nil {
			return nil, err
		}
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
		lacking.Changes = s.changes
		return []alter.Lacking{lacking}, nil
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
	if l.last == nil {
		return nil, nil
	}
	before, err := l.state(0)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.ID == q.ID && q.ID != "" })
	if i < 0 {
		i = slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.Name == q.Name })
	}
	if i < 0 {
		return nil, nil // drafted since
	}
	d, err := diff.Pieces(before.Pieces[i], q, l.now)
	if err != nil {
		return nil, err
	}
	var found []edgeStep
	add := func(at int, d change.PieceDiff) {
		then := diff.EdgeThen(d, edge)
		if changes := changesOf(d, then); len(changes) > 0 {
			found = append(found, edgeStep{at, changes})
		}
		edge = then
	}
	add(-1, d)
	kept, err := l.pieceSteps(before.Pieces[i].Name)
	if err != nil {
		return nil, err
	}
	for _, s := range kept {
		if edge == "" || s.before == nil || s.now == nil {
			break
		}
		add(s.at, s.said)
	}
	return found, nil
}

// changesOf lists the changes of an edge that can be carried.
func changesOf(d change.PieceDiff, edge string) []change.Change {
	var found []change.Change
	for _, ch := range d.Changes {
		if edge != "" && slices.Contains(carried, ch.Kind) && (slices.Contains(ch.Edges, edge) || slices.Contains(ch.Moved, edge)) {
			found = append(found, ch)
		}
	}
	return found
}

// unmatched is the last change of an edge that the edge sewn to it lacks. It
// has followed where it changed in the same version, or later by the same.
func unmatched(steps, theirs []edgeStep) *edgeStep {
	pairs := followedIn(steps, theirs)
	for i := range steps {
		if pairs[i] < 0 && len(steps[i].changes) > 0 {
			return &steps[i]
		}
	}
	return nil
}

// followedIn pairs each step of an edge with the step of a sewn-to edge that
// follows it, or that it follows; −1 for none.
func followedIn(steps, theirs []edgeStep) []int {
	used := make([]bool, len(theirs))
	pairs := make([]int, len(steps))
	for i := range steps {
		s := &steps[i]
		s.changes = slices.DeleteFunc(s.changes, func(ch change.Change) bool {
			return ch.Kind == change.CornerRounded || ch.Kind == change.CornerRestored
		})
		k := slices.IndexFunc(theirs, func(t edgeStep) bool { return t.at == s.at && len(t.changes) > 0 })
		if k < 0 || used[k] {
			k = -1
			for j := len(theirs) - 1; j >= 0 && k < 0; j-- {
				if !used[j] && theirs[j].at < s.at && alike(s.changes, theirs[j].changes) {
					k = j
				}
			}
		}
		if pairs[i] = k; k >= 0 {
			used[k] = true
		}
	}
	pairFollowers(steps, theirs, pairs, used)
	return pairs
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
				if amountsAlike(x.Turn, y.Turn, turnWithin) {
					return true
				}
			case amountsAlike(x.By, y.By, alikeWithin) && amountsAlike(x.Max, y.Max, alikeWithin):
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

// notCaughtUp leaves out of what has not followed a change since the last
// version what that change only followed itself.
func (o *opened) notCaughtUp(all []change.NotFollowed, now *pattern.Pattern) ([]change.NotFollowed, error) {
	l, err := o.lookBack(now)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(n change.NotFollowed) bool {
		piece, edge, _ := strings.Cut(n.Of, "/")
		return n.Edge != "" && !n.Mismatch && l.caughtUp(piece, edge, n.Piece, n.Edge)
	}), nil
}

// caughtUp reports whether an edge that changed since the last version only
// followed an older change of the edge sewn to it: that one has nothing to
// follow then.
func (l *lookingBack) caughtUp(piece, edge, sewnTo, its string) bool {
	steps := func(name, edge string) []edgeStep {
		q, err := l.now.Piece(name)
		if err != nil {
			return nil
		}
		found, err := l.steps(q, edge)
		if err != nil {
			return nil
		}
		return found
	}
	older, newer := steps(sewnTo, its), steps(piece, edge)
	for i, k := range followedIn(older, newer) {
		if k >= 0 && newer[k].at == -1 && older[i].at >= 0 {
			return true
		}
	}
	return false
}
