package main

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// sideFiles are the files of one side of a comparison, of which only those are
// read that are asked for.
type sideFiles struct {
	version *repo.Version     // nil for the working pattern
	ids     map[string]string // of all its files: of one id, of one content
	some    func(wanted func(file string) bool) (repo.Files, error)
}

// filesOf are the files of a side whose pattern has not been read.
func (o *opened) filesOf(s diffSide) (f sideFiles, err error) {
	if f.version = s.kept; s.kept != nil {
		f.ids, err = o.repo.FileIDs(*s.kept)
		f.some = func(wanted func(string) bool) (repo.Files, error) { return o.repo.ReadSome(*s.kept, wanted) }
		return f, err
	}
	folder, err := o.repo.Folder()
	if err != nil {
		return f, err
	}
	f.ids, f.some = folder.FileIDs(), folder.Some
	return f, nil
}

// changedOnly compares two sides by the pieces whose files differ and those that
// are sewn or layered with them: of all others the name is read, and that they
// are the same is all that is said of them. ok is false where that cannot be told
// from the files alone, as where a piece came, went or bears another name.
func (o *opened) changedOnly(c *comparison) (ok bool, err error) {
	t, ok, err := o.readTogether(c.from, c.to)
	if !ok || err != nil {
		return false, err
	}
	for k, s := range []*diffSide{&c.from, &c.to} {
		s.Pattern = t.patterns[k]
		s.DropUnread()
	}
	sides := [2]change.Version{c.from.name, c.to.name}
	if c.Diff, err = o.compareWith(c.from.Pattern, c.to.Pattern, sides, c.from.kept, c.to.kept); err != nil {
		return false, err
	}
	c.Pieces = t.withSame(c.Pieces)
	return true, nil
}

// together are two sides with the same pieces, of which those are read whose files
// differ and those that are sewn or layered with them.
type together struct {
	sides    [2]sideFiles
	names    map[string]string // of all pieces, by file
	changed  map[string]bool   // the pieces whose files differ, by name
	wanted   map[string]bool   // those, and what is compared with them
	patterns [2]*pattern.Pattern
}

// readTogether reads two sides as far as they differ. ok is false where the files
// alone do not tell how far that is.
func (o *opened) readTogether(from, to diffSide) (t *together, ok bool, err error) {
	t = &together{names: map[string]string{}, changed: map[string]bool{}}
	for k, s := range []diffSide{from, to} {
		if t.sides[k], err = o.filesOf(s); err != nil {
			return nil, false, err
		}
	}
	for _, look := range []func() (bool, error){func() (bool, error) { return t.nameAll(o.repo) }, t.follow} {
		if ok, err = look(); !ok || err != nil {
			return nil, false, err
		}
	}
	for k, s := range t.sides {
		files, err := s.some(func(file string) bool { return !isPiece(file) || t.reads(file) })
		if err != nil {
			return nil, false, err
		}
		if t.patterns[k], err = o.reader.DecodeSome(files, s.version != nil); err != nil {
			return nil, false, s.inIt(err)
		}
	}
	return t, t.namedRight(), nil
}

// namedRight tells whether the pieces that were read bear the names that their
// files are known by: what is kept of the files (Repo.Heads) may be damaged.
func (t *together) namedRight() bool {
	for _, p := range t.patterns {
		for _, q := range p.Pieces {
			if t.names[q.FileName()] != q.Name {
				return false
			}
		}
	}
	return true
}

// inIt says which version an error is about, as reading all of it does.
func (s sideFiles) inIt(err error) error {
	if s.version == nil {
		return err
	}
	return fmt.Errorf("version %d: %w", s.version.Number, err)
}

// reads reports whether a piece's file is read.
func (t *together) reads(file string) bool { return t.wanted[t.names[file]] }

func isPiece(file string) bool { return strings.HasPrefix(file, pattern.PieceFolder) }

// nameAll names all pieces; ok is false where the sides do not have the same ones.
// Those whose files differ are read, the others only where nothing is kept of them.
func (t *together) nameAll(r *repo.Repo) (ok bool, err error) {
	then, now := t.sides[0].ids, t.sides[1].ids
	differs := func(file string) bool { return isPiece(file) && then[file] != now[file] }
	before, err := t.sides[0].some(differs)
	if err != nil {
		return false, err
	}
	for file := range then {
		if isPiece(file) && now[file] == "" {
			return false, nil
		}
	}
	all, err := t.heads(r, differs)
	if err != nil {
		return false, err
	}
	taken := make(map[string]bool, 2*len(all))
	for file, head := range all {
		if head == (pieceHead{}) || taken[head.name] || taken[head.id] {
			return false, nil
		}
		taken[head.name], taken[head.id], t.names[file] = true, true, head.name
		if !differs(file) {
			continue
		}
		if was := headOf(before[file]); was != head {
			return false, nil
		}
		t.changed[head.name] = true
	}
	return true, nil
}

