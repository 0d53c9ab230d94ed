package repo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A place may be a git repository on this machine or a shared disk: one that
// only keeps versions, as `git init --bare` makes it, or somebody's pattern,
// which is read and never written. Both are read and written as our own pattern
// is, without the git program: so no hook and no program that is named in there
// runs.

// keptAt finds the repository that a folder is or holds. keeps says that it only
// keeps versions, so that others may send to it.
func keptAt(path string) (git string, keeps, found bool) {
	for _, git := range []string{filepath.Join(path, ".git"), path} {
		if isFolder(filepath.Join(git, "objects")) && exists(filepath.Join(git, headFile)) {
			c, err := readConfig(filepath.Join(git, configFile))
			keeps := err == nil && isTrue(c.Raw.Section("core").Option("bare"))
			return git, keeps, true
		}
	}
	return "", false, false
}

// openKept opens a repository at a place. What could not be read as git reads it
// is refused.
func (r *Repo) openKept(path, git string) (*Repo, error) {
	if sameFile(git, r.git) {
		return nil, fmt.Errorf("%s is this pattern itself; name another place", Printable(path))
	}
	k := repoIn(r.ops, path, git)
	k.refPatience = r.refPatience
	err := k.checkGitFolder()
	if err == nil {
		if k.config, err = readConfig(k.path(configFile)); err == nil {
			err = checkFormat(k.config)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", Printable(path), err)
	}
	if mode := sharedMode(k.config.Raw.Section("core").Option("sharedrepository")); mode != 0 {
		k.ops = sharedOps{k.ops, mode}
	}
	k.reopen()
	return k, nil
}

// sharedMode is what others are to be allowed on top of what this account's own
// setting gives them, as git's core.sharedRepository has it.
func sharedMode(value string) fs.FileMode {
	switch strings.ToLower(value) {
	case "", "umask", "false", "no", "off", "0":
		return 0
	case "group", "true", "yes", "on", "1":
		return 0o660
	case "all", "world", "everybody", "2":
		return 0o664
	}
	mode, err := strconv.ParseUint(value, 8, 16)
	if err != nil {
		return 0
	}
	return fs.FileMode(mode) & 0o666
}

// sharedOps makes files and folders that a group may use as well.
type sharedOps struct {
	fileOps
	mode fs.FileMode
}

func (s sharedOps) Create(path string, perm fs.FileMode) (outFile, error) {
	f, err := s.fileOps.Create(path, perm)
	if err != nil {
		return nil, err
	}
	add := s.mode
	if perm&0o222 == 0 {
		add &^= 0o222 // what is never written again stays so
	}
	return f, s.allow(path, add)
}

func (s sharedOps) Mkdir(path string) error {
	if isFolder(path) {
		return nil
	}
	if err := s.fileOps.Mkdir(path); err != nil {
		return err
	}
	return s.allow(path, s.mode|(s.mode&0o444)>>2) // whoever may read a folder may enter it
}

// allow adds to what is allowed. The bit that hands a folder's group on stays.
func (s sharedOps) allow(path string, add fs.FileMode) error {
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm()|add == info.Mode().Perm() {
		return err
	}
	return s.Chmod(path, info.Mode()&(fs.ModePerm|fs.ModeSetgid)|add)
}

// keptListing is what a repository on this machine offers.
func (r *Repo) keptListing() (*listing, error) {
	l := &listing{refs: map[string]plumbing.Hash{}}
	for _, prefix := range []string{headsPrefix, tagsPrefix} {
		refs, err := r.listRefs(prefix)
		if err != nil {
			return nil, err
		}
		for name, id := range refs {
			l.refs[prefix+name] = id
		}
	}
	if len(l.refs) > maxShareRefs {
		return nil, refuse("it lists more than %d branches and names", maxShareRefs)
	}
	if branch, _, err := r.head(); err == nil && branch != "" {
		l.can = []string{"symref=HEAD:" + headsPrefix + branch}
	}
	return l, nil
}

// keptSource delivers from a repository on this machine.
type keptSource struct {
	kept  *Repo
	here  *Repo // what is being delivered lies there meanwhile
	w     *watch
	spool *spooled
	file  *os.File
}

func (s *keptSource) listing() (*listing, error)  { return s.kept.keptListing() }
func (s *keptSource) needs() []plumbing.Hash      { return nil }
func (s *keptSource) has(id plumbing.Hash) bool   { _, err := s.kept.commit(id); return err == nil }
func (s *keptSource) lacks(id plumbing.Hash) bool { return !s.has(id) }
func (s *keptSource) close(failed error) error {
	if s.file != nil {
		_ = s.file.Close()
	}
	if s.spool != nil {
		s.spool.discard()
	}
	_ = s.kept.Close() // only reading descriptors
	return s.w.why(failed)
}

func (s *keptSource) deliver(_ *listing, want, have []plumbing.Hash) (io.Reader, error) {
	without, err := s.kept.ancestors(slices.DeleteFunc(slices.Clone(have), s.lacks), nil)
	if err != nil {
		return nil, err
	}
	stop := s.w.pause()
	defer stop()
	if s.spool, err = s.kept.packTo(s.here, want, without); err != nil {
		if e := (*notTakenError)(nil); errors.As(err, &e) && e.size > 0 {
			return nil, tooMuch(e.size)
		}
		return nil, refused("what is there cannot be taken", err)
	}
	if s.file, err = s.spool.open(); err != nil {
		return nil, err
	}
	return s.w.reader(s.file), nil
}

// sendKept gives versions to a repository on this machine that only keeps them.
func (r *Repo) sendKept(ctx context.Context, p Place, x Exchange, git string, branches, names map[string]plumbing.Hash) (Sent, error) {
	k, err := r.openKept(p.Address.path, git)
	if err != nil {
		return Sent{}, err
	}
	defer k.Close()
	s := &sending{r: r, place: p, x: x, sent: Sent{Place: p}}
	s.watch = newWatch(ctx, "sending to "+p.Address.where(), x.silence, x.say)
	defer s.watch.close()
	defer s.watch.pause()() // what is done on this machine needs no watching
	if s.there, err = k.keptListing(); err != nil {
		return Sent{}, err
	}
	known, err := s.known()
	if err != nil {
		return Sent{}, err
	}
	if err := s.plan(branches, names, known); err != nil {
		return Sent{}, err
	}
	if s.late == "" && len(s.moves) > 0 {
		if err := s.giveTo(k, known); err != nil {
			return Sent{}, fmt.Errorf("%s: %w", p.Address, cannotWrite(p.Address.path, err))
		}
	}
	if s.late != "" {
		return Sent{}, r.receiveInstead(ctx, p, x, s.late)
	}
	return s.sent, afterSending(p, r.noteSent(&s.sent, branches))
}

// giveTo stores what is new and then moves branches and names, each only from
// where it was seen to stand.
func (s *sending) giveTo(k *Repo, known map[plumbing.Hash]bool) error {
	if err := s.ctxErr(); err != nil {
		return err
	}
	var tips []plumbing.Hash
	for _, m := range s.moves {
		tips = append(tips, m.new)
	}
	spool, err := s.r.packTo(k, tips, known)
	if err != nil {
		return err
	}
	defer spool.discard()
	in, err := spool.open()
	if err != nil {
		return err
	}
	defer in.Close()
	p, err := readPack(in, spool.size, k.lender())
	if err != nil {
		return err
	}
	if err := k.keepPack(spool, p); err != nil {
		return err
	}
	if err := s.intend(); err != nil {
		return err
	}
	return s.moveAt(k)
}

// moveAt moves branches and names in a repository that has the versions already.
func (s *sending) moveAt(k *Repo) error {
	for i, m := range s.moves {
		err := k.moveRef(m.ref, m.old, m.new, nil)
		if err != nil && i == 0 {
			s.takeBackIntent()
		}
		if name, branch := strings.CutPrefix(m.ref, headsPrefix); branch && errors.Is(err, ErrMoved) {
			s.late = name
			return nil
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *sending) ctxErr() error { return s.watch.why(s.watch.ctx.Err()) }

// Look tells what stands in the way of sending to a place on this machine,
// before anybody is asked whether it may be seen there: no folder, another
// pattern, a place that others may not send to. A server is not asked.
func (r *Repo) Look(ctx context.Context, p Place, x Exchange) error {
	if !p.Address.IsFile() {
		return nil
	}
	git, keeps, found := keptAt(p.Address.path)
	if found && !keeps && !sameFile(git, r.git) {
		return workedIn(p.Address)
	}
	if !found {
		file, there, err := r.fileAt(p, r.fileName())
		if err != nil {
			return err
		}
		if !there {
			return r.checkMissing(p, file, x)
		}
	}
	x.Say = nil
	a, err := r.fetchFrom(ctx, p, x, false)
	if a != nil {
		a.discard()
	}
	if errors.Is(err, errEmptyPlace) {
		return nil
	}
	return err
}

func sameFile(a, b string) bool {
	first, errA := os.Stat(a)
	second, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(first, second)
}

// workedIn refuses to send into a folder that somebody works in.
func workedIn(a Address) error {
	return fmt.Errorf("%s is a folder that somebody works in, and nobody else changes what is kept there; go there and receive from here with `toile share receive FOLDER`, or send to a folder or a stick between the two; to put one file into that folder, name the file (NAME%s)", a, bundleEnding)
}
