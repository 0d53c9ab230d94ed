package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
)

// needPrograms skips a test without programs, or fails it where all is demanded.
func needPrograms(t *testing.T, names ...string) {
	t.Helper()
	for _, name := range names {
		if _, err := exec.LookPath(name); err != nil {
			if demandAll() {
				t.Fatalf("%s is not installed, and TOILE_ALL=1 demands it", name)
			}
			t.Skipf("%s is not installed", name)
		}
	}
}

// The whole demo prints, and so does what changed between any two of its
// versions; other programs find nothing wrong with the files and no picture in
// them, and every sheet says above its frame a piece of that version, its place,
// and below it the version. A whole print has a sheet of every piece.
func TestPrintOfTheDemo(t *testing.T) {
	needPrograms(t, "qpdf", "pdftotext", "pdfimages")
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	for _, c := range []struct {
		version string
		args    []string
	}{{"", nil}, {"5", []string{"5"}}, {"", []string{"--for", "toile", "--paper", "Letter"}}, {"", []string{"--paper", "A0"}}, {"", []string{"--measured", "99.2mm,99.6mm"}},
		{"3", []string{"--changed", "1", "3"}}, {"5", []string{"--changed", "3", "5"}}, {"", []string{"--changed", "first"}}, {"6", []string{"--changed", "7", "6", "--piece", "front"}}} {
		args, pieces, named := c.args, piecesListed(t, made.Pattern, c.version), map[string]bool{}
		file := filepath.Join(dir, "print.pdf")
		var out, errors bytes.Buffer
		require.Zero(t, run(append([]string{"print", "-o", file, "--pattern", made.Pattern}, args...), &out, &errors), "%v: %s", args, errors.String())
		require.Contains(t, out.String(), "printed: "+file, "%v", args)
		said, err := exec.Command("qpdf", "--check", file).CombinedOutput()
		require.NoError(t, err, "%v: %s", args, said)
		images, err := exec.Command("pdfimages", "-list", file).Output()
		require.NoError(t, err)
		require.Equal(t, 2, strings.Count(string(images), "\n"), "a heading and no picture: vectors alone\n%s", images)
		text, err := exec.Command("pdftotext", "-raw", "-enc", "UTF-8", file, "-").Output()
		require.NoError(t, err)
		sheets := 0
		for _, page := range strings.Split(strings.TrimSuffix(string(text), "\f"), "\f") {
			assert.Contains(t, page, "Orchard smock", "%v", args)
			assert.Regexp(t, `version \d+, 2026-05-\d\d`, page, "%v", args)
			assert.Regexp(t, `fitting \d|no fitting`, page, "%v", args)
			if strings.Contains(page, "plan, page") {
				continue
			}
			sheets++
			assert.Regexp(t, `sheet \d+ of \d+ · row \d+ of \d+, column \d+ of \d+`, page, "%v", args)
			head := headWords.FindStringSubmatch(page)
			require.NotNil(t, head, "%v: %s", args, page)
			for _, name := range strings.Split(head[1], "; ") {
				name, _, _ = strings.Cut(name, ",")
				assert.Contains(t, pieces, name, "%v: above a sheet stands %q", args, head[1])
				named[name] = true
			}
		}
		if !slices.Contains(args, "--changed") {
			assert.Len(t, named, len(pieces), "%v: a piece is on no sheet", args)
		}
		assert.Contains(t, out.String(), " "+count(sheets, "sheet", "sheets")+" of ", "%v", args)
	}
}

// headWords matches the words above a sheet, its place before its pieces.
var headWords = regexp.MustCompile(`(?m)^sheet \d+ of \d+ · row \d+ of \d+, column \d+ of \d+\n(.+)$`)

// piecesListed are the names of the pieces of a version, of the working pattern where
// none is said.
func piecesListed(t *testing.T, folder, version string) []string {
	t.Helper()
	args := []string{"cutting-list", "--json", "--pattern", folder}
	if version != "" {
		args = append(args, version)
	}
	var out, errors bytes.Buffer
	require.Zero(t, run(args, &out, &errors), errors.String())
	var listed cuttingListJSON
	require.NoError(t, json.Unmarshal(out.Bytes(), &listed))
	var names []string
	for _, row := range listed.Pieces {
		names = append(names, row.Piece)
	}
	return names
}

