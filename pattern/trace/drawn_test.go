package trace

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// One drawn line is read from path data, from the only line of a drawing or
// the one that is labelled, and from a list of points, all to the same curve.
func TestReadDrawn(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		file := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		return file
	}
	const head = `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">`
	one := put("one.svg", head+`<path d="M0,0C10,30 30,30 40,0"/></svg>`)
	two := put("two.svg", head+`<path id="neckline" d="M0,0C10,30 30,30 40,0"/><path id="hemline" d="M0,80h40"/></svg>`)
	want := geom.Path{{P0: geom.Pt(0, 0), P1: geom.Pt(10, 30), P2: geom.Pt(30, 30), P3: geom.Pt(40, 0)}}
	for _, text := range []string{"M0,0c10,30 30,30 40,0", one, two} {
		path, closed, err := ReadDrawn(text, Options{}, PointsOptions{}, "neckline", "front")
		require.NoError(t, err, text)
		require.False(t, closed)
		require.Len(t, path, 1)
		for k := range 11 {
			require.InDelta(t, 0, want[0].At(float64(k)/10).Dist(path[0].At(float64(k)/10)), 1e-9, text)
		}
	}
	points := put("neck.points", "unit: mm\n0,0 corner neckline\n20,22.5 curve\n40,0 corner side\n40,50 corner\n0,50 corner\n")
	path, closed, err := ReadDrawn(points, Options{}, PointsOptions{}, "neckline")
	require.NoError(t, err)
	require.False(t, closed)
	require.Equal(t, [2]geom.Point{geom.Pt(0, 0), geom.Pt(40, 0)}, [2]geom.Point{path.Start(), path.End()})
	_, distance := path.Nearest(geom.Pt(20, 22.5))
	require.InDelta(t, 0, distance, 1e-9)
	path, closed, err = ReadDrawn(points, Options{}, PointsOptions{}, "pocket")
	require.NoError(t, err)
	require.True(t, closed, "the whole outline")
	require.InDelta(t, 0, path.Start().Dist(path.End()), 1e-9)
	alone := "unit: mm\n0,0 corner\n20,%[1]s22.5 curve\n30,%[1]s10 curve\n40,0 corner\n"
	for _, sign := range []string{"", "-"} {
		path, closed, err = ReadDrawn(put("alone.points", fmt.Sprintf(alone, sign)), Options{}, PointsOptions{}, "neckline")
		require.NoError(t, err)
		require.False(t, closed, "between its only corners")
		require.Equal(t, [2]geom.Point{geom.Pt(0, 0), geom.Pt(40, 0)}, [2]geom.Point{path.Start(), path.End()})
		for _, on := range []geom.Point{geom.Pt(20, 22.5), geom.Pt(30, 10)} {
			if sign == "-" {
				on.Y = -on.Y
			}
			_, distance = path.Nearest(on)
			require.InDelta(t, 0, distance, 1e-9)
		}
	}
	_, closed, err = ReadDrawn(dir+"/alone.points", Options{}, PointsOptions{})
	require.NoError(t, err)
	require.True(t, closed, "a piece is asked for")
	_, closed, err = ReadDrawn("M0 0h10v10z", Options{}, PointsOptions{})
	require.NoError(t, err)
	require.True(t, closed)
	for text, says := range map[string]string{
		"M0 0":            "1 1",
		"neckline":        "give path data, or the name of a file",
		"M0 0h10M0 9h10":  "2 lines are drawn, and one is needed",
		"M0 0H1e9":        "off the sheet",
		"":                "0 lines are drawn",
		dir + "/none.svg": "none.svg",
	} {
		if _, _, err := ReadDrawn(text, Options{}, PointsOptions{}); says == "1 1" {
			require.Error(t, err)
		} else {
			require.ErrorContains(t, err, says, text)
		}
	}
	_, _, err = ReadDrawn(two, Options{}, PointsOptions{}, "armhole", "front")
	require.ErrorContains(t, err, `it holds 2 lines (path "neckline", path "hemline") and none is labelled "armhole" or "front"; label the one that is meant`)
}
