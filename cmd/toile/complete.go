package main

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

// completion offers words for the argument that is being typed.
type completion = cobra.CompletionFunc

const noFiles = cobra.ShellCompDirectiveNoFileComp

func completeFolder(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, noFiles
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// completeFlag offers fixed words for a flag.
func completeFlag(cmd *cobra.Command, flag string, words ...string) {
	completeFlagWith(cmd, flag, cobra.FixedCompletions(words, noFiles))
}

func completeFlagWith(cmd *cobra.Command, flag string, f completion) {
	cobra.CheckErr(cmd.RegisterFlagCompletionFunc(flag, f))
}

// inOrder uses one completion for each argument in turn, the last for all
// that follow.
func inOrder(each ...completion) completion {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		return each[min(len(args), len(each)-1)](cmd, args, begun)
	}
}

// nothing offers no words: a free text or a length is typed there.
func nothing(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, noFiles
}

// offer builds a completion from the working pattern. A pattern that cannot
// be read offers nothing.
func (a *app) offer(words func(o *opened, args []string, begun string) []string) completion {
	return func(_ *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		var found []string
		quiet := &app{stdout: io.Discard, stderr: io.Discard, folder: a.folder, now: a.now}
		err := quiet.read(func(o *opened) error {
			for _, w := range words(o, args, begun) {
				if strings.HasPrefix(w, begun) {
					found = append(found, w)
				}
			}
			return nil
		})
		if err != nil {
			return nil, noFiles
		}
		return found, noFiles
	}
}

// pieceNames offers the pieces that are not typed already.
func (a *app) pieceNames() completion {
	return a.offer(func(o *opened, args []string, _ string) []string {
		return slices.DeleteFunc(o.PieceNames(), func(n string) bool { return slices.Contains(args, n) })
	})
}

// edgeNames offers the edges of the piece that is typed first.
func (a *app) edgeNames() completion {
	return a.offer(func(o *opened, args []string, _ string) []string {
		q, err := o.Piece(args[0])
		if err != nil {
			return nil
		}
		return q.EdgeNames()
	})
}

// edgesOf offers the edges of the piece that the flag names.
func (a *app) edgesOf(piece *string) completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		q, err := o.Piece(*piece)
		if err != nil {
			return nil
		}
		return q.EdgeNames()
	})
}

// chains offers PIECE/EDGE, also behind a plus.
func (a *app) chains() completion {
	return a.offer(func(o *opened, _ []string, begun string) []string {
		before := begun[:strings.LastIndex(begun, "+")+1]
		var all []string
		for _, q := range o.Pieces {
			for _, e := range q.Edges {
				all = append(all, before+q.Name+"/"+e.Name)
			}
		}
		return all
	})
}

// setNames offers the allowance sets.
func (a *app) setNames() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string { return o.Sets })
}

// openNotes offers the notes that no version has answered.
func (a *app) openNotes() completion {
	return a.noteKeys(pattern.Note.Open)
}

// fittingNumbers offers the fittings.
func (a *app) fittingNumbers() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		var all []string
		for _, f := range o.Fittings {
			all = append(all, strconv.Itoa(f.Number)+"\t"+f.Date)
		}
		return all
	})
}

// versions offers numbers with their texts, given names, and branches.
func (a *app) versions() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		words := []string{"first", "last"}
		if names, err := o.repo.Names(); err == nil {
			for n := range names {
				words = append(words, n)
			}
			slices.Sort(words)
		}
		if branches, err := o.repo.Branches(); err == nil {
			for _, b := range branches {
				if b.Last != nil {
					words = append(words, b.Name+"\tthe branch's last version")
				}
			}
		}
		if there, err := o.repo.ThereBranches(); err == nil {
			for _, b := range there {
				words = append(words, b.Name+"\tthe branch there, as it was last received")
			}
		}
		history, err := o.repo.History()
		if err != nil {
			return words
		}
		for _, v := range history {
			words = append(words, strconv.Itoa(v.Number)+"\t"+oneLine(v))
		}
		return words
	})
}

// oneLine is the first line of a version's text.
func oneLine(v repo.Version) string {
	line, _, _ := strings.Cut(v.Text, "\n")
	return line
}

// chosen returns the pieces of these names, or all of them.
func (o *opened) chosen(names []string) ([]*pattern.Piece, error) {
	if len(names) == 0 {
		return o.Pieces, nil
	}
	var found []*pattern.Piece
	for _, n := range names {
		q, err := o.Piece(n)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(found, q) {
			found = append(found, q)
		}
	}
	return found, nil
}
