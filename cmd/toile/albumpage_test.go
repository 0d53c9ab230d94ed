package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
)

// demoAlbum makes the album of the demo.
func demoAlbum(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	return albumOf(t, made.Pattern)
}

func albumOf(t testing.TB, folder string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "album.html")
	var out, errors bytes.Buffer
	require.Zero(t, run([]string{"album", "-o", file, "--pattern", folder}, &out, &errors), errors.String())
	require.Contains(t, out.String(), "album: "+file)
	return file
}

// The page holds all of itself: a few hundred kB for the demo.
func TestAlbumOfTheDemo(t *testing.T) {
	text, err := os.ReadFile(demoAlbum(t))
	require.NoError(t, err)
	assert.Less(t, len(text), 400_000)
	bare := strings.NewReplacer("http://www.w3.org/2000/svg", "", "http-equiv", "").Replace(string(text)) // names, not addresses
	assert.NotRegexp(t, `https?:|url\(['"]?[^#'"]|@import|src=`, bare)
	for _, drawn := range []string{`mask="url(#xo4-0)"`, `mask="url(#xn4-0)"`, `<use class="line-was" href="#o`, `<path class="line-slash"`, `<path class="line-cut-was"`, `class="pin-ring pin-note"`} {
		assert.Contains(t, string(text), drawn, "drawn among all versions")
	}
	for _, said := range []string{"Hem up by 4 cm on every piece that reaches it", "the hem catches on the rungs of the ladder", "short-sleeves",
		"“hemline” is taken up by 4 cm", "“hemline” is taken up by 4 cm · 1 9/16 in</bdi>: <bdi>back, front facing, front lining, front and side panel",
		"4 cm · 1 9/16 in", "version 5, <bdi>Side panel swung out", "on the neckline, 4 cm · 1 9/16 in from front edge", "<strong>open</strong>"} {
		assert.Contains(t, strings.ReplaceAll(string(text), "\u00a0", " "), said)
	}
}

