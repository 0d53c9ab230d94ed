package repo

import (
	"errors"
	"io/fs"
	"os"

	"github.com/go-git/go-git/v5/plumbing"
)

// Git's index holds the files beside the pattern's own as well, and what it holds
// otherwise than the version counts for git as what somebody wants the next
// version to have. So an index that stays behind, because the command died or
// another program had it locked, would make the next version by git take back
// what a merge brought. Before such files change it is noted which version the
// index is at; the note goes when the index is written.

// behindFile holds that version's id.
const behindFile = "indexed"

// noteBehind notes the version that the index is at, where files beside the
// pattern's own are about to change.
func (p *workingPlan) noteBehind(at plumbing.Hash) error {
	if !p.besides || at.IsZero() {
		return nil
	}
	if known, err := p.r.indexBehind(); err != nil || !known.IsZero() {
		return err
	}
	return p.r.ops.Overwrite(p.r.own(behindFile), []byte(at.String()+"\n"))
}

// indexBehind is the version noted, zero where there is none. A torn note was
// never acted upon.
func (r *Repo) indexBehind() (plumbing.Hash, error) {
	content, err := os.ReadFile(r.own(behindFile))
	if errors.Is(err, fs.ErrNotExist) {
		return plumbing.ZeroHash, nil
	}
	if err != nil {
		return plumbing.ZeroHash, err
	}
	id, err := parseID(content)
	if err != nil || len(content) != 2*len(id)+1 {
		return plumbing.ZeroHash, nil
	}
	return id, nil
}

func (r *Repo) forgetBehind() error {
	if !exists(r.own(behindFile)) {
		return nil
	}
	return r.ops.Remove(r.own(behindFile))
}

// mendIndex writes the index where it stayed behind.
func (r *Repo) mendIndex() error {
	behind, err := r.indexBehind()
	if err != nil || behind.IsZero() {
		return errors.Join(err, r.forgetBehind())
	}
	p := r.position()
	now, err := r.contentsOfCommit(p.tip)
	if err != nil || p.tip.IsZero() {
		return err
	}
	if err := r.announce(p.tip, p.tip, announcedIndex()); err != nil {
		return err
	}
	defer r.settled()
	r.lockIndex().write("nothing is lost", now, now, r.workingStats(now))
	return nil
}
