package alter

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

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
// no such amount.
func ShareOut(p *pattern.Pattern, r Recipe, both bool) (Recipe, string, error) {
	k := kinds[r.Kind]
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
	if acrossBody(p, r) {
		if round != "" {
			return r, "", fmt.Errorf("%s, %s: the line runs across the body, so that what is %s there is length, and nothing round the garment; give the amount instead of --all-round", r.Piece, r.Kind, roundWords[r.Kind])
		}
		return r, "", nil
	}
	times, err := timesRound(p, r, both)
	if err != nil {
		return r, "", err
	}
	key, text := "by", by
	if round != "" {
		key, text = allRound.Name, round
	}
	one, err := units.ParseLength(text, p.Unit)
	if err != nil {
		return r, "", fmt.Errorf("%s: %w", key, err)
	}
	if round != "" {
		one /= times
		r.Values = maps.Clone(r.Values)
		delete(r.Values, allRound.Name)
		r.Values["by"] = units.Number(one, 6) + "mm"
	}
	return r, fmt.Sprintf("%s %s an edge: %s %s", roundWords[r.Kind], p.Unit.Format(one), p.Unit.Format(one*times), roundWhat(p, r.Piece)), nil
}

// roundWhat says round what an amount at each edge of a piece adds up.
func roundWhat(p *pattern.Pattern, piece string) string {
	if q, err := p.Piece(piece); err == nil && roundLimb(p, q) {
		return "at each " + q.Name
	}
	return "round the garment"
}

// acrossBody reports whether a piece is opened or closed along a line that runs
// more across the grain than along it, so that it gains length and not width.
func acrossBody(p *pattern.Pattern, r Recipe) bool {
	q, err := p.Piece(r.Piece)
	if err != nil || r.Kind != "spread" && r.Kind != "close" {
		return false
	}
	m := &making{pattern: p, piece: q, recipe: r}
	for _, text := range strings.Split(r.Values["line"], ";") {
		a, b, err := m.lineFrom("line", strings.TrimSpace(text))
		const along = math.Sqrt2 / 2 // cosine: up to 45° from the grain
		if err == nil && math.Abs(b.Sub(a).Unit().Dot(q.GrainDirection())) < along {
			return true
		}
	}
	return false
}

// roundLimb reports whether a piece goes round an arm and not round the body, or
// lies on top, so that of a pair each counts by itself: a sleeve, which is sewn to
// itself, or what is called a sleeve, a cuff or a pocket.
func roundLimb(p *pattern.Pattern, q *pattern.Piece) bool {
	if q.Cut == pattern.CutOne {
		return false
	}
	name := strings.ToLower(q.Name)
	for _, word := range []string{"sleeve", "cuff", "pocket"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	own := func(c pattern.Chain) bool { return len(c) == 1 && c[0].Piece == q.Name }
	return q.Cut == pattern.CutPair && slices.ContainsFunc(p.Seams, func(s pattern.Seam) bool {
		return own(s.First) && own(s.Second) && s.First[0].Edge != s.Second[0].Edge
	})
}

// timesRound is how often the recipe's edge lies in the garment, or in one of a
// pair that goes round a limb, with both the edges sewn to it too.
func timesRound(p *pattern.Pattern, r Recipe, both bool) (float64, error) {
	q, err := p.Piece(r.Piece)
	if err != nil {
		return 0, err
	}
	count := func(q *pattern.Piece) int {
		if limb := roundLimb(p, q); limb && q.Cut == pattern.CutPair {
			return 1
		}
		return q.Cut.Count()
	}
	times := count(q)
	if both {
		partners, err := Partners(p, r)
		if err != nil {
			return 0, err
		}
		for _, o := range partners {
			if other, err := p.Piece(o.Piece); err == nil {
				times += count(other)
			}
		}
	}
	return float64(times), nil
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
