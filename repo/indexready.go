package repo

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// checkReady refuses to bring the branch to another version where git would then
// take back what that version brings, or where files were left out of the folder.
func (r *Repo) checkReady() error {
	if err := r.checkUnfinished(); err != nil {
		return err
	}
	i := r.readIndex()
	if i == nil {
		if err := r.unreadableIndex(); err != nil {
			return fmt.Errorf("git's own list of files cannot be kept up, and the next `git commit` would take back what is kept here: %w; nothing was changed; run the command again then", err)
		}
		return nil
	}
	var out []string
	for _, e := range i.Entries {
		if !e.SkipWorktree || CheckPath(e.Name) != nil {
			continue
		}
		if _, err := os.Lstat(filepath.Join(r.root, filepath.FromSlash(e.Name))); err != nil {
			out = append(out, e.Name)
		}
	}
	if len(out) == 0 {
		return nil
	}
	names := strings.Join(out, " ")
	return fmt.Errorf("git has been told to leave files out of the folder (skip-worktree), so that they would count as removed; nothing was changed; "+
		"bring them with `git update-index --no-skip-worktree %s` and `git checkout -- %s`, then run the command again", names, names)
}
