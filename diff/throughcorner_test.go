package diff

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A part that turned with a whole edge of the outline, so that the line along
// which it opened passes through a corner: nothing of that edge is left to be
// bridged, and no figure of the diff may be without bound.
func TestOpenedThroughCorner(t *testing.T) {
	names := []string{"shoulder", "armhole", "panel seam", "hemline", "centre"}
	a := build("lining", names, geom.Polyline(geom.Pt(50, 0), geom.Pt(213, 45)),
		geom.Path{geom.Cubic{P0: geom.Pt(213, 45), P1: geom.Pt(192, 108), P2: geom.Pt(145, 237), P3: geom.Pt(190, 260)}},
		geom.Polyline(geom.Pt(190, 260), geom.Pt(199.5, 640)), geom.Polyline(geom.Pt(199.5, 640), geom.Pt(50, 640)),
		geom.Polyline(geom.Pt(50, 640), geom.Pt(50, 0)))
	b := build("lining", names, geom.Polyline(geom.Pt(50, 0), geom.Pt(213, 45)),
		geom.Path{
			{P0: geom.Pt(213, 45), P1: geom.Pt(192, 108), P2: geom.Pt(145, 237), P3: geom.Pt(190, 260)},
			{P0: geom.Pt(190, 260), P1: geom.Pt(192.473, 261.264), P2: geom.Pt(195.044, 262.126), P3: geom.Pt(197.642, 262.612)},
		},
		geom.Polyline(geom.Pt(197.642, 262.612), geom.Pt(218.774, 637.987)),
		geom.Path{
			geom.Line(geom.Pt(218.774, 637.987), geom.Pt(149.932, 640.139)),
			{P0: geom.Pt(149.932, 640.139), P1: geom.Pt(116.636, 641.179), P2: geom.Pt(83.313, 640), P3: geom.Pt(50, 640)},
		},
		geom.Polyline(geom.Pt(50, 640), geom.Pt(50, 0)))
	d := compare(t, a, b)
	_, err := json.Marshal(d)
	require.NoError(t, err)
	for _, ch := range d.Changes {
		require.NotContains(t, ch.Says, "Inf")
		require.NotContains(t, ch.Says, "redrawn", "the panel seam is as it was, only turned")
	}
}

// A pleat that lies where it lay is not moved when its edge is divided between
// it and the end from which it is counted.
func TestPleatOnDividedEdge(t *testing.T) {
	a := panel(300, 800)
	a.Marks = []pattern.Mark{{Kind: pattern.MarkPleat, Name: "pleat", Edge: "waist", From: 150, To: 190, Direction: "end"}}
	b := build("panel", []string{"waist 2", "waist", "side seam", "hemline", "centre"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(100, 0)), geom.Polyline(geom.Pt(100, 0), geom.Pt(300, 0)),
		geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 800)), geom.Polyline(geom.Pt(300, 800), geom.Pt(0, 800)),
		geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	b.Marks = []pattern.Mark{{Kind: pattern.MarkPleat, Name: "pleat", Edge: "waist", From: 50, To: 90, Direction: "end"}}
	for _, ch := range compare(t, a, b).Changes {
		require.NotContains(t, ch.Says, "pleat")
	}
	b.Marks[0].From, b.Marks[0].To = 60, 100
	says := ""
	for _, ch := range compare(t, a, b).Changes {
		says += ch.Says + "\n"
	}
	require.Contains(t, says, `the pleat "pleat" is now pleat on "waist" from 6 cm to 10 cm`, "but one that moved is")
}
