package alter

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/units"
)

// averageSides is the kind's name.
const averageSides = "average-sides"

// askedSides are what is to be made alike: the halves of a piece drawn whole, or two
// pieces that are the wearer's left and right of one thing. Anything else is refused:
// a front and a back, or the front and the back half of a sleeve, are meant to differ.
func (m *making) askedSides() (*sides, error) {
	s := &sides{first: m.piece, second: m.piece}
	if m.has("with") {
		var err error
		if s.second, err = m.pattern.Piece(m.text("with")); err != nil {
			return nil, err
		}
		if m.has("axis") {
			return nil, fmt.Errorf("%s: --axis is for one piece drawn whole; leave it out with two", m.piece.Name)
		}
	}
	if s.first == s.second {
		return s, m.drawnWhole(s)
	}
	return s, m.leftAndRight(s.first, s.second)
}

// drawnWhole refuses a piece that is no left and right drawn in one, with a line in
// its middle.
func (m *making) drawnWhole(s *sides) error {
	q := s.first
	switch {
	case drawnByHalf(q):
		return fmt.Errorf("%s is cut on the fold, so that its halves are alike; unfold it first to let them differ", q.Name)
	case q.Cut == pattern.CutPair:
		return fmt.Errorf("%s is cut a pair: one drawing for the wearer's left and right, which are alike, and its own two halves are no left and right; make two pieces of it first, with `toile alter separate %q --drawn left` or right", q.Name, q.Name)
	case q.Side != "":
		return fmt.Errorf("%s is cut for the wearer's %s alone; name the piece of the other side after it", q.Name, q.Side)
	case !m.has("axis") && s.middleLine() < 0:
		return fmt.Errorf("%s has no straight reference line in its middle that would tell its left from its right; draw it first with `toile alter mark %q %q PLACE --to PLACE`, or name another with --axis", q.Name, q.Name, referenceLine)
	}
	return nil
}

// drawnByHalf reports whether a piece is drawn up to a fold.
func drawnByHalf(q *pattern.Piece) bool {
	return q.Cut == pattern.CutOnFold || slices.ContainsFunc(q.Edges, func(e pattern.Edge) bool { return e.Fold })
}

// leftAndRight refuses two pieces that are not the wearer's left and right of one
// thing: as `separate` made them, by their names, or by --other-side.
func (m *making) leftAndRight(a, b *pattern.Piece) error {
	for _, q := range []*pattern.Piece{a, b} {
		switch {
		case drawnByHalf(q):
			return fmt.Errorf("%s is cut on the fold, left and right in one, and so no other side of another piece; `toile alter unfold %q` draws it whole, and average-sides then makes its own halves alike", q.Name, q.Name)
		case q.Cut != pattern.CutOne:
			return fmt.Errorf("%s is cut a pair, left and right alike in one drawing, and so no other side of another piece; `toile alter separate %q --drawn left` or right makes two pieces of it", q.Name, q.Name)
		}
	}
	if a.Side != "" && a.Side == b.Side {
		return fmt.Errorf("%s and %s are both cut for the wearer's %s; name one of each side", a.Name, b.Name, a.Side)
	}
	if otherSides(a, b) || m.flag("other-side") {
		return nil
	}
	return fmt.Errorf("nothing tells that %s and %s are the left and the right of one thing; where they are, say so with --other-side, or call them \"left …\" and \"right …\" with `toile alter rename`", a.Name, b.Name)
}

// otherSides reports whether two pieces were separated from one, or are called the
// left and the right of the same.
func otherSides(a, b *pattern.Piece) bool {
	if a.Side != "" && b.Side != "" && (a.Was == b.ID && a.Was != "" || b.Was == a.ID && b.Was != "") {
		return true
	}
	side, rest := sideCalled(a.Name)
	its, also := sideCalled(b.Name)
	return side != "" && its == otherSide(side) && rest == also && (a.Side == "" || a.Side == side) && (b.Side == "" || b.Side == its)
}

// sideCalled is the wearer's side that a piece's name speaks of, and the rest of it.
func sideCalled(name string) (side, rest string) {
	var others []string
	for _, word := range strings.Fields(strings.ToLower(name)) {
		if w := strings.Trim(word, "()"); side == "" && (w == string(pattern.WearerLeft) || w == string(pattern.WearerRight)) {
			side = w
		} else {
			others = append(others, word)
		}
	}
	return side, strings.Join(others, " ")
}

// pinned is what was read on the wearer's left and right at an edge, and what it comes
// to: the moves, all by the mean, on the edge and on the one that answers it on the
// other side.
type pinned struct {
	left, right float64 // mm, taken in; less than 0 let out
	kind        string  // take-in or let-out
	by          float64 // the mean
	moves       []Recipe
}

