package geom

import (
	"math"
	"math/rand/v2"
)

// vertex is a corner or smooth point of a made-up garment part: where it lies
// (mm), by how many degrees the edge that leaves it bends outward at its start
// and at its end, and the radius it is rounded by. At a smooth vertex both
// edges run along the line between its neighbours.
type vertex struct {
	x, y, start, end, radius float64
	smooth                   bool
}

// garmentParts are shapes of the kinds that patterns are made of, clockwise,
// at about the size for a grown person.
var garmentParts = map[string][]vertex{
	"back": {
		{x: 0, y: 22, start: -15, end: -28}, {x: 78, y: 0}, {x: 195, y: 38, start: -25, end: -58},
		{x: 235, y: 215, start: 3, end: 5}, {x: 245, y: 620, start: 3, end: 2}, {x: 0, y: 630},
	},
	"front": {
		{x: 0, y: 120, start: -22, end: -32}, {x: 80, y: 0}, {x: 190, y: 40, start: -30, end: -60},
		{x: 240, y: 220, start: -4, end: -6}, {x: 232, y: 420, start: 4, end: 3}, {x: 250, y: 640, start: 2, end: 4},
		{x: -22, y: 650}, {x: -22, y: 128},
	},
	"sleeve": {
		{x: 0, y: 150, start: -22, end: 40}, {x: 160, y: 0, start: 40, end: -24, smooth: true}, {x: 330, y: 165, start: -2, end: -3},
		{x: 285, y: 560, start: 3, end: 3}, {x: 45, y: 560, start: -3, end: -2},
	},
	"skirt": {
		{x: 0, y: 14, start: -4, end: -8}, {x: 180, y: 0, start: 9, end: 6}, {x: 240, y: 220, start: 4, end: 1, smooth: true},
		{x: 262, y: 640, start: 4, end: 5}, {x: 0, y: 655},
	},
	"collar": {
		{x: 0, y: 60, start: 2, end: 8}, {x: 232, y: 18, start: -4, end: 0}, {x: 255, y: 88, start: -10, end: -6}, {x: 0, y: 104},
	},
	"cuff": {
		{x: 0, y: 0}, {x: 228, y: 0}, {x: 228, y: 15}, {x: 246, y: 15}, {x: 246, y: 82, radius: 12}, {x: 0, y: 82, radius: 22},
	},
	"pocket": {
		{x: 0, y: 0}, {x: 140, y: 0}, {x: 138, y: 118, radius: 16}, {x: 70, y: 152}, {x: 2, y: 118, radius: 6},
	},
	"yoke": {
		{x: 0, y: 30, start: -10, end: -24}, {x: 76, y: 0}, {x: 190, y: 40, start: -12, end: -16}, {x: 216, y: 132, start: 3, end: 1}, {x: 0, y: 142},
	},
	"facing": {
		{x: 0, y: 100, start: -20, end: -30}, {x: 80, y: 0}, {x: 126, y: 16, start: 8, end: -22}, {x: 62, y: 165, smooth: true},
		{x: 60, y: 640}, {x: 0, y: 640},
	},
	"trouser": {
		{x: 60, y: 0, start: -1, end: -3}, {x: 240, y: 8, start: 9, end: 5}, {x: 262, y: 220, start: 5, end: -3, smooth: true},
		{x: 235, y: 980}, {x: 76, y: 980, start: -4, end: -9}, {x: 0, y: 300, start: -58, end: -20}, {x: 60, y: 160, smooth: true},
	},
	"godet": {{x: 0, y: 0}, {x: 96, y: 420, start: 12, end: 12}, {x: -96, y: 420}},
	"tab": {
		{x: 0, y: 0}, {x: 118, y: 0}, {x: 118, y: 12}, {x: 132, y: 12}, {x: 132, y: 58}, {x: 122, y: 69}, {x: 40, y: 69, radius: 5},
		{x: 40, y: 45, radius: 8}, {x: 0, y: 45},
	},
	"bag": {
		{x: 0, y: 0}, {x: 170, y: 0}, {x: 178, y: 150, radius: 55}, {x: 90, y: 240, radius: 90}, {x: -8, y: 150, radius: 40},
	},
	"oval": {
		{x: 0, y: -60, start: 30, end: 30, smooth: true}, {x: 95, y: 0, start: 30, end: 30, smooth: true},
		{x: 0, y: 60, start: 30, end: 30, smooth: true}, {x: -95, y: 0, start: 30, end: 30, smooth: true},
	},
}

