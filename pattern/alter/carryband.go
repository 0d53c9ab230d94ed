package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// bandWithin is how near in mm a band comes to the length it follows.
const bandWithin = 0.005

// BandLacks reports whether a band has another length than it follows.
func (f Follower) BandLacks(p *pattern.Pattern) bool {
	has, wants, err := p.BandLength(&p.Bands[f.band])
	return err == nil && math.Abs(has-wants) > bandWithin
}

// carryToBand gives a band its length: one end is moved along the band's
// edges, each run on along its own line.
func (m *making) carryToBand(l Lacking) error {
	b := &m.pattern.Bands[l.band]
	has, wants, err := m.pattern.BandLength(b)
	if err != nil {
		return err
	}
	q, err := m.pattern.Piece(b.Piece)
	if err != nil {
		return err
	}
	i, err := q.EdgeIndex(b.Edge)
	if err != nil {
		return err
	}
	refuse := func(err error) error {
		return fmt.Errorf("%s, %q cannot take the length: it is %s and has to be %s: %w; lengthen it by hand by %s", q.Name, b.Edge, m.format(has), m.format(wants), err, m.pattern.Unit.FormatSigned(wants-has))
	}
	by := wants - has
	if q.Cut == pattern.CutOnFold {
		by /= 2 // the other half lies beyond the fold
	}
	w := begin(q)
	atEnd, err := m.bandEnd(w, i)
	if err != nil {
		return err
	}
	if by <= -w.paths[i].Length()+1 {
		return refuse(fmt.Errorf("nothing of it would be left"))
	}
	if err := w.moveEnd(i, atEnd, by); err != nil {
		return refuse(err)
	}
	if err := w.finish(); err != nil {
		return refuse(err)
	}
	if l.BandLacks(m.pattern) {
		now, _, _ := m.pattern.BandLength(b)
		return refuse(fmt.Errorf("with its end moved it would be %s", m.format(now)))
	}
	return nil
}

// bandEnd says which end of a band's edge is moved.
func (m *making) bandEnd(w *work, i int) (atEnd bool, err error) {
	end, start := w.piece.Edges[w.after(i)], w.piece.Edges[w.before(i)]
	switch text := m.text("at"); text {
	case "start", "end":
		atEnd = text == "end"
	case "":
		atEnd = !end.Fold
	default:
		return false, fmt.Errorf("at: %q is no end of an edge; give start or end", text)
	}
	if atEnd && end.Fold || !atEnd && start.Fold {
		return atEnd, fmt.Errorf("%s, %q: it lies on the fold there and cannot be moved; leave --at out", w.piece.Name, w.name(i))
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
