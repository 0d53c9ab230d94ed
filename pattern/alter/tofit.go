package alter

import (
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// fitsWithin is how near in mm an alteration that is proposed brings a seam
// section to what is meant; lengths are typed to 0.1 mm.
const fitsWithin = 0.1

// ToFit finds one alteration at an end of a seam that brings its worst section
// to what is meant, on one of the sides given (0 for the first chain), the side
// that is named first where both can: a hem that meets the seam there is moved
// along it, else the edge that meets it is let out or taken in to that end. It
// leaves no other section of the pattern worse, and fine, unless it is nil, has
// to agree to what it makes of the pattern. ok is false where nothing is out or
// nothing does it, as in the middle of a seam between two notches.
func ToFit(p *pattern.Pattern, s *pattern.Seam, fine func(after *pattern.Pattern) bool, sides ...int) (Recipe, bool) {
	w, ok := worstSection(p, s)
	if !ok {
		return Recipe{}, false
	}
	w.fine = fine
	var all []seamEnd
	for _, side := range sides {
		all = append(all, w.ends(side)...)
	}
	slices.SortStableFunc(all, func(a, b seamEnd) int { // those at a hem first
		switch hemA, hemB := a.atHem(), b.atHem(); {
		case hemA == hemB:
			return 0
		case hemA:
			return -1
		}
		return 1
	})
	for _, e := range all {
		if r, ok := w.fitted(e); ok {
			return r, true
		}
	}
	return Recipe{}, false
}

// misfitting is the worst section of a seam.
type misfitting struct {
	pattern *pattern.Pattern
	seam    string
	chains  [2]pattern.Walked
	section int
	last    bool    // it is the last one
	left    float64 // mm by which the second side is too long
	before  map[string][]float64
	fine    func(after *pattern.Pattern) bool // nil: whatever it makes
}

func worstSection(p *pattern.Pattern, s *pattern.Seam) (*misfitting, bool) {
	w := &misfitting{pattern: p, seam: s.Name, before: sectionsLeft(p)}
	var err error
	if w.chains[0], w.chains[1], err = p.WalkChains(s); err != nil {
		return nil, false
	}
	left := w.before[s.Name]
	for k, by := range left {
		if math.Abs(by) > math.Abs(w.left) {
			w.section, w.left, w.last = k, by, k == len(left)-1
		}
	}
	return w, math.Abs(w.left) > p.Tolerances.Section
}

// sectionsLeft is by how many mm the second side of each section of each seam
// is longer than is meant; 0 for what is gathered.
func sectionsLeft(p *pattern.Pattern) map[string][]float64 {
	all := map[string][]float64{}
	for i := range p.Seams {
		sections, err := p.WalkSeam(&p.Seams[i])
		if err != nil {
			continue
		}
		for _, c := range sections {
			left := 0.0
			if !c.Gathered {
				left = c.Left()
			}
			all[p.Seams[i].Name] = append(all[p.Seams[i].Name], left)
		}
	}
	return all
}

// seamEnd is an end of an edge at which a side of a seam ends.
type seamEnd struct {
	piece      *pattern.Piece
	edge, next int     // the edge sewn, and the one that meets it there
	atEnd      bool    // it is the edge's end
	add        float64 // mm by which the edge is to get longer there
}

func (e seamEnd) atHem() bool { return e.piece.HemEdge() == e.next || e.piece.Edges[e.next].Hem }

// saidHem reports whether what meets the seam there is a hem, not the lowest edge of
// a piece without one.
func (e seamEnd) saidHem() bool {
	next := e.piece.Edges[e.next]
	return next.Hem || strings.Contains(strings.ToLower(next.Name), "hem")
}

// endOfNext names the end at which the edge that meets the seam there lies at it: by the
// edge that is sewn, where that lies at one of its ends only.
func (e seamEnd) endOfNext() string {
	to := map[bool]string{true: "start", false: "end"}[e.atEnd]
	name := e.piece.Edges[e.edge].Name
	if end, err := endNamed(e.piece, e.next, name); err == nil && end == to {
		return name
	}
	return to
}

// ends are the ends of one side of the seam that belong to the section.
func (w *misfitting) ends(side int) []seamEnd {
	parts := w.chains[side].Parts
	add := w.left
	if side == 1 {
		add = -add
	}
	var all []seamEnd
	end := func(part pattern.WalkedPart, atEnd bool) {
		e := seamEnd{piece: part.Piece, edge: part.Edge, atEnd: atEnd, add: add}
		n := len(e.piece.Edges)
		at, corner := part.From, 0.0
		e.next = (part.Edge + n - 1) % n
		if atEnd {
			at, corner, e.next = part.To, e.piece.EdgePath(part.Edge).Length(), (part.Edge+1)%n
		}
		if math.Abs(at-corner) < 0.01 && !e.piece.Edges[e.next].Fold && !e.piece.Edges[e.edge].Fold {
			all = append(all, e)
		}
	}
	if len(parts) > 0 && w.section == 0 {
		end(parts[0], parts[0].Backwards)
	}
	if len(parts) > 0 && w.last {
		end(parts[len(parts)-1], !parts[len(parts)-1].Backwards)
	}
	return all
}

// fitted is the alteration at one end that brings the section to what is meant.
func (w *misfitting) fitted(e seamEnd) (Recipe, bool) {
	kind := map[bool]string{true: "lengthen", false: "shorten"}[e.add > 0]
	along := Recipe{Kind: kind, Piece: e.piece.Name, Values: map[string]string{
		"edge": e.piece.Edges[e.next].Name, "along": e.piece.Edges[e.edge].Name, "by": w.pattern.Unit.Typed(math.Abs(e.add))}}
	if e.atHem() {
		if _, ok := w.leaves(along); ok {
			return along, true
		}
		if e.saidHem() {
			return along, false // let out or taken in to one end it would hang aslant
		}
	}
	switch {
	case w.facesOther(e): // its sides lie along the outer's
		return along, false
	case w.endOfStrip(e):
		if r, ok := w.movedTo(e, ""); ok {
			return r, true
		}
	default:
		if r, ok := w.movedTo(e, e.endOfNext()); ok {
			return r, true
		}
	}
	_, ok := w.leaves(along)
	return along, ok
}

// stripSquareWithin is by how many radians an end may be off the square and still be
// meant as square, 1°.
const stripSquareWithin = math.Pi / 180

// endOfStrip reports whether the edge at an end of the seam is the end of a strip,
// as of a waistband, or of a piece that is said to be a band: that is moved as it
// is, and never slanted. It is straight, square to the edge that is sewn and to
// the one on the far side, and shorter than these.
func (w *misfitting) endOfStrip(e seamEnd) bool {
	for _, l := range w.pattern.Layers {
		if l.Band && slices.Contains(l.Inner, e.piece.Name) {
			return true
		}
	}
	n := len(e.piece.Edges)
	far := (e.next + 1) % n
	if !e.atEnd {
		far = (e.next + n - 1) % n
	}
	end, own, other := e.piece.EdgePath(e.next), e.piece.EdgePath(e.edge), e.piece.EdgePath(far)
	if far == e.edge || len(end) != 1 || !end[0].IsStraight(1e-6) || end.Length() >= own.Length() || end.Length() >= other.Length() {
		return false
	}
	before, after := own.EndTangent(), other.StartTangent()
	if !e.atEnd {
		before, after = other.EndTangent(), own.StartTangent()
	}
	square := func(a, b geom.Point) bool { return math.Abs(geom.AngleBetween(a, b)-math.Pi/2) < stripSquareWithin }
	return square(before, end.StartTangent()) && square(end.EndTangent(), after)
}

// facesOther reports whether the piece lies under the one on the other side of the
// seam, as a facing does: one of its sides let out or taken in to the seam would lie
// beside the outer's.
func (w *misfitting) facesOther(e seamEnd) bool {
	for _, l := range w.pattern.Layers {
		if l.Band || !slices.Contains(l.Inner, e.piece.Name) {
			continue
		}
		for _, side := range w.chains {
			if slices.ContainsFunc(side.Parts, func(part pattern.WalkedPart) bool { return part.Piece.Name == l.Outer }) {
				return true
			}
		}
	}
	return false
}

// movedTo lets the edge that meets the seam at an end out or takes it in, tapering
// to that end of it, or with none as it is, by as much as brings the section to what
// is meant: a secant over the amount.
func (w *misfitting) movedTo(e seamEnd, to string) (Recipe, bool) {
	made := func(by float64) Recipe {
		kind := map[bool]string{true: "let-out", false: "take-in"}[by > 0]
		r := Recipe{Kind: kind, Piece: e.piece.Name, Values: map[string]string{
			"edge": e.piece.Edges[e.next].Name, "by": w.pattern.Unit.Typed(math.Abs(by))}}
		if to != "" {
			r.Values["to"] = to
		}
		return r
	}
	const most = 6 // the length is nearly in proportion to the amount
	x, fx := 0.0, w.left
	next := e.add
	for range most {
		if math.Abs(next) < 0.05 {
			return Recipe{}, false
		}
		r := made(next)
		left, ok := w.leaves(r)
		if ok {
			return r, true
		}
		if math.IsNaN(left) || math.Abs(left-fx) < 1e-9 || math.Abs(left) <= fitsWithin {
			return Recipe{}, false
		}
		x, fx, next = next, left, next-left*(next-x)/(left-fx)
	}
	return Recipe{}, false
}

// leaves makes an alteration and tells what is left of the section, NaN where it
// cannot be made. ok says that the section fits then and none is worse for it.
func (w *misfitting) leaves(r Recipe) (left float64, ok bool) {
	result, err := Make(w.pattern, r)
	if err != nil {
		return math.NaN(), false
	}
	after := sectionsLeft(result.Pattern)
	if len(after[w.seam]) <= w.section {
		return math.NaN(), false
	}
	left = after[w.seam][w.section]
	if math.Abs(left) > fitsWithin || !seamsHold(result.Pattern) {
		return left, false
	}
	for seam, was := range w.before {
		now := after[seam]
		if len(now) != len(was) {
			return left, false
		}
		for k := range was {
			if math.Abs(now[k]) > math.Max(math.Abs(was[k])+0.05, w.pattern.Tolerances.Section) {
				return left, false
			}
		}
	}
	return left, w.fine == nil || w.fine(result.Pattern)
}

// seamsHold reports whether everything of the seams of a pattern lies on them, such
// as an opening: what leaves it no room is refused when it is made.
func seamsHold(p *pattern.Pattern) bool {
	for i := range p.Seams {
		if p.ValidateSeam(&p.Seams[i]) != nil {
			return false
		}
	}
	return true
}
