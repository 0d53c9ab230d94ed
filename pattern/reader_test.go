package pattern

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What was read before is read the same, and what somebody does to it is not
// found in it the next time.
func TestReaderHandsOutCopies(t *testing.T) {
	files := map[string][]byte{PatternFile: []byte("format: 1\nname: x\nunit: cm\nsets: [cloth, toile]\n"),
		"pieces/back.yaml": []byte(goodBack)}
	want, err := Decode(files)
	require.NoError(t, err)
	printed, err := want.Encode()
	require.NoError(t, err)
	r := &Reader{}
	for range 3 {
		p, err := r.Decode(files)
		require.NoError(t, err)
		again, err := r.Encode(p)
		require.NoError(t, err)
		require.Equal(t, printed, again)
		require.Equal(t, want.Pieces, p.Pieces)
		p.Pieces[0].Name = "other"
		p.Pieces[0].Edges[0].Name = "changed"
		p.Pieces[0].Corners[0].At.X = 1
		other, err := r.Encode(p)
		require.NoError(t, err)
		fresh, err := p.Encode()
		require.NoError(t, err)
		require.Equal(t, fresh, other)
		require.NotEqual(t, printed, other)
	}
	bad := maps.Clone(files)
	bad["pieces/back.yaml"] = []byte("name: back\n")
	_, err = r.Decode(bad)
	assert.Error(t, err)
	_, err = r.Decode(files)
	assert.NoError(t, err)
}
