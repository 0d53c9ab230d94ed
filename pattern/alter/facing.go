package alter

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

var _ = register(&Kind{Name: "facing", Does: "drafts a facing along one or more edges of an outer piece, at a width",
	Keys: []Key{
		{Name: "edges", What: Names, Needed: true, Typed: true, Means: "the edges it faces, separated by commas; they lie in a row"},
		{Name: "width", What: Text, Needed: true, Typed: true, Means: "how wide it is, finished; one for all edges, or one for each, separated by commas"},
		asKey, clothKey, allowanceKey,
		{Name: "round", What: Length, Means: "the radius of the corners of its inner edge"},
		differsKey, withKey,
	}, Typed: `front "front edge,neckline" 7cm --round 5cm --as "front facing"`, make: (*making).facing})

var _ = register(&Kind{Name: "hem-facing", Does: "drafts a facing for the hem, at a width; the hem's allowance becomes that of a seam",
	Keys: []Key{
		{Name: "width", What: Length, Needed: true, Typed: true, Means: "how wide it is, finished"},
		asKey, clothKey, {Name: "allowance", What: Length, Means: "at the hem of both and at the inner edge; without it what most edges of the outer have"},
		differsKey, withKey,
	}, Typed: `back 5cm --as "back hem facing"`, make: (*making).hemFacing})

// facingCloth is what facings are cut from where nothing else is said.
const facingCloth = "facing cloth"

// innerEdge is what the inner edge of a facing is called.
const innerEdge = "inner edge"

func (m *making) facing() error {
	o, err := m.outer()
	if err != nil {
		return err
	}
	var edges []int
	var names []string
	for _, name := range m.names("edges") {
		i, err := o.piece.EdgeIndex(name)
		if err != nil {
			return err
		}
		if slices.Contains(edges, i) {
			return fmt.Errorf("%s, %q is named twice; name each edge once", o.piece.Name, o.piece.Edges[i].Name)
		}
		edges, names = append(edges, i), append(names, o.piece.Edges[i].Name)
	}
	m.recipe.Values["edges"] = strings.Join(names, ",")
	widths, err := m.widths(edges)
	if err != nil {
		return err
	}
	o.runOn(widths)
	_, err = m.face(o, widths, o.plain.Name+" facing")
	return err
}

// runOn has an edge that is faced up to where outers are laid together be faced on the
// next of them too, where it goes on under the same name, at the same width.
func (o *outer) runOn(widths map[int]float64) {
	n := len(o.piece.Edges)
	from := func(i, k int) pattern.Stretch { // its first part, or the last for -1
		chain := o.at[o.piece.Edges[(i+n)%n].Name]
		return chain[(k+len(chain))%len(chain)]
	}
	for range n {
		for i, width := range maps.Clone(widths) {
			if next, a, b := (i+1)%n, from(i, -1), from(i+1, 0); a.Edge == b.Edge && a.Piece != b.Piece && widths[next] == 0 {
				widths[next] = width
			}
			if prev, a, b := (i+n-1)%n, from(i, 0), from(i-1, -1); a.Edge == b.Edge && a.Piece != b.Piece && widths[prev] == 0 {
				widths[prev] = width
			}
		}
	}
}

// widths reads one width for all edges or one for each.
func (m *making) widths(edges []int) (map[int]float64, error) {
	texts := m.names("width")
	if len(texts) != 1 && len(texts) != len(edges) {
		return nil, fmt.Errorf("width: %d widths for %d edges; give one for all, or one for each", len(texts), len(edges))
	}
	of := map[int]float64{}
	for k, i := range edges {
		text := texts[0]
		if len(texts) > 1 {
			text = texts[k]
		}
		v, err := units.ParsePositive(text, m.pattern.Unit)
		if err != nil {
			return nil, fmt.Errorf("width: %w", err)
		}
		of[i] = v
	}
	return of, nil
}

func (m *making) hemFacing() error {
	o, err := m.outer()
	if err != nil {
		return err
	}
	width, err := m.positive("width")
	if err != nil {
		return err
	}
	hem := o.piece.HemEdge()
	name := o.piece.Edges[hem].Name
	if err := m.refuseSewnHem(o, hem); err != nil {
		return err
	}
	p, err := m.face(o, map[int]float64{hem: width}, o.plain.Name+" hem facing")
	if err != nil {
		return err
	}
	usual := m.usualInCloth(m.piece.Cloth)
	if err := m.setAllowance(p, usual, func(edge string) bool { return edge == name }); err != nil {
		return err
	}
	for _, st := range o.at[name] {
		q, err := m.pattern.Piece(st.Piece)
		if err != nil {
			return err
		}
		if err := m.setAllowance(q, usual, func(edge string) bool { return edge == st.Edge }); err != nil {
			return err
		}
	}
	return p.Validate()
}

