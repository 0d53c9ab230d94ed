package geom

import "fmt"

// leastLoop in mm is the width from which on a loop of an outline counts:
// chords within fineChord of their curves can feign narrower ones, where two
// sides of an outline touch.
const leastLoop = 4 * fineChord

// windOnce returns an error when one of the two rings crosses itself, so that
// it winds around a place more than once or the other way. The first ring's
// own curves make up its winding. The second's matched stretches lie on the
// first's, which may make it wind so although it does not cross itself; then
// it is arranged alone.
func (a *arrangement) windOnce(first, second Ring) error {
	if a.overwound(0) {
		return crossesItself("first", first)
	}
	if !a.windsOften(1) {
		return nil
	}
	alone, err := second.arranged()
	if err != nil {
		return err
	}
	if alone.overwound(0) {
		return crossesItself("second", second)
	}
	return nil
}

// windsOften reports whether an outline winds around a face neither once nor
// not at all.
func (a *arrangement) windsOften(which int) bool {
	for _, w := range a.winding {
		if w[which] != 0 && w[which] != 1 {
			return true
		}
	}
	return false
}

// overwound reports whether it does so around a region wider than leastLoop.
func (a *arrangement) overwound(which int) bool {
	if !a.windsOften(which) {
		return false
	}
	for _, r := range a.regions(func(w [2]int) bool { return w[which] != 0 && w[which] != 1 }) {
		if r.Width > leastLoop {
			return true
		}
	}
	return false
}

// crossesItself is the error that says so.
func crossesItself(which string, r Ring) error {
	at, i, j, found := r.SelfCrossing()
	meet := fmt.Sprintf("its curves %d and %d meet", i+1, j+1)
	switch {
	case !found:
		return fmt.Errorf("the %s outline runs around a place twice or backwards: what it covers cannot be told; mend it", which)
	case i == j:
		meet = fmt.Sprintf("its curve %d meets itself", i+1)
	}
	return fmt.Errorf("the %s outline crosses itself: %s at (%.3f, %.3f); what it covers cannot be told; mend it there", which, meet, at.X, at.Y)
}
