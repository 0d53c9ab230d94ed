// Performance runs the benchmarks and writes their tables into
// docs/performance.md:
//
//	go run ./docs/figures/performance
//
// It runs at the top of the project. Arguments name the tables to make, none
// means all. The page is rewritten only when every benchmark of a table gave a
// result.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
)

const page = "docs/performance.md"

func main() {
	benchtime := flag.String("benchtime", "1s", "how long each benchmark runs, or how often, such as 100x")
	count := flag.Int("count", 5, "how often each benchmark is run; the median counts")
	flag.Parse()
	if err := write(flag.Args(), *benchtime, *count); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func write(names []string, benchtime string, count int) error {
	for _, name := range names {
		if !slices.ContainsFunc(sections, func(s section) bool { return s.name == name }) {
			return fmt.Errorf("no table is called %q; there are %s", name, strings.Join(sectionNames(), ", "))
		}
	}
	text, err := os.ReadFile(page)
	if err != nil {
		return fmt.Errorf("%w; run this at the top of the project", err)
	}
	for _, s := range sections {
		if len(names) > 0 && !slices.Contains(names, s.name) {
			continue
		}
		results, err := run(s, benchtime, count)
		if err != nil {
			return fmt.Errorf("table %s: %w", s.name, err)
		}
		rows, err := s.table(results)
		if err != nil {
			return fmt.Errorf("table %s: %w", s.name, err)
		}
		if text, err = replace(text, s.name, rows); err != nil {
			return err
		}
	}
	return os.WriteFile(page, text, 0o644)
}

// run runs a section's benchmarks and shows them as they come.
func run(s section, benchtime string, count int) ([]result, error) {
	args := append([]string{"test", "-run", "^$", "-bench", s.bench, "-benchmem",
		"-benchtime", benchtime, "-count", strconv.Itoa(count), "-timeout", "2h"}, s.packages...)
	fmt.Println("go", strings.Join(args, " "))
	var out bytes.Buffer
	cmd := exec.Command("go", args...)
	cmd.Stdout, cmd.Stderr = &tee{&out}, os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("go test: %w", err)
	}
	return parse(&out)
}

// tee shows what it keeps.
type tee struct{ kept *bytes.Buffer }

func (t *tee) Write(b []byte) (int, error) {
	os.Stdout.Write(b)
	return t.kept.Write(b)
}

// replace puts a table between the page's lines '<!-- NAME -->' and
// '<!-- end NAME -->'. The first row is the heading.
func replace(text []byte, name string, rows [][]string) ([]byte, error) {
	from, to := "<!-- "+name+" -->\n", "<!-- end "+name+" -->"
	before, rest, found := strings.Cut(string(text), from)
	_, after, ended := strings.Cut(rest, to)
	if !found || !ended {
		return nil, fmt.Errorf("%s has no lines %q and %q", page, strings.TrimSpace(from), to)
	}
	var b strings.Builder
	for i, r := range rows {
		b.WriteString("| " + strings.Join(r, " | ") + " |\n")
		if i == 0 {
			b.WriteString("|" + strings.Repeat("---|", len(r)) + "\n")
		}
	}
	return []byte(before + from + b.String() + to + after), nil
}
