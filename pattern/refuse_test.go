package pattern

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// goodPiece is a piece file that each refusal below changes in one place.
const goodPiece = `name: front
id: 0f3a9c21
cut: one on fold
side: left
grain: {from: [50, 20], to: [50, 180]}
outline:
- corner: [0, 0]
- edge:
    name: top
    id: aaaaaaa1
    allowance: {cloth: 10}
    path:
    - handles: [30, 5, 70, 5]
- corner: {at: [100, 0], round: 10, name: shoulder}
- edge:
    name: right
- corner: [100, 200]
- edge:
    name: bottom
    hem: true
- corner: [0, 200]
- edge:
    name: left
    fold: true
notches:
- {name: hip, edge: right, at: 100}
marks:
- kind: dot
  name: dot
  at: [20, 20]
- kind: placement line
  name: pocket
  path:
  - at: [20, 60]
  - at: [60, 60]
- kind: dart
  name: dart
  point: [50, 120]
  edge: bottom
  from: 40
  to: 60
lines:
- name: middle
  path:
  - at: [50, 20]
  - at: [50, 150]
`

// refusal changes a good text and says which error must come.
type refusal struct {
	name     string
	old, new string // replaced once in the good text
	line     int    // of the error
	reason   string // part of the error
}

func (c refusal) apply(t *testing.T, good string) string {
	t.Helper()
	require.Contains(t, good, c.old, "the case changes nothing")
	return strings.Replace(good, c.old, c.new, 1)
}

func checkFileError(t *testing.T, err error, file string, line int, reason string) {
	t.Helper()
	var fileError *FileError
	require.ErrorAs(t, err, &fileError)
	assert.Equal(t, file, fileError.File)
	assert.Equal(t, line, fileError.Line, "%v", err)
	assert.Contains(t, fileError.Reason, reason)
}

const outlineOfGood = `- corner: [0, 0]
- edge:
    name: top
    id: aaaaaaa1
    allowance: {cloth: 10}
    path:
    - handles: [30, 5, 70, 5]
- corner: {at: [100, 0], round: 10, name: shoulder}
- edge:
    name: right
- corner: [100, 200]
- edge:
    name: bottom
    hem: true
- corner: [0, 200]
- edge:
    name: left
    fold: true
`

