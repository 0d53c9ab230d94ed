package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"toile/docs/figures"
)

// offsetTable gathers the rows of the table of offsets and holds each figure
// against its target.
type offsetTable struct {
	t    *testing.T
	rows [][]string
}

// most adds a figure that must be no more than target; 0 is a count of what
// must not happen.
func (o *offsetTable) most(what string, measured, target float64, cases int, reference string) {
	o.t.Helper()
	assert.LessOrEqual(o.t, measured, target, what)
	assert.Positive(o.t, cases, what)
	wanted := "0"
	if target > 0 {
		wanted = fmt.Sprintf("≤ %g", target)
	}
	o.rows = append(o.rows, []string{what, twoDigits(measured), wanted, fmt.Sprint(cases), reference})
}

// twoDigits prints a figure; what is rounding alone only by a bound.
func twoDigits(v float64) string {
	if v > 0 && v < 1e-9 {
		return "< 1e-09"
	}
	return fmt.Sprintf("%.2g", v)
}

// seen adds a figure without a target.
func (o *offsetTable) seen(what string, measured float64, cases int, reference string) {
	o.rows = append(o.rows, []string{what, fmt.Sprintf("%.2g", measured), "–", fmt.Sprint(cases), reference})
}

// TestAccuracyOffset measures offsets of curves and of whole pieces, at a
// tolerance of 0.01 mm, over all cases under the flag, else over a seeded
// sample, and lists the worst.
func TestAccuracyOffset(t *testing.T) {
	scale := 1
	if figures.Full() {
		scale = 25
	}
	o := &offsetTable{t: t, rows: [][]string{{"what", "measured", "target", "cases", "held against"}}}
	o.curves(scale)
	o.pieces(60 * scale)
	o.areas(40 * scale)
	t.Log("\n" + figures.Table(o.rows))
	figures.Keep(t, "accuracy.md", "offsets", o.rows)
}

func (o *offsetTable) curves(scale int) {
	const parallel = "points of c(t) + d·n(t) no more than 0.5 mm apart, both ways"
	worst, curves, failed := 0.0, 0, 0
	for i, k := range offsetKinds {
		n, points := 20*scale, 30
		if k.most > 0 {
			n, points = 400*scale, 10
		}
		s := k.survey(seeded(o.t, uint64(401+i)), n, points)
		o.t.Logf("%s: %.4f cubics a curve, worst:", k.name, s.perCurve())
		for _, c := range s.cases {
			o.t.Logf("  %.4f mm: %s", c.off, c.says)
		}
		if k.most > 0 {
			o.most("cubics per curve, "+k.name, math.Round(100*s.perCurve())/100, k.most, n, "counted")
			o.rows[len(o.rows)-1][1] = fmt.Sprintf("%.2f", s.perCurve())
			o.most("deviation, "+k.name+", mm", s.worst, 0.01, n, parallel)
		} else {
			o.seen("cubics per curve, "+k.name, s.perCurve(), n, "counted")
			worst, curves = math.Max(worst, s.worst), curves+n
		}
		failed += s.failed
	}
	o.most("deviation, the last five kinds, mm", worst, 0.01, curves, parallel)
	o.most("curves refused, all kinds", float64(failed), 0, curves+800*scale, "–")
}

func (o *offsetTable) pieces(n int) {
	all := &pieceSurvey{}
	for i, straight := range []bool{true, false} {
		s := surveyPieces(seeded(o.t, uint64(421+i)), n, straight)
		for _, f := range s.faults[:min(5, len(s.faults))] {
			o.t.Error(f)
		}
		all.faults = append(all.faults, s.faults...)
		all.pieces, all.places = all.pieces+s.pieces, all.places+s.places
		all.made, all.wide, all.crossed = all.made+s.made, all.wide+s.wide, all.crossed+s.crossed
		all.short, all.far = math.Max(all.short, s.short), math.Max(all.far, s.far)
	}
	o.t.Logf("%d pieces: %d made, %d with an allowance wider than a radius, %d with a hole between allowances", all.pieces, all.made, all.wide, all.crossed)
	o.most("cutting lines that cross, are open, or spare an edge's strip", float64(len(all.faults)), 0, all.pieces, "each ring itself, winding numbers")
	o.most("allowance short anywhere, mm", all.short, 0.01, all.places, "the nearest place of every edge")
	o.most("cutting line farther out than distance or mitre, mm", all.far, 0.01, all.places, "the nearest edge or corner")
	refused, wrong := refusedHoles(o.t, seeded(o.t, 423), 5*n)
	o.t.Logf("%d of %d refused for a hole between allowances", refused, 5*n)
	o.most("pieces refused for a hole that is none", float64(wrong), 0, 5*n, "simplefeatures v0.59.0, union of strips")
	misjudged, off := bayErrors(o.t, seeded(o.t, 424), n)
	o.most("allowance against a hollow's radius misjudged", float64(misjudged), 0, n, "curvature at 4,001 places")
	o.most("the radius named, mm", off, 1e-6, n, "the same")
	kept, astray := keptCurves(o.t, seeded(o.t, 425), n)
	o.most("curves changed or divided without need", float64(astray), 0, kept, "the offset of their own edge, to the bit")
}

func (o *offsetTable) areas(n int) {
	straight, curved := steinerErrors(o.t, seeded(o.t, 431), n)
	o.most("area, straight pieces, mm²", straight, 1e-6, n, "Steiner's formula, corners in closed form")
	o.most("area, curved pieces, mm² for each mm of curve", curved, 0.01, n, "the same")
	mitred, round := referenceErrors(o.t, seeded(o.t, 432), n/2)
	o.most("straight pieces, mitred: mm² that differ", mitred, 1e-6, n/2, "simplefeatures v0.59.0, Buffer")
	o.most("the same less r²(tan(φ/2) − φ/2) a corner: area, mm²", round, 0.01, n/2, "the same with round joins")
	o.most("inward, then outward again: off the old outline, mm", inwardErrors(o.t, seeded(o.t, 433), n), 0.02, n, "the outline")
}
