package main

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/alter"
)

// latestOnly leaves out of what sewn-to edges lack the changes that were kept in a
// version, where others lack one made since: that one is carried, and with it no
// older one that nobody has asked for.
func latestOnly(lacking []alter.Lacking) []alter.Lacking {
	sewn := func(l alter.Lacking) bool { return l.Why == alter.Sewn }
	if !slices.ContainsFunc(lacking, func(l alter.Lacking) bool { return sewn(l) && !l.Older }) {
		return lacking
	}
	return slices.DeleteFunc(lacking, func(l alter.Lacking) bool { return sewn(l) && l.Older })
}

// refuseOlder asks for a version between two changes that are carried to one
// sewn-to edge: until the first is kept, what it did cannot be told from what
// the second does.
// Where the edge was altered since the last version, changed, older ones are named
// and not carried: nobody has asked for them.
func (o *opened) refuseOlder(r alter.Recipe, lacking []alter.Lacking, changed bool) error {
	sewn := slices.IndexFunc(lacking, func(l alter.Lacking) bool { return l.Why == alter.Sewn && l.Older })
	if sewn < 0 {
		return nil
	}
	if l := lacking[sewn]; changed && !slices.ContainsFunc(lacking, func(l alter.Lacking) bool { return l.Why != alter.Sewn || !l.Older }) {
		return fmt.Errorf("%s, %q: of what was altered since the last version %s lacks nothing, %w; what it lacks is of version %d: %s; if that is wanted too, keep the pattern with `toile commit` and carry again",
			r.Piece, r.Values["edge"], l.Follower, alter.ErrNothingToCarry, l.Version, l.Changes[0].Says)
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

// refusePart says, where an edge has nothing that the edge sewn to it lacks, that what
// it was given is a part of what that one was given before, and how the rest comes
// over.
func (l *lookingBack) refusePart(r alter.Recipe, q *pattern.Piece, edge string, steps []edgeStep, followers []alter.Follower) error {
	for _, f := range followers {
		other, err := l.now.Piece(f.Piece)
		if f.Why != alter.Sewn || err != nil || alter.BesideUnderOuter(l.now, q.Name, f.Piece) {
			continue
		}
		theirs, err := l.steps(other, f.Edge)
		if err != nil {
			return err
		}
		rest := unmatched(sewnSteps(theirs), steps, f.Fits(l.now), never)
		if rest == nil || !rest.part || !slices.ContainsFunc(steps, func(s edgeStep) bool { return s.at < rest.at && !onlyRuns(s.changes) }) {
			continue
		}
		return fmt.Errorf("%s, %q: what it was given is a part of what %s was given in version %d, and %w that way; the rest of that comes over with `toile alter carry %q %q --to %q`",
			r.Piece, edge, f, l.line[rest.at].Number, alter.ErrNothingToCarry, f.Piece, f.Edge, q.Name)
	}
	return nil
}
