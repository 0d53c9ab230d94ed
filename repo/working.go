package repo

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// Working reads the pattern's files as they lie in the folder. Files that are
// not the pattern's are passed over; one in pieces/ or fittings/ that ends in
// .yaml but cannot be kept (bad name, link, folder, over MaxFileSize) is an
// error, so that nobody believes it kept.
func (r *Repo) Working() (Files, error) {
	names, err := r.workingNames()
	if err != nil {
		return nil, err
	}
	files := Files{}
	for _, name := range names {
		content, _, err := r.readWorking(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		files[name] = content
	}
	if r.held != nil {
		r.held.seen = r.seenIDs(files)
	}
	return files, nil
}

// seenIDs are the ids of files that were just read under the lock.
func (r *Repo) seenIDs(files Files) map[string]plumbing.Hash {
	ids := make(map[string]plumbing.Hash, len(files))
	for name, content := range files {
		if g, ok := r.held.glances[name]; ok && len(g.content) > 0 && len(content) > 0 && &g.content[0] == &content[0] {
			ids[name] = g.id
		} else {
			ids[name] = plumbing.ComputeHash(plumbing.BlobObject, content)
		}
	}
	return ids
}

// workingNames lists the files of the layout that are in the folder, ascending.
func (r *Repo) workingNames() ([]string, error) {
	var names []string
	for _, name := range []string{PatternFile, RecipesFile, AttributesFile} {
		if exists(filepath.Join(r.root, name)) {
			names = append(names, name)
		}
	}
	for _, folder := range folders {
		if err := r.checkFolder(folder); err != nil {
			return nil, err
		}
		entries, err := os.ReadDir(filepath.Join(r.root, folder))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		for _, e := range entries {
			name := folder + "/" + e.Name()
			if !strings.HasSuffix(name, extension) || strings.HasPrefix(e.Name(), ".") {
				continue // an editor's own file, notes, pictures
			}
			if err := CheckPath(name); err != nil {
				return nil, err
			}
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}

// checkFolder refuses a folder of the layout that leads elsewhere.
func (r *Repo) checkFolder(folder string) error {
	if folder == "." {
		return nil
	}
	info, err := os.Lstat(filepath.Join(r.root, folder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil && !info.IsDir() {
		return fmt.Errorf("%s is not a folder but %s; put a folder in its place", folder, kindOf(info))
	}
	return err
}

// readWorking reads one working file, and what the file system said of it just
// before: a file changed while it is read then no longer fits.
func (r *Repo) readWorking(name string) ([]byte, fs.FileInfo, error) {
	return r.readWorkingLately(name, false)
}

// readWorkingLately is readWorking; lately is as for glanced.
func (r *Repo) readWorkingLately(name string, lately bool) ([]byte, fs.FileInfo, error) {
	file := filepath.Join(r.root, filepath.FromSlash(name))
	if g, ok := r.glanced(name, file, lately); ok && g.info != nil {
		return g.content, g.info, nil
	}
	looked := time.Now()
	mark, marked := markOf(file)
	content, info, err := readRegular(name, file)
	if err == nil && marked {
		r.keepGlance(name, mark, looked, content, info)
	}
	return content, info, err
}

// lookWorking is what a working file holds by its id: it is read only where its mark
// does not tell. lately is as for glanced.
func (r *Repo) lookWorking(name string, lately bool) (glance, error) {
	file := filepath.Join(r.root, filepath.FromSlash(name))
	if r.held != nil {
		if g, ok := r.glanced(name, file, lately); ok {
			return g, nil
		}
	}
	if m, known := r.knownMarks().of[name]; known {
		if mark, ok := markOf(file); ok && mark == m.mark {
			g := glance{mark: mark, settled: true, id: m.id}
			if r.held != nil {
				r.held.glances[name] = g
			}
			return g, nil
		}
	}
	content, info, err := r.readWorkingLately(name, lately)
	if err != nil {
		return glance{}, err
	}
	if r.held != nil {
		if g, ok := r.held.glances[name]; ok && g.info == info {
			return g, nil
		}
	}
	return glance{id: plumbing.ComputeHash(plumbing.BlobObject, content), content: content, info: info}, nil
}

// readRegular reads a file that is no link, pipe or the like. name is what it is
// called in errors.
func readRegular(name, file string) ([]byte, fs.FileInfo, error) {
	info, err := os.Lstat(file)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil, fmt.Errorf("%s is not a regular file but %s; put the file itself in its place", name, kindOf(info))
	}
	if info.Size() > MaxFileSize {
		return nil, nil, tooLarge(name, info.Size())
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	if opened, err := f.Stat(); err != nil || !os.SameFile(info, opened) {
		return nil, nil, errors.Join(err, fmt.Errorf("%s: %w; run the command again", name, ErrMoved))
	}
	content, err := readUpTo(f, info.Size())
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(content) > MaxFileSize {
		return nil, nil, tooLarge(name, int64(len(content)))
	}
	return content, info, nil
}

// readUpTo reads a file that had that size, in one go where it still has, and no
// more than a little over MaxFileSize.
func readUpTo(f io.Reader, size int64) ([]byte, error) {
	b := bytes.NewBuffer(make([]byte, 0, size+bytes.MinRead))
	_, err := b.ReadFrom(io.LimitReader(f, MaxFileSize+1))
	return b.Bytes(), err
}

func kindOf(info fs.FileInfo) string {
	switch mode := info.Mode(); {
	case mode&fs.ModeSymlink != 0:
		return "a link"
	case mode.IsDir():
		return "a folder"
	case mode.IsRegular():
		return "a file"
	}
	return "a device or pipe"
}

// WriteWorking puts files into the folder and removes others, each only where
// something changes: temporary file, sync, rename. Names outside the layout are
// refused. If one step fails, the steps before it are taken back. Under a lock
// within which Working was called, a file that somebody has saved since is not
// overwritten: the error wraps ErrMoved.
func (r *Repo) WriteWorking(files Files, removed []string) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := files.checkEach(); err != nil {
		return err
	}
	p, err := r.planWorking(files, removed)
	if err != nil {
		return err
	}
	defer p.discard()
	if len(p.changes) == 0 {
		return nil
	}
	if err := r.beforeChange(true); err != nil {
		return err
	}
	if err := p.apply(); err != nil {
		return err
	}
	p.noteSeen()
	return nil
}

// workingPlan is a set of changes to the folder, all of it on disk already in
// temporary files, so that only renames are left.
type workingPlan struct {
	r       *Repo
	staging staging
	changes []workingChange
	applied int
	besides bool // files beside the pattern's own differ too
	// stats describe the files that are as planned, for git's index.
	stats map[string]fileStat
}

type workingChange struct {
	name   string
	staged *stagedFile // nil where the file is to be removed
	id     plumbing.Hash
	old    []byte // what it replaces, nil where there was no file
	// content is what it is to hold, where it is the pattern's own.
	content []byte
	perm    fs.FileMode
	beside  bool // a file beside the pattern's own
}

// planWorking compares and stages; it changes nothing that anybody sees.
func (r *Repo) planWorking(files Files, removed []string) (*workingPlan, error) {
	return r.planKeeping(files, nil, removed)
}

// planKeeping is planWorking, where further files are to stay as they lie there.
func (r *Repo) planKeeping(files Files, same map[string]plumbing.Hash, removed []string) (*workingPlan, error) {
	p := &workingPlan{r: r, staging: staging{ops: r.ops}, stats: make(map[string]fileStat, len(files)+len(same))}
	err := p.keepAsIs(same)
	if err == nil {
		err = p.stageAll(files, removed)
	}
	if err == nil {
		err = p.settle()
	}
	if err != nil {
		p.discard()
		return nil, err
	}
	return p, nil
}

func (p *workingPlan) stageAll(files Files, removed []string) error {
	for _, name := range files.names() {
		if err := p.write(name, files[name]); err != nil {
			return err
		}
	}
	for _, name := range removed {
		if err := CheckPath(name); err != nil {
			return err
		}
		if _, both := files[name]; both {
			return fmt.Errorf("%s cannot be written and removed at once", name)
		}
		if err := p.remove(name); err != nil {
			return err
		}
	}
	return nil
}

func (p *workingPlan) write(name string, content []byte) error {
	if err := p.r.checkFolder(path.Dir(name)); err != nil {
		return err
	}
	id := plumbing.ComputeHash(plumbing.BlobObject, content)
	g, err := p.r.lookWorking(name, false)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err == nil && g.id == id && !p.r.wronglyExecutable(g) {
		p.stats[name] = g.stat()
		return nil
	}
	old, info, err := p.r.readWorking(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := p.r.checkSeen(name, old); err != nil {
		return err
	}
	// Made now, so that nothing but renames can fail for want of room later.
	if err := mkdirAll(p.r.ops, filepath.Dir(filepath.Join(p.r.root, filepath.FromSlash(name)))); err != nil {
		return fmt.Errorf("%s: %w", name, cannotWrite(p.r.root, err))
	}
	c := workingChange{name: name, old: old, content: content, perm: 0o666, id: id}
	if info != nil {
		c.perm = info.Mode().Perm() &^ executable
	}
	if c.staged, err = p.staging.add(p.r.own(tempFolder), "", content, c.perm); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	p.changes = append(p.changes, c)
	return nil
}

// settle makes the temporary files durable, with the permissions of the files that
// they will replace; the process's mask must not narrow those.
func (p *workingPlan) settle() error {
	if err := p.staging.sync(); err != nil {
		return err
	}
	for _, c := range p.changes {
		if c.staged == nil {
			continue
		}
		p.stats[c.name] = fileStat{info: c.staged.info}
		if c.perm != 0o666 && c.staged.info.Mode().Perm() != c.perm {
			if err := p.r.ops.Chmod(c.staged.path, c.perm); err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
		}
	}
	return nil
}

const executable = 0o111

// wronglyExecutable tells whether git would show a file as changed for its
// permissions alone: versions hold plain files.
func (r *Repo) wronglyExecutable(g glance) bool {
	perm := fs.FileMode(g.mark.mode)
	if g.info != nil {
		perm = g.info.Mode()
	}
	return perm&executable != 0 && r.config.Raw.Section("core").Option("filemode") != "false"
}

func (p *workingPlan) remove(name string) error {
	if err := p.r.checkFolder(path.Dir(name)); err != nil {
		return err
	}
	old, info, err := p.r.readWorking(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if err := p.r.checkSeen(name, old); err != nil {
		return err
	}
	p.changes = append(p.changes, workingChange{name: name, old: old, perm: info.Mode().Perm()})
	return nil
}

// stageWorking writes a temporary file with the permissions of the one that it
// will replace; the process's mask must not narrow those.
func (r *Repo) stageWorking(content []byte, perm fs.FileMode) (string, fs.FileInfo, error) {
	temp, info, err := stage(r.ops, r.own(tempFolder), "", content, perm)
	if err != nil || perm == 0o666 || info.Mode().Perm() == perm {
		return temp, info, err
	}
	if err := r.ops.Chmod(temp, perm); err != nil {
		_ = r.ops.Remove(temp)
		return "", nil, err
	}
	return temp, info, nil
}

// checkSeen refuses to replace a file that is not what this command read.
func (r *Repo) checkSeen(name string, old []byte) error {
	if r.held == nil || r.held.seen == nil {
		return nil
	}
	seen, known := r.held.seen[name]
	if known == (old != nil) && (!known || seen == plumbing.ComputeHash(plumbing.BlobObject, old)) {
		return nil
	}
	return fmt.Errorf("%s: %w; run the command again", name, ErrMoved)
}

func (p *workingPlan) file(c workingChange) string {
	return filepath.Join(p.r.root, filepath.FromSlash(c.name))
}

// apply makes the changes; on failure it takes back those it made.
func (p *workingPlan) apply() error {
	var touched []string
	for _, c := range p.changes {
		file := p.file(c)
		if err := p.applyOne(c, file); err != nil {
			p.undo()
			return fmt.Errorf("%s: %w", c.name, cannotWrite(filepath.Dir(file), err))
		}
		p.applied++
		if folder := filepath.Dir(file); !slices.Contains(touched, folder) {
			touched = append(touched, folder)
		}
	}
	if err := syncFolders(p.r.ops, touched); err != nil {
		p.undo()
		return err
	}
	return nil
}

func (p *workingPlan) applyOne(c workingChange, file string) error {
	if c.staged == nil {
		return p.r.ops.Remove(file)
	}
	return p.staging.place(c.staged, file)
}

// undo puts back what was there before, as well as the disk allows.
func (p *workingPlan) undo() {
	for _, c := range slices.Backward(p.changes[:p.applied]) {
		if err := p.undoOne(c); err != nil {
			p.r.warn(fmt.Sprintf("%s could not be put back as it was (%v); look at it before you commit", c.name, err))
		}
	}
	p.applied = 0
}

func (p *workingPlan) undoOne(c workingChange) error {
	if c.old == nil {
		return p.r.ops.Remove(p.file(c))
	}
	temp, _, err := p.r.stageWorking(c.old, c.perm)
	if err != nil {
		return err
	}
	if err := p.r.ops.Rename(temp, p.file(c)); err != nil {
		_ = p.r.ops.Remove(temp)
		return err
	}
	return nil
}

// discard removes temporary files that were not put in place. What cannot be
// removed goes when the lock is next taken.
func (p *workingPlan) discard() { p.staging.discard() }

// noteSeen remembers our own writing, so that it is not taken for somebody else's.
func (p *workingPlan) noteSeen() {
	p.dropEmptyFolders()
	if p.r.held == nil {
		return
	}
	for _, c := range p.changes {
		if c.beside {
			continue
		}
		p.wrote(c)
		switch {
		case p.r.held.seen == nil:
		case c.staged == nil:
			delete(p.r.held.seen, c.name)
		default:
			p.r.held.seen[c.name] = c.id
		}
	}
}
