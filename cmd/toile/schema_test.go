package main

import (
	"bytes"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
)

// The JSON of the reading commands is what the published schemas say, on the
// demo's whole history; and the schemas refuse a key they do not know.
func TestJSONFollowsItsSchemas(t *testing.T) {
	made, err := demo.Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	say := func(args ...string) any {
		var out, errors bytes.Buffer
		require.Zero(t, run(append(args, "--json", "--pattern", made.Pattern), &out, &errors), errors.String())
		value, err := jsonschema.UnmarshalJSON(&out)
		require.NoError(t, err)
		return value
	}
	compiled := func(name string) *jsonschema.Schema {
		s, err := jsonschema.NewCompiler().Compile(filepath.Join("../../docs/schema", name+".schema.json"))
		require.NoError(t, err)
		return s
	}
	diffs := compiled("diff")
	for _, args := range [][]string{{"diff", "1", "3"}, {"diff", "3", "5"}, {"diff", "1", "11"}, {"diff", "11", "2"},
		{"diff", "4", "8"}, {"diff", "9", "11"}, {"diff", "first", "short-sleeves:9"}, {"diff", "short-sleeves", "working"}, {"diff"},
		{"diff", "--piece", "front", "--against", "front lining"}, {"diff", "2", "9", "--piece", "front", "--against", "back"}} {
		require.NoError(t, diffs.Validate(say(args...)), "%v", args)
	}
	for _, args := range [][]string{{"history"}, {"history", "--piece", "front"}, {"history", "--piece", "side panel", "--edge", "hemline"}} {
		told := say(args...)
		require.NotEmpty(t, told, "%v", args)
		require.NoError(t, compiled("history").Validate(told), "%v", args)
	}
	require.NoError(t, compiled("pieces").Validate(say("pieces")))
	require.NoError(t, compiled("branch").Validate(say("branch")))
	for _, args := range [][]string{{"fitting", "list"}, {"fitting", "list", "2"}, {"fitting", "list", "--open", "--piece", "back"}, {"fitting", "list", "--answered"}} {
		require.NoError(t, compiled("fittings").Validate(say(args...)), "%v", args)
	}
	require.NoError(t, compiled("wearer").Validate(say("fitting", "wearer")))
	odd := say("diff").(map[string]any)
	odd["more"] = true
	require.Error(t, diffs.Validate(odd))
}
