package alter

import (
	"toile/geom"
	"toile/pattern"
)

// layAsDeclared takes an inner piece onto its outer as layMotion does, those lines
// counted too that lie at the distance which p declares for them; what does not lie
// there as drawn is laid on the outer with these differences made. An interfacing with
// an inset shares no line with its facing, and laid by its shape alone one side of it
// would come to lie on the sewing line.
func layAsDeclared(p *pattern.Pattern, inner, outer *pattern.Piece) (geom.Motion, error) {
	a, _ := outer.SharpRing()
	b, _ := inner.SharpRing()
	if shared(b, a) >= leastOnOuter*b.Length() {
		return geom.Motion{}, nil
	}
	meant, ok := asDeclared(p, outer, inner)
	if !ok {
		return layMotion(inner, outer)
	}
	if liesAsDeclared(p, outer, inner) >= leastOnOuter*b.Length() {
		return geom.Motion{}, nil
	}
	return layMotion(inner, meant)
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
