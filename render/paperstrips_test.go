package render

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render/paper"
)

// Inks of a strip as a PDF has them: 12 % on white of blue 0072B2 and of
// vermillion D55E00, and those themselves.
const (
	addedFill, removedFill = "0.878 0.933 0.965", "0.980 0.925 0.878"
	addedInk, removedInk   = "0.000 0.447 0.698", "0.835 0.369 0.000"
)

// readStrip is one sheet of a strip, read back.
type readStrip struct {
	pdfPage
	plot           paper.Plot
	shift          geom.Point // from the page to the piece's sheet
	added, removed [][]geom.Cubic
	rims           [][]geom.Cubic
}

// stripsRead prints each strip by itself and reads its sheets again; now is the
// new cutting line, by which they are laid.
func stripsRead(t *testing.T, plots []paper.Plot, now geom.Ring) []readStrip {
	t.Helper()
	var out []readStrip
	for _, plot := range plots {
		job := paperJob(t, "A4")
		job.Plots = []paper.Plot{plot}
		var b bytes.Buffer
		made, err := paper.Write(&b, job)
		require.NoError(t, err)
		for _, page := range readPDF(t, b.Bytes())[made.Plan:] {
			lines := page.cuttingLines()
			require.Len(t, lines, 1)
			s := readStrip{pdfPage: page, plot: plot, shift: now[0].P0.Sub(lines[0][0].P0)}
			for _, q := range page.paths {
				switch {
				case q.filled && q.fill == addedFill:
					s.added = append(s.added, s.lay(q.curves)...)
				case q.filled && q.fill == removedFill:
					s.removed = append(s.removed, s.lay(q.curves)...)
				}
			}
			s.rims = s.lines(rimDashes, "")
			out = append(out, s)
		}
	}
	return out
}

func (s readStrip) lay(paths [][]geom.Cubic) [][]geom.Cubic {
	out := make([][]geom.Cubic, len(paths))
	for i, curves := range paths {
		out[i] = geom.Path(curves).Moved(geom.Motion{Shift: s.shift})
	}
	return out
}

// lines are the stroked paths of so many lengths in their pattern of dashes, and
// of an ink where it is said.
func (s readStrip) lines(dashes int, ink string) [][]geom.Cubic {
	var out [][]geom.Cubic
	for _, q := range s.paths {
		if q.stroked && !q.filled && q.dashes == dashes && (ink == "" || q.ink == ink) {
			out = append(out, s.lay(q.curves)...)
		}
	}
	return out
}

// Lengths in the patterns of dashes of the lines of a strip.
const (
	sewingDashes, chainDashes, rimDashes = 2, 4, 6
)

// assertLines holds a strip against what is to be done with it: its chain line is
// the old cutting line, its rim keeps 15 mm from what changed where it runs
// beside it, and its hatches lie in what is added and what goes.
func (s readStrip) assertLines(t *testing.T, old, now geom.Ring) {
	t.Helper()
	changed := append(append([][]geom.Cubic{}, s.added...), s.removed...)
	require.NotEmpty(t, changed)
	chains := s.lines(chainDashes, "")
	require.NotEmpty(t, chains, "a line to lay on the paper")
	for _, chain := range chains {
		for _, at := range sampled(chain) {
			_, off := geom.Path(old).Nearest(at)
			require.Less(t, off, drawnTrue, "the chain line at %v lies off the old cutting line", at)
		}
	}
	farthest := 0.0
	require.NotEmpty(t, s.rims)
	for _, rim := range s.rims {
		for _, at := range sampled(rim) {
			nearest := glueMargin * 10
			for _, r := range changed {
				_, off := geom.Path(r).Nearest(at)
				nearest = min(nearest, off)
			}
			farthest = max(farthest, nearest)
		}
	}
	require.Greater(t, farthest, 15-drawnTrue, "the rim leaves no margin")
	for ink, regions := range map[string][][]geom.Cubic{addedInk: s.added, removedInk: s.removed} {
		hatches := s.lines(0, ink)
		require.Equal(t, len(regions) > 0, len(hatches) > 5, "%s: %d parts, %d hatch lines", ink, len(regions), len(hatches))
		for _, hatch := range hatches {
			held := false
			for _, r := range regions {
				held = held || geom.Ring(r).Holds(hatch[0].At(0.5))
			}
			require.True(t, held, "the hatch at %v lies beside what it is of", hatch[0].At(0.5))
		}
	}
}

// holds reports whether a strip shows a place well inside of its rim.
func (s readStrip) holds(q geom.Point) bool {
	for _, near := range around([]geom.Point{q}, 1.5) {
		inside := false
		for _, rim := range s.rims {
			inside = inside || geom.Ring(rim).Holds(near)
		}
		if !inside {
			return false
		}
	}
	return true
}

// changedStrips prints what changed from one piece to another.
func changedStrips(t *testing.T, old, now *pattern.Piece, changes ...change.Change) (Changed, []readStrip) {
	t.Helper()
	require.NoError(t, now.Validate())
	c, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Changed(
		change.PieceDiff{Piece: now.Name, State: change.Altered, Old: old, New: now, Changes: changes})
	require.NoError(t, err)
	cutting, err := now.CuttingLine("cloth")
	require.NoError(t, err)
	return c, stripsRead(t, c.Plots, cutting.Ring)
}
