package repo

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// Copied is what a copy holds.
type Copied struct {
	Received
	Branch string // the one that the folder is on
}

// Copy makes a pattern of everything that a place has, in dir, which must not be
// there or be empty. The folder becomes a pattern by one rename when all of it
// is vetted and durable; on failure everything that was made is taken away. as
// names the place; empty for a name made from its address.
func Copy(ctx context.Context, dir string, from Address, as string, x Exchange) (*Repo, Copied, error) {
	return copyTo(ctx, diskOps{}, dir, from, as, x)
}

func copyTo(ctx context.Context, ops fileOps, dir string, from Address, as string, x Exchange) (*Repo, Copied, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, Copied{}, err
	}
	if err := checkSource(from, dir); err != nil {
		return nil, Copied{}, err
	}
	if err := clearBrokenCopy(ops, dir); err != nil {
		return nil, Copied{}, err
	}
	if err := checkCopy(dir); err != nil {
		return nil, Copied{}, err
	}
	if as == "" {
		as = from.shortName()
	} else if err := ValidName(as); err != nil {
		return nil, Copied{}, err
	}
	c := &copying{builder: builder{ops: ops}, dir: dir}
	out, err := c.build(ctx, Place{Name: as, Address: from}, x)
	if err != nil {
		c.letGo()
		c.takeBack()
		return nil, out, fmt.Errorf("%s: no copy was made: %w", Printable(dir), err)
	}
	r, err := open(ops, dir)
	if err != nil {
		c.takeBack()
		return nil, out, fmt.Errorf("%s: no copy was made: %w", Printable(dir), err)
	}
	return r, out, nil
}

// checkSource looks at what is to be copied before anything is made: what is
// made in the place itself would be taken for it.
func checkSource(from Address, dir string) error {
	if !from.IsFile() {
		return nil
	}
	if _, _, kept := keptAt(from.path); !kept {
		file, there, err := bundleAt(from.path, "")
		switch {
		case err != nil:
			return err
		case !there:
			return nothingAt(from)
		case !isFolder(from.path) && file != dir:
			return nil
		}
	}
	if sameFile(from.path, dir) {
		return fmt.Errorf("%s is what is to be copied; name a folder for the copy: `toile share copy %s DIR`", Printable(dir), from)
	}
	return nil
}

// checkCopy refuses a folder that holds anything.
func checkCopy(dir string) error {
	if isPattern(dir) {
		return fmt.Errorf("%s holds a pattern already and is not empty; a copy needs a folder of its own, give another", dir)
	}
	if root, err := Find(nearest(dir)); err == nil {
		return fmt.Errorf("%s lies inside the pattern %s; make the copy outside of it", dir, root)
	}
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		if exists(dir) && !isFolder(dir) {
			return fmt.Errorf("%s is a file; give a folder for the copy", dir)
		}
		return err
	case len(entries) > 0:
		return fmt.Errorf("%s is not empty; a copy needs a folder of its own, give another", dir)
	}
	return nil
}

// copying makes a copy and remembers what it made.
type copying struct {
	builder
	dir string
}

// FolderFor is the folder that a copy of an address goes to if nobody says.
func FolderFor(a Address) string {
	if a.way != byFile {
		a = Address{way: byFile, path: trimGit(a.path)}
	} else if _, _, kept := keptAt(a.path); !kept && isFolder(a.path) {
		if file, there, err := bundleAt(a.path, ""); err == nil && there {
			a.path = file
		}
	}
	if name := a.shortName(); name != "place" {
		return name
	}
	return "pattern"
}

func trimGit(path string) string {
	const ending = ".git"
	if n := len(path) - len(ending); n > 0 && path[n:] == ending {
		return path[:n]
	}
	return path
}

