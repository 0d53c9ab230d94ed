package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// longAlbum makes a pattern of 500 versions of 40 pieces.
func longAlbum(b *testing.B) (folder, file string) {
	b.Helper()
	folder, err := longPattern(filepath.Join(b.TempDir(), "smock"), 40, 500)
	if err != nil {
		b.Skip(err)
	}
	return folder, filepath.Join(b.TempDir(), "album.html")
}

// BenchmarkAlbum makes the album of 500 versions of 40 pieces, as a whole
// process: to be at most 5 s and 10 MB.
func BenchmarkAlbum(b *testing.B) {
	folder, file := longAlbum(b)
	for b.Loop() {
		toileProcess(b, folder, "album", "-o", file)
	}
	require.Less(b, b.Elapsed().Seconds()/float64(b.N), 5.0, "seconds")
	info, err := os.Stat(file)
	require.NoError(b, err)
	require.Less(b, info.Size(), int64(10_000_000))
	b.ReportMetric(float64(info.Size())/1e6, "MB")
}

// BenchmarkAlbumSwitch opens that album in Chromium and goes from version to
// version, as the arrow keys do: to be at most 100 ms each until the browser has
// laid out the page. The first to the last, where all 40 pieces changed, is
// measured apart.
func BenchmarkAlbumSwitch(b *testing.B) {
	if _, err := exec.LookPath("chromium"); err != nil {
		b.Skip(err)
	}
	folder, file := longAlbum(b)
	toileProcess(b, folder, "album", "-o", file)
	r := readAlbum(b, file, 1280, 900)
	type times struct{ Open, Next, Worst, All float64 }
	var t times
	for b.Loop() {
		t = eval[times](r, `(() => {
			const time = (v, shift) => { const t = performance.now(); document.querySelector('.stitch[data-v="' + v + '"]').dispatchEvent(new MouseEvent('click', {bubbles: true, shiftKey: shift})); document.body.getBoundingClientRect(); return performance.now() - t; };
			const next = [];
			for (let v = 20; v < 480; v += 20) next.push(time(v, false));
			next.sort((a, b) => a - b);
			time(499, false);
			const nav = performance.getEntriesByType('navigation')[0];
			return { Open: nav.domComplete, Next: next[next.length >> 1], Worst: next[next.length - 1], All: time(0, true) };
		})()`)
	}
	require.Less(b, t.Next, 100.0, "ms to the next version")
	b.ReportMetric(t.Open, "ms-to-open")
	b.ReportMetric(t.Next, "ms-a-version")
	b.ReportMetric(t.Worst, "ms-worst")
	b.ReportMetric(t.All, "ms-all-pieces")
	r.quiet()
}
