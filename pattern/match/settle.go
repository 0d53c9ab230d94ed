package match

import (
	"math"

	"toile/geom"
)

// Retraced is an outline traced again by hand and laid over the stored one.
// Both run clockwise.
type Retraced struct {
	Old   []geom.Path // the stored edges, from sharp corner to sharp corner
	Round []float64   // mm, the radius at the start of each
	Folds []bool      // those that stay straight, whatever the hand did
	Hem   int         // the one that is the hem; −1 without one
	Down  geom.Point  // unit vector along the grain, down the garment

	Ring    geom.Ring    // curves laid through the points
	Corners []int        // curves of Ring that start at a corner, rising
	Of      []int        // the stored edge that the run from each corner continues; −1 for none
	Parts   []int        // for a run that continues none, the stored edge it is a part of; −1 for none; nil: no run is
	Points  []geom.Point // as drawn
	Sigma   float64      // mm, standard deviation of the hand's error

	drawnRound []roundCorner // stored corners that the points show drawn round
}

// Settled is what an edge of the new outline was, as far as the points tell.
type Settled struct {
	Old   int // the stored edge it continues; −1 for none
	Part  int // for one that continues none, the stored edge it is a part of; −1 for none
	Path  geom.Path
	Made  bool    // by a motion of the stored edge, or by none; false: as drawn
	Round float64 // mm, the radius at its start
}

// Settle takes the hand's error out of an outline: where the points of an edge
// lie as they would if the stored edge had been kept, moved along the grain or
// at equal distance, swung or tapered, the new edge is the stored one so moved,
// its amounts by least squares over all its points; an edge that met a swung
// one is eased on to it. What is none of these stays as drawn. Corners are
// where the settled edges meet: those that the points do not show are found
// so, and false ones are dropped. nil where the edges of both outlines do not
// follow each other in the same order.
//
// Method. Of the explanations of an edge the one with the least
// Σ r²/(σ²·m) + price counts: r are the distances of the points, m is how many
// points in a row err alike, from the autocorrelation of those that did not
// move, and the price rises with the amounts an explanation has (after
// Schwarz, Estimating the dimension of a model, 1978). A motion that moves
// nothing by 3σ is none. Which points belong to which edge is settled by
// turns with the lines they lie on, as in expectation and maximization
// (Dempster, Laird, Rubin, 1977).
func (r Retraced) Settle() []Settled {
	s := &settler{Retraced: r.withArcs()}
	if !s.place() || !s.divide() {
		return nil
	}
	s.alike()
	for j := range s.edges {
		s.fit(j)
	}
	s.lookForCorners()
	const rounds = 3
	for range rounds {
		if !s.refine() {
			break
		}
	}
	s.easeNeighbours()
	return s.joined()
}

// settler is a settling under way.
type settler struct {
	Retraced
	ring     geom.Path
	length   float64
	spacing  float64 // mm between the points drawn, on average
	at       []drawnAt
	zones    []zone
	edges    []settling
	together float64 // points in a row that err alike
	alone    bool    // the errors of an edge count one by one
}

// drawnAt is a point drawn and where it lies along the ring, in mm.
type drawnAt struct {
	q  geom.Point
	at float64
}

// settling is an edge of the new outline under way: the ring from one length
// to another.
type settling struct {
	old      int // −1: it continues none
	part     int // then: the stored edge it is a part of, or −1
	from, to float64
	points   []geom.Point // those near its corners left out
	drawn    geom.Path
	model    model
	own      [2]bool // ends of the model's line that are the edge's own
	guessed  bool    // no corner showed at its start
}

// What a model says of an edge.
const (
	asDrawn = iota
	asKept
	asShifted
	asParallel
	asTapered
	asSwung
)

// model is one explanation of a new edge.
type model struct {
	kind  int
	line  geom.Path // the stored edge as it would then run; the drawn one as it is
	score float64
	at    float64 // mm along the stored edge: the pivot of a swing
	turn  float64 // radians, clockwise positive
	far   int     // the end that a swing moves
}

// tolerance is the distance in mm within which lines count as the same.
func (s *settler) tolerance() float64 { return 3 * s.Sigma }

