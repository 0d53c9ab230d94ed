package render

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// pictured is an overlay that is kept as a golden file.
type pictured struct {
	name  string
	sheet Sheet
	diff  change.Diff
	piece change.PieceDiff
}

func (p pictured) drawn() drawn {
	return drawn{p.name, func(b *bytes.Buffer) error { return Overlay(b, p.sheet, p.diff, p.piece) }}
}

// pictures is one overlay for each way to draw a change.
func pictures() []pictured {
	mm, inches := fixtureSheet(), fixtureSheet()
	mm.Unit, inches.Unit, inches.Fitting = units.Millimetre, units.Inch, ""
	var all []pictured
	add := func(name string, s Sheet, p change.PieceDiff, more ...change.PieceDiff) {
		all = append(all, pictured{name, s, fixtureDiff(append([]change.PieceDiff{p}, more...)...), p})
	}
	add("overlay-neckline", inches, neckLowered())
	add("overlay-corner", fixtureSheet(), cornerRounded())
	add("overlay-corners", mm, cornersAgain())
	add("overlay-flare", fixtureSheet(), flared())
	add("overlay-small", fixtureSheet(), cuffChanged())
	add("overlay-hem-slanted", fixtureSheet(), hemAlongGrain())
	add("overlay-let-out", mm, letOut())
	add("overlay-tapered", inches, taperedSide())
	add("overlay-spread", fixtureSheet(), hinged())
	add("overlay-folded-out", mm, foldedOut())
	whole, part := splitPanel()
	add("overlay-split", fixtureSheet(), whole, part)
	add("overlay-split-off", fixtureSheet(), part, whole)
	joined, gone := joinedPanel()
	add("overlay-joined", mm, joined, gone)
	add("overlay-joined-to", mm, gone, joined)
	add("overlay-unfolded", fixtureSheet(), openedBack())
	add("overlay-places", fixtureSheet(), placesMoved())
	add("overlay-clipped", mm, cornerClipped())
	return all
}

// byHand is the difference of two pieces with changes told by hand; only the
// regions are computed.
func byHand(old, new *pattern.Piece, changes ...change.Change) change.PieceDiff {
	ring := func(p *pattern.Piece) geom.Ring {
		o, err := p.Outline()
		if err != nil {
			panic(err)
		}
		return o.Ring
	}
	o, err := geom.Compare(ring(old), ring(new), 0.01)
	if err != nil {
		panic(err)
	}
	return change.PieceDiff{Piece: new.Name, State: change.Altered, Old: old, New: new, Overlap: o,
		Added: o.AddedArea, Removed: o.RemovedArea, Kept: o.KeptArea,
		NetArea: [2]float64{ring(old).Area(), ring(new).Area()}, Changes: changes}
}

// run is an edge cut or run on at its end, or at its start.
func runAt(old, new *pattern.Piece, name string, atEnd bool, how, cause, says string) change.Change {
	i := edge(old, name)
	from, to := old.EdgePath(i), new.EdgePath(i)
	at := from.Start()
	if atEnd {
		at = from.End()
	}
	return change.Change{Kind: change.EdgeRun, Edges: []string{name}, By: change.Amount(to.Length() - from.Length()),
		How: how, CausedBy: cause, At: change.At(at), OldPath: from, NewPath: to, Says: says}
}

func movedEdge(old, new *pattern.Piece, name, how string, by float64, says string) change.Change {
	i := edge(old, name)
	return change.Change{Kind: change.EdgeMoved, Edges: []string{name}, How: how, By: change.Amount(by),
		OldPath: old.EdgePath(i), NewPath: new.EdgePath(i), Says: says}
}

// inTest stands in for the test of a helper that wants one, where a failure is
// a programmer's mistake.
type inTest struct{ testing.TB }

func (inTest) Helper()               {}
func (inTest) Errorf(string, ...any) {}
func (inTest) FailNow()              { panic("a fixture cannot be drafted") }

