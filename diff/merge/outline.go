package merge

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// outlines is the merging of one piece's outline.
type outlines struct {
	shared *pattern.Piece
	sides  [2]*sideOutline // here and there
	revert bool            // there is the version before the shared one

	chosen  []line // for each edge
	corners []corner
}

// line is the carrier that an edge gets.
type line struct {
	extended
	owner owner
	swing *motion   // where the carrier is one that a side swung: the swing
	rest  geom.Path // and what it was swung from
}

// owner says whose change of an edge counts.
type owner int

const (
	nobody owner = iota
	here
	there
	both  // the same on both sides
	mixed // composed of both sides' changes
)

// by reports whether a side made the whole change.
func (o owner) by(side Side) bool {
	return o == both || (o == here && side == Here) || (o == there && side == There)
}

// corner is where two edges meet in the result, and how each of them comes
// there.
type corner struct {
	at    geom.Point
	owner owner
	// The edge before the corner and the one after it: where each leaves its
	// line, and what leads on from there, in the edge's direction.
	joint [2]geom.Point
	tail  [2]geom.Path
}

// trouble is what cannot be merged without being told how.
type trouble struct {
	edges []int
	says  string
}

// merge makes the outline: for each edge its path, for each corner its place.
// kept answers for edges which side counts there, so that the other's change
// is dropped.
func (o *outlines) merge(keep map[int]Side) (paths []geom.Path, at []geom.Point, found []trouble) {
	n := len(o.shared.Edges)
	o.chosen, o.corners = make([]line, n), make([]corner, n)
	for i := range n {
		if says := o.choose(i, keep); says != "" {
			found = append(found, trouble{[]int{i}, says})
		}
	}
	if len(found) > 0 {
		return nil, nil, found
	}
	for k := range n {
		if says := o.meet(k, keep); says != "" {
			found = append(found, trouble{[]int{(k + n - 1) % n, k}, says})
		}
	}
	if len(found) > 0 {
		return nil, nil, found
	}
	for i := range n {
		path, ok := o.path(i)
		if !ok {
			found = append(found, trouble{[]int{i}, "nothing would be left of it between its neighbours"})
		}
		paths, at = append(paths, path), append(at, o.corners[i].at)
	}
	return paths, at, found
}

// motion is what a side did to an edge's carrier, as far as it counts.
func (o *outlines) motion(side Side, i int, keep map[int]Side) motion {
	if k, ok := keep[i]; ok && k != side {
		return motion{}
	}
	return o.sides[side].motions[i]
}

// base is the carrier of the shared version without what was led or run on: where
// a change is taken back, that of the version before, if the line is the same.
func (o *outlines) base(i int) geom.Path {
	if before := o.sides[There]; o.revert && !before.changed(i) {
		return before.core(i)
	}
	p := o.shared.EdgePath(i)
	var lost [2]float64
	for _, s := range o.sides {
		for end := range 2 {
			lost[end] = math.Max(lost[end], s.lost[i][end])
		}
	}
	if lost != [2]float64{} {
		p = p.BetweenLengths(lost[0], p.Length()-lost[1])
	}
	return p
}

// choose settles an edge's carrier. It returns what is told of a conflict.
func (o *outlines) choose(i int, keep map[int]Side) string {
	base := o.base(i)
	h, t := o.motion(Here, i, keep), o.motion(There, i, keep)
	set := func(p geom.Path, by owner, m motion, rest geom.Path) string {
		o.chosen[i] = line{extended: extend(p), owner: by}
		if m.how == swung {
			o.chosen[i].swing, o.chosen[i].rest = &m, rest
		}
		return ""
	}
	moved := func(m motion, by owner) string {
		p, err := m.of(base)
		if err != nil {
			return "the line it was moved to cannot be made from the shared one: " + err.Error()
		}
		return set(p, by, m, base)
	}
	switch {
	case h.how == kept && t.how == kept:
		return set(base, nobody, motion{}, nil)
	case t.how == kept && o.revert && o.sides[Here].unsure[i] && o.besideChange(i):
		return "what is to be taken back changed where it meets its neighbour, and it was changed again later, in a way that cannot be told apart from that" + o.said(i)
	case t.how == kept:
		return moved(h, here)
	case h.how == kept && o.revert:
		return set(o.sides[There].core(i), there, motion{}, nil)
	case h.how == kept:
		return moved(t, there)
	case sameLines(o.sides[Here].core(i), o.sides[There].core(i)):
		return moved(h, both)
	case o.revert:
		before := o.sides[There].core(i)
		if p, m, ok := composed(before, t, h); ok {
			return set(p, mixed, m, before)
		}
		return "it was changed again later, in a way that cannot be told apart from what is to be taken back" + o.said(i)
	}
	return "both changed its line, and not in the same way" + o.said(i)
}

