package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
	"toile/geom"
	"toile/render/export"
)

// The JSON follows its schema, which refuses a key it does not know; its figures
// are those of `pieces --json`, and its curves close.
func TestExportJSONFollowsItsSchema(t *testing.T) {
	made, err := demo.Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	schema, err := jsonschema.NewCompiler().Compile("../../docs/schema/export.schema.json")
	require.NoError(t, err)
	folder, _ := blouse(t)
	for _, folder := range []string{made.Pattern, folder} {
		text := mustRun(t, "export", "--as", "json", "-o", "-", "--pattern", folder)
		require.True(t, export.Untouched([]byte(text)))
		require.False(t, export.Untouched([]byte(strings.Replace(text, "cut", "Cut", 1))))
		value, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		require.NoError(t, err)
		require.NoError(t, schema.Validate(value))
		value.(map[string]any)["more"] = true
		require.Error(t, schema.Validate(value))

		var said struct {
			Pieces []struct {
				Piece string
				Net   float64 `json:"net_area_mm2"`
				Edges []struct {
					Edge   string
					Curves [][8]float64 `json:"sewing_line"`
				}
			}
		}
		require.NoError(t, json.Unmarshal([]byte(text), &said))
		var pieces []pieceJSON
		require.NoError(t, json.Unmarshal([]byte(mustRun(t, "pieces", "--json", "--pattern", folder)), &pieces))
		require.Len(t, said.Pieces, len(pieces))
		for i, p := range said.Pieces {
			assert.InDelta(t, pieces[i].NetArea, p.Net, 0.001)
			var ring geom.Ring
			for k, e := range p.Edges {
				assert.Equal(t, pieces[i].Edges[k].Edge, e.Edge)
				var edge geom.Path
				for _, c := range e.Curves {
					edge = append(edge, geom.Cubic{P0: geom.Pt(c[0], c[1]), P1: geom.Pt(c[2], c[3]), P2: geom.Pt(c[4], c[5]), P3: geom.Pt(c[6], c[7])})
				}
				assert.InDelta(t, pieces[i].Edges[k].Length, edge.Length(), 0.001, "%s, %s", p.Piece, e.Edge)
				ring = append(ring, edge...)
			}
			assert.InDelta(t, pieces[i].NetArea, ring.Area(), 0.01)
			for k, c := range ring {
				assert.LessOrEqual(t, c.P0.Dist(ring[(k+len(ring)-1)%len(ring)].P3), 2e-6)
			}
		}
	}
}
