package pattern

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
)

// leastDart is the angle in radians below which a dart has no cap to speak of,
// and atCorner how near in mm to a corner of the piece a mouth may start for
// there still to be an edge beside it.
const (
	leastDart = 1e-3
	atCorner  = 0.1
)

// Dart is a dart with what follows from its mark: A and B are the ends of its
// mouth, in the order of the edge, Angle is what it takes out at its point, in
// radians.
type Dart struct {
	Mark  Mark
	Edge  int
	A, B  geom.Point
	Angle float64
}

// Darts lists the darts of a piece in the order of their edges and mouths. One
// whose point lies on the outer side of its mouth has an angle below 0.
func (p *Piece) Darts() []Dart {
	var all []Dart
	for _, m := range p.Marks {
		if m.Kind != MarkDart {
			continue
		}
		i, ok := p.edgeNamed(m.Edge)
		if !ok {
			continue
		}
		path := p.EdgePath(i)
		d := Dart{Mark: m, Edge: i, A: path.PointAt(m.From), B: path.PointAt(m.To)}
		d.Angle = geom.AngleBetween(d.A.Sub(m.At), d.B.Sub(m.At))
		all = append(all, d)
	}
	slices.SortStableFunc(all, func(a, b Dart) int {
		return cmp.Or(cmp.Compare(a.Edge, b.Edge), cmp.Compare(a.Mark.From, b.Mark.From))
	})
	return all
}

// Closing is the motion that closes the dart, of all that lies behind it along
// the edge: a turn about its point that lays B on the line from the point to A.
func (d Dart) Closing() geom.Motion { return turnAbout(d.Mark.At, -d.Angle) }

func turnAbout(at geom.Point, angle float64) geom.Motion {
	return geom.Motion{Turn: angle, Shift: at.Sub(at.Turn(angle))}
}

// DartTowards says to which end of its edge a dart is laid, "start" or "end":
// as its mark says; else down the grain where its mouth runs rather along the
// grain than across, as at a side seam; else towards the fold, or an edge
// called centre; else towards the start. Common practice: darts lie to the
// centre or down.
func (p *Piece) DartTowards(d Dart) string {
	if d.Mark.Direction != "" {
		return d.Mark.Direction
	}
	way, down := d.B.Sub(d.A), p.GrainDirection()
	if lie := way.Dot(down); math.Abs(lie) > math.Abs(way.Cross(down)) {
		if lie > 0 {
			return towardsEnd
		}
		return towardsStart
	}
	for i, e := range p.Edges {
		name := strings.ToLower(e.Name)
		if e.Fold || strings.Contains(name, "centre") || strings.Contains(name, "center") {
			path := p.EdgePath(i)
			if path.PointAt(path.Length()/2).Sub(d.A.Lerp(d.B, 0.5)).Dot(way) > 0 {
				return towardsEnd
			}
			return towardsStart
		}
	}
	return towardsStart
}

// withCaps lets a cutting line rise over the mouths of darts. A dart whose
// mouth begins or ends at a corner of the piece, or beside which nothing is
// cut, is left as it is.
func (p *Piece) withCaps(line CuttingLine, set string) (CuttingLine, error) {
	raised := false
	for _, d := range p.Darts() {
		path := p.EdgePath(d.Edge)
		by := p.Edges[d.Edge].AllowanceFor(set)
		if by <= 0 || d.Angle < leastDart || d.Mark.From < atCorner || d.Mark.To > path.Length()-atCorner {
			continue
		}
		c := dartCap{dart: d, towards: p.DartTowards(d), by: by}
		if err := c.raise(path, &line); err != nil {
			return CuttingLine{}, p.capProblem(d, set, err)
		}
		raised = true
	}
	if !raised {
		return line, nil
	}
	closeRing(line.Ring)
	if at, _, _, crosses := line.Ring.SelfCrossing(); crosses {
		return CuttingLine{}, &Problem{Piece: p.Name, Part: PartPiece,
			Reason: fmt.Sprintf("no cutting line for the set %s: near %s the folded cap of a dart runs into it; lay the dart the other way, or move it", set, place(at))}
	}
	return line, nil
}

