package demo

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

// The smock's alterations are made by the commands of alter: the recipes that a
// version keeps, made again on the version before it, give its pieces to the
// byte, but for what is set as a hem. Every piece that changes after the first draft does so by them, and each
// version answers notes of its fitting, all of which are answered but the last.
func TestTheStoryIsMadeByItsRecipes(t *testing.T) {
	made, err := Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	r, err := repo.Open(made.Pattern)
	require.NoError(t, err)
	defer r.Close()
	read := func(v repo.Version) (*pattern.Pattern, map[string][]byte) {
		files, err := r.Read(v)
		require.NoError(t, err)
		p, err := pattern.Decode(files)
		require.NoError(t, err)
		return p, files
	}
	before := map[string]repo.Version{}
	answered := map[string]int{}
	for k, v := range made.Versions {
		before[v.ID] = v
		if k == 0 {
			continue
		}
		require.Len(t, v.Parents, 1)
		parent, _ := read(before[v.Parents[0]])
		p := parent
		want, files := read(v)
		changed := false
		for _, q := range want.Pieces {
			old, err := p.Piece(q.Name)
			changed = changed || err != nil || string(encoded(t, old)) != string(encoded(t, q))
		}
		var recipes pattern.Recipes
		if text, kept := files[repo.RecipesFile]; kept {
			recipes, err = pattern.DecodeRecipes(repo.RecipesFile, text)
			require.NoError(t, err)
		}
		require.Equal(t, changed, len(recipes.List) > 0, "version %d, %s", v.Number, v.Text)
		for _, one := range recipes.List {
			if one.Unit == "" {
				one.Unit = recipes.Unit
			}
			if one.Kind == "carry" {
				p = carriedAgain(t, p, parent, one)
				continue
			}
			res, err := alter.Make(p, one)
			require.NoError(t, err, "version %d: %s", v.Number, alter.Typed(one))
			p = res.Pattern
		}
		require.Equal(t, want.PieceNames(), p.PieceNames(), "version %d", v.Number)
		for _, q := range want.Pieces {
			got, err := p.Piece(q.Name)
			require.NoError(t, err)
			for i := range got.Edges { // what is a hem is said with `toile edge`
				got.Edges[i].Hem = q.Edges[i].Hem
			}
			require.Equal(t, string(encoded(t, q)), string(encoded(t, got)), "version %d, %s", v.Number, q.Name)
		}
		if changed && v.Branch == repo.FirstBranch {
			require.NotEmpty(t, v.Answers, "version %d answers no note", v.Number)
		}
		for _, key := range v.Answers {
			answered[key] = v.Number
		}
	}
	last, _ := read(made.Versions[len(made.Versions)-2])
	for _, f := range last.Fittings {
		for _, n := range f.Notes {
			key := f.Key(n)
			require.Equal(t, answered[key], n.Answered, key)
			require.Equal(t, key == "3.3", n.Open(), key)
		}
	}
}

func encoded(t *testing.T, q *pattern.Piece) []byte {
	t.Helper()
	text, err := q.Encode()
	require.NoError(t, err)
	return text
}

// carriedAgain brings a change to the layers of a piece that lay along it in the
// version before, as the command does.
func carriedAgain(t *testing.T, p, before *pattern.Pattern, r alter.Recipe) *pattern.Pattern {
	t.Helper()
	followers, err := alter.FollowersAsked(p, r)
	require.NoError(t, err)
	var lacking []alter.Lacking
	for _, f := range followers {
		if lacks, _ := alter.LayerLacks(p, before, r.Piece, r.Values["edge"], f.Piece); f.Why == alter.Layered && lacks {
			lacking = append(lacking, alter.Lacking{Follower: f, Before: before})
		}
	}
	require.NotEmpty(t, lacking)
	res, err := alter.Carry(p, r, lacking)
	require.NoError(t, err)
	return res.Pattern
}
