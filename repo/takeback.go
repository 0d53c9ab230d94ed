package repo

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

var (
	// ErrNothingToUndo: the command log holds nothing that could be taken back.
	ErrNothingToUndo = errors.New("there is nothing to take back")
	// ErrNothingToRedo: the last command was no undo.
	ErrNothingToRedo = errors.New("there is nothing to make again")
)

// Undone says what Undo or Redo changed.
type Undone struct {
	Command string   // that was taken back or made again, ready to show
	Branch  string   // the branch that the folder is on now
	Moved   bool     // the folder was on another branch
	From    *Version // the branch's last version before, if it is another now
	To      *Version // its last version now, nil where it has none
	// Names and Branches are those that went, and those that came.
	NamesGone, NamesBack       []string
	BranchesGone, BranchesBack []string
	Files                      []string // working files that changed, ascending
	// Edited are those of Files that somebody changed after the command. Their
	// present content is kept in the command log: Redo returns to it.
	Edited []string
}

// Undo takes back the last command of the log that changed the pattern, under
// the lock and between Begin and End: the files that it changed, where branches
// and names stood, the pending recipes. Called again it takes back the one
// before. A version that was sent to others since is not taken back: a
// *SentError. A branch that has moved on since is an error (ErrMoved).
func (r *Repo) Undo() (Undone, error) {
	if _, err := r.Branch(); err != nil {
		return Undone{}, err
	}
	stack, err := r.readSteps()
	if err != nil {
		return Undone{}, err
	}
	for _, s := range slices.Backward(stack.undo) {
		t, err := r.planTakeBack(s)
		if err != nil {
			return Undone{}, err
		}
		if !t.empty() { // empty: it died before it changed anything
			return r.takeBack(t, s.number, false)
		}
	}
	return Undone{}, ErrNothingToUndo
}

// Redo makes again what the last Undo took back. It is possible until another
// command changes the pattern.
func (r *Repo) Redo() (Undone, error) {
	if _, err := r.Branch(); err != nil {
		return Undone{}, err
	}
	stack, err := r.readSteps()
	if err != nil {
		return Undone{}, err
	}
	if len(stack.redo) == 0 {
		return Undone{}, ErrNothingToRedo
	}
	taken := stack.redo[len(stack.redo)-1]
	t, err := r.planTakeBack(taken.undo)
	if err != nil {
		return Undone{}, err
	}
	t.command = taken.record.Command
	return r.takeBack(t, taken.undo.number, true)
}

// taking is what is to be taken back of one step.
type taking struct {
	command      string
	branch       string // to return to, empty where the branch stays
	heads, names []placeMove
	write        Files
	remove       []string
	edited       []string
	pending      []byte
	setPending   bool
}

func (t *taking) empty() bool {
	return t.branch == "" && len(t.heads)+len(t.names)+len(t.write)+len(t.remove) == 0 && !t.setPending
}

// placeMove moves a branch or name; the zero id is one that is not there.
type placeMove struct {
	ref, name string
	from, to  plumbing.Hash
}

func (r *Repo) planTakeBack(s *loggedStep) (*taking, error) {
	before, err := r.contentsOfCommit(s.id)
	if err != nil {
		return nil, err
	}
	now, err := r.place()
	if err != nil {
		return nil, err
	}
	working, err := r.Working()
	if err != nil {
		return nil, err
	}
	made := s.ended
	if made == nil { // it was broken off: all that differs is its doing
		running := &pendingStep{record: s.record}
		if s.record.Folder {
			running.files = before.files
		}
		c, err := r.changedSince(running)
		if err != nil {
			return nil, err
		}
		made = &c
	}
	t := &taking{command: s.record.Command, write: Files{}}
	if err := t.takeFiles(r, before, made, working); err != nil {
		return nil, err
	}
	if err := t.takeRefs(r, s.record.Before, made, now); err != nil {
		return nil, err
	}
	if s.ended == nil {
		if err := t.doubtful(r, s.record.Before, working); err != nil {
			return nil, err
		}
	}
	t.pending = s.record.Before.Pending
	t.setPending = made.Pending && string(now.Pending) != string(t.pending)
	return t, nil
}

// takeFiles plans the files that the step changed, as they were before it.
func (t *taking) takeFiles(r *Repo, before *contents, made *stepChanges, working Files) error {
	for _, name := range slices.Sorted(maps.Keys(made.Files)) {
		here := ""
		if content, ok := working[name]; ok {
			here = plumbing.ComputeHash(plumbing.BlobObject, content).String()
		}
		was := ""
		if id, ok := before.files[name]; ok {
			was = id.String()
		}
		if here == was {
			continue
		}
		if here != made.Files[name] {
			t.edited = append(t.edited, name)
		}
		if was == "" {
			t.remove = append(t.remove, name)
			continue
		}
		content, err := r.object(plumbing.BlobObject, before.files[name])
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		t.write[name] = content
	}
	return nil
}