// garmentKinds names the kinds in order; "gore" and "zigzag" are made by
// turns.
var garmentKinds = []string{
	"back", "front", "sleeve", "skirt", "collar", "cuff", "pocket", "yoke", "facing", "trouser",
	"godet", "tab", "bag", "oval", "gore", "zigzag",
}

// trueCorner is a corner of a known outline.
type trueCorner struct {
	at      Point
	turn    float64 // radians, its size
	shorter float64 // mm, the length of the shorter edge there
}

// trueRound is a rounded corner of a known outline: its tip, by how much the
// arc cuts it off, and how far from the tip the arc begins.
type trueRound struct {
	tip            Point
	depth, tangent float64
}

// knownOutline is an outline in closed form: its corners and the smooth edges
// between them, the first starting at the first corner.
type knownOutline struct {
	ring    Ring
	edges   []Path
	corners []trueCorner
	rounds  []trueRound
}

// Bounds of the outlines made: a turn of at least leastTurn is a corner, one
// between is none of ours, as 20° is where corners begin; edges bend with a
// radius of at least leastBend mm.
const (
	leastTurn = 20.5
	mostKink  = 12.0
	leastBend = 12.0
)

// garmentOutline makes an outline of a kind, every vertex and bend shaken.
func garmentOutline(r *rand.Rand, kind string) knownOutline {
	for {
		var vs []vertex
		switch kind {
		case "gore":
			vs = turningPart(r, 0)
		case "zigzag":
			vs = turningPart(r, 0.5)
		default:
			vs = shakenPart(r, garmentParts[kind])
		}
		if o, ok := knownFrom(vs); ok {
			return o
		}
	}
}

func shakenPart(r *rand.Rand, vs []vertex) []vertex {
	least := math.Inf(1)
	for i, v := range vs {
		w := vs[(i+1)%len(vs)]
		least = math.Min(least, math.Hypot(v.x-w.x, v.y-w.y))
	}
	shake := math.Min(14, least/5)
	out := append([]vertex{}, vs...)
	for i := range out {
		v := &out[i]
		v.x += shake * (2*r.Float64() - 1)
		v.y += shake * (2*r.Float64() - 1)
		bend := 0.6 + 0.8*r.Float64()
		v.start, v.end, v.radius = v.start*bend, v.end*bend, v.radius*(0.7+0.6*r.Float64())
	}
	return out
}

// turningPart makes a polygon of given turns: kinks of 21° to 60°, some too
// flat to be corners, a share of them concave, and three or four great corners
// to close it. The lengths are the nearest to random ones that close it.
func turningPart(r *rand.Rand, concave float64) []vertex {
	for {
		var turns []float64
		left := 360.0
		for range 4 + r.IntN(5) {
			turn := leastTurn + 40*r.Float64()*r.Float64()
			if r.IntN(4) == 0 {
				turn = 3 + (mostKink-4)*r.Float64()
			}
			if r.Float64() < concave {
				turn = -turn
			}
			turns, left = append(turns, turn), left-turn
		}
		for great := 2 + r.IntN(3); great > 0; great-- {
			turns = append(turns, left/float64(great)*(0.8+0.4*r.Float64()))
			left -= turns[len(turns)-1]
		}
		r.Shuffle(len(turns), func(i, j int) { turns[i], turns[j] = turns[j], turns[i] })
		if vs := closedByTurns(r, turns); vs != nil {
			return vs
		}
	}
}

