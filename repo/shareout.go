package repo

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// Outgoing is everything that somebody at a place will be able to see.
type Outgoing struct {
	Place    Place
	Branches []string
	Names    []string
	Versions []Version
	Persons  []string // who made the versions, as stored, with addresses
	// Files are the files in any of the versions, also those that later ones no
	// longer have: the pattern's, and others that were committed with git.
	Files, Others []string
}

// Unseen is what would go for the first time to a place that has been agreed to.
type Unseen struct {
	Branches []string
	Files    []string // fittings, and files that are not the pattern's
}

func (u Unseen) none() bool { return len(u.Branches)+len(u.Files) == 0 }

// Outgoing lists what Send would show to a place.
func (r *Repo) Outgoing(p Place, x Exchange) (Outgoing, error) {
	out := Outgoing{Place: p}
	branches, names, err := r.toSend(x)
	if err != nil {
		return out, err
	}
	tips := slices.Collect(maps.Values(branches)) // names are given to versions that these build on
	if out.Versions, err = r.historyFrom(tips...); err != nil {
		return out, err
	}
	if _, err := r.outgoing(tips, nil); err != nil { // what others would refuse is said before anything is asked
		return out, err
	}
	out.Branches, out.Names = keys(branches), keys(names)
	persons, files, others := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, v := range out.Versions {
		c, err := r.commit(plumbing.NewHash(v.ID))
		if err != nil {
			return out, err
		}
		for _, s := range []struct{ name, mail string }{{c.Author.Name, c.Author.Email}, {c.Committer.Name, c.Committer.Email}} {
			persons[Printable(strings.TrimSpace(s.name+" <"+s.mail+">"))] = true
		}
		in, err := r.contentsOf(c.TreeHash)
		if err != nil {
			return out, err
		}
		for name := range in.files {
			files[name] = true
		}
		if err := r.addOthers(others, in); err != nil {
			return out, fmt.Errorf("version %d: %w", v.Number, err)
		}
	}
	out.Persons, out.Files, out.Others = slices.Sorted(maps.Keys(persons)), slices.Sorted(maps.Keys(files)), slices.Sorted(maps.Keys(others))
	return out, nil
}

// addOthers adds the paths of a version's files that are not the pattern's, fit
// to be shown.
func (r *Repo) addOthers(to map[string]bool, in *contents) error {
	for folder, entries := range in.others {
		for _, e := range entries {
			if err := r.addOther(to, folder, e); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *Repo) addOther(to map[string]bool, folder string, e treeEntry) error {
	path := e.name
	if folder != "" {
		path = folder + "/" + e.name
	}
	if !e.isFolder() {
		to[Printable(path)] = true
		return nil
	}
	inside, err := r.tree(e.id)
	if err != nil {
		return err
	}
	for _, f := range inside {
		if f.isFolder() { // others would refuse it, and sending says so
			to[Printable(path+"/"+f.name+"/")] = true
		} else if err := r.addOther(to, path, f); err != nil {
			return err
		}
	}
	return nil
}

// Unseen lists what would go to a place for the first time, of what nobody has
// agreed to with what went before: branches, fittings, files that are not the
// pattern's. Pieces and texts of further versions are what sending is for.
func (r *Repo) Unseen(p Place, x Exchange) (Unseen, error) {
	branches, _, err := r.toSend(x)
	if err != nil {
		return Unseen{}, err
	}
	return r.unseen(p, branches)
}

func (r *Repo) unseen(p Place, branches map[string]plumbing.Hash) (u Unseen, err error) {
	there, err := r.tips(p.prefix())
	if err != nil {
		return u, err
	}
	had, err := r.ancestors(slices.Collect(maps.Values(there)), nil)
	if err != nil {
		return u, err
	}
	for _, name := range slices.Sorted(maps.Keys(branches)) {
		if _, known := there[name]; !known {
			u.Branches = append(u.Branches, name)
		}
	}
	fresh, err := r.ancestors(slices.Collect(maps.Values(branches)), had)
	if err != nil {
		return u, err
	}
	files, before := map[string]bool{}, map[string]bool{}
	for id := range fresh {
		if err := r.addPrivate(files, id); err != nil {
			return u, err
		}
		for _, parent := range r.commits[id].ParentHashes {
			if had[parent] {
				if err := r.addPrivate(before, parent); err != nil {
					return u, err
				}
			}
		}
	}
	maps.DeleteFunc(files, func(name string, _ bool) bool { return before[name] })
	u.Files = slices.Sorted(maps.Keys(files))
	return u, nil
}

// addPrivate adds those files of a version that may speak of a person.
func (r *Repo) addPrivate(to map[string]bool, version plumbing.Hash) error {
	in, err := r.contentsOfCommit(version)
	if err != nil {
		return err
	}
	for name := range in.files {
		if strings.HasPrefix(name, FittingsFolder+"/") {
			to[name] = true
		}
	}
	return r.addOthers(to, in)
}
