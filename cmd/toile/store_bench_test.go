package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
	"toile/repo"
)

// What the store costs, beside the git program on the same pattern, both as
// whole processes: 40 pieces and 2,000 versions, each of which takes up the hem
// of one piece by 1 mm, packed as `git gc` leaves them. A branch 'side' stands at
// version 1,000.
const benchPieces, benchVersions, sideVersion = 40, 2000, 1000

// benchPattern makes the pattern once, and returns a copy of it.
func benchPattern(b *testing.B) string {
	b.Helper()
	folder, err := benchOnce()
	if err != nil {
		b.Skip(err)
	}
	copied := filepath.Join(b.TempDir(), "smock")
	require.NoError(b, os.CopyFS(copied, os.DirFS(folder)))
	gitProcess(b, copied, "status") // its index knows the copied files again
	toileProcess(b, copied, "history")
	return copied
}

var benchOnce = sync.OnceValues(func() (string, error) {
	if _, err := exec.LookPath("git"); err != nil {
		return "", err
	}
	dir, err := os.MkdirTemp("", "toile-bench-")
	if err != nil {
		return "", err
	}
	return longPattern(filepath.Join(dir, "smock"), benchPieces, benchVersions)
})

// longPattern makes a pattern of so many pieces and versions with git's own
// importer, which does not sync each version.
func longPattern(folder string, pieces, versions int) (string, error) {
	p := pattern.New("smock", units.Centimetre)
	for n := range pieces {
		p.Put(benchPiece(n))
	}
	files, err := p.Encode()
	if err != nil {
		return "", err
	}
	r, err := repo.Start(folder, files)
	if err != nil {
		return "", err
	}
	if err := r.Close(); err != nil {
		return "", err
	}
	var in strings.Builder
	for n := range versions {
		fmt.Fprintf(&in, "commit refs/heads/working\nmark :%d\ncommitter Picker <p@example.org> %d +0200\ndata 7\nhem up\n\n", n+1, 1775000000+n)
		if n > 0 {
			q := p.Pieces[n%pieces]
			for k := 2; k <= 3; k++ {
				q.Corners[k].At.Y -= 0.25
			}
			files = repo.Files{}
			if files[q.FileName()], err = q.Encode(); err != nil {
				return "", err
			}
		}
		for name, text := range files {
			fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", name, len(text), text)
		}
	}
	fmt.Fprintf(&in, "reset refs/heads/side\nfrom :%d\n\n", min(sideVersion, versions))
	for _, args := range [][]string{{"fast-import", "--quiet"}, {"gc", "-q"}, {"reset", "-q", "--hard"}} {
		git := exec.Command("git", args...)
		git.Dir, git.Stdin, git.Env = folder, strings.NewReader(in.String()), benchEnv()
		if out, err := git.CombinedOutput(); err != nil {
			return "", fmt.Errorf("git %s: %w: %s", args[0], err, out)
		}
	}
	return folder, nil
}

func benchEnv() []string {
	return append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_NOSYSTEM=1", "LC_ALL=C",
		"GIT_AUTHOR_NAME=Picker", "GIT_AUTHOR_EMAIL=p@example.org", "GIT_COMMITTER_NAME=Picker", "GIT_COMMITTER_EMAIL=p@example.org")
}

// benchToile is the program, built once as people have it.
var benchToile = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "toile-bench-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "toile-built")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("go build: %w: %s", err, out)
	}
	return path, nil
})

func toileProcess(b *testing.B, folder string, args ...string) {
	b.Helper()
	path, err := benchToile()
	require.NoError(b, err)
	runProcess(b, exec.Command(path, args...), folder)
}

func gitProcess(b *testing.B, folder string, args ...string) {
	b.Helper()
	runProcess(b, exec.Command("git", append([]string{"--no-pager"}, args...)...), folder)
}

func runProcess(b *testing.B, c *exec.Cmd, folder string) {
	b.Helper()
	var complaint strings.Builder
	c.Dir, c.Env, c.Stdout, c.Stderr = folder, benchEnv(), io.Discard, &complaint
	if err := c.Run(); err != nil {
		b.Fatalf("%v: %v\n%s", c.Args, err, complaint.String())
	}
}