func hemAlongGrain() change.PieceDiff {
	old := smockBack(1)
	new := shifted(inTest{}, old, "hemline", -60)
	return byHand(old, new,
		movedEdge(old, new, "hemline", change.HowShifted, -60, "hemline is taken up by 6 cm"),
		runAt(old, new, "side seam", true, change.HowAlong, "hemline", "side seam is cut 5.98 cm shorter at the hemline"),
		runAt(old, new, "centre back", false, change.HowAlong, "hemline", "centre back is cut 6 cm shorter at the hemline"))
}

func letOut() change.PieceDiff {
	old := panel(1)
	new := parallel(inTest{}, old, "side seam", 12)
	return byHand(old, new,
		movedEdge(old, new, "side seam", change.HowParallel, 12, "side seam is let out 12 mm"),
		runAt(old, new, "waist", true, change.HowAlong, "side seam", "waist runs on by 12 mm at the side seam"),
		runAt(old, new, "hemline", false, change.HowAlong, "side seam", "hemline runs on by 12 mm at the side seam"))
}

// taperedSide lay turned over on its sheet, and fits in another way as well.
func taperedSide() change.PieceDiff {
	old := panel(1)
	new := tapered(inTest{}, old, "side seam", -9.525, 25.4)
	c := movedEdge(old, new, "side seam", change.HowTapered, 25.4, "side seam is taken in 3/8 in at the waist and let out 1 in at the hemline")
	c.Ends = ends(-9.525, 25.4)
	p := byHand(old, new, c,
		runAt(old, new, "waist", true, change.HowAlong, "side seam", "waist is cut 0.377 in shorter at the side seam"),
		runAt(old, new, "hemline", false, change.HowAlong, "side seam", "hemline runs on by 1.006 in at the side seam"))
	p.Placement = change.Placement{DX: 300, DY: 20, Turn: 90, Mirrored: true}
	p.OtherPlacements = []change.Placement{{DX: 20, DY: 610, Turn: -90}, {DX: 30}}
	return p
}

// opened is a panel opened or folded out, the part between the two edges
// moved.
func openedPanel(first string, at float64, second string, until float64, m geom.Motion, open *[2]float64, says string) change.PieceDiff {
	old := panel(1)
	new := spread(old, first, at, second, until, m)
	a, b := edge(old, first), edge(old, second)
	c := change.Change{Kind: change.Spread, Edges: []string{first, second}, Open: open, Turn: change.Amount(geom.InDegrees(-m.Turn)),
		Lines: [][2]change.XY{{*change.At(old.EdgePath(a).PointAt(at)), *change.At(old.EdgePath(b).PointAt(until))}}, Says: says}
	for i := a + 1; i < b; i++ {
		c.Moved = append(c.Moved, old.Edges[i].Name)
		c.OldPath, c.NewPath = append(c.OldPath, old.EdgePath(i)...), append(c.NewPath, new.EdgePath(i)...)
	}
	return byHand(old, new, c)
}

// hinged opens a panel by 4° about a point of its waist: 2·R·sin 2° at the
// hemline, R = |(100, 0) (120, 600)| = 600.333, is 41.902.
func hinged() change.PieceDiff {
	return openedPanel("waist", 100, "hemline", 120, about(geom.Pt(100, 0), -4), ends(0, 41.902),
		"spread open along a line from the waist to the hemline: nothing at the waist, 4.19 cm at the hemline; the side seam moved as one")
}

func foldedOut() change.PieceDiff {
	return openedPanel("side seam", 250, "front seam", 330, geom.Motion{Shift: geom.Pt(0, -25)}, ends(-25, -25),
		"folded out along a line from the side seam to the front seam: 25 mm at the side seam, 25 mm at the front seam; the hemline moved as one")
}