var pieceRefusals = []refusal{
	// the text itself
	{"nothing at all", goodPiece, "", 1, "the file is empty"},
	{"comments alone", goodPiece, "# front\n", 1, "the file is empty"},
	{"a single word", goodPiece, "front\n", 1, "piece: keys with values are wanted"},
	{"a list", goodPiece, "- name\n", 1, "piece: keys with values are wanted"},
	{"broken: open bracket", "at: [20, 20]", "at: [20, 20", 31, "not readable as YAML: while parsing a flow sequence that starts in line 30"},
	{"broken: open quote", "name: pocket", "name: 'pocket", 32, "that starts in line 32"},
	{"broken: a tab", "  name: dot", "\tname: dot", 29, "not readable as YAML"},
	{"broken: two values", "cut: one on fold", "cut: a: fold", 3, "not readable as YAML"},
	{"two documents", "lines:", "---\nlines:", 42, "a second document starts here"},
	{"two documents, the second broken", "lines:\n", "---\nlines: [\n", 44, "not readable as YAML"},
	{"invalid UTF-8", "name: dot", "name: d\xfft", 29, "the byte 0xff is not valid UTF-8"},
	{"a control character", "name: dot", "name: d\x1bt", 29, "the control character U+001B"},
	{"an escaped control character", "name: dot", `name: "d\et"`, 29, "control character U+001B"},
	{"an anchor", "name: dot", "name: &d dot", 29, "anchors and aliases are not used here"},
	{"an alias", "name: dot", "name: *d", 29, "unknown anchor"},
	{"an anchor and its alias", "{from: [50, 20], to: [50, 180]}", "{from: &a [50, 20], to: *a}", 5, "anchors and aliases"},
	{"a tag", "name: dot", "name: !!binary ZG90", 29, "the tag !!binary is not used here"},
	{"a merge key", "  hem: true", "  <<: {hem: true}", 20, `unknown key "<<"`},
	{"a list as a key", "id: 0f3a9c21", "? [id]\n: 0f3a9c21", 2, "a key is a single word"},

	// keys
	{"an unknown key", "cut: one on fold", "cuts: one on fold", 3, `front: unknown key "cuts"; the keys here are name, id, was, cloth, cut, side, drawn_within_mm, grain, outline, notches, marks, lines`},
	{"an unknown key in an edge", "    hem: true", "    hemm: true", 20, `edge "bottom": unknown key "hemm"; the keys here are name, id, was, fold, hem, allowance, path`},
	{"an unknown key in a notch", "at: 100}", "at: 100, kind: 1}", 26, `notch "hip": unknown key "kind"; the keys here are name, edge, at, from, count`},
	{"an unknown key in a corner", "name: shoulder", "nom: shoulder", 14, `unknown key "nom"; the keys here are at, round, name, meant, style`},
	{"an unknown key in the grain", "{from: [50, 20]", "{up: true, from: [50, 20]", 5, `unknown key "up"; the keys here are from, to, one_way, bias`},
	{"an unknown key in a path", "    - handles: [30, 5, 70, 5]", "    - handle: [30, 5, 70, 5]", 13, `the key "through" is missing`},
	{"an unknown key beside handles", "    - handles: [30, 5, 70, 5]", "    - handles: [30, 5, 70, 5]\n      weight: 1", 14, `unknown key "weight"; the keys here are handles, through`},
	{"a key of another kind of mark", "  at: [20, 20]", "  at: [20, 20]\n  text: x", 31, `mark "dot": unknown key "text"; the keys here are kind, name, at, size`},
	{"a key twice", "cut: one on fold", "cut: one on fold\ncut: one", 4, `the key "cut" stands twice`},
	{"a key twice in an edge", "    hem: true", "    hem: true\n    hem: false", 21, `the key "hem" stands twice`},
	{"no name", "name: front\n", "", 1, `the key "name" is missing`},
	{"no outline", "outline:\n" + outlineOfGood, "", 1, `the key "outline" is missing`},
	{"no name of an edge", "    name: bottom\n", "", 19, `the key "name" is missing`},
	{"no edge of a notch", "edge: right, ", "", 26, `the key "edge" is missing`},
	{"no place of a notch", ", at: 100", "", 26, `the key "at" is missing`},
	{"no kind of a mark", "- kind: dot\n  name: dot", "- name: dot", 28, `the key "kind" is missing`},

	// kinds of nodes
	{"a list as a name", "name: front", "name: [front]", 1, "piece: name: a single value is wanted"},
	{"a mapping as a name", "    name: bottom", "    name: {a: 1}", 19, "a single value is wanted"},
	{"nothing as a name", "name: front", "name:", 1, "piece: name: a single value is wanted"},
	{"nothing as an outline", "outline:\n" + outlineOfGood, "outline:\n", 6, "outline: a list is wanted"},
	{"an empty outline", "outline:\n" + outlineOfGood, "outline: []\n", 6, "0 corners and 0 edges"},
	{"a mapping as an outline", "outline:\n" + outlineOfGood, "outline: {corner: [0, 0]}\n", 6, "outline: a list is wanted"},
	{"a word in the outline", "- corner: [100, 200]", "- corner", 17, "keys with values are wanted"},
	{"a word as a corner", "- corner: [100, 200]", "- corner: x", 17, "corner 3: keys with values are wanted"},
	{"a word as an edge", "- edge:\n    name: bottom\n    hem: true", "- edge: bottom", 18, "edge 3: keys with values are wanted"},
	{"a word as an allowance", "{cloth: 10}", "10", 11, "allowance: keys with values are wanted"},
	{"a list as a path", "    path:\n    - handles: [30, 5, 70, 5]", "    path: {handles: [30, 5, 70, 5]}", 12, "path: a list is wanted"},
	{"a number as the notches", "notches:\n- {name: hip, edge: right, at: 100}", "notches: 3", 25, "notches: a list is wanted"},
	{"a list as a notch", "- {name: hip, edge: right, at: 100}", "- [hip, right, 100]", 26, "keys with values are wanted"},
	{"a word as a mark", "- kind: dot\n  name: dot\n  at: [20, 20]", "- dot", 28, "keys with values are wanted"},
	{"a word as a line", "- name: middle\n  path:\n  - at: [50, 20]\n  - at: [50, 150]", "- middle", 43, "keys with values are wanted"},
	{"a point of three", "[100, 200]", "[100, 200, 0]", 17, "2 numbers are wanted, there are 3"},
	{"a point of words", "[100, 200]", "[100, low]", 17, `"low" is not a plain number`},
	{"a point of lists", "[100, 200]", "[100, [200]]", 17, "a single value is wanted"},
	{"handles of three", "[30, 5, 70, 5]", "[30, 5, 70]", 13, "4 numbers are wanted, there are 3"},
	{"a flag that is none", "hem: true", "hem: perhaps", 20, `"perhaps" is neither true nor false`},
	{"a word as the grain", "{from: [50, 20], to: [50, 180]}", "lengthwise", 5, "grain: keys with values are wanted"},

	// numbers
	{"not a number", "at: 100}", "at: .nan}", 26, `".nan" is not a plain number`},
	{"infinite", "at: 100}", "at: .inf}", 26, `".inf" is not a plain number`},
	{"an exponent", "at: 100}", "at: 1e2}", 26, `"1e2" is not a plain number`},
	{"hexadecimal", "at: 100}", "at: 0x64}", 26, `"0x64" is not a plain number`},
	{"with underscores", "at: 100}", "at: 1_00}", 26, `"1_00" is not a plain number`},
	{"with a unit", "at: 100}", "at: 100 mm}", 26, `"100 mm" is not a plain number`},
	{"a decimal comma", "at: 100}", "at: '10,5'}", 26, `"10,5" is not a plain number`},
	{"two points", "at: 100}", "at: 1.2.3}", 26, `"1.2.3" is not a plain number`},
	{"a sign alone", "at: 100}", "at: '-'}", 26, `"-" is not a plain number`},
	{"absurdly many digits", "at: 100}", "at: " + strings.Repeat("9", 31) + "}", 26, "is not a plain number"},
	{"an absurd coordinate", "[100, 200]", "[100, 2000000]", 17, "2000000 lies beyond 100000"},
	{"an absurd handle", "[30, 5, 70, 5]", "[30, -100000.001, 70, 5]", 13, "lies beyond 100000"},
	{"a broken count", "at: 100}", "at: 100, count: 1.5}", 26, `"1.5" is not a whole number`},
	{"a negative count", "at: 100}", "at: 100, count: -1}", 26, `"-1" is not a whole number`},
	{"count 0", "at: 100}", "at: 100, count: 0}", 26, "count is 0; it is from 1 to 9"},
	{"count 10", "at: 100}", "at: 100, count: 10}", 26, "count is 10; it is from 1 to 9"},

	// words of a fixed list
	{"a bad id", "id: 0f3a9c21", "id: 0f3a9c2", 2, `id is "0f3a9c2"; it has 8 digits of 0-9 a-f`},
	{"an id in capitals", "id: 0f3a9c21", "id: 0F3A9C21", 2, "8 digits of 0-9 a-f"},
	{"a bad id of an edge", "id: aaaaaaa1", "id: zaaaaaa1", 10, "8 digits of 0-9 a-f"},
	{"a fold that is cut otherwise", "cut: one on fold", "cut: a pair", 3, `cut is "a pair", but it has a fold`},
	{"two folds", "    name: right\n", "    name: right\n    fold: true\n", 25, `edge "left": it is the second fold`},
	{"an edge called by a number", "    name: right\n", "    name: 2\n", 16, "a bare number is the place of an edge"},
	{"a bad cut", "cut: one on fold", "cut: three", 3, `cut is "three"; it is "one", "a pair" or "one on fold"`},
	{"a bad side", "side: left", "side: port", 4, `side is "port"; it is the wearer's "left" or "right"`},
	{"a bad style", "name: shoulder}", "name: shoulder, style: mitred}", 14, `style is "mitred"; it is "extended"`},
	{"a bad end", "at: 100}", "at: 100, from: top}", 26, `from is "top"; it is "start" or "end"`},
	{"a bad kind of mark", "- kind: dot", "- kind: blot", 28, `there is no kind of mark "blot"; the kinds are "button"`},
	{"a bad direction", "- kind: dart\n  name: dart\n  point: [50, 120]\n", "- kind: pleat\n  name: dart\n  towards: middle\n", 38, `towards is "middle"; it is "start" or "end"`},

	// names
	{"an empty name", "name: front", "name: ''", 1, "a name may not be empty"},
	{"a name with a slash", "name: front", "name: a/b", 1, "separate names"},
	{"an edge's name with a plus", "name: bottom", "name: a+b", 19, "separate names"},
	{"a name of 81 characters", "name: dot", "name: " + strings.Repeat("x", 81), 29, "has 81 characters; 80 is the most"},

	// the model's rules
	{"an edge's name twice", "name: bottom", "name: right", 19, `edge "right": edges 2 and 3 bear the same name`},
	{"an edge's id twice", "    name: right", "    name: right\n    id: aaaaaaa1", 17, `it bears the id aaaaaaa1 of edge "top"`},
	{"a corner's name twice", "- corner: [0, 200]", "- corner: {at: [0, 200], name: shoulder}", 21, `two corners bear the name "shoulder"`},
	{"a notch's name twice", "at: 100}", "at: 100}\n- {name: hip, edge: right, at: 50}", 27, `notch "hip": two notches bear this name`},
	{"a mark's name twice", "  name: pocket", "  name: dot", 32, `mark "dot": two marks bear this name`},
	{"a line's name twice", "lines:\n", "lines:\n- name: middle\n  path: [{at: [1, 1]}, {at: [5, 5]}]\n", 45, `line "middle": two lines bear this name`},
	{"a notch off its edge", "at: 100}", "at: 200.002}", 26, `notch "hip": it lies off its edge: 200.002 mm along "right", which is 200 mm long`},
	{"a notch before its edge", "at: 100}", "at: -1}", 26, "it lies off its edge"},
	{"a notch on a missing edge", "edge: right, at", "edge: side, at", 26, `there is no edge "side"; the edges are "top", "right", "bottom", "left"`},
	{"a notch on an edge's number", "edge: right, at", "edge: 2, at", 26, `there is no edge "2"`},
	{"a fold with an allowance", "    fold: true", "    fold: true\n    allowance: {cloth: 10}", 25, "a fold has no allowance"},
	{"a fold that is not straight", "    fold: true", "    fold: true\n    path:\n    - through: [0.02, 100]", 24, "it is a fold and not straight: it departs by 0.02 mm"},
	{"a negative allowance", "{cloth: 10}", "{cloth: -1}", 11, "an allowance of -1 mm in the set cloth is not between 0 and 500 mm"},
	{"an allowance too wide", "{cloth: 10}", "{cloth: 501}", 11, "is not between 0 and 500 mm"},
	{"a set twice", "{cloth: 10}", "{cloth: 10, ' cloth': 5}", 11, `the set "cloth" stands twice`},
	{"two corners in a row", "- edge:\n    name: right\n", "", 15, "a corner and an edge by turns, starting with a corner"},
	{"two edges in a row", "- corner: [100, 200]\n", "", 17, "a corner and an edge by turns"},
	{"an edge first", "- corner: [0, 0]\n", "", 7, "a corner and an edge by turns, starting with a corner"},
	{"a corner last", "    fold: true\n", "    fold: true\n- corner: [-10, 100]\n", 6, "the outline has 5 corners and 4 edges"},
	{"a corner and an edge in one", "- corner: [100, 200]\n- edge:", "- corner: [100, 200]\n  edge:", 18, `unknown key "edge"; the keys here are corner`},
	{"neither corner nor edge", "- corner: [100, 200]", "- korner: [100, 200]", 17, "a corner and an edge by turns"},
	{"two pairs of handles in a row", "    - handles: [30, 5, 70, 5]", "    - handles: [30, 5, 70, 5]\n    - handles: [30, 5, 70, 5]", 14, "two pairs of handles follow each other"},
	{"an edge without length", "- corner: [0, 200]", "- corner: [100, 200.005]", 18, `edge "bottom": it is 0.005 mm long`},
	{"a crossing of edges", "- corner: [0, 200]", "- corner: [200, 100]", 22, `the outline crosses itself: edges "right" and "left" cross at (100, 50)`},
	{"an edge that crosses itself", "[30, 5, 70, 5]", "[300, -150, -200, -150]", 8, `edge "top" crosses itself`},
	{"anticlockwise", outlineOfGood, "- corner: [0, 0]\n- edge: {name: right}\n- corner: [0, 200]\n- edge: {name: bottom}\n- corner: [100, 200]\n- edge: {name: top, fold: true}\n", 6, "runs anticlockwise; list its corners clockwise"},
	{"no area", outlineOfGood, "- corner: [0, 0]\n- edge: {name: right}\n- corner: [0.9, 0]\n- edge: {name: bottom}\n- corner: [0.9, 0.9]\n- edge: {name: top, fold: true}\n", 6, "the outline holds only 0.405 mm²"},
	{"a rounding that does not fit", "round: 10", "round: 400", 14, "corner shoulder: cannot be rounded by 400 mm"},
	{"a negative rounding", "round: 10", "round: -1", 14, "a rounding of -1 mm is no radius"},
	{"roundings that meet", "[100, 200]\n- edge:\n    name: bottom\n    hem: true\n- corner: [0, 200]", "{at: [100, 200], round: 60}\n- edge: {name: bottom}\n- corner: {at: [0, 200], round: 60}", 18, `edge "bottom" is 100 mm long, too short for the roundings at both its ends`},
	{"a notch within a rounding", "at: 100}", "at: 5}", 26, `notch "hip": it lies in the rounding of the corner shoulder; move it at least`},
	{"a notch within a rounding, from the end", "at: 100}", "at: 195, from: end}", 26, "it lies in the rounding of the corner shoulder"},
	{"a short grain line", "to: [50, 180]", "to: [50, 20.5]", 5, "the grain line is shorter than 1 mm"},
	{"a dart off its edge", "  to: 60", "  to: 100.1", 41, `mark "dart": its mouth runs from 40 to 100.1 mm along "bottom", which is 100 mm long`},
	{"a dart without a mouth", "  to: 60", "  to: 40", 41, "its mouth runs from 40 to 40 mm"},
	{"a dart on a missing edge", "  edge: bottom", "  edge: hem", 39, `mark "dart": there is no edge "hem"`},
	{"a text without a text", "- kind: dot\n  name: dot\n", "- kind: text\n  text: ''\n  name: dot\n", 29, `mark "dot": it has no text`},
	{"a negative size", "  at: [20, 20]", "  at: [20, 20]\n  size: -2", 31, "a size of -2 mm is less than nothing"},
	{"a path of one place", "  - at: [60, 60]\n", "", 34, "at least two places"},
	{"a path without length", "- at: [60, 60]", "- at: [20, 60]", 33, "its path has no length"},
	{"handles at the start of a path", "  - at: [20, 60]\n", "  - handles: [1, 1, 2, 2]\n  - at: [20, 60]\n", 34, "handles stand between two places"},
	{"handles at the end of a path", "  - at: [60, 60]\n", "  - at: [60, 60]\n  - handles: [1, 1, 2, 2]\n", 34, "at least two places"},
	{"a negative noise", "side: left", "drawn_within_mm: -0.1", 4, "drawn_within_mm is -0.1; it is 0 or more"},
}

