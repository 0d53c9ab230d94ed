package trace

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
)

// outline turns a listed piece into an outline: straight and smooth edges,
// clockwise, notches laid onto it.
func (l *listed) outline(file string) (Outline, error) {
	fail := func(line int, err error) (Outline, error) {
		return Outline{}, &Error{File: file, Line: line, What: fmt.Sprintf("piece %q", l.name), Err: err}
	}
	pts := l.points
	if n := len(pts); n > 1 && pts[0].at.Dist(pts[n-1].at) <= closeGap {
		pts[0].merge(measured{corner: pts[n-1].corner})
		pts = pts[:n-1]
	}
	if len(pts) < 3 {
		return fail(l.line, fmt.Errorf("%d point(s); an outline needs three or more", len(pts)))
	}
	ring := geom.Ring(throughPoints(pts))
	area := ring.Area()
	if math.Abs(area) < leastArea {
		return fail(l.line, fmt.Errorf("encloses no area (%.2g mm²); check the order of the points", area))
	}
	o := l.inside
	o.Name, o.Ring, o.Where = l.name, ring, where(file, l.line, fmt.Sprintf("piece %q", l.name))
	o.Corners, o.EdgeNames = declared(pts)
	if area < 0 {
		o.reverse()
	}
	for _, n := range l.notches {
		place, d := geom.Path(o.Ring).Nearest(n.at)
		if d > notchSlack {
			return fail(n.line, fmt.Errorf("notch at (%g, %g) mm lies %.1f mm off the outline; "+
				"measure it again, or make it a dot", n.at.X, n.at.Y, d))
		}
		o.Notches = append(o.Notches, Notch{At: geom.Path(o.Ring).At(place), Name: n.name})
	}
	return o, nil
}

// declared gives corners and edge names by the curve that starts at each
// point, one curve a point.
func declared(pts []measured) (corners map[int]bool, edges map[int]string) {
	corners, edges = map[int]bool{}, map[int]string{}
	for i, p := range pts {
		if p.corner {
			corners[i] = true
		}
		if p.edge != "" {
			edges[i] = p.edge
		}
	}
	return corners, edges
}

// reverse turns an outline round. An edge then starts where it ended, so its
// name moves there; where an edge without a name now starts at a smooth
// point, an empty name keeps the place.
func (o *Outline) reverse() {
	if o.Corners == nil && o.EdgeNames == nil { // of a drawing: nothing is declared
		o.Ring = o.Ring.Reverse()
		return
	}
	n := len(o.Ring)
	var starts []int // of edges, in the old order
	for i := range n {
		if _, named := o.EdgeNames[i]; named || o.Corners[i] {
			starts = append(starts, i)
		}
	}
	flip := func(i int) int { return (n - i) % n }
	corners, edges := map[int]bool{}, map[int]string{}
	for k, i := range starts {
		end := starts[(k+1)%len(starts)]
		if o.Corners[i] {
			corners[flip(i)] = true
		}
		if name := o.EdgeNames[i]; name != "" || !o.Corners[end] {
			edges[flip(end)] = name
		}
	}
	o.Ring, o.Corners, o.EdgeNames = o.Ring.Reverse(), corners, edges
}

// throughPoints gives one curve from each point to the next, round to the
// first again.
func throughPoints(pts []measured) geom.Path {
	first := slices.IndexFunc(pts, func(p measured) bool { return p.corner })
	if first < 0 {
		all := make([]geom.Point, len(pts))
		for i, p := range pts {
			all[i] = p.at
		}
		return geom.ThroughClosed(all)
	}
	n := len(pts)
	curves := make(geom.Path, 0, n)
	run := []geom.Point{pts[first].at}
	for i := 1; i <= n; i++ {
		p := pts[(first+i)%n]
		run = append(run, p.at)
		if p.corner {
			curves = append(curves, geom.Through(run)...)
			run = []geom.Point{p.at}
		}
	}
	// Curve 0 starts at the first point listed.
	return append(slices.Clone(curves[n-first:]), curves[:n-first]...)
}
