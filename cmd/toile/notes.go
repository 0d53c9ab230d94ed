package main

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// sayNotes lists the notes that a diff says were answered, and those still
// open.
func (o *opened) sayNotes(notes []change.Note) {
	for _, part := range []struct{ head, state string }{{"answered", change.NoteAnswered}, {"still open", change.NoteOpen}} {
		begun := false
		for _, n := range notes {
			if n.State != part.state {
				continue
			}
			if !begun {
				o.say("\n%s", part.head)
				begun = true
			}
			by := ""
			if n.Answered > 0 {
				by = fmt.Sprintf(", by version %d", n.Answered)
			} else if n.Again {
				by = ", seen again"
			}
			o.say("  note %s%s: %s", n.Note, by, noteLine(n.Piece, n.Seen))
		}
	}
}

// noteLine is a note in one line.
func noteLine(piece, seen string) string {
	if piece == "" {
		return firstLine(seen)
	}
	return piece + ", " + firstLine(seen)
}

// notesSaid is what a version says of notes: the fitting that it was made for, the
// notes open in it, and those it answers with a line each.
type notesSaid struct {
	Fitting noteThen       `json:"fitting"`
	Open    []noteThen     `json:"open,omitempty"`
	Answers []answeredThen `json:"answers,omitempty"`
}

type answeredThen struct {
	noteThen
	Line string `json:"line,omitempty"`
}

// notesOf reads the fittings of a version and nothing else of it.
func (o *opened) notesOf(v repo.Version) (notesSaid, error) {
	then, err := o.fittingsThen(v)
	if err != nil {
		return notesSaid{}, err
	}
	said := notesSaid{Fitting: noteThen{Number: v.Fitting}}
	if f, err := then.Fitting(v.Fitting); err == nil {
		said.Fitting.Fitting = f.ID
	}
	for _, key := range openNoteKeys(then) {
		said.Open = append(said.Open, noteOfThen(then, key))
	}
	for _, key := range v.Answers {
		a := answeredThen{noteThen: noteOfThen(then, key)}
		if a.Fitting != "" {
			a.Line = noteLine(a.Piece, a.Seen)
		}
		said.Answers = append(said.Answers, a)
	}
	return said, nil
}

// sayAnswers names the notes that a version answers, and where it has to do
// with a fitting those that are open in it.
func (o *opened) sayAnswers(notes notesSaid, v repo.Version, now *pattern.Pattern) {
	for _, a := range notes.Answers {
		says := ""
		if a.Line != "" {
			says = ": " + a.Line
		}
		o.say("    answers %s%s", renumberedWords(a.now(now), a.key()), says)
	}
	answered := answersNow(notes, now)
	var open []string
	for _, n := range notes.Open {
		if !slices.Contains(answered, n.now(now)) {
			open = append(open, renumberedWords(n.now(now), n.key()))
		}
	}
	if len(open) > 0 && (v.Fitting > 0 || len(answered) > 0) {
		o.say("    still open: %s", list(open))
	}
}

// answersNow are the notes that a version answers, as they are called now.
func answersNow(notes notesSaid, now *pattern.Pattern) (keys []string) {
	for _, a := range notes.Answers {
		keys = append(keys, a.now(now))
	}
	return keys
}

// keysNow are notes of a version as they are called now.
func keysNow(notes []noteThen, now *pattern.Pattern) (keys []string) {
	for _, n := range notes {
		keys = append(keys, n.now(now))
	}
	return keys
}

// remindOfNotes adds a reminder for each open note of the last fitting, and
// for each that was seen again there.
func (o *opened) remindOfNotes(found *change.Findings) error {
	if len(o.Fittings) == 0 {
		return nil
	}
	next, err := o.pendingAnswers()
	if err != nil {
		return err
	}
	last := o.Fittings[len(o.Fittings)-1]
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			again := slices.ContainsFunc(n.Again, func(s pattern.SeenAgain) bool { return s.Fitting == last.Number })
			if !n.Open() || (f != last && !again) || slices.Contains(next, f.Key(n)) {
				continue
			}
			found.Findings = append(found.Findings, noteFinding(f, n))
		}
	}
	return nil
}

// noteFinding is the reminder of an open note.
func noteFinding(f *pattern.Fitting, n pattern.Note) change.Finding {
	where := "note " + f.Key(n)
	g := change.Finding{Kind: change.NoteIsOpen, MM: n.Pinned, Says: firstLine(n.Seen), Do: firstLine(n.ToDo), Pieces: []string{}}
	if n.Piece != "" {
		where, g.Pieces = n.Piece+", "+where, []string{n.Piece}
	}
	if g.Where = where; g.Says == "" {
		g.Says = "nothing is said of what was seen"
	}
	if g.Do == "" {
		g.Do = "alter the paper, or look at it again"
	}
	g.Do += fmt.Sprintf("; then `toile commit … --answers %s`", f.Key(n))
	if n.At != nil {
		g.At = change.At(*n.At)
	}
	return g
}
