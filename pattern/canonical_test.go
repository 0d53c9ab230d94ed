package pattern

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

func TestEncodeDecodeIsTheIdentity(t *testing.T) {
	p := richPattern(t)
	files := encode(t, p)
	back, err := Decode(files)
	require.NoError(t, err)
	assert.Equal(t, p, back)
	again := encode(t, back)
	for name, text := range files {
		assert.Equal(t, string(text), string(again[name]), name)
	}
	assert.Len(t, again, len(files))
	assert.Equal(t, []string{".gitattributes", "fittings/01-abcd.yaml", "fittings/12-0000.yaml", "pattern.yaml",
		"pieces/1e3.yaml", "pieces/front.yaml", "pieces/null.yaml"}, slices.Sorted(maps.Keys(files)))
}

// A hand-written file: keys in any order, other spacing and quotes, comments,
// a byte order mark and line ends of another system.
func TestHandWrittenBecomesCanonical(t *testing.T) {
	const hand = "\ufeff# my front\r\nnotches:\r\n  - at:   '50'   # half way\r\n    edge: \"1e2\"\r\n    count: 1\r\n    name: 12\r\n    from: start\r\n\r\n" +
		"outline: [{corner: {at: [0.00, -0.0], round: 0}}, {edge: {fold: no, name: top}},\r\n" +
		"   {corner: [+100., 000]}, {edge: {name: 1e2, path: [{handles: [110.0004, 10, 110, 90], through: [100, 99.9996]}, {through: [99.5, 150]}], allowance: {toile: 20, cloth: .5, }}},\r\n" +
		"   {corner: {at: [100, 200], style: extended}}, {edge: {name: 'bottom', hem: yes}},\r\n" +
		"   {corner: [0, 200]}, {edge: {name:  true , allowance: {cloth: 0}}}]\r\n" +
		"id:   \"12345678\"\r\nname:   re\u0301glé   \r\n"
	const want = `name: réglé
id: '12345678'
cut: one
outline:
- corner: [0, 0]
- edge:
    name: top
- corner: [100, 0]
- edge:
    name: '1e2'
    allowance: {cloth: 0.5, toile: 20}
    path:
    - handles: [110, 10, 110, 90]
    - through: [100, 100]
    - through: [99.5, 150]
- corner: [100, 200]
- edge:
    name: bottom
    hem: true
- corner: [0, 200]
- edge:
    name: 'true'
notches:
- {name: '12', edge: '1e2', at: 50}
`
	p, err := DecodePiece("pieces/front.yaml", "front", []byte(hand))
	require.NoError(t, err)
	text, err := p.Encode()
	require.NoError(t, err)
	assert.Equal(t, want, string(text))
}

func TestNumbersInFiles(t *testing.T) {
	for v, want := range map[float64]string{
		0: "[0, 0]", -0.0004: "[0, 0]", 0.00051: "[0.001, -0.001]", 12.3456: "[12.346, -12.346]", 1e5: "[100000, -100000]",
		-7.5: "[-7.5, 7.5]", 100.10: "[100.1, -100.1]", 0.1 + 0.2: "[0.3, -0.3]",
	} {
		p := oblong("front", 100, 200)
		p.Marks = []Mark{{Kind: MarkDot, Name: "dot", At: geom.Pt(v, -v)}}
		text, err := p.Encode()
		require.NoError(t, err)
		assert.Contains(t, string(text), "at: "+want+"\n", "%v", v)
	}
}