// besideChange reports whether what is taken back changed a neighbour of edge i, or
// led it on to one.
func (o *outlines) besideChange(i int) bool {
	s, n := o.sides[There], len(o.chosen)
	return s.lost[i] != [2]float64{} || s.changed((i+1)%n) || s.changed((i+n-1)%n)
}

// said adds what each side did to edge i, where that has a name.
func (o *outlines) said(i int) string {
	h, t := o.sides[Here].says[i], o.sides[There].says[i]
	if h == "" || t == "" {
		return ""
	}
	return fmt.Sprintf("; here: %s; there: %s", h, t)
}

// corner neighbours: before is the edge that ends at corner k.
func (o *outlines) before(k int) int { return (k + len(o.chosen) - 1) % len(o.chosen) }

// meet settles corner k. It returns what is told of a conflict.
func (o *outlines) meet(k int, keep map[int]Side) string {
	a, b := &o.chosen[o.before(k)], &o.chosen[k]
	switch {
	case a.owner == nobody && b.owner == nobody:
		return o.unmoved(k, keep)
	case owns(a, b, Here) && owns(a, b, There):
		p, q := o.sides[Here].piece.Corners[k].At, o.sides[There].piece.Corners[k].At
		if q.X < p.X || (q.X == p.X && q.Y < p.Y) {
			o.take(k, There)
		} else {
			o.take(k, Here)
		}
		return ""
	case owns(a, b, Here):
		o.take(k, Here)
		return ""
	case owns(a, b, There):
		o.take(k, There)
		return ""
	}
	if says, done := o.swungCorner(k); done {
		return says
	}
	at, ok := meeting(a.extended, b.extended, o.sides[Here].piece.Corners[k].At, o.sides[There].piece.Corners[k].At)
	if !ok {
		return "run on, their lines do not meet near enough, or at less than 10°"
	}
	o.plain(k, at)
	return ""
}

// owns reports whether a side made all the change of the edges at a corner.
func owns(a, b *line, side Side) bool {
	return (a.owner == nobody || a.owner.by(side)) && (b.owner == nobody || b.owner.by(side))
}

// plain sets a corner at which both edges end on their lines.
func (o *outlines) plain(k int, at geom.Point) {
	o.corners[k] = corner{at: at, owner: mixed, joint: [2]geom.Point{at, at}}
}

// take sets a corner as a side has it, with what was led on there.
func (o *outlines) take(k int, side Side) {
	s := o.sides[side]
	c := corner{at: s.piece.Corners[k].At, owner: [2]owner{here, there}[side]}
	c.joint[0], c.tail[0] = s.tail(o.before(k), 1)
	c.joint[1], c.tail[1] = s.tail(k, 0)
	o.corners[k] = c
}

