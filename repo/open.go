package repo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-git/go-git/v5/config"
	"github.com/go-git/go-git/v5/plumbing"
)

// Find returns the pattern that dir lies in: the nearest folder from dir
// upwards that has .git, and pattern.yaml or what toile keeps in .git. The error wraps ErrNoPattern if there
// is none.
func Find(dir string) (root string, err error) {
	start, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(start); err == nil {
		start = real
	}
	for at := start; ; at = filepath.Dir(at) {
		if isPattern(at) {
			return at, nil
		}
		if at == filepath.Dir(at) {
			return "", fmt.Errorf("%s: %w, nor in a folder above it; go to one, name one, or make one with `toile start`", start, ErrNoPattern)
		}
	}
}

func isPattern(dir string) bool {
	return exists(filepath.Join(dir, ".git")) && (exists(filepath.Join(dir, PatternFile)) || exists(filepath.Join(dir, ".git", ownFolder)))
}

// Open opens the pattern in root. Repositories whose content would not be read
// as git reads it are refused: the error wraps ErrUnsupported and says why.
func Open(root string) (*Repo, error) {
	return open(diskOps{}, root)
}

func open(ops fileOps, root string) (*Repo, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, err
	}
	r := repoIn(ops, root, filepath.Join(root, ".git"))
	if err := r.checkGitFolder(); err != nil {
		return nil, err
	}
	if r.config, err = readConfig(r.path("config")); err != nil {
		return nil, err
	}
	if err := checkConfig(r.config); err != nil {
		return nil, fmt.Errorf("%s: %w", root, err)
	}
	r.reopen()
	return r, nil
}

// repoIn is the pattern in root whose git folder is git, nothing of it read yet.
func repoIn(ops fileOps, root, git string) *Repo {
	return &Repo{
		root: root, git: git, ops: ops, boot: bootID(), started: bootTime(),
		commits:      map[plumbing.Hash]*commitRecord{},
		listed:       map[plumbing.Hash]*contents{},
		lockPatience: lockPatience, refPatience: refPatience,
	}
}

func unsupported(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrUnsupported, fmt.Sprintf(format, args...))
}

// checkGitFolder refuses what the files of .git themselves show.
func (r *Repo) checkGitFolder() error {
	info, err := os.Lstat(r.git)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: %w; make one with `toile start`", r.root, ErrNoPattern)
	case err != nil:
		return err
	case !info.IsDir():
		err = unsupported("its versions lie in another folder (.git is a file or a link); open the pattern they belong to")
	case exists(r.path("commondir")):
		err = unsupported("its versions lie in another folder (.git/commondir); open the pattern they belong to")
	case notEmpty(r.path("shallow")):
		err = unsupported("only its newest versions are here (a shallow copy); make a full copy and work there")
	case notEmpty(r.path("objects/info/alternates")):
		err = unsupported("some of its versions lie in another repository (objects/info/alternates); make a full copy and work there")
	case notEmpty(r.path("info/grafts")):
		err = unsupported("its versions have been given other parents (info/grafts); make a full copy and work there")
	case r.hasReplacements():
		err = unsupported("some of its versions have been replaced by others (refs/replace); take that back with `git replace -d`, or make a full copy and work there")
	case exists(r.path("reftable")):
		err = unsupported("its branches are stored in the reftable format; make a copy that stores them as files")
	case !isFolder(r.path("objects")) || !exists(r.path("HEAD")):
		err = unsupported(".git is not a git repository; bring the pattern back from a copy")
	}
	if err != nil {
		return fmt.Errorf("%s: %w", r.root, err)
	}
	return nil
}

// hasReplacements tells whether git would read other versions in place of some
// that are stored (git-replace).
func (r *Repo) hasReplacements() bool {
	entries, err := os.ReadDir(r.path("refs/replace"))
	if err == nil && len(entries) > 0 {
		return true
	}
	packed, err := os.ReadFile(r.path(packedFile))
	return err == nil && bytes.Contains(packed, []byte(" refs/replace/"))
}

func notEmpty(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Size() > 0
}

func readConfig(path string) (*config.Config, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return config.NewConfig(), nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	c, err := config.ReadConfig(f)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w; correct it", path, err)
	}
	return c, nil
}

// checkConfig refuses what the configuration asks for and this package, or
// go-git under it, would not do.
func checkConfig(c *config.Config) error {
	core := c.Raw.Section("core")
	if isTrue(core.Option("bare")) {
		return unsupported("it has no folder to work in (core.bare); make a copy of it and work there")
	}
	if core.Option("worktree") != "" {
		return unsupported("its files lie in another folder (core.worktree)")
	}
	if isTrue(core.Option("sparsecheckout")) {
		return unsupported("only a part of its files is laid into the folder (core.sparseCheckout); bring them all with `git sparse-checkout disable`")
	}
	return checkFormat(c)
}

// checkFormat refuses versions that are stored otherwise than they are read
// here.
func checkFormat(c *config.Config) error {
	switch version := c.Raw.Section("core").Option("repositoryformatversion"); version {
	case "", "0", "1":
	default:
		return unsupported("its format version is %s; use a newer toile", Printable(version))
	}
	for _, option := range c.Raw.Section("extensions").Options {
		if err := checkExtension(strings.ToLower(option.Key), strings.ToLower(option.Value)); err != nil {
			return err
		}
	}
	for _, remote := range c.Raw.Section("remote").Subsections {
		if isTrue(remote.Option("promisor")) || remote.Option("partialclonefilter") != "" {
			return unsupported("parts of its versions are only on a server (a partial copy of %s); make a full copy and work there", Printable(remote.Name))
		}
	}
	return nil
}

func checkExtension(key, value string) error {
	switch key {
	case "objectformat":
		if value == "sha1" {
			return nil
		}
		return unsupported("its versions are named by %s instead of sha1; make a copy in the usual format", Printable(value))
	case "refstorage":
		if value == "files" {
			return nil
		}
		return unsupported("its branches are stored in the %s format; make a copy that stores them as files", Printable(value))
	case "worktreeconfig":
		if !isTrue(value) {
			return nil
		}
		return unsupported("it has a configuration for each working folder (extensions.worktreeConfig); make a plain copy")
	case "partialclone":
		return unsupported("parts of its versions are only on a server (a partial copy); make a full copy and work there")
	case "noop", "noop-v1", "preciousobjects":
		return nil
	}
	return unsupported("it needs the extension %s; use a newer toile or make a plain copy", Printable(key))
}

func isTrue(value string) bool {
	switch strings.ToLower(value) {
	case "true", "yes", "on", "1":
		return true
	}
	return false
}
