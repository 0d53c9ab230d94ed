package geom

import (
	"fmt"

	sf "github.com/peterstace/simplefeatures/geom"
)

// trueRegions are the regions of two outlines by the reference library, with
// areas from the true curves.
type trueRegions struct {
	added, removed, kept []flatRegion
	doubt                float64 // mm², by which each kind's area may be wrong at most
	matched              float64 // mm², by which B's own area exceeds that of the outline laid for it
	loops                float64 // mm², in loops that outline runs where its own parts start off A's
}

// trueRegionsOf overlays A with B, in which A's curve counts on the matched
// stretches, as Overlap says it does. The library is simplefeatures, whose
// overlay is a port of the JTS topology suite's.
func trueRegionsOf(a, b Ring, stretches []Stretch, fine fineness) (trueRegions, error) {
	ra, rb := laid(a, b, stretches, fine.chord)
	out := trueRegions{matched: ringArea(b) - ringArea(rb.ring())}
	out.doubt = settle(ra, rb, fine)
	lenses := chordEdges{}
	lenses.collect(ra)
	lenses.collect(rb)
	pointsB, cuts, loops := unlooped(rb.points())
	out.loops = loops
	out.doubt += loops
	pa, err := overlayPolygon(cutAt(ra.points(), cuts))
	if err != nil {
		return out, fmt.Errorf("first outline: %w", err)
	}
	pb, err := overlayPolygon(pointsB)
	if err != nil {
		return out, fmt.Errorf("second outline: %w", err)
	}
	origin := a[0].P0
	for _, op := range []struct {
		into    *[]flatRegion
		x, y    sf.Geometry
		overlay func(a, b sf.Geometry) (sf.Geometry, error)
	}{
		{&out.added, pb, pa, sf.Difference}, {&out.removed, pa, pb, sf.Difference}, {&out.kept, pa, pb, sf.Intersection},
	} {
		polygons, err := overlaid(op.overlay(op.x, op.y))
		if err != nil {
			return out, err
		}
		for _, p := range polygons {
			*op.into = append(*op.into, lenses.region(p, origin))
		}
	}
	return out, lenses.complete(ra)
}

// overlaid are the polygons of an overlay's result; lines and points that the
// outlines share are no regions.
func overlaid(g sf.Geometry, err error) ([]sf.Polygon, error) {
	if err != nil {
		return nil, err
	}
	var out []sf.Polygon
	for _, part := range g.Dump() {
		if p, ok := part.AsPolygon(); ok && !p.IsEmpty() {
			out = append(out, p)
		}
	}
	return out, nil
}

func overlayPolygon(points []Point) (sf.Geometry, error) {
	coords := make([]float64, 0, 2*len(points)+2)
	for _, p := range points {
		coords = append(coords, p.X, p.Y)
	}
	coords = append(coords, points[0].X, points[0].Y)
	poly := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(coords, sf.DimXY))})
	return poly.AsGeometry(), poly.Validate()
}

// flatRegion is a region by its area on the true curves and its polygon.
type flatRegion struct {
	area, perimeter float64
	points          []Point
}

func (r flatRegion) width() float64 { return 2 * r.area / r.perimeter }

// chordEdges holds for each chord that is not in doubt, in both directions,
// what its curve adds to the area on its right, and how often it was met.
type chordEdges map[[2]sf.XY]*chordEdge

type chordEdge struct {
	lens float64
	met  int
}

func chordKey(c chord) [2]sf.XY {
	return [2]sf.XY{{X: c.c.P0.X, Y: c.c.P0.Y}, {X: c.c.P3.X, Y: c.c.P3.Y}}
}

func (e chordEdges) collect(r laidRing) {
	for _, x := range r {
		for _, c := range x.arc.chords {
			if key := chordKey(c); !c.unsure && e[key] == nil {
				e[key] = &chordEdge{lens: c.lens}
				e[[2]sf.XY{key[1], key[0]}] = &chordEdge{lens: -c.lens}
			}
		}
	}
}

// complete checks that the reference left the vertices where they were: each
// chord of the first outline that is not in doubt bounds exactly one region
// that is removed or kept on its right.
func (e chordEdges) complete(ra laidRing) error {
	for _, x := range ra {
		for _, c := range x.arc.chords {
			if edge := e[chordKey(c)]; edge != nil && c.hull > 0 && edge.met != 1 {
				return fmt.Errorf("the chord from %v to %v bounds %d regions of the reference", c.c.P0, c.c.P3, edge.met)
			}
		}
	}
	return nil
}

// region measures a polygon of the overlay: its own area, and the lenses of
// the chords it has whole.
func (e chordEdges) region(poly sf.Polygon, origin Point) flatRegion {
	var r flatRegion
	for i, ring := range poly.DumpRings() {
		e.ring(&r, ring.Coordinates(), origin, i == 0)
	}
	return r
}

func (e chordEdges) ring(r *flatRegion, seq sf.Sequence, origin Point, outer bool) {
	at := func(i int) Point { return Pt(seq.GetXY(i).X, seq.GetXY(i).Y) }
	flat := 0.0
	for i := 1; i < seq.Length(); i++ {
		flat += at(i-1).Sub(origin).Cross(at(i).Sub(origin)) / 2
		r.perimeter += at(i - 1).Dist(at(i))
		r.points = append(r.points, at(i))
	}
	turned := (flat > 0) != outer // run so that the region lies on the right
	for i := 1; i < seq.Length(); i++ {
		p, q := seq.GetXY(i-1), seq.GetXY(i)
		if turned {
			p, q = q, p
		}
		if edge := e[[2]sf.XY{p, q}]; edge != nil {
			edge.met++
			r.area += edge.lens
		}
	}
	if turned {
		flat = -flat
	}
	r.area += flat
}