func splitPanel() (whole, part change.PieceDiff) {
	old := panel(1)
	one, other := halves(old, "waist", 90, "hemline", 130, [2]string{"side panel", "side back"})
	seam := one.EdgePath(edge(one, "new seam"))
	whole = byHand(old, one, change.Change{Kind: change.PieceSplit, Into: []string{"side panel", "side back"}, NewPath: seam,
		Line: []change.XY{*change.At(seam.Start()), *change.At(seam.End())}, Allowance: change.Amount(12), PartArea: ringOf(other).Area(),
		Says: "side panel is split into side panel and side back, with an allowance of 1.2 cm at the new seam"})
	whole.State = change.Split
	part = change.PieceDiff{Piece: "side back", Before: "side panel", State: change.Split, New: other, Added: ringOf(other).Area()}
	return whole, part
}

func joinedPanel() (whole, part change.PieceDiff) {
	split, other := splitPanel()
	whole = byHand(split.New, split.Old, change.Change{Kind: change.PieceJoined, Of: []string{"side panel", "side back"},
		OldPath: split.Changes[0].NewPath, Line: split.Changes[0].Line, PartArea: other.Added, Says: "side panel and side back are joined to side panel"})
	whole.State = change.Joined
	part = change.PieceDiff{Piece: "side back", State: change.Joined, Old: other.New, Removed: other.Added}
	return whole, part
}

func openedBack() change.PieceDiff {
	half := smockBack(0.6)
	half.Notches, half.Marks = nil, nil
	whole := openedOut(half)
	fold := half.EdgePath(edge(half, "centre back"))
	return byHand(whole, whole.Clone(), change.Change{Kind: change.PieceUnfolded, OldPath: fold,
		Line: []change.XY{*change.At(fold.Start()), *change.At(fold.End())}, Says: "opened out at the fold, to be cut once, flat"})
}

// cornersAgain has one corner rounded further and one sharp again.
func cornersAgain() change.PieceDiff {
	old, new := panel(0.4), panel(0.4)
	old.Corners[2].Round, new.Corners[2].Round, old.Corners[3].Round = 30, 55, 25
	return byHand(old, new,
		change.Change{Kind: change.CornerRounded, Edges: []string{"side seam", "hemline"}, At: change.At(old.Corners[2].At),
			Radius: ends(30, 55), Says: "the corner side seam/hemline is rounded by 55 mm (it was 30 mm)"},
		change.Change{Kind: change.CornerRestored, Edges: []string{"hemline", "front seam"}, At: change.At(old.Corners[3].At),
			Radius: ends(25, 0), Says: "the corner hemline/front seam is sharp again (it was rounded by 25 mm)"})
}

// placesMoved has notches, marks, allowances and the grain elsewhere.
func placesMoved() change.PieceDiff {
	old, new := smockBack(1), smockBack(1)
	new.Notches[0].At += 42
	new.Notches[1].At += 45
	new.Marks[0].Path = new.Marks[0].Path.Moved(geom.Motion{Shift: geom.Pt(0, 20)})
	new.Marks[1].At = geom.Pt(150, 440)
	new.Edges[2].Allowance["cloth"], new.Edges[3].Allowance["cloth"] = 8, 25
	new.Grain.To = geom.Pt(120, 640)
	name := func(edges ...string) []string { return edges }
	return byHand(old, new,
		change.Change{Kind: change.NotchMoved, Edges: name("side seam"), Notch: "hip", By: change.Amount(42),
			Says: "the notch hip on the side seam is moved by 4.2 cm, away from its start"},
		change.Change{Kind: change.NotchMoved, Edges: name("armhole"), Notch: "sleeve", By: change.Amount(45),
			Says: "the notch sleeve on the armhole is moved by 4.5 cm, away from its start"},
		change.Change{Kind: change.MarkMoved, Mark: "yoke line", ByVector: &change.XY{0, 20}, At: change.At(geom.Pt(20, 170)),
			Says: "the placement line yoke line is moved by 2 cm (2 cm down)"},
		change.Change{Kind: change.MarkMoved, Mark: "pocket dot", ByVector: &change.XY{-30, -40}, At: change.At(geom.Pt(150, 440)),
			Says: "the dot pocket dot is moved by 5 cm (3 cm to the left, 4 cm up)"},
		change.Change{Kind: change.AllowanceChanged, Edges: name("armhole"), How: "cloth", By: change.Amount(-7), Before: "1.5 cm", After: "0.8 cm",
			Says: "the cloth allowance of the armhole is 0.8 cm (was 1.5 cm)"},
		change.Change{Kind: change.AllowanceChanged, Edges: name("side seam"), How: "cloth", By: change.Amount(10), Before: "1.5 cm", After: "2.5 cm",
			Says: "the cloth allowance of the side seam is 2.5 cm (was 1.5 cm)"},
		change.Change{Kind: change.GrainTurned, Turn: change.Amount(-3.366), Before: "0°", After: "−3.37°", Says: "the grain line is turned by −3.37°"})
}

