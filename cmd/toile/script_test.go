package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"toile": main})
}

// demandAll reports whether every check is demanded, also those that need
// other programs.
func demandAll() bool { return os.Getenv("TOILE_ALL") == "1" }

// Each script shows one behaviour as somebody at a terminal sees it.
func TestScripts(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil && demandAll() {
		t.Fatal("the git program is missing, and TOILE_ALL=1 demands it")
	}
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("ROOT", root)
			e.Setenv("GIT_CONFIG_NOSYSTEM", "1")
			e.Setenv("GIT_CONFIG_GLOBAL", os.DevNull)
			e.Setenv("LC_ALL", "C")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"json": scriptJSON, "code": scriptCode, "snapshot": scriptSnapshot, "unchanged": scriptUnchanged,
		},
	})
}

// scriptCode: `code N PROGRAM ARGS…` runs a program that must exit with N.
func scriptCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: code N PROGRAM ARGS…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// scriptSnapshot: `snapshot NAME FOLDER` remembers the whole content of a
// folder; `unchanged NAME FOLDER` compares it.
func scriptSnapshot(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: snapshot NAME FOLDER")
	}
	ts.Setenv("snapshot_"+args[0], folderState(ts, args[1]))
}

func scriptUnchanged(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 || ts.Getenv("snapshot_"+args[0]) == "" {
		ts.Fatalf("usage: unchanged NAME FOLDER, after snapshot NAME FOLDER")
	}
	before, after := ts.Getenv("snapshot_"+args[0]), folderState(ts, args[1])
	if (before == after) == neg {
		ts.Fatalf("before:\n%s\nafter:\n%s", before, after)
	}
}

// folderState lists every file of a folder with a digest of its content, the
// store's own lock apart, which is made when it is first wanted.
func folderState(ts *testscript.TestScript, folder string) string {
	var lines []string
	root := ts.MkAbs(folder)
	ts.Check(filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(filepath.ToSlash(path), ".git/toile/lock") {
			return err
		}
		text, err := os.ReadFile(path)
		sum := sha256.Sum256(text)
		lines = append(lines, strings.TrimPrefix(path, root)+" "+hex.EncodeToString(sum[:8]))
		return err
	}))
	sort.Strings(lines)
	return strings.Join(lines, "\n")
}

// scriptJSON looks into JSON: `json FILE PATH WANT [TOLERANCE]`. A path is
// steps between slashes: a key, an index, `key=value` for the first element of
// a list that has it, and last `len` for the length of a list or `keys` for the
// keys of an object. WANT is the value as JSON prints it, text without quotes.
func scriptJSON(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 && len(args) != 4 {
		ts.Fatalf("usage: json FILE PATH WANT [TOLERANCE]")
	}
	var value any
	if err := json.Unmarshal([]byte(ts.ReadFile(args[0])), &value); err != nil {
		ts.Fatalf("%s is no JSON: %v", args[0], err)
	}
	value, err := jsonAt(value, strings.Split(args[1], "/"))
	if err != nil {
		ts.Fatalf("%s: %v", args[1], err)
	}
	if same, got := jsonSame(ts, value, args[2:]); same == neg {
		ts.Fatalf("%s: it is %s, and %v was looked for", args[1], got, args[2:])
	}
}

func jsonAt(value any, path []string) (any, error) {
	for _, step := range path {
		key, want, pick := strings.Cut(step, "=")
		switch v := value.(type) {
		case map[string]any:
			if step == "keys" {
				var keys []string
				for k := range v {
					keys = append(keys, k)
				}
				sort.Strings(keys)
				return strings.Join(keys, ","), nil
			}
			next, ok := v[step]
			if !ok {
				return nil, fmt.Errorf("there is no key %q", step)
			}
			value = next
		case []any:
			if step == "len" {
				return float64(len(v)), nil
			}
			i, err := strconv.Atoi(step)
			if pick {
				i, err = indexOf(v, key, want)
			}
			if err != nil || i < 0 || i >= len(v) {
				return nil, fmt.Errorf("there is no element %q among %d", step, len(v))
			}
			value = v[i]
		default:
			return nil, fmt.Errorf("nothing lies below %v at %q", value, step)
		}
	}
	return value, nil
}

func indexOf(list []any, key, want string) (int, error) {
	for i, item := range list {
		if m, ok := item.(map[string]any); ok && fmt.Sprint(m[key]) == want {
			return i, nil
		}
	}
	return 0, errors.New("none has it")
}

func jsonSame(ts *testscript.TestScript, value any, want []string) (same bool, got string) {
	if text, ok := value.(string); ok {
		return text == want[0], text
	}
	if n, ok := value.(float64); ok && len(want) == 2 {
		v, err := strconv.ParseFloat(want[0], 64)
		ts.Check(err)
		within, err := strconv.ParseFloat(want[1], 64)
		ts.Check(err)
		return math.Abs(n-v) <= within, fmt.Sprint(n)
	}
	b, err := json.Marshal(value)
	ts.Check(err)
	return string(b) == want[0], string(b)
}
