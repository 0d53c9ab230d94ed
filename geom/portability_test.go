package geom

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/docs/figures"
)

// exactMath lists what of package math gives the same bits on every processor:
// IEEE 754 fixes these results.
var exactMath = map[string]bool{
	"Abs": true, "Ceil": true, "Copysign": true, "Floor": true, "Frexp": true, "Inf": true, "IsInf": true, "IsNaN": true,
	"Ldexp": true, "Max": true, "MaxFloat64": true, "MaxInt64": true, "Min": true, "Mod": true, "NaN": true, "Pi": true,
	"Round": true, "Signbit": true, "Sqrt": true, "Trunc": true,
}

// sourceFiles lists the package's files but its tests.
func sourceFiles(t *testing.T) []string {
	t.Helper()
	all, err := filepath.Glob("*.go")
	require.NoError(t, err)
	var files []string
	for _, f := range all {
		if !strings.HasSuffix(f, "_test.go") {
			files = append(files, f)
		}
	}
	require.NotEmpty(t, files)
	return files
}

func TestMathIsPortable(t *testing.T) {
	set := token.NewFileSet()
	for _, file := range sourceFiles(t) {
		parsed, err := parser.ParseFile(set, file, nil, 0)
		require.NoError(t, err)
		for _, i := range parsed.Imports {
			assert.NotContains(t, []string{`"time"`, `"runtime"`, `"math/rand"`, `"math/rand/v2"`, `"math/cmplx"`}, i.Path.Value, file)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := s.X.(*ast.Ident); ok && x.Name == "math" {
					assert.True(t, exactMath[s.Sel.Name], "%v: math.%s differs between processors; portable.go has hypot, sincos, tan, atan2",
						set.Position(s.Pos()), s.Sel.Name)
				}
			}
			return true
		})
	}
}

// TestNothingIsFused builds the package for a processor whose compiler fuses
// products with sums, and looks for such instructions in it.
func TestNothingIsFused(t *testing.T) {
	if !figures.Full() {
		t.Skip("builds the package for another processor; set TOILE_ALL=1")
	}
	binary := filepath.Join(t.TempDir(), "geom.test")
	build := exec.Command("go", "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "GOOS=linux", "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, "%s", out)
	listing, err := exec.Command("go", "tool", "objdump", "-s", `toile/geom\.`, binary).Output()
	require.NoError(t, err)
	lines := strings.Split(string(listing), "\n")
	require.Greater(t, len(lines), 10000, "the package's instructions are listed")
	assert.Contains(t, string(listing), "FMULD", "with their products")
	fused := regexp.MustCompile(`^\s*(\w+\.go:\d+).*\sFN?M(ADD|SUB)D?\s`)
	own := regexp.MustCompile(`^TEXT toile/geom\.(\S+)\(SB\) .*/(\w+)\.go$`)
	var function string
	for _, line := range lines {
		if m := own.FindStringSubmatch(line); m != nil {
			if function = m[1]; strings.HasSuffix(m[2], "_test") {
				function = "" // a test's own sums may round as they like
			}
		}
		if m := fused.FindStringSubmatch(line); m != nil && function != "" {
			assert.Fail(t, "a product is fused with a sum", "%s in %s: write float64(a*b) + c", m[1], function)
		}
	}
}
