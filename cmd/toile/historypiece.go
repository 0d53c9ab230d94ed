package main

import (
	"fmt"
	"slices"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// pieceHistory lists the versions that changed one piece, or one edge of it,
// and says how.
func (o *opened) pieceHistory(opt historyOptions) error {
	var book *stepBook
	if opt.edge == "" { // an edge is followed through the pieces themselves
		book = o.newStepBook()
	}
	steps, err := o.pieceSteps(opt.piece, book)
	if err != nil {
		return err
	}
	book.keep()
	says := make([][]string, len(steps))
	for i := range steps {
		says[i] = steps[i].says()
	}
	first := firstPiece(steps)
	if opt.edge != "" {
		e, err := followEdge(steps, opt.edge)
		if err != nil {
			return err
		}
		for i := range steps {
			says[i] = e.said(i)
		}
		first = e.first()
	}
	notes, now, err := o.notesOfSteps(steps)
	if err != nil {
		return err
	}
	if opt.json {
		return o.sayJSON(stepsToJSON(steps, says, notes, now))
	}
	printer, err := o.newVersionPrinter()
	if err != nil {
		return err
	}
	for i, s := range steps {
		if len(says[i]) == 0 {
			continue
		}
		o.sayHead(printer, s.version, notes[i].Fitting, now)
		for _, line := range says[i] {
			o.say("    %s", line)
		}
		if answers := answersNow(notes[i], now); len(answers) > 0 {
			o.say("    answers %s", list(answers))
		}
	}
	o.say("%s", first)
	return o.sayBranches()
}

// notesOfSteps are what the steps' versions say of notes, and what was said of them
// afterwards; only those are read that were made for a fitting or answer a note.
func (o *opened) notesOfSteps(steps []pieceStep) (notes []notesSaid, now *pattern.Pattern, err error) {
	if now, err = o.fittingsNow(); err != nil {
		return nil, nil, err
	}
	said := map[string]notesSaid{}
	for _, s := range steps {
		if s.version.Fitting == 0 && len(s.version.Answers) == 0 {
			continue
		}
		if said[s.version.ID], err = o.notesOf(s.version); err != nil {
			return nil, nil, err
		}
	}
	if len(now.Fittings) > 0 {
		versions, historyErr := o.repo.History()
		if err = historyErr; err == nil {
			err = o.answersSaidLater(versions, said, now)
		}
	}
	for _, s := range steps {
		notes = append(notes, said[s.version.ID])
	}
	return notes, now, err
}

// stepsToJSON lists the versions of which there is something to say.
func stepsToJSON(steps []pieceStep, says [][]string, notes []notesSaid, now *pattern.Pattern) []versionJSON {
	listed := []versionJSON{}
	for i, s := range steps {
		if len(says[i]) > 0 {
			listed = append(listed, versionToJSON(s.version, []pieceChange{{s.piece(), says[i]}}, nil, notes[i], now))
		}
	}
	return listed
}

// latest is the piece as it was last, and earliest as it was first.
func latest(steps []pieceStep) *pattern.Piece {
	if q := steps[0].now; q != nil {
		return q
	}
	return steps[0].before
}

func firstPiece(steps []pieceStep) string {
	first := steps[len(steps)-1]
	latest := steps[0].nameNow()
	return firstWords(latest, first.nameNow(), latest, first.version.Number)
}

// firstWords says where something appears first, and what it was called there.
func firstWords(what, then, now string, version int) string {
	says := fmt.Sprintf("%s appears first in version %d", what, version)
	if then != now {
		says += fmt.Sprintf(", there called %q", then)
	}
	return says
}

// edgeTrail is one edge followed through the steps of its piece: its names
// before and after each, empty where it is not there.
type edgeTrail struct {
	steps []pieceStep
	names []edgeNames
}

type edgeNames struct{ before, now string }

// followEdge follows an edge from where its name was seen last, back to where
// it is new, and on to where it is gone.
func followEdge(steps []pieceStep, name string) (*edgeTrail, error) {
	states, links, err := pieceStates(steps)
	if err != nil {
		return nil, err
	}
	called, err := edgeSeen(states, name)
	if err != nil {
		return nil, err
	}
	seen := slices.IndexFunc(called, func(n string) bool { return n != "" })
	for i := seen + 1; i < len(states) && called[i-1] != ""; i++ {
		called[i] = diff.EdgeThen(links[i-1], called[i-1])
	}
	for i := seen - 1; i >= 0 && called[i+1] != ""; i-- {
		called[i] = diff.EdgeNow(links[i], called[i+1])
	}
	e := &edgeTrail{steps: steps}
	nameOf := func(q *pattern.Piece) string {
		if i := slices.Index(states, q); i >= 0 {
			return called[i]
		}
		return ""
	}
	for _, s := range steps {
		e.names = append(e.names, edgeNames{nameOf(s.before), nameOf(s.now)})
	}
	return e, nil
}

// pieceStates lists the states of a piece, the newest first, and between each
// two of them what changed. States on both sides of a time in which there was
// no such piece follow each other.
func pieceStates(steps []pieceStep) (states []*pattern.Piece, links []change.PieceDiff, err error) {
	for _, s := range steps {
		for _, q := range []*pattern.Piece{s.now, s.before} {
			n := len(states)
			switch {
			case q == nil || n > 0 && states[n-1] == q:
				continue
			case n > 0 && states[n-1] == s.now:
				links = append(links, s.said)
			case n > 0:
				d, err := diff.Pieces(q, states[n-1], pattern.New("", units.Centimetre))
				if err != nil {
					return nil, nil, fmt.Errorf("version %d: %w", s.version.Number, err)
				}
				links = append(links, d)
			}
			states = append(states, q)
		}
	}
	return states, links, nil
}

// edgeSeen finds the newest state that has the edge, and says there how it is
// called. A number counts in the newest state alone.
func edgeSeen(states []*pattern.Piece, name string) (called []string, err error) {
	called = make([]string, len(states))
	i, problem := states[0].EdgeIndex(name)
	if problem == nil {
		called[0] = states[0].Edges[i].Name
		return called, nil
	}
	want, err := pattern.CleanName(name)
	if err != nil {
		return nil, problem
	}
	for k, q := range states {
		if slices.Contains(q.EdgeNames(), want) {
			called[k] = want
			return called, nil
		}
	}
	return nil, problem
}

// said gives the sentences of a step about the edge.
func (e *edgeTrail) said(i int) []string {
	n := e.names[i]
	if n.before == "" && n.now == "" {
		return nil
	}
	name := n.before
	if name == "" {
		name = n.now
	}
	said := e.steps[i].said
	var says []string
	if said.Of != nil && n.before != "" {
		says = append(says, fmt.Sprintf("%q was %q of %q, from which this piece was split off", n.now, n.before, said.Of.Name))
	}
	for _, c := range said.Changes {
		if n.concernedBy(c, said) || slices.Contains(c.Edges, name) {
			says = append(says, c.Says)
		}
	}
	switch {
	case len(says) > 0:
	case n.before == "":
		says = append(says, fmt.Sprintf("%q is new", n.now))
	case n.now == "":
		says = append(says, fmt.Sprintf("%q is gone", n.before))
	}
	return says
}

// concernedBy reports whether a change that does not name the edge first
// concerns it all the same: it moved with a part of the piece, another edge
// became part of it, or the piece was divided across it.
func (n edgeNames) concernedBy(c change.Change, d change.PieceDiff) bool {
	switch c.Kind {
	case change.Spread:
		return slices.Contains(c.Moved, n.before)
	case change.NameChanged:
		return c.Notch == "" && len(c.Edges) == 1 && c.After == n.now && n.now != ""
	case change.PieceSplit, change.PieceJoined:
		return slices.ContainsFunc(d.Edges, func(l change.EdgeLength) bool {
			return l.Edge == n.before && l.Length[0] != l.Length[1]
		})
	}
	return false
}

// first says where the edge appears first.
func (e *edgeTrail) first() string {
	var called []string // names, the newest first
	first := 0
	for i, n := range e.names {
		for _, name := range []string{n.now, n.before} {
			if name != "" {
				called = append(called, name)
			}
		}
		if n.now != "" {
			first = e.steps[i].version.Number
		}
	}
	newest, oldest := called[0], called[len(called)-1]
	return firstWords(fmt.Sprintf("%q of %s", newest, latest(e.steps).Name), oldest, newest, first)
}
