package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// section is one table of the page and the benchmarks it is made of.
type section struct {
	name     string
	packages []string
	bench    string // for -bench
	table    func([]result) ([][]string, error)
}

// sections are the tables in the order of the page.
var sections = []section{
	{"regions", []string{"./geom"}, "^BenchmarkRegions", regionsTable},
	{"curves", []string{"./geom", "./pattern/match"}, "^Benchmark(Match|Offset|Length|Nearest|Intersect|Fit)",
		plainTable("Match", "OffsetCubic", "OffsetRing", "Length", "Nearest", "Intersect", "Fit", "FitOver")},
	{"paper", []string{"./render", "./render/export", "./pattern/trace"}, "^Benchmark(Print|Export|ReadDXF)$", plainTable("Print", "Export", "ReadDXF")},
	{"store", []string{"./cmd/toile"}, "^Benchmark(Commit|History|PieceHistory|ReadTwo|Use)$", storeTable},
	{"growth", []string{"./cmd/toile"}, "^BenchmarkGrowth$", growthTable},
}

func sectionNames() []string {
	var names []string
	for _, s := range sections {
		names = append(names, s.name)
	}
	return names
}

// regionTargets are what was asked for in ms, by vertices of a pair, and by
// how many times the reference has to be beaten there.
var (
	regionTargets = map[int]float64{200: 0.3, 5000: 10}
	timesTargets  = map[int]float64{200: 8}
)

// regionsTable sets the regions of a pair beside the reference's, and the
// growth of the time over n·log n beside that of the smallest pair.
func regionsTable(results []result) ([][]string, error) {
	rows := [][]string{{"vertices of a pair", "time", "target", "reference", "times as fast", "target", "time / (n log n), smallest = 1", "allocations"}}
	base := 0.0
	for _, r := range results {
		digits, ok := strings.CutPrefix(r.name, "Regions/vertices=")
		if !ok {
			continue
		}
		n, err := strconv.Atoi(digits)
		if err != nil {
			return nil, fmt.Errorf("%s names no number of vertices", r.name)
		}
		count := float64(n)
		if v, ok := r.value["vertices"]; ok {
			count = v // as counted
		}
		growth := r.value["ns/op"] / (count * math.Log2(count))
		if base == 0 {
			base = growth
		}
		reference, times := "–", "–"
		if other, ok := find(results, "RegionsReference/vertices="+digits); ok {
			reference = duration(other.value["ns/op"])
			times = significant(other.value["ns/op"] / r.value["ns/op"])
		}
		rows = append(rows, []string{strconv.Itoa(n), duration(r.value["ns/op"]), target("≤ %g ms", regionTargets, n),
			reference, times, target("≥ %g", timesTargets, n), significant(growth / base), significant(r.value["allocs/op"])})
	}
	if len(rows) == 1 {
		return nil, fmt.Errorf("no benchmark Regions/vertices=… gave a result")
	}
	return rows, nil
}

func target(format string, targets map[int]float64, n int) string {
	if v, ok := targets[n]; ok {
		return fmt.Sprintf(format, v)
	}
	return "–"
}

// storeTargets are how many times git's time each operation of the store may
// take, with the operation in words.
var storeTargets = []struct {
	name, words string
	times       float64
}{
	{"Commit", "commit of one altered piece, durable", 1.7},
	{"History", "history, with what each version changed", 2},
	{"PieceHistory", "history of one piece, with what changed", 1},
	{"ReadTwo", "two versions read, ours compared as well", 3},
	{"Use", "to another branch and back, 40 pieces each way", 3},
}

// storeTable sets each operation beside that of the git program, by the clock and
// by the time of the processors.
func storeTable(results []result) ([][]string, error) {
	rows := [][]string{{"operation", "toile", "git", "times git's", "processors, toile", "git", "times git's", "target"}}
	for _, t := range storeTargets {
		r, ok := find(results, t.name)
		if !ok || !bothIn(r) {
			return nil, fmt.Errorf("no benchmark %s gave results of both programs", t.name)
		}
		rows = append(rows, []string{t.words, duration(r.value["toile-ns"]), duration(r.value["git-ns"]), times(r, "ns"),
			duration(r.value["toile-cpu-ns"]), duration(r.value["git-cpu-ns"]), times(r, "cpu-ns"), fmt.Sprintf("≤ %g", t.times)})
	}
	return rows, nil
}

// bothIn tells whether a benchmark reported both programs.
func bothIn(r result) bool {
	for _, unit := range []string{"toile-ns", "git-ns", "toile-cpu-ns", "git-cpu-ns"} {
		if r.value[unit] == 0 {
			return false
		}
	}
	return true
}

func times(r result, unit string) string {
	return significant(r.value["toile-"+unit] / r.value["git-"+unit])
}

// growthTable has a row for each size of a pattern, and in it the time of the
// processors for each operation, ours and git's.
func growthTable(results []result) ([][]string, error) {
	rows := [][]string{{"pieces", "versions"}}
	operations := []string{"commit", "diff", "history"}
	for _, name := range operations {
		rows[0] = append(rows[0], name, "git's")
	}
	for _, r := range results {
		size, ok := strings.CutPrefix(r.name, "Growth/"+operations[0]+"/pieces=")
		pieces, versions, cut := strings.Cut(size, "/versions=")
		if !ok || !cut {
			continue
		}
		row := []string{pieces, versions}
		for _, name := range operations {
			one, ok := find(results, fmt.Sprintf("Growth/%s/pieces=%s/versions=%s", name, pieces, versions))
			if !ok || !bothIn(one) {
				return nil, fmt.Errorf("no %s of %s pieces and %s versions was measured", name, pieces, versions)
			}
			row = append(row, duration(one.value["toile-cpu-ns"]), duration(one.value["git-cpu-ns"]))
		}
		rows = append(rows, row)
	}
	if len(rows) == 1 {
		return nil, fmt.Errorf("no benchmark Growth gave a result")
	}
	return rows, nil
}

// plainTable lists each result by itself. It is an error when one of the
// benchmarks named is missing.
func plainTable(wanted ...string) func([]result) ([][]string, error) {
	return func(results []result) ([][]string, error) {
		for _, name := range wanted {
			if !slices.ContainsFunc(results, func(r result) bool { return r.name == name || strings.HasPrefix(r.name, name+"/") }) {
				return nil, fmt.Errorf("no benchmark %s gave a result", name)
			}
		}
		rows := [][]string{{"benchmark", "time", "allocations", "besides"}}
		for _, r := range results {
			var besides []string
			for _, unit := range r.units {
				if !slices.Contains([]string{"ns/op", "B/op", "allocs/op"}, unit) {
					besides = append(besides, significant(r.value[unit])+" "+unit)
				}
			}
			if len(besides) == 0 {
				besides = []string{"–"}
			}
			rows = append(rows, []string{r.name, duration(r.value["ns/op"]), significant(r.value["allocs/op"]), strings.Join(besides, ", ")})
		}
		return rows, nil
	}
}

// duration prints nanoseconds with three digits in a unit that suits them.
func duration(ns float64) string {
	switch {
	case ns < 1e3:
		return significant(ns) + " ns"
	case ns < 1e6:
		return significant(ns/1e3) + " µs"
	case ns < 1e9:
		return significant(ns/1e6) + " ms"
	}
	return significant(ns/1e9) + " s"
}

// significant prints three significant digits, whole numbers whole.
func significant(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Sprint(v)
	}
	decimals := max(0, 2-int(math.Floor(math.Log10(math.Abs(v)))))
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
