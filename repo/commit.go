package repo

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// CommitOptions say what a version carries besides its files.
type CommitOptions struct {
	Text    string    // what changed and why; may not be empty
	Author  Author    // DefaultAuthor("") if it has no name
	Time    time.Time // now if zero; its offset is kept
	Fitting int       // the fitting this version was sewn for, 0 if none
	Answers []string  // notes it answers, such as 2.1
	// Merges are further parents: ids of the versions it takes in besides the
	// last one of the branch.
	Merges []string
	// Same are further files of the new version, which stay as the last one has
	// them: under a lock within which Folder or Working found them so.
	Same []string
	// Beside are the files beside the pattern's own as MergeBeside put them
	// together, nil where they are those of the version before.
	Beside *Beside
}

// commitPlan is a version before anything is written.
type commitPlan struct {
	ref     string
	parent  plumbing.Hash // zero for the first version
	drafts  []draft       // in the order they must be stored, the commit last
	id      plumbing.Hash
	before  *contents
	now     *contents
	files   Files
	same    map[string]plumbing.Hash // further files, as the version before has them
	removed []string                 // working files to be taken away
}

// Commit keeps files, the whole new pattern, as the next version of the current
// branch, and brings the working folder and git's index to it. Files outside
// the layout are carried over from the version before. It takes the lock itself
// if the caller does not hold it; a caller that read the files to build on holds
// it from before that reading. Then a branch that another program has moved
// since, or a file that an editor has saved, is an error (ErrMoved) and not
// overwritten. ErrNothingChanged if the files are those of the last version;
// git's index is brought to it then, where an earlier command could not.
//
// On an error nothing else has changed. Warnings has what went wrong after the
// version was safe.
func (r *Repo) Commit(files Files, o CommitOptions) (Version, error) {
	unlock, err := r.Lock()
	if err != nil {
		return Version{}, err
	}
	defer unlock()
	if err := r.checkReady(); err != nil {
		return Version{}, err
	}
	p, err := r.planCommit(files.complete(), o)
	if err != nil {
		return Version{}, err
	}
	if err := r.carryOut(p); err != nil {
		return Version{}, err
	}
	return r.version(p.id)
}

// Unfinished says what a git program is in the middle of, so that files may hold
// the marks of its conflicts; nil where it is not.
func (r *Repo) Unfinished() error { return r.checkUnfinished() }

// checkUnfinished refuses where a git program is in the middle of something
// that a new version would spoil.
func (r *Repo) checkUnfinished() error {
	for _, begun := range [][2]string{{"MERGE_HEAD", "merge"}, {"CHERRY_PICK_HEAD", "cherry-pick"}, {"REVERT_HEAD", "revert"},
		{"rebase-merge", "rebase"}, {"rebase-apply", "rebase"}} {
		if exists(r.path(begun[0])) {
			return fmt.Errorf("git has begun to join or replay versions here and has not finished (.git/%s); finish that with git, or drop it with `git %s --abort`", begun[0], begun[1])
		}
	}
	return nil
}

// checkPosition refuses to build on a branch that moved after the lock was taken.
func (r *Repo) checkPosition(branch string, tip plumbing.Hash) error {
	if now := (position{branch: branch, tip: tip}); r.held.position != now {
		return fmt.Errorf("the branch %q: %w; run the command again", Printable(branch), ErrMoved)
	}
	return nil
}

func (r *Repo) planCommit(files Files, o CommitOptions) (*commitPlan, error) {
	if err := files.checkWith(o.Same); err != nil {
		return nil, err
	}
	branch, tip, err := r.tip()
	if err != nil {
		return nil, err
	}
	if err := r.checkPosition(branch, tip); err != nil {
		return nil, err
	}
	p := &commitPlan{ref: headsPrefix + branch, parent: tip, files: files}
	if p.before, err = r.contentsOfCommit(tip); err != nil {
		return nil, err
	}
	if p.same, err = r.stays(o.Same, p.before); err != nil {
		return nil, err
	}
	var top plumbing.Hash
	p.now, p.drafts, top = o.Beside.over(p.before).plan(files, p.same)
	p.drafts = slices.Concat(o.Beside.newObjects(), p.drafts)
	if !tip.IsZero() && p.now.same(p.before) && len(o.Merges) == 0 && !o.Beside.Changes() {
		r.refreshIndex(tip, p.before)
		return nil, fmt.Errorf("%w; there is nothing to commit", ErrNothingChanged)
	}
	if p.removed, err = r.leftOver(p.now, p.before); err != nil {
		return nil, err
	}
	record, err := r.record(branch, tip, top, o)
	if err != nil {
		return nil, err
	}
	p.drafts = append(p.drafts, record)
	p.id = record.id
	return p, nil
}