// beside runs the two programs as sub-benchmarks, each on a pattern of its own.
func beside(b *testing.B, ours, gits func(b *testing.B, folder string, n int)) {
	for _, c := range []struct {
		name string
		do   func(b *testing.B, folder string, n int)
	}{{"toile", ours}, {"git", gits}} {
		b.Run(c.name, func(b *testing.B) {
			folder := benchPattern(b)
			b.ResetTimer()
			for n := 0; b.Loop(); n++ {
				c.do(b, folder, n)
			}
		})
	}
}

// alterFile takes up a hem by hand, in the file.
func alterFile(b *testing.B, folder string, n int) {
	b.Helper()
	q := benchPiece(7)
	for k := 2; k <= 3; k++ {
		q.Corners[k].At.Y -= 13 + 0.25*float64(n%40)
	}
	text, err := q.Encode()
	require.NoError(b, err)
	require.NoError(b, os.WriteFile(filepath.Join(folder, q.FileName()), text, 0o666))
}

// One altered piece is kept. git is told to make everything durable, as we do.
func BenchmarkCommit(b *testing.B) {
	beside(b, func(b *testing.B, folder string, n int) {
		alterFile(b, folder, n)
		toileProcess(b, folder, "commit", "hem up", "--who", "Picker")
	}, func(b *testing.B, folder string, n int) {
		alterFile(b, folder, n)
		gitProcess(b, folder, "-c", "core.fsync=all", "-c", "core.fsyncMethod=fsync", "commit", "-q", "-a", "-m", "hem up")
	})
}

// All versions: ours with a sentence on each piece that each changed, git's with
// the names of the files.
func BenchmarkHistory(b *testing.B) {
	beside(b, func(b *testing.B, folder string, _ int) { toileProcess(b, folder, "history") },
		func(b *testing.B, folder string, _ int) { gitProcess(b, folder, "log", "--name-status") })
}

// The versions that changed one piece: ours with what they changed, in
// sentences, git's with their lines.
func BenchmarkPieceHistory(b *testing.B) {
	beside(b, func(b *testing.B, folder string, _ int) { toileProcess(b, folder, "history", "--piece", "piece 7") },
		func(b *testing.B, folder string, _ int) {
			gitProcess(b, folder, "log", "-p", "--", "pieces/piece-7.yaml")
		})
}

// All files of two versions: ours compares them besides.
func BenchmarkReadTwo(b *testing.B) {
	beside(b, func(b *testing.B, folder string, _ int) { toileProcess(b, folder, "diff", "1990", "2000") },
		func(b *testing.B, folder string, _ int) {
			gitProcess(b, folder, "archive", "--format=tar", "working~10")
			gitProcess(b, folder, "archive", "--format=tar", "working")
		})
}

// To another branch and back: all 40 pieces are other ones there. Ours makes
// each file durable and keeps a way back; git does neither.
func BenchmarkUse(b *testing.B) {
	beside(b, func(b *testing.B, folder string, _ int) {
		toileProcess(b, folder, "use", "side")
		toileProcess(b, folder, "use", "working")
	}, func(b *testing.B, folder string, _ int) {
		gitProcess(b, folder, "switch", "-q", "side")
		gitProcess(b, folder, "switch", "-q", "working")
	})
}

// benchPiece has four edges, one of them of 24 lines.
func benchPiece(n int) *pattern.Piece {
	var side []geom.Point
	for k := range 25 {
		side = append(side, geom.Pt(300+float64(k%2)+float64(n), 800*float64(k)/24))
	}
	paths := []geom.Path{geom.Polyline(geom.Pt(0, 0), side[0]), geom.Polyline(side...),
		geom.Polyline(side[24], geom.Pt(0, 800)), geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0))}
	q := &pattern.Piece{Name: fmt.Sprintf("piece %d", n+1), Slug: fmt.Sprintf("piece-%d", n+1), Cloth: "outer", Cut: pattern.CutOne}
	for i, path := range paths {
		q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
		e := pattern.Edge{Name: []string{"waist", "side seam", "hemline", "centre"}[i], Allowance: map[string]float64{"cloth": 10}}
		e.SetPath(path)
		q.Edges = append(q.Edges, e)
	}
	return q
}