// refuseSewnHem refuses to face as a hem what no one calls a hem and what is
// sewn to something already, as a wrist is to its cuff.
func (m *making) refuseSewnHem(o *outer, hem int) error {
	e := o.piece.Edges[hem]
	if e.Hem || strings.Contains(strings.ToLower(e.Name), "hem") {
		return nil
	}
	for _, st := range o.at[e.Name] {
		for _, s := range m.pattern.SeamsOf(st.Piece, st.Edge) {
			return fmt.Errorf("%s, %q is its lowest edge, but it is not marked as a hem and is sewn in seam %q; mark the hem with `toile edge %q EDGE NAME --hem`, or face this edge with `toile alter facing %q %q %s`",
				st.Piece, st.Edge, s.Name, st.Piece, st.Piece, st.Edge, m.text("width"))
		}
	}
	return nil
}

// face drafts a facing of these widths and puts it into the pattern, with its
// seams to the outer and its layer.
func (m *making) face(o *outer, widths map[int]float64, usual string) (*pattern.Piece, error) {
	name, err := m.draftName(usual)
	if err != nil {
		return nil, err
	}
	first, err := rowOf(o.piece, widths)
	if err != nil {
		return nil, err
	}
	s := strip{q: o.piece, first: first, widths: widths, corner: m.pattern.Tolerances.Corner}
	if m.has("round") {
		if s.round, err = m.positive("round"); err != nil {
			return nil, err
		}
	}
	runs, err := s.runs(m)
	if err != nil {
		return nil, err
	}
	if err := m.refuseDartsOfFacing(o, name, widths, runs); err != nil {
		return nil, err
	}
	p, err := m.facingOf(o, name, runs)
	if err != nil {
		return nil, err
	}
	m.pattern.Put(p)
	m.pattern.GiveIDs(p)
	for k := range len(widths) {
		edge := o.piece.Edges[(first+k)%len(o.piece.Edges)].Name
		m.pattern.Seams = append(m.pattern.Seams, pattern.Seam{Name: m.freeSeam(name + " at " + edge),
			First: slices.Clone(o.at[edge]), Second: pattern.Chain{{Piece: name, Edge: edge}}, SameWay: true})
	}
	m.addLayer(o, name, nil)
	m.sayFacingsApart(o, p)
	return p, nil
}

// facingOf makes a piece of a facing's runs, with its cloth and allowances, if
// it lies on the outer.
func (m *making) facingOf(o *outer, name string, runs []run) (*pattern.Piece, error) {
	p := m.pieceOf(name, o.piece, runs)
	if p.Cloth = m.text("cloth"); p.Cloth == "" {
		p.Cloth = facingCloth
	}
	inner := map[string]bool{}
	for k, r := range runs {
		inner[p.Edges[k].Name] = r.source == nil
	}
	if err := m.setAllowance(p, m.usualAllowance(), func(edge string) bool { return inner[edge] }); err != nil {
		return nil, err
	}
	if err := p.Validate(); err != nil {
		smaller := "width"
		for k := range p.Corners {
			p.Corners[k].Round = 0
		}
		if m.has("round") && p.Validate() == nil { // the rounding alone is in the way
			smaller = "--round"
		}
		return nil, fmt.Errorf("%s, a facing of that width does not fit on it: %w; give a smaller %s", o.plain.Name, err, smaller)
	}
	return p, m.within(o, p)
}

// within checks that a facing lies on its outer.
func (m *making) within(o *outer, p *pattern.Piece) error {
	a, _ := o.piece.SharpRing()
	b, _ := p.SharpRing()
	overlap, err := geom.Compare(a, b, sameWithin)
	if err != nil {
		return fmt.Errorf("%s on %s: %w", p.Name, o.plain.Name, err)
	}
	for _, r := range overlap.Added {
		if r.Width > 2*sameWithin {
			at := r.Rings[0][0].P0
			return fmt.Errorf("%s, a facing of that width reaches beyond it near (%.1f, %.1f); give a smaller width", o.plain.Name, at.X, at.Y)
		}
	}
	return nil
}

// rowOf finds the first of edges that lie in a row.
func rowOf(q *pattern.Piece, widths map[int]float64) (first int, err error) {
	n, starts := len(q.Edges), 0
	for i := range widths {
		if q.Edges[i].Fold {
			return 0, fmt.Errorf("%s, %q lies on the fold; a facing lies along other edges", q.Name, q.Edges[i].Name)
		}
		if _, ok := widths[(i+n-1)%n]; !ok {
			first, starts = i, starts+1
		}
	}
	switch {
	case starts > 1:
		return 0, fmt.Errorf("%s: the edges to face do not lie in a row; draft a facing for each row", q.Name)
	case starts == 0:
		return 0, fmt.Errorf("%s: all its edges would be faced and nothing is left for an inner edge; leave at least two out", q.Name)
	}
	return first, nil
}

// strip is the part of a piece along a row of edges.
type strip struct {
	q      *pattern.Piece
	first  int
	widths map[int]float64
	round  float64
	corner float64 // the turn in radians from which the inner edge has a corner
}

