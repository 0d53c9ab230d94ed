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
		// from is the piece to carry from, where it is not the one altered last.
		from string
	}{
		"in one step":                      {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "10")}, false, ""},
		"two by one":                       {[]string{side("let-out", "back", "10"), kept, side("let-out", "back", "6"), kept, side("let-out", "front", "16")}, false, ""},
		"one by two":                       {[]string{side("let-out", "back", "16"), kept, side("let-out", "front", "6"), kept, side("let-out", "front", "10")}, false, ""},
		"another version between":          {[]string{side("let-out", "back", "16"), kept, "alter|notch|back|centre back|100", kept, side("let-out", "front", "16")}, false, ""},
		"taken back where none followed":   {[]string{side("let-out", "back", "10"), kept, side("take-in", "back", "10")}, false, ""},
		"by half":                          {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "5")}, true, "back"},
		"the other way":                    {[]string{side("let-out", "back", "10"), kept, side("take-in", "front", "10")}, true, ""},
		"by itself":                        {[]string{side("let-out", "front", "10")}, true, ""},
		"once more, after it had followed": {[]string{side("let-out", "back", "10"), kept, side("let-out", "front", "10"), kept, side("let-out", "front", "10")}, true, ""},
	} {
		t.Run(name, func(t *testing.T) {
			w := lay(t, sewnPair(0, 0, true))
			for _, line := range c.made {
				w.do(strings.Split(line, "|")...)
			}
			const reminder = "which changed; it has "
			out := w.do("check")
			require.Equal(t, c.lags, strings.Contains(out, reminder), out)
			last, _, _ := strings.Cut(strings.TrimPrefix(c.made[len(c.made)-1], "alter|"), "|side seam")
			_, piece, _ := strings.Cut(last, "|")
			if c.from != "" {
				piece = c.from
			}
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

// An edge that is altered again before a version was kept: carry brings the rest
// to an edge that was given the first part, before and after the next version.
func TestCarryTheRest(t *testing.T) {
	for name, c := range map[string]struct {
		first, then []string
	}{
		"hem":     {[]string{"shorten", "back", "hemline", "30"}, []string{"shorten", "back", "hemline", "10"}},
		"let out": {[]string{"let-out", "back", "side seam", "8"}, []string{"let-out", "back", "side seam", "5"}},
		"swung":   {[]string{"flare", "back", "side seam", "30", "--from", "200"}, []string{"flare", "back", "side seam", "20", "--from", "200"}},
	} {
		for _, kept := range []bool{false, true} {
			w := lay(t, sewnPair(0, 40, true))
			once := lay(t, sewnPair(0, 40, true))
			for _, x := range []*worktable{w, once} {
				x.do(append([]string{"alter"}, c.first...)...)
				if x == w {
					x.do("alter", "carry", "back", "side seam")
				}
				x.do(append([]string{"alter"}, c.then...)...)
				if kept && x == w && name == "hem" { // else it fits in length, and is taken as meant
					x.do("commit", "both")
				}
				x.do("alter", "carry", "back", "side seam")
			}
			require.InDelta(t, 0, w.apart(0), 0.01, name)
			a, err := w.pattern().Piece("front")
			require.NoError(t, err)
			b, err := once.pattern().Piece("front")
			require.NoError(t, err)
			for i := range a.Corners {
				require.InDelta(t, 0, a.Corners[i].At.Dist(b.Corners[i].At), 0.02, "%s, kept %v: corner %d", name, kept, i)
			}
			out, code := w.try("alter", "carry", "back", "side seam")
			require.Equal(t, exitRefused, code, out)
			require.Contains(t, out, "there is nothing to carry")
		}
	}
}

// A diff says no more than check does of what has to follow: neither to the
// working pattern nor between versions is a source told to follow what was
// carried from it.
func TestDiffKnowsWhatCaughtUp(t *testing.T) {
	w := lay(t, sewnPair(0, 0, true))
	w.do("alter", "let-out", "back", "side seam", "10", "--to", "hemline")
	w.do("commit", "let out")
	require.Contains(t, w.do("diff", "1", "2"), `front, "side seam", is sewn to back, "side seam", which changed; it has not`)
	w.do("alter", "carry", "back", "side seam")
	require.NotContains(t, w.do("diff"), "it has not")
	w.do("commit", "carried")
	for _, args := range [][]string{{"diff", "2", "3"}, {"diff", "1", "3"}, {"diff", "1"}} {
		require.NotContains(t, w.do(args...), "it has not", args)
	}
	w.do("alter", "let-out", "front", "side seam", "5")
	require.Contains(t, w.do("diff"), `back, "side seam", is sewn to front, "side seam", which changed; it has not`)
}

// Of a pair that was separated since the last version, the half that was altered
// is no laggard, and the other one is, until it has followed.
func TestSeparatedHalvesFollow(t *testing.T) {
	w := lay(t, sewnPair(0, 0, true))
	w.do("alter", "separate", "front", "--drawn", "left")
	w.do("alter", "take-in", "left front", "side seam", "10", "--to", "hemline", "--both")
	for _, command := range []string{"check", "diff"} {
		out := w.do(command)
		require.NotContains(t, out, `left front, "side seam", is sewn to back`, command)
		require.Contains(t, out, `right front, "side seam", is sewn to back, "side seam", which changed; it has not`, command)
	}
	w.do("alter", "carry", "back", "side seam", "--to", "right front")
	for _, command := range []string{"check", "diff"} {
		require.NotContains(t, w.do(command), "it has not", command)
	}
}

// A hem facing that would fit as well further up, its sides running along the
// grain, follows its hem where it is drawn all the same.
func TestAHemFacingFollowsInItsPlace(t *testing.T) {
	for by, hem := range map[string]float64{"30": 570, "500": 100} {
		w := lay(t, sewnPair(0, 0, true))
		w.do("alter", "hem-facing", "back", "50", "--as", "bhf")
		w.do("commit", "faced")
		w.do("alter", "shorten", "back", "hemline", by)
		w.do("alter", "carry", "back", "hemline", "--to", "bhf")
		q, err := w.pattern().Piece("bhf")
		require.NoError(t, err)
		ring, _ := q.SharpRing()
		require.InDelta(t, hem, ring.Box().Max.Y, 0.001)
		require.InDelta(t, hem-50, ring.Box().Min.Y, 0.001)
	}
}
