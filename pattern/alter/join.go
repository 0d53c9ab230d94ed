package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "join", Does: "lays two pieces together along congruent edges and makes them one",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge of the piece that stays"},
		{Name: "with", What: Piece, Needed: true, Typed: true, Means: "the piece that is joined to it"},
		{Name: "at", What: Name, Needed: true, Typed: true, Means: "that piece's edge"},
		{Name: "name", What: Name, Means: "what the whole is called; without it the first piece's name"},
		{Name: "lay", What: Flag, Means: "only mark on both the line along which they are laid together, and leave them two pieces"},
		{Name: "cut", What: Text, Means: "how the whole is cut, where the two are cut otherwise: one, a pair, or one on fold"},
		{Name: "cloth", What: Text, Means: "what the whole is cut from, where the two differ"},
	}, Alike: []string{"split"}, Typed: `"centre back" "seam to side back" "side back" "seam to centre back"`, make: (*making).join})

// joinWithin is how far apart in mm two edges may lie, laid together, and
// still be joined: the stored digits and a pencil line.
const joinWithin = 0.05

func (m *making) join() error {
	q := m.piece
	i, other, j, err := m.joined()
	if err != nil {
		return err
	}
	laid, err := m.layTogether(q, i, other, j)
	if err != nil {
		return err
	}
	m.warnOfGrain(q, laid)
	if m.flag("lay") {
		return m.markLaying(q, i, other, j)
	}
	if err := m.sewnElsewhere(q, i, other, j); err != nil {
		return err
	}
	cut, cloth, err := m.joinedCut(q, i, laid, j)
	if err != nil {
		return err
	}
	m.sayClosed(q, i, other, j)
	whole := m.together(q, i, laid, j)
	whole.Cut, whole.Cloth = cut, cloth
	if m.has("name") {
		if whole.Name, err = pattern.CleanName(m.text("name")); err != nil {
			return fmt.Errorf("name: %w", err)
		}
	}
	m.takeOver(q, other, whole, q.Edges[i].Name, other.Edges[j].Name)
	m.mergeAt(whole, len(q.Edges)-1)
	m.mergeAt(whole, 0)
	startLike(whole, q, i, laid, j)
	listNotches(whole, q, i, laid, j)
	m.laysOfOne(whole.Name)
	fromItself(whole)
	return begin(whole).finish()
}

// joined reads the edge of the piece that stays, the other piece and its edge.
func (m *making) joined() (i int, other *pattern.Piece, j int, err error) {
	if i, err = m.edge("edge"); err != nil {
		return 0, nil, 0, err
	}
	if other, err = m.pattern.Piece(m.text("with")); err != nil {
		return 0, nil, 0, err
	}
	if other == m.piece {
		return 0, nil, 0, fmt.Errorf("%s cannot be joined to itself; unfold it, or give another piece", other.Name)
	}
	j, err = other.EdgeIndex(m.text("at"))
	return i, other, j, err
}

// fromItself forgets where edges came from that were split and are whole again.
func fromItself(whole *pattern.Piece) {
	for k := range whole.Edges {
		if e := &whole.Edges[k]; e.Was == e.ID {
			e.Was = ""
		}
	}
}

// layTogether moves the other piece so that its edge j lies against edge i.
func (m *making) layTogether(q *pattern.Piece, i int, other *pattern.Piece, j int) (*pattern.Piece, error) {
	p, r := q.EdgePath(i), other.EdgePath(j).Reverse()
	if d := r.Length() - p.Length(); math.Abs(d) > joinWithin {
		return nil, fmt.Errorf("%s, %q, and %s, %q, cannot be joined: the second is %s %s (%s against %s); alter one of them first",
			q.Name, q.Edges[i].Name, other.Name, other.Edges[j].Name, m.format(math.Abs(d)), map[bool]string{true: "longer", false: "shorter"}[d > 0], m.format(r.Length()), m.format(p.Length()))
	}
	var from, to []geom.Point
	const samples = 16
	for k := range samples + 1 {
		f := float64(k) / samples
		from, to = append(from, r.PointAt(f*r.Length())), append(to, p.PointAt(f*p.Length()))
	}
	motion := geom.FitMotion(from, to, false)
	worst, at := 0.0, geom.Point{}
	for k := range from {
		if d := motion.Apply(from[k]).Dist(to[k]); d > worst {
			worst, at = d, to[k]
		}
	}
	if worst > joinWithin {
		return nil, fmt.Errorf("%s, %q, and %s, %q, cannot be joined: laid together they gape by %s at (%.1f, %.1f); make them the same shape first",
			q.Name, q.Edges[i].Name, other.Name, other.Edges[j].Name, m.format(worst), at.X, at.Y)
	}
	return other.Moved(motion), nil
}

