package paper

import (
	"math"

	"toile/geom"
)

// crowd is what a picture draws, in straight pieces, to find free places in it.
type crowd []crowded

// crowded is a straight piece of what is drawn, with what a millimetre of it
// under something else costs.
type crowded struct {
	from, to geom.Point
	weight   float64
}

const (
	// crowdWithin is how near in mm the pieces follow the lines.
	crowdWithin = 0.3

	// wordsWeight is how much worse it is to cover words than a line.
	wordsWeight = 3.0

	// letterWidth is the usual width of a letter, of its size.
	letterWidth = 0.55
)

// crowd lists the lines of a picture, and of its words the two long sides and
// the middle.
func (p Picture) crowd() crowd {
	var out crowd
	for i := range p {
		item := &p[i]
		for _, path := range item.Paths {
			points := geom.Path(path).Flatten(crowdWithin)
			for k := 1; k < len(points); k++ {
				out = append(out, crowded{points[k-1], points[k], 1})
			}
		}
		if item.Text != "" {
			along, up := geom.Pt(1, 0).Turn(item.Angle), geom.Pt(0, -1).Turn(item.Angle)
			long := letterWidth * item.Size * float64(len([]rune(item.Text)))
			from := item.At.Sub(along.Mul(long * item.Align))
			for _, high := range [3]float64{0, item.Size / 2, item.Size} {
				at := from.Add(up.Mul(high))
				out = append(out, crowded{at, at.Add(along.Mul(long)), wordsWeight})
			}
		}
	}
	return out
}

// cost is how many mm of the crowd lie in a box, each by its weight.
func (c crowd) cost(b geom.Box) float64 {
	sum := 0.0
	for _, s := range c {
		if max(s.from.X, s.to.X) < b.Min.X || min(s.from.X, s.to.X) > b.Max.X ||
			max(s.from.Y, s.to.Y) < b.Min.Y || min(s.from.Y, s.to.Y) > b.Max.Y {
			continue
		}
		from, to := segmentIn(s.from, s.to, b)
		if from > to {
			continue
		}
		sum += s.weight * (to - from) * s.from.Dist(s.to)
	}
	return sum
}

// near is the part of the crowd that reaches into a box.
func (c crowd) near(b geom.Box) crowd {
	var out crowd
	for _, s := range c {
		if segmentMeets(s.from, s.to, b) {
			out = append(out, s)
		}
	}
	return out
}

// segmentIn returns between which shares of a segment it lies in a box; the
// first is greater where none of it does. Method: the part of the segment
// between the box's four lines, narrowed side by side.
func segmentIn(p, q geom.Point, b geom.Box) (from, to float64) {
	from, to = 0.0, 1.0
	d := q.Sub(p)
	for _, side := range [4][2]float64{{-d.X, p.X - b.Min.X}, {d.X, b.Max.X - p.X}, {-d.Y, p.Y - b.Min.Y}, {d.Y, b.Max.Y - p.Y}} {
		way, room := side[0], side[1]
		switch {
		case way == 0 && room < 0:
			return 1, 0
		case way < 0:
			from = max(from, room/way)
		case way > 0:
			to = min(to, room/way)
		}
	}
	return from, to
}

// segmentMeets reports whether a segment reaches into a box.
func segmentMeets(p, q geom.Point, b geom.Box) bool {
	from, to := segmentIn(p, q, b)
	return from <= to
}

// boxAlong is the box around the stretch from a to b (level or upright), as far
// to its left as given, and to its right.
func boxAlong(a, b geom.Point, left, right float64) geom.Box {
	way := b.Sub(a).Unit()
	box := geom.EmptyBox()
	for _, q := range [2]geom.Point{a, b} {
		box = box.Extend(q.Add(way.Left().Mul(left))).Extend(q.Sub(way.Left().Mul(right)))
	}
	return box
}

// leastCost returns the first place in order whose cost is least, one that
// costs nothing at once.
func leastCost[T any](places []T, cost func(T) float64) (best T, least float64) {
	least = math.Inf(1)
	for _, p := range places {
		if c := cost(p); c < least {
			if best, least = p, c; c == 0 {
				break
			}
		}
	}
	return best, least
}
