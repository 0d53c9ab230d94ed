package repo

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// doubtful looks after a step that was broken off before it could be noted what
// it did: of what differs since, another program may have made a part. Files that
// are not as the branch's last version has them count as edited, so that they
// are named; a branch that gained a version of another program is left alone, but
// for versions that a branch or a place had before, as a merge brings them.
func (t *taking) doubtful(r *Repo, before place, working Files) error {
	tip, err := r.contentsOfCommit(r.position().tip)
	if err != nil {
		return err
	}
	for _, name := range slices.Concat(t.write.names(), t.remove) {
		content, here := working[name]
		id, kept := tip.files[name]
		if here != kept || here && plumbing.ComputeHash(plumbing.BlobObject, content) != id {
			t.edited = append(t.edited, name)
		}
	}
	slices.Sort(t.edited)
	t.edited = slices.Compact(t.edited)
	return t.leaveOthersVersions(r, before)
}

// leaveOthersVersions refuses to take a version off a branch that another program
// may have made since.
func (t *taking) leaveOthersVersions(r *Repo, before place) error {
	var had []plumbing.Hash
	for _, tips := range []map[string]string{before.Heads, before.There} {
		for _, id := range tips {
			had = append(had, plumbing.NewHash(id))
		}
	}
	for _, m := range t.heads {
		leaving, err := r.onlyIn(m.from, m.to)
		if err != nil {
			return err
		}
		for _, v := range leaving {
			if v.Branch != "" {
				continue
			}
			known, err := r.leadsTo(had, v)
			if err != nil {
				return err
			}
			if !known {
				return fmt.Errorf("%q was broken off, and another program has made version %d of %s since; nothing was changed; take back one version with `toile revert %d`, or go back to an older state with `toile bring-back`",
					Printable(t.command), v.Number, refName(m.ref), v.Number)
			}
		}
	}
	return nil
}

// takeRefs plans where branches and names go back to. One that has moved since
// the step is refused, and so is a version that was sent since.
func (t *taking) takeRefs(r *Repo, before place, made *stepChanges, now place) error {
	var err error
	if t.heads, err = r.takeMap(headsPrefix, before.Heads, made.Heads, now.Heads); err != nil {
		return err
	}
	if t.names, err = r.takeMap(tagsPrefix, before.Names, made.Names, now.Names); err != nil {
		return err
	}
	for _, m := range t.heads {
		if err := r.checkSentSince(m, made.There); err != nil {
			return err
		}
	}
	on := before.Branch
	if made.Branch != nil {
		on = *made.Branch
	}
	if made.Branch != nil && now.Branch == before.Branch {
		return nil
	}
	_, moved := made.Heads[on]
	if now.Branch != on && (made.Branch != nil || moved || len(made.Files) > 0) {
		return fmt.Errorf("the folder was brought to the branch %q by another program since: %w; nothing was changed; go to %q with `toile use %s` first",
			Printable(now.Branch), ErrMoved, Printable(on), Printable(on))
	}
	if made.Branch == nil {
		return nil
	}
	if before.Branch == "" {
		return fmt.Errorf("%q came from a version by itself, which is on no branch; it cannot be taken back; go to a branch with `toile use NAME`", Printable(t.command))
	}
	t.branch = before.Branch
	return t.checkReturn(r, before)
}

// checkReturn refuses to go back to a branch that a git program has removed
// since: the folder would be on a branch without a version.
func (t *taking) checkReturn(r *Repo, before place) error {
	ref, was := headsPrefix+t.branch, before.Heads[t.branch]
	_, found, err := r.readRef(ref)
	if err != nil || found || was == "" || slices.ContainsFunc(t.heads, func(m placeMove) bool { return m.ref == ref }) {
		return err
	}
	return fmt.Errorf("%s, on which the folder was before %q, has been removed by another program since; nothing was changed; make it again with `git branch %s %s`, then undo again",
		refName(ref), Printable(t.command), Printable(t.branch), was[:shownStart])
}

