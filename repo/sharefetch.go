package repo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// source is where a delivery comes from.
type source interface {
	listing() (*listing, error)
	needs() []plumbing.Hash
	deliver(l *listing, want, have []plumbing.Hash) (io.Reader, error)
	close(failed error) error
}

// arrival is a delivery that has been vetted and not been kept yet.
type arrival struct {
	place    Place
	on       string // the branch that the place is on
	branches map[string]plumbing.Hash
	names    map[string]plumbing.Hash
	odd      map[string]plumbing.Hash // whatever else is there, by its whole name
	left     []string
	whole    bool     // it comes from one file, which may have to be written anew with all that is in it
	spool    *spooled // nil if nothing had to come
	file     *os.File
	pack     *pack
	vet      *vetting
}

func (a *arrival) discard() {
	if a.file != nil {
		_ = a.file.Close()
	}
	if a.spool != nil {
		a.spool.discard()
	}
}

// serverSource is one of a server's services as a source.
type serverSource struct{ wire }

func (serverSource) needs() []plumbing.Hash { return nil }

func (s serverSource) deliver(l *listing, want, have []plumbing.Hash) (io.Reader, error) {
	text, err := fetchRequest(l, want, have)
	if err != nil {
		return nil, err
	}
	answer, err := s.ask(strings.NewReader(text), int64(len(text)))
	if err != nil {
		return nil, err
	}
	return fetchAnswer(answer)
}

func (r *Repo) source(w *watch, p *Place, x Exchange) (source, error) {
	if !p.Address.IsFile() {
		c, err := r.dial(w, p.Address, serviceGive, x.Programs)
		if err != nil {
			return nil, err
		}
		return serverSource{c}, nil
	}
	if git, _, found := keptAt(p.Address.path); found {
		k, err := r.openKept(p.Address.path, git)
		if err != nil {
			return nil, err
		}
		return &keptSource{kept: k, here: r, w: w}, nil
	}
	file, there, err := r.fileAt(*p, "")
	if err == nil && !there {
		if err = r.checkMissing(*p, file, x); err == nil {
			err = nothingAt(p.Address)
		}
	}
	if err != nil {
		return nil, err
	}
	p.settleFile(file)
	return openBundle(w, file)
}

// fetchFrom brings what a place has to this disk and vets it; given names, and
// versions that only they lead to, if names is set.
func (r *Repo) fetchFrom(ctx context.Context, p Place, x Exchange, names bool) (a *arrival, err error) {
	w := newWatch(ctx, "asking "+p.Address.where(), x.silence, x.say)
	defer w.close()
	src, err := r.source(w, &p, x)
	if err != nil {
		return nil, err
	}
	a = &arrival{place: p}
	_, a.whole = src.(*bundleSource)
	defer func() {
		if err = src.close(err); err != nil {
			a.discard()
			a = nil
		}
	}()
	l, err := src.listing()
	if err != nil {
		return a, err
	}
	a.sort(l)
	if len(a.branches) == 0 && len(a.left) == 0 {
		return a, fmt.Errorf("%s %w; send yours there with `toile share send`", p.Address.where(), errEmptyPlace)
	}
	if err := r.download(w, a, src, l, names); err != nil {
		return a, err
	}
	w.now("looking at what came")
	return a, r.vetArrival(a, x)
}

// sort divides what a place lists into branches and names that can be used.
func (a *arrival) sort(l *listing) {
	a.branches, a.names, a.odd = map[string]plumbing.Hash{}, map[string]plumbing.Hash{}, map[string]plumbing.Hash{}
	for ref, id := range l.refs {
		branch, isBranch := strings.CutPrefix(ref, headsPrefix)
		name, isName := strings.CutPrefix(ref, tagsPrefix)
		switch {
		case isBranch && usableBranch(branch):
			a.branches[branch] = id
		case isBranch:
			a.left = append(a.left, Printable(branch))
			a.odd[ref] = id
		case isName && ValidName(name) == nil:
			a.names[name] = id
		case ref != headFile:
			a.odd[ref] = id
		}
	}
	slices.Sort(a.left)
	if a.on = l.headBranch(); !usableBranch(a.on) {
		a.on = ""
	}
}

// usableBranch tells names that a branch can have here; the first branch has
// the one that is kept for it.
func usableBranch(name string) bool { return name == FirstBranch || ValidName(name) == nil }

