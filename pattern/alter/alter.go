package alter

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// Recipe is an alteration as it was asked for; see pattern.Recipe.
type Recipe = pattern.Recipe

// What a key's text means.
type What int

// The kinds of values.
const (
	Edge   What = iota // the name of an edge of the piece
	Corner             // EDGE/EDGE or a corner's name
	Length             // as typed, in the pattern's unit when bare
	Angle
	Along // a place on the edge: L, L@start, L@end, L@NEXT, L@NOTCH, a notch, or L from LINE
	End   // an end of the edge: start, end, or the edge that lies there
	Place // a place of the piece, as pattern.Piece.FindPlace reads it
	Line  // PLACE:PLACE
	Drawn // a drawn path: a file, or path data in mm on the sheet
	Name
	Names  // separated by commas
	Piece  // another piece
	Pieces // other pieces, separated by commas
	Flag
	Text
)

// Key is one thing a kind asks for.
type Key struct {
	Name   string
	What   What
	Needed bool
	Means  string
	Typed  bool // typed in order after the piece, not as a flag
}

// Kind is a kind of alteration.
type Kind struct {
	Name  string
	Does  string // one sentence
	Keys  []Key
	Alike []string // kinds that undo it
	Typed string   // an example, as it is typed behind the kind

	make func(m *making) error
}

// kinds are all kinds, by name.
var kinds = map[string]*Kind{}

// register makes a kind known; each kind's file does so once.
func register(k *Kind) *Kind {
	kinds[k.Name] = k
	return k
}

// Kinds lists all kinds by name.
func Kinds() []*Kind {
	var all []*Kind
	for _, k := range kinds {
		all = append(all, k)
	}
	slices.SortFunc(all, func(a, b *Kind) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// Undoes is the kind that does the contrary of a kind, as lengthen of shorten;
// empty where there is none.
func Undoes(kind string) string {
	switch kind {
	case "shorten", "lengthen", "let-out", "take-in", "spread", "close":
		return kinds[kind].Alike[0]
	}
	return ""
}

// Result is the altered pattern.
type Result struct {
	Pattern *pattern.Pattern
	Recipe  Recipe   // as it is kept: places on the outline named by edges
	Says    []string // what the alteration made besides, such as a dent at a pivot
	Slid    []SlidMatch

	slashes []Slash // of every piece that it opened
}

// Make makes an alteration on a copy of the pattern. The error names the
// piece, the edge, the value and the next step.
func Make(p *pattern.Pattern, r Recipe) (Result, error) { return makeWith(p, r, nil) }

// makeWith makes an alteration that may have to know what followers lack.
func makeWith(p *pattern.Pattern, r Recipe, lacking []Lacking) (Result, error) {
	k := kinds[r.Kind]
	if k == nil {
		return Result{}, fmt.Errorf("there is no alteration %q; there are %s", r.Kind, kindNames())
	}
	if err := k.checkKeys(r); err != nil {
		return Result{}, err
	}
	m := &making{pattern: p.Clone(), lacking: lacking}
	err := m.read(r)
	if err != nil {
		return Result{}, err
	}
	if m.piece, err = m.pattern.Piece(r.Piece); err != nil {
		return Result{}, err
	}
	m.settleRecipe(k)
	if err := k.make(m); err != nil {
		return Result{}, m.oneFromTwo(p, m.openingUnfit(err))
	}
	m.sayPartMoved(p)
	if err := m.mend(p); err != nil {
		return Result{}, err
	}
	if err := m.refusePointsLost(p); err != nil {
		return Result{}, err
	}
	if err := m.storable(p); err != nil {
		return Result{}, err
	}
	if all := r.Values[allRound.Name]; all != "" { // kept as it was asked for
		delete(m.recipe.Values, "by")
		m.recipe.Values[allRound.Name] = all
	}
	return Result{m.pattern, m.recipe, m.says, m.matchedSlid(p), m.slashes}, nil
}

// read takes a recipe up: its amount shared out, and what is typed counted in
// its unit, which mend puts back.
func (m *making) read(r Recipe) error {
	unit := r.Unit
	if unit == "" {
		unit = m.pattern.Unit
	}
	m.pattern.Unit = unit
	shared, text, err := ShareOut(m.pattern, r, false)
	if err != nil {
		return err
	}
	if r.Values[allRound.Name] != "" {
		m.say("%s", text)
	}
	m.recipe = shared
	m.recipe.Unit, m.recipe.Values = unit, maps.Clone(shared.Values)
	if m.recipe.Values == nil {
		m.recipe.Values = map[string]string{}
	}
	return nil
}

// mend brings what names edges back in order after an alteration of the
// pattern as it was before, and keeps what lies on the cloth there; it refuses one that
// leaves no room for an opening.
func (m *making) mend(before *pattern.Pattern) error {
	m.mendDifferences()
	m.slideStretches(before)
	m.refitLayerSeams(before)
	m.mendStretches(before)
	m.recountStops(before)
	m.slideOpenings(before)
	if err := m.keepOpenings(before); err != nil {
		return err
	}
	m.sayMouths(before)
	m.pattern.Unit = before.Unit
	return nil
}

func kindNames() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, k.Name)
	}
	return strings.Join(names, ", ")
}

