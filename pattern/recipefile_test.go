package pattern

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern/units"
)

const goodRecipes = `format: 1
unit: cm
recipes:
- alter: flare
  piece: back
  with: {by: 5cm, edge: side seam, from: 18@start}
- alter: split
  piece: front
  with: {into: 'middle,side', line: '12,0:15,90'}
  edited: true
- alter: round-corner
  piece: front
  with: {corner: neckline/front edge, radius: 5/8}
  unit: in
`

// What is read is printed again to the byte, and means the same.
func TestRecipesAreCanonical(t *testing.T) {
	r, err := DecodeRecipes(RecipesFile, []byte(goodRecipes))
	require.NoError(t, err)
	require.Equal(t, units.Centimetre, r.Unit)
	require.Equal(t, Recipe{Kind: "split", Piece: "front", Values: map[string]string{"into": "middle,side", "line": "12,0:15,90"}, Edited: true}, r.List[1])
	text, err := r.Encode()
	require.NoError(t, err)
	require.Equal(t, strings.ReplaceAll(goodRecipes, "'", `"`), strings.ReplaceAll(string(text), "'", `"`))
	again, err := DecodeRecipes(RecipesFile, text)
	require.NoError(t, err)
	require.Equal(t, r, again)
	require.NoError(t, schemas(t)["recipes"].Validate(plain(t, text)))
}

var recipeRefusals = []refusal{
	{"nothing at all", goodRecipes, "", 1, "the file is empty"},
	{"no format", "format: 1\n", "", 1, `the key "format" is missing`},
	{"a newer format", "format: 1", "format: 2", 1, "a newer toile wrote it"},
	{"a bad unit", "unit: cm", "unit: ell", 2, "is not a unit of length"},
	{"a word as the recipes", "recipes:\n", "recipes: none\nmore:\n", 3, "a list is wanted"},
	{"no kind", "alter: flare\n  piece", "piece", 4, `recipe: the key "alter" is missing`},
	{"no piece", "  piece: back\n", "", 4, `recipe: the key "piece" is missing`},
	{"a key that is none", "by: 5cm", "By: 5cm", 6, `recipe: with: "By" is no key`},
	{"an empty value", "by: 5cm", "by: ''", 6, "by is empty; leave it out"},
	{"a list as a value", "by: 5cm", "by: [5cm]", 6, "a single value is wanted"},
	{"a control character", "by: 5cm", `by: "5\u0007"`, 6, "control character"},
	{"a long value", "by: 5cm", "by: " + strings.Repeat("a", 5000), 6, "4096 is the most"},
	{"an unknown key", "  piece: back", "  piece: back\n  of: 3", 6, `recipe: unknown key "of"; the keys here are alter, piece, unit, edited, with`},
	{"a flag that is none", "edited: true", "edited: perhaps", 10, "neither true nor false"},
}

func TestRecipeRefusals(t *testing.T) {
	s := schemas(t)["recipes"]
	for _, c := range recipeRefusals {
		t.Run(c.name, func(t *testing.T) {
			text := c.apply(t, goodRecipes)
			_, err := DecodeRecipes(RecipesFile, []byte(text))
			checkFileError(t, err, RecipesFile, c.line, c.reason)
			if text != "" {
				assert.Error(t, s.Validate(plain(t, []byte(text))))
			}
		})
	}
}

// Whatever is read is printed in a form that reads back to the same.
func FuzzRecipes(f *testing.F) {
	f.Add([]byte(goodRecipes))
	f.Add([]byte("format: 1\nrecipes: []\n"))
	for _, c := range recipeRefusals {
		f.Add([]byte(strings.Replace(goodRecipes, c.old, c.new, 1)))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := DecodeRecipes(RecipesFile, text)
		if err != nil {
			return
		}
		printed, err := r.Encode()
		require.NoError(t, err)
		again, err := DecodeRecipes(RecipesFile, printed)
		require.NoError(t, err, "%s", printed)
		for i := range r.List {
			if r.List[i].Unit == r.Unit {
				r.List[i].Unit = "" // said for the whole file
			}
		}
		require.True(t, reflect.DeepEqual(r, again) || len(r.List) == 0 && len(again.List) == 0, "%s", printed)
	})
}