// Names and texts that YAML readers may take for something else.
func TestTextsSurvive(t *testing.T) {
	names := []string{"yes", "No", "ON", "y", "true", "null", "~", "12", "-1", "1e5", "1234e567", "0x1f", "1_000", ".5", ".inf", "2026-05-14", "-", "- a", "#", "a #b", "&a", "*a", "!t", "%",
		"@", "`", "|", ">", "?", "[", "{", "}", "'", "\"", "it's", "\\", "---", "...", "=", "<<", "é", "裾", "\U0001F34E", "a\u00a0b", "\u200b", strings.Repeat("\U0001F34E", 80)}
	for _, name := range names {
		p := New(name, "mm")
		p.Sets = []string{name}
		q := oblong(name, 100, 200)
		q.Slug = "front"
		edge := name
		if _, err := strconv.Atoi(name); err == nil {
			edge = "no. " + name // a bare number is no name for an edge
		}
		q.Edges[0].Name, q.Edges[0].Allowance = edge, map[string]float64{name: 5}
		q.Corners[0].Name = name
		q.Notches = []Notch{{Name: name, Edge: edge, At: 5, Count: 1}}
		p.Put(q)
		back, err := Decode(encode(t, p))
		if assert.NoError(t, err, "%q", name) {
			assert.Equal(t, p, back, "%q", name)
		}
	}
	texts := append(names, "a\nb", "\n", " \n ", "\n\na", "a\n\n", "  a\n b\n", "\ttab\n\t", "a: b\nc: d", "- a\n- b\n", "x \ny", "# a\n# b", "\u2028", "a\u2028b\nc", "\u0020", "a\ufeffb", "---\n...\n",
		"\U0001F34E\n\U0001F34F", strings.Repeat("a long text that nobody breaks ", 400), strings.Repeat("w", 20000), "a,b/c+d: e")
	for _, text := range texts {
		p := oblong("front", 100, 200)
		p.Cloth = text
		p.Marks = []Mark{{Kind: MarkText, Name: "t", Text: text}}
		encoded, err := p.Encode()
		require.NoError(t, err)
		back, err := DecodePiece("pieces/front.yaml", "front", encoded)
		if assert.NoError(t, err, "%q", text) {
			assert.Equal(t, text, back.Marks[0].Text)
			assert.Equal(t, text, back.Cloth)
		}
		if !strings.Contains(text, "\n") {
			assert.Equal(t, strings.Count(rectangleText, "\n")+6, strings.Count(string(encoded), "\n"), "%q stays on one line", text)
		}
	}
}

// rectangleText is the file of oblong("front", 100, 200).
const rectangleText = `name: front
cut: one
outline:
- corner: [0, 0]
- edge:
    name: top
- corner: [100, 0]
- edge:
    name: right
- corner: [100, 200]
- edge:
    name: bottom
- corner: [0, 200]
- edge:
    name: left
`

func TestRectangleText(t *testing.T) {
	text, err := oblong("front", 100, 200).Encode()
	require.NoError(t, err)
	assert.Equal(t, rectangleText, string(text))
}

// changedLines returns the lines of the first text, from 1, that the second
// has otherwise, found as what is left when common lines at both ends are
// taken off.
func changedLines(a, b []byte) (removed, added []string) {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	for len(x) > 0 && len(y) > 0 && x[len(x)-1] == y[len(y)-1] {
		x, y = x[:len(x)-1], y[:len(y)-1]
	}
	return x, y
}

func TestTouchingOneEdgeChangesOnlyItsLines(t *testing.T) {
	before, err := richFront().Encode()
	require.NoError(t, err)
	for name, c := range map[string]struct {
		change         func(p *Piece)
		removed, added []string
	}{
		"an allowance": {func(p *Piece) { p.Edges[1].Allowance = map[string]float64{"cloth": 15} },
			[]string{}, []string{"    allowance: {cloth: 15}"}},
		"an inner node": {func(p *Piece) { p.Edges[1].Nodes[0] = geom.Pt(312, 400) },
			[]string{"    - through: [310, 400]"}, []string{"    - through: [312, 400]"}},
		"a corner between straight edges": {func(p *Piece) { p.Corners[3].At = geom.Pt(0, 790) },
			[]string{"- corner: {at: [0, 800], style: square to the edge after}"}, []string{"- corner: {at: [0, 790], style: square to the edge after}"}},
		"a corner beside a curve": {func(p *Piece) { p.Corners[1].At = geom.Pt(300, 2) },
			[]string{"- corner: [300, 0]"}, []string{"- corner: [300, 2]"}},
		"a name": {func(p *Piece) { p.Edges[3].Name = "centre front" },
			[]string{"    name: left"}, []string{"    name: centre front"}},
		"a rounding": {func(p *Piece) { p.Corners[2].Round = 60 },
			[]string{"- corner: {at: [300, 800], round: 40, style: folded back}"}, []string{"- corner: {at: [300, 800], round: 60, style: folded back}"}},
	} {
		p := richFront()
		c.change(p)
		after, err := p.Encode()
		require.NoError(t, err)
		removed, added := changedLines(before, after)
		assert.Equal(t, c.removed, removed, name)
		assert.Equal(t, c.added, added, name)
	}
}

