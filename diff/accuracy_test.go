package diff_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"toile/diff"
	"toile/docs/figures"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/trace"
	"toile/pattern/units"
)

// Sizes of the sets of cases: a seeded sample always, all of it at full size.
const (
	exactCases, exactSample       = 2178, 198 // 66 and 6 of each way
	severalCases, severalSample   = 1000, 120
	sameCases, sameSample         = 2001, 180
	retracedCases, retracedSample = 300, 24 // of each hand
)

func sized(full, sample int) int {
	if figures.Full() {
		return full
	}
	return sample
}

// runs are the two ways every case is put to the program.
var runs = []string{"plain", "scrambled"}

// runSuite judges the cases of a suite, plain and scrambled, and each outline
// that was told against what making the changes again gives.
func runSuite(t *testing.T, s suite, n int) *tally {
	t.Helper()
	y := newTally()
	for _, number := range caseNumbers(n) {
		rng := s.rng(number)
		kind, shape, m := s.make(rng, number)
		for _, run := range runs {
			st := m.patterns(rng, run == "scrambled")
			v, pieces := judge(m, st, run == "scrambled", exactly)
			y.add(group{kind, shape, run}, number, v)
			y.addInverse(m, pieces, run, number)
			show(t, fmt.Sprintf("%s case %d: %s of a %s", s.name, number, kind, shape), m, run, pieces, v)
		}
	}
	return y
}

func wayNames() []string {
	var out []string
	for _, w := range ways {
		out = append(out, w.name)
	}
	return out
}

// report logs shares, reasons and failures.
func (y *tally) report(t *testing.T, kinds []string) {
	t.Helper()
	t.Logf("share of faultless cases:\n%s", y.kindsTable(kinds))
	t.Logf("commonest faults:\n%s", y.reasons(40))
	t.Logf("failures by kind, run and shape:\n%s", y.table())
}

const (
	ownTruth   = "what the test's own alterations did"
	inverseRow = "the changes found, made on the first outline, give the second within the stated fit and 0.02 mm"
)

// percent prints a share for a table; the shares of plain and scrambled cases
// side by side.
func percent(plain, scrambled float64) string {
	return fmt.Sprintf("%.1f %%, scrambled %.1f %%", plain, scrambled)
}

// One change, exact as stored, the second time with every name and id lost,
// curves divided elsewhere and the piece laid anywhere.
func TestAccuracyExplainExact(t *testing.T) {
	y := runSuite(t, exactSuite, sized(exactCases, exactSample))
	y.report(t, wayNames())
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for _, part := range []struct {
		what   string
		bad    map[string]int
		target float64
	}{
		{"kind and edge right", y.kinds, kindsTarget},
		{"figures within 0.05 mm and 0.02°", y.amounts, figuresTarget},
		{"nothing invented", y.invented, inventedTarget},
		{"what was cut or run on told, with its cause", y.runs, runsTarget},
	} {
		for _, run := range runs {
			atLeast(t, part.what+", "+run, part.bad[run], y.all[run], part.target)
		}
		rows = append(rows, []string{part.what, percent(y.share(part.bad, "plain"), y.share(part.bad, "scrambled")), noLess(part.target),
			fmt.Sprintf("2 × %d", y.all["plain"]), ownTruth})
	}
	rows = append(rows, y.inverseRow(t, "one change"))
	for _, w := range ways {
		rows = append(rows, y.faultlessRow(t, w.name, "faultless: "+w.name, faultlessTarget))
	}
	figures.Keep(t, "accuracy.md", "explain-exact", rows)
}

// Two or three changes at once.
func TestAccuracyExplainSeveral(t *testing.T) {
	y := runSuite(t, severalSuite, sized(severalCases, severalSample))
	kinds := []string{"2 changes", "3 changes"}
	y.report(t, kinds)
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for _, kind := range kinds {
		rows = append(rows, y.faultlessRow(t, kind, "all of "+kind+" found, nothing invented", severalTarget))
	}
	rows = append(rows, y.inverseRow(t, "several changes"))
	figures.Keep(t, "accuracy.md", "explain-several", rows)
}

// faultlessRow is the row of a kind of cases, plain and scrambled, held against
// its target.
func (y *tally) faultlessRow(t *testing.T, kind, words string, target float64) []string {
	t.Helper()
	shares, n := [2]float64{}, 0
	for k, run := range runs {
		count, failed := y.byKind(kind, run)
		n, shares[k] = count, 100*float64(count-failed)/float64(max(count, 1))
		atLeast(t, kind+", "+run, failed, count, target)
	}
	return []string{words, percent(shares[0], shares[1]), noLess(target), fmt.Sprintf("2 × %d", n), ownTruth}
}

