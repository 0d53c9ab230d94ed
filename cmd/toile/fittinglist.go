package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/change"
	"toile/render"
	"toile/repo"
)

type fittingListOptions struct {
	piece          string
	open, answered bool
	json           bool

	there bool                // the piece is one of the pattern's
	now   map[string]string   // by note the piece that it lies on, where that is another
	too   map[string][]string // by note further pieces that it is of
}

func newFittingList(a *app) *cobra.Command {
	var opt fittingListOptions
	cmd := &cobra.Command{
		Use:   "list [N]",
		Short: "List fittings and their notes",
		Long: `Lists all fittings with their notes, or fitting N alone: where, what was seen, how
much was pinned, what to do, and whether the note is open or which version
answered it. A note that was seen again stands under its own fitting and is named
under the later one. --open, --answered and --piece keep some of the notes.

--json gives a list of {fitting, date, cloth, worn, closures, version, notes:
[{note, piece, edge, place, on_toile, at, seen, pinned_mm, left_mm, right_mm,
pinch, pinch_side, side, to_do, state, answered, next, again}]}; lengths are mm, at is on the
sheet of the piece. Name and measures of the wearer are no part of it.

` + exitCodes,
		Example: `  toile fitting list
  toile fitting list 2 --open --json`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			number := 0
			if len(args) > 0 {
				var err error
				if number, err = fittingNumber(args[0]); err != nil {
					return err
				}
			}
			if opt.open && opt.answered {
				return usagef("--open and --answered leave nothing between them; give one")
			}
			return a.read(func(o *opened) error { return o.listFittings(number, opt) })
		},
		ValidArgsFunction: inOrder(a.fittingNumbers(), nothing),
	}
	f := cmd.Flags()
	f.BoolVar(&opt.open, "open", false, "only notes that are open")
	f.BoolVar(&opt.answered, "answered", false, "only notes that a version answered")
	f.StringVar(&opt.piece, "piece", "", "only notes pinned to this `PIECE`")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "piece", a.pieceNames())
	return cmd
}

// The shape of `fitting list --json`.
type fittingJSON struct {
	Fitting  int        `json:"fitting"`
	Date     string     `json:"date"`
	Cloth    string     `json:"cloth"`
	Worn     string     `json:"worn"`
	Closures string     `json:"closures"`
	Version  int        `json:"version"` // that was sewn; 0 where that is not said
	Notes    []noteJSON `json:"notes"`
}

type noteJSON struct {
	Note     string      `json:"note"`
	Piece    string      `json:"piece"`
	Edge     string      `json:"edge"`
	Place    string      `json:"place"`
	OnToile  bool        `json:"on_toile"`
	At       *change.XY  `json:"at"`
	Seen     string      `json:"seen"`
	Pinned   float64     `json:"pinned_mm"`
	Left     *float64    `json:"left_mm"`
	Right    *float64    `json:"right_mm"`
	Pinch    bool        `json:"pinch"`
	PinchOf  string      `json:"pinch_side"` // the reading that was, where the other was not
	Side     string      `json:"side"`
	ToDo     string      `json:"to_do"`
	State    string      `json:"state"`    // open or answered
	Answered int         `json:"answered"` // the version, 0 while open
	Next     bool        `json:"next"`     // the next version is to answer it
	Again    []againJSON `json:"again"`
}

type againJSON struct {
	Fitting int    `json:"fitting"`
	After   int    `json:"after"`
	Seen    string `json:"seen"`
}

func (o *opened) listFittings(number int, opt fittingListOptions) error {
	fittings := o.Fittings
	if number > 0 {
		f, err := o.Fitting(number)
		if err != nil {
			return o.fittingHelp(err)
		}
		fittings = []*pattern.Fitting{f}
	}
	if err := o.findNoted(&opt); err != nil {
		return err
	}
	next, err := o.pendingAnswers()
	if err != nil {
		return err
	}
	listed := []fittingJSON{}
	for _, f := range fittings {
		notes := slices.DeleteFunc(slices.Clone(f.Notes), func(n pattern.Note) bool { return !opt.keeps(f, n) })
		listed = append(listed, fittingToJSON(f, notes, next))
		if !opt.json && (opt.piece == "" || len(notes)+len(o.seenAgainAt(f, opt)) > 0) {
			o.sayFitting(f, notes, opt, next)
		}
	}
	if opt.json {
		return o.sayJSON(listed)
	}
	if len(o.Fittings) == 0 {
		o.advise("There is no fitting yet; open one with `toile fitting open`.")
	} else if opt.piece != "" && !opt.open && !opt.answered && number == 0 && !slices.ContainsFunc(listed, func(f fittingJSON) bool { return len(f.Notes) > 0 }) {
		o.advise("No note is of %q.", opt.piece)
	}
	return nil
}

// notedPiece is the name of a piece that is there or that a note names.
func (o *opened) notedPiece(name string) (string, error) {
	q, err := o.Piece(name)
	if err == nil {
		return q.Name, nil
	}
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			if clean, bad := pattern.CleanName(name); bad == nil && n.Piece == clean {
				return clean, nil
			}
		}
	}
	return "", err
}

// keeps reports whether a note is one of those asked for.
func (opt fittingListOptions) keeps(f *pattern.Fitting, n pattern.Note) bool {
	return (!opt.open || n.Open()) && (!opt.answered || !n.Open()) && (opt.piece == "" || opt.ofPiece(f, n))
}