// unmoved settles a corner beside which no line changed: as shared, or where a
// side moved it along a smooth line, as that side has it.
func (o *outlines) unmoved(k int, keep map[int]Side) string {
	was := o.shared.Corners[k].At
	var moved [2]bool
	for side, s := range o.sides {
		by, dropped := keep[k]
		moved[side] = s.piece.Corners[k].At.Dist(was) > sameWithin && (!dropped || by == Side(side))
	}
	p, q := o.sides[Here].piece.Corners[k].At, o.sides[There].piece.Corners[k].At
	switch {
	case moved[Here] && moved[There] && p.Dist(q) > sameWithin:
		return "both moved where they meet, and not to the same place"
	case moved[Here] && moved[There] && (q.X < p.X || (q.X == p.X && q.Y < p.Y)):
		o.take(k, There)
	case moved[Here]:
		o.take(k, Here)
	case moved[There]:
		o.take(k, There)
	default:
		o.corners[k] = corner{at: was, owner: nobody, joint: [2]geom.Point{was, was}}
	}
	return ""
}

// swungCorner settles a corner where one of the two carriers is a swung one and
// the other side changed the rest: where that meets the edge as it was before
// the swing, so far along the swung one the corner lies, and the neighbour is
// eased on. done is false where neither or both are swung there.
func (o *outlines) swungCorner(k int) (says string, done bool) {
	e := [2]int{o.before(k), k}
	for which := range 2 {
		s, other := &o.chosen[e[which]], &o.chosen[e[1-which]]
		if s.swing == nil || other.swing != nil {
			continue
		}
		rest := extend(s.rest)
		near := o.corner(k, There)
		if !o.revert && s.owner == there {
			near = o.corner(k, Here)
		}
		from, ok := meeting(rest, other.extended, near)
		if !ok {
			return "run on, their lines do not meet near enough, or at less than 10°", true
		}
		at := from
		if s.swing.swings(s.rest, rest.along(from)) {
			at = s.swing.about().Apply(from)
		}
		c := corner{at: at, owner: mixed, joint: [2]geom.Point{at, at}}
		// The neighbour's end here: its start where it comes after the corner.
		if c.joint[1-which], c.tail[1-which], ok = other.eased(which, from, at, s.swing.turn, s.extended); !ok {
			return "one is swung inward so far that too little of the other is left to lead it in", true
		}
		o.corners[k] = c
		return "", true
	}
	return "", false
}

func (o *outlines) corner(k int, side Side) geom.Point { return o.sides[side].piece.Corners[k].At }

// path is edge i between its corners: a state's own where it has both corners
// and the line, else cut from the carrier.
func (o *outlines) path(i int) (geom.Path, bool) {
	n := len(o.chosen)
	start, end := &o.corners[i], &o.corners[(i+1)%n]
	l := &o.chosen[i]
	if l.owner == nobody && o.shared.Corners[i].At == start.at && o.shared.Corners[(i+1)%n].At == end.at && o.keepsShared(i) {
		return o.shared.EdgePath(i), true
	}
	for side, s := range o.sides {
		if s.piece.Corners[i].At == start.at && s.piece.Corners[(i+1)%n].At == end.at &&
			(l.owner.by(Side(side)) || (l.owner == nobody && !s.changed(i))) && o.ledAs(i, s) {
			return s.paths[i], true
		}
	}
	middle, ok := l.part(start.joint[1], end.joint[0])
	if !ok {
		return nil, false
	}
	return slices.Concat(start.tail[1], middle, end.tail[0]), true
}

// keepsShared reports whether the result takes the shared edge as it is.
func (o *outlines) keepsShared(i int) bool {
	n := len(o.chosen)
	return len(o.corners[i].tail[1]) == 0 && len(o.corners[(i+1)%n].tail[0]) == 0 &&
		o.sides[Here].lost[i] == [2]float64{} && o.sides[There].lost[i] == [2]float64{}
}

// ledAs reports whether a side's edge is led on to its corners as the result is
// to be.
func (o *outlines) ledAs(i int, s *sideOutline) bool {
	n := len(o.chosen)
	wanted := [2]geom.Path{o.corners[i].tail[1], o.corners[(i+1)%n].tail[0]}
	for end, tail := range wanted {
		_, has := s.tail(i, end)
		if (len(tail) == 0) != (len(has) == 0) || (len(tail) > 0 && math.Abs(tail.Length()-has.Length()) > sameWithin) {
			return false
		}
	}
	return true
}
