package render

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

var update = flag.Bool("update", false, "write the golden drawings anew")

// drawn is a drawing of these tests with the name of its golden file.
type drawn struct {
	name string
	draw func(b *bytes.Buffer) error
}

func overlayOf(name string, s Sheet, p change.PieceDiff) drawn {
	return drawn{name, func(b *bytes.Buffer) error { return Overlay(b, s, fixtureDiff(p), p) }}
}

// drawings are all goldens.
func drawings() []drawn {
	noted := fixtureSheet()
	noted.Notes = []PinnedNote{
		{Key: "2.1", Text: "Hem drags at the back when bending for the low boughs; take it up.", At: geom.Pt(200, 770), Open: false},
		{Key: "2.2", Text: "Tight across the hips.", At: geom.Pt(260, 320), Open: true},
	}
	inches := fixtureSheet()
	inches.Unit, inches.Fitting = units.Inch, ""
	added := change.PieceDiff{Piece: "lining pocket", State: change.Added, New: pocketPiece(), Added: 28800}
	gone := change.PieceDiff{Piece: "old pocket", State: change.Removed, Old: pocketPiece(), Removed: 28800}
	renamed := change.PieceDiff{Piece: "patch pocket", Before: "pocket", State: change.Renamed, Old: pocketPiece(), New: pocketPiece()}
	all := fixtureDiff(hemUp(), neckLowered(), cornerRounded(), cuffChanged(), added, gone, renamed,
		change.PieceDiff{Piece: "sleeve", State: change.Same}, change.PieceDiff{Piece: "front facing", State: change.Same})
	all.Seams = []change.SeamDiff{{Seam: "side seam", Section: "hip notch to hem", Difference: [2]float64{0, 60}}}
	all.Texts = []change.TextDiff{{What: "note 2.1", Before: "take up the hem", After: "take up the hem by 6 cm"}}
	whole, part := splitPanel()
	parts := fixtureDiff(whole, part, hinged(), openedBack())
	list := []drawn{
		overlayOf("overlay-hem", noted, hemUp()),
		overlayOf("overlay-added", fixtureSheet(), added),
		overlayOf("overlay-removed", fixtureSheet(), gone),
		overlayOf("overlay-renamed", fixtureSheet(), renamed),
		overlayOf("overlay-against", fixtureSheet(), liningAgainstBack()),
		{"overlay-hostile", func(b *bytes.Buffer) error {
			s, d, p := hostileDiff()
			return Overlay(b, s, d, p)
		}},
		{"overlay-all-parts", func(b *bytes.Buffer) error { return OverlayAll(b, fixtureSheet(), parts) }},
		{"conflict", func(b *bytes.Buffer) error { return Conflicts(b, fixtureSheet(), bothChanged()) }},
		{"overlay-all", func(b *bytes.Buffer) error { return OverlayAll(b, fixtureSheet(), all) }},
	}
	for _, p := range pictures() {
		list = append(list, p.drawn())
	}
	list = append(list, seamDrawings()...)
	return append(list, pieceDrawings(noted, inches)...)
}

// pieceDrawings are the goldens of single pieces.
func pieceDrawings(noted, inches Sheet) []drawn {
	folded := backPiece(740)
	folded.Corners[1].Name = "side waist"
	round := pocketPiece()
	round.Corners[2].Round, round.Corners[3].Round = 40, 40
	round.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "dart", At: geom.Pt(100, 80), Edge: "pocket mouth", From: 70, To: 90},
		{Kind: pattern.MarkFoldLine, Name: "turn-in", Path: geom.Polyline(geom.Pt(20, 30), geom.Pt(180, 30))},
		{Kind: pattern.MarkPleat, Name: "pleat", Edge: "lower edge", From: 60, To: 90, Direction: "start"}}
	front, _ := yoke(85)
	band := polygonPiece("waistband", []string{"upper edge", "front end", "waist seam", "back end"},
		geom.Pt(0, 0), geom.Pt(720, 0), geom.Pt(720, 40), geom.Pt(0, 40))
	facing := polygonPiece("front facing", []string{"shoulder", "inner edge", "hemline", "front edge"},
		geom.Pt(0, 0), geom.Pt(60, 12), geom.Pt(55, 780), geom.Pt(0, 780))
	facing.Marks = []pattern.Mark{{Kind: pattern.MarkButtonhole, Name: "top buttonhole", Path: geom.Polyline(geom.Pt(15, 60), geom.Pt(33, 60))}}
	return []drawn{
		{"piece-back", func(b *bytes.Buffer) error { return Piece(b, noted, folded, "cloth") }},
		{"piece-pocket", func(b *bytes.Buffer) error { return Piece(b, inches, round, "cloth") }},
		{"piece-wide", func(b *bytes.Buffer) error { return Piece(b, fixtureSheet(), band, "cloth") }},
		{"piece-narrow", func(b *bytes.Buffer) error { return Piece(b, fixtureSheet(), facing, "cloth") }},
		{"piece-yoke", func(b *bytes.Buffer) error { return Piece(b, fixtureSheet(), front, "cloth") }},
	}
}

func svgOf(t *testing.T, d drawn) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.draw(&b), d.name)
	return b.String()
}

// TestGolden holds every drawing against its file; a file no drawing uses
// fails too. -update writes them anew.
func TestGolden(t *testing.T) {
	used := map[string]bool{}
	for _, d := range drawings() {
		file := filepath.Join("testdata", d.name+".svg")
		used[file] = true
		got := svgOf(t, d)
		if *update {
			require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		if string(want) != got {
			t.Errorf("%s differs from the drawing; look at both and run with -update if the drawing is right", file)
		}
	}
	var page bytes.Buffer
	require.NoError(t, Index(&page, indexFixture()))
	file := filepath.Join("testdata", "index.html")
	used[file] = true
	if *update {
		require.NoError(t, os.WriteFile(file, page.Bytes(), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), page.String())
	for _, kind := range []string{"*.svg", "*.html"} {
		files, err := filepath.Glob(filepath.Join("testdata", kind))
		require.NoError(t, err)
		for _, f := range files {
			require.True(t, used[f], "%s is used by no test", f)
		}
	}
}

func indexFixture() IndexPage {
	return IndexPage{
		Title: "Orchard smock", Intro: "What was sewn, tried on, and altered.",
		Versions: []IndexVersion{
			{Number: 1, Text: "First draft", Fitting: ""},
			{Number: 2, Text: hostile, Fitting: "fitting 1, 2026-05-02", Says: []string{"back: hemline moved in by 6 cm", hostile},
				Drawings: []IndexDrawing{{File: "drawings/overlay hem#1?.svg", Title: "back"}, {File: `../"x`, Title: hostile}}},
		},
		Pieces: []IndexDrawing{{File: "piece-back.svg", Title: "back"}},
	}
}
