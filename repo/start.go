package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
)

// Start makes a pattern of files in dir, which is made if it is missing, and
// opens it. It makes no version: the first commit does. A folder that holds
// other things is taken, unless one of the files to be written is there. On
// failure everything that was made is taken away again.
func Start(dir string, files Files) (*Repo, error) {
	return start(diskOps{}, dir, files)
}

func start(ops fileOps, dir string, files Files) (*Repo, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	files = files.complete()
	if err := files.check(); err != nil {
		return nil, err
	}
	if err := clearBrokenStart(ops, dir); err != nil {
		return nil, err
	}
	if err := checkStart(dir, files); err != nil {
		return nil, err
	}
	b := &builder{ops: ops}
	r, err := b.build(dir, files)
	b.letGo()
	if err != nil {
		b.takeBack()
		return nil, fmt.Errorf("%s: no pattern could be started: %w", dir, err)
	}
	return r, nil
}

// checkStart refuses a folder in which a pattern would destroy or hide things.
func checkStart(dir string, files Files) error {
	info, err := os.Stat(dir)
	if err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file; give a folder for the pattern", dir)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if isPattern(dir) {
		return fmt.Errorf("%s holds a pattern already; use it as it is, or start in another folder", dir)
	}
	if exists(filepath.Join(dir, ".git")) {
		return fmt.Errorf("%s is a git repository already; start the pattern in a folder of its own", dir)
	}
	if root, err := Find(nearest(dir)); err == nil {
		return fmt.Errorf("%s lies inside the pattern %s; start the pattern outside of it", dir, root)
	}
	for _, name := range files.names() {
		if path := filepath.Join(dir, filepath.FromSlash(name)); exists(path) {
			return fmt.Errorf("%s is there already and would be overwritten; move it away or start in another folder", path)
		}
	}
	return nil
}

// nearest is the nearest folder, from dir upwards, that exists.
func nearest(dir string) string {
	for !isFolder(dir) && dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
	}
	return dir
}

// unfinished is the name of .git until everything else is there.
const unfinished = ".git-starting"

// builder makes a pattern folder and remembers what it made.
type builder struct {
	ops  fileOps
	made []string // in the order of making
	// git is the unfinished .git under another name, final the name it takes:
	// without a .git the folder is no pattern, so the rename is the moment.
	git, final string
	renamed    bool
	lock       *os.File // held while the folder is unfinished, see clearBrokenStart
}

func (b *builder) letGo() {
	if b.lock != nil {
		_ = b.lock.Close() // nothing was written to it
		b.lock = nil
	}
}

func (b *builder) build(dir string, files Files) (*Repo, error) {
	if err := b.folder(dir); err != nil {
		return nil, err
	}
	b.final = filepath.Join(dir, ".git")
	b.git = filepath.Join(dir, unfinished)
	if err := b.gitFolder(); err != nil {
		return nil, err
	}
	if err := b.list(files); err != nil {
		return nil, err
	}
	for _, name := range files.names() {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := b.folder(filepath.Dir(path)); err != nil {
			return nil, err
		}
		if err := b.file(path, files[name]); err != nil {
			return nil, err
		}
	}
	if runtime.GOOS == "windows" {
		b.letGo() // no folder with an open file is renamed there
	}
	if err := b.ops.Rename(b.git, b.final); err != nil {
		return nil, err
	}
	b.renamed = true
	_ = b.ops.Remove(filepath.Join(b.final, ownFolder, startFile)) // it says nothing in a whole pattern
	if err := b.ops.SyncFolder(dir); err != nil {
		return nil, err
	}
	return open(b.ops, dir)
}

// gitFolder makes what the git program needs to see a repository.
func (b *builder) gitFolder() error {
	for _, name := range []string{"", "objects", "objects/info", "objects/pack",
		"refs", "refs/heads", "refs/tags", ownFolder, ownFolder + "/" + tempFolder} {
		if err := b.folder(filepath.Join(b.git, filepath.FromSlash(name))); err != nil {
			return err
		}
	}
	if err := b.hold(); err != nil {
		return err
	}
	if err := b.file(filepath.Join(b.git, "HEAD"), []byte("ref: "+headsPrefix+FirstBranch+"\n")); err != nil {
		return err
	}
	return b.file(filepath.Join(b.git, "config"), []byte(firstConfig(b.keepsModes())))
}

// keepsModes tells whether the file system keeps the executable bit: some show
// it on every file, and git would take each for changed.
func (b *builder) keepsModes() bool {
	info, err := os.Stat(filepath.Join(b.git, "HEAD"))
	return runtime.GOOS != "windows" && err == nil && info.Mode()&0o111 == 0
}

func firstConfig(filemode bool) string {
	return fmt.Sprintf("[core]\n\trepositoryformatversion = 0\n\tfilemode = %t\n\tbare = false\n\tlogallrefupdates = true\n", filemode)
}

// folder makes a folder and those above it that are missing.
func (b *builder) folder(path string) error {
	if isFolder(path) {
		return nil
	}
	if parent := filepath.Dir(path); parent != path {
		if err := b.folder(parent); err != nil {
			return err
		}
	}
	if err := b.ops.Mkdir(path); err != nil {
		return err
	}
	b.made = append(b.made, path)
	return b.ops.SyncFolder(filepath.Dir(path))
}

// file makes a file, whole and durable, that was not there.
func (b *builder) file(path string, content []byte) error {
	temp, _, err := stage(b.ops, b.git, "start-", content, 0o666)
	if err != nil {
		return err
	}
	if exists(path) {
		_ = b.ops.Remove(temp)
		return fmt.Errorf("%s has appeared meanwhile; move it away", path)
	}
	if err := b.ops.Rename(temp, path); err != nil {
		_ = b.ops.Remove(temp)
		return err
	}
	b.made = append(b.made, path)
	return b.ops.SyncFolder(filepath.Dir(path))
}

// takeBack removes what was made, newest first. A folder that holds anything
// else by now stays.
func (b *builder) takeBack() {
	if b.renamed {
		if b.ops.Rename(b.final, b.git) != nil {
			return // a whole pattern stands there: better than a torn one
		}
	}
	for _, path := range slices.Backward(b.made) {
		_ = b.ops.Remove(path)
	}
}
