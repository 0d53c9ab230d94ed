package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

const configFile = "config"

// Place is somewhere that the pattern is exchanged with. It is remembered in
// git's own configuration, so that the git program knows it too.
type Place struct {
	Name    string
	Address Address
	Known   bool // it is in the configuration
	// Agreed says that somebody has seen what goes to this very address.
	Agreed bool
}

// prefix of what is known of its branches.
func (p Place) prefix() string { return remotePrefix + p.Name + "/" }

// settleFile makes the address of a folder that of the file in it, which is what
// the git program can fetch from.
func (p *Place) settleFile(file string) {
	if !p.Known {
		p.Address.path, p.Address.text = file, file
	}
}

// agreedKey holds the address that was agreed to.
const agreedKey = "toile-agreed"

// Places lists the places that are remembered, by name. Those that git knows
// under an address which toile does not use are left out.
func (r *Repo) Places() []Place {
	var places []Place
	for _, s := range r.config.Raw.Section("remote").Subsections {
		a, err := ParseAddress(s.Option("url"))
		if err != nil || !safePlace(s.Name) {
			continue
		}
		places = append(places, Place{Name: s.Name, Address: a, Known: true, Agreed: s.Option(agreedKey) == a.text})
	}
	slices.SortFunc(places, func(a, b Place) int { return strings.Compare(a.Name, b.Name) })
	return places
}

// safePlace tells names that may stand in a path of references.
func safePlace(name string) bool {
	return len(name) <= maxName && safeRef(name) && !strings.ContainsAny(name, "/ ~^:?*[\"\n") && !strings.HasPrefix(name, "-") && !strings.HasPrefix(name, ".")
}

