package repo

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLine(t *testing.T) {
	r, v := joined(t)
	for tip, want := range map[string][]string{
		"6":   {"6", "5", "3", "2", "1"},
		"4'":  {"4'", "3'", "2'", "1"},
		"2''": {"2''", "1"},
		"1":   {"1"},
	} {
		line, err := r.Line(v[tip])
		require.NoError(t, err)
		var texts []string
		for _, one := range line {
			assert.Equal(t, v[one.Text], one)
			texts = append(texts, one.Text)
		}
		assert.Equal(t, want, texts)
	}
	_, err := r.Line(Version{ID: "front"})
	require.ErrorContains(t, err, `"front" is not the id of a version`)
}

// The line is what the git program calls the first parents.
func TestLineIsGitsFirstParents(t *testing.T) {
	needsGit(t)
	r, v := joined(t)
	line, err := r.Line(v["6"])
	require.NoError(t, err)
	var ids []string
	for _, one := range line {
		ids = append(ids, one.ID)
	}
	assert.Equal(t, git(t, r.Root(), "log", "--first-parent", "--format=%H"), strings.Join(ids, "\n"))
}

// pocketLine is a line in which the pocket's file comes, changes, goes and
// comes back, besides versions that change only other files.
func pocketLine(t *testing.T) (*Repo, []Version) {
	const pocket = "pieces/pocket.yaml"
	r := started(t, smock(0))
	one, two := with(smock(2), pocket, "one"), with(smock(3), pocket, "two")
	other := with(two, "fittings/01-3fa2.yaml", "number: 1 \n")
	for n, files := range []Files{smock(1), one, two, other, smock(5), with(smock(6), pocket, "two")} {
		commit(t, r, n+1, files)
	}
	last, err := r.Last()
	require.NoError(t, err)
	line, err := r.Line(*last)
	require.NoError(t, err)
	return r, line
}

func TestSteps(t *testing.T) {
	r, line := pocketLine(t)
	steps, err := r.Steps(line, "pieces/pocket.yaml")
	require.NoError(t, err)
	assert.Equal(t, []Step{{At: 0, Came: true}, {At: 1, Went: true}, {At: 3}, {At: 4, Came: true}}, steps)

	steps, err = r.Steps(line[1:], "pieces/pocket.yaml")
	require.NoError(t, err)
	assert.Equal(t, []Step{{At: 0, Went: true}, {At: 2}, {At: 3, Came: true}}, steps)

	steps, err = r.Steps(line, PatternFile)
	require.NoError(t, err)
	assert.Equal(t, []Step{{At: 5, Came: true}}, steps)

	steps, err = r.Steps(line, "pieces/collar.yaml")
	require.NoError(t, err)
	assert.Empty(t, steps)
}

// What Steps says of every file is what Changed says of every version.
func TestStepsAgreeWithChanged(t *testing.T) {
	r, line := pocketLine(t)
	want := map[string][]Step{}
	for i, v := range line {
		changed, added, removed, err := r.Changed(v)
		require.NoError(t, err)
		for _, f := range changed {
			want[f] = append(want[f], Step{At: i})
		}
		for _, f := range added {
			want[f] = append(want[f], Step{At: i, Came: true})
		}
		for _, f := range removed {
			want[f] = append(want[f], Step{At: i, Went: true})
		}
	}
	require.Len(t, want, 8)
	for f := range want {
		steps, err := r.Steps(line, f)
		require.NoError(t, err)
		assert.Equal(t, want[f], steps, f)
	}
}

func TestReadFile(t *testing.T) {
	r, line := pocketLine(t)
	for i, want := range []string{"two", "", "two", "two", "one", ""} {
		content, found, err := r.ReadFile(line[i], "pieces/pocket.yaml")
		require.NoError(t, err)
		assert.Equal(t, want, string(content))
		assert.Equal(t, want != "", found)
	}
	content, found, err := r.ReadFile(line[0], PatternFile)
	require.NoError(t, err)
	assert.True(t, found)
	assert.Equal(t, string(smock(6)[PatternFile]), string(content))
}

func TestLineRefuses(t *testing.T) {
	r, line := pocketLine(t)
	for _, name := range []string{"", "pieces", "../pattern.yaml", "pieces/a/b.yaml", "notes.txt"} {
		_, err := r.Steps(line, name)
		require.ErrorContains(t, err, "a file of a pattern", name)
		_, _, err = r.ReadFile(line[0], name)
		require.ErrorContains(t, err, "a file of a pattern", name)
	}
	_, err := r.Steps([]Version{{Number: 4, ID: strings.Repeat("0", 40)}}, PatternFile)
	require.ErrorContains(t, err, "version 4: the pattern's versions are damaged")
}

// A folder where a file should be, and a file where the folder should be, as
// only another program can make them.
func TestLineOfStrangeVersions(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "pieces/pocket.yaml/inside.txt", "a folder")
	git(t, r.Root(), "add", ".")
	git(t, r.Root(), "commit", "-q", "-m", "a folder in place of a piece")
	require.NoError(t, os.RemoveAll(filepath.Join(r.Root(), "pieces")))
	put(t, r, "pieces", "a file")
	git(t, r.Root(), "add", ".")
	git(t, r.Root(), "commit", "-q", "-m", "a file in place of the pieces")
	r = reopened(t, r)
	last, err := r.Last()
	require.NoError(t, err)
	line, err := r.Line(*last)
	require.NoError(t, err)
	for i, number := range []int{3, 2} {
		_, _, err = r.ReadFile(line[i], "pieces/pocket.yaml")
		require.ErrorContains(t, err, fmt.Sprintf("version %d: pieces/pocket.yaml is not what it should be", number))
		_, err = r.Steps(line[i:], "pieces/pocket.yaml")
		require.ErrorContains(t, err, fmt.Sprintf("version %d: pieces/pocket.yaml is not a regular file", number))
	}
	steps, err := r.Steps(line[2:], "pieces/back.yaml")
	require.NoError(t, err)
	require.Equal(t, []Step{{At: 0, Came: true}}, steps)
}
