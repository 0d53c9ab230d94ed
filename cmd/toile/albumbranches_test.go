package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// twoSheets are a front, 200 by 300 mm, and a back, 220 by 320 mm.
const twoSheets = `<svg xmlns="http://www.w3.org/2000/svg" width="800mm" height="600mm" viewBox="0 0 800 600">
<path id="front" d="M10 10H210V310H10Z"/><path id="back" d="M310 10H530V330H310Z"/></svg>`

// typedPattern starts a pattern of two pieces and types commands.
func typedPattern(t *testing.T, commands ...string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "p")
	sheet := filepath.Join(t.TempDir(), "sheet.svg")
	require.NoError(t, os.WriteFile(sheet, []byte(twoSheets), 0o644))
	var out bytes.Buffer
	require.Zero(t, run([]string{"start", folder}, &out, &out), out.String())
	commands = append([]string{`trace ` + sheet, `edge front 3 hemline --hem`, `commit "as drafted"`}, commands...)
	for _, line := range commands {
		var out bytes.Buffer
		require.Zero(t, run(append(splitCommand(line), "--pattern", folder), &out, &out), "%s: %s", line, out.String())
	}
	return folder
}

// albumSaid is what the test reads of an album's data.
type albumSaid struct {
	Tracks   []string `json:"tracks"`
	Versions []struct {
		Number int    `json:"n"`
		Branch string `json:"br"`
	} `json:"versions"`
	Fittings []struct {
		Title string `json:"x"`
		Sewn  int    `json:"s"`
	} `json:"fittings"`
	Notes []struct {
		Key, Where, Seen string
		Track            int         `json:"t"`
		At               *[2]float64 `json:"at"`
		By               []int       `json:"by"`
		Again            []struct {
			At    string `json:"x"`
			Since int    `json:"v"`
			Seen  string `json:"s"`
		} `json:"ag"`
		Lies []struct {
			Version int         `json:"v"`
			Track   int         `json:"t"`
			At      *[2]float64 `json:"at"`
		} `json:"pt"`
		Open string `json:"o"`
		K    string `json:"k"`
		S    string `json:"s"`
		W    string `json:"w"`
	} `json:"notes"`
}

func readAlbumData(t *testing.T, folder string) (said albumSaid, page string) {
	t.Helper()
	text, err := os.ReadFile(albumOf(t, folder))
	require.NoError(t, err)
	found := regexp.MustCompile(`(?s)<script id="data" type="application/json">(.*?)</script>`).FindSubmatch(text)
	require.NotNil(t, found)
	require.NoError(t, json.Unmarshal(found[1], &said))
	return said, string(text)
}

func (a albumSaid) version(i int) string {
	if i < 0 {
		return "none"
	}
	return fmt.Sprintf("%d on %s", a.Versions[i].Number, a.Versions[i].Branch)
}

func (a albumSaid) versions(all []int) (out []string) {
	for _, i := range all {
		out = append(out, a.version(i))
	}
	return out
}

const hemUp = `alter shorten front hemline 1cm`

// After a merge, numbers are those of the branch's own line, whatever the other
// one has: the fitting was of version 2 and answered by 4 of `working`.
func TestAlbumAfterAMerge(t *testing.T) {
	folder := typedPattern(t,
		`alter let-out back "edge 2" 1cm`, `commit two`, `fitting open --cloth linen`, `fitting pin front "edge 2@5cm" "too long" --side left`, `commit three`,
		hemUp, `commit four --answers 1.1`,
		`branch short --from 1`, `use short`,
		`alter let-out back "edge 4" 1cm`, `commit s2`, `alter let-out back "edge 4" 1cm`, `commit s3`, `alter let-out back "edge 4" 1cm`, `commit s4`,
		`use working`, `merge short`)
	said, page := readAlbumData(t, folder)
	require.Len(t, said.Fittings, 1)
	assert.Equal(t, "2 on working", said.version(said.Fittings[0].Sewn))
	assert.Equal(t, []string{"4 on working"}, said.versions(said.Notes[0].By))
	assert.Equal(t, &[2]float64{210, 60}, said.Notes[0].At)
	assert.Contains(t, said.Notes[0].W, "on the wearer's left")
	assert.Contains(t, page, "version 4 on working, <bdi>four")
}

// What each branch did with one fitting, and fittings that two branches opened,
// stand in the album of either.
func TestAlbumOfTwoBranches(t *testing.T) {
	folder := typedPattern(t,
		`fitting open --cloth linen`, `fitting pin front "edge 2@5cm" "too long"`, `commit two`,
		`branch short`, `use short`, `fitting pin front "edge 4@5cm" "pulls here"`, hemUp, `commit "short three" --answers 1.1`,
		`fitting open --cloth silk`, `fitting pin back "edge 2@5cm" "short two one"`, `commit "short four"`,
		`use working`, `fitting open --cloth calico`, `fitting pin front "edge 2@9cm" "working two one"`, `commit three`,
		`alter shorten front hemline 2cm`, `commit four --answers 2.1`)
	said, page := readAlbumData(t, folder)
	require.Len(t, said.Fittings, 3)
	titles := said.Fittings[1].Title + "; " + said.Fittings[2].Title
	assert.Contains(t, titles, "Fitting 2 on short")
	assert.Contains(t, titles, "Fitting 2 on working")
	by := map[string][]string{}
	for _, n := range said.Notes {
		by[n.S] = said.versions(n.By)
	}
	assert.Equal(t, map[string][]string{"too long": {"3 on short"}, "pulls here": nil, "short two one": nil, "working two one": {"4 on working"}}, by)
	assert.Contains(t, page, "<strong><bdi>open on working</bdi></strong>", "1.1 is answered on the other branch alone")
}

