package pattern

import (
	"math"
	"slices"

	"toile/geom"
)

// OnEdge is a place on an edge of a piece, in mm from the edge's start.
type OnEdge struct {
	Piece, Edge string
	Along       float64
	Seam        string // over which it was found
}

// Across returns the places that a place on an edge is sewn to: in each seam
// that takes it up, the one at the same share of its section.
func (p *Pattern) Across(piece, edge string, along float64) ([]OnEdge, error) {
	var found []OnEdge
	for s := range p.Seams {
		seam := &p.Seams[s]
		sides, bounds, err := p.laidOut(seam)
		if err != nil {
			return nil, err
		}
		for k := range sides {
			for _, part := range sides[k].Parts {
				if part.Piece.Name != piece || part.edgeName() != edge || along < part.From-alongEdge || along > part.To+alongEdge {
					continue
				}
				pos := otherSide(bounds, k, part.Along(along))
				if q, ok := sides[1-k].placeAt(pos); ok {
					q.Seam = seam.Name
					found = append(found, q)
				}
			}
		}
	}
	return found, nil
}

// laidOut walks both chains of a seam; bounds are the ends of its sections
// along both, the start first.
func (p *Pattern) laidOut(s *Seam) (sides [2]Walked, bounds [][2]float64, err error) {
	if sides[0], err = p.walkChain(s.First, false); err != nil {
		return sides, nil, err
	}
	if sides[1], err = p.walkChain(s.Second, !s.SameWay); err != nil {
		return sides, nil, err
	}
	bounds = [][2]float64{{0, 0}}
	for _, c := range s.Sections {
		if c.First.Piece == "" {
			continue
		}
		a, err := sides[0].notch(p, c.First)
		if err != nil {
			return sides, nil, err
		}
		b, err := sides[1].notch(p, c.Second)
		if err != nil {
			return sides, nil, err
		}
		bounds = append(bounds, [2]float64{a, b})
	}
	return sides, append(bounds, [2]float64{sides[0].Length, sides[1].Length}), nil
}

// otherSide takes a length along chain k to the other chain, section by
// section in proportion.
func otherSide(bounds [][2]float64, k int, pos float64) float64 {
	for i := 1; i < len(bounds); i++ {
		a, b := bounds[i-1], bounds[i]
		if pos <= b[k] || i == len(bounds)-1 {
			if b[k]-a[k] < 1e-9 {
				return a[1-k]
			}
			return a[1-k] + (pos-a[k])/(b[k]-a[k])*(b[1-k]-a[1-k])
		}
	}
	return pos
}

// edgeName is the name of the part's edge.
func (w WalkedPart) edgeName() string { return w.Piece.Edges[w.Edge].Name }

// placeAt finds the place at a length along the chain.
func (w Walked) placeAt(pos float64) (OnEdge, bool) {
	for _, part := range w.Parts {
		sewn := part.Between(part.From, part.To)
		if pos < part.Offset-alongEdge || pos > part.Offset+sewn+alongEdge {
			continue
		}
		at := paperWalk(part.From, part.To, part.rates(nil), pos-part.Offset)
		if part.Backwards {
			at = paperWalk(part.To, part.From, part.rates(nil), pos-part.Offset)
		}
		return OnEdge{Piece: part.Piece.Name, Edge: part.edgeName(), Along: at}, true
	}
	return OnEdge{}, false
}

// rate says that a stretch of an edge counts so much when sewn.
type rate struct{ from, to, counts float64 }

// rates lists the part's darts and pleats, which count nothing, and what is
// eased in.
func (w WalkedPart) rates(eased []rate) []rate {
	out := slices.Clone(eased)
	for _, g := range w.gaps {
		out = append(out, rate{g[0], g[1], 0})
	}
	return out
}

// paperWalk goes along an edge from one place towards another (which may lie
// before it) by a length as sewn and returns where that ends; NaN beyond the
// other place. Where a dart or pleat begins just there, it ends before it.
func paperWalk(from, to float64, rates []rate, sewn float64) float64 {
	cuts := []float64{from, to}
	for _, r := range rates {
		for _, c := range []float64{r.from, r.to} {
			if c > math.Min(from, to) && c < math.Max(from, to) {
				cuts = append(cuts, c)
			}
		}
	}
	slices.Sort(cuts)
	if to < from {
		slices.Reverse(cuts)
	}
	left := sewn
	for k := 1; k < len(cuts); k++ {
		step := math.Abs(cuts[k] - cuts[k-1])
		counts := counting(rates, (cuts[k]+cuts[k-1])/2)
		if left <= step*counts+1e-9 {
			if counts == 0 {
				return cuts[k-1]
			}
			return cuts[k-1] + math.Copysign(left/counts, to-from)
		}
		left -= step * counts
	}
	if left < alongEdge {
		return to
	}
	return math.NaN()
}

