package repo

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// Exchange says how versions are sent or received.
type Exchange struct {
	Names  bool // given names of versions travel too
	All    bool // every branch is sent, not only the one the folder is on
	Agreed bool // somebody has seen what goes out to a place for the first time
	Anew   bool // a file that is gone from its place is written again
	// Say tells how it goes on, in short lines that are fit to be shown.
	Say func(string)
	// Check is asked about the newest version of each branch that comes; its
	// error refuses everything.
	Check    func(Files) error
	Programs Programs

	silence time.Duration // how long a server may say nothing; 0 for the usual
}

func (x Exchange) say(text string) {
	if x.Say != nil {
		x.Say(Printable(text))
	}
}

// BranchState is how a branch here and the same branch at a place stand.
type BranchState int

const (
	BranchSame      BranchState = iota
	BranchAdvanced              // the one here was brought to the one there
	BranchUnsaved               // it would have been, but the folder holds unsaved work
	BranchAhead                 // here are versions that are not there
	BranchDiverged              // both have versions of their own
	BranchOnlyThere             // there is no branch of that name here
)

// ReceivedBranch is one branch of a place after receiving.
type ReceivedBranch struct {
	Name        string
	State       BranchState
	Here, There int      // versions that only one side has
	Last        Version  // the last one there
	Unsaved     []string // the files, if the state is BranchUnsaved
	Beside      bool     // those are files beside the pattern's own
}

// Received is what came.
type Received struct {
	Place     Place
	Versions  int // that were not here before
	Branches  []ReceivedBranch
	Names     []string // given names that were taken over
	Clashing  []string // names that mean something else here and stay so
	NamesLeft int      // names there that were not asked for
	Left      []string // branches whose names cannot be used here
}

// Receive fetches what a place has and this pattern lacks. Everything is vetted
// before anything is kept; a *RefusedError says what was not taken. It is kept
// under the place's name; branches here that only lack what came are moved on,
// the one the folder is on only if everything in the folder is in a version.
func (r *Repo) Receive(ctx context.Context, p Place, x Exchange) (Received, error) {
	if _, tip, err := r.tip(); err == nil && tip.IsZero() {
		return Received{}, fmt.Errorf("there is no version here yet, so that this pattern and the one at %s have nothing in common; make a copy of that one in a folder of its own with `toile share copy`", p.Address.where())
	}
	a, err := r.fetchFrom(ctx, p, x, x.Names)
	if err != nil {
		return Received{}, err
	}
	defer a.discard()
	unlock, err := r.Lock()
	if err != nil {
		return Received{}, err
	}
	defer unlock()
	if err := r.checkUnfinished(); err != nil {
		return Received{}, err
	}
	out, err := r.keepArrival(a)
	if err != nil {
		return Received{}, err
	}
	for _, name := range slices.Sorted(maps.Keys(a.branches)) {
		b, err := r.follow(name, a.branches[name])
		if err != nil {
			return Received{}, keptBeside(a.place.Name+"/"+name, err)
		}
		out.Branches = append(out.Branches, b)
	}
	return out, keptBeside(a.place.Name, r.keepNames(a, x.Names, &out))
}

// keptBeside says of an error that what came is here all the same.
func keptBeside(theirs string, err error) error {
	if err == nil {
		return nil
	}
	done := fmt.Sprintf("what came is kept as %s, and no more was changed", Printable(theirs))
	if e := (*LockFileError)(nil); errors.As(err, &e) {
		told := *e
		told.Done = done
		return &told
	}
	return fmt.Errorf("%s: %w", done, err)
}

