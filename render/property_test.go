package render

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// maker makes pieces and changes at random, from a seed.
type maker struct{ r *rand.Rand }

func (m maker) between(a, b float64) float64 { return a + m.r.Float64()*(b-a) }

// name is 1 to 80 characters, some wide, some without a space.
func (m maker) name() string {
	letters := []string{"a", "i", "m", "W", "é", "ß", "縫", "ш", "-", "4", "&", "<", "\""}
	var b strings.Builder
	for n := 1 + m.r.IntN(12); n > 0; n-- {
		b.WriteString(letters[m.r.IntN(len(letters))])
	}
	if m.r.IntN(4) == 0 {
		return strings.Repeat(b.String()+" ", 1+m.r.IntN(6))
	}
	return b.String()
}

// piece is a star-shaped piece of any size, some edges curved.
func (m maker) piece(name string) *pattern.Piece {
	n := 3 + m.r.IntN(7)
	wide, high := math.Exp(m.between(math.Log(20), math.Log(900))), math.Exp(m.between(math.Log(20), math.Log(900)))
	at := geom.Pt(m.between(-500, 500), m.between(-500, 500))
	var corners []geom.Point
	for i := 0; i < n; i++ {
		s, c := math.Sincos((float64(i) + m.between(-0.3, 0.3)) / float64(n) * 2 * math.Pi)
		reach := m.between(0.35, 0.5)
		corners = append(corners, at.Add(geom.Pt(c*wide*reach, s*high*reach)))
	}
	var edges []pattern.Edge
	var paths []geom.Path
	for i, a := range corners {
		b := corners[(i+1)%n]
		path := geom.Path{geom.Line(a, b)}
		if m.r.IntN(2) == 0 {
			bow := b.Sub(a).Left().Mul(m.between(-0.12, 0.12))
			path = geom.Path{{P0: a, P1: a.Lerp(b, 0.33).Add(bow), P2: a.Lerp(b, 0.67).Add(bow), P3: b}}
		}
		edges = append(edges, edgeOf(fmt.Sprintf("%s %d", m.name(), i), fmt.Sprintf("%08d", i), m.between(0, 30), path))
		paths = append(paths, path)
	}
	p := pieceOf(name, edges, paths)
	p.Grain = &pattern.Grain{From: at, To: at.Add(geom.Pt(m.between(-0.1, 0.1)*wide, high*0.2)), OneWay: m.r.IntN(2) == 0}
	for i := m.r.IntN(9); i > 0; i-- {
		e := m.r.IntN(n)
		p.Notches = append(p.Notches, pattern.Notch{Name: fmt.Sprintf("%s %d", m.name(), i), Edge: edges[e].Name,
			At: paths[e].Length() * m.between(0.1, 0.9), Count: 1 + m.r.IntN(3)})
	}
	for i := m.r.IntN(7); i > 0; i-- {
		q := at.Add(geom.Pt(m.between(-0.2, 0.2)*wide, m.between(-0.2, 0.2)*high))
		p.Marks = append(p.Marks, pattern.Mark{Kind: []pattern.MarkKind{pattern.MarkButton, pattern.MarkDot, pattern.MarkText, pattern.MarkSlit}[i%4],
			Name: fmt.Sprintf("%s %d", m.name(), i), Text: m.name(), At: q, Path: geom.Polyline(q, q.Add(geom.Pt(10, 4))), Size: 12})
	}
	return p
}

