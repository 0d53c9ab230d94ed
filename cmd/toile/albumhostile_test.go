package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/render/album"
)

// hostileTexts are what somebody may have typed, or sent.
var hostileTexts = []string{
	`<script>window.hacked = 1</script>`,
	`</script><script>window.hacked = 1</script><!--`,
	`"><img src="http://127.0.0.1:9/a.png" onerror="window.hacked = 1">`,
	`' onfocus=window.hacked=1 autofocus x='`,
	`{{.Data}} ${window.hacked = 1} javascript:window.hacked=1`,
	`]]></style><style>body{display:none}`,
	"\u202eegnaro \u2066x\u2069 \u200f", // turned around
	"العربية and עברית",
	"🍎👚🧵 👩🏽‍🌾 é",
	"&lt;b&gt; &amp; &#60;",
}

// whole is a pattern whose every text is hostile, in as many versions as there
// are texts.
func hostileBook() *album.Book {
	long := strings.Repeat("long ", 1000) + strings.Repeat("x", 5000)
	b := &album.Book{Name: hostileTexts[0], Unit: units.Centimetre, Checked: true, Walked: hostileTexts[1]}
	var before *pattern.Piece
	for i, text := range append(hostileTexts, long) {
		name := text
		if len(name) > 80 {
			name = name[:80]
		}
		now := &pattern.Piece{Name: name, ID: "12345678", Slug: "front", Cloth: text, Cut: pattern.CutOne}
		for k, at := range []geom.Point{geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 300+10*float64(i)), geom.Pt(0, 300)} {
			now.Corners = append(now.Corners, pattern.Corner{At: at})
			now.Edges = append(now.Edges, pattern.Edge{Name: fmt.Sprintf("%d %s", k, name), Handles: []*pattern.Handles{nil}})
		}
		p, _ := diff.Pieces(before, now, pattern.New("x", units.Centimetre))
		for k := range p.Changes {
			p.Changes[k].Says += text
		}
		at := geom.Pt(100, 100)
		b.Fittings = append(b.Fittings, album.Fitting{Number: i + 1, Date: text, Cloth: text, Worn: text, Closures: text, Wearer: text, Sewn: i, Since: i,
			Notes: []album.Note{{Key: strconv.Itoa(i+1) + ".1", Piece: name, Place: text, Seen: text, Pinned: text, ToDo: text, At: &at, Edge: text, Side: "left", By: nil, Since: i, Again: []album.Again{{Number: 1, Fitting: -1, Seen: text, Since: i}}}}})
		b.Findings = append(b.Findings, change.Finding{Where: text, Says: text, Do: text, Mismatch: i%2 == 0})
		b.Versions = append(b.Versions, album.Version{Number: i + 1, Branch: text, Parent: i - 1, Time: time.Unix(1775000000, 0), Who: text, Text: text, Called: []string{text}, Fitting: i,
			Steps: []album.Step{{Old: before, New: now, Diff: p, Says: []string{text}}}, Says: []string{text}})
		b.Here, before = i, now
	}
	return b
}

func writeBook(t testing.TB, b *album.Book) string {
	t.Helper()
	var page bytes.Buffer
	require.NoError(t, album.Write(&page, b))
	file := filepath.Join(t.TempDir(), "album.html")
	require.NoError(t, os.WriteFile(file, page.Bytes(), 0o644))
	return file
}

// Whatever a text holds, it is shown as text: nothing of it runs, nothing is
// asked for, nothing is turned around, and nothing makes the page wider.
func TestAlbumOfHostileTexts(t *testing.T) {
	needPrograms(t, "chromium")
	file := writeBook(t, hostileBook())
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	for _, r := range "\u202e\u2066\u2069\u200f" {
		assert.NotContains(t, string(text), string(r))
	}
	r := readAlbum(t, file, 360, 740)
	for i := range len(hostileTexts) + 1 {
		r.click(`.stitch[data-v="` + strconv.Itoa(i) + `"]`)
		assert.Equal(t, "360", r.says(`document.documentElement.scrollWidth`), "version %d", i+1)
		assert.Positive(t, r.uncrowded(fmt.Sprintf("version %d", i+1)))
	}
	r.click(".open-book-button")
	assert.Equal(t, "360", r.says(`document.documentElement.scrollWidth`), "every version")
	assert.Equal(t, "undefined", r.says(`window.hacked`))
	assert.Equal(t, "2", r.says(`document.querySelectorAll('script').length`), "the data and the script")
	assert.Equal(t, "0", r.says(`document.querySelectorAll('img, [onfocus], [onerror]').length`))
	assert.Equal(t, "block", r.says(`getComputedStyle(document.body).display`))
	all := r.says(`document.body.textContent`)
	for _, text := range hostileTexts[:6] {
		assert.Contains(t, all, text)
	}
	assert.Contains(t, all, strings.Repeat("x", 5000))
	r.quiet()
}