func (c *copying) build(ctx context.Context, p Place, x Exchange) (out Copied, err error) {
	if err := c.folder(c.dir); err != nil {
		return out, err
	}
	c.final, c.git = filepath.Join(c.dir, ".git"), filepath.Join(c.dir, unfinished)
	if err := c.gitFolder(); err != nil {
		return out, err
	}
	if err := c.file(c.listPath(), nil); err != nil {
		return out, err
	}
	r := repoIn(c.ops, c.dir, c.git)
	if r.config, err = readConfig(r.path(configFile)); err != nil {
		return out, err
	}
	r.reopen()
	defer r.Close()
	x.Programs.Dir = nearest(filepath.Dir(c.dir))
	a, err := r.fetchFrom(ctx, p, x, x.Names)
	if err != nil {
		return out, err
	}
	defer a.discard()
	c.letGo() // from here on r holds the lock itself
	if out, err = c.settle(r, a, x); err != nil {
		return out, err
	}
	if err := r.checkWhole(); err != nil {
		return out, err
	}
	a.discard() // some systems rename no folder in which a file is open
	if err := r.Close(); err != nil {
		return out, err
	}
	if err := c.ops.Rename(c.git, c.final); err != nil {
		return out, err
	}
	c.renamed = true
	_ = c.ops.Remove(filepath.Join(c.final, ownFolder, copyFile)) // it says nothing in a whole pattern
	return out, c.ops.SyncFolder(c.dir)
}

// checkWhole looks at a git folder that is to be taken for one of ours as Open
// does.
func (r *Repo) checkWhole() error {
	if err := r.checkGitFolder(); err != nil {
		return err
	}
	c, err := readConfig(r.path(configFile))
	if err != nil {
		return err
	}
	return checkConfig(c)
}

// settle keeps what came, sets the branch and writes the folder.
func (c *copying) settle(r *Repo, a *arrival, x Exchange) (out Copied, err error) {
	if out.Branch, err = a.mainBranch(); err != nil {
		return out, err
	}
	unlock, err := r.Lock()
	if err != nil {
		return out, err
	}
	defer unlock()
	head := []byte(symbolic + headsPrefix + out.Branch + "\n")
	if err := replace(r.ops, r.path(headFile), "head-", head, 0o666); err != nil {
		return out, err
	}
	if out.Received, err = r.keepArrival(a); err != nil {
		return out, err
	}
	if err := r.keepNames(a, x.Names, &out.Received); err != nil {
		return out, err
	}
	tip := a.branches[out.Branch]
	if err := r.setRef(headsPrefix+out.Branch, tip); err != nil {
		return out, err
	}
	for name, id := range a.branches {
		last, err := r.version(id)
		if err != nil {
			return out, err
		}
		b := ReceivedBranch{Name: name, State: BranchOnlyThere, Last: last}
		if name == out.Branch {
			b.State = BranchSame
		}
		out.Branches = append(out.Branches, b)
	}
	slices.SortFunc(out.Branches, func(a, b ReceivedBranch) int { return strings.Compare(a.Name, b.Name) })
	return out, c.writeFolder(r, tip)
}

// mainBranch is the branch that a copy stands on: the one that the place is on,
// else the first branch, else the only one.
func (a *arrival) mainBranch() (string, error) {
	if _, ok := a.branches[a.on]; ok {
		return a.on, nil
	}
	if _, ok := a.branches[FirstBranch]; ok {
		return FirstBranch, nil
	}
	if len(a.branches) == 0 {
		return "", fmt.Errorf("the branches there have names that cannot be used here (%s); use letters a to z, digits and hyphens", orNone(a.left))
	}
	return keys(a.branches)[0], nil
}

// writeFolder writes the files of a version, plain files all of them, and git's
// index.
func (c *copying) writeFolder(r *Repo, tip plumbing.Hash) error {
	record, err := r.commit(tip)
	if err != nil {
		return err
	}
	v := &vetting{r: r}
	if err := c.listFiles(v, record.TreeHash); err != nil {
		return err
	}
	err = v.each(record.TreeHash, "", func(path string, e treeEntry) error {
		content, err := r.object(plumbing.BlobObject, e.id)
		if err != nil {
			return err
		}
		file := filepath.Join(c.dir, filepath.FromSlash(path))
		if err := c.folder(filepath.Dir(file)); err != nil {
			return err
		}
		return c.file(file, content)
	})
	if err != nil {
		return err
	}
	now, err := r.contentsOfCommit(tip)
	if err != nil {
		return err
	}
	r.lockIndex().write("the copy is whole", newContents(), now, r.workingStats(now))
	r.saveTable()
	return nil
}

// takeBack removes what was made. What lies in the unfinished folder is all ours.
func (c *copying) takeBack() {
	if c.renamed {
		if c.ops.Rename(c.final, c.git) != nil {
			return
		}
		c.renamed = false
	}
	if c.git != "" && isFolder(c.git) {
		_ = removeAll(c.ops, c.git)
	}
	c.builder.takeBack()
}
