package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"toile/repo"
)

type branchOptions struct {
	from string
	json bool
}

func newBranch(a *app) *cobra.Command {
	var opt branchOptions
	cmd := &cobra.Command{
		Use:   "branch [NAME]",
		Short: "List the branches, or start one",
		Long: `Without a name it lists the branches with the number, day and text of each one's
last version, and says which the folder is on; after them those at other places, as
they were last sent or received. With a name it starts a branch at the last version,
or at the one that --from names. The folder stays where it is;
` + "`toile use NAME`" + ` goes there. Names are small letters, digits and hyphens, and
begin with a letter; a name stands for a branch or for a version, never for both.

--json, for the list, gives [{branch, current, last: {number, id, time, who,
text}}] of the branches here; last is null before the first version.

` + exitCodes,
		Example: `  toile branch
  toile branch short-sleeves
  toile branch lined --from 4
  toile branch hers --from stick/working`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0 && opt.from != "":
				return usagef("--from says where a branch starts; give the branch a name")
			case len(args) == 0:
				return a.open(false, func(o *opened) error { return o.listBranches(opt.json) })
			case opt.json:
				return usagef("--json prints the list of branches; leave the name out")
			}
			return a.open(true, func(o *opened) error { return o.startBranch(args[0], opt.from) })
		},
		ValidArgsFunction: nothing,
	}
	cmd.Flags().StringVar(&opt.from, "from", "", "the version `V` to start at, if not the last")
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "from", a.versions())
	return cmd
}

// The shape of `branch --json`.
type branchJSON struct {
	Branch  string           `json:"branch"`
	Current bool             `json:"current"`
	Last    *lastVersionJSON `json:"last"`
}

type lastVersionJSON struct {
	Number int    `json:"number"`
	ID     string `json:"id"`
	Time   string `json:"time"`
	Who    string `json:"who"`
	Text   string `json:"text"`
}

func (o *opened) listBranches(asJSON bool) error {
	branches, err := o.repo.Branches()
	if err != nil {
		return err
	}
	listed := []branchJSON{}
	for _, b := range branches {
		j := branchJSON{Branch: b.Name, Current: b.Current}
		if v := b.Last; v != nil {
			j.Last = &lastVersionJSON{v.Number, v.ID, v.Time.Format(time.RFC3339), v.Who, v.Text}
		}
		listed = append(listed, j)
		if !asJSON {
			o.say("%s", branchWords(b))
		}
	}
	if asJSON {
		return o.sayJSON(listed)
	}
	there, err := o.repo.ThereBranches()
	if err != nil {
		return err
	}
	for _, b := range there {
		o.say("%s", branchWords(b))
	}
	return nil
}

func branchWords(b repo.BranchInfo) string {
	words := repo.Printable(b.Name)
	if b.Current {
		words += " (the folder is here)"
	}
	if b.Last == nil {
		return words + ": no version yet"
	}
	return fmt.Sprintf("%s: version %d, %s: %s", words, b.Last.Number, b.Last.Time.Format(time.DateOnly), oneLine(*b.Last))
}

func (o *opened) startBranch(name, from string) error {
	v, err := o.lastVersion()
	if from != "" {
		v, err = o.repo.Resolve(from)
	}
	if err != nil {
		return err
	}
	if err := o.repo.NewBranch(name, v); err != nil {
		return err
	}
	o.say("%s starts at version %d: %s", name, v.Number, oneLine(v))
	o.advise("The folder stays where it is; `toile use %s` goes there.", name)
	return nil
}

// branchNames offers the branches.
func (a *app) branchNames() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		branches, err := o.repo.Branches()
		if err != nil {
			return nil
		}
		var words []string
		for _, b := range branches {
			words = append(words, b.Name)
		}
		return words
	})
}
