package diff_test

import (
	"fmt"
	"math"
	"testing"

	"toile/docs/figures"
)

// The targets of docs/accuracy.md, which the tests hold.
const (
	kindsTarget     = 99.5 // per cent of the cases of one change whose kinds and edges are right
	figuresTarget   = 99.5 // whose figures are within 0.05 mm and 0.02°
	inventedTarget  = 99   // in which nothing is told that was not done
	runsTarget      = 99   // in which what was cut or run on is told, with its cause
	faultlessTarget = 99   // of every kind in which all of that is right
	severalTarget   = 95   // of two and of three changes at once
	inverseTarget   = 99   // in which what is told, made again, gives the second outline
	sameTarget      = 100  // of pieces that only lie elsewhere or are divided otherwise

	retracedMM      = 0.5 // of figures of a piece traced again, p90
	retracedDegrees = 0.2
)

// retracedTargets are those of a piece traced again, by hand: per cent of cases.
var retracedTargets = map[string]struct{ kinds, invented, wrongPose float64 }{
	"independent":    {95, 95, 1},
	"slowly varying": {90, 90, 3},
}

// shortfall is what a figure holds where it does not reach its target yet, just
// beside what is measured, and why. One whose target is met has to go.
type shortfall struct {
	holds float64
	why   string
}

// unmet lists them by the words of the table.
var unmet = map[string]shortfall{
	"slowly varying: figures in mm of what was moved or swung, p90": {0.65,
		"least squares that is told all but the figures and how the drawing lies is out by 0.58: errors alike over 50 mm leave an edge of 200 mm four of them"},
	"slowly varying: figures in degrees, p90": {0.46,
		"the same least squares is out by 0.47, for many arms are no longer than 100 mm"},
	"slowly varying: greatest departure of what was redrawn in mm, p90": {0.75,
		"an error of 0.3 mm that varies slowly is taken for the line wherever that was redrawn; its greatest departure from the line over several lengths of 50 mm is 0.6 by itself"},
	"slowly varying: truly ambiguous, and neither right nor told so": {1,
		"one skirt panel is laid 5.2 mm off and no other way to lay it is named"},
}

// heldTo is what a figure has to hold, and takes note in a full run of a target
// that is met although it is listed as unmet.
func heldTo(t *testing.T, what string, target float64, met bool) float64 {
	t.Helper()
	s, listed := unmet[what]
	if !listed {
		return target
	}
	if met && figures.Full() {
		t.Errorf("%s: the target is met; take it from the list of those that are not", what)
	}
	return s.holds
}

// atLeast fails when more of n cases are bad than the target in per cent lets;
// one may be in any case, where a sample is so small that it lets none, but for a
// target of all of them.
func atLeast(t *testing.T, what string, bad, n int, target float64) {
	t.Helper()
	if *oneCase >= 0 || n == 0 {
		return
	}
	may := func(percent float64) int {
		few := (100 - percent) / 100 * float64(n)
		if !figures.Full() { // a sample has more of them by chance, within twice the spread of a count
			few += 2 * math.Sqrt(few)
		}
		return int(max(math.Floor(few+1e-9), min(math.Ceil(few), 1)))
	}
	if hold := heldTo(t, what, target, bad <= may(target)); bad > may(hold) {
		t.Errorf("%s: %d of %d cases fail, %d may; the target is %g %%", what, bad, n, may(hold), target)
	}
}

// atMost fails when a figure is above its target; a sample of a few cases may be
// out by so many times as much.
func atMost(t *testing.T, what string, value, target, sample float64) {
	t.Helper()
	if *oneCase >= 0 {
		return
	}
	hold := heldTo(t, what, target, value <= target)
	if !figures.Full() {
		hold *= sample
	}
	if !(value <= hold) {
		t.Errorf("%s: %.3f, at most %g; the target is %g", what, value, hold, target)
	}
}

// The targets as the tables give them.
func noLess(target float64) string { return fmt.Sprintf("≥ %g %%", target) }
func noMore(target float64) string { return fmt.Sprintf("≤ %g", target) }
