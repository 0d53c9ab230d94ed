package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/change"
)

// A wide hem that begins at the end of a rounded corner is a step of 30 mm, square
// to the hem; the paper says that it is meant. Equal allowances make none.
func TestStepsOfTheCuttingLineAreToldOf(t *testing.T) {
	for hem, words := range map[float64]string{40: "step of the allowance, from 4 cm to 1 cm", 10: ""} {
		p := polygonPiece("front", []string{"top", "side", "hemline", "front edge"}, geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 600), geom.Pt(0, 600))
		for i := range p.Edges {
			p.Edges[i].Allowance = map[string]float64{"cloth": 10}
		}
		p.Edges[2].Allowance["cloth"] = hem
		p.Corners[3].Round = 40
		sh, err := newShape(p)
		require.NoError(t, err)
		cutting, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		steps := stepsOf(sh, cutting, "cloth")
		plot, missed, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Piece(p)
		require.NoError(t, err)
		if words == "" {
			assert.Empty(t, steps)
			assert.NotContains(t, wordsOf(t, plot), "step of")
			continue
		}
		require.Len(t, steps, 1)
		assert.InDelta(t, 30, steps[0].path.Length(), 0.01)
		assert.InDelta(t, 40, steps[0].path.P0.X, 0.05)
		assert.Empty(t, missed)
		assert.Contains(t, wordsOf(t, plot), words)
	}
}

// The name of a strip that takes several sheets is on one of them whole: no joint
// goes through it.
func TestNamesOfStripsKeepOffJoints(t *testing.T) {
	old := box400(0, 0, 0, 0)
	now := old.Clone()
	for i, c := range now.Corners {
		if c.At.Y > 200 {
			now.Corners[i].At.Y += 40
		}
	}
	pr := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4"))
	changed, err := pr.Changed(change.PieceDiff{Piece: "panel", State: change.Altered, Old: old, New: now})
	require.NoError(t, err)
	crossing := 0
	for _, plot := range changed.Plots {
		joints := pr.job.Joints(plot)
		for _, item := range plot.Picture {
			if item.Text != plot.Name || len(joints) == 0 {
				continue
			}
			crossing++
			long := geom.Pt(0.75*textWidth(item.Text, item.Size, item.Bold), 0).Turn(item.Angle)
			from := item.At.Sub(long.Mul(item.Align))
			for _, joint := range joints {
				assert.Empty(t, geom.MeetPaths(joint, geom.Path{geom.Line(from, from.Add(long))}), "%q over %v", item.Text, joint)
			}
		}
	}
	require.NotZero(t, crossing, "a strip of several sheets")
}
