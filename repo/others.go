package repo

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/index"
)

// Files beside the pattern's own: notes, pictures, whatever somebody keeps in the
// same repository. A commit carries them on untouched. Where the folder goes from
// one version to another, those that differ are written as git would: what lies
// in the folder as the version before has it is replaced, what somebody edited is
// not.

// otherChange is such a file that two versions do not hold alike; the zero entry
// is one that is not there.
type otherChange struct {
	path     string
	from, to treeEntry
}

func (c otherChange) plain() bool {
	return (c.from.id.IsZero() || c.from.isFile()) && (c.to.id.IsZero() || c.to.isFile())
}

// otherChanges lists the files beside the pattern's that differ, by path. Folders
// that are the same are not looked into.
func (r *Repo) otherChanges(before, now *contents) ([]otherChange, error) {
	was, err := r.flatten(before.othersNotIn(now))
	if err != nil {
		return nil, err
	}
	is, err := r.flatten(now.othersNotIn(before))
	if err != nil {
		return nil, err
	}
	var all []otherChange
	for name, e := range was {
		if is[name].id != e.id || is[name].mode != e.mode {
			all = append(all, otherChange{name, e, is[name]})
		}
	}
	for name, e := range is {
		if _, both := was[name]; !both {
			all = append(all, otherChange{name, treeEntry{}, e})
		}
	}
	slices.SortFunc(all, func(a, b otherChange) int { return cmp.Compare(a.path, b.path) })
	return all, nil
}

// othersNotIn leaves of the entries beside the pattern's those that another
// version does not have just so.
func (c *contents) othersNotIn(other *contents) *contents {
	out := newContents()
	for folder, entries := range c.others {
		if slices.Equal(entries, other.others[folder]) {
			continue
		}
		for _, e := range entries {
			if !slices.Contains(other.others[folder], e) {
				out.others[folder] = append(out.others[folder], e)
			}
		}
	}
	return out
}

// BesideError names files beside the pattern's own that a command would have to
// replace, and that hold what is in no version.
type BesideError struct{ Names []string }

func (e *BesideError) Error() string {
	return fmt.Sprintf("%s in the folder as no version has it, and another state of it would take its place; "+
		"keep it with `git add` and `git commit`, or move it elsewhere, and run the command again", listed(e.Names, "lies", "lie"))
}

// carryOthers plans what the folder needs to hold the files beside the pattern's
// as a version has them, from what another has. What somebody edited, or put
// there, is an error (BesideError); with leave it stays and is said. from is the
// version that git's index is at, zero if that is noted already.
func (p *workingPlan) carryOthers(from plumbing.Hash, before, now *contents, leave bool) error {
	changes, err := p.r.otherChanges(before, now)
	if err != nil || len(changes) == 0 {
		return err
	}
	p.besides = true
	staged := stagedEntries(p.r.readIndex())
	var edited []string
	var todo []otherStep
	for _, c := range changes {
		step, lost, err := p.r.otherStep(c, staged)
		if err != nil {
			return err
		}
		if lost {
			edited = append(edited, Printable(c.path))
		} else {
			todo = append(todo, step)
		}
	}
	if err := fileForFolder(changes); err != nil && len(edited) > 0 && !leave {
		return err
	}
	if len(edited) > 0 && !leave {
		return &BesideError{Names: edited}
	}
	if len(edited) > 0 {
		p.r.warn(fmt.Sprintf("%s in the folder as before, for no version has it so; `git diff` shows what differs", listed(edited, "stays", "stay")))
	}
	for _, step := range todo {
		if err := p.takeStep(step); err != nil {
			return err
		}
	}
	if err := p.settle(); err != nil {
		return err
	}
	return p.noteBehind(from)
}

// fileForFolder says which file of one version is a folder in the other, nil where
// there is none.
func fileForFolder(changes []otherChange) error {
	differs := map[string]bool{}
	for _, c := range changes {
		differs[c.path] = true
	}
	for _, c := range changes {
		for folder := path.Dir(c.path); folder != "."; folder = path.Dir(folder) {
			if differs[folder] {
				return fmt.Errorf("%s is a file in one of the two versions and a folder in the other, which is not carried here; nothing was changed; give one of them another name with `git mv` and `git commit`, on the branch that has it, and run the command again",
					Printable(folder))
			}
		}
	}
	return nil
}

func stagedEntries(i *index.Index) map[string]plumbing.Hash {
	if i == nil {
		return nil
	}
	ids := map[string]plumbing.Hash{}
	for _, e := range i.Entries {
		ids[e.Name] = e.Hash
	}
	return ids
}

// otherStep is one file that is to be carried, and what lies there.
type otherStep struct {
	otherChange
	lying
}

// lying is what lies in the folder where a file beside the pattern's is to be.
type lying struct {
	info    fs.FileInfo // nil where there is nothing
	id      plumbing.Hash
	content []byte // nil where it is no file, or too large to be read
	blocked bool   // something else than a file or a link lies there, or on the way to it
}

// otherStep looks at what lies there. lost says that it is in no version.
func (r *Repo) otherStep(c otherChange, staged map[string]plumbing.Hash) (step otherStep, lost bool, err error) {
	step = otherStep{otherChange: c}
	if id, known := staged[c.path]; known && id != c.from.id && id != c.to.id {
		return step, true, nil
	}
	if step.lying, err = r.lyingThere(c.path); err != nil || !c.plain() {
		return step, false, err
	}
	return step, step.blocked || step.info != nil && step.id != c.from.id && step.id != c.to.id, nil
}