func TestPieceRefusals(t *testing.T) {
	_, err := DecodePiece("pieces/front.yaml", "front", []byte(goodPiece))
	require.NoError(t, err, "the good piece")
	for _, c := range pieceRefusals {
		t.Run(c.name, func(t *testing.T) {
			_, err := DecodePiece("pieces/front.yaml", "front", []byte(c.apply(t, goodPiece)))
			checkFileError(t, err, "pieces/front.yaml", c.line, c.reason)
		})
	}
}

func TestOnFoldWithoutAFold(t *testing.T) {
	text := strings.NewReplacer("    fold: true\n", "").Replace(goodPiece)
	_, err := DecodePiece("pieces/front.yaml", "front", []byte(text))
	checkFileError(t, err, "pieces/front.yaml", 3, "it is cut on the fold, but no edge is a fold")
}

// goodPattern goes with goodPiece and a back without curves.
const goodPattern = `format: 1
name: smock
unit: cm
sets: [cloth, toile]
tolerances: {section_mm: 1.5, corner_deg: 20}
seams:
- name: side seam
  first:
  - {piece: front, edge: right}
  second:
  - {piece: back, edge: left}
  sections:
  - {to: {first: [front, hip], second: [back, hip]}, ease: 2}
  - {ease: 0}
  openings:
  - {name: pocket, from: 20, to: 120}
- name: shoulder
  first:
  - {piece: front, edge: top}
  second:
  - {piece: back, edge: top, from: 5, to: 95}
layers:
- outer: front
  inner:
  - back
  differences:
  - {what: back pleat, by: 25, piece: back, edge: top}
`