// takeMap plans the moves of branches or names. One that stands for another in
// git goes where that one goes.
func (r *Repo) takeMap(prefix string, before, made, now map[string]string) ([]placeMove, error) {
	var moves []placeMove
	for _, name := range slices.Sorted(maps.Keys(made)) {
		if r.standsForAnother(prefix + name) {
			continue
		}
		switch now[name] {
		case before[name]:
		case made[name]:
			moves = append(moves, placeMove{prefix + name, name, plumbing.NewHash(now[name]), plumbing.NewHash(before[name])})
		default:
			return nil, fmt.Errorf("%s: %w; nothing was changed; %s", refName(prefix+name), ErrMoved, r.movedSince(made[name], now[name]))
		}
	}
	return moves, nil
}

// movedSince says what another program made of a branch or name since it was put on
// a version, and how what that did is taken back all the same.
func (r *Repo) movedSince(made, now string) string {
	const plain = "what was done since would be lost, so take back a version with `toile revert`"
	if made == "" || now == "" {
		return plain
	}
	was, err := r.version(plumbing.NewHash(made))
	if err != nil {
		return plain
	}
	last, err := r.version(plumbing.NewHash(now))
	if err != nil {
		return plain
	}
	if on, err := r.leadsTo([]plumbing.Hash{plumbing.NewHash(now)}, was); err != nil || !on {
		return fmt.Sprintf("version %d (%s) is in the place of what this command made, and would be lost; take back what that did with `toile revert %d`, or go back with `toile bring-back V`",
			last.Number, firstLineOf(last.Text), last.Number)
	}
	return fmt.Sprintf("version %d (%s) was made since and would be lost; what version %d (%s) did is taken back by itself with `toile revert %d`",
		last.Number, firstLineOf(last.Text), was.Number, firstLineOf(was.Text), was.Number)
}

func firstLineOf(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

// checkSentSince refuses to take a version off a branch that others were not
// known to have when the command ended, and are now.
func (r *Repo) checkSentSince(m placeMove, there map[string]string) error {
	dropped, err := r.onlyIn(m.from, m.to)
	if err != nil {
		return err
	}
	var known []plumbing.Hash
	for _, id := range there {
		known = append(known, plumbing.NewHash(id))
	}
	for _, v := range dropped {
		sent, err := r.Sent(v)
		if err != nil {
			return err
		}
		if !sent {
			continue
		}
		was, err := r.leadsTo(known, v)
		if err != nil {
			return err
		}
		if !was {
			return &SentError{Version: v}
		}
	}
	return nil
}

// onlyIn lists the versions that one version builds on and another does not,
// the newest first.
func (r *Repo) onlyIn(in, notIn plumbing.Hash) ([]Version, error) {
	if in.IsZero() {
		return nil, nil
	}
	all, err := r.historyFrom(in)
	if err != nil || notIn.IsZero() {
		return all, err
	}
	others, err := r.historyFrom(notIn)
	if err != nil {
		return nil, err
	}
	has := map[string]bool{}
	for _, v := range others {
		has[v.ID] = true
	}
	return slices.DeleteFunc(all, func(v Version) bool { return has[v.ID] }), nil
}

// Sent reports whether others are known to have a version: it was sent to them,
// may have been, or was received from them.
func (r *Repo) Sent(v Version) (bool, error) {
	there, err := r.elsewhere()
	if err != nil {
		return false, err
	}
	return r.leadsTo(slices.Collect(maps.Values(there)), v)
}

// leadsTo reports whether one of these versions is v or builds on it. Numbers
// only fall from version to parent, so that no older ones are looked at.
func (r *Repo) leadsTo(from []plumbing.Hash, v Version) (bool, error) {
	seen := map[plumbing.Hash]bool{}
	for todo := slices.Clone(from); len(todo) > 0; {
		id := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if seen[id] {
			continue
		}
		seen[id] = true
		w, err := r.version(id)
		if err != nil {
			return false, err
		}
		if w.ID == v.ID {
			return true, nil
		}
		if w.Number > v.Number {
			for _, p := range w.Parents {
				todo = append(todo, plumbing.NewHash(p))
			}
		}
	}
	return false, nil
}
