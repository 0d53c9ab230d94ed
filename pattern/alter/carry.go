package alter

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

var _ = register(&Kind{Name: "carry", Does: "brings the latest change of an edge to what follows it and lacks it: a sewn-to edge gets the same outward amount, a layer the same shape, a band the length",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge that changed"},
		{Name: "to", What: Piece, Means: "only to this follower"},
		{Name: "at", What: Text, Means: "which end of a band is moved: start or end of its edge, or the edge that lies there; without it the end away from the fold, else the end"},
	}, Typed: `back "side seam" --to front`, make: (*making).carry})

// ErrNothingToCarry is wrapped by the refusal to carry where all has followed.
var ErrNothingToCarry = errors.New("there is nothing to carry")

// Why says in which way something follows an edge.
type Why string

// The ways to follow.
const (
	Sewn    Why = "sewn to"            // gets the same outward amount
	Layered Why = "finishes to"        // gets the same shape in the same place
	Banded  Why = "follows the length" // gets the length
	Placed  Why = "is drawn on"        // gets the line at which it is sewn on
)

// Follower is something that has to follow a change of an edge.
type Follower struct {
	Why   Why
	Piece string
	Edge  string // of a sewn-to piece or a band; of several the first that is sewn to the edge

	only       bool      // of a side of several pieces this one alone
	seam, side int       // which seam, and which of its sides follows; −1 for none
	of         [2]string // the piece and edge that it follows
}

// Followers lists what follows an edge of a piece: inner pieces of its layers,
// those that follow in length alone as bands, sewn-to edges, and linings on which the
// place of a facing's edge is drawn. A piece that is a layer is not listed as sewn to
// it too.
func Followers(p *pattern.Pattern, piece, edge string) []Follower {
	var all []Follower
	listed := map[string]bool{}
	for _, l := range p.Layers {
		for _, inner := range l.Inner {
			if l.Outer != piece || listed[inner] {
				continue
			}
			listed[inner] = true
			if !l.Band {
				all = append(all, Follower{Why: Layered, Piece: inner})
			} else if f, ok := bandAlong(p, piece, edge, inner); ok {
				all = append(all, f)
			}
		}
	}
	eachSewn(p, piece, edge, func(seam, side int, other pattern.Stretch) {
		if !listed[other.Piece] {
			all = append(all, Follower{Why: Sewn, Piece: other.Piece, Edge: other.Edge, seam: seam, side: side, of: [2]string{piece, edge}})
		}
	})
	return append(all, placers(p, piece, edge)...)
}

// eachSewn visits the sides of seams that are sewn to an edge, each with the first
// stretch there to which the edge itself is; side is 0 for a seam's first chain.
func eachSewn(p *pattern.Pattern, piece, edge string, visit func(seam, side int, other pattern.Stretch)) {
	for i := range p.Seams {
		s := &p.Seams[i]
		for k, side := range [2][2]pattern.Chain{{s.First, s.Second}, {s.Second, s.First}} {
			on := slices.ContainsFunc(side[0], func(st pattern.Stretch) bool { return st.Piece == piece && st.Edge == edge })
			if !on {
				continue
			}
			if other := p.SewnTo(s, 1-k, piece, edge)[0]; other.Piece != piece || other.Edge != edge {
				visit(i, 1-k, other)
			}
		}
	}
}

// String names the follower.
func (f Follower) String() string {
	if f.Edge == "" {
		return f.Piece
	}
	return fmt.Sprintf("%s, %q", f.Piece, f.Edge)
}

// Fits reports whether every section of the seam over which an edge follows fits.
func (f Follower) Fits(p *pattern.Pattern) bool {
	if f.Why != Sewn || f.seam >= len(p.Seams) {
		return true
	}
	return misfit(p, &p.Seams[f.seam]) <= p.Tolerances.Section
}

// Gathered reports whether the seam over which an edge follows is gathered all along.
func (f Follower) Gathered(p *pattern.Pattern) bool {
	return f.Why == Sewn && f.seam < len(p.Seams) && p.Gathered(&p.Seams[f.seam])
}

// Apart is by how many mm the worst section of the seam over which an edge follows
// is out; 0 where all fit.
func (f Follower) Apart(p *pattern.Pattern) float64 {
	if f.Fits(p) {
		return 0
	}
	return misfit(p, &p.Seams[f.seam])
}

