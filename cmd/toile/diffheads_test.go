package main

import (
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/units"
	"toile/repo"
)

// What is kept of the pieces' beginnings changes nothing that is said, be it there,
// missing, damaged, or lying about which piece is which.
func TestKeptHeadsSayNothingElse(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "smock")
	p := pattern.New("smock", units.Centimetre)
	for n := range 30 {
		p.Put(benchPiece(n))
	}
	files, err := p.Encode()
	require.NoError(t, err)
	r, err := repo.Start(folder, files)
	require.NoError(t, err)
	require.NoError(t, r.Close())
	do := func(args ...string) string {
		t.Helper()
		var out, complaint strings.Builder
		require.Equal(t, exitDone, run(append([]string{"--pattern", folder}, args...), &out, &complaint), complaint.String())
		return out.String()
	}
	do("seam", "side seam", "piece 3/side seam", "piece 4/side seam")
	do("commit", "as drafted")
	kept := filepath.Join(folder, ".git", "toile", "heads")
	for n := range 2 {
		do("alter", "lengthen", "piece 4", "hemline", fmt.Sprintf("0.%dcm", n+1))
		want := ""
		for _, state := range []string{"missing", "there", "damaged", "swapped", "one name twice"} {
			text, err := os.ReadFile(kept)
			if state == "missing" {
				_ = os.Remove(kept)
			} else {
				require.NoError(t, err)
			}
			if said := spoilHeads(string(text), state); said != string(text) {
				require.NoError(t, os.WriteFile(kept, []byte(said), 0o666))
			}
			got := do("diff")
			if want == "" {
				want = got
			}
			if state == "swapped" || state == "one name twice" { // names of pieces that are the same are only shown
				got, _, _ = strings.Cut(got, "\nunchanged")
				require.Contains(t, want, got)
				require.NoError(t, os.WriteFile(kept, text, 0o666))
				continue
			}
			assert.Equal(t, want, got, state)
		}
		require.Contains(t, want, "piece 4")
		require.Contains(t, want, "side seam")
		do("commit", "hem")
	}
}

// spoilHeads changes what is kept. Checksums are right where it lies.
func spoilHeads(text, state string) string {
	switch state {
	case "damaged":
		return text[:len(text)/2] + "\x00\x00\n" + text[len(text)/2:]
	case "swapped":
		return signedHeads(strings.NewReplacer("name: piece 3\t", "name: piece 5\t", "name: piece 5\t", "name: piece 3\t").Replace(text))
	case "one name twice":
		return signedHeads(strings.ReplaceAll(text, "name: piece 5\t", "name: piece 6\t"))
	}
	return text
}

// signedHeads gives each line its right checksum.
func signedHeads(text string) string {
	head, rest, _ := strings.Cut(text, "\n")
	var b strings.Builder
	b.WriteString(head + "\n")
	for line := range strings.Lines(rest) {
		if _, body, ok := strings.Cut(strings.TrimSuffix(line, "\n"), " "); ok {
			fmt.Fprintf(&b, "%08x %s\n", crc32.ChecksumIEEE([]byte(body)), body)
		}
	}
	return b.String()
}