func (s strip) index(k int) int { return (s.first + k) % len(s.q.Edges) }

// runs are the strip's outline: along the piece, and back on the inner line.
func (s strip) runs(m *making) ([]run, error) {
	inner, err := s.inner(m)
	if err != nil {
		return nil, err
	}
	last := len(inner) - 1
	end, ok := s.leave(inner[last], s.widths[s.index(last)])
	if !ok {
		i := s.index(last)
		end = left{inner[last], i, s.q.EdgePath(i).Length()}
		inner = append(inner, geom.Path{geom.Line(inner[last].End(), s.q.EdgePath(i).End())})
	} else {
		inner[last] = end.line
	}
	start, ok := s.leave(inner[0].Reverse(), s.widths[s.first])
	if !ok {
		start = left{inner[0], s.first, 0}
		inner = slices.Insert(inner, 0, geom.Path{geom.Line(s.q.EdgePath(s.first).Start(), inner[0].Start())})
	} else {
		inner[0] = start.line.Reverse()
	}
	runs := outlineRuns(s.q, start.edge, start.along, end.edge, end.along)
	return append(runs, s.back(inner)...), nil
}

// innerName is what the inner edge is called: otherwise than an edge of the piece
// that it faces, on which an edge of its name would be taken to lie.
func (s strip) innerName() string {
	if slices.Contains(s.q.EdgeNames(), innerEdge) {
		return "facing's " + innerEdge
	}
	return innerEdge
}

// back runs along the inner line from its end to its start, one edge to the
// next corner.
func (s strip) back(inner []geom.Path) []run {
	var runs []run
	for k := len(inner) - 1; k >= 0; k-- {
		path := inner[k].Reverse()
		if n := len(runs); n > 0 && math.Abs(geom.AngleBetween(runs[n-1].path.EndTangent(), path.StartTangent())) < s.corner {
			runs[n-1].path = append(runs[n-1].path, path...)
			continue
		}
		r := run{path: path, name: s.innerName()}
		if len(runs) > 0 {
			r.round = s.round
		}
		runs = append(runs, r)
	}
	return runs
}

// inner are the lines at their widths inside the edges of the row, each
// meeting the next.
func (s strip) inner(m *making) ([]geom.Path, error) {
	var lines []geom.Path
	for k := range len(s.widths) {
		i := s.index(k)
		line, err := parallel(s.q.EdgePath(i), -s.widths[i])
		if err != nil {
			return nil, fmt.Errorf("%s, %q: no line lies %s inside it: %w; give a smaller width there", s.q.Name, s.q.Edges[i].Name, m.format(s.widths[i]), err)
		}
		if k > 0 {
			before := lines[k-1]
			if before.End().Dist(line.Start()) > offsetWithin {
				near := before.End().Lerp(line.Start(), 0.5)
				x, y, ok := meetLines(before, line, near)
				if !ok {
					return nil, fmt.Errorf("%s: inside %q and %q the facing's inner lines do not meet; give other widths, or draft two facings", s.q.Name, s.q.Edges[s.index(k-1)].Name, s.q.Edges[i].Name)
				}
				lines[k-1], line = x, y
			} else {
				line = slices.Clone(line)
				line[0].P0 = before.End()
			}
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// left is where an inner line leaves the piece.
type left struct {
	line  geom.Path // up to there
	edge  int
	along float64
}

// leastLeaving bounds how far a line is run on to leave the piece, in widths:
// where the next edge turns by less than about 18° it would lead far along it,
// and the strip ends square to its edge instead.
const leastLeaving = 3

// leave runs a line on at its end and finds where it leaves the piece: at the
// first edge outside the row that it meets behind its middle. It goes on with
// its curvature, and where that leads nowhere, straight.
func (s strip) leave(line geom.Path, width float64) (left, bool) {
	far := leastLeaving * width
	_, ahead := geom.CarrierEnds(line, far)
	straight := geom.Path{geom.Line(line.End(), line.End().Add(line.EndTangent().Mul(far)))}
	for _, on := range []geom.Path{ahead, straight} {
		if best, ok := s.leaveAlong(line, on); ok {
			return best, true
		}
	}
	return left{}, false
}

func (s strip) leaveAlong(line, ahead geom.Path) (best left, ok bool) {
	whole := append(append(geom.Path{}, line...), ahead...)
	middle := line.Length() / 2
	place, found := geom.Place{}, math.Inf(1)
	var at geom.Point
	for i := range s.q.Edges {
		if _, faced := s.widths[i]; faced {
			continue
		}
		path := s.q.EdgePath(i)
		for _, c := range geom.MeetPaths(whole, path) {
			if d := whole.LengthTo(c.P); d > middle && d < found-1e-9 {
				found, place, at = d, c.P, c.At
				best.edge, best.along = i, path.LengthTo(c.Q)
			}
		}
	}
	if math.IsInf(found, 1) {
		return best, false
	}
	best.line = ended(line, ahead, place, at)
	return best, true
}