// Lacking is a follower with the change that it lacks.
type Lacking struct {
	Follower
	// Before is the pattern as it was when the layer last lay along the edge.
	Before *pattern.Pattern
	// Drafted says that the layer was drafted after that, so that Before holds it
	// as it was drafted: it lay along those edges alone on which it lies in Before,
	// or at their declared distance.
	Drafted bool
	// Changes are those of the edge that a sewn-to edge or a layer lacks, made at
	// once: figures and lines as diff tells them, outward positive.
	Changes []change.Change
	// Beside are all changes of the piece that were made with those of the edge.
	Beside []change.Change
	// Slashes are the lines along which the outer of a layer was opened when they
	// were made, where that can be told.
	Slashes []Slash
	// Apart says that each of these was made by itself, in this order, and that a
	// run is no consequence of another.
	Apart bool
	// More says that further ones are to follow, so that the seam need not fit yet.
	More bool
	// OneHalf says that the one half of a follower on the fold alone lacks them.
	OneHalf bool
	// Older says that these were kept in a version already, of this number.
	Older   bool
	Version int
}

// FollowersAsked lists the followers that a recipe of kind carry is about. The
// error says that there are none, or that the piece asked for is none.
func FollowersAsked(p *pattern.Pattern, r Recipe) ([]Follower, error) {
	q, err := p.Piece(r.Piece)
	if err != nil {
		return nil, err
	}
	i, err := q.EdgeIndex(r.Values["edge"])
	if err != nil {
		return nil, err
	}
	edge := q.Edges[i].Name
	all := Followers(p, q.Name, edge)
	if len(all) == 0 {
		return nil, fmt.Errorf("%s, %q has no follower: it is sewn to nothing, and no layer or band follows it; say with `toile seam` or `toile layers` what does", q.Name, edge)
	}
	if r.Values["to"] == "" {
		return all, nil
	}
	to, err := p.Piece(r.Values["to"])
	if err != nil {
		return nil, err
	}
	var asked []Follower
	for _, f := range all {
		for _, g := range f.Each(p) {
			if g.Piece == to.Name {
				asked = append(asked, g)
			}
		}
	}
	if len(asked) == 0 {
		return nil, fmt.Errorf("%s is no follower of %s, %q: it is not sewn to it, and no layer or band of it; its followers are %s", to.Name, q.Name, edge, followerList(eachOf(p, all), "; "))
	}
	return asked, nil
}

// Each lists what follows over a seam piece by piece, where its side of the seam is
// of several.
func (f Follower) Each(p *pattern.Pattern) []Follower {
	if f.Why != Sewn || f.only || f.seam < 0 || f.seam >= len(p.Seams) {
		return []Follower{f}
	}
	c := p.SewnTo(&p.Seams[f.seam], f.side, f.of[0], f.of[1])
	var each []Follower
	for _, st := range c {
		if !slices.ContainsFunc(each, func(g Follower) bool { return g.Piece == st.Piece }) {
			each = append(each, Follower{Why: Sewn, Piece: st.Piece, Edge: st.Edge, seam: f.seam, side: f.side, of: f.of, only: true})
		}
	}
	if len(each) < 2 {
		return []Follower{f}
	}
	return each
}

// OtherParts lists what follows over a seam edge by edge, of the one piece that the
// follower is of, without the edge by which it is named.
func (f Follower) OtherParts(p *pattern.Pattern) (parts []Follower) {
	if f.Why != Sewn || f.seam < 0 || f.seam >= len(p.Seams) {
		return nil
	}
	for _, st := range p.SewnTo(&p.Seams[f.seam], f.side, f.of[0], f.of[1]) {
		if g := f; st.Piece == f.Piece && st.Edge != f.Edge {
			g.Edge = st.Edge
			parts = append(parts, g)
		}
	}
	return parts
}

func eachOf(p *pattern.Pattern, all []Follower) (each []Follower) {
	for _, f := range all {
		each = append(each, f.Each(p)...)
	}
	return each
}

func followerList(all []Follower, between string) string {
	var words []string
	for _, f := range all {
		words = append(words, f.String())
	}
	return strings.Join(words, between)
}

