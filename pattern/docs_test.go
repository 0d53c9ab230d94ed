package pattern

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// formatPage is the page about the files, and its examples by file.
func formatPage(t *testing.T) (page string, files map[string][]byte) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "docs", "piece-format.md"))
	require.NoError(t, err)
	files = map[string][]byte{AttributesFile: []byte(attributes)}
	for _, m := range regexp.MustCompile("(?s)\n`([a-z0-9/.-]+)`:\n\n```yaml\n(.*?)```\n").FindAllStringSubmatch(string(text), -1) {
		files[m[1]] = []byte(m[2])
	}
	require.Equal(t, strings.Count(string(text), "```yaml"), len(files)-1, "every example names its file")
	return string(text), files
}

// The examples of the page are one pattern, in canonical form.
func TestExamplesOfThePage(t *testing.T) {
	page, files := formatPage(t)
	p, err := Decode(files)
	require.NoError(t, err)
	for name, text := range encode(t, p) {
		assert.Equal(t, string(files[name]), string(text), name)
	}
	checkFiles(t, schemas(t), files)

	broken := strings.Replace(string(files["pieces/cuff.yaml"]), "at: 130}", "at: 300}", 1)
	files["pieces/cuff.yaml"] = []byte(broken)
	_, err = Decode(files)
	require.Error(t, err)
	assert.Contains(t, page, "\n"+err.Error()+"\n", "the refusal shown is the one that comes")
}

// Every key and every fixed word of the schemas stands on the page.
func TestPageNamesEveryKey(t *testing.T) {
	page, _ := formatPage(t)
	seen := 0
	var visit func(v any)
	visit = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if properties, ok := v["properties"].(map[string]any); ok {
				for key := range properties {
					assert.Regexp(t, "`(\\{[^`]*)?\\b"+key+"\\b[^`]*`", page, "the key %s", key)
					seen++
				}
			}
			if words, ok := v["enum"].([]any); ok {
				for _, word := range words {
					assert.Contains(t, page, "`"+word.(string)+"`", "the word %s", word)
					seen++
				}
			}
			for _, inner := range v {
				visit(inner)
			}
		case []any:
			for _, inner := range v {
				visit(inner)
			}
		}
	}
	for _, name := range []string{"piece", "pattern", "fitting", "recipes"} {
		text, err := os.ReadFile(filepath.Join("..", "docs", "schema", name+".schema.json"))
		require.NoError(t, err)
		var v any
		require.NoError(t, json.Unmarshal(text, &v))
		visit(v)
	}
	assert.Greater(t, seen, 100)
}
