package album

import (
	"math"

	"toile/geom"
)

// pin is a number in a drawing: a ring with a line to what it belongs to.
type pin struct {
	Number         int
	X, Y, AtX, AtY string // the place, and the middle of the ring
	R, Size        string // of the ring and of the number, in mm
}

// pinSize is the radius of a pin's ring to the size of the drawing.
const pinSize = 0.034

// pin numbers places of the drawing, on the track's sheet; nil ones have none.
// Each ring lies beside its place, where it covers no other ring and none of the
// places.
func (d *drawing) pin(at []*[2]float64) {
	size := math.Max(d.box.Size().X, d.box.Size().Y)
	r := size * pinSize
	var taken []geom.Point
	for _, q := range at {
		if q != nil {
			taken = append(taken, geom.Pt(q[0], q[1]))
		}
	}
	for i, q := range at {
		if q == nil {
			continue
		}
		place := geom.Pt(q[0], q[1])
		ring := ringBeside(place, r, taken, d.box)
		taken = append(taken, ring)
		d.Pins = append(d.Pins, pin{i + 1, number(place.X), number(place.Y), number(ring.X), number(ring.Y), number(r), number(r * 1.25)})
	}
}

// ringBeside finds the middle of a ring of radius r: the nearest of sixteen
// directions that is within the box and apart from what is taken, else the place
// itself.
func ringBeside(place geom.Point, r float64, taken []geom.Point, box geom.Box) geom.Point {
	for away := 2.0; away < 9; away++ {
		for k := range 16 {
			at := place.Add(geom.Pt(away*r, 0).Turn(float64(k) * math.Pi / 8))
			if at.X < box.Min.X+r || at.X > box.Max.X-r || at.Y < box.Min.Y+r || at.Y > box.Max.Y-r {
				continue
			}
			free := true
			for _, q := range taken {
				free = free && (at.Dist(q) >= 2.1*r || q == place && at.Dist(q) >= 1.5*r)
			}
			if free {
				return at
			}
		}
	}
	return place
}