// download spools what is not here yet.
func (r *Repo) download(w *watch, a *arrival, src source, l *listing, names bool) error {
	var err error
	if a.vet, err = r.newVetting(nil); err != nil {
		return err
	}
	for _, id := range src.needs() {
		if !a.vet.known[id] {
			return errors.New("this file holds only the newest versions, and those before them are not here; ask for a file of all versions, or receive from where you received before")
		}
	}
	want, err := r.wanted(a, names)
	if err != nil || len(want) == 0 {
		return err
	}
	have, err := r.haves(a.place)
	if err != nil {
		return err
	}
	stream, err := src.deliver(l, want, have)
	if err != nil {
		return err
	}
	w.now("receiving")
	if a.spool, err = r.spool(stream); err != nil {
		return err
	}
	a.file, err = a.spool.open()
	return err
}

// wanted are the ids that are not here, each once, in a fixed order.
func (r *Repo) wanted(a *arrival, names bool) ([]plumbing.Hash, error) {
	ids := map[plumbing.Hash]bool{}
	for _, id := range a.branches {
		ids[id] = !a.vet.known[id]
	}
	if names {
		tags, err := r.listRefs(tagsPrefix)
		if err != nil {
			return nil, err
		}
		for name, id := range a.names {
			ids[id] = !a.vet.known[id] && tags[name] != id
		}
		if a.whole {
			for _, id := range a.odd {
				ids[id] = ids[id] || !a.vet.known[id]
			}
		}
	}
	maps.DeleteFunc(ids, func(_ plumbing.Hash, missing bool) bool { return !missing })
	return slices.SortedFunc(maps.Keys(ids), func(a, b plumbing.Hash) int { return strings.Compare(a.String(), b.String()) }), nil
}

// errEmptyPlace: nothing was sent to a place yet.
var errEmptyPlace = errors.New("holds no versions yet")

// maxHaves bounds how many versions a server is told of. What was received from
// it before comes first, so that it nearly always knows one of the first.
const maxHaves = 256

func (r *Repo) haves(p Place) ([]plumbing.Hash, error) {
	var tips []plumbing.Hash
	for _, prefix := range []string{p.prefix(), headsPrefix, remotePrefix} {
		refs, err := r.tips(prefix)
		if err != nil {
			return nil, err
		}
		for _, name := range slices.Sorted(maps.Keys(refs)) {
			tips = append(tips, refs[name])
		}
	}
	var have []plumbing.Hash
	seen := map[plumbing.Hash]bool{}
	for todo := tips; len(todo) > 0 && len(have) < maxHaves; todo = todo[1:] {
		id := todo[0]
		if seen[id] {
			continue
		}
		seen[id] = true
		c, err := r.commit(id)
		if err != nil {
			return nil, err
		}
		have = append(have, id)
		todo = append(todo, c.ParentHashes...)
	}
	return have, nil
}

// vetArrival goes through everything that came.
func (r *Repo) vetArrival(a *arrival, x Exchange) (err error) {
	if a.spool != nil {
		if a.pack, err = readPack(a.file, a.spool.size, r.lender()); err != nil {
			return err
		}
		a.vet.p = a.pack
	}
	met := len(a.vet.known) == 0
	for _, name := range slices.Sorted(maps.Keys(a.branches)) {
		if err := a.vet.version(a.branches[name]); err != nil {
			return err
		}
		met = met || a.vet.met
	}
	if !met {
		return r.otherPattern(a.place)
	}
	if err := a.vetNames(); err != nil {
		return err
	}
	if err := a.vet.rest(); err != nil {
		return err
	}
	return a.check(x.Check)
}

// lender hands out objects that are here, for a delivery that holds what
// differs from them.
func (r *Repo) lender() func(plumbing.Hash) (plumbing.ObjectType, []byte, error) {
	return func(id plumbing.Hash) (plumbing.ObjectType, []byte, error) { return r.fetch(plumbing.AnyObject, id) }
}

// vetNames leaves out names of what has not come.
func (a *arrival) vetNames() error {
	for name, id := range a.names {
		if a.pack != nil {
			if _, came := a.pack.of[id]; came {
				if _, err := a.vet.name(id); err != nil {
					return err
				}
				continue
			}
		}
		if !a.vet.known[id] && !a.vet.done[id] {
			a.names[name] = plumbing.ZeroHash // there, and not here
		}
	}
	return nil
}

// check asks the caller about the newest version of each branch that came.
func (a *arrival) check(ask func(Files) error) error {
	if ask == nil {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(a.branches)) {
		id := a.branches[name]
		if a.vet.known[id] {
			continue
		}
		files, err := a.vet.files(id)
		if err == nil {
			err = ask(files)
		}
		if err != nil {
			return refused(fmt.Sprintf("the last version of the branch %q cannot be read", name), err)
		}
	}
	return nil
}