// warnOfGrain says when the joined piece has two directions of grain.
func (m *making) warnOfGrain(q, laid *pattern.Piece) {
	if q.Grain == nil || laid.Grain == nil {
		return
	}
	turn := geom.AngleBetween(q.Grain.To.Sub(q.Grain.From), laid.Grain.To.Sub(laid.Grain.From))
	if math.Abs(turn) > geom.Degrees(1) {
		m.say("the grain of %s lies %.1f° off that of %s; the joined piece has the grain of %s", laid.Name, math.Abs(geom.InDegrees(turn)), q.Name, q.Name)
	}
}

// together is the outline of both pieces without the joined edges. Edges that
// run on smoothly from one to the other are one edge again.
func (m *making) together(q *pattern.Piece, i int, laid *pattern.Piece, j int) *pattern.Piece {
	whole := q.Clone()
	whole.Corners, whole.Edges = nil, nil
	names := map[string]string{} // laid's names in the whole
	taken := q.EdgeNames()
	add := func(p *pattern.Piece, from int) {
		n := len(p.Edges)
		for k := 1; k < n; k++ {
			e := p.Clone().Edges[(from+k)%n]
			if p == laid {
				old := e.Name
				for t := 2; slices.Contains(taken, e.Name); t++ {
					e.Name = fmt.Sprintf("%s %d", old, t)
				}
				names[old], taken = e.Name, append(taken, e.Name)
			}
			whole.Corners, whole.Edges = append(whole.Corners, p.Corners[(from+k)%n]), append(whole.Edges, e)
		}
	}
	add(q, i)
	add(laid, j)
	m.refiled = map[string]string{}
	for _, n := range laid.Notches {
		if n.Edge != laid.Edges[j].Name {
			n.Edge = names[n.Edge]
			was := n.Name
			n.Name = freeNotch(whole, n.Name)
			m.refiled[was] = n.Name
			whole.Notches = append(whole.Notches, n)
		}
	}
	whole.Notches = slices.DeleteFunc(whole.Notches, func(n pattern.Notch) bool { return n.Edge == q.Edges[i].Name })
	m.putTogether(whole, laid, names)
	m.renamed = names
	return whole
}

func freeNotch(p *pattern.Piece, name string) string {
	try := name
	for k := 2; p.NotchByName(try) >= 0; k++ {
		try = fmt.Sprintf("%s %d", name, k)
	}
	return try
}

// mergeAt makes one edge of the two at corner k where they bear one name, but for
// a number, and run on from each other smoothly, or with less of a bend than makes a
// corner of a traced line, or so nearly that neither could be moved by itself; that
// bend is said.
func (m *making) mergeAt(p *pattern.Piece, k int) {
	n := len(p.Edges)
	i := (k + n - 1) % n
	a, b := p.EdgePath(i), p.EdgePath(k)
	same := p.Edges[k].Name == p.Edges[i].Name || m.renamed[p.Edges[i].Name] == p.Edges[k].Name || m.renamed[p.Edges[k].Name] == p.Edges[i].Name
	turn, corner := math.Abs(geom.AngleBetween(a.EndTangent(), b.StartTangent())), p.Corners[k]
	folds := p.Edges[i].Fold && p.Edges[k].Fold
	if !same && !folds || turn > max(leastMeeting, m.pattern.Tolerances.Corner) || turn > smoothJoin && (corner.Meant || corner.Round > 0) || n <= 3 {
		return
	}
	length, gone := a.Length(), p.Edges[k].Name
	total := length + b.Length()
	path := runTogether(a, b)
	if folds {
		path = geom.Polyline(a.Start(), b.End())
	}
	name := p.Edges[i].Name
	if m.renamed[gone] == name {
		name, gone = gone, name
		p.Edges[i].Name, p.Edges[i].ID = name, p.Edges[k].ID
		swapOnEdges(p, name, gone)
		m.swapNames(p.Name, name, gone)
		m.renameDifferences(p.Name, map[string]string{name: gone, gone: name})
	}
	runOnto(p, name, gone, length, total)
	m.mergeChains(p.Name, name, gone, length)
	m.renameDifferences(p.Name, map[string]string{gone: name})
	if turn > smoothJoin {
		m.say("%s: %q bends by %.1f° where the two were joined; it is one edge", p.Name, name, geom.InDegrees(turn))
	}
	p.Edges[i].SetPath(path)
	p.Edges, p.Corners = slices.Delete(p.Edges, k, k+1), slices.Delete(p.Corners, k, k+1)
}

