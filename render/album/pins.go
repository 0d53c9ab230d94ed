package album

import (
	"math"
	"unicode/utf8"

	"toile/geom"
)

// spot is a place of a drawing, on the track's sheet, that has a number.
type spot struct {
	text string
	at   geom.Point
	note bool // it is a note's
}

// pin is a number in a drawing: a ring with a line to what it belongs to.
type pin struct {
	Text           string
	Note           bool
	X, Y, AtX, AtY string // the place, and the middle of the ring
	R, Size        string // of the ring and of the number, in mm
}

// pinSize is the radius of a pin's ring to the size of the drawing.
const pinSize = 0.034

// pin numbers places of the drawing. Each ring lies beside its place, where it
// covers no other ring and none of the places.
func (d *drawing) pin(spots []spot) {
	size := math.Max(d.box.Size().X, d.box.Size().Y)
	r := size * pinSize
	var taken []geom.Point
	for _, s := range spots {
		taken = append(taken, s.at)
	}
	for _, s := range spots {
		ring := ringBeside(s.at, r, taken, d.box)
		taken = append(taken, ring)
		letters := r * 1.25
		if n := utf8.RuneCountInString(s.text); n > 2 {
			letters = r * 2.5 / float64(n)
		}
		d.Pins = append(d.Pins, pin{s.text, s.note, number(s.at.X), number(s.at.Y), number(ring.X), number(ring.Y), number(r), number(letters)})
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
