package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

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
	toileProcess(b, folder, "history") // its sentences are found once
	return copyOfPattern(b, folder)
}

// copyOfPattern is a copy as it is when it has been worked in: git's index knows
// its files, the version table its versions.
func copyOfPattern(b *testing.B, folder string) string {
	b.Helper()
	copied := filepath.Join(b.TempDir(), "smock")
	require.NoError(b, os.CopyFS(copied, os.DirFS(folder)))
	gitProcess(b, copied, "status")
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
	build := exec.Command("go", "build", "-o", path, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("go build: %w: %s", err, out)
	}
	return path, nil
})

// process is a program's run, and what it took by the clock and of the processors,
// its children's included.
type process struct{ clock, cpu time.Duration }

func (p *process) add(q process) { p.clock, p.cpu = p.clock+q.clock, p.cpu+q.cpu }

func toileProcess(b *testing.B, folder string, args ...string) process {
	b.Helper()
	path, err := benchToile()
	require.NoError(b, err)
	return runProcess(b, exec.Command(path, args...), folder)
}

func gitProcess(b *testing.B, folder string, args ...string) process {
	b.Helper()
	return runProcess(b, exec.Command("git", append([]string{"--no-pager"}, args...)...), folder)
}

func runProcess(b *testing.B, c *exec.Cmd, folder string) process {
	b.Helper()
	var complaint strings.Builder
	c.Dir, c.Env, c.Stdout, c.Stderr = folder, benchEnv(), io.Discard, &complaint
	begun := time.Now()
	if err := c.Run(); err != nil {
		b.Fatalf("%v: %v\n%s", c.Args, err, complaint.String())
	}
	return process{time.Since(begun), c.ProcessState.UserTime() + c.ProcessState.SystemTime()}
}

// turn is one program's doing of an operation, for the nth time.
type turn func(b *testing.B, folder string, n int) []process

// beside has the two programs do an operation by turns, each on a pattern of its
// own, so that what else the machine does hits both. It reports the median by the
// clock and the least of the processors' time.
func beside(b *testing.B, ours, gits turn) {
	byTurns(b, benchPattern, ours, gits)
}

func byTurns(b *testing.B, made func(*testing.B) string, ours, gits turn) {
	b.Helper()
	names, turns := []string{"toile", "git"}, []turn{ours, gits}
	var folders []string
	for range turns {
		folders = append(folders, made(b))
	}
	clock, cpu := make([][]time.Duration, len(turns)), make([][]time.Duration, len(turns))
	for n := 0; b.Loop(); n++ {
		for i, do := range turns {
			var all process
			for _, p := range do(b, folders[i], n) {
				all.add(p)
			}
			clock[i], cpu[i] = append(clock[i], all.clock), append(cpu[i], all.cpu)
		}
	}
	for i, name := range names {
		slices.Sort(clock[i])
		b.ReportMetric(float64(clock[i][len(clock[i])/2].Nanoseconds()), name+"-ns")
		b.ReportMetric(float64(slices.Min(cpu[i]).Nanoseconds()), name+"-cpu-ns")
	}
}

// hemCorner is a corner at the hem of a bench piece, as its file has it.
var hemCorner = regexp.MustCompile(`(- corner: \[[0-9.]+, )[1-9][0-9.]*\]`)

// alterFile takes up a hem by hand, in the file.
func alterFile(b *testing.B, folder string, n int) {
	b.Helper()
	file := filepath.Join(folder, benchPiece(7).FileName())
	text, err := os.ReadFile(file)
	require.NoError(b, err)
	altered := hemCorner.ReplaceAll(text, fmt.Appendf(nil, "${1}%g]", 787-0.25*float64(n%40)))
	require.NotEqual(b, string(text), string(altered))
	require.NoError(b, os.WriteFile(file, altered, 0o666))
}

// One altered piece is kept. git is told to make everything durable, as we do.
func BenchmarkCommit(b *testing.B) { beside(b, commitHem, gitCommitHem) }

func commitHem(b *testing.B, folder string, n int) []process {
	alterFile(b, folder, n)
	return []process{toileProcess(b, folder, "commit", "hem up", "--who", "Picker")}
}

func gitCommitHem(b *testing.B, folder string, n int) []process {
	alterFile(b, folder, n)
	return []process{gitProcess(b, folder, "-c", "core.fsync=all", "-c", "core.fsyncMethod=fsync", "commit", "-q", "-a", "-m", "hem up")}
}

// toileDoes and gitDoes are turns of one command each, or of several.
func toileDoes(commands ...[]string) turn {
	return func(b *testing.B, folder string, _ int) (all []process) {
		for _, args := range commands {
			all = append(all, toileProcess(b, folder, args...))
		}
		return all
	}
}

func gitDoes(commands ...[]string) turn {
	return func(b *testing.B, folder string, _ int) (all []process) {
		for _, args := range commands {
			all = append(all, gitProcess(b, folder, args...))
		}
		return all
	}
}

// All versions: ours with a sentence on each piece that each changed, git's with
// the names of the files.
func BenchmarkHistory(b *testing.B) {
	beside(b, toileDoes([]string{"history"}), gitDoes([]string{"log", "--name-status"}))
}

// The versions that changed one piece: ours with what they changed, in
// sentences, git's with their lines.
func BenchmarkPieceHistory(b *testing.B) {
	beside(b, toileDoes([]string{"history", "--piece", "piece 7"}), gitDoes([]string{"log", "-p", "--", "pieces/piece-7.yaml"}))
}

// All files of two versions: ours compares them besides.
func BenchmarkReadTwo(b *testing.B) {
	beside(b, toileDoes([]string{"diff", "1990", "2000"}),
		gitDoes([]string{"archive", "--format=tar", "working~10"}, []string{"archive", "--format=tar", "working"}))
}

// To another branch and back: all 40 pieces are other ones there. Ours keeps a way
// back; git does not.
func BenchmarkUse(b *testing.B) {
	beside(b, toileDoes([]string{"use", "side"}, []string{"use", "working"}),
		gitDoes([]string{"switch", "-q", "side"}, []string{"switch", "-q", "working"}))
}

// What a commit of one altered piece, a diff of the last two versions, which differ
// in one piece, and the history cost where there are more versions, and more pieces
// that stay as they are.
func BenchmarkGrowth(b *testing.B) {
	for _, pieces := range []int{10, 100, 1000} {
		for _, versions := range []int{200, 2000} {
			made := sync.OnceValues(func() (string, error) {
				return longPattern(filepath.Join(b.TempDir(), "smock"), pieces, versions)
			})
			pattern := func(b *testing.B) string {
				b.Helper()
				folder, err := made()
				require.NoError(b, err)
				toileProcess(b, folder, "history") // its sentences are found once
				return copyOfPattern(b, folder)
			}
			from, to := strconv.Itoa(versions-1), strconv.Itoa(versions)
			for _, c := range []struct {
				name       string
				ours, gits turn
			}{
				{"commit", commitHem, gitCommitHem},
				{"diff", toileDoes([]string{"diff", from, to}), gitDoes([]string{"diff", "working~1", "working"})},
				{"history", toileDoes([]string{"history"}), gitDoes([]string{"log", "--name-status"})},
			} {
				b.Run(fmt.Sprintf("%s/pieces=%d/versions=%d", c.name, pieces, versions), func(b *testing.B) {
					byTurns(b, pattern, c.ours, c.gits)
				})
			}
		}
	}
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
