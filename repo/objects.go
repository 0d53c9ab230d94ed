package repo

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// maxObject is the greatest stored object that is read into memory: a file of a
// pattern, or a list of maxFiles names.
const maxObject = 4 << 20

var (
	errMissing = errors.New("a stored part is missing")
	errBroken  = errors.New("a stored part is not what was kept")
)

// afterPacking are the pauses before an object that was not found is looked for
// again. A git program that packs puts the new pack there before it removes the
// old ones; whoever lists the packs while it removes them still finds one that
// is gone a moment later. Removing takes milliseconds.
var afterPacking = []time.Duration{0, 2 * time.Millisecond, 10 * time.Millisecond, 50 * time.Millisecond}

// object reads one stored object and checks that it is what its id says. After
// a git program has repacked, an open pack may have gone: then everything is
// opened again.
func (r *Repo) object(kind plumbing.ObjectType, id plumbing.Hash) ([]byte, error) {
	_, content, err := r.objectOf(kind, id)
	return content, err
}

// objectOf is object where the kind may be any: it says which it is.
func (r *Repo) objectOf(kind plumbing.ObjectType, id plumbing.Hash) (plumbing.ObjectType, []byte, error) {
	found, content, err := r.fetch(kind, id)
	for i, pause := range afterPacking {
		if err == nil || i > 0 && !errors.Is(err, errMissing) {
			break // what is there and broken stays so
		}
		time.Sleep(pause)
		r.reopen()
		found, content, err = r.fetch(kind, id)
	}
	if err != nil {
		return found, nil, &DamagedError{What: "the pattern's versions are damaged", Object: id.String(), Err: err}
	}
	return found, content, nil
}

// fetch is objectOf without the second attempt.
func (r *Repo) fetch(kind plumbing.ObjectType, id plumbing.Hash) (found plumbing.ObjectType, content []byte, err error) {
	r.reads++
	o, err := r.store.read(id)
	switch {
	case errors.Is(err, errMissing) || errors.Is(err, fs.ErrNotExist):
		return kind, nil, errMissing
	case err != nil:
		return kind, nil, fmt.Errorf("%w (%v)", errBroken, err)
	case kind != plumbing.AnyObject && o.kind != kind:
		return kind, nil, errMissing
	case plumbing.ComputeHash(o.kind, o.content) != id:
		return kind, nil, errBroken
	}
	return o.kind, o.content, nil
}

// commit reads one version's own record.
func (r *Repo) commit(id plumbing.Hash) (*commitRecord, error) {
	if c, ok := r.commits[id]; ok {
		return c, nil
	}
	content, err := r.object(plumbing.CommitObject, id)
	if err != nil {
		return nil, err
	}
	c, err := decodeCommit(content)
	if err != nil {
		return nil, &DamagedError{What: "a version cannot be read", Object: id.String(), Err: err}
	}
	r.commits[id] = c
	return c, nil
}

// draft is an object that is to be stored.
type draft struct {
	kind    plumbing.ObjectType
	id      plumbing.Hash
	content []byte
}

func newDraft(kind plumbing.ObjectType, content []byte) draft {
	return draft{kind: kind, id: plumbing.ComputeHash(kind, content), content: content}
}

// keep stores objects, and all of them are durable when it returns. They are put
// in place in the order given, so that a program that dies leaves none without
// those it refers to; until a reference leads to them nobody asks for them. They
// are written even if objects of the same ids are somewhere: one that no version
// leads to may be cleared away by a git program at this moment, and one that
// another program wrote may not be on the disk yet.
func (r *Repo) keep(drafts []draft, with ...func() error) error {
	s := &staging{ops: r.ops}
	defer s.discard()
	if err := r.keepWith(s, drafts, with...); err != nil {
		return fmt.Errorf("the version could not be stored: %w", err)
	}
	return nil
}

