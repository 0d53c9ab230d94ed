package trace

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// memoryOf gives the bytes that f allocates in all.
func memoryOf(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// endless gives a start and then one byte for ever, and counts what is taken.
type endless struct {
	start string
	fill  byte
	taken int
}

func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.start)
	e.start = e.start[n:]
	for i := n; i < len(p); i++ {
		p[i] = e.fill
	}
	e.taken += len(p)
	return len(p), nil
}

func TestBrokenXML(t *testing.T) {
	for content, want := range map[string]string{
		"":                       "smock.svg: not a drawing: no svg element",
		"hello":                  "broken XML: text outside of the drawing",
		"<svg":                   "smock.svg:1: broken XML: unexpected EOF",
		"<svg>\n<g>\n</svg>":     "smock.svg:3: broken XML: element <g> closed by </svg>",
		"<svg>\n<path d='M 0 0'": "smock.svg:2: broken XML",
		"<svg></svg><svg></svg>": "broken XML: <svg> after the end of the drawing",
		"<svg></svg>junk":        "broken XML: text outside of the drawing",
		"<html><svg/></html>":    "not an SVG drawing: it starts with <html>",
		"<svg xmlns='urn:x'/>":   "not an SVG drawing",
		"<svg>&nope;</svg>":      "broken XML: invalid character entity &nope;",
		`<!DOCTYPE svg [<!ENTITY a "b"><!ENTITY c "&a;&a;">]><svg>&c;</svg>`: "declares entities of its own that stand for other files or for further entities (&c;)",
		"<svg a=b/>":      "broken XML: unquoted or missing attribute value",
		"<svg>\x00</svg>": "broken XML: illegal character code",
		"<svg>\xff</svg>": "broken XML: invalid UTF-8",
		`<?xml version="1.0" encoding="martian"?><svg/>`: `encoding "martian" is not known`,
	} {
		d, err := readString(content, Options{})
		assert.Nil(t, d)
		assert.ErrorContains(t, err, want, content)
		assert.ErrorContains(t, err, "smock.svg")
		assert.NotContains(t, err.Error(), "\n", "one clear line")
	}
}

// A stream that never ends is refused at the limit, at once.
func TestTooManyBytes(t *testing.T) {
	r := &endless{start: sheetMM("")[:100], fill: ' '}
	_, err := ReadSVG("huge.svg", r, Options{})
	assert.ErrorIs(t, err, ErrTooLarge)
	assert.ErrorContains(t, err, "huge.svg: too large: more than 100 MB")
	assert.Less(t, r.taken, MaxBytes+1<<20)
	_, err = ReadPoints("huge.points", &endless{fill: '\n'}, PointsOptions{})
	assert.ErrorIs(t, err, ErrTooLarge)
}

// A file whose size is known is refused without reading any of it.
func TestTooLargeUnread(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.svg")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(MaxBytes+1)) // sparse
	require.NoError(t, f.Close())
	grown := memoryOf(func() {
		_, err = Read(path, Options{}, PointsOptions{})
	})
	assert.ErrorIs(t, err, ErrTooLarge)
	assert.Less(t, grown, uint64(1<<20))
	_, err = ReadSVG("huge.svg", bytes.NewReader(make([]byte, MaxBytes+1)), Options{})
	assert.ErrorIs(t, err, ErrTooLarge)
}

func TestGzipBomb(t *testing.T) {
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := io.CopyN(z, &endless{start: sheetMM("")[:100], fill: ' '}, 3*MaxBytes)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	require.Less(t, packed.Len(), 1<<20)
	_, err = ReadSVG("bomb.svgz", &packed, Options{})
	assert.ErrorIs(t, err, ErrTooLarge)
	assert.ErrorContains(t, err, "unpacked")
}

func TestBrokenGzip(t *testing.T) {
	whole := zipped(t, sheetMM(backRect))
	for _, bad := range [][]byte{whole[:3], whole[:len(whole)/2], whole[:len(whole)-3], append([]byte{0x1f, 0x8b}, "nothing"...)} {
		_, err := ReadSVG("x.svgz", bytes.NewReader(bad), Options{})
		assert.ErrorContains(t, err, "packed file is broken")
	}
}

func zipped(t *testing.T, s string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := io.WriteString(z, s)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}

