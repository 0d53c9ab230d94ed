package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

var _ = register(&Kind{Name: "lining", Does: "drafts a lining: the outer less its facing, sewn to the facing's inner edge, or, with --whole, all of the outer with the facing sewn on top",
	Keys: []Key{
		{Name: "facing", What: Pieces, Means: "the facings it is cut to, separated by commas; without one the lining is all of the outer"},
		{Name: "whole", What: Flag, Means: "cut it like the outer; the facing is sewn on top, and its inner edge is drawn where it comes to lie"},
		asKey, clothKey, {Name: "allowance", What: Length, Means: "at the seam to the facing; without it what most edges of the outer have"},
		differsKey, withKey,
	}, Typed: `front --facing "front facing" --differs "shorter hem@hemline=-2cm" --as "front lining"`, make: (*making).lining})

// sameWithin is the distance in mm within which two stored lines count as the
// same.
const sameWithin = 0.01

func (m *making) lining() error {
	o, err := m.outer()
	if err != nil {
		return err
	}
	name, err := m.draftName(o.plain.Name + " lining")
	if err != nil {
		return err
	}
	facings, err := m.facings(o)
	if err != nil {
		return err
	}
	if m.flag("whole") && len(facings) == 0 {
		return fmt.Errorf("%s: --whole says how the facing lies on the lining; name the facing, or leave --whole out", m.piece.Name)
	}
	runs, err := m.liningRuns(o, facings)
	if err != nil {
		return err
	}
	p, err := m.liningOf(o, name, runs, facings)
	if err != nil {
		return err
	}
	m.pattern.Put(p)
	m.pattern.GiveIDs(p)
	var beside []string
	if !m.flag("whole") {
		for _, f := range facings {
			m.sewToFacing(p, runs, f)
			beside = append(beside, f.stored.Name)
		}
	}
	m.addLayer(o, name, beside)
	return nil
}

// liningRuns are the outline of a lining: the outer's, less the facings where it is
// not cut whole.
func (m *making) liningRuns(o *outer, facings []laidFacing) (runs []run, err error) {
	runs = wholeRuns(o.piece)
	if m.flag("whole") {
		return runs, nil
	}
	for k := range facings {
		if facings[k], err = m.overPleats(o, facings[k]); err != nil {
			return nil, err
		}
		if runs, err = m.less(o, runs, facings[k]); err != nil {
			return nil, err
		}
	}
	return runs, m.refuseDartsOfLining(o, runs)
}

// liningOf makes a piece of a lining's runs, with its cloth and allowances.
func (m *making) liningOf(o *outer, name string, runs []run, facings []laidFacing) (*pattern.Piece, error) {
	p := m.pieceOf(name, o.piece, runs)
	if p.Cloth = m.text("cloth"); p.Cloth == "" {
		p.Cloth = "lining"
	}
	sewn := map[string]bool{}
	for k, r := range runs {
		sewn[p.Edges[k].Name] = r.source != o.piece
	}
	if err := m.setAllowance(p, m.usualAllowance(), func(edge string) bool { return sewn[edge] }); err != nil {
		return nil, err
	}
	if m.flag("whole") {
		placeFacings(p, o, facings)
	}
	if err := p.Validate(); err != nil {
		return nil, fmt.Errorf("that lining does not work: %w; the pattern is as it was", err)
	}
	return p, nil
}

// laidFacing is a facing of the pattern, and as it lies on the outer.
type laidFacing struct {
	stored, laid *pattern.Piece
	added        [2][]float64 // mm by which each edge of laid is longer at its start and end than stored; nil for none
}

func wholeRuns(q *pattern.Piece) []run {
	var runs []run
	for i := range q.Edges {
		runs = append(runs, stretchOf(q, i, 0, q.EdgePath(i).Length()))
	}
	return runs
}

// leastOnOuter is the share of a facing's outline that has to lie on its
// outer's for the two to be laid over each other.
const leastOnOuter = 0.1

