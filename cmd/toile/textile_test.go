package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/change"
)

// textile is one set of outlines of real garment parts; see
// testdata/textile/README.md. The units are arbitrary, so each set is scaled
// to a garment of about a metre.
type textile struct {
	Pieces []struct {
		Points [][2]float64
	}
}

// readTextile returns the outlines of a set, clockwise, scaled so that the
// largest is about 800 mm long, with coordinates of three decimals.
func readTextile(t *testing.T, name string) [][]geom.Point {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../testdata/textile", name))
	require.NoError(t, err)
	var set textile
	require.NoError(t, json.Unmarshal(text, &set))
	extent := 0.0
	outlines := make([][]geom.Point, len(set.Pieces))
	for i, p := range set.Pieces {
		for _, q := range p.Points {
			at := geom.Pt(q[0], q[1])
			if n := len(outlines[i]); n > 0 && outlines[i][n-1] == at {
				continue
			}
			outlines[i] = append(outlines[i], at)
		}
		if n := len(outlines[i]); outlines[i][0] == outlines[i][n-1] {
			outlines[i] = outlines[i][:n-1]
		}
		size := geom.Polygon(outlines[i]...).Box().Size()
		extent = math.Max(extent, math.Max(size.X, size.Y))
	}
	for i, points := range outlines {
		if geom.Polygon(points...).Area() < 0 {
			for a, b := 0, len(points)-1; a < b; a, b = a+1, b-1 {
				points[a], points[b] = points[b], points[a]
			}
		}
		for k, q := range points {
			outlines[i][k] = stored(q.Mul(800 / extent))
		}
	}
	return outlines
}

func stored(q geom.Point) geom.Point {
	return geom.Pt(math.Round(q.X*1000)/1000, math.Round(q.Y*1000)/1000)
}

// shoelace is the area of a polygon by Gauss's formula, independent of geom.
func shoelace(points []geom.Point) float64 {
	sum := 0.0
	for i, q := range points {
		next := points[(i+1)%len(points)]
		sum += q.X*next.Y - next.X*q.Y
	}
	return sum / 2
}

func drawPolygons(outlines [][]geom.Point, motion geom.Motion) string {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" viewBox="0 0 1000 1000">` + "\n")
	for i, points := range outlines {
		fmt.Fprintf(&b, `<polygon id="part %d" points="`, i+1)
		for _, q := range points {
			q = motion.Apply(q)
			fmt.Fprintf(&b, "%.6f,%.6f ", q.X, q.Y)
		}
		b.WriteString("\"/>\n")
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// Outlines of real garment parts come in, are kept, are found again turned and
// shifted on the sheet, and one corner drawn further out is a triangle of
// known area.
func TestTextileParts(t *testing.T) {
	sets, err := filepath.Glob("../../testdata/textile/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, sets)
	for _, path := range sets {
		name := filepath.Base(path)
		t.Run(strings.TrimSuffix(name, ".json"), func(t *testing.T) {
			outlines := readTextile(t, name)
			for _, points := range outlines {
				require.Greater(t, shoelace(points), 0.0)
			}
			dir := t.TempDir()
			folder, drawing := filepath.Join(dir, "parts"), filepath.Join(dir, "parts.svg")
			must := func(args ...string) string {
				out, code := runToile(t, append([]string{"--pattern", folder}, args...)...)
				require.Zero(t, code, "%v", args)
				return out
			}
			must("start", "--unit", "mm")
			put := func(text string) { require.NoError(t, os.WriteFile(drawing, []byte(text), 0o644)) }
			put(drawPolygons(outlines, geom.Motion{}))
			must("trace", drawing)
			must("commit", "as drafted", "--who", "Orchard")
			checkAreas(t, must("pieces", "--json"), outlines)

			turned := geom.Motion{Turn: 0.7, Shift: geom.Pt(350, 120)}
			put(drawPolygons(outlines, turned))
			assert.Equal(t, len(outlines), strings.Count(must("trace", drawing), "nothing changed"))

			altered, added := drawnOut(outlines)
			put(drawPolygons(altered, geom.Motion{}))
			must("trace", drawing, "--place", "as-is")
			must("commit", "corners drawn out", "--who", "Orchard")
			var d change.Diff
			require.NoError(t, json.Unmarshal([]byte(must("diff", "1", "2", "--json")), &d))
			checkDrawnOut(t, d, outlines, altered, added)
		})
	}
}

func checkAreas(t *testing.T, text string, outlines [][]geom.Point) {
	t.Helper()
	var pieces []pieceJSON
	require.NoError(t, json.Unmarshal([]byte(text), &pieces))
	require.Len(t, pieces, len(outlines))
	for _, p := range pieces {
		assert.InDelta(t, shoelace(outlines[partNumber(t, p.Piece)]), p.NetArea, 1e-3, p.Piece)
	}
}

// drawnOut moves one corner of each outline 15 mm on along the edge that ends
// there, and returns the area of the triangle this adds, negative where it
// takes away. The corner is the first at which the outline stays simple.
func drawnOut(outlines [][]geom.Point) (altered [][]geom.Point, added []float64) {
	const by = 15
	for _, points := range outlines {
		n := len(points)
		for k := range points {
			before, at, after := points[(k+n-1)%n], points[k], points[(k+1)%n]
			along := at.Sub(before).Unit()
			triangle := along.Cross(after.Sub(at)) * by / 2
			next := append([]geom.Point(nil), points...)
			next[k] = stored(at.Add(along.Mul(by)))
			if _, _, _, crosses := geom.Polygon(next...).SelfCrossing(); math.Abs(triangle) > 50 && !crosses {
				altered, added = append(altered, next), append(added, triangle)
				break
			}
		}
	}
	return altered, added
}

func checkDrawnOut(t *testing.T, d change.Diff, before, after [][]geom.Point, added []float64) {
	t.Helper()
	require.Len(t, after, len(before))
	require.Len(t, d.Pieces, len(before))
	for _, p := range d.Pieces {
		i := partNumber(t, p.Piece)
		assert.Equal(t, change.Altered, p.State, p.Piece)
		assert.NotEmpty(t, p.Changes, p.Piece)
		assert.InDelta(t, shoelace(before[i]), p.Kept+p.Removed, 1e-3, p.Piece)
		assert.InDelta(t, shoelace(after[i]), p.Kept+p.Added+p.Matched, 1e-3, p.Piece)
		// The new corner is rounded to 0.001 mm, and strips narrower than
		// 0.01 mm count as matched: at most 0.01 mm by the length of the two
		// edges that moved.
		box := geom.Polygon(before[i]...).Box().Size()
		within := 0.01 * 2 * (box.X + box.Y)
		assert.InDelta(t, math.Max(0, added[i]), p.Added, within, p.Piece)
		assert.InDelta(t, math.Max(0, -added[i]), p.Removed, within, p.Piece)
	}
}

func partNumber(t *testing.T, piece string) int {
	t.Helper()
	var n int
	_, err := fmt.Sscanf(piece, "part %d", &n)
	require.NoError(t, err)
	return n - 1
}

// runToile runs one command line in this process.
func runToile(t *testing.T, args ...string) (stdout string, code int) {
	t.Helper()
	var out, problems bytes.Buffer
	code = run(args, &out, &problems)
	if code != 0 {
		t.Log(problems.String())
	}
	return out.String(), code
}