const goodBack = `name: back
outline:
- corner: [0, 0]
- edge: {name: top}
- corner: [100, 0]
- edge: {name: right, fold: true}
- corner: [100, 200]
- edge: {name: bottom}
- corner: [0, 200]
- edge: {name: left}
notches:
- {name: hip, edge: left, at: 100}
- {name: low, edge: left, at: 20}
- {name: other, edge: top, at: 50}
`

const goodFitting = `fitting: 2
id: abcd1234
date: 2026-05-14
version: 3
notes:
- note: 1
  piece: front
  at: [10, 20]
  seen: it pulls
  side: left
- note: 2
  seen: too long
`

func goodFiles() map[string][]byte {
	return map[string][]byte{PatternFile: []byte(goodPattern), "pieces/front.yaml": []byte(goodPiece),
		"pieces/back.yaml": []byte(goodBack), "fittings/02-abcd.yaml": []byte(goodFitting)}
}

var patternRefusals = []refusal{
	{"nothing at all", goodPattern, "", 1, "the file is empty"},
	{"no format", "format: 1\n", "", 1, `the key "format" is missing`},
	{"a newer format", "format: 1", "format: 2\nwonder: 1", 1, "the file format is 2 and this program knows 1; a newer toile wrote it"},
	{"an impossible format", "format: 1", "format: 0", 1, "there is no file format 0"},
	{"a word as the format", "format: 1", "format: one", 1, `"one" is not a whole number`},
	{"no name", "name: smock\n", "", 1, `the key "name" is missing`},
	{"a bad unit", "unit: cm", "unit: ell", 3, "is not a unit of length"},
	{"a list as the unit", "unit: cm", "unit: [cm]", 3, "a single value is wanted"},
	{"no set", "sets: [cloth, toile]", "sets: []", 4, "at least one allowance set"},
	{"a set twice", "[cloth, toile]", "[cloth, cloth]", 4, `sets: "cloth" stands twice`},
	{"a set with a comma", "[cloth, toile]", "[cloth, 'a,b']", 4, "separate names"},
	{"an unknown key", "unit: cm", "units: cm", 3, `pattern: unknown key "units"; the keys here are format, name, unit, sets, tolerances, seams, layers`},
	{"an unknown tolerance", "corner_deg", "corner", 5, `unknown key "corner"; the keys here are section_mm, corner_deg`},
	{"a tolerance of 0", "section_mm: 1.5", "section_mm: 0", 5, "section_mm is greater than 0"},
	{"a corner of 180 degrees", "corner_deg: 20", "corner_deg: 180", 5, "corner_deg lies between 0 and 180"},
	{"a word as the seams", "seams:\n", "seams: none\nlayer:\n", 6, "seams: a list is wanted"},
	{"a word as a seam", "- name: shoulder\n  first:\n  - {piece: front, edge: top}\n  second:\n  - {piece: back, edge: top, from: 5, to: 95}", "- shoulder", 17, "seam 2: keys with values are wanted"},
	{"a seam's name twice", "name: shoulder", "name: side seam", 17, `two seams bear the name "side seam"`},
	{"a seam without a side", "  second:\n  - {piece: back, edge: left}\n", "", 7, `seam "side seam": the key "second" is missing`},
	{"a seam with an empty side", "  second:\n  - {piece: back, edge: left}\n", "  second: []\n", 10, "second holds nothing"},
	{"an unknown key of a seam", "  openings:", "  opening:", 15, `seam "side seam": unknown key "opening"; the keys here are name, first, second, same_way, sections, openings, finish`},
	{"an unknown key of a stretch", "edge: left}", "edge: left, size: 1}", 11, `unknown key "size"; the keys here are piece, edge, from, to, turned`},
	{"a missing piece", "piece: back, edge: left", "piece: rear, edge: left", 11, `seam "side seam": there is no piece "rear"; the pieces are "back", "front"`},
	{"a missing edge", "edge: left}", "edge: side}", 11, `seam "side seam": back has no edge "side"`},
	{"an edge's number", "edge: left}", "edge: 4}", 11, `back has no edge "4"`},
	{"a missing edge in the second seam", "edge: top}", "edge: tip}", 19, `seam "shoulder": front has no edge "tip"`},
	{"a fold", "edge: left}", "edge: right}", 11, "back/right is a fold; a fold is not sewn"},
	{"a stretch off its edge", "to: 95", "to: 101", 21, "the stretch from 5 to 101 mm does not lie on back/top, which is 100 mm long"},
	{"a stretch backwards", "to: 95", "to: 5", 21, "the stretch from 5 to 5 mm"},
	{"a stretch from beyond the end", "from: 5, to: 95", "from: 100", 21, "the stretch from 100 to 100 mm"},
	{"a missing notch", "second: [back, hip]", "second: [back, hop]", 13, `back has no notch "hop"`},
	{"a notch of a missing piece", "second: [back, hip]", "second: [rear, hip]", 13, `there is no piece "rear"`},
	{"a notch on another edge", "second: [back, hip]", "second: [back, other]", 13, `the notch "other" of back does not lie on the seam`},
	{"a notch of the wrong side", "second: [back, hip]", "second: [front, hip]", 13, `the notch "hip" of front does not lie on the seam`},
	{"half of a pair of notches", ", second: [back, hip]", "", 13, `the key "second" is missing`},
	{"a notch without its piece", "second: [back, hip]", "second: [hip]", 13, "[PIECE, NOTCH] is wanted"},
	{"a notch without a name", "second: [back, hip]", "second: ['', '']", 13, "a name may not be empty"},
	{"a middle section without an end", "to: {first: [front, hip], second: [back, hip]}, ", "", 13, "every section but the last ends at a pair of notches"},
	{"a last section with an end", "  - {ease: 0}\n", "", 13, "the last section runs to the end of the seam"},
	{"sections out of order", "  - {ease: 0}\n", "  - {to: {first: [front, hip], second: [back, low]}}\n  - {ease: 0}\n", 14, "list the sections in sewing order"},
	{"an ease that is no number", "ease: 2", "ease: some", 13, `"some" is not a plain number`},
	{"an opening off the seam", "to: 120", "to: 201", 16, `the opening "pocket" from 20 to 201 mm does not lie on front/right, which is 200 mm long`},
	{"an opening backwards", "to: 120", "to: 20", 16, `the opening "pocket" from 20 to 20 mm`},
	{"an opening's name twice", "to: 120}", "to: 120}\n  - {name: pocket, from: 130, to: 140}", 17, `two openings bear the name "pocket"`},
	{"a layer of a missing piece", "- outer: front", "- outer: coat", 23, `layers: there is no piece "coat"`},
	{"an inner piece that is missing", "  - back\n  diff", "  - lining\n  diff", 25, `layers of front: there is no piece "lining"`},
	{"a difference of no inner piece", "piece: back, edge: top}", "piece: front, edge: top}", 27, `layers of front: the difference "back pleat" is said of front, which is none of its inner pieces`},
	{"a difference at no edge", "piece: back, edge: top}", "piece: back, edge: hem}", 27, `the difference "back pleat" is said at the edge "hem", which it has not`},
	{"a piece as its own layer", "  - back\n  diff", "  - back\n  - front\n  diff", 26, "layers of front: front stands twice"},
	{"no inner piece", "  inner:\n  - back\n", "  inner: []\n", 24, "inner holds nothing"},
	{"a word as the inner pieces", "  inner:\n  - back\n", "  inner: back\n", 24, "inner: a list is wanted"},
	{"a difference without words", "what: back pleat, ", "", 27, `the key "what" is missing`},
	{"an unknown key of a layer", "  inner:", "  within:", 23, `the key "inner" is missing`},
}

