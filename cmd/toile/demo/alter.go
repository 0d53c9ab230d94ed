package demo

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// takeUp moves a straight hem up the grain by mm and cuts its straight
// neighbours to meet it; a negative amount lets it down.
func takeUp(p *pattern.Piece, mm float64) error {
	i := p.HemEdge()
	n := len(p.Edges)
	shift := p.GrainDirection().Mul(-mm)
	hem := p.EdgePath(i)
	a, b := hem.Start().Add(shift), hem.End().Add(shift)
	before, after := p.EdgePath((i+n-1)%n), p.EdgePath((i+1)%n)
	start, ok := meetingOf(a, b, before[len(before)-1])
	if !ok {
		return fmt.Errorf("%s: the hem no longer meets the edge before it", p.Name)
	}
	end, ok := meetingOf(a, b, after[0])
	if !ok {
		return fmt.Errorf("%s: the hem no longer meets the edge after it", p.Name)
	}
	p.Corners[i].At, p.Corners[(i+1)%n].At = start, end
	return nil
}

// meetingOf returns where the line through a and b meets the line that a
// straight curve lies on.
func meetingOf(a, b geom.Point, c geom.Cubic) (geom.Point, bool) {
	u, v := b.Sub(a), c.P3.Sub(c.P0)
	det := u.Cross(v)
	if math.Abs(det) < 1e-9 {
		return geom.Point{}, false
	}
	return a.Add(u.Mul(c.P0.Sub(a).Cross(v) / det)), true
}

// flare swings a straight edge about a point on it: the part beyond, towards
// the hem, turns outward until its end has moved by the chord. The hem runs on
// to it, eased: one cubic from the hem's old end, tangent there, that meets
// the swung edge at the angle the old corner had.
func flare(p *pattern.Piece, edge string, from, chord float64) error {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return err
	}
	n, hem := len(p.Edges), p.HemEdge()
	path := p.EdgePath(i)
	length := path.Length()
	pivot := path.PointAt(from)
	turn := -2 * math.Asin(chord/2/(length-from)) // outward at the end of a clockwise edge
	atEnd := (i+1)%n == hem
	if !atEnd {
		pivot, turn = path.PointAt(length-from), -turn
	}
	old := path.End()
	if !atEnd {
		old = path.Start()
	}
	far := old.Sub(pivot).Turn(turn).Add(pivot)
	hemPath := p.EdgePath(hem)
	p.Edges[i].Nodes, p.Edges[i].Handles = []geom.Point{pivot}, []*pattern.Handles{nil, nil}
	if atEnd {
		square := hemPath.StartTangent().Mul(-1).Turn(turn)
		ease := eased(old, hemPath.StartTangent().Mul(-1), far, square)
		p.Edges[hem].SetPath(append(geom.Path{ease.Reverse()}, hemPath...))
		p.Corners[hem].At = far
		return nil
	}
	square := hemPath.EndTangent().Turn(turn)
	p.Edges[hem].SetPath(append(hemPath, eased(old, hemPath.EndTangent(), far, square)))
	p.Corners[i].At = far
	return nil
}

// eased is the cubic from a in the direction u to b in the direction v, both
// handles chord/(3·cos²(φ/4)).
func eased(a, u, b, v geom.Point) geom.Cubic {
	phi := geom.AngleBetween(u, v)
	c := math.Cos(phi / 4)
	h := a.Dist(b) / (3 * c * c)
	return geom.Cubic{P0: a, P1: a.Add(u.Mul(h)), P2: b.Sub(v.Mul(h)), P3: b}
}

// redraw gives an edge a new inner shape between new ends.
func redraw(p *pattern.Piece, edge string, c geom.Cubic) error {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return err
	}
	p.Corners[i].At, p.Corners[(i+1)%len(p.Corners)].At = c.P0, c.P3
	p.Edges[i].SetPath(geom.Path{c})
	return nil
}

// letOut moves a straight edge outward by mm, parallel; its straight
// neighbours run on.
func letOut(p *pattern.Piece, edge string, mm float64) error {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return err
	}
	n := len(p.Edges)
	path := p.EdgePath(i)
	out := path.StartTangent().Left().Mul(mm)
	a, b := path.Start().Add(out), path.End().Add(out)
	before, after := p.EdgePath((i+n-1)%n), p.EdgePath((i+1)%n)
	start, ok := meetingOf(a, b, before[len(before)-1])
	end, ok2 := meetingOf(a, b, after[0])
	if !ok || !ok2 {
		return fmt.Errorf("%s: %q no longer meets its neighbours", p.Name, edge)
	}
	p.Corners[i].At, p.Corners[(i+1)%n].At = start, end
	return nil
}