// facings finds the facings and lays them on the outer: as they lie on the
// sheet where they share its lines there, else as they fit it.
func (m *making) facings(o *outer) ([]laidFacing, error) {
	if !m.has("facing") {
		return nil, nil
	}
	var all []laidFacing
	for _, name := range m.names("facing") {
		f, err := m.pattern.Piece(name)
		if err != nil {
			return nil, fmt.Errorf("facing: %w", err)
		}
		if slices.Contains(o.names, f.Name) {
			return nil, fmt.Errorf("facing: %s is the outer itself; name its facing", f.Name)
		}
		if of := outersOf(m.pattern, f.Name); len(of) > 0 && !slices.ContainsFunc(of, func(name string) bool { return slices.Contains(o.names, name) }) {
			return nil, fmt.Errorf("facing: %s is no facing of %s but of %s; name one of %s, or say with `toile layers %q %q` that it is", f.Name, strings.Join(o.names, " and "), strings.Join(of, " and "), m.piece.Name, m.piece.Name, f.Name)
		}
		laid, err := laidOn(f, o.plain)
		if err != nil {
			return nil, err
		}
		all = append(all, laidFacing{stored: f, laid: laid})
	}
	return all, nil
}

// outersOf lists the outers to which a piece finishes.
func outersOf(p *pattern.Pattern, name string) []string {
	var of []string
	for _, l := range p.Layers {
		if !l.Band && slices.Contains(l.Inner, name) && !slices.Contains(of, l.Outer) {
			of = append(of, l.Outer)
		}
	}
	return of
}

// laidOn is a piece laid on another one of which it shares a part of the
// outline.
func laidOn(f, outer *pattern.Piece) (*pattern.Piece, error) {
	a, _ := outer.SharpRing()
	b, _ := f.SharpRing()
	if shared(b, a) >= leastOnOuter*b.Length() {
		return f, nil
	}
	pose, _, err := match.LayOver(b, a, sameWithin, match.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, err)
	}
	if pose.Matched < leastOnOuter {
		return nil, fmt.Errorf("%s does not lie along %s anywhere: less than a tenth of its outline fits on it; alter one of them so that they share an edge", f.Name, outer.Name)
	}
	laid := f.Moved(pose.Motion.Inverse())
	settle(laid)
	return laid, nil
}

// shared is the length in mm of a ring that lies on another.
func shared(b, a geom.Ring) float64 {
	sum := 0.0
	for _, s := range geom.Match(b, a, sameWithin) {
		sum += b[s.A].LengthBetween(s.A0, s.A1)
	}
	return sum
}

// less takes a facing off an outline: what is left of it beside the facing.
// The regions of both are compared on their exact curves, so that a facing of
// any shape leaves what it leaves.
func (m *making) less(o *outer, runs []run, f laidFacing) ([]run, error) {
	var a geom.Ring
	for _, r := range runs {
		a = append(a, r.path...)
	}
	for i := range a {
		a[i].P0 = a[(i+len(a)-1)%len(a)].P3 // cuts are stored at 0.001 mm
	}
	b, source := f.laid.SharpRing()
	overlap, err := geom.Compare(a, b, sameWithin)
	if err != nil {
		return nil, fmt.Errorf("%s less %s: %w", o.plain.Name, f.stored.Name, err)
	}
	var left []geom.Region
	for _, r := range overlap.Removed {
		if r.Width > 2*sameWithin {
			left = append(left, r)
		}
	}
	switch {
	case len(left) == 0:
		return nil, fmt.Errorf("%s covers all of %s and leaves no lining; name another facing", f.stored.Name, o.plain.Name)
	case len(left) > 1 || len(left[0].Rings) > 1:
		return nil, fmt.Errorf("%s divides the lining of %s into %d parts; split %s first and line its parts", f.stored.Name, o.plain.Name, len(left)+len(left[0].Rings)-1, o.plain.Name)
	case overlap.KeptArea < 100:
		return nil, fmt.Errorf("%s covers nothing of %s; name the facing that lies on it", f.stored.Name, o.plain.Name)
	}
	return fromFirst(regionRuns(left[0], runs, f.laid, source), o.piece), nil
}

// fromFirst begins an outline at the first of the outer's edges, so that edges
// are numbered alike wherever the piece lies on its sheet.
func fromFirst(runs []run, outer *pattern.Piece) []run {
	first := -1
	for k, r := range runs {
		if r.source == outer && (first < 0 || r.edge < runs[first].edge || r.edge == runs[first].edge && r.from < runs[first].from) {
			first = k
		}
	}
	if first < 0 {
		return runs
	}
	return slices.Concat(runs[first:], runs[:first])
}