// cornerClipped has one edge more: 40 mm are cut off either side of a corner.
func cornerClipped() change.PieceDiff {
	old := panel(0.5)
	new := clipped(old, 40)
	clip := new.EdgePath(2)
	at := clip.PointAt(clip.Length() / 2)
	_, far := geom.Path(ringOf(old)).Nearest(at)
	side, hem := old.EdgePath(1), old.EdgePath(2)
	return byHand(old, new,
		change.Change{Kind: change.EdgeRedrawn, Edges: []string{"clip"}, NewPath: clip, Max: change.Amount(far), At: change.At(at),
			Says: "clip is new, up to 20 mm from the old outline"},
		change.Change{Kind: change.EdgeRun, Edges: []string{"side seam"}, By: change.Amount(-40), How: change.HowAlong, CausedBy: "clip",
			At: change.At(side.End()), OldPath: side, NewPath: new.EdgePath(1), Says: "side seam is cut 40 mm shorter at the hemline, as clip"},
		change.Change{Kind: change.EdgeRun, Edges: []string{"hemline"}, By: change.Amount(-40), How: change.HowAlong, CausedBy: "clip",
			At: change.At(hem.Start()), OldPath: hem, NewPath: new.EdgePath(3), Says: "hemline is cut 40 mm shorter at the side seam, as clip"})
}

// TestPicturesAgree: also in the drawings kept as goldens text and drawing
// agree.
func TestPicturesAgree(t *testing.T) {
	figures := 0
	for _, p := range pictures() {
		var b bytes.Buffer
		require.NoError(t, p.drawn().draw(&b), p.name)
		text := drawnText(t, b.String())
		for _, c := range p.piece.Changes {
			figures += requireAgree(t, c, p.sheet.Unit, text)
		}
		_, covering := coveringLabels(t, b.String())
		require.Zero(t, covering, "%s: labels cover lines", p.name)
	}
	require.Greater(t, figures, 80)
}

// TestPlacementIsSaid in the title: how the outline was laid over the old one,
// and how it could lie as well.
func TestPlacementIsSaid(t *testing.T) {
	for _, c := range []struct {
		laid   change.Placement
		others []change.Placement
		want   []string
	}{
		{change.Placement{}, nil, nil},
		{change.Placement{DX: 120, DY: -35}, nil, []string{"laid over the old outline: shifted 12 cm to the right, shifted 3.5 cm up"}},
		{change.Placement{DX: 4, DY: 0.0001, Turn: 0.0001}, nil, []string{"laid over the old outline: shifted 0.4 cm to the right"}},
		{change.Placement{DX: 120, Turn: -12.5}, nil, []string{"laid over the old outline: turned by −12.5°"}},
		{change.Placement{DX: 120, Mirrored: true, Turn: 3}, []change.Placement{{Turn: 180}, {Turn: 180, DX: 3}, {Mirrored: true}},
			[]string{"laid over the old outline: turned over, turned by 3°", "would lie as well: turned by 180°; or turned over"}},
	} {
		p := hemUp()
		p.Placement, p.OtherPlacements = c.laid, c.others
		require.Equal(t, c.want, placementRows(p, "laid over the old outline: ", units.Centimetre))
	}
}
