package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
	"toile/pattern/change"
)

const checkSchema = "../../docs/schema/check.schema.json"

// What a check prints of the demo, silent at first and then with findings of
// several kinds, is what the published schema says; and it knows every kind.
func TestCheckFollowsItsSchema(t *testing.T) {
	made, err := demo.Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	schema, err := jsonschema.NewCompiler().Compile(checkSchema)
	require.NoError(t, err)
	checked := func(code int) change.Findings {
		var out, errors bytes.Buffer
		require.Equal(t, code, run([]string{"check", "--json", "--pattern", made.Pattern}, &out, &errors), errors.String())
		var found change.Findings
		require.NoError(t, json.Unmarshal(out.Bytes(), &found))
		value, err := jsonschema.UnmarshalJSON(&out)
		require.NoError(t, err)
		require.NoError(t, schema.Validate(value))
		return found
	}
	reminders := checked(exitDone).Findings // of the demo's one open note, and of nothing else
	require.Len(t, reminders, 1)
	require.Equal(t, change.NoteIsOpen, reminders[0].Kind)
	require.Equal(t, "back, note 3.3", reminders[0].Where)
	for _, args := range [][]string{
		{"alter", "flare", "side panel", "back seam", "2cm", "--from", "10cm"},
		{"alter", "lengthen", "front lining", "hemline", "5cm"},
		{"alter", "shorten", "back", "hemline", "1cm"},
		{"edge", "front", "shoulder", "--allowance", "2cm"},
	} {
		var out, errors bytes.Buffer
		require.Zero(t, run(append(args, "--pattern", made.Pattern), &out, &errors), errors.String())
	}
	found := checked(exitMismatch)
	kinds := map[change.FindingKind]bool{}
	for _, f := range found.Findings {
		kinds[f.Kind] = true
	}
	for _, k := range []change.FindingKind{change.SeamSection, change.LayerOff, change.AllowancesUnequal} {
		require.True(t, kinds[k], "%s; found %v", k, kinds)
	}

	text, err := os.ReadFile(checkSchema)
	require.NoError(t, err)
	page, err := os.ReadFile("../../docs/checking.md")
	require.NoError(t, err)
	for _, k := range change.FindingKinds() {
		require.Contains(t, string(text), `"`+string(k)+`"`)
		require.Contains(t, string(page), "| `"+string(k)+"` |")
	}
}
