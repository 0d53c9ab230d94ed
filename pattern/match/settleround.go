package match

import (
	"math"

	"toile/geom"
)

const (
	// priceRound in units of χ² is what a rounding costs that the stored corner
	// has not, or one of another radius.
	priceRound = 24.0

	leastRadius, largestRadius = 3.0, 120.0 // mm that a hand's error leaves to be seen
)

// radius is the radius at the start of edge j of the settled outline: the
// stored one, unless the points beside the corner say otherwise.
func (s *settler) radius(j int, out []Settled) float64 {
	k := out[j].Old
	i := s.before(j)
	if k < 0 || !out[i].Made || !out[j].Made {
		return s.storedRadius(k)
	}
	c := s.cornerAt(j, out[i].Path, out[j].Path)
	stored := s.storedRadius(k)
	if s.newRadius(k) {
		stored = math.Round(10*c.fitted(s)) / 10
	}
	best, least := stored, c.chi(s, stored)
	for _, other := range []float64{0, c.fitted(s)} {
		if other == best || (other > 0 && math.Abs(other-stored) < 6*s.Sigma) {
			continue
		}
		if score := c.chi(s, other) + priceRound; score < least {
			best, least = other, score
		}
	}
	if best == stored {
		return stored
	}
	return math.Round(10*best) / 10 // as somebody would have given it
}

func (s *settler) storedRadius(k int) float64 {
	if k < 0 {
		return 0
	}
	return s.Round[k]
}

// roundable is a corner of the settled outline with the points beside it.
type roundable struct {
	before, after geom.Path
	points        []geom.Point
}

// cornerAt gathers the points near the start of edge j, as far as the largest
// rounding could reach.
func (s *settler) cornerAt(j int, before, after geom.Path) roundable {
	c := roundable{before: before, after: after}
	at := s.edges[j].from
	back, on := math.Min(largestRadius, before.Length()/2), math.Min(largestRadius, after.Length()/2)
	for _, p := range s.at {
		d := p.at - at
		if d > s.length/2 {
			d -= s.length
		} else if d < -s.length/2 {
			d += s.length
		}
		if d > -back && d < on {
			c.points = append(c.points, p.q)
		}
	}
	return c
}

// chi is Σ r²/(σ²·m) with the corner rounded by a radius; without end where
// that does not fit.
func (c roundable) chi(s *settler, radius float64) float64 {
	if off := c.off(radius); off != nil {
		return s.chi(off)
	}
	return math.Inf(1)
}

// off lists the distances of the points with the corner rounded by a radius;
// nil where that does not fit.
func (c roundable) off(radius float64) []float64 {
	line := append(append(geom.Path{}, c.before...), c.after...)
	if radius > 0 {
		arc, cutBefore, cutAfter, err := geom.RoundCorner(c.before, c.after, radius)
		if err != nil {
			return nil
		}
		length := c.after.Length()
		line = append(append(c.before.BetweenLengths(0, c.before.Length()-cutBefore), arc...), c.after.BetweenLengths(cutAfter, length)...)
	}
	var off []float64
	for _, q := range c.points {
		_, d := line.Nearest(q)
		off = append(off, d)
	}
	return off
}

// fitted is the radius that lies best by the points: the best of a row, then
// narrowed by golden section.
func (c roundable) fitted(s *settler) float64 {
	const tries = 16
	ratio := math.Pow(largestRadius/leastRadius, 1.0/(tries-1))
	best, least := 0, math.Inf(1)
	for i := range tries {
		if score := c.chi(s, leastRadius*math.Pow(ratio, float64(i))); score < least {
			best, least = i, score
		}
	}
	lo, hi := leastRadius*math.Pow(ratio, float64(max(best-1, 0))), leastRadius*math.Pow(ratio, float64(min(best+1, tries-1)))
	const golden, rounds = 0.6180339887498949, 16
	for range rounds {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		if c.chi(s, a) < c.chi(s, b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}
