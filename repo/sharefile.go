package repo

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// fileAt finds the one file of a place, as bundleAt does. Where the folder is
// away, the error says what to do if the place has moved.
func (r *Repo) fileAt(p Place, made string) (file string, there bool, err error) {
	file, there, err = bundleAt(p.Address.path, made)
	if p.Known && errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("%w%s", err, movedWords(p))
	}
	return file, there, err
}

func movedWords(p Place) string {
	return fmt.Sprintf(" If it has another path now, say so with `toile share place %s --at FOLDER`.", Printable(p.Name))
}

// checkMissing refuses to take a place for a new one where its file is gone: the
// stick may be out, and the folder only the one that it is mounted on.
func (r *Repo) checkMissing(p Place, file string, x Exchange) error {
	if !p.Known || x.Anew {
		return nil
	}
	had, err := r.tips(p.prefix())
	if err != nil || len(had) == 0 {
		return err
	}
	name := slices.Sorted(maps.Keys(had))[0]
	if _, usual := had[FirstBranch]; usual {
		name = FirstBranch
	}
	v, err := r.version(had[name])
	if err != nil {
		return err
	}
	return &MissingFileError{Place: p, File: file, Branch: name, Last: v}
}

// MissingFileError says that a place's file is not where it was.
type MissingFileError struct {
	Place  Place
	File   string
	Branch string // one that it held
	Last   Version
}

func (e *MissingFileError) Error() string {
	return fmt.Sprintf("%s is not there, though it held version %d of %s when it was last seen; is the stick in?%s If the file was taken away on purpose, `toile share send %s --anew` writes it again",
		Printable(e.File), e.Last.Number, Printable(e.Branch), movedWords(e.Place), Printable(e.Place.Name))
}

// nothingAt says that there is no file to receive from, and which there are.
func nothingAt(a Address) error {
	folder := a.path
	if strings.HasSuffix(a.path, bundleEnding) && !isFolder(a.path) {
		folder = filepath.Dir(a.path)
		if names := bundlesIn(folder); len(names) > 0 {
			return fmt.Errorf("there is no file %s; the folder holds %s", a, strings.Join(names, ", "))
		}
		return fmt.Errorf("there is no file %s, nor another that ends in %s; look at the address", a, bundleEnding)
	}
	return fmt.Errorf("%s holds no file that ends in %s; nothing was sent there yet", Printable(folder), bundleEnding)
}

// bundlesIn lists the bundles in a folder, fit to be shown.
func bundlesIn(folder string) []string {
	found, err := filepath.Glob(filepath.Join(globEscape(folder), "*"+bundleEnding))
	if err != nil {
		return nil
	}
	var names []string
	for _, f := range found {
		names = append(names, Printable(filepath.Base(f)))
	}
	return names
}

// otherPattern says that a place holds another pattern, and what to do.
func (r *Repo) otherPattern(p Place) error {
	says := fmt.Sprintf("%s holds another pattern: it has no version in common with this one. For a copy of it in a folder of its own: `toile share copy %s DIR`", p.Address.where(), p.Address)
	if _, _, kept := keptAt(p.Address.path); p.Address.way == byFile && !kept {
		beside := filepath.Join(filepath.Dir(p.Address.path), r.fileName())
		for n := 2; exists(beside + bundleEnding); n++ {
			beside = filepath.Join(filepath.Dir(p.Address.path), fmt.Sprintf("%s-%d", r.fileName(), n))
		}
		says += fmt.Sprintf(". To send this one beside it: `toile share send %s`", Printable(beside+bundleEnding))
	}
	return errors.New(says)
}

// sendFile writes the one file of a folder anew: what is there and what is here.
// Two who write at once are kept apart by a lock file beside it.
func (r *Repo) sendFile(ctx context.Context, p Place, x Exchange, branches, names map[string]plumbing.Hash) (Sent, error) {
	file, there, err := r.fileAt(p, r.fileName())
	if err != nil {
		return Sent{}, err
	}
	if !there {
		if err := r.checkMissing(p, file, x); err != nil {
			return Sent{}, err
		}
	}
	p.settleFile(file)
	unlock, err := r.lockFileAt(file)
	if err != nil {
		return Sent{}, err
	}
	defer unlock()
	there = there || exists(file) // somebody may have made it meanwhile
	s := &sending{r: r, place: p, x: x, there: &listing{refs: map[string]plumbing.Hash{}}, sent: Sent{Place: p, File: file}}
	if there {
		if err := s.takeIn(ctx); err != nil {
			return Sent{}, err
		}
	}
	known, err := s.known()
	if err != nil {
		return Sent{}, err
	}
	if err := s.plan(branches, names, known); err != nil {
		return Sent{}, err
	}
	if s.late != "" {
		return Sent{}, r.sentFirst(p, s.late, s.there.refs[headsPrefix+s.late])
	}
	if err := s.writeFile(ctx, file); err != nil {
		return Sent{}, err
	}
	return s.sent, afterSending(p, r.noteSent(&s.sent, branches))
}

// takeIn receives what the file holds, so that nothing of it is lost when it is
// written anew.
func (s *sending) takeIn(ctx context.Context) error {
	a, err := s.r.fetchFrom(ctx, s.place, s.x, true)
	if err != nil {
		return err
	}
	defer a.discard()
	unlock, err := s.r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if _, err := s.r.keepArrival(a); err != nil {
		return err
	}
	for name, id := range a.branches {
		s.there.refs[headsPrefix+name] = id
	}
	for name, id := range a.names {
		if !id.IsZero() {
			s.there.refs[tagsPrefix+name] = id
		}
	}
	s.place.Known = true
	s.sent.Place = s.place
	return s.takeOdd(a.odd)
}

// takeOdd keeps what else is in the file, such as names that toile does not
// give, as long as it leads to versions that are here now.
func (s *sending) takeOdd(odd map[string]plumbing.Hash) error {
	known, err := s.r.reachable()
	if err != nil {
		return err
	}
	var lost []string
	for ref, id := range odd {
		if at, ok, err := s.r.peel(id); err == nil && ok && known[at] {
			s.there.refs[ref] = id
		} else {
			lost = append(lost, Printable(strings.TrimPrefix(ref, "refs/")))
		}
	}
	if slices.Sort(lost); len(lost) > 0 {
		return fmt.Errorf("the file there holds what a git program put into it and toile does not read (%s), and writing it anew would lose that; send to another file", strings.Join(lost, ", "))
	}
	return nil
}

// writeFile writes the file with what is to go there, if there is anything.
func (s *sending) writeFile(ctx context.Context, file string) error {
	if len(s.moves) == 0 {
		return nil
	}
	if err := s.intend(); err != nil {
		return err
	}
	s.watch = newWatch(ctx, "writing "+file, s.x.silence, s.x.say)
	defer s.watch.close()
	defer s.watch.pause()()
	refs := maps.Clone(s.there.refs)
	for _, m := range s.moves {
		refs[m.ref] = m.new
	}
	head := refs[headsPrefix+FirstBranch]
	if branch, _, err := s.r.head(); err == nil && head.IsZero() {
		head = refs[headsPrefix+branch]
	}
	err := s.r.writeBundle(file, refs, head)
	if err != nil {
		s.takeBackIntent()
	}
	return err
}