func (p *Piece) capProblem(d Dart, set string, err error) error {
	index := slices.IndexFunc(p.Marks, func(m Mark) bool { return m.Name == d.Mark.Name })
	return &Problem{Piece: p.Name, Part: PartMark, Index: index, Reason: fmt.Sprintf(
		"dart %q: no cutting line for the set %s over its mouth on %q: %v; move the dart, or lay it the other way", d.Mark.Name, set, d.Mark.Edge, err)}
}

// dartCap is the work on the cutting line over one dart's mouth.
//
// Method: the dart is closed by turning what lies behind it about its point.
// The cutting lines of both sides, run on straight, meet over the closed mouth;
// the fold of the dart then lies along them for half its angle, on the side it
// is laid to. Opened again, that stretch is once mirrored at the leg and once
// turned with it, and both halves meet over the middle of the dart: what
// scissors leave that cut through all the layers. A stretch that reaches beyond
// the edge's end is taken as straight on.
type dartCap struct {
	dart    Dart
	towards string
	by      float64 // the allowance in mm
}

// raise puts the cap into the cutting line of the dart's edge.
func (c *dartCap) raise(path geom.Path, line *CuttingLine) error {
	m := c.dart.Mark
	before, err := path.BetweenLengths(0, m.From).Offset(c.by, CutTolerance)
	if err != nil {
		return err
	}
	behind, err := path.BetweenLengths(m.To, path.Length()).Moved(c.dart.Closing()).Offset(c.by, CutTolerance)
	if err != nil {
		return err
	}
	first, second := c.joined(before, behind)
	leg := c.dart.A.Sub(m.At).Unit()
	start, end, ok := c.parted(append(append(geom.Path{}, first...), second...), leg)
	if !ok {
		return fmt.Errorf("the lines of both sides do not meet over it when it is closed")
	}
	over, ok := c.over(start, end, leg)
	if !ok {
		return fmt.Errorf("its fold has no line to lie along")
	}
	open := turnAbout(m.At, c.dart.Angle)
	in := lead{start, []geom.Point{first.End(), before.End()}}
	out := lead{end.Moved(open).Reverse(), []geom.Point{open.Apply(first.End()), open.Apply(behind.Start())}}
	return splice(line, c.dart.Edge, in, over, out)
}

// reach is how far in mm lines are run on over a mouth.
func (c *dartCap) reach() float64 {
	return 2 * (c.dart.A.Dist(c.dart.Mark.At) + c.dart.B.Dist(c.dart.Mark.At) + c.by)
}

// joined runs both cutting lines on to their meeting over the closed mouth; two
// that run on into each other are joined as they are.
func (c *dartCap) joined(before, behind geom.Path) (first, second geom.Path) {
	u, v := before.EndTangent(), behind.StartTangent()
	on := append(slices.Clone(before), geom.Line(before.End(), before.End().Add(u.Mul(c.reach()))))
	from := append(geom.Path{geom.Line(behind.Start().Sub(v.Mul(c.reach())), behind.Start())}, behind...)
	best, found := geom.PathMeeting{}, false
	if math.Abs(u.Cross(v)) > leastDart {
		for _, k := range geom.MeetPaths(on, from) {
			if !found || k.At.Dist(c.dart.A) < best.At.Dist(c.dart.A) {
				best, found = k, true
			}
		}
	}
	if !found {
		return append(slices.Clone(before), geom.Line(before.End(), behind.Start())), behind
	}
	return on.Between(geom.Place{}, best.P), from.Between(best.Q, geom.Place{Curve: len(from) - 1, T: 1})
}

// parted cuts the closed cutting line at the leg.
func (c *dartCap) parted(whole geom.Path, leg geom.Point) (start, end geom.Path, ok bool) {
	at, ok := c.onRay(whole, leg)
	if !ok {
		return nil, nil, false
	}
	return whole.Between(geom.Place{}, at), whole.Between(at, geom.Place{Curve: len(whole) - 1, T: 1}), true
}

// onRay is where a line crosses the ray from the dart's point, nearest to the
// mouth.
func (c *dartCap) onRay(line geom.Path, way geom.Point) (geom.Place, bool) {
	from := c.dart.Mark.At
	best, found := geom.PathMeeting{}, false
	for _, k := range geom.MeetPaths(line, geom.Path{geom.Line(from, from.Add(way.Mul(c.reach())))}) {
		if !found || k.At.Dist(c.dart.A) < best.At.Dist(c.dart.A) {
			best, found = k, true
		}
	}
	return best.P, found
}

