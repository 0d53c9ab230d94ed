package match

import (
	"math"

	"toile/geom"
)

// scatter is how points lie beside a stored edge's carrier: their feet, the
// outward normals there, the distances outward, and the lengths along the edge
// from its start, negative before it.
type scatter struct {
	old    geom.Path
	length float64
	points []geom.Point
	foot   []geom.Point
	normal []geom.Point
	out    []float64
	along  []float64
}

func newScatter(old geom.Path, points []geom.Point) *scatter {
	x := &scatter{old: old, length: old.Length(), points: points}
	on := geom.NewRunOn(old, carrierReach)
	for _, q := range points {
		f := on.Foot(q)
		x.foot, x.normal = append(x.foot, f.At), append(x.normal, f.Normal)
		x.out, x.along = append(x.out, f.Out), append(x.along, f.Along)
	}
	return x
}

func (x *scatter) farthest() float64 {
	far := 0.0
	for _, r := range x.out {
		far = math.Max(far, math.Abs(r))
	}
	return far
}

// line fits out = start + slope·along by least squares, level or not.
func (x *scatter) line(level bool) (start, slope float64, off []float64) {
	n := float64(len(x.out))
	var sx, sy, sxx, sxy float64
	for i, y := range x.out {
		a := x.along[i]
		sx, sy, sxx, sxy = sx+a, sy+y, sxx+a*a, sxy+a*y
	}
	if det := n*sxx - sx*sx; !level && det > 1e-9 {
		slope = (n*sxy - sx*sy) / det
	}
	start = (sy - slope*sx) / n
	for i, y := range x.out {
		off = append(off, y-start-slope*x.along[i])
	}
	return start, slope, off
}