func fittingToJSON(f *pattern.Fitting, notes []pattern.Note, next []string) fittingJSON {
	j := fittingJSON{Fitting: f.Number, Date: f.Date, Cloth: f.Cloth, Worn: f.Worn, Closures: f.Closures, Version: f.Version, Notes: []noteJSON{}}
	for _, n := range notes {
		k := noteJSON{Note: f.Key(n), Piece: n.Piece, Edge: n.Edge, Place: n.Place, OnToile: n.OnToile, Seen: n.Seen, Pinned: n.Pinned,
			Left: n.Left, Right: n.Right, Pinch: n.Pinch, PinchOf: string(n.PinchSide), Side: string(n.Side), ToDo: n.ToDo, State: change.NoteOpen, Answered: n.Answered,
			Next: slices.Contains(next, f.Key(n)), Again: []againJSON{}}
		if n.At != nil {
			k.At = change.At(*n.At)
		}
		if !n.Open() {
			k.State = change.NoteAnswered
		}
		for _, s := range n.Again {
			k.Again = append(k.Again, againJSON(s))
		}
		j.Notes = append(j.Notes, k)
	}
	return j
}

// sayFitting prints a fitting with those of its notes that are asked for.
func (o *opened) sayFitting(f *pattern.Fitting, notes []pattern.Note, opt fittingListOptions, next []string) {
	o.say("%s", o.fittingHead(f))
	sewn, _ := o.sewn(f) // nil where it cannot be read: places are told as they were typed
	for _, n := range notes {
		o.sayNote(f, o.inPlaceWords(sewn, f, n), slices.Contains(next, f.Key(n)))
		if is := opt.now[f.Key(n)]; is != "" {
			o.say("    on %q now", is)
		}
		for _, also := range opt.too[f.Key(n)] {
			o.say("    on %q too", also)
		}
	}
	for _, again := range o.seenAgainAt(f, opt) {
		o.say("  seen again: %s", again)
	}
	if len(notes) == 0 && !opt.open && !opt.answered && opt.piece == "" {
		o.say("  no notes")
	}
}

// seenAgainAt are the notes of other fittings, of those asked for, that were seen
// again at this one.
func (o *opened) seenAgainAt(f *pattern.Fitting, opt fittingListOptions) (again []string) {
	for _, of := range o.Fittings {
		for _, n := range of.Notes {
			if opt.keeps(of, n) && slices.ContainsFunc(n.Again, func(s pattern.SeenAgain) bool { return s.Fitting == f.Number }) {
				again = append(again, of.Key(n)+", "+firstLine(n.Seen))
			}
		}
	}
	return again
}

// inPlaceWords is a note with its place in words, on the piece as it was sewn.
func (o *opened) inPlaceWords(sewn *pattern.Pattern, f *pattern.Fitting, n pattern.Note) pattern.Note {
	if sewn == nil || n.Piece == "" {
		return n
	}
	q, _, err := o.pieceSewn(sewn, f, n.Piece)
	if now, nowErr := o.Piece(n.Piece); err != nil && nowErr == nil && now.Was != "" {
		for _, p := range sewn.Pieces {
			if p.ID == now.Was { // one half of a pair that was made two since
				q = p
			}
		}
	}
	if q != nil {
		n.Place = render.PlaceWords(q, n.Place)
	}
	return n
}

// sayNote prints a note with all that is known of it.
func (o *opened) sayNote(f *pattern.Fitting, n pattern.Note, next bool) {
	o.block("  ", f.Key(n)+", "+o.noteState(f, n, next)+": "+noteWords(n))
	if words := pinnedWords(n, o.Unit); words != "" {
		o.say("    pinned: %s", words)
	}
	if n.ToDo != "" {
		o.block("    ", "to do: "+n.ToDo)
	}
	for k, s := range n.Again {
		text := fmt.Sprintf("seen again at fitting %d, after %s had answered it", s.Fitting, o.answeredBeforeWords(f, n, k))
		if s.Seen != "" {
			text += ": " + s.Seen
		}
		o.block("    ", text)
	}
}

// noteState says in a word or two whether a note is open.
func (o *opened) noteState(f *pattern.Fitting, n pattern.Note, next bool) string {
	switch {
	case !n.Open():
		return "answered by " + o.answeredWords(f, n)
	case next:
		return "open, the next version answers it"
	}
	return change.NoteOpen
}

// noteWords say where a note is pinned, on which side, and what was seen.
func noteWords(n pattern.Note) string {
	var where []string
	if n.Piece != "" {
		where = append(where, n.Piece)
	}
	if n.Edge != "" && !strings.Contains(n.Place, n.Edge) {
		where = append(where, fmt.Sprintf("%q", n.Edge))
	}
	if n.Place != "" {
		how := ""
		if n.OnToile {
			how = " (on the mock-up)"
		}
		where = append(where, n.Place+how)
	}
	if n.Side == pattern.WearerLeft || n.Side == pattern.WearerRight {
		where = append(where, "the wearer's "+string(n.Side))
	}
	if len(where) == 0 {
		return n.Seen
	}
	return strings.Join(where, ", ") + ": " + n.Seen
}

// oneLined is a text as one line for a terminal.
func oneLined(text string) string {
	return strings.Join(strings.Fields(repo.Printable(text)), " ")
}
