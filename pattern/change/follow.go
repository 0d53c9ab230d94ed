package change

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// Motion lays TO's piece, as stored, onto FROM's sheet.
func (p Placement) Motion() geom.Motion {
	return geom.Motion{Mirror: p.Mirrored, Turn: geom.Degrees(p.Turn), Shift: geom.Pt(p.DX, p.DY)}
}

// atPart is how near to two parts a place has to lie, in mm, to be on the line
// between them.
const atPart = 0.01

// Follow finds where a place of a piece of FROM, told by the piece's slug, lies in
// TO: the piece, and the place on its sheet as stored there. Of the parts of a piece
// that was split it is the one that holds the place, or lies nearest to it; on the
// line between them the one that continues the piece. With no place that one too. A
// piece that was joined to another is found in the one that both are now, and of a
// pair that was separated what is of one of the wearer's sides goes with that half. stored
// gives TO's pieces by slug. It returns −1 where the piece is gone.
func Follow(pieces []PieceDiff, stored func(slug string) *pattern.Piece, slug string, at *geom.Point, side pattern.WearerSide) (int, *geom.Point) {
	for i, p := range pieces {
		if p.New != nil && p.HalfOf != nil && p.HalfOf.Slug == slug && p.New.Side == string(side) {
			return i, moved(at, p.HalfLaid.Inverse())
		}
	}
	found, best := -1, math.Inf(1)
	var there *geom.Point
	for i, p := range pieces {
		if p.New == nil {
			if p.Into != nil && p.Old != nil && p.Old.Slug == slug {
				return joined(pieces, p, at)
			}
			continue
		}
		laid := p.Placement.Motion()
		switch {
		case p.Old != nil && p.Old.Slug == slug:
		case p.Old == nil && p.Of != nil && p.Of.Slug == slug && at != nil:
			laid = p.OfLaid
		default:
			continue
		}
		if at == nil {
			return i, nil
		}
		place := laid.Inverse().Apply(p.OnHalf(*at, side))
		far := awayFrom(stored(p.New.Slug), place)
		if far < best-atPart || p.Old != nil && far < best+atPart {
			found, best, there = i, far, &place
		}
	}
	return found, there
}

// joined finds the piece that another was joined to, and a place of that one there.
func joined(pieces []PieceDiff, other PieceDiff, at *geom.Point) (int, *geom.Point) {
	i := slices.IndexFunc(pieces, func(p PieceDiff) bool { return p.New != nil && p.New.Slug == other.Into.Slug })
	return i, moved(at, other.IntoLaid)
}

// moved is a place after a motion; nil stays nil.
func moved(at *geom.Point, m geom.Motion) *geom.Point {
	if at == nil {
		return nil
	}
	there := m.Apply(*at)
	return &there
}

// Trace finds where a place of a piece of TO lay in FROM, the other way about than
// Follow: the piece of FROM, and the place on its sheet as stored there. Of two pieces that
// were joined it is the one that holds the place; with no place the one that
// continues. It returns nil where the piece is new. stored gives FROM's pieces by
// slug.
func Trace(pieces []PieceDiff, stored func(slug string) *pattern.Piece, slug string, at *geom.Point) (*pattern.Piece, *geom.Point) {
	var found *pattern.Piece
	var there *geom.Point
	best := math.Inf(1)
	for _, p := range pieces {
		of, laid := p.Old, p.Placement.Motion()
		switch {
		case p.New != nil && p.New.Slug == slug && p.Old != nil:
		case p.New != nil && p.New.Slug == slug && p.Of != nil:
			of, laid = p.Of, p.OfLaid
		case p.New != nil && p.New.Slug == slug && p.HalfOf != nil:
			of, laid = p.HalfOf, p.HalfLaid
		case p.New == nil && p.Into != nil && p.Into.Slug == slug && at != nil:
			laid = p.IntoLaid.Inverse()
		default:
			continue
		}
		if at == nil {
			return of, nil
		}
		place := p.fromHalf(laid.Apply(*at), stored(of.Slug))
		far := awayFrom(stored(of.Slug), place)
		if far < best-atPart || p.New != nil && far < best+atPart {
			found, best, there = of, far, &place
		}
	}
	return found, there
}

// awayFrom is how far a place lies outside a piece, in mm; 0 inside it.
func awayFrom(p *pattern.Piece, at geom.Point) float64 {
	if p == nil {
		return math.Inf(1)
	}
	outline, err := p.Outline()
	if err == nil && outline.Ring.Holds(at) {
		return 0
	}
	far := math.Inf(1)
	for i := range p.Edges {
		_, d := p.EdgePath(i).Nearest(at)
		far = min(far, d)
	}
	return far
}