// Place finds the place that text means: the name of one that is remembered, an
// address, or if text is empty the only one. as names a new place; empty for a
// name made from its address. For a place that has another name it is refused.
func (r *Repo) Place(text, as string) (Place, error) {
	if as != "" {
		if err := ValidName(as); err != nil {
			return Place{}, err
		}
	}
	places := r.Places()
	if text == "" {
		p, err := onlyPlace(places)
		if err != nil {
			return Place{}, err
		}
		return p, checkCalled(p, as)
	}
	for _, p := range places {
		if p.Name == text {
			return p, checkCalled(p, as)
		}
	}
	a, err := ParseAddress(text)
	if err != nil {
		return Place{}, err
	}
	if a.IsFile() && !strings.ContainsAny(text, `/\`) && !exists(text) {
		return Place{}, fmt.Errorf("%q is neither a place that is remembered (%s) nor a folder; name one of these, or give an address", Printable(text), orNone(placeNames(places)))
	}
	switch meant := placesAt(places, a); len(meant) {
	case 0:
		return r.newPlace(a, as)
	case 1:
		return meant[0], checkCalled(meant[0], as)
	default:
		return Place{}, fmt.Errorf("%d places lie in %s: %s; name one of them", len(meant), a, strings.Join(placeNames(meant), ", "))
	}
}

// placesAt are the places at an address: the one that has it, else those whose
// files lie in the folder.
func placesAt(places []Place, a Address) []Place {
	var in []Place
	for _, p := range places {
		if p.Address.text == a.text {
			return []Place{p}
		}
		if a.IsFile() && p.Address.IsFile() && filepath.Dir(p.Address.path) == a.path && strings.HasSuffix(p.Address.path, bundleEnding) {
			in = append(in, p)
		}
	}
	return in
}

// checkCalled refuses to take a place that is remembered for one of another
// name.
func checkCalled(p Place, as string) error {
	if as == "" || as == p.Name {
		return nil
	}
	return fmt.Errorf("%s is remembered as %s already; leave --as out, or give it the other name with `toile share place %s --called %s`",
		p.Address, Printable(p.Name), Printable(p.Name), as)
}

func placeNames(places []Place) []string {
	var names []string
	for _, p := range places {
		names = append(names, Printable(p.Name))
	}
	return names
}

// onlyPlace is the place that is meant where none is named. With several none
// is taken for granted: what has gone to the wrong one cannot be called back.
func onlyPlace(places []Place) (Place, error) {
	switch len(places) {
	case 0:
		return Place{}, errors.New("no place is remembered yet; give its address: https://HOST/PATH, USER@HOST:PATH, or a folder")
	case 1:
		return places[0], nil
	}
	var b strings.Builder
	fmt.Fprintf(&b, "there are %d places; name the one that is meant:", len(places))
	for _, p := range places {
		fmt.Fprintf(&b, "\n  %s  %s", Printable(p.Name), p.Address)
	}
	return Place{}, errors.New(b.String())
}

func (r *Repo) newPlace(a Address, as string) (Place, error) {
	if as != "" {
		if p, remembered := r.placeNamed(as); remembered {
			return Place{}, fmt.Errorf("%s is the place %s already; if it has moved to %s, say so with `toile share place %s --at ADDRESS`, else choose another name",
				as, p.Address, a, as)
		}
		return Place{Name: as, Address: a}, r.checkPlaceName(as)
	}
	name := a.shortName()
	for n := 2; r.checkPlaceName(name) != nil; n++ {
		name = fmt.Sprintf("%s-%d", a.shortName(), n)
	}
	return Place{Name: name, Address: a}, nil
}

func (r *Repo) placeNamed(name string) (Place, bool) {
	places := r.Places()
	i := slices.IndexFunc(places, func(p Place) bool { return p.Name == name })
	if i < 0 {
		return Place{}, false
	}
	return places[i], true
}

// checkPlaceName says why a place cannot be called name: it is no name, or
// something else is called so.
func (r *Repo) checkPlaceName(name string) error {
	if err := ValidName(name); err != nil {
		return err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	there, err := r.listRefs(remotePrefix + name + "/")
	if err != nil {
		return err
	}
	if _, branch := heads[name]; branch || len(there) > 0 || r.config.Raw.Section("remote").HasSubsection(name) {
		return fmt.Errorf("the name %q is taken by another place or a branch; choose another", name)
	}
	return nil
}

// placeConfig is what the configuration gets for a new place.
func placeConfig(p Place) string {
	return fmt.Sprintf("[remote %q]\n\turl = %s\n\t%s\n", p.Name, configValue(p.Address.text), fetchLine(p))
}

// fetchLine says under which names a git program keeps what it fetches.
func fetchLine(p Place) string { return fmt.Sprintf("fetch = +%s*:%s*", headsPrefix, p.prefix()) }

func branchConfig(branch string, p Place) string {
	return fmt.Sprintf("[branch %q]\n\tremote = %s\n\tmerge = %s%s\n", branch, p.Name, headsPrefix, branch)
}

func agreedConfig(p Place) string {
	return fmt.Sprintf("[remote %q]\n\t%s = %s\n", p.Name, agreedKey, configValue(p.Address.text))
}

// configValue quotes a value as git reads it.
func configValue(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// remember writes what is new about a place at the end of git's configuration,
// as git does: config.lock, sync, rename. Nothing that stands there changes.
func (r *Repo) remember(p Place, agreed bool) error {
	var add string
	if !p.Known {
		add += placeConfig(p)
	}
	if branch, _, err := r.head(); err == nil && branch != "" && !p.Known &&
		r.config.Raw.Section("branch").Subsection(branch).Option("remote") == "" {
		add += branchConfig(branch, p)
	}
	if agreed && !p.Agreed {
		add += agreedConfig(p)
	}
	if add == "" {
		return nil
	}
	old, err := os.ReadFile(r.path(configFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	text := string(old)
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	return r.writeConfig(old, []byte(text+add))
}

// writeConfig replaces git's configuration, if it is still as it was read.
func (r *Repo) writeConfig(old, content []byte) error {
	tip := r.held.position.tip
	if err := r.announce(tip, tip, announced{path: configFile + ".lock", content: content}); err != nil {
		return err
	}
	defer r.settled()
	err := r.swap(r.path(configFile), content, func() (func(), error) {
		now, err := os.ReadFile(r.path(configFile))
		if err == nil && string(now) != string(old) {
			err = fmt.Errorf("git's configuration: %w; run the command again", ErrMoved)
		}
		return nil, err
	})
	if err != nil {
		return err
	}
	r.config, err = readConfig(r.path(configFile))
	return err
}

// tips are the branches under a prefix, here or at places. A git program keeps
// beside them which one a place is on; that is no branch.
func (r *Repo) tips(prefix string) (map[string]plumbing.Hash, error) {
	refs, err := r.listRefs(prefix)
	if !strings.HasPrefix(prefix, remotePrefix) {
		return refs, err
	}
	maps.DeleteFunc(refs, func(name string, _ plumbing.Hash) bool {
		return name == headFile || strings.HasSuffix(name, "/"+headFile)
	})
	return refs, err
}