func TestAlbumInABrowser(t *testing.T) {
	needPrograms(t, "chromium")
	r := readAlbum(t, demoAlbum(t), 1280, 900)
	require.Equal(t, "From version 1 to version 11", r.says(`document.querySelector('.told h2').textContent`))

	t.Run("versions are chosen", func(t *testing.T) {
		r.t = t
		r.click(`.stitch[data-v="4"]`)
		assert.Equal(t, "5 Side panel swung out on both seams, for the ladder", r.says(`document.querySelector('.told h2').textContent`))
		assert.Contains(t, r.says(`document.querySelector('.told .why').textContent`), "too tight to lift a knee")
		assert.Equal(t, "side panel", r.says(`document.querySelector('#piece-title').textContent`))
		assert.Equal(t, "1", r.says(`document.querySelectorAll('.pieces button').length`), "only what changed")
		r.click("#only")
		assert.Equal(t, "9", r.says(`document.querySelectorAll('.pieces button').length`))
		r.click("#only")
		r.do(chromedp.SetValue(chromedp.CSS("#earlier"), "0"), chromedp.SetValue(chromedp.CSS("#later"), "10"))
		_ = eval[bool](r, `['earlier', 'later'].every((id) => document.getElementById(id).dispatchEvent(new Event('change')))`)
		assert.Equal(t, "From version 1 to version 10", r.says(`document.querySelector('.told h2').textContent`))
		r.click(".told summary")
		assert.Equal(t, "9", r.says(`document.querySelectorAll('.way > li').length`))
	})

	t.Run("the later one is never the older one", func(t *testing.T) {
		r.t = t
		r.pair(2, 1)
		assert.Equal(t, "1,2", r.says(`['earlier', 'later'].map((id) => document.getElementById(id).value).join()`))
		assert.Contains(t, r.says(`document.querySelector('.changes').textContent`), "“hemline” is taken up by 4\u00a0cm")
		r.pair(9, 11)
		assert.Equal(t, "From version 9 on short-sleeves to version 11", r.says(`document.querySelector('.told h2').textContent`))
		assert.Equal(t, "by way of version 8, where they part: 1 version taken back, 3 versions made, and why", r.says(`document.querySelector('.told summary').textContent`))
		_ = eval[*bool](r, `[...document.querySelectorAll('.pieces button')].find((b) => b.querySelector('.name').textContent === 'sleeve').click()`)
		assert.Contains(t, r.says(`document.querySelector('.changes').textContent`), "“back underarm seam” is cut 30.25\u00a0cm · 11\u00a015/16\u00a0in shorter")
	})

	t.Run("a branch parts after the version that it builds on", func(t *testing.T) {
		r.t = t
		assert.Equal(t, "8", r.says(`[...document.querySelectorAll('.thread li')].findIndex((e) => e.querySelector('.parts'))`), "between version 8 and the next")
		assert.Equal(t, "1", r.says(`document.querySelectorAll('.thread .parts').length`))
	})

	t.Run("what is added and removed", func(t *testing.T) {
		r.t = t
		r.click(`.stitch[data-v="4"]`)
		assert.Equal(t, "2", r.says(`document.querySelectorAll('.table .hatching rect[mask]').length`))
		was, is := r.says(`document.querySelector('.ground-paper .line-was').getAttribute('href')`), r.says(`document.querySelector('.sheet .line-new').getAttribute('href')`)
		assert.NotEqual(t, was, is)
		r.click(`.stitch[data-v="2"]`)
		assert.Contains(t, r.says(`document.querySelector('tr.changed').textContent`), "−4\u00a0cm−1\u00a09/16\u00a0in")
		r.click(`.stitch[data-v="4"]`)
		assert.Contains(t, r.says(`document.querySelector('.changes').textContent`), "3\u00a0cm · 1\u00a03/16\u00a0in")
		assert.Contains(t, r.says(`[...document.querySelectorAll('tr.changed')].map((e) => e.textContent).join()`), "hemline14\u00a0cm5\u00a01/2\u00a0in20\u00a0cm7\u00a07/8\u00a0in+6\u00a0cm")
	})

	t.Run("the sheet is turned", func(t *testing.T) {
		r.t = t
		r.do(chromedp.Focus(chromedp.CSS("#turn")))
		r.key(kb.ArrowLeft, 8)
		assert.Equal(t, "0.600", r.says(`document.querySelector('.table').style.getPropertyValue('--turn')`))
		assert.Equal(t, "sheet half turned", r.says(`document.querySelector('#turn').getAttribute('aria-valuetext')`))
		assert.Contains(t, r.says(`getComputedStyle(document.querySelector('.sheet')).transform`), "matrix3d")
		assert.Equal(t, "hidden", r.says(`getComputedStyle(document.querySelector('.tag')).visibility`))
		r.click(".stops button:nth-child(1)")
		assert.Equal(t, "true", r.says(`document.querySelector('.stops button').getAttribute('aria-pressed')`))
		r.click(".stops button:nth-child(3)")
		assert.Equal(t, "1.000", r.says(`document.querySelector('.table').style.getPropertyValue('--slip')`))
		assert.Equal(t, "hidden", r.says(`getComputedStyle(document.querySelector('.tag')).visibility`), "figures go with what they belong to")
		assert.Equal(t, "1", r.says(`getComputedStyle(document.querySelector('.scales')).opacity`))
		r.click(".stops button:nth-child(2)")
		assert.Equal(t, "visible", r.says(`getComputedStyle(document.querySelector('.tag')).visibility`))
	})

	t.Run("figures in the other unit", func(t *testing.T) {
		r.t = t
		assert.Equal(t, "1: 3 cm, 5.73°", r.says(`document.querySelector('.tag[data-change="1"]').textContent`))
		r.click("#other")
		assert.Equal(t, "1: 1 3/16 in, 5.73°", r.says(`document.querySelector('.tag[data-change="1"]').textContent`))
		r.click("#other")
	})

	t.Run("figures and edges say more on hover", func(t *testing.T) {
		r.t = t
		r.click(`.stitch[data-v="4"]`)
		hover := func(x, y float64) string { // the pointer moves there from the corner of the window
			for _, at := range [][2]float64{{2, 2}, {x, y}} {
				r.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, at[0], at[1]))
			}
			r.settle()
			return r.says(`document.querySelector('.tip').hidden ? '' : document.querySelector('.tip').innerText`)
		}
		middle := func(what string) (x, y float64) {
			at := eval[[]float64](r, `(() => { const e = `+what+`; e.scrollIntoView({block: 'center'}); const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()`)
			return at[0], at[1]
		}
		assert.Contains(t, hover(middle(`document.querySelector('.tag[data-change="1"]')`)), "3\u00a0cm · 1\u00a03/16\u00a0in")
		r.key(kb.Escape, 1)
		assert.Equal(t, "true", r.says(`document.querySelector('.tip').hidden`), "Escape takes it away wherever the focus is")
		at := eval[[]float64](r, `(() => { const e = [...document.querySelectorAll('.hit')].find((one) => one.dataset.edge === 'underarm'); e.scrollIntoView({block: 'center'}); const q = e.getPointAtLength(e.getTotalLength() / 3), m = e.getScreenCTM(); return [m.a * q.x + m.c * q.y + m.e, m.b * q.x + m.d * q.y + m.f]; })()`)
		assert.Regexp(t, `^underarm\s+12.39\x{a0}cm`, hover(at[0], at[1]))
	})

	t.Run("figures and notes open", func(t *testing.T) {
		r.t = t
		r.click(`.tag[data-change="1"]`)
		assert.Contains(t, r.says(`document.querySelector('.tip').innerText`), "3\u00a0cm · 1\u00a03/16\u00a0in")
		r.key(kb.Escape, 1)
		assert.Equal(t, "true", r.says(`document.querySelector('.tip').hidden`))
		r.click(".tag.pin")
		assert.Equal(t, "true", r.says(`document.querySelector('.pinned details').open`))
		assert.Contains(t, r.says(`document.querySelector('.pinned details').innerText`), "Answered by version 5")
		assert.Equal(t, "SUMMARY", r.says(`document.activeElement.tagName`))
		r.click(".pinned .way-back")
		assert.Equal(t, "true", r.says(`document.activeElement.matches('.table .pin')`), "back at the note's pin")
		r.click(`.fittings a[data-version="3"]`)
		assert.Contains(t, r.says(`document.querySelector('.told h2').textContent`), "Pocket: lower corners rounded")
	})
	r.t = t
	r.quiet()
}

