package match

import (
	"math"
	"sort"

	"toile/geom"
)

const (
	// sameTurn in radians (1.1°): corners whose turns differ by more are not
	// the same corner.
	sameTurn = 0.02

	// reachOfPairs: with many corners, chords are taken only to so many
	// corners onward, so that the number of pairs grows with the number of
	// corners and not with its square.
	reachOfPairs, allPairsUpTo = 4, 12

	// tried is the number of voted motions scored on samples.
	tried = 64
)

// layer looks for the pose of one outline over another.
type layer struct {
	old, new, flipped *outline // flipped: new turned over, run clockwise again
	tol               float64
	loose             float64 // mm, the distance for a first score
}

func newLayer(old, new geom.Ring, tol float64) *layer {
	return &layer{old: newOutline(old), new: newOutline(new), tol: tol, loose: math.Max(1, 3*tol)}
}

// shortlist returns the most promising motions, as many again turned over
// where that may be.
func (l *layer) shortlist(mirror bool) []geom.Motion {
	out := l.promising(l.new, false)
	if mirror {
		l.flipped = newOutline(l.new.ring.Moved(geom.Motion{Mirror: true}).Reverse())
		out = append(out, l.promising(l.flipped, true)...)
	}
	return out
}

func (l *layer) promising(new *outline, mirror bool) []geom.Motion {
	var out []geom.Motion
	for _, c := range l.scored(new, mirror) {
		if len(out) == finalists {
			break
		}
		out = append(out, c.motion)
	}
	return out
}

// candidate is a motion with its votes and score.
type candidate struct {
	motion geom.Motion
	votes  float64
	score  int
}

// scored collects motions of the outline onto the old one, the most voted
// first, and sorts them by the samples they bring onto it.
func (l *layer) scored(new *outline, mirror bool) []candidate {
	v := votes{layer: l, new: new, cells: map[cell]int{}}
	v.add(geom.Motion{}, 1)
	v.corners()
	v.chords()
	v.axes()
	if len(l.old.corners) < 3 || len(new.corners) < 3 {
		v.bends()
	}
	list := v.list
	sort.SliceStable(list, func(i, j int) bool { return list[i].votes > list[j].votes })
	if len(list) > tried {
		list = list[:tried]
	}
	for i := range list {
		list[i].score = l.score(new, list[i].motion)
		if mirror {
			list[i].motion = geom.Motion{Mirror: true}.Then(list[i].motion)
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].score > list[j].score })
	return list
}

// score counts the samples of the old outline that lie loosely on the moved
// new one. It gives up early where the first sixteen, spread over the
// outline, all miss.
func (l *layer) score(new *outline, m geom.Motion) int {
	back, n := m.Inverse(), 0
	const stride = 5 // no divisor of sampleCount, so that all samples come up
	for k := range sampleCount {
		s := l.old.samples[k*stride%len(l.old.samples)]
		_, along, _, ok := new.nearest(back.Apply(s.at), l.loose)
		if ok && m.ApplyVector(along).Dot(s.along) > 0.9 {
			n++
		}
		if k == 15 && n == 0 {
			break
		}
	}
	return n
}

// votes gathers motions; like ones add up.
type votes struct {
	layer *layer
	new   *outline
	list  []candidate
	cells map[cell]int
}

type cell struct{ turn, x, y int }

// add votes for a motion. Motions in one cell (2°, 8 mm at the outline's
// middle) are taken for one, and the first stands for all.
func (v *votes) add(m geom.Motion, weight float64) {
	const turnCell, placeCell = math.Pi / 90, 8.0
	at := m.Apply(v.new.centre)
	turn := math.Mod(m.Turn+4*math.Pi, 2*math.Pi)
	c := cell{int(math.Round(turn / turnCell)), int(math.Round(at.X / placeCell)), int(math.Round(at.Y / placeCell))}
	if k, ok := v.cells[c]; ok {
		v.list[k].votes += weight
		return
	}
	v.cells[c] = len(v.list)
	v.list = append(v.list, candidate{motion: m, votes: weight})
}

// onto is the motion that takes one place with a direction to another.
func onto(from, along, to, direction geom.Point) geom.Motion {
	m := geom.Motion{Turn: geom.AngleBetween(along, direction)}
	m.Shift = to.Sub(m.Apply(from))
	return m
}

// corners votes for what brings a corner onto one of equal turn.
func (v *votes) corners() {
	for _, c := range v.layer.old.corners {
		for _, d := range v.new.corners {
			if math.Abs(c.turn-d.turn) < sameTurn {
				v.add(onto(d.at, d.before.Add(d.after), c.at, c.before.Add(c.after)), 1)
			} else {
				// One of the two edges may have stayed.
				v.add(onto(d.at, d.before, c.at, c.before), 0.5)
				v.add(onto(d.at, d.after, c.at, c.after), 0.5)
			}
		}
	}
}

type chord struct {
	from, to geom.Point
	length   float64
}

func (o *outline) chords() []chord {
	n, reach := len(o.corners), reachOfPairs
	if n <= allPairsUpTo {
		reach = n - 1
	}
	var out []chord
	for i, c := range o.corners {
		for k := 1; k <= reach; k++ {
			d := o.corners[(i+k)%n]
			out = append(out, chord{c.at, d.at, c.at.Dist(d.at)})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].length < out[j].length })
	return out
}

// chords votes for what brings two corners onto two, the more the longer
// their chord.
func (v *votes) chords() {
	old, new := v.layer.old.chords(), v.new.chords()
	slack := 4 * v.layer.tol
	from := 0
	for _, c := range old {
		for from < len(new) && new[from].length < c.length-slack {
			from++
		}
		for k := from; k < len(new) && new[k].length <= c.length+slack; k++ {
			if d := new[k]; d.length > slack {
				m := onto(d.from.Lerp(d.to, 0.5), d.to.Sub(d.from), c.from.Lerp(c.to, 0.5), c.to.Sub(c.from))
				v.add(m, 1+2*c.length/v.layer.old.length)
			}
		}
	}
}

// axes votes for what brings middle and main direction together, both ways.
func (v *votes) axes() {
	old := v.layer.old
	for _, turn := range []float64{0, math.Pi} {
		m := geom.Motion{Turn: old.axis - v.new.axis + turn}
		m.Shift = old.centre.Sub(m.Apply(v.new.centre))
		v.add(m, 2)
	}
}

// bends votes for what brings places of equal curvature together.
func (v *votes) bends() {
	const every, likeness = 8, 0.03
	for i := 0; i < len(v.layer.old.samples); i += every {
		s := v.layer.old.samples[i]
		for _, r := range v.new.samples {
			if math.Abs(s.bend-r.bend) <= likeness*math.Abs(s.bend) {
				v.add(onto(r.at, r.along, s.at, s.along), 0.25)
			}
		}
	}
}