// pieceHead is a piece's name and id as its file begins with them; the zero one is
// that of a file that begins otherwise.
type pieceHead struct{ name, id string }

func headOf(text []byte) pieceHead {
	name, id, ok := pattern.PieceHead(text)
	if !ok {
		return pieceHead{}
	}
	return pieceHead{name, id}
}

// heads are those of all piece files of the second side, by file.
func (t *together) heads(r *repo.Repo, differs func(file string) bool) (map[string]pieceHead, error) {
	now := maps.Clone(t.sides[1].ids)
	maps.DeleteFunc(now, func(file, _ string) bool { return !isPiece(file) })
	kept := r.Heads(now)
	all := make(map[string]pieceHead, len(now))
	for file, id := range now {
		if text, ok := kept[id]; ok && !differs(file) {
			all[file] = headOf([]byte(text))
		}
	}
	rest, err := t.sides[1].some(func(file string) bool { return isPiece(file) && all[file] == (pieceHead{}) })
	if err != nil {
		return nil, err
	}
	missing := 0
	for file, text := range rest {
		all[file] = headOf(text)
		if kept[now[file]] == "" {
			missing++
		}
		kept[now[file]] = twoLines(text)
	}
	r.KeepHeads(kept, missing)
	return all, nil
}

// twoLines are the first two lines of a file, in which a piece is named.
func twoLines(text []byte) string {
	first, rest, _ := strings.Cut(string(text[:min(len(text), 1000)]), "\n")
	second, _, _ := strings.Cut(rest, "\n")
	return first + "\n" + second + "\n"
}

// follow finds the pieces that have to be read besides those that changed: the
// others of seams and layers that one of them is in, and of those that are said
// otherwise. ok is false where a pattern cannot be read.
func (t *together) follow() (ok bool, err error) {
	t.wanted = maps.Clone(t.changed)
	var heads [2]*pattern.Pattern
	for k := range heads {
		if k == 1 && t.sides[0].ids[repo.PatternFile] == t.sides[1].ids[repo.PatternFile] {
			heads[1] = heads[0]
			break
		}
		files, err := t.sides[k].some(func(file string) bool { return file == repo.PatternFile })
		if err != nil {
			return false, err
		}
		if heads[k], err = pattern.DecodeHead(files[repo.PatternFile]); err != nil {
			return false, nil
		}
	}
	if !slices.Equal(heads[0].Sets, heads[1].Sets) {
		return false, nil // a piece that has not changed may have a set that is gone
	}
	for k, head := range heads {
		other := heads[1-k]
		for _, s := range head.Seams {
			t.want(s.PiecesOf(), slices.ContainsFunc(other.Seams, func(s2 pattern.Seam) bool { return reflect.DeepEqual(s, s2) }))
		}
		for _, l := range head.Layers {
			t.want(l.PiecesOf(), slices.ContainsFunc(other.Layers, func(l2 pattern.Layer) bool { return reflect.DeepEqual(l, l2) }))
		}
	}
	there := slices.Collect(maps.Values(t.names))
	for name := range t.wanted {
		if !slices.Contains(there, name) {
			return false, nil // reading all says what is wrong
		}
	}
	return true, nil
}

// want takes in the pieces of a seam or layer, unless both sides have the same
// one and none of its pieces changed.
func (t *together) want(pieces []string, same bool) {
	if same && !slices.ContainsFunc(pieces, func(name string) bool { return t.changed[name] }) {
		return
	}
	for _, name := range pieces {
		t.wanted[name] = true
	}
}

// withSame puts the pieces that were not read among those that were, in the
// order of a pattern.
func (t *together) withSame(read []change.PieceDiff) []change.PieceDiff {
	byName := map[string]change.PieceDiff{}
	for _, p := range read {
		byName[p.Piece] = p
	}
	slug := func(file string) string { return strings.TrimSuffix(file, ".yaml") }
	all := make([]change.PieceDiff, 0, len(t.names))
	for _, file := range slices.SortedFunc(maps.Keys(t.names), func(a, b string) int { return cmp.Compare(slug(a), slug(b)) }) {
		p, known := byName[t.names[file]]
		if !known {
			p = change.PieceDiff{Piece: t.names[file], State: change.Same}
		}
		all = append(all, p)
	}
	return all
}