func (m *making) carry() error {
	asked, err := FollowersAsked(m.pattern, m.recipe)
	if err != nil {
		return err
	}
	edge := m.text("edge")
	if at := m.text("at"); at != "" && at != "start" && at != "end" && !slices.ContainsFunc(asked, func(f Follower) bool { return f.Why == Banded }) {
		return fmt.Errorf("at: %q is no end of an edge; give start or end, or the edge that lies there, where a band follows: none does here", at)
	}
	if m.lacking == nil {
		return fmt.Errorf("%s, %q: what has to be carried is found by looking back through versions; use `toile alter carry`", m.piece.Name, edge)
	}
	if len(m.lacking) == 0 {
		if err := m.onOtherHalf(asked, edge); err != nil {
			return err
		}
		return fmt.Errorf("%s, %q has no change that %s lacks; %w", m.piece.Name, edge, followerList(asked, " or "), ErrNothingToCarry)
	}
	for _, l := range m.lacking {
		switch l.Why {
		case Layered:
			err = m.carryToLayer(l)
		case Banded:
			err = m.carryToBand(l)
		case Placed:
			err = m.carryToPlace(l)
		default:
			err = m.carryToSewn(l)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// sewing is how a source edge and a follower's edge meet in a seam.
type sewing struct {
	seam     *pattern.Seam
	own      pattern.Chain // with the source edge
	others   pattern.Chain
	along    pattern.Chain // those of the others to which the source edge is sewn
	only     string        // of the others this piece alone; empty for all
	opposite bool          // the follower's edge runs the other way
}

func (m *making) sewing(l Lacking) sewing {
	s := &m.pattern.Seams[l.seam]
	w := sewing{seam: s, own: s.First, others: s.Second}
	if l.side == 0 {
		w.own, w.others = s.Second, s.First
	}
	w.along = m.pattern.SewnTo(s, l.side, m.piece.Name, m.text("edge"))
	if l.only {
		w.only = l.Piece
	}
	w.opposite = !s.SameWay
	if len(w.own) == 1 && len(w.others) == 1 && w.own[0].Turned != w.others[0].Turned {
		w.opposite = !w.opposite
	}
	return w
}

// carryToSewn makes on a sewn-to edge what was made on the source: the same
// outward amount at the same place of the seam.
func (m *making) carryToSewn(l Lacking) error {
	s := m.sewing(l)
	m.with = l.Beside
	before := misfit(m.pattern, s.seam)
	changes, err := m.ownChanges(l)
	if err != nil {
		return err
	}
	if err := m.refuseStretch(s, changes, l.Piece); err != nil {
		return err
	}
	was, beside := m.pattern.Clone(), BesideUnderOuter(m.pattern, m.piece.Name, l.Piece)
	if beside {
		changes = withoutJoints(s, changes)
		for i := range changes {
			if changes[i], err = m.inward(l, changes[i]); err != nil {
				return err
			}
		}
	}
	for _, ch := range changes {
		if len(s.own) == 1 && len(s.others) == 1 {
			err = m.onEach(s, s.others, func(w *work, j int, _ pattern.Stretch) error { return m.makeAlike(w, j, ch, s.opposite) })
		} else {
			err = m.carryAlongChain(s, ch)
		}
		if err != nil {
			return err
		}
	}
	m.refitLayerSeam(was, s.seam)
	if err := m.keepOpenings(was); err != nil { // sections may end at its notches
		return err
	}
	// What was lost in length where an edge was shortened is no amount outward.
	if after := misfit(m.pattern, s.seam); !l.More && after > m.pattern.Tolerances.Section && after > before/2 && !(beside && m.runTogether(s)) {
		return fmt.Errorf("%s: moved as %q of %s was, the seam %q still does not fit by %s; it follows in length, not in place: "+
			"alter the ends of %s, or if it is a band, say so with `toile layers --band` and carry again",
			s.others, m.text("edge"), m.piece.Name, s.seam.Name, m.format(after), l.Piece)
	}
	m.sayMisfit(s.seam)
	if l.More && l.Older {
		m.say("%s lacks an older alteration of %s, %q, too; keep this one with `toile commit` and carry again", l.Follower, m.piece.Name, m.text("edge"))
	}
	return nil
}

// ownChanges are the changes of the source that a sewn-to edge has to be given:
// where it changed itself, not where its ends were cut or run on for it.
func (m *making) ownChanges(l Lacking) ([]change.Change, error) {
	if l.OneHalf {
		return nil, &OneHalfError{l.Piece, m.piece.Name, m.text("edge")}
	}
	for _, ch := range l.Changes {
		if ch.Kind == change.Spread && l.Gathered(m.pattern) {
			return nil, fmt.Errorf("%s, %q was spread, and %s is gathered to it: %w, the fullness lies in the gathers", m.piece.Name, m.text("edge"), l.Follower, ErrNothingToCarry)
		}
		if ch.Kind == change.Spread {
			return nil, fmt.Errorf("%s, %q moved with a part of the piece that was spread; make the same on %s with `toile alter spread`", m.piece.Name, m.text("edge"), l.Piece)
		}
	}
	own := slices.DeleteFunc(slices.Clone(l.Changes), func(ch change.Change) bool { return ch.Kind == change.EdgeRun })
	if len(own) > 0 && !l.Apart {
		return own, nil
	}
	return l.Changes, nil
}

// misfit is the greatest difference in mm of a seam's sections from what is
// meant.
func misfit(p *pattern.Pattern, s *pattern.Seam) float64 {
	sections, err := p.WalkSeam(s)
	if err != nil {
		return 0
	}
	worst := 0.0
	for _, c := range sections {
		if !c.Gathered {
			worst = math.Max(worst, math.Abs(c.Difference()-c.Ease))
		}
	}
	return worst
}

// sayMisfit tells of the sections of a seam that do not fit after a change was
// carried.
func (m *making) sayMisfit(s *pattern.Seam) {
	sections, err := m.pattern.WalkSeam(s)
	if err != nil {
		return
	}
	for _, c := range sections {
		if by := c.Left(); !c.Gathered && math.Abs(by) >= 0.05 {
			m.say("seam %q, %s: the second side is %s against the first, %s meant", s.Name, c.Name, m.pattern.Unit.FormatSigned(c.Difference()), m.format(c.Ease))
		}
	}
}

// makeAlike makes one change of the source on edge j of a piece.
func (m *making) makeAlike(w *work, j int, ch change.Change, opposite bool) error {
	ch = AsDrawn(ch)
	switch ch.Kind {
	case change.EdgeRun:
		return m.runAlike(w, j, ch, opposite)
	case change.EdgeSwung:
		return swingAlike(w, j, ch, opposite)
	}
	line, err := lineAlike(w.paths[j], ch, opposite)
	if err != nil {
		return err
	}
	return w.moveTo(j, line)
}

// lineAlike is the follower's line after a move or a redraw of the source.
func lineAlike(path geom.Path, ch change.Change, opposite bool) (geom.Path, error) {
	switch {
	case ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		return parallel(path, *ch.By)
	case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered:
		ends := *ch.Ends
		if opposite {
			ends[0], ends[1] = ends[1], ends[0]
		}
		return match.Tapered(path, ends[0], (ends[1]-ends[0])/path.Length()), nil
	}
	if len(ch.OldPath) == 0 || len(ch.NewPath) == 0 {
		return nil, fmt.Errorf("the edge came or went, which cannot be carried; draw it by hand")
	}
	if line, ok := reflected(path, ch, opposite); ok {
		return line, nil
	}
	return outwardAlike(path, ch, opposite)
}

// swingAlike swings the follower about the same place of the seam, counted
// from the end that stays.
func swingAlike(w *work, j int, ch change.Change, opposite bool) error {
	old, pivot := ch.OldPath, ch.Pivot.Point()
	at := placeOn(old, pivot)
	atEnd := ch.At.Point().Dist(old.End()) < ch.At.Point().Dist(old.Start())
	held := at // from the end that stays
	if !atEnd {
		held = old.Length() - at
	}
	if opposite {
		atEnd = !atEnd
	}
	length := w.paths[j].Length()
	at = held
	if !atEnd {
		at = length - held
	}
	if at < 0 || at > length {
		return fmt.Errorf("the pivot would lie off it; it is shorter than the edge that was swung")
	}
	return w.swingLike(j, at, atEnd, ch)
}

// swingLike swings edge j about a place as a change tells, and smooths the bend there
// where that is smoothed.
func (w *work) swingLike(j int, at float64, atEnd bool, ch change.Change) error {
	was := slices.Clone(w.paths)
	dent, err := w.swing(j, at, atEnd, geom.Degrees(*ch.Turn))
	if err != nil {
		return err
	}
	if ch.Smoothed > 0 && dent != 0 {
		w.smoothed(j, at, atEnd, geom.Degrees(*ch.Turn), was)
	}
	return w.finish()
}
