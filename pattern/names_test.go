package pattern

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

func TestCleanName(t *testing.T) {
	for name, want := range map[string]string{
		"front":                       "front",
		"  side seam\t":               "side seam",
		"a  b":                        "a  b",
		"re\u0301glé":                 "réglé",  // NFC, Unicode Standard Annex 15
		"\u212b":                      "\u00c5", // the ångström sign is the letter
		"裾":                           "裾",
		"\U0001F34E":                  "\U0001F34E",
		strings.Repeat("é", 80):       strings.Repeat("é", 80),
		strings.Repeat("e\u0301", 80): strings.Repeat("é", 80),
		"front-2 (new)!":              "front-2 (new)!",
	} {
		got, err := CleanName(name)
		require.NoError(t, err, "%q", name)
		assert.Equal(t, want, got)
		again, err := CleanName(got)
		require.NoError(t, err)
		assert.Equal(t, got, again, "cleaning twice changes nothing")
	}
	for name, reason := range map[string]string{
		"": "may not be empty", " \t\n": "may not be empty",
		strings.Repeat("x", 81): "has 81 characters; 80 is the most",
		"a/b":                   "separate names", "a:b": "separate names", "a,b": "separate names", "a+b": "separate names",
		"a\nb": "U+000A", "a\x00b": "U+0000", "a\x7fb": "U+007F", "a\u0085b": "U+0085", "a\x1b[1m": "U+001B",
		"a\u202eb": "U+202E", "a\u2066b": "U+2066", "a\u200eb": "U+200E", // turn the direction of writing
		"a\u2028b": "U+2028", "a\u2029b": "U+2029", "a\ufeffb": "U+FEFF", "a\ufffdb": "U+FFFD", "a\uffffb": "U+FFFF",
		"a\xffb": "not valid UTF-8",
	} {
		_, err := CleanName(name)
		assert.ErrorContains(t, err, reason, "%q", name)
	}
}

func TestSlug(t *testing.T) {
	taken := func(names ...string) func(string) bool {
		return func(s string) bool {
			for _, n := range names {
				if n == s {
					return true
				}
			}
			return false
		}
	}
	for _, c := range []struct {
		name  string
		taken func(string) bool
		want  string
	}{
		{"front", nil, "front"},
		{"Side Panel", nil, "side-panel"},
		{"Ärmel, links", nil, "armel-links"},
		{"re\u0301gle\u0301", nil, "regle"},
		{"réglé", nil, "regle"},
		{"--a__b--", nil, "a-b"},
		{"groß", nil, "gro"},
		{"!?*", nil, "piece"},
		{"裾", nil, "piece"},
		{"\U0001F34E", taken("piece"), "piece-2"},
		{"con", nil, "con-2"}, {"AUX", nil, "aux-2"}, {"com1", nil, "com1-2"}, {"LPT9", nil, "lpt9-2"}, {"com0", nil, "com0-2"}, {"com10", nil, "com10"},
		{"front", taken("front"), "front-2"},
		{"front", taken("front", "front-2", "front-3"), "front-4"},
		{"con", taken("con-2"), "con-3"},
		{strings.Repeat("ab", 50), nil, strings.Repeat("ab", 30)},
		{strings.Repeat("a", 59) + " b", nil, strings.Repeat("a", 59)},
		{"../../etc", nil, "etc"},
	} {
		got := Slug(c.name, c.taken)
		assert.Equal(t, c.want, got, "%q", c.name)
		assert.True(t, isSlug(got), "%q", got)
	}
}

func TestNewSlugIsFree(t *testing.T) {
	p := New("smock", "mm")
	for range 3 {
		q := oblong("Front", 100, 200)
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
	}
	assert.Equal(t, []string{"front", "front-2", "front-3"}, []string{p.Pieces[0].Slug, p.Pieces[1].Slug, p.Pieces[2].Slug})
}

func TestIDs(t *testing.T) {
	p := New("smock", "mm")
	ids := map[string]string{}
	for i, q := range []*Piece{oblong("front", 100, 200), oblong("back", 100, 200), oblong("front", 100, 200.001), oblong("front", 100, 200)} {
		q.Slug = fmt.Sprintf("p%d", i)
		p.Put(q)
		p.GiveIDs(q)
		assert.Regexp(t, `^[0-9a-f]{8}$`, q.ID)
		assert.Empty(t, ids[q.ID], "pieces %d: equal content gets a counter", i)
		ids[q.ID] = q.Slug
		edges := map[string]bool{}
		for _, e := range q.Edges {
			assert.Regexp(t, `^[0-9a-f]{8}$`, e.ID)
			assert.False(t, edges[e.ID])
			edges[e.ID] = true
		}
	}
	first := p.Pieces[0].Clone()
	again := oblong("front", 100, 200)
	New("other", "in").GiveIDs(again)
	assert.Equal(t, first.ID, again.ID, "derived from content alone")
	assert.Equal(t, first.Edges, again.Edges)
	again.Corners[0].At = geom.Pt(-5, 0)
	p.GiveIDs(again)
	assert.Equal(t, first.ID, again.ID, "an id stays for the piece's whole life")

	f := &Fitting{Number: 1, Date: "2026-05-14"}
	id := p.NewFittingID(f, "")
	assert.Regexp(t, `^[0-9a-f]{8}$`, id)
	p.Fittings = []*Fitting{{Number: 2, ID: id}}
	assert.NotEqual(t, id, p.NewFittingID(f, ""), "an id that is taken")
	assert.Equal(t, p.NewFittingID(f, "a"), p.NewFittingID(f, "a"))
	assert.NotEqual(t, p.NewFittingID(f, "a"), p.NewFittingID(f, "b"), "equal fittings of two branches")
}
