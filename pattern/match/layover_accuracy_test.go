package match_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/docs/figures"
	"toile/geom"
	"toile/pattern/match"
)

// tracingKind is one way in which outlines are traced again.
type tracingKind struct {
	name   string
	of     pointErrors
	fitted bool    // through geom.FitOutline, else lines from point to point
	within float64 // mm, p90 of the displacement at most; 0: overBest times what is possible
}

var tracingKinds = []tracingKind{
	{"independent errors, lines", independent, false, 0.2},
	{"independent errors, fitted", independent, true, 0.2},
	{"errors alike over 15 mm, lines", wavering(5), false, 0},
	{"errors alike over 15 mm, fitted", wavering(5), true, 0},
	{"errors alike over 30 mm, lines", wavering(10), false, 0},
}

const (
	overBest   = 1.25 // times the displacement of a fit told what is unchanged,
	overFew    = 1.6  // and of a sample, which says less of the 90th percentile
	mostWrong  = 0.01 // of the outlines that are not ambiguous
	mostUntold = 0.01 // of all for which no other pose explains clearly more
	leastFound = 0.9  // of the unchanged boundary, p10
	mostFalse  = 0.02 // of what is told as unchanged, mean
)

// layingOver counts what came of one kind.
type layingOver struct {
	kind                     tracingKind
	displaced, best          []float64 // mm, where not ambiguous
	found                    []float64
	wrongly                  float64 // sum
	ambiguous, wrong         int
	better, untold, untoldOf int
}

// TestAccuracyLayOver lays outlines traced again over the old ones: 15 kinds
// of pieces, six kinds of alterations, 20 to 40 % of the boundary changed,
// points every 3 mm with errors of 0.3 mm. A case is truly ambiguous when the
// pose found explains, within 0.5 mm, at least 95 % of what the true one does
// of the outlines without errors; or when the true one is turned over and does
// not explain a tenth of the boundary more, which LayOver says it asks for.
func TestAccuracyLayOver(t *testing.T) {
	cases := 45
	if figures.Full() {
		cases = 600
	}
	rng := seeded(t, 5)
	all := make([]layingOver, len(tracingKinds))
	for i := range cases {
		c := redrawn(rng, i)
		var points []geom.Point
		for k, kind := range tracingKinds {
			if k == 0 || !kind.fitted {
				points = c.drawn(rng, kind.of)
			}
			all[k].kind = kind
			all[k].lay(t, c, points)
		}
	}
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for _, l := range all {
		l.judge(t)
		rows = append(rows, l.rows()...)
	}
	t.Logf("\n%s", figures.Table(rows))
	figures.Keep(t, "accuracy.md", "layover", rows)
}

func (l *layingOver) lay(t *testing.T, c redrawing, points []geom.Point) {
	new, tol := geom.Polygon(points...), 3*traceSigma
	if l.kind.fitted {
		var noise float64
		new, _, noise = geom.FitOutline(points, geom.FitOptions{})
		if l.kind.name == tracingKinds[1].name { // as read from a drawing
			tol = 3 * noise
		}
	}
	best, others, err := match.LayOver(c.old, new, tol, match.Options{AllowMirror: c.mirror})
	require.NoError(t, err, c.what)
	apart := c.apart(best.Motion)
	told := apart
	for _, o := range others {
		told = math.Min(told, c.apart(o.Motion))
	}
	truth, found := c.explains, c.explained(best.Motion)
	switch {
	case apart > anotherPose && found > truth/asGood:
		l.better++
	default:
		l.untoldOf++
		if told > anotherPose {
			l.untold++
			t.Logf("%s: %s: neither best nor told, %.1f mm off, the nearest told %.1f, explains %.2f, the true pose %.2f", l.kind.name, c.what, apart, told, found, truth)
		}
	}
	if apart > anotherPose && (found >= asGood*truth || (c.truth.Mirror && !best.Motion.Mirror && found >= truth-turnedFor)) {
		l.ambiguous++
		return
	}
	l.displaced, l.best = append(l.displaced, apart), append(l.best, c.atBest(new))
	if apart > anotherPose {
		l.wrong++
		t.Logf("%s: %s: off by %.1f mm, explains %.2f, the true pose %.2f", l.kind.name, c.what, apart, found, truth)
		return
	}
	share, wrongly := c.told(best)
	l.found, l.wrongly = append(l.found, share), l.wrongly+wrongly
}

func quantile(values []float64, q float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[int(q*float64(len(sorted)))]
}

func (l *layingOver) judge(t *testing.T) {
	within, few := l.kind.within, 2
	if within == 0 && figures.Full() {
		within = overBest * quantile(l.best, 0.9)
	} else if within == 0 {
		within = overFew * quantile(l.best, 0.9)
	}
	if figures.Full() {
		few = 0
	}
	most := func(share float64, n int) int { return max(few, int(share*float64(n))) }
	assert.LessOrEqual(t, quantile(l.displaced, 0.9), within, l.kind.name)
	assert.LessOrEqual(t, l.wrong, most(mostWrong, len(l.displaced)), l.kind.name)
	assert.LessOrEqual(t, l.untold, most(mostUntold, l.untoldOf), l.kind.name)
	assert.GreaterOrEqual(t, quantile(l.found, 0.1), leastFound, l.kind.name)
	assert.LessOrEqual(t, l.wrongly/float64(len(l.found)), mostFalse, l.kind.name)
}

func (l *layingOver) rows() [][]string {
	name, n := l.kind.name, len(l.displaced)
	target := fmt.Sprintf("p90 ≤ %g mm", l.kind.within)
	if l.kind.within == 0 {
		target = fmt.Sprintf("p90 ≤ %g times the best possible", overBest)
	}
	count := func(n int) string { return fmt.Sprint(n) }
	percent := func(share float64) string {
		return fmt.Sprintf("%.*f %%", max(0, 1-int(math.Log10(100*share))), 100*share)
	}
	return [][]string{
		{name + ": RMS displacement of the unchanged boundary, median and p90", fmt.Sprintf("%.2g and %.2g mm", quantile(l.displaced, 0.5), quantile(l.displaced, 0.9)), target, count(n),
			fmt.Sprintf("least squares told what is unchanged: %.2g and %.2g mm", quantile(l.best, 0.5), quantile(l.best, 0.9))},
		{name + ": another pose, not ambiguous", count(l.wrong), "< 1 %", count(n), fmt.Sprintf("the motion made, %g mm; %d more are truly ambiguous", anotherPose, l.ambiguous)},
		{name + ": true pose neither best nor told", count(l.untold), "< 1 %", count(l.untoldOf), fmt.Sprintf("the motion made; %d more in which another pose explains clearly more", l.better)},
		{name + ": unchanged boundary that is told, p10", percent(quantile(l.found, 0.1)), "≥ 90 %", count(len(l.found)), "the outlines without errors"},
		{name + ": told as unchanged, but off by more than 1 mm", percent(l.wrongly / float64(len(l.found))), "≤ 2 %", count(len(l.found)), "the outlines without errors"},
	}
}