// inverseRow is the row of the changes made again.
func (y *tally) inverseRow(t *testing.T, suite string) []string {
	t.Helper()
	t.Logf("made again: %s", y.inverseReport())
	atLeast(t, suite+" made again", len(y.inverseFailed), y.inverse, inverseTarget)
	return []string{inverseRow, fmt.Sprintf("%.1f %%", y.inverseShare()), noLess(inverseTarget), fmt.Sprint(y.inverse), "the second outline"}
}

// Nothing was changed: only divided elsewhere and listed from another corner,
// or moved and turned on the sheet as well, or turned over besides.
func TestAccuracyExplainSame(t *testing.T) {
	y := newTally()
	kinds := []string{"divided", "moved", "mirrored"}
	for _, number := range caseNumbers(sized(sameCases, sameSample)) {
		rng := sameSuite.rng(number)
		kind, shape, m := sameSuite.make(rng, number)
		s := unaltered(rng, m.now, kind)
		d, err := diff.Pieces(m.from, s.piece, pattern.New("smock", units.Centimetre))
		v := judgeSame(m, s, d, err)
		y.add(group{kind, shape, "plain"}, number, v)
		show(t, fmt.Sprintf("same case %d: a %s, %s", number, shape, kind), m, kind, []change.PieceDiff{d}, v)
	}
	y.report(t, kinds)
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for _, kind := range kinds {
		n, failed := y.byKind(kind, "plain")
		atLeast(t, "unchanged, "+kind, failed, n, sameTarget)
		rows = append(rows, []string{map[string]string{
			"divided":  "divided elsewhere, begun at another corner: the same",
			"moved":    "moved and turned besides: the same, and laid back within 0.05 mm",
			"mirrored": "turned over besides: the same, and said to be mirrored"}[kind],
			fmt.Sprintf("%.1f %%", 100*float64(n-failed)/float64(max(n, 1))), fmt.Sprintf("%g %%", float64(sameTarget)), fmt.Sprint(n), "the piece itself"})
	}
	figures.Keep(t, "accuracy.md", "explain-same", rows)
}

// unaltered scrambles a piece but for the names of its edges.
func unaltered(rng *rand.Rand, p *pattern.Piece, kind string) scrambling {
	if kind != "divided" {
		return scrambled(rng, p, kind == "mirrored", true)
	}
	q := stored(redivided(rng, startedElsewhere(rng, p)))
	for i := range q.Edges {
		q.Edges[i].ID = randomID(rng)
	}
	return scrambling{piece: q}
}

// judgeSame asks for no change at all, and for the true pose or another one
// that lays everything on itself as well.
func judgeSame(m *making, s scrambling, d change.PieceDiff, err error) verdict {
	var v verdict
	if err != nil {
		v.fault(&v.kinds, "error: %v", err)
		return v
	}
	for _, ch := range d.Changes {
		v.fault(&v.invented, "invented %s", label(ch.Kind, ch.How))
	}
	if d.State != change.Same {
		v.fault(&v.kinds, "told as %s", d.State)
	}
	back := motionOf(d.Placement)
	if s.astray(back) > exactly.mm {
		laid := s.piece.Moved(back)
		if apart(m.from, laid) > exactly.mm || cornersApart(m.from, laid, true) > exactly.mm {
			v.fault(&v.pose, "pose off by %.2f mm", s.astray(back))
		}
	}
	return v
}

// Traced again with a shaky hand after 20 to 40 % of the boundary was changed.
func TestAccuracyExplainRetraced(t *testing.T) {
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for k, hand := range hands {
		y, e := retracedTally(t, hand, uint64(k+1), sized(retracedCases, retracedSample))
		y.report(t, []string{"retraced"})
		rows = append(rows, e.rows(t, hand.name, y)...)
	}
	figures.Keep(t, "accuracy.md", "explain-retraced", rows)
}

