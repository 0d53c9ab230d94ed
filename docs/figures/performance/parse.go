package main

import (
	"bufio"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// result is one benchmark's figures: for each unit the median of its runs.
type result struct {
	name  string // without 'Benchmark' and the number of processors
	value map[string]float64
	units []string // in the order in which they are printed
}

// line is what 'go test' prints for a benchmark: its name, with the number of
// processors unless that is 1, the number of operations, then values with
// their units (design document 14313 of the Go project, benchmark format).
var line = regexp.MustCompile(`^Benchmark(\S+)\s+\d+\s+(\S.*)$`)

var processors = regexp.MustCompile(`-\d+$`)

// parse reads the output of 'go test -bench'. Lines that are no results are
// passed over, but a failure is an error.
func parse(in io.Reader) ([]result, error) {
	var order []string
	runs := map[string]map[string][]float64{}
	units := map[string][]string{}
	scanner := bufio.NewScanner(in)
	for scanner.Scan() {
		text := scanner.Text()
		if strings.HasPrefix(text, "--- FAIL") || strings.HasPrefix(text, "FAIL") {
			return nil, fmt.Errorf("a benchmark failed: %s", text)
		}
		m := line.FindStringSubmatch(text)
		if m == nil {
			continue
		}
		name := processors.ReplaceAllString(m[1], "")
		if runs[name] == nil {
			order = append(order, name)
			runs[name] = map[string][]float64{}
		}
		fields := strings.Fields(m[2])
		if len(fields)%2 != 0 {
			return nil, fmt.Errorf("a value without a unit: %q", text)
		}
		for i := 0; i < len(fields); i += 2 {
			v, err := strconv.ParseFloat(fields[i], 64)
			if err != nil {
				return nil, fmt.Errorf("%q is no number in %q", fields[i], text)
			}
			unit := fields[i+1]
			if runs[name][unit] == nil {
				units[name] = append(units[name], unit)
			}
			runs[name][unit] = append(runs[name][unit], v)
		}
	}
	if err := scanner.Err(); err != nil {
		return nil, err
	}
	var results []result
	for _, name := range order {
		r := result{name, map[string]float64{}, units[name]}
		for unit, values := range runs[name] {
			r.value[unit] = median(values)
		}
		results = append(results, r)
	}
	return results, nil
}

// median is the middle value, of an even number the mean of the middle two.
func median(values []float64) float64 {
	v := slices.Sorted(slices.Values(values))
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// find returns the result of a benchmark.
func find(results []result, name string) (result, bool) {
	i := slices.IndexFunc(results, func(r result) bool { return r.name == name })
	if i < 0 {
		return result{}, false
	}
	return results[i], true
}