// What is printed is the same to the byte all day.
func TestPrintIsTheSameAgain(t *testing.T) {
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	var files [][]byte
	for _, hour := range []int{7, 19} {
		var out, errors bytes.Buffer
		a := newApp(&out, &errors)
		a.now = func() time.Time { return time.Date(2026, 5, 15, hour, 12, 1, 0, time.UTC) }
		require.Zero(t, a.execute([]string{"print", "-o", "-", "--pattern", made.Pattern}), errors.String())
		files = append(files, bytes.Clone(out.Bytes()))
	}
	require.True(t, bytes.HasPrefix(files[0], []byte("%PDF-")))
	require.True(t, bytes.Equal(files[0], files[1]))
}

// The cutting list follows its schema, and its areas are those of `pieces`.
func TestCuttingListFollowsItsSchema(t *testing.T) {
	made, err := demo.Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	schema, err := jsonschema.NewCompiler().Compile("../../docs/schema/cutting-list.schema.json")
	require.NoError(t, err)
	said := func(args ...string) []byte {
		var out, errors bytes.Buffer
		require.Zero(t, run(append(args, "--json", "--pattern", made.Pattern), &out, &errors), errors.String())
		return out.Bytes()
	}
	text := said("cutting-list")
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	require.NoError(t, schema.Validate(value))
	value.(map[string]any)["more"] = true
	require.Error(t, schema.Validate(value))

	var listed cuttingListJSON
	require.NoError(t, json.Unmarshal(text, &listed))
	var pieces []pieceJSON
	require.NoError(t, json.Unmarshal(said("pieces"), &pieces))
	require.Len(t, listed.Pieces, len(pieces))
	sums := map[string]float64{}
	for i, row := range listed.Pieces {
		require.Equal(t, pieces[i].Piece, row.Piece)
		times := map[string]float64{"one": 1, "a pair": 2, "one on fold": 2}[row.Cut]
		require.InDelta(t, times**pieces[i].CutArea, *row.Total, 1e-3, row.Piece)
		require.InDelta(t, *row.Total, float64(row.Count)**row.Area, 1e-3)
		sums[row.Cloth] += *row.Total
	}
	for _, c := range listed.Cloths {
		require.InDelta(t, sums[c.Cloth], *c.Total, 1e-3, c.Cloth)
	}
	require.Len(t, sums, len(listed.Cloths))
}

// A file that is no print of toile's stays as it is.
func TestPrintOverwritesOnlyPrints(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "other.pdf")
	require.NoError(t, os.WriteFile(other, []byte("%PDF-1.4\n/Producer (another)"), 0o666))
	require.ErrorContains(t, mayPrintOver(other), "is no print of toile's")
	require.NoError(t, mayPrintOver(filepath.Join(dir, "none.pdf")))
	require.ErrorContains(t, mayPrintOver(dir), "is no file")
	folder, _ := blouse(t)
	whole := filepath.Join(dir, "whole.pdf")
	mustRun(t, "print", "-o", whole, "--pattern", folder)
	require.NoError(t, mayPrintOver(whole))
	link := filepath.Join(dir, "link.pdf")
	require.NoError(t, os.Symlink(whole, link))
	mustRun(t, "print", "-o", link, "--paper", "A3", "--pattern", folder)
	text, err := os.ReadFile(whole)
	require.NoError(t, err)
	kind, err := os.Lstat(link)
	require.NoError(t, err)
	require.NotZero(t, kind.Mode()&os.ModeSymlink, "the link stays, and the file it leads to is the new print")
	there, err := os.ReadFile(link)
	require.NoError(t, err)
	require.Equal(t, text, there)
	require.NoError(t, os.WriteFile(whole, append(text, "\n% a note"...), 0o666))
	require.ErrorContains(t, mayPrintOver(whole), "was changed since")
}
