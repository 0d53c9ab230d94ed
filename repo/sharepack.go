package repo

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

func mapKeys[V any](m map[string]V) iter.Seq[string] { return maps.Keys(m) }

// packed is one object that goes out, and where it lies in its version.
type packed struct {
	kind plumbing.ObjectType
	id   plumbing.Hash
	path string
}

// longestChain is how many differences an object that goes out may be away from
// a whole one, as git has it by default.
const longestChain = 50

// packFor writes a pack of everything that tips lead to and the versions in
// without do not. Each file is written as what differs from the version before.
func (r *Repo) packFor(tips []plumbing.Hash, without map[plumbing.Hash]bool) (*spooled, error) {
	return r.packTo(r, tips, without)
}

// packTo is packFor with the pack written where another repository has its own.
func (r *Repo) packTo(to *Repo, tips []plumbing.Hash, without map[plumbing.Hash]bool) (*spooled, error) {
	objects, err := r.outgoing(tips, without)
	if err != nil {
		return nil, err
	}
	s, err := to.newSpool()
	if err != nil {
		return nil, err
	}
	w := newPackWriter(s.out, len(objects))
	before := map[string]packBase{}
	for _, o := range objects {
		content, err := r.object(o.kind, o.id)
		if err != nil {
			s.discard()
			return nil, err
		}
		base := before[o.path]
		if base.chain >= longestChain || o.path == "" {
			base = packBase{}
		}
		e := w.object(o.kind, o.id, content, base)
		next := packBase{offset: e.offset, content: content}
		if e.base != 0 {
			next.chain = base.chain + 1
		}
		if o.path != "" {
			before[o.path] = next
		}
	}
	if s.sum, err = w.finish(); err != nil {
		s.discard()
		return nil, fmt.Errorf("what is to be sent could not be prepared: %w", bare(err))
	}
	s.size = w.n
	return s, nil
}

// outgoing lists what goes out, the oldest version first.
func (r *Repo) outgoing(tips []plumbing.Hash, without map[plumbing.Hash]bool) ([]packed, error) {
	g := &gathering{r: r, seen: map[plumbing.Hash]bool{}}
	var versions []plumbing.Hash
	for _, id := range tips {
		at, ok, err := r.peel(id)
		if err != nil || !ok {
			return nil, err
		}
		versions = append(versions, at)
		if err := g.records(id, at); err != nil {
			return nil, err
		}
	}
	fresh, err := r.ancestors(versions, without)
	if err != nil {
		return nil, err
	}
	ordered, err := r.oldestFirst(fresh)
	if err != nil {
		return nil, err
	}
	records := g.list
	g.list, g.there = nil, true
	for _, id := range ordered {
		for _, p := range r.commits[id].ParentHashes {
			if without[p] {
				if err := g.version(p); err != nil { // there already: only noted as seen
					return nil, err
				}
			}
		}
	}
	g.list, g.there = records, false
	for _, id := range ordered {
		if err := g.version(id); err != nil {
			return nil, r.cannotGo(id, err)
		}
		g.list = append(g.list, packed{plumbing.CommitObject, id, ""})
	}
	return g.list, nil
}

// typed is what is typed for a version: its number if that means it here, else
// the start of its id.
func (r *Repo) typed(id string) string {
	if v, err := r.version(plumbing.NewHash(id)); err == nil {
		number := fmt.Sprint(v.Number)
		if found, err := r.Resolve(number); err == nil && found.ID == id {
			return number
		}
	}
	return id[:shownStart]
}

func (r *Repo) oldestFirst(ids map[plumbing.Hash]bool) ([]plumbing.Hash, error) {
	number := map[plumbing.Hash]int{}
	for id := range ids {
		n, err := r.number(id)
		if err != nil {
			return nil, err
		}
		number[id] = n
	}
	return slices.SortedFunc(maps.Keys(ids), func(a, b plumbing.Hash) int {
		return cmp.Or(cmp.Compare(number[a], number[b]), cmp.Compare(a.String(), b.String()))
	}), nil
}

