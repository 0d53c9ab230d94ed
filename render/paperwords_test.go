package render

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render/paper"
)

// wordsOf are the texts of a plot, in the order they are written; each has to
// start within its box.
func wordsOf(t *testing.T, plot paper.Plot) string {
	t.Helper()
	var words []string
	for _, item := range plot.Picture {
		if item.Text != "" {
			words = append(words, item.Text)
			assert.True(t, plot.Box.Holds(item.At), "%q at %v in %v", item.Text, item.At, plot.Box)
		}
	}
	return strings.Join(words, " ")
}

// smallPiece is a rectangle with 5 mm of allowance all round.
func smallPiece(name string, wide, high float64) *pattern.Piece {
	p := polygonPiece(name, []string{"upper edge", "right side", "lower edge", "left side"},
		geom.Pt(0, 0), geom.Pt(wide, 0), geom.Pt(wide, high), geom.Pt(0, high))
	for i := range p.Edges {
		p.Edges[i].Allowance = map[string]float64{"cloth": 5}
	}
	return p
}

// However small a piece, it bears its name: in smaller letters, or above it; what
// has no room is told of, how it is cut too.
func TestSmallPiecesAreNamed(t *testing.T) {
	for _, c := range []struct {
		name       string
		wide, high float64
		above      bool
	}{
		{"belt loop", 20, 12, false}, {"button tab", 20, 14, false}, {"hanger loop", 25, 12, false}, {"stay", 60, 10, false},
		{"covered button", 5, 5, true}, {"upper back neck binding", 12, 6, true},
	} {
		p := smallPiece(c.name, c.wide, c.high)
		plot, missed, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Piece(p)
		require.NoError(t, err)
		words := wordsOf(t, plot)
		assert.Contains(t, words, c.name)
		told := strings.Join(missed, "; ")
		assert.NotEqual(t, strings.Contains(words, cutWords(p)), strings.Contains(told, cutWords(p)), "%s: in the drawing %q, told %q", c.name, words, told)
		assert.Equal(t, c.above, strings.Contains(told, "its name, which stands above it"), "%s: %q", c.name, told)
		assert.Equal(t, c.above, plot.Box.Min.Y < -5-1, c.name)
	}
}

// The name of a piece and how it is cut stand together.
func TestNameAndCutStandTogether(t *testing.T) {
	p := skirtPiece("skirt")
	plot, _, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Piece(p)
	require.NoError(t, err)
	at := map[string]geom.Point{}
	for _, item := range plot.Picture {
		at[item.Text] = item.At
	}
	require.Contains(t, at, "skirt")
	require.Contains(t, at, "cut a pair,") // the first of two lines
	assert.Less(t, at["skirt"].Dist(at["cut a pair,"]), 10.0)
}

// Every strip says the piece, which of how many it is and what is to be done with
// it; the plan says the edge as well.
func TestStripsSayWhichTheyAre(t *testing.T) {
	plain := box400(0, 0, 0, 0)
	notch := box400(0, 0, 0, 0)
	notch.Notches = []pattern.Notch{{Name: "hip", Edge: "right side", At: 210, Count: 1}}
	for _, c := range []struct {
		old, now *pattern.Piece
		changes  []change.Change
		strips   int
	}{
		{plain, box400(20, 20, 20, 20), nil, 4},
		{plain, box400(3, 3, 3, 3), nil, 4},
		{box400(20, 20, 20, 0), plain, nil, 3},
		{box400(3, 0, 3, 0), plain, nil, 2},
		{plain, notch, []change.Change{{Kind: change.NotchAdded, Notch: "hip"}}, 1},
	} {
		changed, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Changed(
			change.PieceDiff{Piece: "panel", State: change.Altered, Old: c.old, New: c.now, Changes: c.changes})
		require.NoError(t, err)
		require.Equal(t, c.strips, len(changed.Plots), "%v", changed.Says)
		for i, plot := range changed.Plots {
			assert.Contains(t, wordsOf(t, plot), plot.Name)
			if c.changes == nil {
				assert.Regexp(t, `^panel, strip \d of \d: (paste on|cut off), at (upper edge|right side|hemline|left side)$`, changed.Says[i])
			}
		}
	}
}

// A leader touches no line to be cut, and is no black stroke: on paper it would
// be taken for a notch.
func TestLeadersAreNoNotches(t *testing.T) {
	d, r := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).recording(paperLetters)
	at := geom.Pt(100, 20)
	d.leaders([]placed{{lead: &segment{at, at.Add(geom.Pt(0, 12))}}, {lead: &segment{at, at.Add(geom.Pt(2, 0))}}})
	picture, err := d.recorded(r)
	require.NoError(t, err)
	require.Len(t, picture, 4)
	for i, off := range []float64{offPaper, 0.8} {
		dot, line := picture[2*i], geom.Path(picture[2*i+1].Paths[0])
		_, dist := line.Nearest(at)
		require.InDelta(t, off, dist, 1e-3)
		require.Equal(t, paper.Color{R: 0x6e, G: 0x6e, B: 0x6e}, picture[2*i+1].Stroke.Color)
		require.Less(t, geom.Path(dot.Paths[0]).Box().Centre().Dist(line.Start()), 1e-3, "it begins with a dot")
	}
}

// No leader lies in an allowance, where it would be read as a notch, and every
// notch lies on the piece: inward where nothing is cut beside it.
func TestNothingButNotchesLiesInTheAllowance(t *testing.T) {
	for name, p := range map[string]*pattern.Piece{"front": plainFront(), "box": box400(0, 0, 0, 0), "skirt": skirtPiece("skirt")} {
		for i := range p.Edges {
			if name == "box" && i == 1 {
				p.Edges[i].Allowance = nil
				p.Notches = append(p.Notches, pattern.Notch{Name: "bare", Edge: p.Edges[i].Name, At: 100, Count: 1})
			}
		}
		plot, _, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Piece(p)
		require.NoError(t, err)
		outline, err := p.Outline()
		require.NoError(t, err)
		cutting, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		notches := 0
		for _, item := range plot.Picture {
			if item.Stroke == nil || len(item.Paths) != 1 || len(item.Paths[0]) != 1 {
				continue
			}
			c := item.Paths[0][0]
			if item.Stroke.Color == (paper.Color{R: 0x6e, G: 0x6e, B: 0x6e}) {
				require.True(t, outline.Ring.Holds(c.At(0.5)) && outline.Ring.Holds(c.At(0.05)), "%s: a leader at %v", name, c.P0)
			}
			if item.Stroke.Width > newPen(paperLetters).wide-0.01 && item.Stroke.Dashes == nil {
				notches++
				require.True(t, cutting.Ring.Holds(c.At(0.5)), "%s: a notch at %v is cut off", name, c.P0)
			}
		}
		require.GreaterOrEqual(t, notches, len(p.Notches), name)
	}
}
