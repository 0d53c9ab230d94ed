package repo

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// What others have must never be undone here. What they are known to have lies in
// refs/remotes; besides that there is what may have reached them, noted before it
// goes out, and what went to places that are forgotten by now.

const (
	sentPrefix  = "refs/toile/sent/"
	maybePrefix = sentPrefix + "to/"   // by place and branch
	gonePrefix  = sentPrefix + "gone/" // by id
)

// elsewhere are the versions that others have or may have, with all before them,
// by reference.
func (r *Repo) elsewhere() (map[string]plumbing.Hash, error) {
	there, err := r.listRefs(remotePrefix)
	if err != nil {
		return nil, err
	}
	more, err := r.listRefs(sentPrefix)
	for name, id := range more {
		there[sentPrefix+name] = id
	}
	return there, err
}

// intend notes what is about to go out, so that it counts as sent from now on,
// whatever happens to this machine or to the answer.
func (s *sending) intend() error {
	unlock, err := s.r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	for _, m := range s.moves {
		if name, branch := strings.CutPrefix(m.ref, headsPrefix); branch {
			if err := s.r.setRef(maybePrefix+s.place.Name+"/"+name, m.new); err != nil {
				return err
			}
		}
	}
	return nil
}

// takeBackIntent is for when it is certain that nothing went out.
func (s *sending) takeBackIntent() {
	unlock, err := s.r.Lock()
	if err != nil {
		return // it counts as sent until the next exchange with the place
	}
	defer unlock()
	_ = s.r.settleIntent(s.place)
}

// settleIntent drops what was noted before sending to a place, once it is known
// what the place has. The caller holds the lock.
func (r *Repo) settleIntent(p Place) error {
	return r.dropAll(maybePrefix + p.Name + "/")
}

// dropAll drops every reference under a prefix. The caller holds the lock.
func (r *Repo) dropAll(prefix string) error {
	refs, err := r.listRefs(prefix)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(refs)) {
		if err := r.drop(prefix+name, refs[name]); err != nil {
			return err
		}
	}
	return nil
}

// drop is dropRef with its lock files in the journal.
func (r *Repo) drop(ref string, old plumbing.Hash) error {
	tip := r.held.position.tip
	if err := r.announce(tip, tip, announced{path: ref + ".lock"}, announced{path: packedFile + ".lock"}); err != nil {
		return err
	}
	defer r.settled()
	return r.dropRef(ref, old, nil)
}

// afterSending says of an error that everything was sent before it.
func afterSending(p Place, err error) error {
	if err == nil {
		return nil
	}
	done := "it was sent to " + Printable(p.Name)
	if e := (*LockFileError)(nil); errors.As(err, &e) {
		told := *e
		told.Done = done + ", and only the note of that is missing"
		return &told
	}
	if errors.Is(err, ErrBusy) {
		return fmt.Errorf("%s; only the note of that is missing, because %w; send again when it is done", done, ErrBusy)
	}
	return fmt.Errorf("%s; only the note of that could not be made: %w", done, err)
}
