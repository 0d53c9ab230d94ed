package repo

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The advice to pack comes when there are many small files, and not again soon.
func TestPackingIsAdvisedNowAndThen(t *testing.T) {
	r := withVersions(t, 2)
	require.NoError(t, mkdirAll(r.ops, r.path(looseFolder)))
	for n := range looseMany {
		require.NoError(t, os.WriteFile(r.path(fmt.Sprintf("%s/%038x", looseFolder, n)), nil, 0o444))
	}
	_, err := r.Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(3)})
	require.NoError(t, err)
	said := r.Warnings()
	require.Len(t, said, 1)
	assert.Contains(t, said[0], "`git gc`")
	assert.Contains(t, said[0], "about 6900 small files")
	commit(t, r, 4, smock(4))
	r.advisePacking(time.Now().Add(packingPause + time.Hour))
	assert.Len(t, r.Warnings(), 1)
}
