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