// changed is a piece with its neighbour in shape and every kind of change the
// two can have.
func (m maker) changed(name string) change.PieceDiff {
	old := m.piece(name)
	new := old.Clone()
	d := change.PieceDiff{Piece: name, State: change.Altered, Old: old, New: new}
	size := old.EdgePath(0).Length()
	by := m.between(-0.15, 0.15) * size
	for i := range new.Corners {
		if m.r.IntN(2) == 0 {
			new.Corners[i].At = new.Corners[i].At.Add(geom.Pt(m.between(-0.1, 0.1), m.between(-0.1, 0.1)).Mul(size))
		}
	}
	d.Changes = append(m.edgeChanges(old, by), m.parting(old)...)
	d.Placement = change.Placement{Turn: m.between(-180, 180), DX: by, Mirrored: m.r.IntN(2) == 0}
	d.OtherPlacements = []change.Placement{{Turn: m.between(-180, 180)}, {DX: by}}
	for i, n := range old.Notches {
		kind := []change.Kind{change.NotchMoved, change.NotchAdded, change.NotchRemoved}[i%3]
		new.Notches[i].At *= 0.8
		d.Changes = append(d.Changes, change.Change{Kind: kind, Notch: n.Name, By: &by, Says: m.name()})
	}
	for i, k := range old.Marks {
		kind := []change.Kind{change.MarkMoved, change.MarkAdded, change.MarkRemoved, change.MarkChanged}[i%4]
		d.Changes = append(d.Changes, change.Change{Kind: kind, Mark: k.Name, ByVector: &change.XY{by, by}, Says: m.name()})
	}
	m.r.Shuffle(len(d.Changes), func(i, j int) { d.Changes[i], d.Changes[j] = d.Changes[j], d.Changes[i] })
	if cut := m.r.IntN(3); cut > 0 {
		d.Changes = d.Changes[:len(d.Changes)/cut]
	}
	d.State = []change.State{change.Altered, change.Altered, change.Split, change.Joined}[m.r.IntN(4)]
	if o, err := geom.Compare(ringOf(old), ringOf(new), 0.01); err == nil && m.r.IntN(2) == 0 {
		d.Overlap, d.Added, d.Removed = o, o.AddedArea, o.RemovedArea
	}
	return d
}

// edgeChanges is every kind of change to the edges, corners and settings.
func (m maker) edgeChanges(old *pattern.Piece, by float64) []change.Change {
	at := change.At(old.EdgePath(0).PointAt(old.EdgePath(0).Length() / 2))
	edge := func(i int) []string { return []string{old.Edges[i%len(old.Edges)].Name} }
	return []change.Change{
		{Kind: change.EdgeMoved, Edges: edge(0), By: &by, Says: m.name()},
		{Kind: change.EdgeMoved, Edges: edge(1), By: &by, Ends: ends(by, 0), Says: m.name()},
		{Kind: change.EdgeSwung, Edges: edge(2), Pivot: change.At(old.EdgePath(2).Start()), Turn: change.Amount(m.between(-8, 8)), By: &by, Says: m.name()},
		{Kind: change.EdgeRun, Edges: edge(3), By: &by, Says: m.name()},
		{Kind: change.EdgeRedrawn, Edges: edge(4), Max: change.Amount(math.Abs(by)), At: at, Says: m.name()},
		{Kind: change.CornerRounded, Edges: edge(5), At: at, Radius: ends(0, 20), Says: m.name()},
		{Kind: change.AllowanceChanged, Edges: edge(6), Before: m.name(), After: m.name(), Says: m.name()},
		{Kind: change.GrainTurned, Before: "1°", After: "2°", Says: m.name()},
		{Kind: change.NameChanged, Edges: edge(7), Before: m.name(), After: m.name(), Says: m.name()},
		{Kind: change.CuttingChanged, Says: m.name()},
		{Kind: change.CuttingChanged, Edges: edge(0), Before: m.name(), After: m.name(), Says: m.name()},
		{Kind: change.PieceMirrored, Before: "left", After: "right", Says: m.name()},
		{Kind: change.EdgeRun, Edges: edge(1), By: &by, How: change.HowEased, At: change.At(old.EdgePath(1 % len(old.Edges)).End()), Says: m.name()},
	}
}

func ringOf(p *pattern.Piece) geom.Ring {
	ring, _ := p.SharpRing()
	return ring
}