// albumAtRandom is a book of one piece that changes in every version: corners
// move, notches and buttons come, go and wander.
func albumAtRandom(m *rand.Rand, versions int) *album.Book {
	b := &album.Book{Name: "at random", Unit: []units.Unit{units.Centimetre, units.Millimetre, units.Inch}[m.IntN(3)]}
	q := &pattern.Piece{Name: "piece", ID: "12345678", Slug: "piece", Cut: pattern.CutPair, Cloth: "outer"}
	corners := 3 + m.IntN(8)
	wide, high := 30+m.Float64()*900, 30+m.Float64()*900
	for k := range corners {
		at := geom.Pt(1, 0).Turn(2 * 3.14159265 * (float64(k) + 0.5*m.Float64()) / float64(corners))
		q.Corners = append(q.Corners, pattern.Corner{At: geom.Pt(at.X*wide, at.Y*high)})
		q.Edges = append(q.Edges, pattern.Edge{Name: fmt.Sprintf("edge %d", k+1), Handles: []*pattern.Handles{nil}})
	}
	p := pattern.New("at random", b.Unit)
	var before *pattern.Piece
	for i := range versions {
		now := q.Clone()
		for k := range now.Corners {
			if i > 0 && m.IntN(3) == 0 {
				now.Corners[k].At = now.Corners[k].At.Add(geom.Pt(m.Float64()-0.5, m.Float64()-0.5).Mul(0.12 * min(wide, high)))
			}
		}
		now.Marks, now.Notches = nil, nil
		for k := range m.IntN(7) {
			now.Marks = append(now.Marks, pattern.Mark{Kind: pattern.MarkButton, Name: fmt.Sprintf("button %d", k+1), At: geom.Pt(m.Float64()-0.5, m.Float64()-0.5).Mul(0.4 * min(wide, high)), Size: 10})
			e := m.IntN(corners)
			now.Notches = append(now.Notches, pattern.Notch{Name: fmt.Sprintf("notch %d", k+1), Edge: now.Edges[e].Name, At: now.EdgePath(e).Length() * (0.1 + 0.8*m.Float64()), Count: 1 + m.IntN(2)})
		}
		d, err := diff.Pieces(before, now, p)
		if err != nil {
			continue
		}
		step := album.Step{Old: before, New: now, Diff: d, Laid: placed(d.Placement)}
		b.Versions = append(b.Versions, album.Version{Number: i + 1, Parent: len(b.Versions) - 1, Time: time.Unix(1775000000, 0), Text: "version", Fitting: -1, Steps: []album.Step{step}})
		q, before = now, now
	}
	b.Here = len(b.Versions) - 1
	return b
}

// Over generated pieces and changes no two labels of the table overlap and none
// leaves it: each version, and the first to the last with everything between.
func TestAlbumLabelsAtRandom(t *testing.T) {
	needPrograms(t, "chromium")
	const seed = 20260514
	t.Logf("seed %d", seed)
	m := rand.New(rand.NewPCG(seed, 11))
	books, labels := 6, 0
	if demandAll() {
		books = 20
	}
	for k := range books {
		b := albumAtRandom(m, 5)
		r := readAlbum(t, writeBook(t, b), []int64{1200, 360}[k%2], 800)
		labels += r.uncrowded(fmt.Sprintf("book %d, as opened", k))
		for i := range b.Versions {
			r.click(`.stitch[data-v="` + strconv.Itoa(i) + `"]`)
			labels += r.uncrowded(fmt.Sprintf("book %d, version %d", k, i+1))
		}
		r.quiet()
	}
	t.Logf("%d labels", labels)
	require.Greater(t, labels, 20*books)
}