// readPinned settles what average-sides with amounts comes to.
func (m *making) readPinned() (pinned, error) {
	var a pinned
	if !m.has("edge") || !m.has("left") || !m.has("right") {
		return a, fmt.Errorf("%s: to average what was pinned give --edge, --left and --right", m.piece.Name)
	}
	i, err := m.edge("edge")
	if err != nil {
		return a, err
	}
	others, err := m.otherEdges(i)
	if err != nil {
		return a, err
	}
	if err := m.readMean(&a); err != nil {
		return a, err
	}
	own := Recipe{Kind: a.kind, Piece: m.piece.Name, Unit: m.recipe.Unit, Values: map[string]string{"edge": m.piece.Edges[i].Name, "by": units.Number(a.by, 3) + "mm"}}
	if m.has("to") {
		if own.Values["to"], err = endNamed(m.piece, i, m.text("to")); err != nil {
			return a, err
		}
	}
	a.moves = []Recipe{own}
	for _, o := range others { // a mirror image runs the other way
		next := Recipe{Kind: a.kind, Piece: o.Piece, Unit: own.Unit, Values: maps.Clone(own.Values)}
		next.Values["edge"] = o.Edge
		if to := own.Values["to"]; to != "" {
			next.Values["to"] = otherEnd(to)
		}
		a.moves = append(a.moves, next)
	}
	return a, nil
}

// readMean reads the amounts and settles their mean.
func (m *making) readMean(a *pinned) (err error) {
	if a.left, err = m.length("left"); err != nil {
		return err
	}
	if a.right, err = m.length("right"); err != nil {
		return err
	}
	if a.kind, a.by = "take-in", roundTo((a.left+a.right)/2); a.by < 0 {
		a.kind, a.by = "let-out", -a.by
	}
	if a.by == 0 {
		return fmt.Errorf("%s: %s on the left and %s on the right come to nothing on the mean; separate the sides to alter each alone", m.piece.Name, m.format(a.left), m.format(a.right))
	}
	return nil
}

// otherEdges is the edge that answers edge i on the other side: of a piece drawn whole
// its own, unless i lies across the middle; of one of two that of the other. Of a pair
// and of a piece on the fold there is none, for both sides are one drawing.
func (m *making) otherEdges(i int) ([]pattern.Stretch, error) {
	whole := m.piece.Cut == pattern.CutOne && !drawnByHalf(m.piece)
	if !whole && !m.has("with") {
		return nil, nil
	}
	s, err := m.askedSides()
	if err != nil {
		return nil, err
	}
	if a, b := len(s.first.Edges), len(s.second.Edges); a != b {
		return nil, m.unlikeEdges(s)
	}
	if err := m.laySides(s); err != nil {
		return nil, err
	}
	k := s.answering(i)
	if s.first == s.second && k == i {
		return nil, nil
	}
	return []pattern.Stretch{{Piece: s.second.Name, Edge: s.second.Edges[k].Name}}, nil
}

func (m *making) unlikeEdges(s *sides) error {
	return fmt.Errorf("%s has %s and %s has %d; both sides need the same edges: divide or join some first", s.first.Name, edgesSaid(len(s.first.Edges)), s.second.Name, len(s.second.Edges))
}

// averagePinned takes an edge in, or lets it out, by the mean of what was pinned
// on the wearer's left and right, on both sides.
func (m *making) averagePinned() error {
	a, err := m.readPinned()
	if err != nil {
		return err
	}
	m.say("left %s, right %s: they differ by %s", m.format(a.left), m.format(a.right), m.format(math.Abs(a.left-a.right)))
	word, sign := roundWords[a.kind], -1.0
	if a.kind == "let-out" {
		sign = 1
	}
	m.say("both sides are %s by %s", word, m.format(a.by))
	for _, r := range a.moves {
		q, err := m.pattern.Piece(r.Piece)
		if err != nil {
			return err
		}
		one := &making{pattern: m.pattern, piece: q, recipe: r}
		if err := one.letOut(sign); err != nil {
			return err
		}
		m.says = append(m.says, one.says...)
	}
	return nil
}

// Plain are the moves of edges that a recipe comes to on its own piece and on that of
// the wearer's other side: of what was pinned on both sides those by the mean, else
// the recipe itself.
func Plain(p *pattern.Pattern, r Recipe) ([]Recipe, error) {
	if r.Kind != averageSides {
		return []Recipe{r}, nil
	}
	q, err := p.Piece(r.Piece)
	if err != nil {
		return nil, err
	}
	m := &making{pattern: p, piece: q, recipe: r}
	if !m.has("edge") {
		return nil, errors.New("average-sides is made on one piece, or on two of one thing; leave --both out, or give --edge with what was pinned")
	}
	a, err := m.readPinned()
	return a.moves, err
}

// averagePartners are the moves on the edges sewn to those that were averaged.
func averagePartners(p *pattern.Pattern, r Recipe) ([]Recipe, error) {
	own, err := Plain(p, r)
	if err != nil {
		return nil, err
	}
	made := func(all []Recipe, o Recipe) bool {
		return slices.ContainsFunc(all, func(x Recipe) bool { return x.Piece == o.Piece && x.Values["edge"] == o.Values["edge"] })
	}
	var all []Recipe
	for _, one := range own {
		partners, err := Partners(p, one)
		if err != nil {
			return nil, err
		}
		for _, o := range partners {
			if !made(own, o) && !made(all, o) {
				all = append(all, o)
			}
		}
	}
	return all, nil
}