func closedByTurns(r *rand.Rand, turns []float64) []vertex {
	n := len(turns)
	dirs, lengths := make([]Point, n), make([]float64, n)
	heading := 0.0
	var gap Point
	var xx, xy, yy float64
	for i, turn := range turns {
		dirs[i] = Pt(1, 0).Turn(Degrees(heading))
		lengths[i] = 16 + 110*r.Float64()*r.Float64()
		gap = gap.Add(dirs[i].Mul(lengths[i]))
		xx, xy, yy = xx+dirs[i].X*dirs[i].X, xy+dirs[i].X*dirs[i].Y, yy+dirs[i].Y*dirs[i].Y
		heading += turn
		if math.Abs(turn) > 152 {
			return nil
		}
	}
	// The least change of the lengths that closes the polygon.
	det := xx*yy - xy*xy
	by := Pt((yy*gap.X-xy*gap.Y)/det, (xx*gap.Y-xy*gap.X)/det)
	var vs []vertex
	var at Point
	for i := range lengths {
		v := vertex{x: at.X, y: at.Y}
		if r.IntN(3) == 0 {
			v.start = 8 * (2*r.Float64() - 1)
			v.end = v.start
		}
		vs = append(vs, v)
		l := lengths[i] - dirs[i].Dot(by)
		if l < 10 {
			return nil
		}
		at = at.Add(dirs[i].Mul(l))
	}
	return vs
}

// knownFrom builds the outline, unless a turn is neither corner nor kink, an
// edge bends too sharply, or the outline crosses itself.
func knownFrom(vs []vertex) (knownOutline, bool) {
	n := len(vs)
	var rounds []trueRound
	sides := make([]Path, n)
	for i, v := range vs {
		sides[i] = Path{v.edge(vs[(i+1)%n], vs[(i+n-1)%n], vs[(i+2)%n])}
		for t := 0.0; t <= 1; t += 1. / 32 {
			if math.Abs(sides[i][0].Curvature(t)) > 1/leastBend {
				return knownOutline{}, false
			}
		}
	}
	cutStart, cutEnd, arcs := make([]float64, n), make([]float64, n), make([]Path, n)
	for i, v := range vs {
		before := (i + n - 1) % n
		if v.radius == 0 {
			continue
		}
		var err error
		if arcs[i], cutEnd[before], cutStart[i], err = RoundCorner(sides[before], sides[i], v.radius); err != nil {
			return knownOutline{}, false
		}
		tip := sides[i].Start()
		_, depth := arcs[i].Nearest(tip)
		rounds = append(rounds, trueRound{tip, depth, max(cutEnd[before], cutStart[i])})
	}
	for i := range sides {
		l := sides[i].Length()
		if l-cutStart[i]-cutEnd[i] < 8 {
			return knownOutline{}, false
		}
		if cutStart[i]+cutEnd[i] > 0 {
			sides[i] = sides[i].BetweenLengths(cutStart[i], l-cutEnd[i])
		}
		if arcs[i] != nil {
			sides[i] = append(append(Path{}, arcs[i]...), sides[i]...)
		}
	}
	o, ok := joinedSides(sides)
	o.rounds = rounds
	return o, ok
}

// edge is the cubic from a vertex to the next; before and after are the
// vertices around the two.
func (v vertex) edge(to, before, after vertex) Cubic {
	p, q := Pt(v.x, v.y), Pt(to.x, to.y)
	if v.start == 0 && v.end == 0 && !v.smooth && !to.smooth {
		return Line(p, q)
	}
	d := q.Sub(p)
	from, on := d.Turn(-Degrees(v.start)).Unit(), d.Turn(Degrees(v.end)).Unit()
	if v.smooth {
		from = q.Sub(Pt(before.x, before.y)).Unit()
	}
	if to.smooth {
		on = Pt(after.x, after.y).Sub(p).Unit()
	}
	phi := math.Abs(AngleBetween(d, from)) + math.Abs(AngleBetween(d, on))
	k := d.Len() / (3 * math.Pow(math.Cos(phi/4), 2))
	return Cubic{p, p.Add(from.Mul(k)), q.Sub(on.Mul(k)), q}
}

