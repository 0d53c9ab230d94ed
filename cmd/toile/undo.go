package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

type undoOptions struct{ redo, list bool }

func newUndo(a *app) *cobra.Command {
	var opt undoOptions
	cmd := &cobra.Command{
		Use:   "undo",
		Short: "Take back the last command that changed the pattern",
		Long: `Takes back the last command that changed the pattern, whatever it was: a tracing,
an alteration, a commit, a branch, a name, going to another branch, a merge. The
files that it changed are as they were before it, your own edits included; so are
the branches and the given names. Called again it takes back the command before
that one, up to 100 of them; --list says which.

--redo makes again what the last undo took back, as often as there were undos, until
another command changes the pattern. Nothing is lost on either way: what you edited
since by hand in a file that is taken back is kept, and --redo brings it back.

A version that has been sent to others is not undone; ` + "`toile revert`" + ` takes back
what it did with a version of its own. What others sent stays known, so that a
reception that was undone can be received again.

` + exitCodes,
		Example: `  toile undo
  toile undo --redo
  toile undo --list`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			switch {
			case opt.redo && opt.list:
				return usagef("--redo and --list do not go together; give one of them")
			case opt.list:
				return a.open(false, (*opened).listCommands)
			}
			return a.open(true, func(o *opened) error { return o.undo(opt.redo) })
		},
	}
	cmd.Flags().BoolVar(&opt.redo, "redo", false, "make again what the last undo took back")
	cmd.Flags().BoolVar(&opt.list, "list", false, "only list the commands that can be taken back")
	return cmd
}

func (o *opened) listCommands() error {
	undo, redo, err := o.repo.CommandLog()
	if err != nil {
		return err
	}
	for _, c := range undo {
		o.say("%s  %s", c.Time.Format("2006-01-02 15:04"), c.Command)
	}
	for _, c := range redo {
		o.say("%s  %s (taken back; --redo makes it again)", c.Time.Format("2006-01-02 15:04"), c.Command)
	}
	if len(undo)+len(redo) == 0 {
		o.advise("No command has changed the pattern yet.")
	}
	return nil
}

func (o *opened) undo(redo bool) error {
	take, did := o.repo.Undo, "taken back"
	if redo {
		take, did = o.repo.Redo, "made again"
	}
	before := o.workingNames()
	u, err := take()
	switch {
	case errors.Is(err, repo.ErrNothingToUndo):
		return fmt.Errorf("%w: no command has changed this pattern since it was started or copied here", err)
	case errors.Is(err, repo.ErrNothingToRedo):
		return fmt.Errorf("%w: --redo follows an undo, before another command changes the pattern; `toile undo --list` says what there is", err)
	case err != nil:
		return err
	}
	o.say("%s: %s", did, u.Command)
	o.sayUndone(u, before)
	return nil
}

// workingNames are what the pieces of the working pattern are called, by their files; none
// where it cannot be read.
func (o *opened) workingNames() map[string]string {
	files, err := o.repo.Working()
	if err != nil {
		return nil
	}
	p, err := o.reader.Decode(files)
	if err != nil {
		return nil
	}
	names := map[string]string{}
	for _, q := range p.Pieces {
		names[q.FileName()] = q.Name
	}
	return names
}

// sayUndone says what is otherwise now. Pieces that are gone are called as before.
func (o *opened) sayUndone(u repo.Undone, before map[string]string) {
	if u.Moved {
		o.say("  the folder is on %s again", u.Branch)
	}
	switch {
	case u.From != nil && u.To == nil:
		o.say("  %s has no version now", u.Branch)
	case u.To != nil:
		o.say("  the last version of %s is %d now: %s", u.Branch, u.To.Number, oneLine(*u.To))
	}
	for _, part := range []struct {
		words string
		names []string
	}{
		{"no longer a name: ", u.NamesGone}, {"a name again: ", u.NamesBack},
		{"no longer a branch: ", u.BranchesGone}, {"a branch again: ", u.BranchesBack},
		{"as before: ", o.filesInWords(u.Files, before)},
		{"edited since; that state is kept, and `toile undo --redo` brings it back: ", o.filesInWords(u.Edited, before)},
	} {
		if len(part.names) > 0 {
			o.say("  %s%s", part.words, list(part.names))
		}
	}
}

// filesInWords names what files hold: pieces by their names, then the rest.
func (o *opened) filesInWords(files []string, before map[string]string) []string {
	if o.Pattern == nil && o.decodeWorking() != nil {
		return files // edited by hand into something that cannot be read
	}
	words := o.piecesIn(files)
	for k, slug := range words { // those that are gone
		if name := before[repo.PiecesFolder+"/"+slug+".yaml"]; name != "" && !slices.ContainsFunc(o.Pieces, func(q *pattern.Piece) bool { return q.Name == slug }) {
			words[k] = name
		}
	}
	for _, f := range files {
		switch {
		case f == repo.PatternFile:
			words = append(words, "seams, layers and settings")
		case strings.HasPrefix(f, repo.FittingsFolder+"/"):
			words = append(words, "fitting "+strings.TrimSuffix(strings.TrimPrefix(f, repo.FittingsFolder+"/"), ".yaml"))
		}
	}
	return words
}