// record is the commit object.
func (r *Repo) record(branch string, tip, top plumbing.Hash, o CommitOptions) (draft, error) {
	message, err := note{text: o.Text, branch: branch, fitting: o.Fitting, answers: o.Answers}.encode()
	if err != nil {
		return draft{}, err
	}
	parents, err := r.parents(tip, o.Merges)
	if err != nil {
		return draft{}, err
	}
	author := o.Author
	if author.clean().Name == "" {
		author = r.DefaultAuthor("")
	}
	when := o.Time
	if when.IsZero() {
		when = time.Now()
	}
	content, err := encodeCommit(top, parents, author, when, message)
	if err != nil {
		return draft{}, err
	}
	return newDraft(plumbing.CommitObject, content), nil
}

func (r *Repo) parents(tip plumbing.Hash, merges []string) ([]plumbing.Hash, error) {
	var parents []plumbing.Hash
	if !tip.IsZero() {
		parents = append(parents, tip)
	}
	for _, text := range merges {
		id, err := r.idOf(Version{ID: text})
		if err != nil {
			return nil, err
		}
		if _, err := r.commit(id); err != nil {
			return nil, err
		}
		if slices.Contains(parents, id) {
			return nil, errors.New("a version cannot be merged with itself")
		}
		parents = append(parents, id)
	}
	return parents, nil
}

// leftOver lists the working files that the new version does not have. They are
// to go, but only if the command has read them (under the lock) or the last
// version holds them: nothing that was never kept is removed unseen.
func (r *Repo) leftOver(now, last *contents) ([]string, error) {
	names, err := r.workingNames()
	if err != nil {
		return nil, err
	}
	var gone []string
	for _, name := range names {
		if _, kept := now.files[name]; kept {
			continue
		}
		if r.held.seen == nil {
			content, _, err := r.readWorking(name)
			if err != nil {
				return nil, err
			}
			if plumbing.ComputeHash(plumbing.BlobObject, content) != last.files[name] {
				return nil, fmt.Errorf("%s is in the folder and not in the new version; move it away, or run the command again to take it in", name)
			}
		}
		gone = append(gone, name)
	}
	return gone, nil
}

// heldBefore is the version that the folder held before it is brought to the
// planned one: the last one where it was just that, as before a merge, so that a
// command that dies amid the files can be taken back; else the planned one, for
// what somebody wrote stays.
func (r *Repo) heldBefore(p *commitPlan) plumbing.Hash {
	if !p.parent.IsZero() && maps.Equal(r.held.seen, p.before.files) {
		return p.parent
	}
	return p.id
}

// carryOut writes a planned version, in the order that doc.go gives.
func (r *Repo) carryOut(p *commitPlan) error {
	defer r.settled()
	err := r.beforeStoring(true, p.drafts, r.journalOf(r.heldBefore(p), p.id,
		announced{path: p.ref + ".lock", content: []byte(p.id.String() + "\n")}, announcedIndex()))
	if err != nil {
		return err
	}
	work, err := r.planKeeping(p.files, p.same, p.removed)
	if err != nil {
		return err
	}
	defer work.discard()
	if err := work.carryOthers(p.parent, p.before, p.now, false); err != nil {
		return err
	}
	index := r.lockIndex()
	defer index.release()
	defer index.prepare(p.before, p.now, work)()
	err = r.moveRefWith(index.syncs(), p.ref, p.parent, p.id, func() (func(), error) {
		if branch, _, err := r.head(); err != nil || headsPrefix+branch != p.ref {
			return nil, errors.Join(err, fmt.Errorf("the folder is on another branch: %w; run the command again", ErrMoved))
		}
		return work.undo, work.apply()
	})
	if err != nil {
		return err
	}
	work.noteSeen()
	r.held.position.tip = p.id
	index.write("the version is kept", p.before, p.now, work.stats)
	if _, err := r.number(p.id); err == nil {
		r.table.rows[p.id].count(p.before, p.now)
		r.saveTable()
	}
	r.advisePacking(time.Now())
	return nil
}