// parting are changes along a line from one edge of a piece to another.
func (m maker) parting(p *pattern.Piece) []change.Change {
	n := len(p.Edges)
	i := m.r.IntN(n)
	k := (i + 1 + m.r.IntN(n-1)) % n
	a, b := p.EdgePath(i), p.EdgePath(k)
	line := geom.Polyline(a.PointAt(a.Length()*m.between(0.1, 0.9)), b.PointAt(b.Length()*m.between(0.1, 0.9)))
	path := []change.XY{*change.At(line.Start()), *change.At(line.End())}
	way := geom.Motion{Shift: geom.Pt(m.between(-0.05, 0.05), m.between(-0.05, 0.05)).Mul(a.Length())}
	if m.r.IntN(2) == 0 {
		way = about(line.Start(), m.between(-6, 6))
	}
	moved := p.EdgePath((i + 1) % n)
	open := ends(m.between(-20, 20), []float64{0, m.between(-20, 20)}[m.r.IntN(2)])
	return []change.Change{
		{Kind: change.Spread, Edges: []string{p.Edges[i].Name, p.Edges[k].Name}, Lines: [][2]change.XY{{path[0], path[1]}}, Open: open,
			Turn: change.Amount(geom.InDegrees(way.Turn)), Moved: []string{p.Edges[(i+1)%n].Name}, OldPath: moved, NewPath: moved.Moved(way), Says: m.name()},
		{Kind: change.PieceSplit, Into: []string{m.name(), m.name()}, Line: path, NewPath: line, Allowance: change.Amount(m.between(0, 25)), Says: m.name()},
		{Kind: change.PieceJoined, Of: []string{m.name(), m.name()}, Line: path, OldPath: line, Says: m.name()},
		{Kind: change.PieceUnfolded, Line: path, Says: m.name()},
	}
}

// everyDrawing are all drawings of a piece that changed.
func (m maker) everyDrawing(p change.PieceDiff) []drawn {
	s := m.sheet(p.Old)
	d := fixtureDiff(p, m.changed("b"), m.changed("c"))
	return []drawn{
		{"overlay", func(b *bytes.Buffer) error { return Overlay(b, s, d, p) }},
		{"all", func(b *bytes.Buffer) error { return OverlayAll(b, s, d) }},
		{"piece", func(b *bytes.Buffer) error { return Piece(b, s, p.Old, "cloth") }},
	}
}

func (m maker) sheet(p *pattern.Piece) Sheet {
	s := fixtureSheet()
	s.Pattern = m.name()
	s.Unit = []units.Unit{units.Millimetre, units.Centimetre, units.Inch, ""}[m.r.IntN(4)]
	box := p.EdgePath(0).Box()
	for i := m.r.IntN(5); i > 0; i-- {
		s.Notes = append(s.Notes, PinnedNote{Key: fmt.Sprintf("1.%d", i), Text: m.name(), Open: i%2 == 0,
			At: geom.Pt(m.between(box.Min.X, box.Max.X), m.between(box.Min.Y, box.Max.Y))})
	}
	return s
}

// TestLabelsNeverOverlap: over pieces and changes made at random no two label
// boxes overlap and none leaves the sheet, in every drawing.
func TestLabelsNeverOverlap(t *testing.T) {
	const seed, rounds = 20260514, 60
	t.Logf("seed %d", seed)
	m := maker{rand.New(rand.NewPCG(seed, 1))}
	labels := 0
	for i := 0; i < rounds; i++ {
		for _, draw := range m.everyDrawing(m.changed(m.name())) {
			t.Run(fmt.Sprintf("%d/%s", i, draw.name), func(t *testing.T) {
				labels += requireClear(t, svgOf(t, draw))
			})
		}
	}
	require.Greater(t, labels, 20*rounds)
}

// TestLabelsOfACrowd: far more labels than have room. Those without room are
// told beside the drawing, and none overlaps.
func TestLabelsOfACrowd(t *testing.T) {
	p := polygonPiece("tab", []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 50), geom.Pt(0, 50))
	for i := 0; i < 150; i++ {
		p.Notches = append(p.Notches, pattern.Notch{Name: fmt.Sprintf("notch %03d", i), Edge: "a", At: 1 + float64(i)/4, Count: 1})
	}
	var b bytes.Buffer
	require.NoError(t, Piece(&b, fixtureSheet(), p, "cloth"))
	requireClear(t, b.String())
	for i := range p.Notches {
		requireHas(t, b.String(), fmt.Sprintf("notch %03d", i), "a label is lost")
	}
	requireHas(t, b.String(), "No room in the drawing for")
}