// A note that was seen again keeps both versions that answered it, and is named
// at the later fitting.
func TestAlbumOfANoteSeenAgain(t *testing.T) {
	folder := typedPattern(t,
		`fitting open --cloth linen`, `fitting pin front hemline "too long"`, `commit two`,
		hemUp, `commit three --answers 1.1`,
		`fitting open --cloth linen`, `fitting again 1.1 --seen "still too long"`, `commit four`,
		`alter shorten front hemline 2cm`, `commit five --answers 1.1`)
	said, page := readAlbumData(t, folder)
	require.Len(t, said.Notes, 1)
	assert.Equal(t, []string{"3 on working", "5 on working"}, said.versions(said.Notes[0].By))
	require.Len(t, said.Notes[0].Again, 1)
	assert.Equal(t, "fitting 2", said.Notes[0].Again[0].At)
	assert.Equal(t, "4 on working", said.version(said.Notes[0].Again[0].Since))
	assert.Contains(t, page, "Seen again here")
	assert.NotContains(t, page, "No notes.")
	assert.NotContains(t, page, "<strong>open</strong>")
}

// A note stays on its piece when pieces exchange their names, and when the piece
// is removed and another bears its name.
func TestAlbumNotesFollowTheirPiece(t *testing.T) {
	pinned := []string{`fitting open --cloth linen`, `fitting pin front "edge 2@5cm" "on the front"`, `commit two`}
	for name, then := range map[string][]string{
		"exchanged": {`alter rename front x`, `alter rename back front`, `alter rename x back`, `commit three`},
		"removed":   {`alter rename front c`, `commit three`, `alter remove c`, `commit four`, `alter rename back c`, `commit five`},
	} {
		said, _ := readAlbumData(t, typedPattern(t, append(pinned, then...)...))
		require.Len(t, said.Notes, 1, name)
		assert.Equal(t, &[2]float64{210, 60}, said.Notes[0].At, name)
		want := map[string]string{"exchanged": "back", "removed": "c"}[name]
		assert.Equal(t, want, said.Tracks[said.Notes[0].Track], name)
		assert.Contains(t, said.Notes[0].W, "5\u00a0cm", name)
	}
}

// A note of a piece that was split lies on the part that holds its place, and when
// the parts are joined again on the whole. The cut runs along x = 110: (30, 260)
// lies left of it and goes with the side, (190, 60) stays with the centre. The front
// came back onto its own sheet, so all keep their figures.
func TestAlbumNotesFollowSplitAndJoin(t *testing.T) {
	folder := typedPattern(t,
		`fitting open --cloth linen`, `fitting pin front "edge 4@5cm, 2cm in" left`, `fitting pin front "edge 2@5cm, 2cm in" right`, `commit two`,
		`alter split front --line 11,1:11,31 --into centre,side`, `commit three`,
		`branch apart`, `alter join centre "seam to side" side "seam to centre" --name front`, `commit four`)
	said, page := readAlbumData(t, folder)
	track := func(name string) int { return slices.Index(said.Tracks, name) }
	left, right := said.Notes[0], said.Notes[1]
	require.Equal(t, []string{"left", "right"}, []string{left.S, right.S})
	assert.Equal(t, track("front"), left.Track)
	assert.Equal(t, &[2]float64{30, 260}, left.At)
	assert.Empty(t, right.Lies)
	require.Len(t, left.Lies, 2)
	assert.Equal(t, "3 on working", said.version(left.Lies[0].Version))
	assert.Equal(t, track("side"), left.Lies[0].Track)
	assert.Equal(t, &[2]float64{30, 260}, left.Lies[0].At)
	assert.Equal(t, "4 on working", said.version(left.Lies[1].Version))
	assert.Equal(t, track("front"), left.Lies[1].Track)
	assert.Equal(t, &[2]float64{30, 260}, left.Lies[1].At)
	assert.Equal(t, "open", left.Open, "on both branches")
	assert.NotContains(t, page, "now</bdi>", "both are on the front again")

	needPrograms(t, "chromium")
	r := readAlbum(t, albumOf(t, folder), 1000, 800)
	pins := func(piece string) string {
		_ = eval[*bool](r, `[...document.querySelectorAll('.pieces button')].find((b) => b.querySelector('.name').textContent === '`+piece+`').click()`)
		return r.says(`[...document.querySelectorAll('.tag.pin')].map((e) => e.textContent).join()`)
	}
	r.click(`.stitch[data-v="2"]`)
	assert.Equal(t, "note 1.2", pins("centre"))
	assert.Equal(t, "note 1.1", pins("side"))
	r.click(`.stitch[data-v="3"]`)
	assert.Equal(t, "note 1.1,note 1.2", pins("front"))
	r.quiet()

	var out bytes.Buffer
	require.Zero(t, run([]string{"use", "apart", "--pattern", folder}, &out, &out), out.String())
	_, page = readAlbumData(t, folder)
	assert.Contains(t, page, "; on “side” now")
	assert.Contains(t, page, "; on “centre” now")
}