// With the keyboard alone: a version, its figures, the sheet, a note.
func TestAlbumByKeyboard(t *testing.T) {
	needPrograms(t, "chromium")
	r := readAlbum(t, demoAlbum(t), 1280, 900)
	r.tabTo(".stitch")
	for r.says(`document.querySelector('.told h2').textContent`) != "5 Side panel swung out on both seams, for the ladder" {
		r.key(kb.ArrowUp, 1)
		require.NotContains(t, r.focused(), "First draft", "the arrow keys passed it by")
	}
	assert.Contains(t, r.focused(), "Side panel swung out", "the focus goes along")
	r.tabTo(".tag[data-change]")
	assert.Regexp(t, `\d\x{a0}cm · [\d./\x{a0}]+in`, r.says(`document.querySelector('.tip').innerText`))
	assert.Equal(t, "tip-text", r.says(`document.activeElement.getAttribute('aria-describedby')`))
	assert.NotEqual(t, "none", r.says(`getComputedStyle(document.activeElement).outlineStyle`), "the focus is seen")
	r.tabTo("#turn")
	r.key(kb.ArrowLeft, 20)
	assert.Equal(t, "0.000", r.says(`document.querySelector('.table').style.getPropertyValue('--turn')`))
	r.tabTo(".pinned summary")
	r.key(kb.Enter, 1)
	assert.Equal(t, "true", r.says(`document.querySelector('.pinned details').open`))
	r.tabTo(".changes ~ * .link, tbody .link")
	r.quiet()
}

// On a phone nothing is wider than the screen, and everything is there.
func TestAlbumOnAPhone(t *testing.T) {
	needPrograms(t, "chromium")
	r := readAlbum(t, demoAlbum(t), 360, 740)
	for _, v := range []string{"2", "4", "7", "10", "11"} {
		r.click(`.stitch[data-v="` + v + `"]`)
		assert.Equal(t, "360", r.says(`document.documentElement.scrollWidth`))
		r.uncrowded("version at " + v)
		assert.LessOrEqual(t, eval[float64](r, `document.querySelector('.table').getBoundingClientRect().right`), 360.0)
		assert.Equal(t, r.says(`document.querySelector('.table').clientWidth`), r.says(`Math.round(parseFloat(document.querySelector('.sheet svg').style.width))`))
	}
	r.quiet()
}

