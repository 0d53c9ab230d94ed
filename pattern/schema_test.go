package pattern

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v4"

	"toile/geom"
)

// schemas are the published ones, compiled: piece, pattern, fitting.
func schemas(t *testing.T) map[string]*jsonschema.Schema {
	t.Helper()
	compiled := map[string]*jsonschema.Schema{}
	for _, name := range []string{"piece", "pattern", "fitting", "recipes"} {
		c := jsonschema.NewCompiler()
		s, err := c.Compile(filepath.Join("..", "docs", "schema", name+".schema.json"))
		require.NoError(t, err)
		require.Equal(t, 2020, s.DraftVersion, name)
		compiled[name] = s
	}
	return compiled
}

// schemaOf names the schema of a pattern's file, "" when it has none.
func schemaOf(file string) string {
	switch {
	case file == PatternFile:
		return "pattern"
	case path.Dir(file)+"/" == PieceFolder:
		return "piece"
	case path.Dir(file)+"/" == FittingFolder:
		return "fitting"
	case file == RecipesFile:
		return "recipes"
	}
	return ""
}

// plain loads YAML to the values that JSON has.
func plain(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	require.NoError(t, yaml.Load(text, &v), "%s", text)
	asJSON, err := json.Marshal(v)
	require.NoError(t, err)
	v, err = jsonschema.UnmarshalJSON(strings.NewReader(string(asJSON)))
	require.NoError(t, err)
	return v
}

func checkFiles(t *testing.T, s map[string]*jsonschema.Schema, files map[string][]byte) {
	t.Helper()
	checked := 0
	for name, text := range files {
		if schema := schemaOf(name); schema != "" {
			require.NoError(t, s[schema].Validate(plain(t, text)), "%s\n%s", name, text)
			checked++
		}
	}
	require.Equal(t, len(files)-1, checked, "all but "+AttributesFile)
}

func TestSchemaAcceptsWhatIsWritten(t *testing.T) {
	s := schemas(t)
	checkFiles(t, s, encode(t, richPattern(t)))
	checkFiles(t, s, encode(t, New("an empty one", "in")))
	p, err := Decode(goodFiles())
	require.NoError(t, err)
	checkFiles(t, s, encode(t, p))
}

// Generated patterns: any of the rich model's fields left out, places moved,
// names made anew.
func TestSchemaAcceptsGeneratedPatterns(t *testing.T) {
	s := schemas(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 2))
	words := []string{"yes", "12", "~", "1e9", "side seam", "réglé", "\U0001F34E", "a-b (c)", "null", "0x10", "'"}
	word := func(i int) string { return fmt.Sprintf("%s %d", words[rng.IntN(len(words))], i) }
	for range 100 {
		p := richPattern(t)
		front, err := p.Piece("front")
		require.NoError(t, err)
		for i := range front.Edges {
			p.RenameEdge(front, i, word(i))
		}
		front.Corners[1].At = front.Corners[1].At.Add(geom.Pt(rng.Float64()*20, rng.Float64()*20))
		front.Corners[2].Round = float64(rng.IntN(3)) * 20.125
		front.Notches = front.Notches[:1+rng.IntN(len(front.Notches))]
		front.Marks = front.Marks[rng.IntN(len(front.Marks)):]
		front.Lines = front.Lines[:rng.IntN(2)]
		if rng.IntN(2) == 0 {
			front.Grain, front.Side, front.Was, front.Cloth, front.DrawnWithin = nil, "", "", word(0), 0
		}
		p.Seams[0].First[0].To = 700 // the corner that was moved may have made the edge shorter
		p.Seams = p.Seams[:rng.IntN(3)]
		p.Layers = p.Layers[:rng.IntN(2)]
		p.Fittings = p.Fittings[:rng.IntN(3)]
		files := encode(t, p)
		_, err = Decode(files)
		require.NoError(t, err, "seed %d", seed)
		checkFiles(t, s, files)
	}
}

// notStructural are the refusals that no schema can say: what is no YAML or
// not written as this program wants it, what depends on geometry or on other
// files, uniqueness of names, and the order of a list.
var notStructural = map[string][]string{
	"piece": {"nothing at all", "comments alone", "broken", "two documents", "invalid UTF-8", "a control character", "an anchor", "an alias", "a tag", "a list as a key", "a key twice",
		"an exponent", "hexadecimal", "with underscores", "a merge key", "not a number", "infinite",
		"a notch on", "an edge's name twice", "an edge's id twice", "a corner's name twice", "a notch's name twice", "a mark's name twice", "a line's name twice",
		"a notch off", "a fold that is not straight", "a fold that is cut otherwise", "two folds", "a set twice", "two corners in a row", "two edges in a row", "an edge first", "a corner last", "two pairs of handles",
		"an edge without length", "a crossing", "an edge that crosses", "anticlockwise", "no area", "a rounding that", "roundings", "a notch within", "a short grain", "a dart",
		"a path without length", "handles at"},
	"pattern": {"nothing at all", "a seam's name twice", "a missing", "an edge's number", "a fold", "a stretch", "a notch of a missing", "a notch on another", "a notch of the wrong",
		"a middle section", "a last section", "sections out of order", "an opening off", "an opening backwards", "an opening's name twice", "a layer of a missing", "an inner piece that", "a piece as its own",
		"a difference of no", "a difference at no"},
	"fitting": {"nothing at all", "another", "no such day", "notes out of order", "a measure twice", "a note that is there", "notes taken away out", "a note taken away that"},
}

func TestSchemaRefusesWhatTheReaderRefuses(t *testing.T) {
	s := schemas(t)
	for name, c := range map[string]struct {
		good     string
		refusals []refusal
	}{"piece": {goodPiece, pieceRefusals}, "pattern": {goodPattern, patternRefusals}, "fitting": {goodFitting, fittingRefusals}} {
		require.NoError(t, s[name].Validate(plain(t, []byte(strings.ReplaceAll(c.good, "date: 2026-05-14", "date: '2026-05-14'")))))
		used := map[string]bool{}
		checked := 0
	cases:
		for _, r := range c.refusals {
			for _, prefix := range notStructural[name] {
				if strings.HasPrefix(r.name, prefix) {
					used[prefix] = true
					continue cases
				}
			}
			text := strings.ReplaceAll(r.apply(t, c.good), "date: 2026-05-14", "date: '2026-05-14'")
			assert.Error(t, s[name].Validate(plain(t, []byte(text))), "%s: %s", name, r.name)
			checked++
		}
		t.Logf("%s: %d of %d refusals are the schema's too", name, checked, len(c.refusals))
		for _, prefix := range notStructural[name] {
			assert.True(t, used[prefix], "%s: no refusal starts with %q", name, prefix)
		}
	}
}