// keepArrival makes a delivery part of the pattern: its objects, then the
// place's branches, then git's configuration. The caller holds the lock.
func (r *Repo) keepArrival(a *arrival) (Received, error) {
	out := Received{Place: a.place, Versions: len(a.vet.done), Left: a.left}
	if a.spool != nil {
		if err := r.keepPack(a.spool, a.pack); err != nil {
			return out, fmt.Errorf("what came could not be kept: %w", cannotWrite(r.root, err))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(a.branches)) {
		if err := r.setRef(a.place.prefix()+name, a.branches[name]); err != nil {
			return out, err
		}
	}
	if err := r.settleIntent(a.place); err != nil {
		return out, err
	}
	err := r.remember(a.place, false)
	out.Place.Known = err == nil
	return out, err
}

func (r *Repo) keepNames(a *arrival, names bool, out *Received) error {
	tags, err := r.listRefs(tagsPrefix)
	if err != nil {
		return err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(a.names)) {
		id := a.names[name]
		have, taken := tags[name]
		_, branch := heads[name]
		switch {
		case taken && have == id:
		case taken || branch:
			if names {
				out.Clashing = append(out.Clashing, r.clash(name, id, have))
			}
		case !names:
			out.NamesLeft++
		case !id.IsZero():
			if err := r.setRef(tagsPrefix+name, id); err != nil {
				return err
			}
			out.Names = append(out.Names, name)
		}
	}
	return nil
}

// clash says what a name means at a place and what it means here.
func (r *Repo) clash(name string, there, here plumbing.Hash) string {
	words := func(id plumbing.Hash) string {
		if at, ok, err := r.peel(id); err == nil && ok && !id.IsZero() {
			if v, err := r.version(at); err == nil {
				return fmt.Sprintf("version %d (%s)", v.Number, at.String()[:shownStart])
			}
		}
		return ""
	}
	if here.IsZero() {
		return name + ", a branch here"
	}
	if t, h := words(there), words(here); t != "" && h != "" {
		return fmt.Sprintf("%s, there %s, here %s", name, t, h)
	}
	return name
}

// shownStart is how much of an id is shown: enough for thousands of versions.
const shownStart = 8

// setRef moves a reference to id, wherever it stood. The caller holds the lock.
func (r *Repo) setRef(ref string, id plumbing.Hash) error {
	old, _, err := r.readRef(ref)
	if err != nil || old == id {
		return err
	}
	tip := r.held.position.tip
	if err := r.announce(tip, tip, announced{path: ref + ".lock", content: []byte(id.String() + "\n")}); err != nil {
		return err
	}
	defer r.settled()
	return r.moveRef(ref, old, id, nil)
}

// follow brings a branch here to where it is at a place, if nothing is lost.
func (r *Repo) follow(name string, there plumbing.Hash) (ReceivedBranch, error) {
	b := ReceivedBranch{Name: name}
	var err error
	if b.Last, err = r.version(there); err != nil {
		return b, err
	}
	here, found, err := r.readRef(headsPrefix + name)
	if err != nil {
		return b, err
	}
	current, _, err := r.head()
	if err != nil {
		return b, err
	}
	if !found {
		b.State = BranchOnlyThere
		return b, nil
	}
	if b.Here, b.There, err = r.apart(here, there); err != nil {
		return b, err
	}
	switch {
	case b.Here > 0 && b.There > 0:
		b.State = BranchDiverged
	case b.Here > 0:
		b.State = BranchAhead
	case b.There > 0 && name == current:
		err = r.advance(&b, here, there)
	case b.There > 0:
		b.State = BranchAdvanced
		err = r.setRef(headsPrefix+name, there)
	case name == current: // what an earlier command could not do, as a commit does it
		now, err := r.contentsOfCommit(here)
		if err != nil {
			return b, err
		}
		r.refreshIndex(here, now)
	}
	return b, err
}

// apart counts the versions that only one of two has before it, itself
// included.
func (r *Repo) apart(here, there plumbing.Hash) (onlyHere, onlyThere int, err error) {
	mine, err := r.ancestors([]plumbing.Hash{here}, nil)
	if err != nil {
		return 0, 0, err
	}
	theirs, err := r.ancestors([]plumbing.Hash{there}, nil)
	if err != nil {
		return 0, 0, err
	}
	for id := range mine {
		if !theirs[id] {
			onlyHere++
		}
	}
	for id := range theirs {
		if !mine[id] {
			onlyThere++
		}
	}
	return onlyHere, onlyThere, nil
}

// advance moves the branch that the folder is on, and the folder with it, in
// the order in which a save does. With unsaved work in the folder it leaves both.
func (r *Repo) advance(b *ReceivedBranch, from, to plumbing.Hash) error {
	before, err := r.contentsOfCommit(from)
	if err != nil {
		return err
	}
	folder, err := r.Folder()
	if err != nil {
		return err
	}
	if b.Unsaved = dirty(&contents{files: folder.ids}, before); len(b.Unsaved) > 0 {
		b.State = BranchUnsaved
		return nil
	}
	files, err := r.Read(Version{ID: to.String()})
	if err != nil {
		return err
	}
	work, err := r.planWorking(files, absent(folder.ids, files))
	if err != nil {
		return err
	}
	defer work.discard()
	now, err := r.contentsOfCommit(to)
	if err != nil {
		return err
	}
	err = work.carryOthers(from, before, now, false)
	if edited := (*BesideError)(nil); errors.As(err, &edited) {
		b.State, b.Unsaved, b.Beside = BranchUnsaved, edited.Names, true
		return nil
	}
	if err != nil {
		return err
	}
	if err := r.advanceTo(headsPrefix+b.Name, before, from, to, work); err != nil {
		return err
	}
	b.State = BranchAdvanced
	return nil
}

// advanceTo carries out what advance has planned.
func (r *Repo) advanceTo(ref string, before *contents, from, to plumbing.Hash, work *workingPlan) error {
	now, err := r.contentsOfCommit(to)
	if err != nil {
		return err
	}
	err = r.announce(from, to, announced{path: ref + ".lock", content: []byte(to.String() + "\n")}, announcedIndex())
	if err != nil {
		return err
	}
	defer r.settled()
	index := r.lockIndex()
	defer index.release()
	err = r.moveRef(ref, from, to, func() (func(), error) {
		if r.position() != r.held.position {
			return nil, fmt.Errorf("the branch: %w; run the command again", ErrMoved)
		}
		return work.undo, work.apply()
	})
	if err != nil {
		return err
	}
	work.noteSeen()
	r.held.position.tip = to
	index.write("the versions are here", before, now, work.stats)
	r.saveTable()
	return nil
}

// fileName is what the one file of a pattern is called if nobody says.
func (r *Repo) fileName() string {
	a := Address{way: byFile, path: filepath.Base(r.root)}
	return a.shortName()
}
