package repo

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// Remembered finds a place by its name.
func (r *Repo) Remembered(name string) (Place, error) {
	p, found := r.placeNamed(name)
	if !found {
		return Place{}, fmt.Errorf("no place is remembered as %q; there is %s", Printable(name), orNone(placeNames(r.Places())))
	}
	return p, nil
}

// Readdress gives a place that has moved another address. Nobody has agreed yet
// to what goes there.
func (r *Repo) Readdress(p Place, text string) (Place, error) {
	a, err := ParseAddress(text)
	if err != nil {
		return p, err
	}
	if a, err = r.remembered(p, a); err != nil {
		return p, err
	}
	for _, other := range r.Places() {
		if other.Name != p.Name && other.Address.text == a.text {
			return p, fmt.Errorf("%s is the place %s already; forget one of the two with `toile share place NAME --forget`", a, Printable(other.Name))
		}
	}
	if a.text == p.Address.text {
		return p, nil
	}
	unlock, err := r.Lock()
	if err != nil {
		return p, err
	}
	defer unlock()
	err = r.editConfig(func(c *configText) {
		c.drop("remote", p.Name, "url", "pushurl", agreedKey)
		c.add("remote", p.Name, "url = "+configValue(a.text))
	})
	if err != nil {
		return p, err
	}
	return r.Remembered(p.Name)
}

// remembered is the address that is remembered for a folder: that of the file in it
// if it is there, else of the one that the place had.
func (r *Repo) remembered(p Place, a Address) (Address, error) {
	if !a.IsFile() {
		return a, nil
	}
	if git, _, kept := keptAt(a.path); kept {
		if sameFile(git, r.git) {
			return a, fmt.Errorf("%s is this pattern itself; name another place", a)
		}
		return a, nil
	}
	was := r.fileName()
	if p.Address.IsFile() && strings.HasSuffix(p.Address.path, bundleEnding) {
		was = strings.TrimSuffix(filepath.Base(p.Address.path), bundleEnding)
	}
	if file := filepath.Join(a.path, was+bundleEnding); isFolder(a.path) && exists(file) {
		return Address{way: byFile, path: file, text: file}, nil
	}
	file, _, err := bundleAt(a.path, was)
	return Address{way: byFile, path: file, text: file}, err
}

// Rename gives a place another name. What is known of its branches comes along.
func (r *Repo) Rename(p Place, name string) (Place, error) {
	if name == p.Name {
		return p, nil
	}
	if err := r.checkPlaceName(name); err != nil {
		return p, err
	}
	unlock, err := r.Lock()
	if err != nil {
		return p, err
	}
	defer unlock()
	to := p
	to.Name = name
	for _, move := range []struct{ from, to string }{{p.prefix(), to.prefix()}, {maybePrefix + p.Name + "/", maybePrefix + name + "/"}} {
		refs, err := r.tips(move.from)
		if err != nil {
			return p, err
		}
		for _, branch := range slices.Sorted(maps.Keys(refs)) {
			if err := r.setRef(move.to+branch, refs[branch]); err != nil {
				return p, err
			}
		}
	}
	err = r.editConfig(func(c *configText) {
		c.rename("remote", p.Name, name)
		c.drop("remote", name, "fetch")
		c.add("remote", name, fetchLine(to))
		c.replace("branch", "remote", p.Name, name)
	})
	if err != nil {
		return p, err
	}
	if err := r.dropPlaceRefs(p); err != nil {
		return p, err
	}
	return r.Remembered(name)
}

// dropPlaceRefs drops what is known of a place's branches.
func (r *Repo) dropPlaceRefs(p Place) error {
	if err := r.dropAll(maybePrefix + p.Name + "/"); err != nil {
		return err
	}
	if exists(r.path(p.prefix() + headFile)) { // which branch it is on, as a git program noted it
		_ = r.ops.Remove(r.path(p.prefix() + headFile))
	}
	return r.dropAll(p.prefix())
}

// Forget forgets a place. What others have from there, or may have, still counts
// as sent. Versions that only the place's branches hold would be lost from sight:
// the error says how to keep them.
func (r *Repo) Forget(p Place) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	there, err := r.tips(p.prefix())
	if err != nil {
		return err
	}
	if err := r.checkKeptElsewhere(p, there); err != nil {
		return err
	}
	maybe, err := r.tips(maybePrefix + p.Name + "/")
	if err != nil {
		return err
	}
	for _, id := range slices.Concat(slices.Collect(maps.Values(there)), slices.Collect(maps.Values(maybe))) {
		if err := r.setRef(gonePrefix+id.String(), id); err != nil {
			return err
		}
	}
	err = r.editConfig(func(c *configText) {
		c.dropSections("remote", p.Name)
		c.unset("branch", "remote", p.Name, "merge")
	})
	if err != nil {
		return err
	}
	return r.dropPlaceRefs(p)
}

// checkKeptElsewhere refuses to forget versions that no branch here, and no other
// place, leads to.
func (r *Repo) checkKeptElsewhere(p Place, there map[string]plumbing.Hash) error {
	refs, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	others, err := r.tips(remotePrefix)
	if err != nil {
		return err
	}
	for name, id := range others {
		if !strings.HasPrefix(name, p.Name+"/") {
			refs[remotePrefix+name] = id
		}
	}
	for _, name := range slices.Sorted(maps.Keys(there)) {
		v, err := r.version(there[name])
		if err != nil {
			return err
		}
		held, err := r.leadsTo(slices.Collect(maps.Values(refs)), v)
		if err != nil {
			return err
		}
		if !held {
			heads, err := r.listRefs(headsPrefix)
			if err != nil {
				return err
			}
			full := p.Name + "/" + name
			return fmt.Errorf("%s holds version %d (%s), which is on no branch here; keep it with `%s`, or merge it with `toile merge %s`, and then forget the place",
				Printable(full), v.Number, Printable(firstLine(v.Text)), startFrom(name, full, heads), Printable(full))
		}
	}
	return nil
}
