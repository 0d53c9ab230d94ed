package render

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Pieces of an orchard smock and ways to alter them, each a few lines of plane
// geometry of its own: what the program finds in them is then drawn.

// smockBack drafts a back on fold with a curved neckline, armhole and hem. size
// scales it.
func smockBack(size float64) *pattern.Piece {
	p := func(x, y float64) geom.Point { return geom.Pt(x*size, y*size) }
	return piece("back", []string{"neckline", "shoulder", "armhole", "side seam", "hemline", "centre back"}, []geom.Path{
		{{P0: p(0, 25), P1: p(35, 25), P2: p(65, 20), P3: p(80, 0)}},
		geom.Polyline(p(80, 0), p(205, 45)),
		{{P0: p(205, 45), P1: p(180, 120), P2: p(185, 190), P3: p(250, 225)}},
		geom.Polyline(p(250, 225), p(290, 760)),
		{{P0: p(290, 760), P1: p(200, 768), P2: p(100, 772), P3: p(0, 772)}},
		geom.Polyline(p(0, 772), p(0, 25)),
	}, func(q *pattern.Piece) {
		q.Cut = pattern.CutOnFold
		q.Edges[5].Fold, q.Edges[5].Allowance = true, nil
		q.Edges[4].Hem = true
		q.Grain = &pattern.Grain{From: p(100, 300), To: p(100, 640)}
		q.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 240 * size, Count: 1},
			{Name: "sleeve", Edge: "armhole", At: 90 * size, Count: 2}}
		q.Marks = []pattern.Mark{{Kind: pattern.MarkPlacement, Name: "yoke line", Path: geom.Polyline(p(20, 150), p(170, 150))},
			{Kind: pattern.MarkDot, Name: "pocket dot", At: p(180, 480)}}
	})
}

// panel is a side panel, straight all round.
func panel(size float64) *pattern.Piece {
	p := func(x, y float64) geom.Point { return geom.Pt(x*size, y*size) }
	return piece("side panel", []string{"waist", "side seam", "hemline", "front seam"}, []geom.Path{
		geom.Polyline(p(0, 0), p(200, 0)), geom.Polyline(p(200, 0), p(240, 600)),
		geom.Polyline(p(240, 600), p(0, 600)), geom.Polyline(p(0, 600), p(0, 0)),
	}, func(q *pattern.Piece) {
		q.Cut = pattern.CutPair
		q.Grain = &pattern.Grain{From: p(90, 100), To: p(90, 500), OneWay: true}
		q.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 200 * size, Count: 1},
			{Name: "low", Edge: "front seam", At: 150 * size, Count: 1, FromEnd: true}}
		q.Marks = []pattern.Mark{{Kind: pattern.MarkButtonhole, Name: "flap hole", Path: geom.Polyline(p(20, 150), p(38, 150))},
			{Kind: pattern.MarkButton, Name: "flap button", At: p(120, 300), Size: 18}}
	})
}

func piece(name string, names []string, paths []geom.Path, more func(*pattern.Piece)) *pattern.Piece {
	q := &pattern.Piece{Name: name, Slug: "base", ID: "0a0b0c0d", Cloth: "outer", Cut: pattern.CutOne}
	for i, path := range paths {
		e := pattern.Edge{Name: names[i], ID: "e000000" + string(rune('0'+i)), Allowance: map[string]float64{"cloth": 15, "toile": 20}}
		e.SetPath(path)
		q.Edges = append(q.Edges, e)
		q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
	}
	more(q)
	return q
}

func edge(p *pattern.Piece, name string) int {
	i, err := p.EdgeIndex(name)
	if err != nil {
		panic(err)
	}
	return i
}

// meet is where two carriers meet nearest to a place.
func meet(t testing.TB, a, b geom.Path, near geom.Point) geom.PathMeeting {
	t.Helper()
	found := geom.MeetPaths(a, b)
	require.NotEmpty(t, found, "the lines do not meet")
	best := found[0]
	for _, m := range found {
		if m.At.Dist(near) < best.At.Dist(near) {
			best = m
		}
	}
	return best
}

// withLine gives a piece another line for an edge; it and its neighbours are
// cut or run on along their carriers.
func withLine(t testing.TB, p *pattern.Piece, name string, line geom.Path) *pattern.Piece {
	t.Helper()
	q := p.Clone()
	n, i := len(q.Edges), edge(q, name)
	before, after := (i+n-1)%n, (i+1)%n
	const reach = 150
	own, b, a := geom.Carrier(line, reach), geom.Carrier(p.EdgePath(before), reach), geom.Carrier(p.EdgePath(after), reach)
	start, end := meet(t, own, b, line.Start()), meet(t, own, a, line.End())
	q.Corners[i].At, q.Corners[after].At = start.At, end.At
	q.Edges[i].SetPath(ending(own.Between(start.P, end.P), start.At, end.At))
	from, _ := b.Nearest(p.EdgePath(before).Start())
	q.Edges[before].SetPath(ending(b.Between(from, start.Q), p.Corners[before].At, start.At))
	to, _ := a.Nearest(p.EdgePath(after).End())
	q.Edges[after].SetPath(ending(a.Between(end.Q, to), end.At, p.Corners[(after+1)%n].At))
	return q
}

// ending puts the ends of a path to the bit.
func ending(path geom.Path, start, end geom.Point) geom.Path {
	out := append(geom.Path{}, path...)
	for i := range out {
		if out[i].IsStraight(1e-6) {
			a, b := out[i].P0, out[i].P3
			if i == 0 {
				a = start
			}
			if i == len(out)-1 {
				b = end
			}
			out[i] = geom.Line(a, b)
		}
	}
	out[0].P0, out[len(out)-1].P3 = start, end
	return out
}

