package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What 'go test -bench' prints, two runs of each.
const output = `goos: linux
goarch: amd64
pkg: toile/geom
cpu: a processor
BenchmarkRegions/vertices=200-2         	    4000	    250000 ns/op	       198.0 vertices	  150000 B/op	     301 allocs/op
BenchmarkRegions/vertices=200-2         	    4000	    270000 ns/op	       198.0 vertices	  150000 B/op	     303 allocs/op
BenchmarkRegions/vertices=5000-2        	     120	   9000000 ns/op	      5000 vertices	 4500000 B/op	    6000 allocs/op
BenchmarkRegionsReference/vertices=200-2	     400	   2600000 ns/op	  900000 B/op	   14000 allocs/op
BenchmarkRegionsReference/vertices=200-2	     400	   2600000 ns/op	  900000 B/op	   14000 allocs/op
PASS
ok  	toile/geom	12.3s
pkg: toile/pattern/match
BenchmarkOffsetCubic 	  100	 14210.5 ns/op	 1.304 cubics/curve
BenchmarkName-with-dash-16 	  1000000	 0.25 ns/op	 0 B/op	 0 allocs/op
PASS
`

func TestParse(t *testing.T) {
	results, err := parse(strings.NewReader(output))
	require.NoError(t, err)
	var names []string
	for _, r := range results {
		names = append(names, r.name)
	}
	require.Equal(t, []string{"Regions/vertices=200", "Regions/vertices=5000", "RegionsReference/vertices=200", "OffsetCubic", "Name-with-dash"}, names)
	require.Equal(t, map[string]float64{"ns/op": 260000, "vertices": 198, "B/op": 150000, "allocs/op": 302}, results[0].value)
	require.Equal(t, []string{"ns/op", "cubics/curve"}, results[3].units)
	require.InDelta(t, 14210.5, results[3].value["ns/op"], 0)
}

func TestParseRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"BenchmarkX-2 10 5 ns/op 7\n":    "without a unit",
		"BenchmarkX-2 10 five ns/op\n":   "no number",
		"--- FAIL: BenchmarkX\n":         "failed",
		"FAIL\ttoile/geom [build fails]": "failed",
	} {
		_, err := parse(strings.NewReader(text))
		require.ErrorContains(t, err, says, text)
	}
}

func TestMedian(t *testing.T) {
	require.InDelta(t, 3, median([]float64{9, 1, 3}), 0)
	require.InDelta(t, 2.5, median([]float64{4, 1, 2, 3}), 0)
}

func TestRegionsTable(t *testing.T) {
	results, err := parse(strings.NewReader(output))
	require.NoError(t, err)
	rows, err := regionsTable(results)
	require.NoError(t, err)
	require.Equal(t, [][]string{
		{"200", "260 µs", "≤ 0.3 ms", "2.6 ms", "10", "≥ 8", "1", "302"},
		// 9 ms/0.26 ms over (5000·log₂ 5000)/(198·log₂ 198): 34.615/40.668
		{"5000", "9 ms", "≤ 10 ms", "–", "–", "–", "0.851", "6000"},
	}, rows[1:])
	_, err = regionsTable(results[3:])
	require.ErrorContains(t, err, "Regions/vertices=")
}

func TestStoreTable(t *testing.T) {
	var b strings.Builder
	for i, s := range storeTargets {
		ours := strings.Repeat("3", i+6)
		b.WriteString("Benchmark" + s.name + "-2 10 5 ns/op " + ours + " toile-ns 222222 git-ns " + ours + "0 toile-cpu-ns 1111110 git-cpu-ns\n")
	}
	results, err := parse(strings.NewReader(b.String()))
	require.NoError(t, err)
	rows, err := storeTable(results)
	require.NoError(t, err)
	require.Equal(t, []string{"commit of one altered piece, durable", "333 µs", "222 µs", "1.5", "3.33 ms", "1.11 ms", "3", "≤ 1.7"}, rows[1])
	_, err = storeTable(results[1:])
	require.ErrorContains(t, err, "Commit")
}

func TestGrowthTable(t *testing.T) {
	line := func(name string, ours string) string {
		return "BenchmarkGrowth/" + name + "-2 10 5 ns/op 1 toile-ns 1 git-ns " + ours + " toile-cpu-ns 1000000 git-cpu-ns\n"
	}
	text := line("commit/pieces=10/versions=200", "2000000") + line("diff/pieces=10/versions=200", "3000000") + line("history/pieces=10/versions=200", "4500000")
	results, err := parse(strings.NewReader(text))
	require.NoError(t, err)
	rows, err := growthTable(results)
	require.NoError(t, err)
	require.Equal(t, [][]string{{"10", "200", "2 ms", "1 ms", "3 ms", "1 ms", "4.5 ms", "1 ms"}}, rows[1:])
	_, err = growthTable(results[:2])
	require.ErrorContains(t, err, "no history of 10 pieces")
	_, err = growthTable(nil)
	require.Error(t, err)
}

func TestPlainTable(t *testing.T) {
	results, err := parse(strings.NewReader(output))
	require.NoError(t, err)
	rows, err := plainTable("OffsetCubic")(results[3:])
	require.NoError(t, err)
	require.Equal(t, [][]string{{"OffsetCubic", "14.2 µs", "0", "1.3 cubics/curve"}, {"Name-with-dash", "0.25 ns", "0", "–"}}, rows[1:])
	_, err = plainTable("Fit")(results)
	require.ErrorContains(t, err, "no benchmark Fit ")
}

func TestSignificant(t *testing.T) {
	for v, s := range map[float64]string{0: "0", 1: "1", 9.999: "10", 0.08512: "0.0851", 1234.5: "1234", 14.25: "14.2", 100: "100", 0.25: "0.25"} {
		require.Equal(t, s, significant(v))
	}
	require.Equal(t, "1.5 s", duration(1.5e9))
	require.Equal(t, "12 ns", duration(12))
}

// The page has a place for each table, and only those change.
func TestReplace(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "performance.md"))
	require.NoError(t, err)
	for _, s := range sections {
		now, err := replace(text, s.name, [][]string{{"a", "b"}, {"1", "2"}})
		require.NoError(t, err)
		require.Contains(t, string(now), "<!-- "+s.name+" -->\n| a | b |\n|---|---|\n| 1 | 2 |\n<!-- end "+s.name+" -->")
		again, err := replace(now, s.name, [][]string{{"a", "b"}, {"1", "2"}})
		require.NoError(t, err)
		require.Equal(t, string(now), string(again))
	}
	_, err = replace(text, "nothing", nil)
	require.ErrorContains(t, err, "<!-- nothing -->")
	require.ErrorContains(t, write([]string{"nothing"}, "1x", 1), "regions, curves")
}
