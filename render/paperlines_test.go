package render

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/units"
)

// Check lines as they are printed: as long as their words say, with ticks at both
// ends and every 10 cm, and ends at the same places of the piece on every sheet.
// 10 cm: FACTS, printing at true size.
func TestCheckLinesMeasure(t *testing.T) {
	need(t, "pdftotext")
	file, made := printed(t, paperJob(t, "A4"), skirtPiece("skirt"))
	pdf := filepath.Join(t.TempDir(), "print.pdf")
	require.NoError(t, os.WriteFile(pdf, file, 0o644))
	seen := map[string]bool{}
	for i, page := range readPDF(t, file)[made.Plan:] {
		n := fmt.Sprint(made.Plan + i + 1)
		text, err := exec.Command("pdftotext", "-enc", "UTF-8", "-f", n, "-l", n, pdf, "-").Output()
		require.NoError(t, err)
		for _, line := range page.paths {
			if !line.stroked || line.dashes != 2 || !strings.HasPrefix(line.ink, "0.431") {
				continue
			}
			require.Len(t, line.curves, 1)
			from, to := line.curves[0][0].P0, line.curves[0][0].P3
			words := "check line, " + units.Centimetre.Format(math.Round(from.Dist(to)))
			assert.Contains(t, strings.ReplaceAll(string(text), "\n", " "), words)
			assert.InDelta(t, 0, math.Remainder(from.Dist(to), 10), drawnTrue)
			seen[words] = true
			var at []float64
			way := to.Sub(from).Unit()
			for _, q := range page.paths {
				if !q.stroked || q.dashed || len(q.curves) != 1 || len(q.curves[0]) != 1 {
					continue
				}
				a, b := q.curves[0][0].P0, q.curves[0][0].P3
				middle := a.Lerp(b, 0.5).Sub(from)
				if a.Dist(b) < 7 && math.Abs(b.Sub(a).Dot(way)) < 0.01 && math.Abs(middle.Cross(way)) < 0.01 {
					at = append(at, middle.Dot(way))
				}
			}
			for want := 0.0; want < from.Dist(to)+100; want += 100 {
				want := math.Min(want, from.Dist(to))
				assert.True(t, slices.ContainsFunc(at, func(v float64) bool { return math.Abs(v-want) < drawnTrue }), "sheet %d: no tick at %.1f mm of %v", i+1, want, at)
			}
			assert.Len(t, at, int(math.Ceil(from.Dist(to)/100-1e-6))+1, "no other ticks")
		}
	}
	assert.Len(t, seen, 2, "one across and one down")
}

// assertStripLines holds a strip as it is printed against what is to be done with
// it: its chain line is the cutting line of the paper that is there; its rim
// leaves 15 mm for the glue, or to lie on the paper, and goes round all of the
// new piece that is printed; its hatch, in the colour, lies in the region alone.
// Lines of dashes are told by the lengths in their pattern.
func assertStripLines(t *testing.T, page pdfPage, shift geom.Point, old, now geom.Ring, strip []geom.Cubic, hatch string) {
	t.Helper()
	lay := func(curves []geom.Cubic) []geom.Point {
		return sampled(geom.Path(curves).Moved(geom.Motion{Shift: shift}))
	}
	chains, rims, hatches := 0, 0, 0
	region := geom.Ring(strip)
	for _, q := range page.paths {
		if !q.stroked {
			continue
		}
		for _, curves := range q.curves {
			switch {
			case q.dashes == 4:
				chains++
				for _, at := range lay(curves) {
					_, off := geom.Path(old).Nearest(at)
					require.Less(t, off, drawnTrue, "the chain line at %v lies off the old cutting line", at)
				}
			case q.dashes == 6:
				rims++
				inner := 0
				for _, at := range lay(curves) {
					if _, off := geom.Path(now).Nearest(at); off < drawnTrue {
						continue
					}
					_, off := geom.Path(region).Nearest(at)
					require.Greater(t, off, 15-drawnTrue, "the rim at %v leaves no margin", at)
					inner++
				}
				require.Greater(t, inner, 20, "the rim runs through the piece")
			case q.ink == hatch && !q.dashed:
				hatches++
				at := lay(curves)
				require.True(t, region.Holds(at[len(at)/2]), "a hatch line at %v lies beside the region", at[len(at)/2])
			}
		}
	}
	require.NotZero(t, chains)
	require.NotZero(t, rims)
	require.Greater(t, hatches, 20)
}
