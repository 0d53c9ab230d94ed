package main

import (
	"bytes"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// A piece is turned over after a note was pinned to its edge 2, 5 cm from the
// edge's start. Mirrored, the edge lies on the other side and runs the other way: the note of the first
// fitting goes along on sheets and drawings, to where one that is pinned there at
// the second fitting lies.
func TestNotesGoAlongWithTheirPiece(t *testing.T) {
	folder := typedPattern(t,
		`fitting open --cloth linen`, `fitting pin front "edge 2@5cm" "first"`, `commit two`,
		`alter mirror front`, `commit three`,
		`fitting open --cloth linen`, `fitting pin front "edge 2@5cm@end" "second"`, `commit four`,
		hemUp)
	dir := t.TempDir()
	var out bytes.Buffer
	for _, command := range []string{`fitting sheet front -o ` + filepath.Join(dir, "sheet.svg"), `draw front -o ` + filepath.Join(dir, "draw.svg"), `diff 4 -o ` + filepath.Join(dir, "diff")} {
		require.Zero(t, run(append(splitCommand(command), "--pattern", folder), &out, &out), out.String())
	}
	dots := regexp.MustCompile(`<circle cx="([-\d.]+)" cy="([-\d.]+)" r="[\d.]+" fill="#000000"`)
	for _, file := range []string{"sheet.svg", "draw.svg", "diff/front.svg"} {
		text, err := os.ReadFile(filepath.Join(dir, file))
		require.NoError(t, err, file)
		at := map[[2]int]int{} // by hundredths of a unit; the legend has one as well
		for _, dot := range dots.FindAllSubmatch(text, -1) {
			x, errX := strconv.ParseFloat(string(dot[1]), 64)
			y, errY := strconv.ParseFloat(string(dot[2]), 64)
			require.NoError(t, errX)
			require.NoError(t, errY)
			at[[2]int{int(math.Round(x * 100)), int(math.Round(y * 100))}]++
		}
		require.Contains(t, slices.Collect(maps.Values(at)), 2, file)
	}
}

// Of the parts of a piece that was split since, the one that holds the place of a
// note has it on its sheet: that to the right of x = 100.
func TestSheetOfThePartHasTheNote(t *testing.T) {
	folder := typedPattern(t,
		`fitting open --cloth linen`, `fitting pin front "edge 2@5cm" "too loose"`, `commit two`,
		`alter split front --line 10,1:10,31 --into centre,side`, `commit three`, `fitting open --cloth linen`)
	for piece, has := range map[string]bool{"centre": true, "side": false} {
		var out bytes.Buffer
		require.Zero(t, run([]string{"fitting", "sheet", piece, "-o", "-", "--pattern", folder}, &out, &out), out.String())
		require.Equal(t, has, bytes.Contains(out.Bytes(), []byte("too loose")), piece)
	}
}
