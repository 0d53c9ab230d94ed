package render

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// The pieces of these tests are parts of an orchard smock, invented; the
// differences are written by hand, so that nothing here depends on what the
// program finds.

// edgeOf makes an edge from a path.
func edgeOf(name, id string, allowance float64, path geom.Path) pattern.Edge {
	e := pattern.Edge{Name: name, ID: id, Allowance: map[string]float64{"cloth": allowance, "toile": 20}}
	e.SetPath(path)
	return e
}

// pieceOf makes a piece from edges whose paths meet end to end.
func pieceOf(name string, edges []pattern.Edge, paths []geom.Path) *pattern.Piece {
	p := &pattern.Piece{Name: name, ID: "0a0b0c0d", Cloth: "outer", Cut: pattern.CutOne, Edges: edges}
	for _, path := range paths {
		p.Corners = append(p.Corners, pattern.Corner{At: path.Start()})
	}
	return p
}

// polygonPiece has straight edges named in order.
func polygonPiece(name string, names []string, points ...geom.Point) *pattern.Piece {
	var edges []pattern.Edge
	var paths []geom.Path
	for i, p := range points {
		path := geom.Polyline(p, points[(i+1)%len(points)])
		edges = append(edges, edgeOf(names[i], "e000000"+string(rune('0'+i)), 15, path))
		paths = append(paths, path)
	}
	return pieceOf(name, edges, paths)
}

func region(ring geom.Ring) []geom.Region {
	return []geom.Region{{Rings: []geom.Ring{ring}, Area: ring.Area()}}
}

func fixtureSheet() Sheet {
	return Sheet{Pattern: "orchard smock", Unit: units.Centimetre, Date: "2026-05-14", Fitting: "fitting 2, 2026-05-12"}
}

func fixtureDiff(p ...change.PieceDiff) change.Diff {
	return change.Diff{
		From:   change.Version{Number: 4, Text: "Pocket lowered after the first fitting"},
		To:     change.Version{Number: 5, Text: "Hem up 6 cm, pocket corners round"},
		Pieces: p,
	}
}

func ends(a, b float64) *[2]float64 { return &[2]float64{a, b} }

// backPiece is a back on fold, 300 mm wide, with its hem at the given depth.
func backPiece(hem float64) *pattern.Piece {
	p := polygonPiece("back", []string{"waist", "side seam", "hemline", "centre back"},
		geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, hem), geom.Pt(0, hem))
	p.Cut = pattern.CutOnFold
	p.Edges[3].Fold = true
	p.Edges[2].Hem, p.Edges[2].Allowance["cloth"] = true, 40
	p.Grain = &pattern.Grain{From: geom.Pt(120, 120), To: geom.Pt(120, 620)}
	p.Notches = []pattern.Notch{
		{Name: "hip notch", Edge: "side seam", At: 210, Count: 1},
		{Name: "back notch", Edge: "waist", At: 150, Count: 2},
	}
	return p
}

// hemUp is the back with its hem taken up by 60 mm.
func hemUp() change.PieceDiff {
	old, new := backPiece(800), backPiece(740)
	strip := geom.Polygon(geom.Pt(0, 740), geom.Pt(300, 740), geom.Pt(300, 800), geom.Pt(0, 800))
	return change.PieceDiff{
		Piece: "back", State: change.Altered, Old: old, New: new,
		NetArea: [2]float64{240000, 222000}, Removed: 18000, Kept: 222000,
		Overlap: geom.Overlap{Removed: region(strip), RemovedArea: 18000, KeptArea: 222000,
			Kept: region(geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 740), geom.Pt(0, 740)))},
		Changes: []change.Change{
			{Kind: change.EdgeMoved, Edges: []string{"hemline"}, How: change.HowShifted, By: change.Amount(-60),
				Says: "hemline moved in by 6 cm", OldPath: old.EdgePath(2), NewPath: new.EdgePath(2)},
			{Kind: change.EdgeRun, Edges: []string{"side seam"}, By: change.Amount(-60), How: change.HowAlong,
				CausedBy: "hemline", At: change.At(geom.Pt(300, 800)), Says: "side seam cut shorter by 6 cm, as the hemline moved"},
			{Kind: change.EdgeRun, Edges: []string{"centre back"}, By: change.Amount(-60), How: change.HowAlong,
				CausedBy: "hemline", At: change.At(geom.Pt(0, 800)), Says: "centre back cut shorter by 6 cm, as the hemline moved"},
		},
	}
}

