package demo

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every seam of the draft matches within the pattern's tolerance a section,
// declared ease counted: common practice, no source.
func TestDraftSewsTogether(t *testing.T) {
	p, err := smock()
	require.NoError(t, err)
	files, err := p.Encode()
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, q := range p.Pieces {
		require.NoError(t, q.Validate())
		for _, set := range p.Sets {
			_, err := q.CutArea(set)
			require.NoError(t, err, q.Name)
		}
	}
	require.GreaterOrEqual(t, len(p.Pieces), 9)
	for i := range p.Seams {
		sections, err := p.WalkSeam(&p.Seams[i])
		require.NoError(t, err)
		for _, s := range sections {
			t.Logf("%s, %s: %.2f / %.2f", p.Seams[i].Name, s.Name, s.First, s.Second)
			require.InDelta(t, s.Ease, s.Difference(), 0.1, "%s, %s", p.Seams[i].Name, s.Name)
		}
	}
}
