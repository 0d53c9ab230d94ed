package repo

import (
	"errors"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// Shared finds the last versions that two versions both go back to, either of
// them included, the highest number first: none where they have nothing in
// common, one nearly always, more where branches were merged crosswise. Of
// those, none goes back to another.
func (r *Repo) Shared(a, b Version) ([]Version, error) {
	of, err := r.lineage(a)
	if err != nil {
		return nil, err
	}
	others, err := r.lineage(b)
	if err != nil {
		return nil, err
	}
	// A shared version is not among the last ones just when it is a parent of
	// another shared one: all that a shared version goes back to is shared.
	earlier := map[plumbing.Hash]bool{}
	for id := range of {
		if _, both := others[id]; both {
			for _, parent := range of[id] {
				earlier[parent] = true
			}
		}
	}
	var last []Version
	for id := range of {
		if _, both := others[id]; both && !earlier[id] {
			v, err := r.version(id)
			if err != nil {
				return nil, err
			}
			last = append(last, v)
		}
	}
	slices.SortFunc(last, newestFirst)
	return last, nil
}

// lineage lists a version and all it goes back to, each with its parents.
func (r *Repo) lineage(v Version) (map[plumbing.Hash][]plumbing.Hash, error) {
	id, err := r.idOf(v)
	if err != nil {
		return nil, err
	}
	of := map[plumbing.Hash][]plumbing.Hash{}
	for todo := []plumbing.Hash{id}; len(todo) > 0; {
		id := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if _, seen := of[id]; seen {
			continue
		}
		c, err := r.commit(id)
		if err != nil {
			return nil, err
		}
		of[id] = c.ParentHashes
		todo = append(todo, c.ParentHashes...)
	}
	return of, nil
}

// Forward moves the current branch on to a version that goes back to its last
// one, and the folder with it, so that nothing is merged. What the folder holds
// must be in a version: the error is else an *UnsavedError.
func (r *Repo) Forward(to Version) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := r.checkReady(); err != nil {
		return err
	}
	branch, tip, err := r.tip()
	if err != nil {
		return err
	}
	if err := r.checkPosition(branch, tip); err != nil {
		return err
	}
	of, err := r.lineage(to)
	if err != nil {
		return err
	}
	if _, leads := of[tip]; !leads || to.ID == tip.String() {
		return errors.New("that version does not build on the branch's last one; merge it")
	}
	p := &commitPlan{ref: headsPrefix + branch, parent: tip, id: plumbing.NewHash(to.ID)}
	if err := r.planForward(p, to); err != nil {
		return err
	}
	return r.carryOut(p)
}

// planForward fills in what the folder holds and is to hold.
func (r *Repo) planForward(p *commitPlan, to Version) error {
	var err error
	if p.before, err = r.contentsOfCommit(p.parent); err != nil {
		return err
	}
	folder, err := r.Folder()
	if err != nil {
		return err
	}
	if names := dirty(&contents{files: folder.ids}, p.before); len(names) > 0 {
		return &UnsavedError{Names: names}
	}
	if p.now, err = r.contentsOfCommit(p.id); err != nil {
		return err
	}
	if p.files, err = r.Read(to); err != nil {
		return err
	}
	p.removed = absent(folder.ids, p.files)
	return nil
}
