package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkAlbum makes the album of 500 versions of 40 pieces, as a whole
// process: to be at most 5 s and 10 MB.
func BenchmarkAlbum(b *testing.B) {
	folder, err := longPattern(filepath.Join(b.TempDir(), "smock"), 40, 500)
	if err != nil {
		b.Skip(err)
	}
	file := filepath.Join(b.TempDir(), "album.html")
	for b.Loop() {
		toileProcess(b, folder, "album", "-o", file)
	}
	info, err := os.Stat(file)
	require.NoError(b, err)
	b.ReportMetric(float64(info.Size())/1e6, "MB")
}
