package merge

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// Side is one of the two states that are brought together.
type Side int

// The sides.
const (
	Here  Side = iota // the present state
	There             // the other one: of a branch, or before a version that is taken back
)

// String is the side as it is typed.
func (s Side) String() string { return [2]string{"here", "there"}[s] }

// Answer says which side counts. Where is a conflict's, a piece for all that
// is in conflict in it, or empty for every conflict.
type Answer struct {
	Side  Side
	Where string
}

// ParseAnswer reads here, there, here:WHERE or there:WHERE.
func ParseAnswer(text string) (Answer, error) {
	word, where, found := strings.Cut(text, ":")
	a := Answer{Where: where}
	switch word {
	case "here":
	case "there":
		a.Side = There
	default:
		return a, fmt.Errorf("%q says neither here nor there; write here, there, here:PIECE/EDGE or there:PIECE/EDGE", text)
	}
	if found && where == "" {
		return a, fmt.Errorf("%q does not say for what; write %s:PIECE/EDGE, or %s for everything", text, word, word)
	}
	return a, nil
}

// Input is what is merged.
type Input struct {
	Shared, Here, There *pattern.Pattern
	Revert              bool // Shared is a version and There the one before it: its changes are taken out of Here, and the fittings stay as they are
	Keep                []Answer
	// Elsewhere names what is in conflict besides the patterns: answers for
	// everything are for that too.
	Elsewhere []string
}

// Result is the merged pattern, or the conflicts that are not answered. With
// conflicts Pattern is nil.
type Result struct {
	Pattern   *pattern.Pattern
	Conflicts []change.Conflict
	Answered  []Answered // those that Keep decided
	Says      []string   // what was done besides, such as fittings numbered anew
	// Renumbered says of fittings numbered anew what earlier versions call them.
	Renumbered []string
}

// Answered is a conflict that an answer decided.
type Answered struct {
	change.Conflict
	Side Side // whose state counts
}

// Merge brings two states together by units; see the package. The three
// patterns are left as they are. Merging here into there gives the same as there
// into here, but for what answers decide. The error says that an answer fits no
// conflict, or why what was answered makes no pattern that can be kept; it names
// what to do.
func Merge(in Input) (Result, error) {
	m := &merging{shared: in.Shared.Clone(), revert: in.Revert, answers: in.Keep, used: make([]bool, len(in.Keep)), elsewhere: in.Elsewhere,
		sides: [2]*pattern.Pattern{in.Here.Clone(), in.There.Clone()}}
	if err := m.oneEach(); err != nil {
		return Result{}, err
	}
	m.names()
	out := m.settings()
	if err := m.pieces(out); err != nil {
		return Result{}, err
	}
	m.seams(out)
	m.layers(out)
	m.fittings(out)
	m.nameWholes(out)
	for k, used := range m.used {
		if !used && (in.Keep[k].Where != "" || len(in.Elsewhere) == 0) {
			return Result{}, m.stray(in.Keep[k])
		}
	}
	res := Result{Conflicts: m.open, Answered: m.answered, Says: m.says, Renumbered: m.renumbered}
	if len(m.open) > 0 {
		return res, nil
	}
	var err error
	res.Pattern, err = stored(out)
	if err != nil && len(m.answered) > 0 {
		return res, fmt.Errorf("so answered the pieces do not go together: %w; answer otherwise, or alter one side first and then merge", err)
	}
	if err != nil && in.Revert {
		return res, fmt.Errorf("with that taken back the pattern does not go together: %w; take back less with --piece, or first alter or take back what was built on it", err)
	}
	if err != nil {
		return res, fmt.Errorf("what both sides did does not go together: %w; put that right on one side, commit, and merge again", err)
	}
	return res, nil
}

// merging is a merge under way.
type merging struct {
	shared  *pattern.Pattern
	sides   [2]*pattern.Pattern
	revert  bool
	answers []Answer
	used    []bool

	elsewhere []string

	open       []change.Conflict
	answered   []Answered
	says       []string
	renumbered []string
	called     map[string]string    // what pieces of the shared version were called there, by id
	names3     map[string][3]string // what they are called there, here and there, by id; empty where they are not
	wholeNames map[string]string    // what pieces that an answer kept whole are called on that side, by id
	dropped    [2][]string          // on each side, ids of pieces that were split off and are not to come
	wholes     []Side               // of pieces that an answer kept whole: whose they are
}

// stored is the pattern as files hold it.
func stored(p *pattern.Pattern) (*pattern.Pattern, error) {
	files, err := p.Encode()
	if err != nil {
		return nil, err
	}
	return pattern.Decode(files)
}

// stray says that an answer fits nothing.
func (m *merging) stray(a Answer) error {
	var where []string
	for _, c := range m.open {
		where = append(where, c.Where)
	}
	for _, c := range m.answered {
		where = append(where, c.Where)
	}
	where = append(where, m.elsewhere...)
	switch {
	case a.Where == "" && len(where) == 0:
		return fmt.Errorf("there is nothing to decide; leave %q out", a.Side)
	case len(where) == 0:
		return fmt.Errorf("%q is in no conflict, and nothing else is; leave it out", a.Where)
	}
	return fmt.Errorf("nothing in conflict is called %q; to be decided: %s", a.Where, strings.Join(where, ", "))
}

// decide looks for the answer to a conflict: the one that names it goes before
// one that names its piece, and that before one for everything. The conflict is
// noted either way.
func (m *merging) decide(c change.Conflict) (Side, bool) {
	best, rank := -1, 0
	for k, a := range m.answers {
		r := 0
		switch m.known(a.Where, c.Piece) {
		case c.Where:
			r = 3
		case c.Piece:
			r = 2
		}
		if a.Where == "" {
			r = 1
		}
		if r > rank {
			best, rank = k, r
		}
		if r > 0 {
			m.used[k] = true
		}
	}
	same := func(d change.Conflict) bool { return d.Where == c.Where && d.Says == c.Says }
	if best < 0 {
		if !slices.ContainsFunc(m.open, same) {
			m.open = append(m.open, c)
		}
		return Here, false
	}
	side := m.answers[best].Side
	if !slices.ContainsFunc(m.answered, func(a Answered) bool { return same(a.Conflict) }) {
		m.answered = append(m.answered, Answered{c, side})
	}
	return side, true
}

// three takes a value that one side changed. Where both did, and differently,
// the conflict decides.
func three[T any](m *merging, same func(a, b T) bool, shared, here, there T, conflict func() change.Conflict) T {
	switch {
	case same(here, there), same(there, shared):
		return here
	case same(here, shared):
		return there
	}
	if side, ok := m.decide(conflict()); ok && side == There {
		return there
	}
	return here
}

// plain is three for values that compare with ==.
func plain[T comparable](m *merging, shared, here, there T, conflict func() change.Conflict) T {
	return three(m, func(a, b T) bool { return a == b }, shared, here, there, conflict)
}