// Printed: every version in order, with what it changed and why.
func TestAlbumPrinted(t *testing.T) {
	needPrograms(t, "chromium", "pdftotext")
	r := readAlbum(t, demoAlbum(t), 1280, 900)
	text, err := chromedp.Run(r.ctx, chromedp.PrintToPDF(chromedp.PDFPrintBackground()))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "album.pdf")
	require.NoError(t, os.WriteFile(file, text, 0o644))
	out, err := exec.Command("pdftotext", "-layout", "-enc", "UTF-8", file, "-").Output()
	require.NoError(t, err)
	printed := strings.Join(strings.Fields(string(out)), " ")
	from := strings.Index(printed, "Every version, one after the other")
	require.Positive(t, from)
	for _, said := range []string{"1 First draft", "2 First fitting", "3 Hem up by 4 cm", "the hem catches on the rungs", "is taken up by 4 cm", "5 Side panel swung out",
		"swung out 5.73°", "9 Third fitting", "on the branch short-sleeves", "10 Cuff let out", "11 Wider allowance"} {
		at := strings.Index(printed[from:], said)
		require.GreaterOrEqual(t, at, 0, "%q is not printed, or out of order", said)
		from += at
	}
	assert.NotContains(t, printed, "turn the sheet")
	r.quiet()
}

// A checker of web pages for people with disabilities finds nothing, in light
// on a screen and in dark on a phone: as opened, with a version and a note open,
// and with every version told.
func TestAlbumIsAccessible(t *testing.T) {
	needPrograms(t, "chromium")
	axe, file := axeOf(t), demoAlbum(t)
	for _, as := range []struct {
		scheme string
		wide   int64
	}{{"light", 1280}, {"dark", 360}} {
		r := readAlbum(t, file, as.wide, 900)
		r.light(as.scheme, "reduce")
		r.accessible(axe, as.scheme+", as opened")
		r.click(`.stitch[data-v="4"]`)
		r.click(`.tag[data-change="1"]`)
		assert.Equal(t, "1", r.says(`document.querySelectorAll('.changes .lit').length`))
		r.accessible(axe, as.scheme+", a figure")
		r.click(".told .why a")
		assert.Equal(t, "1", r.says(`document.querySelectorAll('.note.shown').length`))
		r.click(".tag.pin")
		r.click(".open-book-button")
		r.accessible(axe, as.scheme+", a version, a note, every version")
		r.quiet()
	}
}

// Any two versions of the demo, every piece: no two labels overlap, none leaves
// the table.
func TestAlbumLabels(t *testing.T) {
	needPrograms(t, "chromium")
	file, labels := demoAlbum(t), 0
	for _, wide := range []int64{1280, 700, 360} {
		r := readAlbum(t, file, wide, 800)
		versions := eval[int](r, `document.querySelectorAll('.stitch').length`)
		for from := -1; from < versions; from += 2 {
			for to := from + 1; to < versions; to += 3 {
				_ = eval[bool](r, `(([a, b]) => { const e = document.getElementById('earlier'), l = document.getElementById('later'); e.value = a; l.value = b; return e.dispatchEvent(new Event('change')) && l.dispatchEvent(new Event('change')); })([`+strconv.Itoa(from)+`, `+strconv.Itoa(to)+`])`)
				pieces := eval[int](r, `document.querySelectorAll('.pieces button').length`)
				for k := range pieces {
					_ = eval[*bool](r, `document.querySelectorAll('.pieces button')[`+strconv.Itoa(k)+`].click()`)
					labels += r.uncrowded(r.says(`document.querySelector('.told h2').textContent + ' ' + document.querySelector('#piece-title').textContent`))
					assert.Equal(t, "true", r.says(`document.querySelector('.no-room').hidden`), "every figure and note of the demo has room")
				}
			}
		}
		r.quiet()
	}
	t.Logf("%d labels", labels)
	require.Greater(t, labels, 300)
}

func TestAlbumRefuses(t *testing.T) {
	var out, errors bytes.Buffer
	require.Equal(t, exitUsage, run([]string{"album"}, &out, &errors))
	require.Contains(t, errors.String(), "-o is missing")
	require.Equal(t, exitUsage, run([]string{"album", "-o", "album.pdf"}, io.Discard, &errors))
}
