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
// covers no other ring, none of the places and not the scale bar; one that has no
// room is left out, the words have it.
func (d *drawing) pin(spots []spot) {
	size := math.Max(d.box.Size().X, d.box.Size().Y)
	r := size * pinSize
	var taken []geom.Point
	for _, s := range spots {
		taken = append(taken, s.at)
	}
	for _, s := range spots {
		ring, ok := ringBeside(s.at, r, taken, d.plot)
		if !ok {
			continue
		}
		taken = append(taken, ring)
		letters := r * 1.25
		if n := utf8.RuneCountInString(s.text); n > 2 {
			letters = r * 2.5 / float64(n)
		}
		d.Pins = append(d.Pins, pin{s.text, s.note, number(s.at.X), number(s.at.Y), number(ring.X), number(ring.Y), number(r), number(letters)})
	}
}

// ringBeside finds the middle of a ring of radius r: the nearest of sixteen
// directions that is within the box and apart from what is taken, else the
// nearest of a grid; ok is false where there is no room.
func ringBeside(place geom.Point, r float64, taken []geom.Point, box geom.Box) (at geom.Point, ok bool) {
	free := func(at geom.Point) bool {
		if at.X < box.Min.X+r || at.X > box.Max.X-r || at.Y < box.Min.Y+r || at.Y > box.Max.Y-r {
			return false
		}
		for _, q := range taken {
			if d := at.Dist(q); d < 2.1*r && (q != place || d < 1.5*r) {
				return false
			}
		}
		return true
	}
	for away := 2.0; away < 9; away++ {
		for k := range 16 {
			if at := place.Add(geom.Pt(away*r, 0).Turn(float64(k) * math.Pi / 8)); free(at) {
				return at, true
			}
		}
	}
	far := math.Inf(1)
	for y := box.Min.Y + r; y <= box.Max.Y-r; y += r {
		for x := box.Min.X + r; x <= box.Max.X-r; x += r {
			if q := geom.Pt(x, y); q.Dist(place) < far && free(q) {
				at, far, ok = q, q.Dist(place), true
			}
		}
	}
	return at, ok
}
