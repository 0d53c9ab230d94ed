package render

import (
	"encoding/json"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"
)

// need finds programs; without them the test is skipped, or fails when
// TOILE_ALL is 1.
func need(t *testing.T, names ...string) {
	t.Helper()
	for _, name := range names {
		if _, err := exec.LookPath(name); err == nil {
			continue
		}
		if os.Getenv("TOILE_ALL") == "1" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
}

func chromium(t *testing.T, args ...string) []byte {
	t.Helper()
	base := []string{"--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage",
		"--force-device-scale-factor=1", "--user-data-dir=" + profileFolder(t)}
	out, err := exec.Command("chromium", append(base, args...)...).Output()
	require.NoError(t, err)
	return out
}

func readImage(t *testing.T, file string) image.Image {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	img, _, err := image.Decode(f)
	require.NoError(t, err)
	return img
}

// Two viewers never set a letter or a slanted line to the same pixels, so the
// pictures are compared in blocks: the mean of 16×16 pixels. Measured on the
// drawings here the blocks differ by 0.5 grey values of 255 on average, by 3 in
// a piece hatched all over; a missing hatch or line is told by the mean or by
// the blocks further apart than blockFar.
const (
	viewWidth  = 800
	blockSide  = 16
	blockFar   = 14.0  // of 255, a channel
	shareFar   = 0.001 // of the blocks may be that far apart
	meanAllows = 4.5
)

// TestViewersAgree draws every golden with librsvg and with Chromium.
func TestViewersAgree(t *testing.T) {
	need(t, "rsvg-convert", "chromium")
	dir := t.TempDir()
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><html><body style='margin:0;background:#fff'>")
	type shot struct {
		name string
		img  image.Image
		top  int
	}
	var shots []shot
	top := 0
	for _, d := range drawings() {
		file := filepath.Join(dir, d.name+".svg")
		require.NoError(t, os.WriteFile(file, []byte(svgOf(t, d)), 0o644))
		png := filepath.Join(dir, d.name+".png")
		out, err := exec.Command("rsvg-convert", "-w", fmt.Sprint(viewWidth), file, "-o", png).CombinedOutput()
		require.NoError(t, err, string(out))
		img := readImage(t, png)
		high := img.Bounds().Dy()
		fmt.Fprintf(&page, "<img src='%s.svg' style='position:absolute;left:0;top:%dpx;width:%dpx;height:%dpx'>", d.name, top, viewWidth, high)
		shots = append(shots, shot{d.name, img, top})
		top += high
	}
	page.WriteString("</body></html>")
	html := filepath.Join(dir, "page.html")
	require.NoError(t, os.WriteFile(html, []byte(page.String()), 0o644))
	picture := filepath.Join(dir, "page.png")
	chromium(t, fmt.Sprintf("--window-size=%d,%d", viewWidth, top), "--screenshot="+picture, "file://"+html)
	whole := readImage(t, picture)
	require.GreaterOrEqual(t, whole.Bounds().Dy(), top)
	for _, s := range shots {
		mean, far := pictureDistance(s.img, whole, s.top)
		t.Logf("%s: mean %.2f, far %.5f", s.name, mean, far)
		require.Less(t, mean, meanAllows, s.name)
		require.Less(t, far, shareFar, s.name)
	}
}

// TestViewersWouldTell proves that the comparison sees what is missing: a
// hatch, an outline, a dash.
func TestViewersWouldTell(t *testing.T) {
	need(t, "rsvg-convert")
	paint := func(svg string) image.Image {
		file := filepath.Join(t.TempDir(), "a.svg")
		require.NoError(t, os.WriteFile(file, []byte(svg), 0o644))
		out, err := exec.Command("rsvg-convert", "-w", fmt.Sprint(viewWidth), file, "-o", file+".png").CombinedOutput()
		require.NoError(t, err, string(out))
		return readImage(t, file+".png")
	}
	var added, hem string
	for _, d := range drawings() {
		switch d.name {
		case "overlay-added":
			added = svgOf(t, d)
		case "overlay-hem":
			hem = svgOf(t, d)
		}
	}
	for _, c := range []struct{ svg, cut string }{
		{added, `<path d="[^"]*" class="hatch-added"[^>]*>`},
		{hem, `<path d="[^"]*" class="hatch-removed"[^>]*>`},
		{hem, `<path d="[^"]*" class="new"[^>]*>`},
	} {
		less := regexp.MustCompile(c.cut).ReplaceAllString(c.svg, "")
		require.NotEqual(t, c.svg, less, c.cut)
		mean, far := pictureDistance(paint(c.svg), paint(less), 0)
		t.Logf("without %s: mean %.2f, far %.5f", c.cut, mean, far)
		require.True(t, mean > meanAllows || far > shareFar, c.cut)
	}
}

// pictureDistance compares a picture with the part of another below top: the
// mean difference of blocks, and the share of blocks further apart than
// blockFar in any channel.
func pictureDistance(a, b image.Image, top int) (mean, far float64) {
	size := a.Bounds().Size()
	count := 0.0
	for y := 0; y+blockSide <= size.Y; y += blockSide {
		for x := 0; x+blockSide <= size.X; x += blockSide {
			p, q := blockMean(a, x, y), blockMean(b, x, y+top)
			most := 0.0
			for i := range p {
				most = math.Max(most, math.Abs(p[i]-q[i]))
			}
			mean += most
			if most > blockFar {
				far++
			}
			count++
		}
	}
	return mean / count, far / count
}

func blockMean(img image.Image, x, y int) (mean [3]float64) {
	for dy := 0; dy < blockSide; dy++ {
		for dx := 0; dx < blockSide; dx++ {
			r, g, b, _ := img.At(x+dx, y+dy).RGBA()
			for i, v := range []uint32{r, g, b} {
				mean[i] += float64(v) / 257 / (blockSide * blockSide)
			}
		}
	}
	return mean
}

// measureTexts is run by Chromium over all drawings: for each text the corners
// of its own box, on the sheet.
const measureTexts = `
const out = [];
for (const svg of document.querySelectorAll('svg')) {
  const back = svg.getScreenCTM().inverse();
  const texts = [];
  for (const e of svg.querySelectorAll('text')) {
    const b = e.getBBox(), m = back.multiply(e.getScreenCTM());
    const at = (x, y) => { const p = new DOMPoint(x, y).matrixTransform(m); return [p.x, p.y]; };
    texts.push({text: e.textContent, corners: [at(b.x, b.y), at(b.x + b.width, b.y), at(b.x + b.width, b.y + b.height), at(b.x, b.y + b.height)]});
  }
  const v = svg.viewBox.baseVal;
  out.push({sheet: [v.x, v.y, v.x + v.width, v.y + v.height], texts: texts});
}
document.body.innerHTML = '';
const pre = document.createElement('pre');
pre.textContent = '@@' + encodeURIComponent(JSON.stringify(out)) + '@@';
document.body.append(pre);
`

type measuredText struct {
	Text    string
	Corners [4][2]float64
}

// TestLettersStayInTheirPlaces measures every text in Chromium: none leaves
// the sheet and no two lines of letters cover each other, whatever the
// package's own estimate of their widths says.
func TestLettersStayInTheirPlaces(t *testing.T) {
	need(t, "chromium")
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><html><head><meta charset='utf-8'></head><body>")
	all := drawings()
	for _, d := range all {
		_, svg, ok := strings.Cut(svgOf(t, d), "<svg")
		require.True(t, ok)
		page.WriteString("<svg" + svg)
	}
	page.WriteString("<script>" + measureTexts + "</script></body></html>")
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, []byte(page.String()), 0o644))
	dom := chromium(t, "--dump-dom", "file://"+file)
	found := regexp.MustCompile(`@@([^@]*)@@</pre>`).FindSubmatch(dom)
	require.NotNil(t, found)
	var sheets []struct {
		Sheet [4]float64
		Texts []measuredText
	}
	require.NoError(t, json.Unmarshal([]byte(unescape(t, string(found[1]))), &sheets))
	require.Len(t, sheets, len(all))
	for i, s := range sheets {
		require.NotEmpty(t, s.Texts)
		for k, a := range s.Texts {
			for _, c := range a.Corners {
				require.True(t, c[0] >= s.Sheet[0] && c[0] <= s.Sheet[2] && c[1] >= s.Sheet[1] && c[1] <= s.Sheet[3],
					"%s: %q leaves the sheet", all[i].name, a.Text)
			}
			for _, b := range s.Texts[:k] {
				require.False(t, cover(a.Corners, b.Corners), "%s: %q and %q cover each other", all[i].name, a.Text, b.Text)
			}
		}
	}
}

func unescape(t *testing.T, s string) string {
	t.Helper()
	u, err := url.PathUnescape(s)
	require.NoError(t, err)
	return u
}

// cover reports whether two quadrilaterals share area. Letters of one line do
// not reach the ends of their box, so a hair's breadth is let pass.
func cover(a, b [4][2]float64) bool {
	shape := func(c [4][2]float64) sf.Geometry {
		g, err := sf.UnmarshalWKT(fmt.Sprintf("POLYGON((%v %v,%v %v,%v %v,%v %v,%v %v))",
			c[0][0], c[0][1], c[1][0], c[1][1], c[2][0], c[2][1], c[3][0], c[3][1], c[0][0], c[0][1]), sf.NoValidate{})
		if err != nil {
			panic(err)
		}
		return g
	}
	p, q := shape(a), shape(b)
	if !sf.Intersects(p, q) {
		return false
	}
	both, err := sf.Intersection(p, q)
	if err != nil {
		panic(err)
	}
	return both.Area() > 0.01*math.Min(p.Area(), q.Area())
}