func TestDeepNesting(t *testing.T) {
	for _, tag := range []string{"g", "x"} { // kept in the tree, and skipped
		deep := strings.Repeat("<"+tag+">", 300_000)
		grown := memoryOf(func() {
			_, err := readString("<svg width='9mm'>"+deep, Options{})
			assert.ErrorIs(t, err, ErrTooLarge)
			assert.ErrorContains(t, err, "nested more than 200 deep")
		})
		assert.Less(t, grown, uint64(32<<20))
	}
	d := mustRead(t, strings.Repeat("<g>", 190)+backRect+strings.Repeat("</g>", 190))
	assert.Equal(t, []string{"back"}, names(d))
}

func TestTooManyOfAKind(t *testing.T) {
	for content, want := range map[string]string{
		strings.Repeat("<g/>", 100_001):                                            "more than 100000 elements",
		"<g " + strings.Repeat("a='' ", 60_000) + "/>":                             "more than 50000 attributes",
		`<path id="p" d="M 0 0` + strings.Repeat(" 1 1", 1_000_001) + `"/>`:        "more than 1000000 curves",
		`<path id="p" d="M 0 0` + strings.Repeat("a9 9 0 10.1.1", 300_000) + `"/>`: "more than 1000000 curves",
		`<style>` + strings.Repeat(".a{display:none}", 501) + `</style>`:           "more than 500 style rules",
	} {
		_, err := readString(sheetMM(content), Options{})
		assert.ErrorIs(t, err, ErrTooLarge)
		assert.ErrorContains(t, err, want)
	}
}

// Many marks in an outline of many curves would be slow to sort.
func TestTooMuchToSort(t *testing.T) {
	var outline strings.Builder
	outline.WriteString(`<path id="back" d="M 0 0`)
	for i := range 50_000 {
		outline.WriteString(" L " + []string{"900 ", "901 "}[i%2] + strings.Repeat("9", 3))
	}
	outline.WriteString(` L 0 900 z"/>` + strings.Repeat(`<circle cx="300" cy="400" r="2"/>`, 20_000))
	_, err := readString(sheetMM(outline.String()), Options{})
	assert.ErrorIs(t, err, ErrTooLarge)
}

// A reader that fails, or never gets on, ends in an error.
func TestReaderFails(t *testing.T) {
	_, err := ReadSVG("x.svg", io.MultiReader(strings.NewReader("<svg>"), failing{}), Options{})
	assert.ErrorContains(t, err, "x.svg: cannot be read: the disk is gone")
	_, err = ReadSVG("x.svg", stuck{}, Options{})
	assert.ErrorIs(t, err, io.ErrNoProgress)
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the disk is gone") }

type stuck struct{}

func (stuck) Read([]byte) (int, error) { return 0, nil }

// Entities of the file's own are read; nothing outside of it, and nothing
// that swells.
func TestEntities(t *testing.T) {
	doc := func(declarations, width string) string {
		return `<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [` +
			declarations + `]><svg xmlns="&ns_svg;" width="` + width + `" height="9mm" viewBox="0 0 9 9"><rect id="p" width="9" height="9"/></svg>`
	}
	svg := `<!ENTITY ns_svg "http://www.w3.org/2000/svg">`
	d, err := readString(doc(svg+"\n<!ENTITY w '9&#109;&#x6d;'><!-- > --><!ENTITY % p \"x\"><!ENTITY ns_svg 'second'>", "&w;"), Options{})
	require.NoError(t, err)
	assert.Equal(t, []string{"p"}, names(d))
	_, err = readString(doc(svg+`<!ENTITY w SYSTEM "/etc/hostname">`, "&w;"), Options{})
	assert.ErrorContains(t, err, "(&w;); these are not followed")
	_, err = readString(doc(svg+`<!ENTITY a "9mm"><!ENTITY w "&a;&a;">`, "&w;"), Options{})
	assert.ErrorContains(t, err, "(&w;); these are not followed")
	_, err = readString(doc(svg+`<!ENTITY w "`+strings.Repeat("x", 1001)+`">`, "&w;"), Options{})
	assert.ErrorIs(t, err, ErrTooLarge)
	_, err = readString(doc(svg+`<!ENTITY w "x">`, strings.Repeat("&w;", 60_000)), Options{})
	assert.ErrorContains(t, err, "more than 50000 references")
}