// rows are those of one hand, held against their targets.
func (e *traceErrors) rows(t *testing.T, hand string, y *tally) [][]string {
	t.Helper()
	n, few := y.all["plain"], 0.0
	if !figures.Full() { // a sample of so few cases says less
		few = 20
	}
	var rows [][]string
	cases := func(what string, bad int, target float64, goal, against string) {
		atLeast(t, hand+": "+what, bad, n, target-few)
		value := 100 * float64(bad) / float64(n)
		if strings.HasPrefix(goal, "≥") {
			value = 100 - value
		}
		rows = append(rows, []string{hand + " error: " + what, fmt.Sprintf("%.1f %%", value), goal, fmt.Sprint(n), against})
	}
	amounts := func(what string, of []float64, target float64, against string) {
		value := quantile(of, 0.9)
		if few == 0 || len(of) >= 30 { // of fewer, one alone is the tenth
			atMost(t, hand+": "+what, value, target, 3)
		}
		rows = append(rows, []string{hand + " error: " + what, fmt.Sprintf("%.2g", value), noMore(target), fmt.Sprint(len(of)), against})
	}
	best := func(of [2][]float64) string {
		return fmt.Sprintf("%s; least squares told all but the figures: %.2g; all but those and how it lies: %.2g", ownTruth, quantile(of[0], 0.9), quantile(of[1], 0.9))
	}
	goal := retracedTargets[hand]
	cases("kind and edge right", y.kinds["plain"], goal.kinds, noLess(goal.kinds), ownTruth)
	cases("no change of an edge invented", y.invented["plain"], goal.invented, noLess(goal.invented), ownTruth)
	amounts("figures in mm of what was moved or swung, p90", e.mm, retracedMM, best(e.bestMM))
	amounts("figures in degrees, p90", e.degrees, retracedDegrees, best(e.bestTurn))
	amounts("greatest departure of what was redrawn in mm, p90", e.redrawn, retracedMM, ownTruth)
	cases("laid wrongly by 1 mm or more", y.pose["plain"], 100-goal.wrongPose, fmt.Sprintf("< %g %%", goal.wrongPose), "where it was traced")
	what := "truly ambiguous, and neither right nor told so"
	atMost(t, hand+": "+what, float64(e.untold), 0, 1)
	return append(rows, []string{hand + " error: " + what, fmt.Sprint(e.untold), "0", fmt.Sprint(e.ambiguous), "the argument of the test"})
}

// traceErrors gathers figures of many traced pieces.
type traceErrors struct {
	mm, degrees       []float64 // of what was moved or swung
	redrawn           []float64 // mm, of greatest departures
	ambiguous, untold int

	// What least squares can do that is told all but the figures, and all but
	// those and how the drawing lies.
	bestMM, bestTurn [2][]float64
}

func retracedTally(t *testing.T, hand shaky, key uint64, n int) (*tally, traceErrors) {
	t.Helper()
	y, e := newTally(), traceErrors{}
	for _, number := range caseNumbers(n) {
		rng := rand.New(rand.NewPCG(uint64(number), key))
		r := makeRetraced(rng, number, hand)
		res, d, err := r.traced()
		if r.m.ambiguousWithin(3*traceSigma, false) {
			e.ambiguous++
			if err != nil || (r.astray(res.Pose) > wrongPose && len(res.Alternatives) == 0) {
				e.untold++
				t.Logf("retraced case %d of a %s, %s error: ambiguous and not told; laid off by %.1f mm, %v", number, r.shape, hand.name, r.astray(res.Pose), err)
			}
			continue
		}
		v := r.judge(res, d, err, &e)
		for k, back := range []geom.Motion{r.motion.Inverse(), r.fittedPose()} {
			mm, turn := r.leastPossible(back)
			e.bestMM[k], e.bestTurn[k] = append(e.bestMM[k], mm...), append(e.bestTurn[k], turn...)
		}
		y.add(group{"retraced", r.shape, "plain"}, number, v)
		show(t, fmt.Sprintf("retraced case %d of a %s, %s error", number, r.shape, hand.name), r.m, hand.name, []change.PieceDiff{d}, v)
	}
	return y, e
}

// judge asks for the kinds and edges; how far figures are out is gathered.
func (r retracing) judge(res trace.Result, d change.PieceDiff, err error, e *traceErrors) verdict {
	j := &judgement{m: r.m, slack: slack{3, 2}, was: map[string]string{}}
	if err != nil {
		j.fault(&j.kinds, "error: %v", err)
		return j.verdict
	}
	laid := r.m.now.Moved(r.motion).Moved(res.Pose.Motion)
	if astray := r.astray(res.Pose); astray > wrongPose && !r.m.alikeWithin(laid, wrongPose, false) {
		j.fault(&j.pose, "pose off by %.2f mm", astray)
	}
	j.collect(d)
	for _, c := range r.m.claims {
		best := (*found)(nil)
		for _, reading := range append([]claim{c}, c.or...) {
			for _, f := range j.found {
				if best == nil && !f.used && j.about(reading, f) {
					best = f
					mm, degrees := reading.errors(f.Change)
					e.degrees = append(e.degrees, degrees...)
					if reading.kind == change.EdgeRedrawn {
						e.redrawn = append(e.redrawn, mm...)
					} else {
						e.mm = append(e.mm, mm...)
					}
				}
			}
		}
		if best == nil {
			j.fault(&j.kinds, "missing %s (told: %s)", label(c.kind, c.how), j.told(c))
			continue
		}
		best.used = true
	}
	for _, f := range j.found {
		if _, outline := stageOf(f.Kind); !f.used && (f.Kind == change.Spread || (outline && f.OldPath != nil && f.Kind != change.EdgeRun)) {
			j.fault(&j.invented, "invented %s", label(f.Kind, f.How))
		}
	}
	return j.verdict
}

func quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(values))
	return s[min(len(s)-1, int(q*float64(len(s))))]
}