// regionRuns tells the boundary of a region as runs along the edges that it
// came from: the outline's runs, and the facing's edges backwards.
func regionRuns(region geom.Region, runs []run, facing *pattern.Piece, source []int) []run {
	var out []run
	for _, g := range boundary(region, runs, source) {
		piece, edge := facing, g.origin-len(runs)
		var fixed *run
		if g.origin < len(runs) {
			fixed = &runs[g.origin]
			piece, edge = fixed.source, fixed.edge
		}
		path := piece.EdgePath(edge)
		from, to := placeOn(path, g.path.Start()), placeOn(path, g.path.End())
		if fixed != nil { // a cut that was made before stays where it is
			from, to = snapTo(from, fixed.from, fixed.to), snapTo(to, fixed.from, fixed.to)
		}
		if r := stretchOf(piece, edge, from, to); !r.empty() {
			out = append(out, r)
		}
	}
	return out
}

// side is a stretch of a region's boundary that came from one run of the
// outline, or, counted on behind those, from one edge of the facing.
type side struct {
	origin int
	path   geom.Path
}

// boundary divides a region's outer boundary by where it came from.
func boundary(region geom.Region, runs []run, source []int) []side {
	var of []int // for each curve of the outline its run
	for k, r := range runs {
		for range r.path {
			of = append(of, k)
		}
	}
	origin := func(s geom.Side) int {
		switch {
		case s.Curve < 0:
			return -1 // a joint: part of what comes before it
		case s.OfB:
			return len(runs) + source[s.Curve]
		}
		return of[s.Curve]
	}
	var sides []side
	for k, c := range region.Rings[0] {
		g := origin(region.Sides[0][k])
		if n := len(sides); n > 0 && (g < 0 || sides[n-1].origin == g) {
			sides[n-1].path = append(sides[n-1].path, c)
			continue
		}
		sides = append(sides, side{g, geom.Path{c}})
	}
	if n := len(sides); n > 1 && (sides[0].origin == sides[n-1].origin || sides[0].origin < 0) {
		sides[n-1].path = append(sides[n-1].path, sides[0].path...)
		sides = sides[1:]
	}
	return sides
}

func placeOn(path geom.Path, at geom.Point) float64 {
	place, _ := path.Nearest(at)
	return path.LengthTo(place)
}

func snapTo(v float64, to ...float64) float64 {
	for _, t := range to {
		if math.Abs(v-t) < wholeWithin {
			return t
		}
	}
	return v
}

// placeFacings draws where the inner edges of the facings come to lie on a
// lining that is cut like the outer.
func placeFacings(p *pattern.Piece, o *outer, facings []laidFacing) {
	ring, _ := o.plain.SharpRing()
	for _, f := range facings {
		for i := range f.laid.Edges {
			path := f.laid.EdgePath(i)
			if shared(geom.Ring(path), ring) > path.Length()/2 {
				continue
			}
			name := f.stored.Name
			for k := 2; slices.ContainsFunc(p.Marks, func(mark pattern.Mark) bool { return mark.Name == name }); k++ {
				name = fmt.Sprintf("%s %d", f.stored.Name, k)
			}
			p.Marks = append(p.Marks, pattern.Mark{Kind: pattern.MarkPlacement, Name: name, Path: path})
		}
	}
}

// sewToFacing records the seam between a facing and the lining that is trimmed
// to it, and says where the facing has no allowance for it.
func (m *making) sewToFacing(p *pattern.Piece, runs []run, f laidFacing) {
	var seam pattern.Seam
	for k, r := range runs {
		if r.source != f.laid {
			continue
		}
		st, ok := f.stretch(r)
		if !ok {
			continue
		}
		// The seam runs along the facing; the lining's edges come the other way
		// round.
		seam.First = append(pattern.Chain{st}, seam.First...)
		seam.Second = append(pattern.Chain{{Piece: p.Name, Edge: p.Edges[k].Name}}, seam.Second...)
		if e := f.stored.Edges[r.edge]; e.AllowanceFor(m.pattern.Sets[0]) == 0 {
			m.say("%s, %q has no allowance, and the lining is sewn to it; set one with `toile edge`", f.stored.Name, e.Name)
		}
	}
	if len(seam.First) == 0 {
		return
	}
	seam.Name = m.freeSeam(f.stored.Name + " to " + p.Name)
	m.pattern.Seams = append(m.pattern.Seams, seam)
}