// keepWith is keep, and makes what else is staged durable with the objects, and what
// with does.
func (r *Repo) keepWith(s *staging, drafts []draft, with ...func() error) error {
	var staged []*stagedFile
	var kept []draft
	twice := map[plumbing.Hash]bool{}
	for _, d := range drafts {
		if twice[d.id] || r.held != nil && r.held.kept[d.id] {
			continue // by this same command, and its step in the command log holds it
		}
		f, err := r.stageObject(s, d)
		if err != nil {
			return err
		}
		staged, kept, twice[d.id] = append(staged, f), append(kept, d), true
	}
	s.with = with
	if err := s.sync(); err != nil {
		return err
	}
	for i, d := range kept {
		if err := s.place(staged[i], r.objectPath(d.id)); err != nil {
			return err
		}
	}
	if err := r.syncObjects(kept); err != nil {
		return err
	}
	for _, d := range kept {
		if r.held != nil && r.step != nil {
			r.held.kept[d.id] = true
		}
	}
	return nil
}

// syncObjects makes the names of stored objects durable. A git program that packs
// takes those away that are in a pack as well, and the folder with the last of
// them; it may know of no version that leads to them, so these are stored again.
func (r *Repo) syncObjects(kept []draft) error {
	if len(kept) == 0 {
		return nil
	}
	folders := []string{r.path("objects")} // some of those in it may be new
	for _, d := range kept {
		if folder := filepath.Dir(r.objectPath(d.id)); !slices.Contains(folders, folder) {
			folders = append(folders, folder)
		}
	}
	gone := make([]bool, len(folders))
	syncs := make([]func() error, len(folders))
	for i, folder := range folders {
		syncs[i] = func() error {
			err := r.ops.SyncFolder(folder)
			if gone[i] = errors.Is(err, fs.ErrNotExist); gone[i] {
				return nil
			}
			return err
		}
	}
	if err := r.ops.Together(syncs); err != nil {
		return err
	}
	for _, d := range kept {
		if gone[slices.Index(folders, filepath.Dir(r.objectPath(d.id)))] {
			if err := r.keepAgain(d); err != nil {
				return err
			}
		}
	}
	return nil
}

// keepAgain stores one object by itself.
func (r *Repo) keepAgain(d draft) error {
	packed, err := deflate(d)
	if err != nil {
		return err
	}
	path := r.objectPath(d.id)
	err = inFolder(r.ops, filepath.Dir(path), func() error { return replace(r.ops, path, "tmp_obj_", packed, 0o444) })
	return errors.Join(err, r.ops.SyncFolder(r.path("objects")))
}

// objectPath is where git keeps a loose object.
func (r *Repo) objectPath(id plumbing.Hash) string {
	name := id.String()
	return r.path("objects/" + name[:2] + "/" + name[2:])
}

// stageObject writes a loose object beside where it is to be. The temporary name
// is one that git's own clearing up removes.
func (r *Repo) stageObject(s *staging, d draft) (f *stagedFile, err error) {
	packed, err := deflate(d)
	if err != nil {
		return nil, err
	}
	folder := filepath.Dir(r.objectPath(d.id))
	err = inFolder(r.ops, folder, func() error {
		f, err = s.add(folder, "tmp_obj_", packed, 0o444)
		return err
	})
	return f, err
}

// inFolder makes a folder where it is missing and writes into it; that the new
// folder itself is durable is left to what is done afterwards. A git program
// that packs removes folders that have become empty, also between the two: then
// it is done again.
func inFolder(ops fileOps, folder string, write func() error) error {
	const often = 10 // each needs a packing that ends in just that moment
	for n := 0; ; n++ {
		if err := makeFolder(ops, folder); err != nil {
			return err
		}
		if err := write(); !errors.Is(err, fs.ErrNotExist) || n == often {
			return err
		}
	}
}

// deflaters are kept, for each has tables of some 100 KB.
var deflaters sync.Pool

func deflater() (*zlib.Writer, error) {
	if w, ok := deflaters.Get().(*zlib.Writer); ok {
		return w, nil
	}
	return zlib.NewWriterLevel(io.Discard, zlib.BestSpeed)
}

// deflate is the object as git stores it loose: kind, length, content, through
// zlib at git's own level for loose objects.
func deflate(d draft) ([]byte, error) {
	var b bytes.Buffer
	w, err := deflater()
	if err != nil {
		return nil, err
	}
	defer deflaters.Put(w)
	w.Reset(&b)
	fmt.Fprintf(w, "%s %d\x00", d.kind, len(d.content)) // a Buffer never fails
	if _, err := w.Write(d.content); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
