package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
	"toile/repo"
)

// The history of one piece among 40 in a pattern of 200 versions, each of which
// takes up the hem of one piece by 1 mm: 6 of them tell of this piece. What
// takes time is to be those 6 and one look at the list of files of each version,
// not 200 times 40 pieces, as in the history of everything.
func BenchmarkPieceHistory(b *testing.B) {
	const pieces, versions = 40, 200
	folder := longPattern(b, pieces, versions)
	for _, c := range []struct {
		name string
		args []string
		told int
	}{
		{"piece", []string{"history", "--piece", "piece 7"}, versions/pieces + 1},
		{"edge", []string{"history", "--piece", "piece 7", "--edge", "hemline"}, versions/pieces + 1},
		{"everything", []string{"history"}, versions},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				var out, errors bytes.Buffer
				if code := run(append(c.args, "--pattern", folder), &out, &errors); code != exitDone {
					b.Fatal(errors.String())
				}
				if n := strings.Count("\n"+out.String(), "\nversion "); n != c.told {
					b.Fatalf("%d versions told, want %d\n%s", n, c.told, out.String())
				}
			}
		})
	}
}

// longPattern makes a pattern of so many pieces and versions with git's own
// importer, which does not sync each version.
func longPattern(b *testing.B, pieces, versions int) string {
	b.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		if demandAll() {
			b.Fatal("the git program is missing, and TOILE_ALL=1 demands it")
		}
		b.Skip("the git program is missing")
	}
	p := pattern.New("smock", units.Centimetre)
	for n := range pieces {
		p.Put(benchPiece(n))
	}
	files, err := p.Encode()
	require.NoError(b, err)
	folder := filepath.Join(b.TempDir(), "smock")
	r, err := repo.Start(folder, files)
	require.NoError(b, err)
	require.NoError(b, r.Close())

	var in strings.Builder
	for n := range versions {
		fmt.Fprintf(&in, "commit refs/heads/working\ncommitter Picker <p@example.org> %d +0200\ndata 7\nhem up\n\n", 1775000000+n)
		q := p.Pieces[n%pieces]
		if n > 0 {
			for k := 2; k <= 3; k++ {
				q.Corners[k].At.Y--
			}
			files = repo.Files{}
			files[q.FileName()], err = q.Encode()
			require.NoError(b, err)
		}
		for name, text := range files {
			fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", name, len(text), text)
		}
	}
	git := exec.Command("git", "-c", fmt.Sprintf("fastimport.unpackLimit=%d", 100*versions), "fast-import", "--quiet")
	git.Dir, git.Stdin = folder, strings.NewReader(in.String())
	git.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_NOSYSTEM=1", "LC_ALL=C")
	out, err := git.CombinedOutput()
	require.NoError(b, err, string(out))
	return folder
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