// checkKeys refuses keys the kind does not know and misses those it needs.
func (k *Kind) checkKeys(r Recipe) error {
	for name := range r.Values {
		if !slices.ContainsFunc(k.Keys, func(key Key) bool { return key.Name == name }) {
			return fmt.Errorf("%s has no %q", k.Name, name)
		}
	}
	for _, key := range k.Keys {
		if key.Needed && strings.TrimSpace(r.Values[key.Name]) == "" {
			return fmt.Errorf("%s needs %s: %s", k.Name, key.Name, key.Means)
		}
	}
	return nil
}

// making is an alteration under way.
type making struct {
	pattern *pattern.Pattern // the copy that is altered
	piece   *pattern.Piece   // in it
	recipe  Recipe
	says    []string
	renamed map[string]string // of a piece joined to this one: what its edges are called now
	refiled map[string]string // of a piece joined to this one: what its notches are called now
	lacking []Lacking         // what has to be carried to followers
	with    []change.Change   // all that was made with what is being carried
	slashes []Slash           // along which pieces were opened
	divided [][2]string       // edges that were cut: the new name of the second half, and the old one
}

func (m *making) say(format string, args ...any) {
	m.says = append(m.says, fmt.Sprintf(format, args...))
}

func (m *making) text(key string) string { return strings.TrimSpace(m.recipe.Values[key]) }
func (m *making) has(key string) bool    { return m.text(key) != "" }
func (m *making) flag(key string) bool   { return m.text(key) == "true" }

// edge finds the edge that a key names.
func (m *making) edge(key string) (int, error) { return m.piece.EdgeIndex(m.text(key)) }

// positive reads a length above 0.
func (m *making) positive(key string) (float64, error) {
	v, err := units.ParsePositive(m.text(key), m.pattern.Unit)
	if signed, problem := units.ParseLength(m.text(key), m.pattern.Unit); problem == nil && signed <= 0 && key == "by" {
		if undoes := Undoes(m.recipe.Kind); signed < 0 && undoes != "" {
			return 0, fmt.Errorf("%s by %s is less than nothing; to %s it by %s use `toile alter %s`", m.recipe.Kind, m.format(signed), undoes, m.format(-signed), undoes)
		}
		return 0, fmt.Errorf("%s by %s changes nothing; give more than 0", m.recipe.Kind, m.format(signed))
	}
	if err != nil {
		return 0, fmt.Errorf("%s: %w", key, err)
	}
	return v, nil
}

// length reads a length with a sign.
func (m *making) length(key string) (float64, error) {
	v, err := units.ParseLength(m.text(key), m.pattern.Unit)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", key, err)
	}
	return v, nil
}

func (m *making) angle(key string) (float64, error) {
	v, err := units.ParseAngle(m.text(key))
	if err != nil {
		return 0, fmt.Errorf("%s: %w", key, err)
	}
	return v, nil
}

// along reads a place on edge i as a length in mm from its start, as
// pattern.Piece.AlongEdge does; a bare L counts from the end that fromEnd says.
func (m *making) along(key string, i int, fromEnd bool) (float64, error) {
	v, err := m.piece.AlongEdge(i, m.text(key), fromEnd, m.ruler())
	if err != nil {
		return 0, fmt.Errorf("%s: %w", key, err)
	}
	return v, nil
}

// ruler says how places were measured: on paper, or with onToile on the sewn
// mock-up.
func (m *making) ruler() pattern.Ruler {
	r := pattern.Ruler{Unit: m.pattern.Unit}
	if m.flag(onToile.Name) {
		r.Sewn = m.pattern
	}
	return r
}

// onToile is the key of kinds whose places may be measured on the mock-up.
var onToile = Key{Name: "on-toile", What: Flag, Means: "as measured on the sewn mock-up: darts, pleats and what is eased in do not count"}

// spot finds a place of the piece.
func (m *making) spot(text string) (geom.Point, error) {
	s, err := m.piece.FindPlace(text, m.ruler())
	return s.At, err
}

func (m *making) format(mm float64) string { return m.pattern.Unit.Format(mm) }