// counting is how much a place of an edge counts: what the last rate over it
// says, nothing inside a dart or pleat.
func counting(rates []rate, at float64) float64 {
	counts := 1.0
	for _, r := range rates {
		if at > r.from && at < r.to {
			counts *= r.counts
		}
	}
	return counts
}

// paperAlong goes from a place on edge i of a piece by a length measured on
// the sewn mock-up, towards the edge's end, or its start when negative.
func (p *Pattern) paperAlong(q *Piece, i int, from, sewn float64) (float64, error) {
	rates, err := p.sewnRates(q, i)
	if err != nil {
		return 0, err
	}
	to := q.EdgePath(i).Length()
	if sewn < 0 {
		to = 0
	}
	return paperWalk(from, to, rates, math.Abs(sewn)), nil
}

// sewnRates is how much the stretches of edge i of a piece count when sewn.
func (p *Pattern) sewnRates(q *Piece, i int) ([]rate, error) {
	own := WalkedPart{}
	for _, m := range q.Marks {
		if (m.Kind == MarkDart || m.Kind == MarkPleat) && m.Edge == q.Edges[i].Name {
			own.gaps = append(own.gaps, [2]float64{m.From, m.To})
		}
	}
	eased, err := p.easedOn(q.Name, q.Edges[i].Name)
	return own.rates(eased), err
}

// sewnLength is how long edge i of a piece is in mm on the sewn mock-up.
func (p *Pattern) sewnLength(q *Piece, i int) (float64, error) {
	rates, err := p.sewnRates(q, i)
	length := q.EdgePath(i).Length()
	cuts := []float64{0, length}
	for _, r := range rates {
		cuts = append(cuts, math.Min(math.Max(r.from, 0), length), math.Min(math.Max(r.to, 0), length))
	}
	slices.Sort(cuts)
	sum := 0.0
	for k := 1; k < len(cuts); k++ {
		sum += (cuts[k] - cuts[k-1]) * counting(rates, (cuts[k]+cuts[k-1])/2)
	}
	return sum, err
}

// easedOn lists the stretches of an edge that are eased in or gathered, and
// how much of their length is left when sewn. Ease that is not declared is no
// ease: both sides count as they are.
func (p *Pattern) easedOn(piece, edge string) ([]rate, error) {
	var out []rate
	for s := range p.Seams {
		seam := &p.Seams[s]
		sides, bounds, err := p.laidOut(seam)
		if err != nil {
			return nil, err
		}
		for i, c := range seam.Sections {
			if (c.Ease == 0 && !c.Gathered) || i+1 >= len(bounds) {
				continue
			}
			lengths := [2]float64{bounds[i+1][0] - bounds[i][0], bounds[i+1][1] - bounds[i][1]}
			k := 0
			if lengths[1] > lengths[0] {
				k = 1
			}
			for _, part := range sides[k].Parts {
				if part.Piece.Name == piece && part.edgeName() == edge {
					out = append(out, part.over(bounds[i][k], bounds[i+1][k], lengths[1-k]/lengths[k]))
				}
			}
		}
	}
	return out, nil
}

// over is the part of the edge between two lengths along the chain.
func (w WalkedPart) over(from, to, counts float64) rate {
	sewn := w.Between(w.From, w.To)
	a := math.Min(math.Max(from-w.Offset, 0), sewn)
	b := math.Min(math.Max(to-w.Offset, 0), sewn)
	start, end := w.From, w.To
	if w.Backwards {
		start, end = end, start
	}
	x, y := paperWalk(start, end, w.rates(nil), a), paperWalk(start, end, w.rates(nil), b)
	return rate{math.Min(x, y), math.Max(x, y), counts}
}

// takenIn is how much darts take out of the way from a place in a direction,
// as far as a length measured on the sewn mock-up reaches; 0 on paper.
func (p *Piece) takenIn(from, dir geom.Point, mm float64, r Ruler) float64 {
	if r.Sewn == nil || mm == 0 {
		return 0
	}
	if mm < 0 {
		return -p.takenIn(from, dir.Mul(-1), -mm, r)
	}
	var gaps []rate
	const reach = runsOn
	line := geom.Path{geom.Line(from, from.Add(dir.Mul(reach)))}
	for _, m := range p.Marks {
		if m.Kind != MarkDart {
			continue
		}
		i, err := p.EdgeIndex(m.Edge)
		if err != nil {
			continue
		}
		edge := p.EdgePath(i)
		wedge := geom.Path(geom.Polygon(edge.PointAt(m.From), edge.PointAt(m.To), m.At))
		var cuts []float64
		for _, c := range geom.MeetPaths(line, wedge) {
			cuts = append(cuts, from.Dist(c.At))
		}
		slices.Sort(cuts)
		if len(cuts) >= 2 {
			gaps = append(gaps, rate{cuts[0], cuts[len(cuts)-1], 0})
		}
	}
	return paperWalk(0, reach, gaps, mm) - mm
}