// takeStep plans one file that may be replaced.
func (p *workingPlan) takeStep(s otherStep) error {
	switch there := s.info != nil; {
	case s.id == s.to.id && (!there || s.from.mode == s.to.mode || s.content == nil):
		if s.content != nil {
			p.stats[s.path] = fileStat{info: s.info}
		}
	case !s.plain():
		p.leave(s, "is a link or another repository in one of the versions")
	case there && s.content == nil:
		p.leave(s, "is too large to be replaced")
	case s.to.id.IsZero():
		p.changes = append(p.changes, workingChange{name: s.path, old: s.content, perm: s.info.Mode().Perm(), beside: true})
	default:
		return p.writeOther(s)
	}
	return nil
}

// leave says of a file that it stays as it lies, and how git brings it.
func (p *workingPlan) leave(s otherStep, why string) {
	then := fmt.Sprintf("`git checkout HEAD -- %s` brings it", Printable(s.path))
	if s.to.id.IsZero() {
		then = "this version has none, and it may be taken away"
	}
	p.r.warn(fmt.Sprintf("%s %s; it was left as it lies: %s", Printable(s.path), why, then))
}

// lyingThere looks at the place of a file beside the pattern's.
func (r *Repo) lyingThere(name string) (l lying, err error) {
	for folder := path.Dir(name); folder != "."; folder = path.Dir(folder) {
		info, err := os.Lstat(filepath.Join(r.root, filepath.FromSlash(folder)))
		if err == nil && !info.IsDir() || err != nil && !errors.Is(err, fs.ErrNotExist) {
			return lying{blocked: true}, nil
		}
	}
	file := filepath.Join(r.root, filepath.FromSlash(name))
	info, err := os.Lstat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return lying{}, nil
	case err != nil:
		return lying{}, err
	case info.Mode()&fs.ModeSymlink != 0:
		to, err := os.Readlink(file)
		return lying{info: info, id: plumbing.ComputeHash(plumbing.BlobObject, []byte(to)), blocked: true}, err
	case !info.Mode().IsRegular():
		return lying{info: info, blocked: true}, nil
	}
	l = lying{info: info}
	f, err := os.Open(file)
	if err != nil {
		return l, err
	}
	defer f.Close()
	if info.Size() > maxObject {
		h := plumbing.NewHasher(plumbing.BlobObject, info.Size())
		_, err = io.Copy(h, f)
		l.id = h.Sum()
		return l, err
	}
	l.content, err = io.ReadAll(io.LimitReader(f, maxObject+1))
	if l.content == nil {
		l.content = []byte{}
	}
	l.id = plumbing.ComputeHash(plumbing.BlobObject, l.content)
	return l, err
}

// writeOther stages a file as the version has it.
func (p *workingPlan) writeOther(c otherStep) error {
	for _, part := range strings.Split(c.path, "/") {
		if err := vetName(part); err != nil {
			p.r.warn(fmt.Sprintf("%v; it was not written into the folder", err))
			return nil
		}
	}
	if p.r.tooLargeToRead(c.to.id) {
		p.leave(c, "is too large to be written here")
		return nil
	}
	content, err := p.r.object(plumbing.BlobObject, c.to.id)
	if err != nil {
		return fmt.Errorf("%s: %w", Printable(c.path), err)
	}
	if err := mkdirAll(p.r.ops, filepath.Dir(filepath.Join(p.r.root, filepath.FromSlash(c.path)))); err != nil {
		return fmt.Errorf("%s: %w", Printable(c.path), cannotWrite(p.r.root, err))
	}
	w := workingChange{name: c.path, old: c.content, perm: 0o666, id: c.to.id, beside: true}
	if c.info != nil {
		w.perm = c.info.Mode().Perm() &^ executable
	}
	if c.to.mode == modeExecutable {
		w.perm |= executable
	}
	if w.staged, err = p.staging.add(p.r.own(tempFolder), "", content, w.perm); err != nil {
		return fmt.Errorf("%s: %w", Printable(c.path), err)
	}
	p.changes = append(p.changes, w)
	return nil
}

// tooLargeToRead tells of a file that git keeps and that is not read into memory.
func (r *Repo) tooLargeToRead(id plumbing.Hash) bool {
	size, err := r.store.size(id)
	return err == nil && size > maxObject
}

// dropEmptyFolders takes away the folders that files beside the pattern's have
// left empty, as git does.
func (p *workingPlan) dropEmptyFolders() {
	for _, c := range p.changes {
		if !c.beside || c.staged != nil {
			continue
		}
		for folder := path.Dir(c.name); folder != "." && !slices.Contains(folders, folder); folder = path.Dir(folder) {
			at := filepath.Join(p.r.root, filepath.FromSlash(folder))
			if left, err := os.ReadDir(at); err != nil || len(left) > 0 || p.r.ops.Remove(at) != nil {
				break
			}
		}
	}
}

// tipAfter is the last version of the branch that the folder is on then.
func (r *Repo) tipAfter(t *taking) (plumbing.Hash, error) {
	branch := r.held.position.branch
	if t.branch != "" {
		branch = t.branch
	}
	tip, _, err := r.readRef(headsPrefix + branch)
	for _, m := range t.heads {
		if m.name == branch {
			tip = m.to
		}
	}
	return tip, err
}

// carryOthersBack plans the files beside the pattern's own as the version has
// them to which the folder returns.
func (r *Repo) carryOthersBack(from plumbing.Hash, before *contents, tip plumbing.Hash, work *workingPlan) error {
	if tip.IsZero() {
		return nil // no version to be returned to, and none that they came from
	}
	now, err := r.contentsOfCommit(tip)
	if err != nil {
		return err
	}
	return work.carryOthers(from, before, now, true)
}