// takeBack carries out what is planned, as a step of its own. Dying anywhere in
// it leaves that step without an end, so that the same undo can be done again
// and finishes what is left to do.
func (r *Repo) takeBack(t *taking, number int, redo bool) (Undone, error) {
	if err := r.checkReady(); err != nil {
		return Undone{}, err
	}
	if r.step == nil {
		return Undone{}, errors.New("an undo must be a command of the log itself (Begin)")
	}
	r.step.record.TakesBack, r.step.record.Redo = number, redo
	return r.carryOutTaking(t)
}

func (r *Repo) carryOutTaking(t *taking) (Undone, error) {
	from := r.held.position.tip
	before, err := r.contentsOfCommit(from)
	if err != nil {
		return Undone{}, err
	}
	work, err := r.planWorking(t.write, t.remove)
	if err != nil {
		return Undone{}, err
	}
	defer work.discard()
	to, err := r.tipAfter(t)
	if err != nil {
		return Undone{}, err
	}
	if err := r.carryOthersBack(from, before, to, work); err != nil {
		return Undone{}, err
	}
	done, err := r.undone(t)
	if err != nil {
		return Undone{}, err
	}
	if err := r.beforeChange(true); err != nil {
		return Undone{}, err
	}
	if t.setPending {
		if err := r.SetPending(t.pending); err != nil {
			return Undone{}, err
		}
	}
	index := &indexLock{r: r}
	defer func() { index.release() }()
	begun := func() {
		if to != from {
			index = r.lockIndex()
		}
	}
	if err := r.takeBackMoves(t, work, begun); err != nil {
		return Undone{}, err
	}
	work.noteSeen()
	r.held.position = r.position()
	now, err := r.contentsOfCommit(r.held.position.tip)
	if err != nil {
		return done, err
	}
	if to != from {
		r.refreshAfter(index, before, now)
	}
	return done, nil
}

// refreshAfter brings git's index, which is locked, to the version that the
// branch has now. The journal has a command that dies here mended by the next.
func (r *Repo) refreshAfter(index *indexLock, before, now *contents) {
	tip := r.held.position.tip
	if err := r.announce(tip, tip, announcedIndex()); err != nil {
		r.warn(fmt.Sprintf("git's own list of files could not be brought up to date (%v)", err))
		return
	}
	defer r.settled()
	index.write("the command is taken back", before, now, r.workingStats(now))
}

// takeBackMoves moves the references and puts the files in place together with
// the move that everybody sees: that of the branch that the folder is on, or
// that to another branch. begun is called once the journal names the locks.
func (r *Repo) takeBackMoves(t *taking, work *workingPlan, begun func()) error {
	tip := r.held.position.tip
	locks := []announced{{path: packedFile + ".lock"}, {path: headFile + ".lock"}, announcedIndex()}
	for _, m := range slices.Concat(t.heads, t.names) {
		locks = append(locks, announced{path: m.ref + ".lock"})
	}
	if err := r.announce(tip, tip, locks...); err != nil {
		return err
	}
	defer r.settled()
	begun()
	apply := func() (func(), error) { return work.undo, work.apply() }
	here := headsPrefix + r.held.position.branch
	applied := false
	for _, m := range slices.Concat(t.heads, t.names) {
		between := apply
		if m.ref != here || t.branch != "" {
			between = nil
		}
		if err := r.takeRef(m, between); err != nil {
			return err
		}
		applied = applied || between != nil
	}
	switch {
	case t.branch != "":
		return r.swap(r.path(headFile), []byte(symbolic+headsPrefix+t.branch+"\n"), apply)
	case !applied:
		return work.apply()
	}
	return nil
}

func (r *Repo) takeRef(m placeMove, between func() (func(), error)) error {
	if !m.to.IsZero() {
		return r.moveRef(m.ref, m.from, m.to, between)
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	if strings.HasPrefix(m.ref, headsPrefix) && len(heads) == 1 {
		if err := r.forgetTable(); err != nil {
			return err
		}
	}
	return r.dropRef(m.ref, m.from, between)
}

// undone says what is going to change.
func (r *Repo) undone(t *taking) (u Undone, err error) {
	u = Undone{Command: Printable(t.command), Branch: r.held.position.branch, Edited: t.edited}
	if t.branch != "" {
		u.Branch, u.Moved = t.branch, true
	}
	for _, m := range t.names {
		if m.to.IsZero() {
			u.NamesGone = append(u.NamesGone, m.name)
		} else {
			u.NamesBack = append(u.NamesBack, m.name)
		}
	}
	for _, m := range t.heads {
		switch {
		case m.name == u.Branch:
			if u.From, err = r.versionOrNone(m.from); err == nil {
				u.To, err = r.versionOrNone(m.to)
			}
			if err != nil {
				return u, err
			}
		case m.to.IsZero():
			u.BranchesGone = append(u.BranchesGone, m.name)
		case m.from.IsZero():
			u.BranchesBack = append(u.BranchesBack, m.name)
		}
	}
	u.Files = slices.Concat(t.write.names(), t.remove)
	slices.Sort(u.Files)
	return u, nil
}

func (r *Repo) versionOrNone(id plumbing.Hash) (*Version, error) {
	if id.IsZero() {
		return nil, nil
	}
	v, err := r.version(id)
	return &v, err
}
