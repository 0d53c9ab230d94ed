package repo

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// bigPattern has 40 files of 6 KB, as a jacket with its lining has.
func bigPattern(n int) Files {
	files := Files{PatternFile: []byte("format: 1\n"), RecipesFile: []byte("recipes: []\n")}
	for i := range 38 {
		text := strings.Repeat(fmt.Sprintf("  - [%d.125, 17.5]\n", i), 300)
		files[fmt.Sprintf("pieces/piece-%d.yaml", i)] = []byte(text)
	}
	files["pieces/piece-0.yaml"] = []byte(fmt.Sprintf("hem: %d\n", n))
	return files
}

func BenchmarkCommit(b *testing.B) {
	for _, c := range []struct {
		name  string
		files func(n int) Files
	}{{"6 files", smock}, {"40 files", bigPattern}} {
		b.Run(c.name, func(b *testing.B) {
			r := started(b, c.files(0))
			n := 0
			for b.Loop() {
				n++
				commit(b, r, n, c.files(n))
			}
		})
	}
}

// BenchmarkGitCommit is the measure beside it: the git program, told to make
// everything durable.
func BenchmarkGitCommit(b *testing.B) {
	needsGit(b)
	r := started(b, bigPattern(0))
	commit(b, r, 1, bigPattern(1))
	n := 1
	for b.Loop() {
		n++
		put(b, r, "pieces/piece-0.yaml", fmt.Sprintf("hem: %d\n", n))
		git(b, r.Root(), "-c", "core.fsync=all", "-c", "core.fsyncMethod=fsync", "commit", "-q", "-a", "-m", "x")
	}
}

func BenchmarkHistory(b *testing.B) {
	needsGit(b)
	for _, versions := range []int{10, 500} {
		for _, packed := range []bool{false, true} {
			b.Run(fmt.Sprintf("%d versions packed=%t", versions, packed), func(b *testing.B) {
				r := longHistory(b, versions)
				if packed {
					git(b, r.Root(), "gc", "-q")
				}
				for b.Loop() {
					fresh, err := Open(r.Root())
					if err != nil {
						b.Fatal(err)
					}
					history, err := fresh.History()
					if err != nil || len(history) != versions {
						b.Fatal(len(history), err)
					}
					if err := fresh.Close(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// longHistory is made by git's own importer, which does not sync each version.
func longHistory(b *testing.B, versions int) *Repo {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "smock")
	r, err := Start(dir, smock(0))
	if err != nil {
		b.Fatal(err)
	}
	var in strings.Builder
	for n := range versions {
		fmt.Fprintf(&in, "commit refs/heads/working\ncommitter Orchard <o@example.org> %d +0200\ndata 6\nchange\n", 1775000000+n)
		for name, content := range smock(n).complete() {
			fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", name, len(content), content)
		}
	}
	c := exec.Command("git", "-c", fmt.Sprintf("fastimport.unpackLimit=%d", 100*versions), "fast-import", "--quiet")
	c.Dir, c.Env, c.Stdin = dir, gitEnv(), strings.NewReader(in.String())
	if out, err := c.CombinedOutput(); err != nil {
		b.Fatal(err, string(out))
	}
	return r
}

func BenchmarkResolve(b *testing.B) {
	r := withVersions(b, 30)
	for b.Loop() {
		if _, err := r.Resolve("5"); err != nil {
			b.Fatal(err)
		}
	}
}
