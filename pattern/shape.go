package pattern

import (
	"fmt"
	"math"

	"toile/geom"
)

// SetPath stores the path as the edge's inner nodes and handles; its ends
// belong to the corners. A curve that is straight within 1e-6 mm is stored as
// a line.
func (e *Edge) SetPath(path geom.Path) {
	e.Nodes, e.Handles = nil, nil
	for i, c := range path {
		if i > 0 {
			e.Nodes = append(e.Nodes, c.P0)
		}
		if c.IsStraight(straightPath) {
			e.Handles = append(e.Handles, nil)
		} else {
			e.Handles = append(e.Handles, &Handles{c.P1, c.P2})
		}
	}
}

// EdgePath returns edge i from sharp corner to sharp corner.
func (p *Piece) EdgePath(i int) geom.Path {
	e := &p.Edges[i]
	path := make(geom.Path, 0, len(e.Handles))
	at := p.Corners[i].At
	for k, h := range e.Handles {
		to := p.Corners[(i+1)%len(p.Corners)].At
		if k < len(e.Nodes) {
			to = e.Nodes[k]
		}
		if h == nil {
			path = append(path, geom.Line(at, to))
		} else {
			path = append(path, geom.Cubic{P0: at, P1: h.First, P2: h.Second, P3: to})
		}
		at = to
	}
	return path
}

// SharpRing returns the outline with every corner sharp, and for each curve
// the index of its edge.
func (p *Piece) SharpRing() (geom.Ring, []int) {
	var r geom.Ring
	var source []int
	for i := range p.Edges {
		for _, c := range p.EdgePath(i) {
			r = append(r, c)
			source = append(source, i)
		}
	}
	return r, source
}

// Outline is the sewing line as drawn, corners rounded.
type Outline struct {
	Ring   geom.Ring
	Edge   []int             // for each curve of the ring the index of its edge; an arc belongs half to each
	Arc    []int             // for each curve the index of the corner it rounds, −1 elsewhere
	Radius map[int]geom.Path // by corner the whole arc that rounds it
}

// Outline computes the drawn outline. A rounding that does not fit is an
// error that names the corner.
func (p *Piece) Outline() (Outline, error) {
	n := len(p.Edges)
	paths := make([]geom.Path, n)
	for i := range paths {
		paths[i] = p.EdgePath(i)
	}
	cutStart, cutEnd := make([]float64, n), make([]float64, n)
	arcs := map[int]geom.Path{}
	for i, c := range p.Corners {
		if c.Round == 0 {
			continue
		}
		before := (i + n - 1) % n
		arc, cb, ca, err := geom.RoundCorner(paths[before], paths[i], c.Round)
		if err != nil {
			return Outline{}, &Problem{Piece: p.Name, Part: PartCorner, Index: i,
				Reason: fmt.Sprintf("corner %s: cannot be rounded by %s mm: %v", p.CornerName(i), number(c.Round), err)}
		}
		arcs[i], cutEnd[before], cutStart[i] = arc, cb, ca
	}
	if len(arcs) == 0 {
		r, source := p.SharpRing()
		none := make([]int, len(r))
		for i := range none {
			none[i] = -1
		}
		return Outline{Ring: r, Edge: source, Arc: none}, nil
	}
	return p.roundedOutline(paths, arcs, cutStart, cutEnd)
}

func (p *Piece) roundedOutline(paths []geom.Path, arcs map[int]geom.Path, cutStart, cutEnd []float64) (Outline, error) {
	out := Outline{Radius: arcs}
	add := func(path geom.Path, edge, arc int) {
		for _, c := range path {
			out.Ring = append(out.Ring, c)
			out.Edge = append(out.Edge, edge)
			out.Arc = append(out.Arc, arc)
		}
	}
	n := len(paths)
	for i, path := range paths {
		if arc, ok := arcs[i]; ok {
			_, second := halves(arc)
			add(second, i, i)
		}
		if cutStart[i] != 0 || cutEnd[i] != 0 {
			length := path.Length()
			if cutStart[i]+cutEnd[i] > length+1e-6 {
				return Outline{}, &Problem{Piece: p.Name, Part: PartEdge, Index: i,
					Reason: fmt.Sprintf("edge %q is %s mm long, too short for the roundings at both its ends (%s and %s mm)",
						p.Edges[i].Name, number(length), number(cutStart[i]), number(cutEnd[i]))}
			}
			if cutStart[i]+cutEnd[i] > length-1e-6 {
				path = nil // the two arcs meet
			} else {
				path = path.BetweenLengths(cutStart[i], length-cutEnd[i])
			}
		}
		add(path, i, -1)
		if arc, ok := arcs[(i+1)%n]; ok {
			first, _ := halves(arc)
			add(first, i, (i+1)%n)
		}
	}
	closeRing(out.Ring)
	return out, nil
}

