package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"toile/diff"
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
it changed against the version before: a line for each piece. --piece keeps the
versions that changed this piece, --edge with it those that changed this edge,
which is followed through its changes of name. A version that was made on another
branch says on which; where there are several branches the last line lists them.

--json gives a list of {number, id, branch, fitting, time, who, text, changed:
[{piece, says}]}; fitting is null where the version was made for none.

` + exitCodes,
		Example: `  toile history
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
}

type pieceChange struct {
	Piece string   `json:"piece"`
	Says  []string `json:"says"`
}

func (o *opened) history(opt historyOptions) error {
	versions, err := o.repo.History()
	if err != nil {
		return err
	}
	names, err := o.repo.Names()
	if err != nil {
		return err
	}
	branch, err := o.repo.Branch()
	if err != nil {
		return err
	}
	h := &historian{opened: o, versions: versions, read: map[string]*pattern.Pattern{}}
	if opt.piece != "" {
		if h.only, err = h.subject(opt); err != nil {
			return err
		}
	}
	listed := []versionJSON{}
	for _, v := range versions {
		changed, rest, err := h.changes(v)
		if err != nil {
			return err
		}
		delete(h.read, v.ID)
		if h.only != nil && len(changed) == 0 {
			continue
		}
		listed = append(listed, versionToJSON(v, changed, rest))
		if !opt.json {
			o.sayVersion(v, branch, names, changed, rest, h.only != nil)
		}
	}
	if opt.json {
		return o.sayJSON(listed)
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

func versionToJSON(v repo.Version, changed []pieceChange, rest []string) versionJSON {
	j := versionJSON{Number: v.Number, ID: v.ID, Branch: v.Branch, Time: v.Time.Format(time.RFC3339), Who: v.Who, Text: v.Text, Changed: changed, Settings: append([]string{}, rest...)}
	if v.Fitting != 0 {
		j.Fitting = &v.Fitting
	}
	return j
}

func (o *opened) sayVersion(v repo.Version, branch string, names map[string]string, changed []pieceChange, rest []string, short bool) {
	head := fmt.Sprintf("version %d, %s, %s", v.Number, v.Time.Format("2006-01-02 15:04"), v.Who)
	if v.Fitting != 0 {
		head += fmt.Sprintf(", fitting %d", v.Fitting)
	}
	if v.Branch != "" && v.Branch != branch {
		head += ", on " + v.Branch
	}
	if called := namesOf(v, names); len(called) > 0 {
		head += ", called " + list(called)
	}
	o.say("%s", head)
	for line := range strings.SplitSeq(v.Text, "\n") {
		o.say("  %s", line)
	}
	for _, c := range changed {
		o.say("    %s: %s", c.Piece, strings.Join(c.Says, "; "))
	}
	if short {
		return
	}
	for _, line := range rest {
		o.say("    %s", line)
	}
	if len(v.Answers) > 0 {
		o.say("    answers %s", list(v.Answers))
	}
}

// historian says what each version changed.
type historian struct {
	*opened
	versions []repo.Version              // newest first
	read     map[string]*pattern.Pattern // by id, those that are still needed
	only     *subject
}

// subject is the piece, and perhaps the edge, whose history is asked for.
type subject struct {
	file   string // of the piece
	edgeID string
}

// subject finds the piece where it was seen last, and its edge there.
func (h *historian) subject(opt historyOptions) (*subject, error) {
	var problem error
	for _, v := range h.versions {
		p, err := h.pattern(v.ID)
		if err != nil {
			return nil, err
		}
		q, err := p.Piece(opt.piece)
		if err != nil {
			if problem == nil {
				problem = err
			}
			continue
		}
		s := &subject{file: q.FileName()}
		if opt.edge == "" {
			return s, nil
		}
		i, err := q.EdgeIndex(opt.edge)
		if err != nil {
			return nil, err
		}
		s.edgeID = q.Edges[i].ID
		return s, nil
	}
	if problem == nil {
		problem = fmt.Errorf("there is no version yet that holds the piece %q; make one with `toile commit TEXT`", opt.piece)
	}
	return nil, problem
}

// pattern reads the pattern of a version that is part of the history.
func (h *historian) pattern(id string) (*pattern.Pattern, error) {
	if p, ok := h.read[id]; ok {
		return p, nil
	}
	i := slices.IndexFunc(h.versions, func(v repo.Version) bool { return v.ID == id })
	if i < 0 {
		return nil, fmt.Errorf("the history names a version that it does not hold (%.12s); bring the pattern back from a copy", id)
	}
	p, err := h.patternOf(h.versions[i])
	if err == nil {
		h.read[id] = p
	}
	return p, err
}

// changes compares a version with the first of those it builds on, piece by
// changed piece; rest is what it changed besides pieces.
func (h *historian) changes(v repo.Version) (changed []pieceChange, rest []string, err error) {
	changed = []pieceChange{}
	altered, added, removed, err := h.repo.Changed(v)
	if err != nil {
		return nil, nil, err
	}
	files := slices.Concat(altered, added, removed)
	if h.only != nil && !slices.Contains(files, h.only.file) {
		return changed, nil, nil
	}
	now, err := h.pattern(v.ID)
	if err != nil {
		return nil, nil, err
	}
	then := pattern.New(now.Name, now.Unit)
	if len(v.Parents) > 0 {
		if then, err = h.pattern(v.Parents[0]); err != nil {
			return nil, nil, err
		}
	}
	d, err := diff.Patterns(h.limited(then, files), h.limited(now, files), change.Version{}, side(v))
	if err != nil {
		return nil, nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	for _, p := range d.Pieces {
		if says := h.says(p, then, now); len(says) > 0 {
			changed = append(changed, pieceChange{p.Piece, says})
		}
	}
	if slices.Contains(files, repo.PatternFile) && len(v.Parents) > 0 {
		rest = diff.Settings(then, now)
	}
	return changed, rest, nil
}

// limited is the pattern with only those pieces whose files changed, or only
// the one asked for, and without what spans pieces.
func (h *historian) limited(p *pattern.Pattern, files []string) *pattern.Pattern {
	q := pattern.New(p.Name, p.Unit)
	q.Sets = p.Sets
	for _, piece := range p.Pieces {
		file := piece.FileName()
		if slices.Contains(files, file) && (h.only == nil || h.only.file == file) {
			q.Pieces = append(q.Pieces, piece)
		}
	}
	return q
}

// says gives the sentences of one piece, or those about the edge asked for.
func (h *historian) says(p change.PieceDiff, then, now *pattern.Pattern) []string {
	if h.only == nil || h.only.edgeID == "" {
		return pieceSaid(p)
	}
	before, after := edgeWithID(then, h.only), edgeWithID(now, h.only)
	switch {
	case before == "" && after == "":
		return nil
	case before == "":
		return []string{fmt.Sprintf("%q is new", after)}
	case after == "":
		return []string{fmt.Sprintf("%q is gone", before)}
	}
	var says []string
	for _, c := range p.Changes {
		if slices.Contains(c.Edges, before) {
			says = append(says, c.Says)
		}
	}
	return says
}

// edgeWithID is the edge's name in a pattern, empty when it is not there.
func edgeWithID(p *pattern.Pattern, s *subject) string {
	for _, q := range p.Pieces {
		if q.FileName() != s.file {
			continue
		}
		if i := q.EdgeByID(s.edgeID); i >= 0 {
			return q.Edges[i].Name
		}
	}
	return ""
}

// pieceSaid is what a diff says of one piece, in sentences; none when it is
// the same.
func pieceSaid(p change.PieceDiff) []string {
	var says []string
	switch p.State {
	case change.Same:
		return nil
	case change.Added:
		says = append(says, "new")
	case change.Removed:
		says = append(says, "removed")
	}
	for _, c := range p.Changes {
		says = append(says, c.Says)
	}
	if len(says) == 0 {
		says = append(says, string(p.State))
	}
	return says
}
