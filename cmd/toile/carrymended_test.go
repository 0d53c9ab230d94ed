package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// After a change that both sides of a seam made a hem that is shortened on one side is
// still carried to the other; after a swing in the same version too.
func TestCarryAfterBothSidesMadeAChange(t *testing.T) {
	for _, first := range [][]string{
		{"let-out", "back", "side seam", "10", "--to", "hemline", "--both"},
		{"flare", "back", "side seam", "20", "--both"},
		{"take-in", "back", "side seam", "5", "--both"},
	} {
		for _, kept := range []bool{true, false} {
			if !kept && first[0] != "flare" {
				continue // moved at its end and cut there in one version, it is told as moved alone
			}
			w := lay(t, gown(t))
			w.do(append([]string{"alter"}, first...)...)
			if kept {
				w.do("commit", "first")
			}
			apart := w.apart(0)
			require.Contains(t, w.do("alter", "shorten", "back", "hemline", "30"), "front, \"side seam\", is sewn to back, \"side seam\", which changed; it has not", "%v", first)
			said, carried := w.try("alter", "carry", "back", "side seam")
			require.Equal(t, 0, carried, "%v, kept %v: %s", first, kept, said)
			require.InDelta(t, apart, w.apart(0), 0.2, "%v, kept %v", first, kept)
			out, code := w.try("alter", "carry", "back", "side seam")
			require.Equal(t, exitRefused, code, out)
		}
	}
}

// What the other side was given by hand since, in a version of its own or in none, is
// not given again: 20 less 10, and of more than that nothing.
func TestCarryLessWhatWasGivenByHand(t *testing.T) {
	for _, c := range []struct {
		change, byHand []string
		then           string
	}{
		{[]string{"let-out", "back", "side seam", "20"}, []string{"let-out", "front", "side seam", "10"}, "is let out 10 mm"},
		{[]string{"flare", "back", "side seam", "30", "--from", "200"}, []string{"flare", "front", "side seam", "20", "--from", "200"}, "10 mm more at"},
		{[]string{"let-out", "back", "side seam", "20"}, []string{"let-out", "front", "side seam", "30"}, ""},
	} {
		for _, kept := range []bool{true, false} {
			w := lay(t, gown(t))
			w.do(append([]string{"alter"}, c.change...)...)
			w.do("commit", "the change")
			w.do(append([]string{"alter"}, c.byHand...)...)
			if kept {
				w.do("commit", "by hand")
			}
			out, code := w.try("alter", "carry", "back", "side seam")
			if c.then == "" {
				require.Equal(t, exitRefused, code, out)
				require.Contains(t, out, "nothing to carry")
				continue
			}
			require.Equal(t, 0, code, out)
			require.Contains(t, out, c.then)
		}
	}
}

// A lining that lies beside a facing on one outer gives what the facing gets: where
// that is made 20 wider, the lining's edge at it goes back by 20.
func TestCarryFromAFacingToTheLiningBesideIt(t *testing.T) {
	w := jointed(t)
	w.do("alter", "hem-facing", "back", "50")
	w.do("alter", "lining", "back", "--facing", "back hem facing", "--as", "lining")
	w.do("commit", "layers")
	w.do("alter", "let-out", "back hem facing", "inner edge", "20")
	require.Contains(t, w.do("alter", "carry", "back hem facing", "inner edge"), `"inner edge" is taken up by 20 mm`)
	out, code := w.try("check", "--piece", "lining")
	require.Equal(t, 0, code, out)
	require.NotContains(t, out, "overlaps")
}