// smoothJoin is the bend in radians up to which an edge runs on smoothly into the
// one it was cut from.
const smoothJoin = 0.5 * math.Pi / 180

// swapOnEdges exchanges two edges by which notches and marks are counted.
func swapOnEdges(p *pattern.Piece, a, b string) {
	other := map[string]string{a: b, b: a}
	for x := range p.Notches {
		if t := &p.Notches[x]; other[t.Edge] != "" {
			t.Edge = other[t.Edge]
		}
	}
	for x := range p.Marks {
		if t := &p.Marks[x]; other[t.Edge] != "" {
			t.Edge = other[t.Edge]
		}
	}
}

// runOnto counts notches and marks along an edge of length mm that runs on into
// the one that is gone, total mm in all.
func runOnto(p *pattern.Piece, name, gone string, length, total float64) {
	for x := range p.Notches {
		switch t := &p.Notches[x]; {
		case t.Edge == gone && !t.FromEnd:
			t.Edge, t.At = name, t.At+length
		case t.Edge == gone:
			t.Edge = name
		case t.Edge == name && t.FromEnd:
			t.At += total - length
		}
	}
	for x := range p.Marks {
		if t := &p.Marks[x]; t.Edge == gone {
			t.Edge, t.From, t.To = name, t.From+length, t.To+length
		}
	}
}

// swapNames exchanges the names of two edges in all seams.
func (m *making) swapNames(piece, a, b string) {
	m.eachStretch(func(st *pattern.Stretch) {
		switch {
		case st.Piece != piece:
		case st.Edge == a:
			st.Edge = b
		case st.Edge == b:
			st.Edge = a
		}
	})
}

func (m *making) eachStretch(visit func(st *pattern.Stretch)) { m.pattern.EachStretch(visit) }

// mergeChains puts together the stretches on an edge and on the one that now
// continues it after length mm.
func (m *making) mergeChains(piece, name, gone string, length float64) {
	merge := func(c pattern.Chain) pattern.Chain {
		var out pattern.Chain
		for _, st := range c {
			if st.Piece == piece && st.Edge == gone {
				st.Edge, st.From = name, st.From+length
				if st.To != 0 {
					st.To += length
				}
			} else if st.Piece == piece && st.Edge == name && st.To == 0 {
				st.To = length
			}
			if n := len(out); n > 0 && out[n-1].Piece == piece && st.Piece == piece && out[n-1].Edge == name && st.Edge == name && out[n-1].Turned == st.Turned {
				switch last := &out[n-1]; {
				case last.To != 0 && math.Abs(last.To-st.From) < 1e-6:
					last.To = st.To
					continue
				case st.To != 0 && math.Abs(st.To-last.From) < 1e-6:
					last.From = st.From
					continue
				}
			}
			out = append(out, st)
		}
		return out
	}
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		seam.First, seam.Second = merge(seam.First), merge(seam.Second)
	}
}

// takeOver puts the whole in place of the first piece and lets go of the
// other: seams and layers that named it name the whole, and the seam between
// the two is gone.
func (m *making) takeOver(q, other, whole *pattern.Piece, edge, at string) {
	p := m.pattern
	p.Seams = slices.DeleteFunc(p.Seams, func(s pattern.Seam) bool { return sewsOnly(s, q.Name, edge, other.Name, at) })
	m.seamsOver(q, other, whole)
	m.joinLayers(q, other, whole)
	p.Pieces = slices.DeleteFunc(p.Pieces, func(x *pattern.Piece) bool { return x == other })
	for k := range p.Pieces {
		if p.Pieces[k] == q {
			p.Pieces[k] = whole
		}
	}
}

// seamsOver has the seams that named either piece name the whole.
func (m *making) seamsOver(q, other, whole *pattern.Piece) {
	m.eachStretch(func(st *pattern.Stretch) {
		switch st.Piece {
		case other.Name:
			st.Piece = whole.Name
			if n := m.renamed[st.Edge]; n != "" {
				st.Edge = n
			}
		case q.Name:
			st.Piece = whole.Name
		}
	})
	m.eachNotchRef(func(ref *pattern.NotchRef) {
		switch ref.Piece {
		case other.Name:
			ref.Piece = whole.Name
			if n := m.refiled[ref.Notch]; n != "" {
				ref.Notch = n
			}
		case q.Name:
			ref.Piece = whole.Name
		}
	})
}
