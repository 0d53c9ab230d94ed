package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "toile/"

// may says for each of our packages which others it may import: arrows point
// down, and the packages of the middle row do not import each other.
var may = map[string][]string{
	"cmd/toile": {"cmd/toile/demo", "repo", "diff", "diff/merge", "render", "render/paper", "render/album", "render/export", "pattern/trace", "pattern/alter", "pattern/check",
		"pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"cmd/toile/demo": {"repo", "diff", "diff/merge", "render", "pattern/trace", "pattern/alter", "pattern/check",
		"pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"repo":           {},
	"diff":           {"diff/explain", "pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"diff/explain":   {"pattern/change", "geom"},
	"diff/merge":     {"diff", "pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"render":         {"render/paper", "pattern/change", "pattern", "pattern/units", "geom"},
	"render/album":   {"render", "pattern/change", "pattern", "pattern/units", "geom"},
	"render/paper":   {"render/stamp", "pattern/units", "geom"},
	"render/export":  {"render/stamp", "pattern", "pattern/units", "geom"},
	"render/stamp":   {},
	"pattern/trace":  {"pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"pattern/alter":  {"pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"pattern/check":  {"pattern/match", "pattern/change", "pattern", "pattern/units", "geom"},
	"pattern/match":  {"pattern", "pattern/units", "geom"},
	"pattern/change": {"pattern", "pattern/units", "geom"},
	"pattern":        {"pattern/units", "geom"},
	"pattern/units":  {},
	"geom":           {},

	// Only tests and people who work on the docs use these.
	"docs/figures":             {},
	"docs/figures/performance": {},
}

// only says which of our packages alone, with those below it, may import a
// library of others.
var only = map[string]string{
	"github.com/ajstarks/svgo":   "render",
	"codeberg.org/go-pdf/":       "render/paper",
	"golang.org/x/image/":        "render/paper",
	"github.com/go-git/":         "repo",
	"github.com/spf13/cobra":     "cmd/toile",
	"go.yaml.in/yaml/":           "pattern",
	"github.com/sergi/go-diff":   "diff",
	"github.com/stretchr/":       "", // tests only
	"github.com/rogpeppe/":       "",
	"github.com/santhosh-tekuri": "",
	"github.com/peterstace/":     "",
}

func TestArrows(t *testing.T) {
	packages := goList(t)
	require.Contains(t, packages, "geom")
	require.Contains(t, packages, "cmd/toile")
	for name, imports := range packages {
		allowed, known := may[name]
		if !assert.True(t, known, "the package %s has no place in the picture; give it one here and in docs/architecture.md", name) {
			continue
		}
		for _, path := range imports {
			if ours, ok := strings.CutPrefix(path, module); ok {
				assert.Contains(t, allowed, ours, "%s imports %s", name, ours)
			}
			for library, by := range only {
				if strings.HasPrefix(path, library) {
					assert.True(t, name == by || (by != "" && strings.HasPrefix(name, by+"/")), "%s imports %s", name, path)
				}
			}
			if strings.HasPrefix(path, "github.com/ajstarks/svgo") {
				assert.Equal(t, "github.com/ajstarks/svgo/float", path)
			}
		}
	}
}

// The libraries of this program never print, exit or read the environment by
// themselves; what may import os at all is known.
func TestFlagAndLogStayInCommands(t *testing.T) {
	for name, imports := range goList(t) {
		if strings.HasPrefix(name, "cmd/") || strings.HasPrefix(name, "docs/figures") {
			continue
		}
		assert.False(t, slices.Contains(imports, "log") || slices.Contains(imports, "flag"), "%s imports log or flag", name)
	}
}

// goList returns what each package of this module imports outside of its
// tests, by its path in the module.
func goList(t *testing.T) map[string][]string {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", module+"...")
	out, err := cmd.Output()
	require.NoError(t, err)
	packages := map[string][]string{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return packages
		} else {
			require.NoError(t, err)
		}
		packages[strings.TrimPrefix(p.ImportPath, module)] = p.Imports
	}
}
