package repo

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/require"
)

// needsGit skips a test where the git program is missing, but fails it where
// every check is demanded.
func needsGit(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		if os.Getenv("TOILE_ALL") == "1" {
			t.Fatal("the git program is missing, and TOILE_ALL=1 demands it")
		}
		t.Skip("the git program is missing")
	}
}

// gitEnv keeps git from reading the account's configuration.
func gitEnv() []string {
	return append(os.Environ(),
		"GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_SYSTEM="+os.DevNull, "GIT_CONFIG_NOSYSTEM=1",
		"GIT_AUTHOR_NAME=Orchard", "GIT_AUTHOR_EMAIL=orchard@example.org",
		"GIT_COMMITTER_NAME=Orchard", "GIT_COMMITTER_EMAIL=orchard@example.org",
		"GIT_AUTHOR_DATE=2026-03-01T10:00:00+01:00", "GIT_COMMITTER_DATE=2026-03-01T10:00:00+01:00",
		"LC_ALL=C", "GIT_TERMINAL_PROMPT=0")
}

func tryGit(dir string, args ...string) (string, error) {
	c := exec.Command("git", args...)
	c.Dir, c.Env = dir, gitEnv()
	out, err := c.CombinedOutput()
	return string(out), err
}

// git runs the git program and returns what it printed.
func git(t testing.TB, dir string, args ...string) string {
	t.Helper()
	out, err := tryGit(dir, args...)
	require.NoError(t, err, "git %s\n%s", strings.Join(args, " "), out)
	return strings.TrimSuffix(out, "\n")
}

// fsck asks git whether everything stored is whole and well-formed. Objects that
// nothing leads to are fine.
func fsck(t testing.TB, dir string) {
	t.Helper()
	out, err := tryGit(dir, "fsck", "--strict", "--full")
	require.NoError(t, err, out)
	for line := range strings.Lines(out) {
		require.True(t, strings.HasPrefix(line, "dangling ") || strings.HasPrefix(line, "notice: "), "git fsck: %s", line)
	}
}

// smock is a small pattern; n marks what changes from version to version.
func smock(n int) Files {
	return Files{
		PatternFile:              []byte("format: 1\nname: orchard smock\nunit: cm\n"),
		RecipesFile:              []byte("recipes: []\n"),
		"pieces/back.yaml":       []byte(fmt.Sprintf("name: back\nhem: %d\n", 600-n)),
		"pieces/front.yaml":      []byte("name: front\nhem: 600\n"),
		"pieces/side-panel.yaml": []byte("name: side panel\n"),
		"fittings/01-3fa2.yaml":  []byte("number: 1\n"),
	}
}

var someone = Author{Name: "Orchard", Email: "orchard@example.org"}

func at(n int) time.Time {
	return time.Date(2026, 4, 1, 9, 0, 0, 0, time.FixedZone("", 2*3600)).Add(time.Duration(n) * time.Hour)
}

func started(t testing.TB, files Files) *Repo {
	t.Helper()
	r, err := Start(filepath.Join(t.TempDir(), "smock"), files)
	require.NoError(t, err)
	r.lockPatience, r.refPatience = 200*time.Millisecond, 50*time.Millisecond
	t.Cleanup(func() { require.NoError(t, r.Close()) })
	return r
}

// reopened is the same pattern as another process would see it.
func reopened(t testing.TB, r *Repo) *Repo {
	t.Helper()
	other, err := Open(r.Root())
	require.NoError(t, err)
	other.lockPatience, other.refPatience = 200*time.Millisecond, 50*time.Millisecond
	t.Cleanup(func() { require.NoError(t, other.Close()) })
	return other
}

// commit keeps files as a version, at an hour that n gives.
func commit(t testing.TB, r *Repo, n int, files Files) Version {
	t.Helper()
	v, err := r.Commit(files, CommitOptions{Text: fmt.Sprintf("change %d", n), Author: someone, Time: at(n)})
	require.NoError(t, err)
	require.Empty(t, r.Warnings())
	return v
}

// withVersions is a pattern with n versions.
func withVersions(t testing.TB, n int) *Repo {
	t.Helper()
	r := started(t, smock(0))
	for i := range n {
		commit(t, r, i+1, smock(i+1))
	}
	return r
}

func put(t testing.TB, r *Repo, name, content string) {
	t.Helper()
	path := filepath.Join(r.Root(), filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, []byte(content), 0o666))
}

func get(t testing.TB, r *Repo, name string) string {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(r.Root(), filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(content)
}

// onDisk is everything below dir, but for what is listed in without.
func onDisk(t testing.TB, dir string, without ...string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		for _, w := range without {
			if name == w {
				if d.IsDir() {
					return filepath.SkipDir
				}
				return nil
			}
		}
		if d.Type().IsRegular() {
			content, err := os.ReadFile(path)
			out[name] = string(content)
			return err
		}
		out[name] = d.Type().String()
		return nil
	}))
	return out
}

func with(files Files, name, content string) Files {
	f := maps.Clone(files)
	f[name] = []byte(content)
	return f
}

func mustHash(v Version) plumbing.Hash { return plumbing.NewHash(v.ID) }

func numbersOf(versions []Version) []int {
	var n []int
	for _, v := range versions {
		n = append(n, v.Number)
	}
	return n
}