// yoke is a front yoke with a neckline of the given depth.
func yoke(depth float64) (*pattern.Piece, geom.Cubic) {
	neck := geom.Cubic{P0: geom.Pt(20, 0), P1: geom.Pt(20, depth*1.2), P2: geom.Pt(140, depth*1.2), P3: geom.Pt(140, 0)}
	paths := []geom.Path{
		{neck}, geom.Polyline(geom.Pt(140, 0), geom.Pt(220, 30)), geom.Polyline(geom.Pt(220, 30), geom.Pt(205, 190)),
		geom.Polyline(geom.Pt(205, 190), geom.Pt(0, 190)), geom.Polyline(geom.Pt(0, 190), geom.Pt(-30, 20)),
		geom.Polyline(geom.Pt(-30, 20), geom.Pt(20, 0)),
	}
	names := []string{"neckline", "shoulder", "armhole", "yoke seam", "left armhole", "left shoulder"}
	var edges []pattern.Edge
	for i, path := range paths {
		edges = append(edges, edgeOf(names[i], "f000000"+string(rune('0'+i)), 10, path))
	}
	p := pieceOf("front yoke", edges, paths)
	p.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "button 1", At: geom.Pt(80, 150), Size: 15},
		{Kind: pattern.MarkPlacement, Name: "pocket place", Path: geom.Polyline(geom.Pt(30, 120), geom.Pt(70, 122))}}
	return p, neck
}

// neckLowered is the yoke with its neckline drawn lower: part is removed.
func neckLowered() change.PieceDiff {
	old, a := yoke(60)
	new, b := yoke(85)
	new.Marks[0].At = geom.Pt(80, 165)
	ring := geom.Ring{b, a.Reverse()}
	if ring.Area() < 0 {
		ring = ring.Reverse()
	}
	return change.PieceDiff{
		Piece: "front yoke", State: change.Altered, Old: old, New: new,
		Removed: ring.Area(), Overlap: geom.Overlap{Removed: region(ring), RemovedArea: ring.Area()},
		Changes: []change.Change{
			{Kind: change.EdgeRedrawn, Edges: []string{"neckline"}, Max: change.Amount(22.5), At: change.At(b.At(0.5)),
				Says: "neckline is redrawn, by up to 0.886 in", OldPath: geom.Path{a}, NewPath: geom.Path{b}},
			{Kind: change.MarkMoved, Mark: "button 1", ByVector: &change.XY{0, 15}, Says: "button 1 moved by 0.591 in"},
		},
	}
}

func pocketPiece() *pattern.Piece {
	return polygonPiece("pocket", []string{"pocket mouth", "right side", "lower edge", "left side"},
		geom.Pt(20, 10), geom.Pt(180, 10), geom.Pt(180, 190), geom.Pt(20, 190))
}

// cornerRounded is a pocket, one corner of 90° rounded by 40 mm.
func cornerRounded() change.PieceDiff {
	old, new := pocketPiece(), pocketPiece()
	new.Corners[2].Round = 40
	o, err := new.Outline()
	if err != nil {
		panic(err)
	}
	arc := o.Radius[2]
	ring := append(geom.Ring{}, geom.Line(arc.Start(), geom.Pt(180, 190)), geom.Line(geom.Pt(180, 190), arc.End()))
	ring = append(ring, arc.Reverse()...)
	return change.PieceDiff{
		Piece: "pocket", State: change.Altered, Old: old, New: new,
		Removed: ring.Area(), Overlap: geom.Overlap{Removed: region(ring), RemovedArea: ring.Area()},
		Changes: []change.Change{{Kind: change.CornerRounded, Edges: []string{"right side", "lower edge"}, At: &change.XY{180, 190},
			Radius: &[2]float64{0, 40}, Says: "corner right side/lower edge rounded, radius 4 cm"}},
	}
}

// flared is the back with its side seam swung out from 200 mm below the waist,
// chord 50 mm: the worked case of the trade rows (end 349.9566, 797.9167).
func flared() change.PieceDiff {
	old, new := backPiece(800), backPiece(800)
	pivot, far := geom.Pt(300, 200), geom.Pt(349.9566, 797.9167)
	new.Corners[2].At = far
	new.Edges[1].SetPath(geom.Polyline(geom.Pt(300, 0), pivot, far))
	along := pivot.Sub(far).Unit()
	handle := 50.0 / 3
	hem := geom.Cubic{P0: far, P1: far.Add(along.Left().Mul(handle)), P2: geom.Pt(300+handle, 800), P3: geom.Pt(300, 800)}
	new.Edges[2].SetPath(geom.Path{hem, geom.Line(geom.Pt(300, 800), geom.Pt(0, 800))})
	ring := geom.Ring{geom.Line(pivot, far), hem, geom.Line(geom.Pt(300, 800), pivot)}
	theta := 2 * math.Asin(25.0/600)
	return change.PieceDiff{
		Piece: "back", State: change.Altered, Old: old, New: new,
		Added: ring.Area(), Overlap: geom.Overlap{Added: region(ring), AddedArea: ring.Area()},
		Changes: []change.Change{{Kind: change.EdgeSwung, Edges: []string{"side seam"}, Pivot: change.At(pivot),
			Turn: change.Amount(geom.InDegrees(theta)), By: change.Amount(50), Area: change.Amount(ring.Area()),
			Says: "side seam swung out about a point 20 cm from the waist by 4.78°, 5 cm at the hem"},
			{Kind: change.EdgeRun, Edges: []string{"hemline"}, By: change.Amount(new.EdgePath(2).Length() - 300), How: change.HowEased,
				CausedBy: "side seam", At: change.At(geom.Pt(300, 800)), Says: "hemline runs on by 5 cm to meet it"}},
	}
}