func TestPatternRefusals(t *testing.T) {
	_, err := Decode(goodFiles())
	require.NoError(t, err, "the good pattern")
	for _, c := range patternRefusals {
		t.Run(c.name, func(t *testing.T) {
			files := goodFiles()
			files[PatternFile] = []byte(c.apply(t, goodPattern))
			_, err := Decode(files)
			checkFileError(t, err, PatternFile, c.line, c.reason)
		})
	}
}

var fittingRefusals = []refusal{
	{"nothing at all", goodFitting, "", 1, "the file is empty"},
	{"no number", "fitting: 2\n", "", 1, `the key "fitting" is missing`},
	{"number 0", "fitting: 2", "fitting: 0", 1, "a fitting's number is from 1"},
	{"another number", "fitting: 2", "fitting: 3", 1, "the file of fitting 3 with the id abcd1234 is fittings/03-abcd.yaml; rename the file"},
	{"another id", "id: abcd1234", "id: abce1234", 1, "is fittings/02-abce.yaml"},
	{"a bad id", "id: abcd1234", "id: abcd", 2, "8 digits of 0-9 a-f"},
	{"a bad date", "date: 2026-05-14", "date: 14.5.2026", 3, `the date is "14.5.2026"; write it as 2026-05-14`},
	{"no such day", "date: 2026-05-14", "date: 2026-02-30", 3, `the date is "2026-02-30"`},
	{"a version that is none", "version: 3", "version: -3", 4, `"-3" is not a whole number`},
	{"an unknown key", "version: 3", "owner: 3", 4, `fitting 2: unknown key "owner"; the keys here are fitting, id, date, cloth, worn, closures, version, wearer, measures, notes, taken_away`},
	{"a measure of nothing", "version: 3", "measures: {waist: 0}", 4, "waist is 0; a measure is more than 0"},
	{"a measure twice", "version: 3", "measures: {waist: 700, ' waist': 710}", 4, `"waist" stands twice`},
	{"a measure without a name", "version: 3", "measures: {'': 700}", 4, "a name may not be empty"},
	{"measures in a list", "version: 3", "measures: [700]", 4, "keys with values are wanted here"},
	{"a note that is there and taken away", "version: 3", "taken_away: [2]", 4, "note 2 is there and taken away; leave one out"},
	{"notes taken away out of order", "version: 3", "taken_away: [4, 3]", 4, "in ascending order; here stands 3"},
	{"a note taken away that never was", "version: 3", "taken_away: [4]", 4, "note 4 was taken away, and the notes have no number before it"},
	{"a word as a note taken away", "version: 3", "taken_away: [two]", 4, `"two" is not a whole number`},
	{"one reading", "side: left", "left_mm: 3\n  side: both", 6, "left_mm and right_mm are written together"},
	{"readings of one side", "side: left", "left_mm: 3\n  right_mm: 4\n  side: left", 10, "a reading of each side needs side: both"},
	{"seen again nowhere", "side: left", "again: [{after: 3}]", 10, `note 1, seen again 1: the key "fitting" is missing`},
	{"seen again after nothing", "side: left", "again: [{fitting: 3, after: 0}]", 10, "after is a number from 1"},
	{"notes out of order", "- note: 2", "- note: 3", 11, "the notes are numbered 1, 2, 3…; here stands 3"},
	{"a note without a number", "- note: 2\n  seen", "- seen", 11, `the key "note" is missing`},
	{"a note without what was seen", "  seen: too long\n", "  to_do: shorten\n", 11, `note 2: the key "seen" is missing`},
	{"a bad side", "side: left", "side: port", 10, `side is "port"; it is the wearer's "left", "right" or "both"`},
	{"a place of three", "at: [10, 20]", "at: [10, 20, 3]", 8, "2 numbers are wanted, there are 3"},
	{"no place", "at: [10, 20]", "at:", 8, "a list is wanted"},
	{"a word as a note", "- note: 2\n  seen: too long", "- too long", 11, "keys with values are wanted"},
	{"an unknown key of a note", "side: left", "where: left", 10, `note 1: unknown key "where"; the keys here are note, piece, edge, place, on_toile, at, seen, pinned_mm, left_mm, right_mm, pinch, pinch_side, side, to_do, answered, again`},
}