// parent is the stored edge on which an edge may lie: the one it continues or
// is a part of; −1 for none.
func (e settling) parent() int {
	if e.old >= 0 {
		return e.old
	}
	return e.part
}

func (s *settler) before(j int) int { return (j + len(s.edges) - 1) % len(s.edges) }
func (s *settler) after(j int) int  { return (j + 1) % len(s.edges) }

// fit takes the points of edge j and finds what explains it best by itself.
func (s *settler) fit(j int) {
	e := &s.edges[j]
	e.drawn = s.drawnOf(*e)
	e.points = s.pointsOf(j)
	e.own = [2]bool{}
	e.model = s.best(e)
}

func (s *settler) best(e *settling) model {
	drawn, k := s.asDrawn(e), e.parent()
	if s.hidden(e) {
		return model{kind: asKept, line: s.Old[k]}
	}
	if k < 0 || len(e.points) < 3 {
		return drawn
	}
	x := newScatter(s.Old[k], e.points)
	found := model{kind: asKept, line: s.Old[k], score: s.chi(x.out)}
	if s.differs(x, drawn.line) && !s.Folds[k] {
		found = orBetter(found, drawn)
	}
	for _, m := range s.motions(k, x) {
		if m.score < found.score && s.differs(x, m.line) {
			found = m
		}
	}
	return found
}

func orBetter(a, b model) model {
	if b.score < a.score {
		return b
	}
	return a
}

// differs reports whether a line lies off the stored one by the tolerance
// somewhere beside the points.
func (s *settler) differs(x *scatter, line geom.Path) bool {
	carrier := geom.Carrier(x.old, carrierReach)
	for i := range x.points {
		at, _ := line.Nearest(x.points[i])
		if _, d := carrier.Nearest(line.At(at)); d > s.tolerance() {
			return true
		}
	}
	return false
}

// carrierReach is how far in mm an edge may be run on.
const carrierReach = 150

// chi is Σ r²/(σ²·m).
func (s *settler) chi(off []float64) float64 {
	sum := 0.0
	for _, r := range off {
		sum += r * r
	}
	m := s.together
	if !s.alone {
		m = math.Max(m, float64(len(off))/mostTold)
	}
	return sum / (s.Sigma * s.Sigma * m)
}

// mostTold bounds how many errors of one edge count as independent of each
// other: laying the drawing over the stored outline errs for all alike.
const mostTold = 40

// Prices of explanations, in units of χ².
const (
	priceOne   = 9.0 // a shift, a move at equal distance, a swing about a corner
	priceTwo   = 15.0
	priceDrawn = 24.0
	priceCurve = 4.0 // each further curve drawn
	pricePoint = 0.3 // each point of one drawn, where it is settled how far that goes
)

func (s *settler) asDrawn(e *settling) model {
	var off []float64
	for _, q := range e.points {
		_, d := e.drawn.Nearest(q)
		off = append(off, d)
	}
	score := s.chi(off) + priceDrawn + priceCurve*float64(len(e.drawn)-1)
	if s.alone {
		score += pricePoint * float64(len(off))
	}
	return model{kind: asDrawn, line: e.drawn, score: score}
}

// alike measures how many points in a row err alike, on the edges that were
// kept: the sum of the autocorrelation, up to where it falls below a tenth.
func (s *settler) alike() {
	const fewest, most = 1.0, 40
	var runs [][]float64
	square := 0.0
	for j := range s.edges {
		points, k := s.pointsOf(j), s.edges[j].parent()
		if k < 0 || len(points) < 8 {
			continue
		}
		x := newScatter(s.Old[k], points)
		if x.farthest() > s.tolerance()*1.2 {
			continue
		}
		runs = append(runs, x.out)
		for _, r := range x.out {
			square += r * r
		}
	}
	s.together = fewest
	if square == 0 {
		return
	}
	for lag := 1; lag < most; lag++ {
		sum := 0.0
		for _, r := range runs {
			for i := lag; i < len(r); i++ {
				sum += r[i] * r[i-lag]
			}
		}
		if sum < 0.1*square {
			return
		}
		s.together += 2 * sum / square
	}
}
