package alter

import (
	"fmt"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

// layMotion takes an inner piece onto its outer: nothing where they share lines as
// they lie, those counted that lie at the distance which p declares for them; else
// what fits, on the outer with these differences made. An interfacing with an inset
// shares no line with its facing, and laid by its shape alone one side of it would
// come to lie on the sewing line.
func layMotion(p *pattern.Pattern, inner, outer *pattern.Piece) (geom.Motion, error) {
	a, _ := outer.SharpRing()
	b, _ := inner.SharpRing()
	if shared(b, a) >= leastOnOuter*b.Length() {
		return geom.Motion{}, nil
	}
	if meant, ok := asDeclared(p, outer, inner); ok {
		if liesAsDeclared(p, outer, inner) >= leastOnOuter*b.Length() {
			return geom.Motion{}, nil
		}
		a, _ = meant.SharpRing()
	}
	pose, _, err := match.LayOver(b, a, sameWithin, match.Options{AllowMirror: true})
	if err != nil {
		return geom.Motion{}, fmt.Errorf("%s on %s: %w", inner.Name, outer.Name, err)
	}
	if pose.Matched < leastOnOuter {
		return geom.Motion{}, fmt.Errorf("%s cannot be laid on %s: less than a tenth of its outline fits on it", inner.Name, outer.Name)
	}
	return pose.Motion.Inverse(), nil
}

// asDeclared is the outer with what is declared of an inner piece made on it; not
// ok where nothing is, or where it cannot be made.
func asDeclared(p *pattern.Pattern, outer, inner *pattern.Piece) (*pattern.Piece, bool) {
	q := outer.Clone()
	w := begin(q)
	any := false
	for i := range q.Edges {
		by := declared(p, outer, i, inner)
		if by == 0 {
			continue
		}
		line, err := outer.EdgeMoved(i, by)
		if err != nil {
			return nil, false
		}
		w.set(i, line)
		any = true
	}
	if !any || w.meetAll() != nil {
		return nil, false
	}
	return q, w.finish() == nil
}

// meetAll brings the edges together again at every corner.
func (w *work) meetAll() error {
	for k := range w.paths {
		a, b := w.paths[w.before(k)], w.paths[k]
		if a.End().Dist(b.Start()) < offsetWithin {
			continue
		}
		if err := w.meet(k, a.End().Lerp(b.Start(), 0.5)); err != nil {
			return err
		}
	}
	return nil
}

// liesAsDeclared is for how many mm an inner piece, as it lies on the sheet, runs
// along edges of its outer at the distance that is declared for them.
func liesAsDeclared(p *pattern.Pattern, outer, inner *pattern.Piece) float64 {
	sum := 0.0
	for _, length := range coveredBy(p, outer, inner, geom.Motion{}) {
		sum += length
	}
	return sum
}