func shifted(t testing.TB, p *pattern.Piece, name string, by float64) *pattern.Piece {
	return withLine(t, p, name, p.EdgePath(edge(p, name)).Moved(geom.Motion{Shift: p.GrainDirection().Mul(by)}))
}

func parallel(t testing.TB, p *pattern.Piece, name string, by float64) *pattern.Piece {
	line, err := p.EdgePath(edge(p, name)).Offset(by, 1e-3)
	require.NoError(t, err)
	return withLine(t, p, name, line)
}

// tapered moves the ends of a straight edge square to it.
func tapered(t testing.TB, p *pattern.Piece, name string, atStart, atEnd float64) *pattern.Piece {
	path := p.EdgePath(edge(p, name))
	out := path.StartTangent().Left()
	return withLine(t, p, name, geom.Polyline(path.Start().Add(out.Mul(atStart)), path.End().Add(out.Mul(atEnd))))
}

// swung swings the end of a straight edge out about a point on it; the next
// edge, straight near there, is eased on to meet it by one cubic, tangent to
// it. Swung inward, that starts two chords before the meeting.
func swung(t testing.TB, p *pattern.Piece, name string, from, degrees float64) *pattern.Piece {
	q := p.Clone()
	n, i := len(q.Edges), edge(q, name)
	after := (i + 1) % n
	path := p.EdgePath(i)
	pivot, turn := path.PointAt(from), -geom.Degrees(degrees)
	stays, arm := path.Split(from)
	q.Edges[i].SetPath(append(append(geom.Path{}, stays...), arm.Moved(about(pivot, -degrees))...))
	reached := about(pivot, -degrees).Apply(path.End())
	q.Corners[after].At = reached
	next := p.EdgePath(after)
	if degrees < 0 {
		met := meet(t, geom.Carrier(arm.Moved(about(pivot, -degrees)), 150), next, reached)
		_, next = next.Split(next.LengthTo(met.Q) + 2*reached.Dist(path.End()))
	}
	a, b := p.EdgePath(after).StartTangent().Turn(turn), next.StartTangent()
	phi := geom.AngleBetween(a, b)
	handle := reached.Dist(next.Start()) / (3 * math.Pow(math.Cos(phi/4), 2))
	eased := geom.Cubic{P0: reached, P1: reached.Add(a.Mul(handle)), P2: next.Start().Sub(b.Mul(handle)), P3: next.Start()}
	q.Edges[after].SetPath(append(geom.Path{eased}, next...))
	return q
}

// spread opens a piece along the line between places on two edges; the part
// after the first place moves.
func spread(p *pattern.Piece, first string, at float64, second string, until float64, m geom.Motion) *pattern.Piece {
	q := p.Clone()
	n, i, k := len(q.Edges), edge(q, first), edge(q, second)
	a, b := p.EdgePath(i), p.EdgePath(k)
	keptA, goneA := a.Split(at)
	goneB, keptB := b.Split(until)
	q.Edges[i].SetPath(joined(keptA, goneA.Moved(m)))
	q.Edges[k].SetPath(joined(goneB.Moved(m), keptB))
	for j := (i + 1) % n; j != (k+1)%n; j = (j + 1) % n {
		q.Corners[j].At = m.Apply(p.Corners[j].At)
		if j != k {
			q.Edges[j].SetPath(p.EdgePath(j).Moved(m))
		}
	}
	return q
}

// joined runs one path on to another by a straight line where they do not
// meet. Where they overlap the first is cut back for it.
func joined(a, b geom.Path) geom.Path {
	way := b.Start().Sub(a.End())
	if way.Dot(a.EndTangent()) < 0 {
		a, _ = a.Split(a.Length() - 1.5*way.Len())
	}
	out := append(geom.Path{}, a...)
	if a.End().Dist(b.Start()) > 1e-6 {
		out = append(out, geom.Line(a.End(), b.Start()))
	}
	return append(out, b...)
}

// about turns about a point.
func about(centre geom.Point, degrees float64) geom.Motion {
	return geom.Motion{Shift: centre.Mul(-1)}.Then(geom.Motion{Turn: geom.Degrees(degrees), Shift: centre})
}

// halves splits a piece from a place on one edge to a place on another. The
// first keeps the piece's id and grain.
func halves(p *pattern.Piece, first string, at float64, second string, until float64, names [2]string) (one, other *pattern.Piece) {
	n, i, k := len(p.Edges), edge(p, first), edge(p, second)
	a0, a1 := p.EdgePath(i).Split(at)
	b0, b1 := p.EdgePath(k).Split(until)
	seam := geom.Polyline(a0.End(), b0.End())
	part := func(name, id string, from geom.Path, edgeFrom, edgeTo int, to, back geom.Path) *pattern.Piece {
		q := &pattern.Piece{Name: name, Slug: "base", ID: id, Cloth: p.Cloth, Cut: p.Cut}
		add := func(e pattern.Edge, path geom.Path) {
			e.SetPath(path)
			q.Edges = append(q.Edges, e)
			q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
		}
		add(p.Clone().Edges[edgeFrom], from)
		for j := (edgeFrom + 1) % n; j != edgeTo; j = (j + 1) % n {
			add(p.Clone().Edges[j], p.EdgePath(j))
		}
		add(p.Clone().Edges[edgeTo], to)
		add(pattern.Edge{Name: "new seam", ID: id[:4] + "5ea3", Allowance: map[string]float64{"cloth": 12}}, back)
		return q
	}
	one = part(names[0], p.ID, b1, k, i, a0, seam)
	other = part(names[1], "0ddd0ddd", a1, i, k, b0, seam.Reverse())
	one.Grain = p.Clone().Grain
	return one, other
}