// over is the line over the open mouth, from leg to leg.
func (c *dartCap) over(start, end geom.Path, leg geom.Point) (geom.Path, bool) {
	half := c.dart.Angle / 2
	open := turnAbout(c.dart.Mark.At, c.dart.Angle)
	mirror := mirrorAt(c.dart.Mark.At, leg)
	if c.towards == towardsEnd {
		on := append(slices.Clone(end), geom.Line(end.End(), end.End().Add(end.EndTangent().Mul(c.reach()))))
		at, ok := c.onRay(on, leg.Turn(half))
		if !ok {
			return nil, false
		}
		lie := on.Between(geom.Place{}, at)
		return append(slices.Clone(lie), lie.Moved(mirror).Reverse().Moved(open)...), true
	}
	on := append(geom.Path{geom.Line(start.Start().Sub(start.StartTangent().Mul(c.reach())), start.Start())}, start...)
	at, ok := c.onRay(on, leg.Turn(-half))
	if !ok {
		return nil, false
	}
	lie := on.Between(at, geom.Place{Curve: len(on) - 1, T: 1})
	return append(lie.Reverse().Moved(mirror), lie.Moved(open)...), true
}

// mirrorAt is the reflection at the line through a point with that direction.
func mirrorAt(at, way geom.Point) geom.Motion {
	m := geom.Motion{Mirror: true}
	m.Turn = way.Angle() - m.ApplyVector(way).Angle()
	m.Shift = at.Sub(m.Apply(at))
	return m
}

// spliceWithin is how far in mm the ends of a cap may lie from the cutting line
// they are put into: both are offsets of one edge within CutTolerance, so twice
// that, and a little for the slant they meet at.
const spliceWithin = 2.5 * CutTolerance

// lead is a line that leads to a cap: along the cutting line at first, as far
// as one of the turns or its end.
type lead struct {
	path  geom.Path
	turns []geom.Point
}

// splice puts a cap into the cutting line of an edge, between two leads from
// both sides.
func splice(line *CuttingLine, edge int, start lead, over geom.Path, end lead) error {
	n := len(line.Ring)
	first := slices.IndexFunc(line.Edge, func(i int) bool { return i == edge })
	for k := range n {
		if line.Edge[k] == edge && line.Edge[(k+n-1)%n] != edge {
			first = k
		}
	}
	var run, rest geom.Path
	var others []int
	for k := range n {
		i := (first + k) % n
		if line.Edge[i] == edge && len(rest) == 0 {
			run = append(run, line.Ring[i])
		} else {
			rest, others = append(rest, line.Ring[i]), append(others, line.Edge[i])
		}
	}
	in, head, okIn := leaving(run, start.path, start.turns...)
	back, tail, okBack := leaving(run.Reverse(), end.path, end.turns...)
	out := geom.Place{Curve: len(run) - 1 - back.Curve, T: 1 - back.T}
	if !okIn || !okBack || out.Curve < in.Curve || (out.Curve == in.Curve && out.T < in.T) {
		return fmt.Errorf("it lies too near a corner")
	}
	raised := run.Between(geom.Place{}, in)
	raised = append(append(append(raised, head...), over...), tail.Reverse()...)
	raised = append(raised, run.Between(out, geom.Place{Curve: len(run) - 1, T: 1})...)
	raised = slices.DeleteFunc(raised, func(c geom.Cubic) bool { return c.P0.Dist(c.P3) < 1e-9 && c.P0.Dist(c.P1) < 1e-9 })
	line.Ring, line.Edge = append(geom.Ring(raised), rest...), nil
	for range raised {
		line.Edge = append(line.Edge, edge)
	}
	line.Edge = append(line.Edge, others...)
	return nil
}

// leaving finds where a lead leaves the line that it follows at first: at its
// own end, where the two lines of both sides meet, or where the line ends; with
// the rest of the lead.
func leaving(run, lead geom.Path, turns ...geom.Point) (at geom.Place, rest geom.Path, ok bool) {
	last := geom.Place{Curve: len(lead) - 1, T: 1}
	for _, turn := range append([]geom.Point{lead.End()}, turns...) {
		at, off := run.Nearest(turn)
		on, beside := lead.Nearest(turn)
		if off <= spliceWithin && beside <= spliceWithin {
			return at, lead.Between(on, last), true
		}
	}
	return geom.Place{}, nil, false
}