// halves splits an arc at its middle.
func halves(arc geom.Path) (geom.Path, geom.Path) {
	if len(arc)%2 == 0 {
		return arc[:len(arc)/2], arc[len(arc)/2:]
	}
	m := len(arc) / 2
	a, b := arc[m].Split(0.5)
	first := append(append(geom.Path{}, arc[:m]...), a)
	return first, append(geom.Path{b}, arc[m+1:]...)
}

// closeRing makes each curve start exactly where the one before ends.
func closeRing(r geom.Ring) {
	for i := range r {
		r[i].P0 = r[(i+len(r)-1)%len(r)].P3
	}
}

// Length returns edge i's length in mm along the drawn outline: to the middle
// of the arc where a corner is rounded.
func (p *Piece) Length(i int) float64 {
	n := len(p.Edges)
	if p.Corners[i].Round == 0 && p.Corners[(i+1)%n].Round == 0 {
		return p.EdgePath(i).Length()
	}
	o, err := p.Outline()
	if err != nil {
		return p.EdgePath(i).Length()
	}
	sum := 0.0
	for k, c := range o.Ring {
		if o.Edge[k] == i {
			sum += c.Length()
		}
	}
	return sum
}

// NotchPlace returns where a notch sits: the point, the unit direction of the
// edge there (clockwise), and the distance from the edge's start.
func (p *Piece) NotchPlace(n Notch) (at, along geom.Point, fromStart float64, err error) {
	i, err := p.EdgeIndex(n.Edge)
	if err != nil {
		return geom.Point{}, geom.Point{}, 0, err
	}
	path := p.EdgePath(i)
	fromStart = n.At
	if n.FromEnd {
		fromStart = path.Length() - n.At
	}
	return path.PointAt(fromStart), path.TangentAt(fromStart), fromStart, nil
}

// NetArea returns the area inside the drawn outline in mm².
func (p *Piece) NetArea() (float64, error) {
	o, err := p.Outline()
	if err != nil {
		return 0, err
	}
	return o.Ring.Area(), nil
}

// GrainDirection returns the unit vector down the grain: along the grain
// line, else along the first fold, down the sheet (to the right where the fold
// lies level), else down the sheet. A piece on the bias is worn aslant to its
// grain: what is down on it its grain line does not tell, and counts as if it had
// none.
func (p *Piece) GrainDirection() geom.Point {
	if p.Grain != nil && !p.Grain.Bias {
		return p.Grain.To.Sub(p.Grain.From).Unit()
	}
	for i, e := range p.Edges {
		if e.Fold {
			path := p.EdgePath(i)
			d := path.End().Sub(path.Start()).Unit()
			if d.Y < 0 || (d.Y == 0 && d.X < 0) {
				d = d.Mul(-1)
			}
			return d
		}
	}
	return geom.Pt(0, 1)
}

// HemEdge returns the index of the hem: the edge set as one, else one whose
// name speaks of a hem, else the one whose middle lies lowest along the grain
// and is no fold.
func (p *Piece) HemEdge() int {
	for i, e := range p.Edges {
		if e.Hem {
			return i
		}
	}
	for i, e := range p.Edges {
		if speaksOfHem(e.Name) {
			return i
		}
	}
	down, best, lowest := p.GrainDirection(), 0, math.Inf(-1)
	for i := range p.Edges {
		if p.Edges[i].Fold {
			continue
		}
		path := p.EdgePath(i)
		mid := path.PointAt(path.Length() / 2)
		if d := mid.Dot(down); d > lowest {
			best, lowest = i, d
		}
	}
	return best
}

// movedWithin is how near in mm a parallel line is drawn to the true one.
const movedWithin = 0.002

// EdgeMoved returns the line that lies by mm outward of edge i (inward when
// negative), as a layer's declared difference means it: a hem is shifted along
// the grain, any other edge lies parallel, within 0.002 mm. Its ends are not
// brought to the neighbours. The error says why there is no such line, as
// where by exceeds a radius.
func (p *Piece) EdgeMoved(i int, by float64) (geom.Path, error) {
	path := p.EdgePath(i)
	if by == 0 {
		return path, nil
	}
	if i != p.HemEdge() || p.Edges[i].Fold {
		return path.Offset(by, movedWithin)
	}
	down := p.GrainDirection()
	if path.TangentAt(path.Length()/2).Left().Dot(down) < 0 {
		by = -by
	}
	return path.Moved(geom.Motion{Shift: down.Mul(by)}), nil
}