// gathering collects objects, each once.
type gathering struct {
	r     *Repo
	seen  map[plumbing.Hash]bool
	list  []packed
	names vettedNames
	there bool // the versions looked at are there already
}

// notTakenError says what in a list of files others would refuse.
type notTakenError struct {
	why  error
	size int64 // of a file that is too large, in bytes, else 0
}

func (e *notTakenError) Error() string { return Printable(e.why.Error()) }

// cannotGo says which version holds what others would refuse, and what can be
// sent instead: a version cannot be changed, but a branch can go past it.
func (r *Repo) cannotGo(id plumbing.Hash, err error) error {
	if e := (*notTakenError)(nil); !errors.As(err, &e) {
		return err
	}
	v, errV := r.version(id)
	if errV != nil {
		return err
	}
	const says = "version %d (%s): %w; whoever receives the pattern would refuse it. Take such files out of the folder and commit that, and then send a branch that leaves this version out:"
	text := Printable(firstLine(v.Text))
	if len(v.Parents) == 0 {
		return fmt.Errorf(says+" as it is the first, start another pattern with `toile start` and put this one's files there", v.Number, text, err)
	}
	branch, _, errHead := r.head()
	if errHead != nil || branch == "" {
		branch = "BRANCH"
	}
	return fmt.Errorf(says+" `toile branch to-send --from %s`, `toile use to-send`, `toile bring-back %s:last`; the versions in between stay here", v.Number, text, err, r.typed(v.Parents[0]), branch)
}

func (g *gathering) add(kind plumbing.ObjectType, id plumbing.Hash, path string) {
	g.seen[id] = true
	g.list = append(g.list, packed{kind, id, path})
}

// records are what lies between a given name and its version.
func (g *gathering) records(id, version plumbing.Hash) error {
	for id != version && !g.seen[id] {
		content, err := g.r.object(plumbing.TagObject, id)
		if err != nil {
			return err
		}
		g.add(plumbing.TagObject, id, "")
		if id, err = tagTarget(content); err != nil {
			return err
		}
	}
	return nil
}

func (g *gathering) version(id plumbing.Hash) error {
	c, err := g.r.commit(id)
	if err != nil {
		return err
	}
	return g.tree(c.TreeHash, "")
}

// checkSize refuses a file that others would not take for its size. One that a git
// program has sent already is only said.
func (g *gathering) checkSize(id plumbing.Hash, name string) error {
	size, err := g.r.store.size(id)
	if err != nil || size <= maxObject {
		return nil // one that cannot be read fails where it is read
	}
	why := fmt.Errorf("%s has %d bytes, and no more than %d go out", name, size, maxObject)
	if !g.there {
		return &notTakenError{why, size}
	}
	g.r.warn(fmt.Sprintf("%s; a git program has sent it there, and whoever receives with toile is refused for it", Printable(why.Error())))
	return nil
}

// tree collects a folder's objects. What others would refuse to receive is
// refused here, where somebody can do something about it.
func (g *gathering) tree(id plumbing.Hash, folder string) error {
	if g.seen[id] {
		return nil
	}
	content, err := g.r.object(plumbing.TreeObject, id)
	if err != nil {
		return err
	}
	entries, err := g.names.tree(content, folder == "")
	if err != nil {
		return &notTakenError{why: err}
	}
	for _, e := range entries {
		path := folder + "/" + e.name
		if e.isFolder() {
			if err := g.tree(e.id, e.name); err != nil {
				return err
			}
		} else if !g.seen[e.id] {
			if err := g.checkSize(e.id, strings.TrimPrefix(path, "/")); err != nil {
				return err
			}
			g.add(plumbing.BlobObject, e.id, path)
		}
	}
	g.add(plumbing.TreeObject, id, folder+"/")
	return nil
}