func TestDecodeOrdersPiecesBySlug(t *testing.T) {
	p := New("smock", "mm")
	for _, name := range []string{"back yoke", "back", "a"} {
		p.Put(oblong(name, 100, 200))
	}
	back, err := Decode(encode(t, p))
	require.NoError(t, err)
	assert.Equal(t, []string{"a", "back", "back yoke"}, back.PieceNames())
	assert.Equal(t, p.PieceNames(), back.PieceNames())
}

// scramble changes everything that a slice, map or pointer of the pattern
// leads to.
func scramble(p *Pattern) {
	p.Sets[0] = "x"
	for i := range p.Seams {
		s := &p.Seams[i]
		s.First[0].Piece, s.Second[0].Piece = "x", "x"
		for k := range s.Sections {
			s.Sections[k].Ease = 99
		}
		for k := range s.Openings {
			s.Openings[k].To = 99
		}
	}
	for i := range p.Layers {
		p.Layers[i].Inner[0], p.Layers[i].Differences[0].By = "x", 99
	}
	for _, f := range p.Fittings {
		f.Number = 99
		for k := range f.Notes {
			f.Notes[k].Seen = "x"
			if f.Notes[k].At != nil {
				f.Notes[k].At.X = 99
			}
		}
	}
	for _, q := range p.Pieces {
		scramblePiece(q)
	}
}

func scramblePiece(q *Piece) {
	q.Name = "x"
	if q.Grain != nil {
		q.Grain.From.X = 99
	}
	for i := range q.Corners {
		q.Corners[i].At.X = 99
	}
	for i := range q.Edges {
		e := &q.Edges[i]
		e.Name = "x"
		for k := range e.Allowance {
			e.Allowance[k] = 99
		}
		for k := range e.Nodes {
			e.Nodes[k].X = 99
		}
		for _, h := range e.Handles {
			if h != nil {
				h.First.X = 99
			}
		}
	}
	for i := range q.Notches {
		q.Notches[i].At = 99
	}
	for i := range q.Marks {
		q.Marks[i].Text = "x"
		for k := range q.Marks[i].Path {
			q.Marks[i].Path[k].P0.X = 99
		}
	}
	for i := range q.Lines {
		q.Lines[i].Path[0].P0.X = 99
	}
}

func TestCloneIsDeep(t *testing.T) {
	p := richPattern(t)
	c := p.Clone()
	assert.Equal(t, p, c)
	scramble(c)
	assert.Equal(t, richPattern(t), p)
}

// Random texts of the characters that mean something in YAML.
func TestRandomTextsSurvive(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	rng := rand.New(rand.NewPCG(seed, 1))
	bits := []string{"a", "1", "e", " ", "\n", "\t", "#", ":", "-", "'", "\"", "\\", "|", ">", "&", "*", "!", "%", "@", "`", "{", "}", "[", "]", ",", "?", "=", "<", "~", ".", "\u00e9", "\u2028", "\u2029", "\ufeff", "\u00a0", "\U0001F34E"}
	for range 3000 {
		var b strings.Builder
		for range rng.IntN(12) + 1 {
			b.WriteString(bits[rng.IntN(len(bits))])
		}
		text := b.String()
		p := New("smock", "mm")
		q := oblong("front", 100, 200)
		q.Cloth = text
		q.Marks = []Mark{{Kind: MarkText, Name: "t", Text: text}}
		p.Put(q)
		p.Put(oblong("back", 100, 200))
		p.Layers = []Layer{{Outer: "front", Inner: []string{"back"}, Differences: []Difference{{What: text}}}}
		p.Fittings = []*Fitting{{Number: 1, Worn: text, Notes: []Note{{Number: 1, Seen: text, ToDo: text}}}}
		back, err := Decode(encode(t, p))
		require.NoError(t, err, "%q, seed %d", text, seed)
		require.Equal(t, p, back, "%q, seed %d", text, seed)
	}
}
