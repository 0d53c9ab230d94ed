// Package figures keeps the tables of measured figures in docs true: tests
// hand it what they measured, and it holds the page against that. Only tests
// import it.
package figures

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var rewrite = flag.Bool("figures", false, "rewrite the tables of measured figures in docs")

// Full reports whether the tests run at full size, as the tables are made.
func Full() bool { return os.Getenv("TOILE_ALL") == "1" || *rewrite }

// Keep holds the table between the page's lines '<!-- NAME -->' and
// '<!-- end NAME -->' against the rows, the first of which is the heading;
// with the flag -figures it rewrites them. Below full size it does nothing.
// page is a file name in docs.
func Keep(t testing.TB, page, name string, rows [][]string) {
	t.Helper()
	if !Full() {
		return
	}
	file := filepath.Join(docs(t), page)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	from, to := "<!-- "+name+" -->\n", "<!-- end "+name+" -->"
	before, rest, found := strings.Cut(string(text), from)
	was, after, ended := strings.Cut(rest, to)
	if !found || !ended {
		t.Fatalf("docs/%s has no lines %q and %q", page, from, to)
	}
	table := Table(rows)
	if was == table {
		return
	}
	if !*rewrite {
		t.Errorf("docs/%s, table %s, is\n%s\nbut measured now is\n%s\nRun the test with -figures and read what changed.", page, name, was, table)
		return
	}
	if err := os.WriteFile(file, []byte(before+from+table+to+after), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Table prints rows as a Markdown table, the first as its heading.
func Table(rows [][]string) string {
	var b strings.Builder
	for i, r := range rows {
		b.WriteString("| " + strings.Join(r, " | ") + " |\n")
		if i == 0 {
			b.WriteString("|" + strings.Repeat("---|", len(r)) + "\n")
		}
	}
	return b.String()
}

// docs finds the folder docs beside go.mod, above the test's folder.
func docs(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "docs")
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the test's folder")
		}
		dir = up
	}
}