// cuffChanged is a small piece with many small changes.
func cuffChanged() change.PieceDiff {
	make := func() *pattern.Piece {
		p := polygonPiece("cuff", []string{"sleeve seam", "overlap", "lower edge", "underlap"},
			geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 100), geom.Pt(0, 100))
		p.Grain = &pattern.Grain{From: geom.Pt(30, 20), To: geom.Pt(30, 80), OneWay: true}
		p.Notches = []pattern.Notch{{Name: "sleeve notch", Edge: "sleeve seam", At: 20, Count: 1},
			{Name: "slit notch", Edge: "overlap", At: 50, Count: 2}, {Name: "old notch", Edge: "underlap", At: 30, Count: 1}}
		p.Marks = []pattern.Mark{{Kind: pattern.MarkButtonhole, Name: "buttonhole", Path: geom.Polyline(geom.Pt(12, 60), geom.Pt(24, 60))}}
		return p
	}
	old, new := make(), make()
	new.Notches[0].At, new.Notches[2] = 32, pattern.Notch{Name: "new notch", Edge: "lower edge", At: 30, Count: 1}
	new.Grain = &pattern.Grain{From: geom.Pt(20, 20), To: geom.Pt(40, 80), OneWay: true}
	new.Marks[0].Path = geom.Polyline(geom.Pt(12, 75), geom.Pt(24, 75))
	new.Edges[2].Allowance["cloth"] = 25
	return change.PieceDiff{
		Piece: "cuff", State: change.Altered, Old: old, New: new, Kept: 6000,
		Overlap: geom.Overlap{Kept: region(geom.Polygon(geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 100), geom.Pt(0, 100)))},
		Changes: []change.Change{
			{Kind: change.NotchMoved, Edges: []string{"sleeve seam"}, Notch: "sleeve notch", By: change.Amount(12), Says: "sleeve notch moved 1.2 cm along the sleeve seam"},
			{Kind: change.NotchAdded, Edges: []string{"lower edge"}, Notch: "new notch", Says: "new notch on the lower edge, 3 cm from its start"},
			{Kind: change.NotchRemoved, Edges: []string{"underlap"}, Notch: "old notch", Says: "old notch removed from the underlap, 3 cm from its start"},
			{Kind: change.MarkMoved, Mark: "buttonhole", ByVector: &change.XY{0, 15}, Says: "buttonhole moved 1.5 cm"},
			{Kind: change.GrainTurned, Turn: change.Amount(-18.4349), Before: "0°", After: "−18.43°", Says: "grain turned by −18.43°"},
			{Kind: change.AllowanceChanged, Edges: []string{"lower edge"}, Before: "1.5 cm", After: "2.5 cm", Says: "lower edge: allowance 1.5 cm, now 2.5 cm"},
			{Kind: change.CuttingChanged, Before: "cut one", After: "cut a pair", Says: "cut a pair instead of one"},
		},
	}
}

// Names and notes that try to get out of where they are written.
const hostile = "</text><script>alert(1)</script>\x00\x1b[31m \u202eback\" onload=\"x' & ]]> <!-- "

func hostileDiff() (Sheet, change.Diff, change.PieceDiff) {
	p := hemUp()
	for _, q := range []*pattern.Piece{p.Old, p.New} {
		q.Name = hostile
		q.Notches[0].Name = hostile
		q.Edges[2].Name = hostile
		q.Marks = append(q.Marks, pattern.Mark{Kind: pattern.MarkText, Text: hostile, At: geom.Pt(150, 300)})
	}
	p.Piece = hostile
	p.Changes[0].Says, p.Changes[0].Edges = hostile, []string{hostile}
	p.Changes = append(p.Changes, change.Change{Kind: change.Kind(`x"><script>`), Says: hostile})
	s := fixtureSheet()
	s.Pattern, s.Fitting, s.Date = hostile, hostile, hostile
	s.Notes = []PinnedNote{{Key: hostile, Text: hostile, At: geom.Pt(100, 100), Open: true}}
	d := fixtureDiff(p)
	d.From.Text = hostile
	d.Seams = []change.SeamDiff{{Seam: hostile, Section: hostile}}
	d.Texts = []change.TextDiff{{What: hostile, Before: hostile, After: hostile}}
	return s, d, p
}
