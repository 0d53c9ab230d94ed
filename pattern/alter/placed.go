package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// placedWithin is how near in mm a placement line lies to where it belongs.
const placedWithin = 0.1

// placedLine is the line on a lining cut like its outer at which an inner edge of a
// facing is sewn on top.
type placedLine struct {
	facing *pattern.Piece
	edge   int
	on     *pattern.Piece
	mark   int
	want   geom.Path // on the lining's sheet
}

// placedLines finds the placement lines that bear the name of a facing, on pieces
// that finish to the same outer, and where its inner edges, in their order, would
// have them lie now. Pieces that cannot be laid on their outer have none.
func placedLines(p *pattern.Pattern, facing *pattern.Piece) (all []placedLine) {
	for _, q := range p.Pieces {
		if q == facing || !hasPlacement(q, facing.Name) {
			continue
		}
		for _, name := range outersOf(p, facing.Name) {
			outer, err := p.Piece(name)
			if err != nil || !slices.Contains(outersOf(p, q.Name), name) {
				continue
			}
			onOuter, errA := layMotion(facing, outer)
			laid, errB := layMotion(q, outer)
			if errA == nil && errB == nil {
				all = append(all, placedOn(p, facing, outer, q, onOuter, laid.Inverse())...)
				break
			}
		}
	}
	return all
}

func hasPlacement(q *pattern.Piece, name string) bool {
	return slices.ContainsFunc(q.Marks, func(m pattern.Mark) bool {
		return m.Kind == pattern.MarkPlacement && m.Name == name && len(m.Path) > 0
	})
}

// placedOn pairs the inner edges of a facing with the lines on a lining: they are
// called as placeFacings calls them. There are none where more or fewer edges than
// lines lie off the outer, which was altered there: the facing has to follow first.
func placedOn(p *pattern.Pattern, facing, outer, q *pattern.Piece, onOuter, back geom.Motion) (all []placedLine) {
	ring, _ := outer.SharpRing()
	var inner []int
	for i := range facing.Edges {
		path := facing.EdgePath(i).Moved(onOuter)
		if shared(geom.Ring(path), ring) <= path.Length()/2 && !sewnEdges(p, facing.Name, facing.Edges[i].Name, outer.Name) {
			inner = append(inner, i)
		}
	}
	named := func(nth int) int {
		name := facing.Name
		if nth > 1 {
			name = fmt.Sprintf("%s %d", facing.Name, nth)
		}
		return slices.IndexFunc(q.Marks, func(m pattern.Mark) bool {
			return m.Kind == pattern.MarkPlacement && m.Name == name && len(m.Path) > 0
		})
	}
	if named(len(inner)) < 0 || named(len(inner)+1) >= 0 {
		return nil
	}
	for n, i := range inner {
		if k := named(n + 1); k >= 0 {
			all = append(all, placedLine{facing, i, q, k, facing.EdgePath(i).Moved(onOuter).Moved(back)})
		}
	}
	return all
}

// off is how far in mm the line lies from where it belongs, ends included.
func (l placedLine) off() float64 {
	has := l.on.Marks[l.mark].Path
	far := 0.0
	for _, pair := range [2][2]geom.Path{{has, l.want}, {l.want, has}} {
		for k := range 17 {
			_, d := pair[1].Nearest(pair[0].PointAt(pair[0].Length() * float64(k) / 16))
			far = math.Max(far, d)
		}
	}
	return far
}

// PlacedOff is a placement line that does not lie where its facing comes to lie.
type PlacedOff struct {
	Piece, Mark  string
	Facing, Edge string
	By           float64 // mm at the most
}

// PlacesOff lists the placement lines of facings that do not lie where they belong.
func PlacesOff(p *pattern.Pattern) (all []PlacedOff) {
	for _, f := range p.Pieces {
		for _, l := range placedLines(p, f) {
			if by := l.off(); by > placedWithin {
				all = append(all, PlacedOff{l.on.Name, l.on.Marks[l.mark].Name, f.Name, f.Edges[l.edge].Name, by})
			}
		}
	}
	return all
}

// placers lists the pieces on which the place of a facing's edge is drawn.
func placers(p *pattern.Pattern, piece, edge string) (all []Follower) {
	f, err := p.Piece(piece)
	if err != nil {
		return nil
	}
	for _, l := range placedLines(p, f) {
		if f.Edges[l.edge].Name == edge {
			all = append(all, Follower{Why: Placed, Piece: l.on.Name})
		}
	}
	return all
}

// PlaceLacks reports whether the line at which an edge of a facing is sewn on lies
// elsewhere.
func (f Follower) PlaceLacks(p *pattern.Pattern, piece, edge string) bool {
	return slices.ContainsFunc(PlacesOff(p), func(o PlacedOff) bool { return o.Piece == f.Piece && o.Facing == piece && o.Edge == edge })
}

// carryToPlace draws the line anew at which an edge of the facing is sewn on.
func (m *making) carryToPlace(l Lacking) error {
	for _, line := range placedLines(m.pattern, m.piece) {
		if line.on.Name == l.Piece && m.piece.Edges[line.edge].Name == m.text("edge") {
			line.on.Marks[line.mark].Path = line.want
		}
	}
	return nil
}
