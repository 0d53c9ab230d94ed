package diff_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
	"toile/pattern/trace"
	"toile/pattern/units"
)

// A piece is altered on paper and traced again: points every 3 mm, each off by
// a shaky hand.
const (
	traceSpacing = 3.0  // mm
	traceSigma   = 0.3  // mm
	slowLength   = 50.0 // mm over which slowly varying errors are alike
)

// shaky is how a hand errs along an outline.
type shaky struct {
	name string
	slow bool
}

var hands = []shaky{{"independent", false}, {"slowly varying", true}}

// errors gives the errors of n points. Slow ones are Gauss-weighted means of
// independent ones, scaled to the same deviation; with weights
// exp(−(d/s)²/2) the correlation falls to 1/e at the distance 2·s, which is the
// correlation length.
func (h shaky) errors(rng *rand.Rand, n int) []geom.Point {
	raw := make([]geom.Point, n)
	for i := range raw {
		raw[i] = geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(traceSigma)
	}
	if !h.slow {
		return raw
	}
	spread := slowLength / 2 / traceSpacing
	most := min(int(4*spread), n/2-1)
	out := make([]geom.Point, n)
	square := 0.0
	for d := -most; d <= most; d++ {
		w := math.Exp(-float64(d*d) / (2 * spread * spread))
		square += w * w
		for i := range out {
			out[i] = out[i].Add(raw[(i+d+n)%n].Mul(w))
		}
	}
	for i := range out {
		out[i] = out[i].Mul(1 / math.Sqrt(square))
	}
	return out
}

// retracing is a piece altered on paper and traced again.
type retracing struct {
	m         *making
	shape     string
	hand      shaky
	motion    geom.Motion // took the altered piece to where it was traced
	points    []geom.Point
	unchanged []geom.Point // places of the old outline that were left alone
}

// makeRetraced alters 20 to 40 % of a piece's boundary and traces it.
func makeRetraced(rng *rand.Rand, number int, hand shaky) retracing {
	for try, k := 0, number; ; try++ {
		if try%12 == 11 {
			k++
		}
		m := newMaking(rng, drafted(rng, k))
		m.blur = 3 * traceSigma // as the program's rule for noisy outlines says
		for range 25 {
			m.onPaper(rng)
			unchanged, share := leftAlone(m.from, m.now)
			if share > 0.4 {
				break
			}
			if share >= 0.2 && len(m.claims) <= 3 {
				for k, c := range m.claims {
					if i, err := m.from.EdgeIndex(c.edges[0]); err == nil {
						m.claims[k] = m.blurred(c, i)
					}
				}
				r := retracing{m: m, shape: shapes[k%len(shapes)].name, hand: hand, unchanged: unchanged}
				r.motion = anyMotion(rng, rng.IntN(6) == 0)
				r.points = r.drawn(rng)
				return r
			}
		}
	}
}

// onPaper makes one more alteration of the outline, mostly of one edge.
func (m *making) onPaper(rng *rand.Rand) {
	w := ways[rng.IntN(len(ways))]
	if w.stage <= stageRedraw && w.stage >= m.stage {
		if m.try(w) {
			m.stage = w.stage
		}
	}
}

// leftAlone lists places of the old outline, even in length, that lie on the
// new one, and the share of those that do not.
func leftAlone(old, now *pattern.Piece) (unchanged []geom.Point, changed float64) {
	const places = 300
	a, b := geom.Path(ringOf(old)), geom.Path(ringOf(now))
	length := a.Length()
	for i := range places {
		q := a.PointAt(length * (float64(i) + 0.5) / places)
		if _, d := b.Nearest(q); d <= 0.01 {
			unchanged = append(unchanged, q)
		}
	}
	return unchanged, 1 - float64(len(unchanged))/places
}

// drawn traces the altered piece where it lies: as a user's drawing would show
// it, with its roundings.
func (r retracing) drawn(rng *rand.Rand) []geom.Point {
	o, err := r.m.now.Outline()
	if err != nil {
		panic(err)
	}
	path := geom.Path(o.Ring)
	length := path.Length()
	n := int(length / traceSpacing)
	off, from := r.hand.errors(rng, n), rng.Float64()
	points := make([]geom.Point, n)
	for i := range points {
		at := path.PointAt(math.Mod(length*(float64(i)/float64(n)+from), length))
		points[i] = r.motion.Apply(at.Add(off[i]))
	}
	if r.motion.Mirror {
		slices.Reverse(points)
	}
	return points
}

// traced brings the points in as `toile trace` does, over the stored piece,
// and compares what was stored before and after. A hand that wavers slowly
// leaves no scatter by which the error could be seen; there the user says how
// well it was drawn.
func (r retracing) traced() (trace.Result, change.PieceDiff, error) {
	p := pattern.New("smock", units.Centimetre)
	p.Put(r.m.from.Clone())
	request := trace.Request{Drawn: trace.DrawnSewing, Place: trace.PlaceFit}
	if r.hand.slow {
		request.DrawnWithin = traceSigma
	}
	res, err := trace.ToPiece(p, trace.Outline{Name: r.m.from.Name, Ring: geom.Polygon(r.points...)}, request)
	if err != nil {
		return res, change.PieceDiff{}, fmt.Errorf("trace: %w", err)
	}
	d, err := diff.Pieces(r.m.from, res.Piece, p)
	return res, d, err
}

// astray is the root mean square displacement in mm of the boundary that was
// left alone, under a pose.
func (r retracing) astray(p match.Pose) float64 {
	if p.Motion.Mirror != r.motion.Mirror {
		return math.Inf(1)
	}
	sum := 0.0
	for _, q := range r.unchanged {
		d := p.Motion.Apply(r.motion.Apply(q)).Dist(q)
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(r.unchanged)))
}

// wrongPose in mm is the displacement from which a pose is not the true one.
const wrongPose = 1.0