func TestFittingRefusals(t *testing.T) {
	for _, c := range fittingRefusals {
		t.Run(c.name, func(t *testing.T) {
			files := goodFiles()
			files["fittings/02-abcd.yaml"] = []byte(c.apply(t, goodFitting))
			_, err := Decode(files)
			checkFileError(t, err, "fittings/02-abcd.yaml", c.line, c.reason)
		})
	}
}

// What several files say of each other.
func TestRefusalsBetweenFiles(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(files map[string][]byte)
		file   string
		line   int
		reason string
	}{
		{"no pattern.yaml", func(f map[string][]byte) { delete(f, PatternFile) }, PatternFile, 0, "the file is missing; a pattern is started with `toile start`"},
		{"a piece's name twice", func(f map[string][]byte) {
			f["pieces/rear.yaml"] = []byte("outline:" + strings.SplitN(goodBack, "outline:", 2)[1] + "name: back\n")
		}, "pieces/rear.yaml", 14, "back: the name is taken by pieces/back.yaml; rename one"},
		{"a piece's id twice", func(f map[string][]byte) {
			f["pieces/back.yaml"] = []byte(goodBack + "id: 0f3a9c21\n")
		}, "pieces/front.yaml", 2, "front: the id 0f3a9c21 is that of pieces/back.yaml too"},
		{"an unknown set", func(f map[string][]byte) {
			f["pieces/front.yaml"] = []byte(strings.Replace(goodPiece, "{cloth: 10}", "{felt: 10}", 1))
		}, "pieces/front.yaml", 11, `edge "top": it has an allowance in the set "felt"; the sets are "cloth", "toile"`},
		{"a piece's file with a bad name", func(f map[string][]byte) { f["pieces/My Back.yaml"] = f["pieces/back.yaml"] }, "pieces/My Back.yaml", 0, "named with a-z, 0-9 and hyphens"},
		{"a fitting's number twice", func(f map[string][]byte) {
			f["fittings/02-ffff.yaml"] = []byte(strings.Replace(goodFitting, "abcd1234", "ffff1234", 1))
		}, "fittings/02-ffff.yaml", 1, "fitting 2 stands in fittings/02-abcd.yaml too"},
		{"a fitting's id twice", func(f map[string][]byte) {
			f["fittings/03-abcd.yaml"] = []byte(strings.Replace(goodFitting, "fitting: 2", "fitting: 3", 1))
		}, "fittings/03-abcd.yaml", 2, "fitting 3: the id abcd1234 is that of fittings/02-abcd.yaml too; leave the id line out of the copy and it gets its own"},
		{"a file over 1 MB", func(f map[string][]byte) {
			f["pieces/front.yaml"] = append([]byte(goodPiece), "#"+strings.Repeat("x", maxFile)...)
		}, "pieces/front.yaml", 0, "1048576 is the most"},
		{"lists in lists without end", func(f map[string][]byte) {
			f["pieces/front.yaml"] = []byte("name: " + strings.Repeat("[", 100_000))
		}, "pieces/front.yaml", 1, "exceeded max depth"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := goodFiles()
			c.change(files)
			p, err := Decode(files)
			checkFileError(t, err, c.file, c.line, c.reason)
			assert.Nil(t, p)
		})
	}
}

