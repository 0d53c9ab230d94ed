package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// bandWithin is how near in mm a band comes to the length it follows.
const bandWithin = 0.005

// bandAlong finds the edge of a band that follows an edge in length: the one
// sewn to it, else the one called as it is.
func bandAlong(p *pattern.Pattern, piece, edge, band string) (f Follower, ok bool) {
	eachSewn(p, piece, edge, func(seam, side int, other pattern.Stretch) {
		if other.Piece == band && !ok {
			f, ok = Follower{Why: Banded, Piece: band, Edge: other.Edge, seam: seam, side: side}, true
		}
	})
	if ok {
		return f, true
	}
	q, err := p.Piece(band)
	if err != nil || !slices.Contains(q.EdgeNames(), edge) {
		return f, false
	}
	return Follower{Why: Banded, Piece: band, Edge: edge, seam: -1, of: [2]string{piece, edge}}, true
}

// BandLength returns in mm how long a band is along what it follows, and how
// long it has to be: ease-in and declared differences counted, dart mouths and
// pleat intakes left out. Both are drawn lengths, of a half where a piece is
// cut on the fold.
func (f Follower) BandLength(p *pattern.Pattern) (has, wants float64, err error) {
	if f.seam < 0 {
		return f.namesakes(p)
	}
	sections, err := p.WalkSeam(&p.Seams[f.seam])
	for _, c := range sections {
		if f.side == 0 {
			has, wants = has+c.First, wants+c.Second-c.Ease
		} else {
			has, wants = has+c.Second, wants+c.First+c.Ease
		}
	}
	return has, wants, err
}

// namesakes measures a band that no seam sews on against the edge of the same
// name, as a seam between the two would be walked.
func (f Follower) namesakes(p *pattern.Pattern) (has, wants float64, err error) {
	seam := pattern.Seam{First: pattern.Chain{{Piece: f.of[0], Edge: f.of[1]}}, Second: pattern.Chain{{Piece: f.Piece, Edge: f.Edge}}}
	sections, err := p.WalkSeam(&seam)
	if err != nil {
		return 0, 0, err
	}
	has, wants = sections[0].Second, sections[0].First
	for _, l := range p.Layers {
		if !l.Band || l.Outer != f.of[0] || !slices.Contains(l.Inner, f.Piece) {
			continue
		}
		for _, d := range l.Differences {
			if d.Follows(f.Piece, f.of[1]) {
				wants += d.By
			}
		}
	}
	return has, wants, nil
}

// BandLacks reports whether a band has another length than it follows. One to which
// the longer side is gathered has the length that was chosen for it.
func (f Follower) BandLacks(p *pattern.Pattern) bool {
	if f.seam >= 0 && p.Gathered(&p.Seams[f.seam]) {
		return false
	}
	has, wants, err := f.BandLength(p)
	return err == nil && math.Abs(has-wants) > bandWithin
}

// carryToBand gives a band its length: one end is moved along the band's
// edges, each run on along its own line.
func (m *making) carryToBand(l Lacking) error {
	has, wants, err := l.BandLength(m.pattern)
	if err != nil {
		return err
	}
	q, err := m.pattern.Piece(l.Piece)
	if err != nil {
		return err
	}
	i, err := q.EdgeIndex(l.Edge)
	if err != nil {
		return err
	}
	by := wants - has
	refuse := func(err error) error {
		return fmt.Errorf("%s, %q cannot take the length: it is %s and has to be %s: %w; alter it by %s by hand", q.Name, l.Edge, m.format(has), m.format(wants), err, m.pattern.Unit.FormatSigned(by))
	}
	chain := m.bandChain(l)
	if len(chain) > 1 {
		return refuse(fmt.Errorf("it is sewn on along several edges, %s", chain))
	}
	if err := m.lengthenBand(q, i, by); err != nil {
		return refuse(err)
	}
	if len(chain) == 1 && chain[0].To != 0 {
		chain[0].To = roundTo(chain[0].To + by) // what lies beyond, as an overlap, stays
	}
	if now, _, err := l.BandLength(m.pattern); err != nil || math.Abs(now-wants) > bandWithin {
		return refuse(fmt.Errorf("with its end moved it would be %s", m.format(now)))
	}
	return nil
}

// lengthenBand makes edge i of a band longer by mm at one end.
func (m *making) lengthenBand(q *pattern.Piece, i int, by float64) error {
	w := begin(q)
	atEnd, err := m.bandEnd(w, i)
	if err != nil {
		return err
	}
	if by <= -w.paths[i].Length()+1 {
		return fmt.Errorf("nothing of it would be left")
	}
	if err := w.moveEnd(i, atEnd, by); err != nil {
		return err
	}
	return w.finish()
}

// bandChain is the side of the seam that a band is; nothing where no seam sews
// it on.
func (m *making) bandChain(l Lacking) pattern.Chain {
	if l.seam < 0 {
		return nil
	}
	s := &m.pattern.Seams[l.seam]
	if l.side == 0 {
		return s.First
	}
	return s.Second
}

// bandEnd says which end of a band's edge is moved.
func (m *making) bandEnd(w *work, i int) (bool, error) {
	end, start := w.piece.Edges[w.after(i)], w.piece.Edges[w.before(i)]
	atEnd, ok := !end.Fold, true
	if text := m.text("at"); text != "" {
		if atEnd, ok = w.piece.EndNamed(i, text); !ok {
			return false, fmt.Errorf("at: %q is no end of an edge; give start or end, or the edge that lies there, %q or %q", text, start.Name, end.Name)
		}
	}
	if atEnd && end.Fold || !atEnd && start.Fold {
		return atEnd, fmt.Errorf("it lies on the fold there, which cannot be moved; leave --at out")
	}
	if len(m.lacking) == 1 { // of several bands each would have a name of its own
		m.recipe.Values["at"] = w.piece.EndName(i, atEnd)
	}
	return atEnd, nil
}

// moveEnd makes edge i longer by mm at one end: the neighbour there moves with
// the end of the edge's own line, run on, and keeps its angle to it.
func (w *work) moveEnd(i int, atEnd bool, by float64) error {
	p := w.paths[i]
	k, far := w.after(i), w.after(w.after(i))
	if !atEnd {
		p = p.Reverse()
		k = w.before(i)
	}
	length := p.Length()
	_, ahead := geom.CarrierEnds(p, reach)
	if by > ahead.Length() {
		return fmt.Errorf("it would be run on by more than %.0f mm", float64(reach))
	}
	whole := append(append(geom.Path{}, p...), ahead...)
	from, to := length, length+by
	turn := geom.AngleBetween(whole.TangentAt(from), whole.TangentAt(to))
	at, next := whole.PointAt(from), whole.PointAt(to)
	motion := geom.Motion{Shift: at.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: next})
	longer := ended(p, ahead, whole.PlaceAt(to), next)
	if !atEnd {
		longer = longer.Reverse()
	}
	w.set(i, longer)
	w.set(k, w.paths[k].Moved(motion))
	if atEnd {
		return w.meet(far, w.paths[k].End())
	}
	return w.meet(k, w.paths[k].Start())
}