// joinedSides finds the corners and joins the sides between them.
func joinedSides(sides []Path) (knownOutline, bool) {
	var o knownOutline
	n := len(sides)
	turns := make([]float64, n)
	first := -1
	for i, s := range sides {
		turns[i] = InDegrees(math.Abs(AngleBetween(sides[(i+n-1)%n].EndTangent(), s.StartTangent())))
		if turns[i] > mostKink && turns[i] < leastTurn || turns[i] > 155 {
			return o, false
		}
		if first < 0 && turns[i] >= leastTurn {
			first = i
		}
	}
	for k := range n {
		i := (max(first, 0) + k) % n
		s := append(Path{}, sides[i]...)
		s[0].P0 = sides[(i+n-1)%n].End()
		o.ring = append(o.ring, s...)
		if turns[i] >= leastTurn {
			o.corners = append(o.corners, trueCorner{at: s[0].P0, turn: Degrees(turns[i])})
			o.edges = append(o.edges, s)
		} else if last := len(o.edges) - 1; last >= 0 {
			o.edges[last] = append(o.edges[last], s...)
		}
	}
	if len(o.edges) == 0 {
		o.edges = []Path{Path(o.ring)}
	}
	for i := range o.corners {
		before := o.edges[(i+len(o.edges)-1)%len(o.edges)]
		o.corners[i].shorter = math.Min(before.Length(), o.edges[i].Length())
	}
	_, _, _, crosses := o.ring.SelfCrossing()
	return o, !crosses
}

// scatter says how the points of a tracing lie: their distance along the
// outline, and the standard deviation in x and in y of what moves each by
// itself and of what moves neighbours together, the latter with the correlation
// exp(−d²/2ℓ²) at a distance of d mm. All in mm.
type scatter struct {
	spacing, alone, together, reach float64
}

// tracing returns the points of a tracing.
func (s scatter) tracing(r *rand.Rand, ring Ring) []Point {
	total := ring.Length()
	n := int(total / s.spacing)
	wave := [2]func(float64) float64{s.wave(r, total), s.wave(r, total)}
	phase := r.Float64()
	points := make([]Point, 0, n)
	curve, before, length := 0, 0.0, ring[0].Length()
	for i := range n {
		at := total * (float64(i) + phase*0.6 + 0.3*r.Float64()) / float64(n)
		for at-before > length && curve < len(ring)-1 {
			before += length
			curve++
			length = ring[curve].Length()
		}
		q := ring[curve].At(ring[curve].ParamAt(math.Min(at-before, length)))
		off := Pt(r.NormFloat64()*s.alone+wave[0](at), r.NormFloat64()*s.alone+wave[1](at))
		points = append(points, q.Add(off))
	}
	return points
}

// wave is a random function of the length along an outline of the given whole
// length, a sum of harmonics (the spectral form of such a process).
func (s scatter) wave(r *rand.Rand, total float64) func(float64) float64 {
	if s.together == 0 {
		return func(float64) float64 { return 0 }
	}
	base := 2 * math.Pi / total
	var a, b []float64
	power := 0.0
	for k := 1; float64(k)*base*s.reach < 3.5; k++ {
		w := math.Exp(-math.Pow(float64(k)*base*s.reach, 2) / 4)
		power += w * w
		a, b = append(a, w*r.NormFloat64()), append(b, w*r.NormFloat64())
	}
	scale := s.together / math.Sqrt(power)
	return func(at float64) float64 {
		sum := 0.0
		for k := range a {
			sin, cos := math.Sincos(float64(k+1) * base * at)
			sum += a[k]*cos + b[k]*sin
		}
		return sum * scale
	}
}
