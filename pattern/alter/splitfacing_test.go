package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A facing split along its length still lies on its front: the inner part has no
// edge at the front edge, and its own inner edge belongs to nothing.
func TestSplitFacingLiesWhereItLay(t *testing.T) {
	p := stored(t, patternOf(oblongOf("front", 0, 0, 300, 600, "shoulder", "front edge", "hemline", "side seam")))
	straight := stored(t, made(t, p, "facing", "front", "edges", "front edge", "width", "70", "as", "facing").Pattern)
	for i, line := range []string{"shoulder@30:hemline@40", "shoulder@35:hemline@35", "shoulder@10:hemline@60", "front edge@300:inner edge@300"} {
		r := stored(t, made(t, straight, "split", "facing", "line", line, "into", "inside,outside").Pattern)
		require.Empty(t, laySays(t, r), line)
		if i > 0 {
			continue
		}
		for _, name := range []string{"inside", "outside"} {
			wrong := made(t, r, "let-out", name, "edge", "hemline", "by", "10").Pattern
			require.NotEmpty(t, laySays(t, wrong), "%s, hem let out by 10 mm", name)
		}
	}
	smock := stored(t, smallSmock(t))
	for _, line := range []string{"shoulder@21.6:hemline@25.4", "inner edge@447.3:neckline@47.6", "shoulder@25:hemline@30", "inner edge@400:front edge@300"} {
		r := stored(t, made(t, smock, "split", "front facing", "line", line, "into", "inside,outside").Pattern)
		require.Empty(t, laySays(t, r), line)
	}
}
