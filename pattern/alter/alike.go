package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// congruentWithin is how far in mm two edges may lie apart, laid together, and
// still be drawn alike: what stored digits and a thin pencil make.
const congruentWithin = 0.05

// reflected lays the source's new line on the follower where both edges were
// drawn alike: reflected where they are sewn opposite ways, so that outward
// stays outward.
func reflected(path geom.Path, ch change.Change, opposite bool) (geom.Path, bool) {
	old, now := ch.OldPath, ch.NewPath
	if math.Abs(old.Length()-path.Length()) > congruentWithin {
		return nil, false
	}
	if opposite {
		old, now = old.Reverse(), now.Reverse()
	}
	const samples = 32
	var from, to []geom.Point
	for k := range samples + 1 {
		f := float64(k) / samples
		from, to = append(from, old.PointAt(f*old.Length())), append(to, path.PointAt(f*path.Length()))
	}
	motion := geom.FitMotion(from, to, opposite)
	for k := range from {
		if motion.Apply(from[k]).Dist(to[k]) > congruentWithin {
			return nil, false
		}
	}
	return now.Moved(motion), true
}

// outwardAlike moves each place of a line outward by what the source moved
// outward there, places being matched by their share of the length. It is
// drawn through points within offsetWithin.
func outwardAlike(path geom.Path, ch change.Change, opposite bool) (geom.Path, error) {
	old, now := ch.OldPath, geom.Carrier(ch.NewPath, reach)
	length := old.Length()
	var lost error
	by := func(f float64) float64 {
		if opposite {
			f = 1 - f
		}
		at := old.PointAt(f * length)
		n := old.TangentAt(f * length).Left()
		best, found := 0.0, false
		for _, c := range now {
			for _, t := range c.MeetLine(at, at.Add(n)) {
				if d := c.At(t).Sub(at).Dot(n); !found || math.Abs(d) < math.Abs(best) {
					best, found = d, true
				}
			}
		}
		if !found {
			lost = fmt.Errorf("the edge that changed has turned away so far near (%.1f, %.1f) that no outward amount can be told; draw this one by hand", at.X, at.Y)
		}
		return best
	}
	line := displaced(path, by)
	return line, lost
}

// displaced moves each place of a line outward by an amount that depends on
// its share of the length. A straight line moved by a linear amount stays
// straight.
func displaced(path geom.Path, by func(float64) float64) geom.Path {
	length := path.Length()
	at := func(f float64) geom.Point {
		place := path.PlaceAt(f * length)
		return path.At(place).Add(path[place.Curve].Tangent(place.T).Left().Mul(by(f)))
	}
	if len(path) == 1 && path[0].IsStraight(1e-6) {
		line := geom.Line(at(0), at(1))
		if _, off := line.Nearest(at(0.5)); off < 1e-6 {
			return geom.Path{line}
		}
	}
	const step = 1.0 // mm
	n := max(int(length/step), 16)
	points := make([]geom.Point, n+1)
	for k := range points {
		points[k] = at(float64(k) / float64(n))
	}
	return geom.Fit(points, nil, nil, offsetWithin)
}
