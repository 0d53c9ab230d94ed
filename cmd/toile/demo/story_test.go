package demo

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/check"
	"toile/repo"
)

// The story keeps what the issue of a demo asks for: versions, fittings, a
// branch; and after every version each seam still matches within the
// pattern's tolerance a section (1.5 mm, common practice), and a check finds
// nothing.
func TestStorySewsTogetherAtEveryVersion(t *testing.T) {
	dir := t.TempDir()
	made, err := Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(made.Versions), 10)
	r, err := repo.Open(made.Pattern)
	require.NoError(t, err)
	defer r.Close()
	fittings := map[int]bool{}
	branches := map[string]bool{}
	kept := map[int]int{} // recipes by version; those of the branch come last
	for _, v := range made.Versions {
		fittings[v.Fitting], branches[v.Branch] = true, true
		files, err := r.Read(v)
		require.NoError(t, err)
		p, err := pattern.Decode(files)
		require.NoError(t, err)
		for i := range p.Seams {
			sections, err := p.WalkSeam(&p.Seams[i])
			require.NoError(t, err)
			for _, s := range sections {
				require.InDelta(t, s.Ease, s.Difference(), p.Tolerances.Section, "version %d, %s, %s", v.Number, p.Seams[i].Name, s.Name)
			}
		}
		found, err := check.Run(p, check.Options{})
		require.NoError(t, err)
		require.Empty(t, found.Findings, "version %d of %s", v.Number, v.Branch)
		again, err := p.Encode()
		require.NoError(t, err)
		for name, text := range files {
			if name == repo.RecipesFile {
				recipes, err := pattern.DecodeRecipes(name, text)
				require.NoError(t, err)
				require.NotEmpty(t, recipes.List)
				kept[v.Number] = len(recipes.List)
				continue
			}
			require.True(t, bytes.Equal(text, again[name]), "version %d, %s is not canonical", v.Number, name)
		}
	}
	require.Len(t, branches, 2)
	require.Equal(t, 8, kept[3], "three hems, what follows, the reference line and two notches")
	require.Zero(t, kept[2], "a fitting alters nothing")
	require.GreaterOrEqual(t, len(fittings), 3)
	for _, file := range []string{made.Index, filepath.Join(made.Drawings, "working-03-front.svg"), filepath.Join(made.Drawings, "piece-sleeve.svg")} {
		require.FileExists(t, file)
	}
	before, err := os.ReadFile(made.Index)
	require.NoError(t, err)
	_, err = Write(filepath.Join(dir, "demo"))
	require.ErrorContains(t, err, "not empty")
	after, err := os.ReadFile(made.Index)
	require.NoError(t, err)
	require.Equal(t, before, after)
}

func BenchmarkDemo(b *testing.B) {
	for b.Loop() {
		if _, err := Write(filepath.Join(b.TempDir(), "demo")); err != nil {
			b.Fatal(err)
		}
	}
}
