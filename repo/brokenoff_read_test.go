package repo

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A command that died between two versions is seen by those that only read, until
// one that changes something has cleared up; one that still runs is not.
func TestBrokenOffIsSeen(t *testing.T) {
	r := withVersions(t, 2)
	require.False(t, r.BrokenOff())
	a, b := strings.Repeat("a", 40), strings.Repeat("b", 40)
	journal := func(from, to string) {
		text := journalSwitch + from + " " + to + "\n" + journalLine + unknownYet + " 0 HEAD.lock\n" + journalEnd + "\n"
		require.NoError(t, os.WriteFile(r.own(journalFile), []byte(text), 0o666))
	}
	journal(a, a)
	assert.False(t, r.BrokenOff(), "the folder was not to change")
	unlock, err := r.Lock()
	require.NoError(t, err)
	journal(a, b)
	assert.False(t, r.BrokenOff(), "another command runs")
	require.NoError(t, r.ops.Overwrite(r.own(journalFile), nil))
	unlock()
	last, err := r.Last()
	require.NoError(t, err)
	journal(last.Parents[0], last.ID)
	assert.True(t, r.BrokenOff())
	unlock, err = r.Lock()
	require.NoError(t, err)
	unlock()
	assert.False(t, r.BrokenOff())
}
