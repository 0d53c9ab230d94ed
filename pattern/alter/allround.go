package alter

import (
	"fmt"
	"maps"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// allRound is the key of kinds whose amount may be meant for the whole garment
// round.
var allRound = Key{Name: "all-round", What: Length, Means: "the amount for the whole garment round, instead of BY: it is shared out over the edges, folds and pairs counted; of a sleeve, a cuff or a pocket for each one"}

// ShareOut settles what an amount comes to at one edge and round the whole
// garment. An amount all round (the key all-round) is divided by the number of
// times the edge lies in the garment: a piece on the fold and a pair twice, and
// with both the edges sewn to it too. The recipe that comes back has the amount
// of one edge; the sentence gives both figures. It is empty for kinds that have
// no such amount, and where nothing adds up in width: of an edge that moves up or
// down (an amount all round is refused then), or of which it is not known.
func ShareOut(p *pattern.Pattern, r Recipe, both bool) (Recipe, string, error) {
	k := kinds[r.Kind]
	if r.Kind == averageSides {
		return r, sayAveraged(p, r, both), nil
	}
	if k == nil || !k.has(allRound.Name) {
		return r, "", nil
	}
	round, by := r.Values[allRound.Name], r.Values["by"]
	switch {
	case round == "" && by == "" && !k.has("angle"):
		return r, "", fmt.Errorf("%s, %s: say how much at each edge, or --all-round how much for the whole garment", r.Piece, r.Kind)
	case round != "" && (by != "" || r.Values["angle"] != ""):
		return r, "", fmt.Errorf("%s, %s: give the amount at each edge or --all-round, not both", r.Piece, r.Kind)
	case round == "" && by == "":
		return r, "", nil
	}
	moved, err := movedTogether(p, r, both)
	if err != nil {
		return r, "", err
	}
	course, times := courseOf(p, moved), timesRound(p, moved)
	switch {
	case course == pattern.CourseLength && round != "":
		return r, "", fmt.Errorf("%s, %s: %s across the body, so that what is %s there is length, and nothing round the garment; give the amount instead of --all-round", r.Piece, r.Kind, whatRuns(r), roundWords[r.Kind])
	case course != pattern.CourseWidth && round == "":
		return r, "", nil
	}
	return sharedOut(p, r, times)
}

// linesOf is how many lines a recipe opens or closes a piece along, by the amount at
// each; 0 where it does no such thing.
func linesOf(r Recipe) int {
	if !kinds[r.Kind].has("line") {
		return 0
	}
	return len(strings.Split(r.Values["line"], ";"))
}

// sayAveraged says what the mean of what was pinned comes to; of what cannot be made
// the making tells.
func sayAveraged(p *pattern.Pattern, r Recipe, both bool) string {
	if r.Values["edge"] == "" {
		return ""
	}
	moved, err := Plain(p, r)
	if err != nil {
		return ""
	}
	one := moved[0]
	if both {
		partners, err := averagePartners(p, r)
		if err != nil {
			return ""
		}
		moved = append(moved, partners...)
	}
	if courseOf(p, moved) != pattern.CourseWidth {
		return ""
	}
	_, says, _ := sharedOut(p, one, timesRound(p, moved))
	return says
}

// sharedOut divides an amount all round, and gives the sentence of both amounts.
func sharedOut(p *pattern.Pattern, r Recipe, times float64) (Recipe, string, error) {
	key, text := "by", r.Values["by"]
	if round := r.Values[allRound.Name]; round != "" {
		key, text = allRound.Name, round
	}
	one, err := units.ParseLength(text, p.Unit)
	if err != nil {
		return r, "", fmt.Errorf("%s: %w", key, err)
	}
	if key == allRound.Name {
		one /= times
		r.Values = maps.Clone(r.Values)
		delete(r.Values, allRound.Name)
		r.Values["by"] = units.Number(one, 6) + "mm"
	}
	q, err := p.Piece(r.Piece)
	if err != nil {
		return r, "", err
	}
	each := "an edge"
	if linesOf(r) > 0 {
		each = "at each line"
	}
	return r, fmt.Sprintf("%s %s %s: %s %s", roundWords[r.Kind], p.Unit.Format(one), each, p.Unit.Format(one*times), p.RoundWords(q)), nil
}

// whatRuns says what of a recipe runs across the body.
func whatRuns(r Recipe) string {
	if edge := r.Values["edge"]; edge != "" {
		return fmt.Sprintf("%q runs, at least in part,", edge)
	}
	return "the line runs"
}

// movedTogether are the recipe and, with both, those of the edges sewn to its own.
func movedTogether(p *pattern.Pattern, r Recipe, both bool) ([]Recipe, error) {
	if !both {
		return []Recipe{r}, nil
	}
	partners, err := Partners(p, r)
	return append([]Recipe{r}, partners...), err
}

// courseOf tells whether what recipes move adds up in width: where it does on one
// piece, for the edges sewn to that move with it, and on none leads up or down.
func courseOf(p *pattern.Pattern, moved []Recipe) pattern.Course {
	course := pattern.CourseUntold
	for _, r := range moved {
		q, err := p.Piece(r.Piece)
		if err != nil {
			continue
		}
		m := &making{pattern: p, piece: q, recipe: r}
		for _, line := range m.movedLines() {
			switch q.CourseOf(line) {
			case pattern.CourseLength:
				return pattern.CourseLength
			case pattern.CourseWidth:
				course = pattern.CourseWidth
			}
		}
	}
	return course
}

// movedLines are the lines that a recipe moves square to themselves: the edge, the arm
// of a swing, the lines along which a piece is opened or closed.
func (m *making) movedLines() (lines []geom.Path) {
	if kinds[m.recipe.Kind].has("line") {
		for _, text := range strings.Split(m.recipe.Values["line"], ";") {
			if a, b, err := m.lineFrom("line", strings.TrimSpace(text)); err == nil {
				lines = append(lines, geom.Path{geom.Line(a, b)})
			}
		}
		return lines
	}
	i, err := m.piece.EdgeIndex(m.recipe.Values["edge"])
	if err != nil {
		return nil
	}
	edge := m.piece.EdgePath(i)
	if m.recipe.Kind != "flare" {
		return []geom.Path{edge}
	}
	w := begin(m.piece)
	farEnd := m.farFromHem(w, i)
	far := edge.Start()
	if farEnd {
		far = edge.End()
	}
	at := 0.0
	if !farEnd {
		at = edge.Length()
	}
	if m.has("from") {
		if at, err = m.along("from", i, !farEnd); err != nil {
			return nil
		}
	}
	return []geom.Path{{geom.Line(edge.PointAt(at), far)}}
}

// timesRound is how often the edges of recipes, or the lines along which a piece is
// opened, lie in the garment, or in one of a pair that goes round a limb. What lies
// under an outer, as the facing to which a front edge is sewn, adds nothing to it.
func timesRound(p *pattern.Pattern, moved []Recipe) (times float64) {
	under := false
	for k, r := range moved {
		q, err := p.Piece(r.Piece)
		if err != nil {
			continue
		}
		if k == 0 {
			under = p.LiesUnder(q)
		}
		if p.LiesUnder(q) == under {
			times += float64(p.TimesRound(q) * max(linesOf(r), 1))
		}
	}
	return times
}

// roundWords say what the kinds with an amount all round do.
var roundWords = map[string]string{"let-out": "let out", "take-in": "taken in", "flare": "swung out", "spread": "opened", "close": "closed"}

// has reports whether a kind asks for a key.
func (k *Kind) has(name string) bool {
	for _, key := range k.Keys {
		if key.Name == name {
			return true
		}
	}
	return false
}
