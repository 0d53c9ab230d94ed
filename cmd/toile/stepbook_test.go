package main

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/repo"
)

// The history of a piece is the same when it is told a second time, from what was
// kept of the first: through a time in which the piece was not there, through
// another name, and through another piece that came into its file.
func TestPieceHistoryByHeart(t *testing.T) {
	p := gown(t)
	files, err := p.Encode()
	require.NoError(t, err)
	r, err := repo.Start(filepath.Join(t.TempDir(), "gown"), files)
	require.NoError(t, err)
	defer r.Close()
	collar, err := p.Piece("collar")
	require.NoError(t, err)
	for n := range 30 {
		collar.Edges[0].Allowance = map[string]float64{pattern.ClothSet: 10 + float64(n)}
		files, err := p.Encode()
		require.NoError(t, err)
		switch n {
		case 4:
			delete(files, collar.FileName())
		case 20:
			collar.Name = "stand"
			files, err = p.Encode()
			require.NoError(t, err)
		}
		_, err = r.Commit(files, repo.CommitOptions{Text: fmt.Sprintf("change %d", n+1), Author: repo.Author{Name: "Picker"}})
		require.NoError(t, err)
	}
	tell := func(opt historyOptions) string {
		o := &opened{repo: r, now: time.Now, reader: &pattern.Reader{}}
		require.NoError(t, o.pieceHistory(opt))
		return o.result.String()
	}
	for _, name := range []string{"stand", "collar"} {
		for _, json := range []bool{false, true} {
			first := tell(historyOptions{piece: name, json: json})
			require.Contains(t, first, "change 30")
			require.Contains(t, first, "change 7")
			assert.Equal(t, first, tell(historyOptions{piece: name, json: json}))
		}
	}
	o := &opened{repo: r, now: time.Now, reader: &pattern.Reader{}}
	steps, err := o.pieceSteps("stand", o.newStepBook())
	require.NoError(t, err)
	known := 0
	for _, s := range steps {
		if s.byHeart != nil && s.now == nil {
			known++
		}
	}
	assert.Greater(t, known, 20, "most steps were not looked at again")
}
