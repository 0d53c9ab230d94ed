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

	// roughCorner in mm is how far off corners found in scattering points are.
	roughCorner = 6.0
)

// votes gathers motions; like ones add up.
type votes struct {
	layer *layer
	new   *outline
	list  []candidate
	cells map[uint64]int32
}

func newVotes(l *layer, new *outline) *votes {
	return &votes{layer: l, new: new, cells: map[uint64]int32{}}
}

// ray is a place with a direction.
type ray struct {
	at, way geom.Point // way: a unit vector, or zero
	angle   float64    // of way, in radians
}

func rayAt(at, along geom.Point) ray {
	way := along.Unit()
	return ray{at, way, way.Angle()}
}

// onto is the motion that takes r to s with its direction.
func (r ray) onto(s ray) geom.Motion {
	m := geom.Motion{Turn: geom.AngleBetween(r.way, s.way)}
	m.Shift = s.at.Sub(m.Apply(r.at))
	return m
}

// Motions in one cell, 2° and 8 mm at the outline's middle, are taken for one.
const turnCells, placeCell = 180, 8.0

// cellOf is the cell of a motion that turns by so many radians, within ±2π,
// and takes the outline's middle to a place. Places more than 2²⁶ cells apart,
// far beyond what may be laid over each other, would share one.
func cellOf(turn float64, middle geom.Point) uint64 {
	const bits = 27
	place := func(x float64) uint64 { return uint64(int64(math.Round(x/placeCell))) & (1<<bits - 1) }
	angle := (int(math.Round(turn*(turnCells/(2*math.Pi)))) + 2*turnCells) % turnCells
	return uint64(angle)<<(2*bits) | place(middle.X)<<bits | place(middle.Y)
}

// add votes for a motion.
func (v *votes) add(m geom.Motion, weight float64) {
	v.count(cellOf(math.Mod(m.Turn, 2*math.Pi), m.Apply(v.new.centre)), weight, func() geom.Motion { return m })
}

// pair votes for the motion that takes r to s. Most are like one counted
// before, so the motion itself is only worked out for the first of its cell.
func (v *votes) pair(r, s ray, weight float64) {
	cos, sin, turn := 1.0, 0.0, 0.0
	if none := (geom.Point{}); r.way != none && s.way != none {
		cos, sin, turn = r.way.Dot(s.way), r.way.Cross(s.way), s.angle-r.angle
	}
	off := v.new.centre.Sub(r.at)
	middle := s.at.Add(geom.Pt(float64(cos*off.X)-float64(sin*off.Y), float64(sin*off.X)+float64(cos*off.Y)))
	v.count(cellOf(turn, middle), weight, func() geom.Motion { return r.onto(s) })
}

// count adds to what a cell has; the first motion of a cell stands for all.
func (v *votes) count(cell uint64, weight float64, motion func() geom.Motion) {
	if k, ok := v.cells[cell]; ok {
		v.list[k].votes += weight
		return
	}
	v.cells[cell] = int32(len(v.list))
	v.list = append(v.list, candidate{motion: motion(), votes: weight})
}

// rays are what a corner says of how its outline lies.
type rays struct {
	turn                  float64
	before, after, middle ray
}

func cornerRays(corners []corner) []rays {
	out := make([]rays, len(corners))
	for i, c := range corners {
		out[i] = rays{c.turn, rayAt(c.at, c.before), rayAt(c.at, c.after), rayAt(c.at, c.before.Add(c.after))}
	}
	return out
}

// corners votes for what brings a corner onto one of equal turn.
func (v *votes) corners() {
	old, new := cornerRays(v.layer.old.voting), cornerRays(v.new.voting)
	for _, c := range old {
		for _, d := range new {
			if math.Abs(c.turn-d.turn) < sameTurn {
				v.pair(d.middle, c.middle, 1)
			} else {
				// One of the two edges may have stayed.
				v.pair(d.before, c.before, 0.5)
				v.pair(d.after, c.after, 0.5)
			}
		}
	}
}

// chord joins two corners; its ray starts in its middle.
type chord struct {
	ray
	length float64
}

func (o *outline) chords() []chord {
	n, reach := len(o.voting), reachOfPairs
	if n <= allPairsUpTo {
		reach = n - 1
	}
	var out []chord
	for i, c := range o.voting {
		for k := 1; k <= reach; k++ {
			d := o.voting[(i+k)%n]
			out = append(out, chord{rayAt(c.at.Lerp(d.at, 0.5), d.at.Sub(c.at)), c.at.Dist(d.at)})
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
	if v.layer.old.rough || v.new.rough {
		slack += roughCorner
	}
	from := 0
	for _, c := range old {
		for from < len(new) && new[from].length < c.length-slack {
			from++
		}
		for k := from; k < len(new) && new[k].length <= c.length+slack; k++ {
			if d := new[k]; d.length > slack {
				v.pair(d.ray, c.ray, 1+2*c.length/v.layer.old.length)
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
		to := rayAt(s.at, s.along)
		for _, r := range v.new.samples {
			if math.Abs(s.bend-r.bend) <= likeness*math.Abs(s.bend) {
				v.pair(rayAt(r.at, r.along), to, 0.25)
			}
		}
	}
}
