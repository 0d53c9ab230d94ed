package repo

import (
	"cmp"
	"fmt"
	"iter"
	"maps"
	"slices"

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
	g.list = nil
	for _, id := range ordered {
		for _, p := range r.commits[id].ParentHashes {
			if without[p] {
				if err := g.version(p); err != nil { // there already: only noted as seen
					return nil, err
				}
			}
		}
	}
	g.list = records
	for _, id := range ordered {
		if err := g.version(id); err != nil {
			return nil, err
		}
		g.list = append(g.list, packed{plumbing.CommitObject, id, ""})
	}
	return g.list, nil
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
	r    *Repo
	seen map[plumbing.Hash]bool
	list []packed
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
	entries, err := vetTree(content, folder == "")
	if err != nil {
		return fmt.Errorf("%s; whoever receives the pattern would refuse it: keep such files elsewhere, outside of the pattern's versions", Printable(err.Error()))
	}
	for _, e := range entries {
		path := folder + "/" + e.name
		if e.isFolder() {
			if err := g.tree(e.id, e.name); err != nil {
				return err
			}
		} else if !g.seen[e.id] {
			g.add(plumbing.BlobObject, e.id, path)
		}
	}
	g.add(plumbing.TreeObject, id, folder+"/")
	return nil
}
