package diff_test

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// besidesSuite opens or folds out a piece and then shifts its hem or lets an
// edge out, whether the line crosses that edge or not.
var besidesSuite = suite{"besides", 0x27d4eb2f165667c5, makeBesides}

// secondWays are the second changes of the suite.
var secondWays = []way{{"edge-moved shifted", stageMove, shiftHem}, {"edge-moved parallel", stageMove, parallelEdge}}

func makeBesides(rng *rand.Rand, number int) (kind, shape string, m *making) {
	w := secondWays[number%2]
	hinged := number/2%2 == 1
	for try, k := 0, number/4; ; try++ {
		if try%10 == 9 {
			k++
		}
		m := newMaking(rng, drafted(rng, k))
		if !spread(hinged)(m) {
			continue
		}
		clear(m.changed)
		if !m.try(w) || m.ambiguous() {
			continue
		}
		kind := "spread parallel and " + w.name
		if hinged {
			kind = "spread hinged and " + w.name
		}
		return kind, shapes[k%len(shapes)].name, m
	}
}

// A piece opened along a line and altered besides: how often both changes are
// told with the right kinds, edges and figures. What was cut or run on is not
// judged here, for a crossed edge may be drawn anew twice. There is no target
// yet; the least that is known to be reached is held.
func TestExplainBesides(t *testing.T) {
	y := runSuite(t, besidesSuite, sized(200, 24))
	for _, run := range runs {
		kinds, amounts := y.share(y.kinds, run), y.share(y.amounts, run)
		t.Logf("%s: kinds and edges right %.1f %%, figures right %.1f %%", run, kinds, amounts)
		atLeast(t, "kinds and edges, "+run, y.kinds[run], y.all[run], leastBesides)
	}
	t.Logf("commonest faults:\n%s", y.reasons(20))
}

// leastBesides is the share in percent that the suite is known to reach, since
// what was drawn over the gap of an opening counts as a change of its own.
const leastBesides = 59

// The page on accuracy says which kinds are never combined with others.
func TestNeverCombinedIsSaid(t *testing.T) {
	page, err := os.ReadFile("../docs/accuracy.md")
	require.NoError(t, err)
	_, section, found := strings.Cut(string(page), "## Two or three changes at once, explained")
	require.True(t, found)
	section, _, _ = strings.Cut(section, "<!-- explain-several -->")
	for _, w := range ways {
		if w.stage == stageAlone {
			require.Contains(t, section, w.name)
		}
	}
}