// The same rules hold for a piece in memory.
func TestValidateInMemory(t *testing.T) {
	var problem *Problem
	for name, change := range map[string]func(p *Piece){
		"no corners":          func(p *Piece) { p.Corners = nil },
		"no edges at all":     func(p *Piece) { p.Corners, p.Edges = nil, nil },
		"handles missing":     func(p *Piece) { p.Edges[1].Handles = nil },
		"a place not finite":  func(p *Piece) { p.Corners[2].At.X = nan },
		"a handle not finite": func(p *Piece) { p.Edges[1].Handles[0] = &Handles{First: p.Corners[1].At.Mul(nan)} },
		"a radius not finite": func(p *Piece) { p.Corners[2].Round = nan },
		"a noise not finite":  func(p *Piece) { p.DrawnWithin = nan },
		"a grain not finite":  func(p *Piece) { p.Grain = &Grain{From: p.Corners[0].At.Mul(nan)} },
		"a notch not finite":  func(p *Piece) { p.Notches[0].At = nan },
		"a mark not finite":   func(p *Piece) { p.Marks[0].At.Y = nan },
		"a size not finite":   func(p *Piece) { p.Marks[0].Size = nan },
		"a dart not finite":   func(p *Piece) { p.Marks[2].To = nan },
		"a dart's point":      func(p *Piece) { p.Marks[2].At.X = nan },
		"a path not finite":   func(p *Piece) { p.Marks[1].Path[0].P1.X = nan },
		"a line not finite":   func(p *Piece) { p.Lines[0].Path[0].P3.X = nan },
		"a name not cleaned":  func(p *Piece) { p.Name = " front" },
		"an allowance":        func(p *Piece) { p.Edges[0].Allowance["cloth"] = nan },
		"a set's name":        func(p *Piece) { p.Edges[0].Allowance["a/b"] = 1 },
	} {
		p, err := DecodePiece("pieces/front.yaml", "front", []byte(goodPiece))
		require.NoError(t, err)
		change(p)
		err = p.Validate()
		require.True(t, errors.As(err, &problem), "%s: %v", name, err)
		assert.Contains(t, err.Error(), "front", name)
	}
}
