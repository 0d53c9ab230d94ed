package repo

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// noBranch says that the folder cannot go to what is no branch here: what it is
// instead, and what somebody who types it is likely to want.
func (r *Repo) noBranch(name string, heads map[string]plumbing.Hash) error {
	there, err := r.tips(remotePrefix)
	if err != nil {
		return err
	}
	if _, received := there[name]; received {
		_, short, _ := strings.Cut(name, "/")
		return fmt.Errorf("%q is a branch at another place, as it was last received; `%s` starts one of your own from it, to go to",
			Printable(name), startFrom(short, name, heads))
	}
	if v, err := r.Resolve(name); err == nil {
		return fmt.Errorf("%q is version %d and no branch; `toile bring-back %s` makes a new version of this branch as it was then, and `%s` starts a branch there, to go to",
			Printable(name), v.Number, Printable(name), startFrom("", name, heads))
	}
	return fmt.Errorf("there is no branch %q; there is %s; start one with `toile branch NAME`", Printable(name), orNone(keys(heads)))
}

// startFrom is the command that starts a branch at a version, under a name that
// is free: the one that is wished, where it can be had.
func startFrom(wished, from string, heads map[string]plumbing.Hash) string {
	if _, taken := heads[wished]; taken || ValidName(wished) != nil {
		wished = "NAME"
	}
	return fmt.Sprintf("toile branch %s --from %s", wished, Printable(from))
}

// ThereBranches lists the branches of all places as they were last received or
// sent, PLACE/BRANCH, by name. None of them is the current one.
func (r *Repo) ThereBranches() ([]BranchInfo, error) {
	there, err := r.tips(remotePrefix)
	if err != nil {
		return nil, err
	}
	var out []BranchInfo
	for _, name := range slices.Sorted(maps.Keys(there)) {
		v, err := r.version(there[name])
		if err != nil {
			return nil, fmt.Errorf("the branch %q: %w", Printable(name), err)
		}
		out = append(out, BranchInfo{Name: name, Last: &v})
	}
	return out, nil
}

// HeldBy lists the branches that a version is on, by the name that is typed for
// them: those here, then those at places.
func (r *Repo) HeldBy(v Version) (here, there []string, err error) {
	for prefix, into := range map[string]*[]string{headsPrefix: &here, remotePrefix: &there} {
		tips, err := r.tips(prefix)
		if err != nil {
			return nil, nil, err
		}
		for _, name := range slices.Sorted(maps.Keys(tips)) {
			on, err := r.leadsTo([]plumbing.Hash{tips[name]}, v)
			if err != nil {
				return nil, nil, err
			}
			if on {
				*into = append(*into, name)
			}
		}
	}
	return here, there, nil
}
