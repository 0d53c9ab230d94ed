package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A follower that catches up in a later version than its source, in other
// portions than those in which the source was altered, does not turn the source
// into one that lags; one that catches up by half does, and one that changed by
// itself.
func TestACatchingUpIsNoChange(t *testing.T) {
	side := func(kind, piece, by string) string { return "alter|" + kind + "|" + piece + "|side seam|" + by }
	const kept = "commit|kept"
	for name, c := range map[string]struct {
		made []string
		lags bool
	}{
		"in one step":                      {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "10")}, false},
		"two by one":                       {[]string{side("let-out", "back", "10"), kept, side("let-out", "back", "6"), kept, side("let-out", "front", "16")}, false},
		"one by two":                       {[]string{side("let-out", "back", "16"), kept, side("let-out", "front", "6"), kept, side("let-out", "front", "10")}, false},
		"another version between":          {[]string{side("let-out", "back", "16"), kept, "alter|notch|back|centre back|100", kept, side("let-out", "front", "16")}, false},
		"taken back where none followed":   {[]string{side("let-out", "back", "10"), kept, side("take-in", "back", "10")}, false},
		"by half":                          {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "5")}, true},
		"the other way":                    {[]string{side("let-out", "back", "10"), kept, side("take-in", "front", "10")}, true},
		"by itself":                        {[]string{side("let-out", "front", "10")}, true},
		"once more, after it had followed": {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "10"), kept, side("let-out", "front", "10")}, true},
	} {
		t.Run(name, func(t *testing.T) {
			w := lay(t, sewnPair(0, 0, true))
			for _, line := range c.made {
				w.do(strings.Split(line, "|")...)
			}
			const reminder = "which changed; it has not"
			out := w.do("check")
			require.Equal(t, c.lags, strings.Contains(out, reminder), out)
			last, _, _ := strings.Cut(strings.TrimPrefix(c.made[len(c.made)-1], "alter|"), "|side seam")
			_, piece, _ := strings.Cut(last, "|")
			out, code := w.try("alter", "carry", piece, "side seam", "--try")
			if c.lags {
				require.Zero(t, code, out)
				return
			}
			require.Equal(t, exitRefused, code, out)
			require.Contains(t, out, "there is nothing to carry")
			w.do("commit", "caught up")
			require.NotContains(t, w.do("check"), reminder)
			out, code = w.try("alter", "carry", "back", "side seam")
			require.Equal(t, exitRefused, code, out)
			require.Contains(t, out, "there is nothing to carry")
		})
	}
}

// A hem facing that catches up in one go with a hem that was altered in two
// versions leaves its outer nothing to follow.
func TestAHemFacingCatchesUp(t *testing.T) {
	w := lay(t, sewnPair(18, 30, true))
	w.do("alter", "hem-facing", "back", "50", "--as", "bhf")
	w.do("commit", "faced")
	for _, by := range []string{"20", "10"} {
		w.do("alter", "shorten", "back", "hemline", by, "--along", "side seam", "--both")
		w.do("commit", "shorter by "+by)
	}
	w.do("alter", "carry", "back", "hemline", "--to", "bhf")
	for _, when := range []string{"before", "after"} {
		out := w.do("check")
		require.NotContains(t, out, "has not", when)
		out, code := w.try("alter", "carry", "bhf", "hemline", "--to", "back")
		require.Equal(t, exitRefused, code, out)
		require.Contains(t, out, "there is nothing to carry")
		if when == "before" {
			w.do("commit", "caught up")
		}
	}
	// Drawn on by itself it is the facing that changed.
	w.do("alter", "shorten", "bhf", "hemline", "15")
	out, _ := w.try("check")
	require.Contains(t, out, "bhf")
	require.Contains(t, out, "hemline")
}
