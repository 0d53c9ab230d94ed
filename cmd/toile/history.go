package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

type historyOptions struct {
	piece, edge string
	json        bool
}

func newHistory(a *app) *cobra.Command {
	var opt historyOptions
	cmd := &cobra.Command{
		Use:   "history",
		Short: "List the versions with what each changed",
		Long: `Lists the versions, newest first, with date, fitting and text, and under each what
it changed against the version before, a line for each piece, which notes of
fittings it answers, and which are open still. A version that was
made on another branch says on which; where there are several branches the last
line lists them.

--piece keeps the versions that changed this piece, on the branch's own line: what
a merge brought in counts as changed by the merge. Each change is a sentence of
its own, and a last line says in which version the piece appears first. A piece
may be named as it was called once. With --edge, only what changed this edge. It
is followed by its id through other names and through tracing again, and where
the ids were lost, by where it lies.

--json gives a list of {number, id, branch, fitting, time, who, text, changed:
[{piece, says}], settings, answers, open}; fitting is null where the version was
made for none; answers are the notes it answers, open those that are open in it,
by the numbers that they have now.
Settings, what changed besides pieces, and open are empty with --piece.

` + exitCodes,
		Example: `  toile history
  toile history --piece front
  toile history --piece front --edge hemline`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if opt.edge != "" && opt.piece == "" {
				return usagef("--edge says which edge of a piece is meant; give the piece with --piece")
			}
			return a.open(false, func(o *opened) error { return o.history(opt) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&opt.piece, "piece", "", "only what changed this `PIECE`")
	f.StringVar(&opt.edge, "edge", "", "only what changed this `EDGE` of the piece")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "piece", a.pieceNames())
	completeFlagWith(cmd, "edge", a.edgesOf(&opt.piece))
	return cmd
}

// The shape of `history --json`.
type versionJSON struct {
	Number  int           `json:"number"`
	ID      string        `json:"id"`
	Branch  string        `json:"branch"`
	Fitting *int          `json:"fitting"`
	Time    string        `json:"time"`
	Who     string        `json:"who"`
	Text    string        `json:"text"`
	Changed []pieceChange `json:"changed"`
	// Settings says what changed besides pieces: seams, layers, sets, unit.
	Settings []string `json:"settings"`
	// Answers are the notes that it answers, Open those that are open in it.
	Answers []string `json:"answers"`
	Open    []string `json:"open"`
}

type pieceChange struct {
	Piece string   `json:"piece"`
	Says  []string `json:"says"`
}

func (o *opened) history(opt historyOptions) error {
	if opt.piece != "" {
		return o.pieceHistory(opt)
	}
	versions, err := o.repo.History()
	if err != nil {
		return err
	}
	printer, err := o.newVersionPrinter()
	if err != nil {
		return err
	}
	now, err := o.fittingsNow()
	if err != nil {
		return err
	}
	h := newHistorian(o)
	entries := make([]versionJSON, len(versions))
	for i, v := range versions {
		if entries[i].Changed, entries[i].Settings, err = h.changes(v); err != nil {
			return err
		}
	}
	if err := o.answersSaidLater(versions, h.notes, now); err != nil {
		return err
	}
	for i, v := range versions {
		changed, rest, notes := entries[i].Changed, entries[i].Settings, h.notes[v.ID]
		entries[i] = versionToJSON(v, changed, rest, notes, now)
		entries[i].Open = append(entries[i].Open, keysNow(notes.Open, now)...)
		if !opt.json {
			o.sayVersion(printer, v, changed, rest, notes.Fitting, now)
			o.sayAnswers(notes, v, now)
		}
	}
	h.keep()
	if opt.json {
		return o.sayJSON(entries)
	}
	if len(versions) == 0 {
		o.advise("There is no version yet; make the first with `toile commit TEXT`.")
	}
	return o.sayBranches()
}

// sayBranches lists the branches where there is more than one.
func (o *opened) sayBranches() error {
	branches, err := o.repo.Branches()
	if err != nil || len(branches) < 2 {
		return err
	}
	var words []string
	for _, b := range branches {
		switch {
		case b.Current:
			words = append(words, b.Name+" (here)")
		case b.Last != nil:
			words = append(words, fmt.Sprintf("%s (version %d)", b.Name, b.Last.Number))
		}
	}
	o.say("branches: %s", strings.Join(words, ", "))
	return nil
}

func versionToJSON(v repo.Version, changed []pieceChange, rest []string, notes notesSaid, now *pattern.Pattern) versionJSON {
	j := versionJSON{Number: v.Number, ID: v.ID, Branch: v.Branch, Time: v.Time.Format(time.RFC3339), Who: v.Who, Text: v.Text, Changed: changed, Settings: append([]string{}, rest...),
		Answers: []string{}, Open: []string{}}
	if v.Fitting != 0 {
		number := notes.Fitting.fittingNow(now)
		j.Fitting = &number
	}
	j.Answers = append(j.Answers, answersNow(notes, now)...)
	return j
}

// versionPrinter prints the head of a version in a list.
type versionPrinter struct {
	branch string            // the one that the folder is on
	names  map[string]string // given names and the ids of their versions
}

func (o *opened) newVersionPrinter() (p versionPrinter, err error) {
	if p.names, err = o.repo.Names(); err != nil {
		return p, err
	}
	p.branch, err = o.repo.Branch()
	return p, err
}

// sayHead prints number, time, author, fitting and text of a version.
func (o *opened) sayHead(p versionPrinter, v repo.Version, fitting noteThen, now *pattern.Pattern) {
	head := fmt.Sprintf("version %d, %s, %s", v.Number, v.Time.Format("2006-01-02 15:04"), v.Who)
	if v.Fitting != 0 {
		words := renumberedWords(fmt.Sprint(fitting.fittingNow(now)), fmt.Sprint(v.Fitting))
		if fitting.gone(now) {
			words = fmt.Sprintf("(%d then, taken away)", v.Fitting)
		}
		head += ", fitting " + words
	}
	if v.Branch != "" && v.Branch != p.branch {
		head += ", on " + v.Branch
	}
	if called := namesOf(v, p.names); len(called) > 0 {
		head += ", called " + list(called)
	}
	o.say("%s", head)
	for line := range strings.SplitSeq(v.Text, "\n") {
		o.say("  %s", line)
	}
}

func (o *opened) sayVersion(p versionPrinter, v repo.Version, changed []pieceChange, rest []string, fitting noteThen, now *pattern.Pattern) {
	o.sayHead(p, v, fitting, now)
	for _, c := range changed {
		o.say("    %s: %s", c.Piece, strings.Join(c.Says, "; "))
	}
	for _, line := range rest {
		o.say("    %s", line)
	}
}

// pieceSaid is what a diff says of one piece, in sentences; none when it is
// the same.
func pieceSaid(p change.PieceDiff) []string {
	var says []string
	switch p.State {
	case change.Same:
		return nil
	case change.Added:
		if p.Origin != "" {
			says = append(says, p.Origin)
			break
		}
		says = append(says, "new")
	case change.Removed:
		says = append(says, "removed")
	case change.Split:
		if p.Old == nil {
			says = append(says, p.Origin)
		}
	case change.Joined:
		if p.New == nil {
			says = append(says, "joined to another piece")
		}
	}
	for _, c := range p.Changes {
		says = append(says, c.Says)
	}
	if len(says) == 0 {
		says = append(says, string(p.State))
	}
	return says
}
