package geom

import (
	"math"
	"math/rand/v2"
)

// allowancePiece is a piece such as patterns have: six edges around a block of
// some 300×700 mm, some of them curved, with allowances of their own, one of
// them at times a fold.
func allowancePiece(r *rand.Rand) ([]OffsetEdge, []OffsetCorner) {
	jitter := func(x, y float64) Point { return Pt(x+40*(r.Float64()-0.5), y+40*(r.Float64()-0.5)) }
	points := []Point{jitter(80, 0), jitter(200, 20), jitter(300, 200), jitter(330, 700), jitter(0, 710), jitter(0, 90)}
	var edges []OffsetEdge
	for i, p := range points {
		q := points[(i+1)%len(points)]
		c := Line(p, q)
		d := q.Sub(p)
		if r.IntN(2) == 0 {
			a, b := (r.Float64()-0.5)*0.8, (r.Float64()-0.5)*0.8
			if r.IntN(3) > 0 {
				b = a
			}
			c.P1 = p.Add(d.Turn(a).Mul(0.35))
			c.P2 = q.Sub(d.Turn(-b).Mul(0.35))
		}
		path := Path{c}
		if r.IntN(3) == 0 {
			x, y := c.Split(0.3 + 0.4*r.Float64())
			path = Path{x, y}
		}
		edges = append(edges, OffsetEdge{path, []float64{6, 10, 15, 15, 40}[r.IntN(5)]})
	}
	if r.IntN(3) == 0 {
		edges[4] = OffsetEdge{Path{Line(points[4], points[5])}, 0}
	}
	return edges, nil
}

// outline is the ring of a piece's edges.
func outline(edges []OffsetEdge) Ring {
	var ring Ring
	for _, e := range edges {
		ring = append(ring, e.Path...)
	}
	return ring
}

// nearRMS is the root mean square distance of 500 points of p from q.
func nearRMS(p, q Path) float64 {
	const n = 500
	sum, length := 0.0, p.Length()
	for i := range n {
		_, d := q.Nearest(p.PointAt(length * (float64(i) + 0.5) / n))
		sum += d * d
	}
	return math.Sqrt(sum / n)
}
