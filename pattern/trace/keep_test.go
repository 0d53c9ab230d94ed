package trace

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// roundedRectangle has its lower right corner rounded by r, the arc in so
// many cubics.
func roundedRectangle(w, h, r float64, parts int) geom.Ring {
	ring := geom.Ring{geom.Line(at(0, 0), at(w, 0)), geom.Line(at(w, 0), at(w, h-r))}
	ring = append(ring, geom.ArcIn(at(w-r, h-r), r, 0, math.Pi/2, parts)...)
	ring = append(ring, geom.Line(at(w-r, h), at(0, h)), geom.Line(at(0, h), at(0, 0)))
	for i := range ring {
		ring[i].P0 = ring[(i+len(ring)-1)%len(ring)].P3
	}
	return ring
}

// FACTS: rounding a corner of 90° by r removes r²(tan(φ/2) − φ/2), φ = 90°,
// that is r²(1 − π/4).
func TestRoundedCornerIsTheOldOne(t *testing.T) {
	rng := fromSeed(t, 31)
	for _, parts := range []int{1, 2, 3} {
		for _, place := range []string{PlaceAsIs, PlaceFit} {
			p := emptyPattern()
			old := put(t, p, Outline{Name: "front", Ring: rectangle(300, 800)}, Request{}).Piece.Clone()
			o := Outline{Name: "front", Ring: otherwise(rng, roundedRectangle(300, 800, 40, parts))}
			if place == PlaceFit {
				o = o.moved(elsewhere(rng))
				o.Notches = nil
			}
			res := put(t, p, o, Request{Place: place})
			q := res.Piece
			assert.Equal(t, old.Edges, q.Edges)
			k := roundCorner(t, q)
			assert.Equal(t, 40.0, q.Corners[k].Round)
			if place == PlaceAsIs {
				assert.Equal(t, at(300, 800), q.Corners[k].At)
			}
			// The Bézier circle's own error: at most 2.7253e-4 of the radius
			// over a quarter of its length (FACTS, quarter circle by one cubic).
			assert.InDelta(t, 300*800-40*40*(1-math.Pi/4), area(t, q), 2.7253e-4*40*40*math.Pi/2)
			before := encoded(t, q)
			res = put(t, p, o, Request{Place: place})
			assert.False(t, res.Changed)
			assert.Equal(t, before, encoded(t, res.Piece))

			// Sharp again.
			res = put(t, p, Outline{Name: "front", Ring: rectangle(300, 800)}, Request{Place: place})
			assert.Equal(t, old.Corners[k].At, res.Piece.Corners[k].At)
			assert.Zero(t, res.Piece.Corners[k].Round)
		}
	}
}

func roundCorner(t *testing.T, q *pattern.Piece) int {
	t.Helper()
	found := -1
	for i, c := range q.Corners {
		if c.Round != 0 {
			require.Negative(t, found, "one corner is rounded")
			found = i
		}
	}
	require.GreaterOrEqual(t, found, 0, "a corner is rounded")
	return found
}

// Hem up and the corner rounded at once: the corner is where the hem now
// meets the side.
func TestRoundedAndMoved(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "front", Ring: rectangle(300, 800)}, Request{}).Piece.Clone()
	q := put(t, p, Outline{Name: "front", Ring: roundedRectangle(300, 740, 25.5, 1)}, Request{Place: PlaceAsIs}).Piece
	assert.Equal(t, old.Edges, q.Edges)
	assert.Equal(t, pattern.Corner{At: at(300, 740), Round: 25.5}, q.Corners[2])
}

// On a first trace an arc is a curve like another.
func TestArcOnFirstTraceStays(t *testing.T) {
	q := put(t, emptyPattern(), Outline{Name: "front", Ring: roundedRectangle(300, 800, 40, 1)}, Request{}).Piece
	assert.Len(t, q.Edges, 3)
	for _, c := range q.Corners {
		assert.Zero(t, c.Round)
	}
}

// Curved edges: the side swings out, the hem hangs.
func TestRoundedBetweenCurves(t *testing.T) {
	side := geom.Cubic{P0: at(300, 0), P1: at(285, 250), P2: at(330, 500), P3: at(340, 790)}
	hem := geom.Cubic{P0: at(340, 790), P1: at(230, 805), P2: at(110, 810), P3: at(0, 810)}
	sharp := geom.Ring{geom.Line(at(0, 0), at(300, 0)), side, hem, geom.Line(at(0, 810), at(0, 0))}
	arc, cutSide, cutHem, err := geom.RoundCorner(geom.Path{side}, geom.Path{hem}, 60)
	require.NoError(t, err)
	ring := geom.Ring{sharp[0]}
	ring = append(ring, geom.Path{side}.BetweenLengths(0, side.Length()-cutSide)...)
	ring = append(ring, arc...)
	ring = append(ring, geom.Path{hem}.BetweenLengths(cutHem, hem.Length())...)
	ring = append(ring, sharp[3])
	for i := range ring {
		ring[i].P0 = ring[(i+len(ring)-1)%len(ring)].P3
	}
	p := emptyPattern()
	old := put(t, p, Outline{Name: "front", Ring: sharp}, Request{}).Piece.Clone()
	q := put(t, p, Outline{Name: "front", Ring: ring}, Request{}).Piece
	assert.Equal(t, old.Edges, q.Edges)
	assert.Equal(t, 60.0, q.Corners[2].Round)
}

func notchedBack() Outline {
	return Outline{Name: "back", Ring: rectangle(300, 800), Notches: []Notch{
		{At: at(300, 200), Name: "waist"}, {At: at(300, 700), Name: "low"}, {At: at(100, 0), Name: "neck"}}}
}

func TestNotchesDrawnAgain(t *testing.T) {
	type moves map[string]geom.Point
	for _, c := range []struct {
		name  string
		drawn []Notch
		hem   float64
		want  moves
		says  []string
	}{
		{"not drawn", nil, 800, moves{"waist": at(300, 200), "low": at(300, 700), "neck": at(100, 0)}, nil},
		{"drawn alike", []Notch{{At: at(300, 200.3)}, {At: at(300, 699.8)}, {At: at(100, 0)}}, 800,
			moves{"waist": at(300, 200), "low": at(300, 700), "neck": at(100, 0)}, nil},
		{"moved", []Notch{{At: at(300, 230)}, {At: at(300, 700)}, {At: at(100, 0)}}, 800,
			moves{"waist": at(300, 230), "low": at(300, 700), "neck": at(100, 0)}, []string{`notch "waist" moved by +3 cm along edge "edge 2"`}},
		{"moved by name", []Notch{{At: at(0, 300), Name: "waist"}, {At: at(300, 700)}, {At: at(100, 0)}}, 800,
			moves{"waist": at(0, 300), "low": at(300, 700), "neck": at(100, 0)}, []string{`notch "waist" moved from edge "edge 2" to "edge 4"`}},
		{"one gone, one new", []Notch{{At: at(300, 200)}, {At: at(300, 700)}, {At: at(0, 100), Name: "fold"}}, 800,
			moves{"waist": at(300, 200), "low": at(300, 700), "fold": at(0, 100)}, []string{`notch "neck" is not drawn, while others are; it is gone`}},
		// The anchor counts from the hem's end, and stays.
		{"hem up", nil, 740, moves{"waist": at(300, 200), "low": at(300, 640), "neck": at(100, 0)}, nil},
		{"hem above a notch", nil, 90, moves{"neck": at(100, 0)}, []string{`notch "waist", 20 cm from the start of edge "edge 2", has no place`, `notch "low"`}},
		{"hem up, drawn where it was", []Notch{{At: at(300, 200)}, {At: at(300, 700)}, {At: at(100, 0)}}, 740,
			moves{"waist": at(300, 200), "low": at(300, 700), "neck": at(100, 0)}, []string{`notch "low" stays where it is, now 4 cm from the end of edge "edge 2"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := emptyPattern()
			put(t, p, notchedBack(), Request{})
			res := put(t, p, Outline{Name: "back", Ring: rectangle(300, c.hem), Notches: c.drawn}, Request{Place: PlaceAsIs})
			got := moves{}
			for _, n := range res.Piece.Notches {
				where, _, _, err := res.Piece.NotchPlace(n)
				require.NoError(t, err)
				got[n.Name] = rounded3(where)
			}
			if c.hem == 90 { // 100 from an end that is 90 away
				delete(c.want, "low")
			}
			assert.Equal(t, c.want, got)
			require.Len(t, res.Says, len(c.says), "%q", res.Says)
			for _, want := range c.says {
				assert.Contains(t, fmt.Sprint(res.Says), want)
			}
		})
	}
}

func TestMarksDrawnAgain(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: "front", Ring: rectangle(300, 800),
		Lines: []Line{{Name: "pocket", Path: geom.Polyline(at(50, 300), at(150, 300))}, {Name: "Fold line", Path: geom.Polyline(at(20, 0.1), at(20, 799))}},
		Dots:  []Dot{{At: at(30, 100)}, {At: at(30, 200), Name: "second"}}}
	first := put(t, p, o, Request{}).Piece
	first.Marks[2].Kind = pattern.MarkButton // somebody made a button of a dot
	kept := first.Clone()
	assert.Equal(t, []pattern.MarkKind{"placement line", "fold line", "button", "dot"},
		[]pattern.MarkKind{kept.Marks[0].Kind, kept.Marks[1].Kind, kept.Marks[2].Kind, kept.Marks[3].Kind})

	res := put(t, p, o, Request{})
	assert.False(t, res.Changed)
	res = put(t, p, Outline{Name: "front", Ring: o.Ring}, Request{})
	assert.False(t, res.Changed, "a drawing without marks says nothing of them")

	o.Lines = []Line{{Name: "pocket", Path: geom.Polyline(at(50, 280), at(150, 280))}}
	o.Dots = append(o.Dots, Dot{At: at(30, 300)})
	res = put(t, p, o, Request{})
	names := []string{}
	for _, m := range res.Piece.Marks {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"pocket", kept.Marks[2].Name, kept.Marks[3].Name, "dot 2"}, names)
	assert.Equal(t, geom.Polyline(at(50, 280), at(150, 280)), res.Piece.Marks[0].Path)
	require.Len(t, res.Says, 1)
	assert.Contains(t, res.Says[0], `fold line "Fold line" is not drawn, while others are; it is gone`)
}

func TestUnusableLabels(t *testing.T) {
	for _, c := range []struct {
		name string
		o    Outline
		want string
	}{
		{"piece", Outline{Name: "back/left", Ring: rectangle(300, 800)}, `the name "back/left" holds '/'`},
		{"empty", Outline{Name: " ", Ring: rectangle(300, 800)}, "change the label"},
		{"edge", Outline{Name: "back", Ring: rectangle(300, 800), EdgeNames: map[int]string{1: "a+b"}, Corners: map[int]bool{0: true, 1: true}}, "edge 2: the name"},
		{"notch", Outline{Name: "back", Ring: rectangle(300, 800), Notches: []Notch{{At: at(0, 10), Name: "a:b"}}}, "notch at (0, 10) mm"},
		{"line", Outline{Name: "back", Ring: rectangle(300, 800), Lines: []Line{{Name: "a,b", Path: geom.Polyline(at(10, 10), at(50, 10))}}}, "line at (10, 10) mm"},
		{"crossing", Outline{Name: "back", Ring: geom.Polygon(at(0, 0), at(100, 0), at(100, 100), at(0, 300), at(150, 150))}, "crosses itself"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.o.Where = "smock.svg:7"
			_, err := ToPiece(emptyPattern(), c.o, Request{})
			require.Error(t, err)
			assert.ErrorContains(t, err, "smock.svg:7: ")
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// An edge that a seam needs cannot vanish unsaid.
func TestSeamNeedsItsEdge(t *testing.T) {
	p := emptyPattern()
	put(t, p, Outline{Name: "back", Ring: geom.Polygon(at(0, 0), at(300, 0), at(330, 400), at(300, 800), at(0, 800))}, Request{Corner: 0.05})
	put(t, p, Outline{Name: "front", Ring: rectangle(300, 800)}, Request{})
	first, err := p.ParseChain("back/edge 2+back/edge 3")
	require.NoError(t, err)
	second, err := p.ParseChain("front/edge 4")
	require.NoError(t, err)
	p.Seams = append(p.Seams, pattern.Seam{Name: "side", First: first, Second: second})
	before := encoded(t, p.Pieces[0])
	_, err = ToPiece(p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{Place: PlaceAsIs})
	require.Error(t, err)
	assert.ErrorContains(t, err, `seam "side"`)
	assert.ErrorContains(t, err, "toile seam")
	assert.Equal(t, before, encoded(t, p.Pieces[0]))
}

// part of the data's files.
type garmentData struct {
	Name   string
	Pieces []struct {
		ID     string
		Points [][2]float64
	}
}

// Outlines of real garment parts (testdata/textile, ESICUP, CC0): each one
// is traced, stored, read back, and traced again laid anywhere and as it is.
func TestTextileOutlines(t *testing.T) {
	files, err := filepath.Glob("../../testdata/textile/*.json")
	require.NoError(t, err)
	require.Len(t, files, 7)
	// Units are arbitrary; these make the largest piece 0.5 to 1 m long.
	scale := map[string]float64{"albano": 0.25, "dagli": 25, "mao": 0.8, "marques": 20, "shirts": 50, "swim": 0.4, "trousers": 16}
	rng := fromSeed(t, 32)
	outlines := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		var data garmentData
		require.NoError(t, json.Unmarshal(text, &data))
		by := scale[filepath.Base(file)[:len(filepath.Base(file))-len(".json")]]
		require.NotZero(t, by)
		p := emptyPattern()
		for _, part := range data.Pieces {
			outlines++
			var points []geom.Point
			for _, q := range part.Points {
				points = append(points, at(by*q[0], by*q[1]))
			}
			ring := geom.Polygon(points...)
			if ring.Area() < 0 {
				ring = ring.Reverse()
			}
			assert.False(t, noisy(ring))
			o := Outline{Name: part.ID, Ring: ring}
			res := put(t, p, o, Request{Allowance: mm(10)})
			before := encoded(t, res.Piece)
			assert.InDelta(t, ring.Area(), area(t, res.Piece), 0.001*ring.Length(), "%s %s", file, part.ID)
			again, err := ToPiece(p, Outline{Name: part.ID, Ring: otherwise(rng, ring)}, Request{Place: PlaceAsIs})
			require.NoError(t, err, "%s %s", file, part.ID)
			assert.Equal(t, before, encoded(t, again.Piece), "%s %s as it is", file, part.ID)
			assert.False(t, again.Changed)
			moved := Outline{Name: part.ID, Ring: otherwise(rng, ring)}.moved(elsewhere(rng))
			again, err = ToPiece(p, moved, Request{})
			require.NoError(t, err, "%s %s", file, part.ID)
			assert.False(t, again.Changed, "%s %s laid over", file, part.ID)
		}
	}
	assert.Equal(t, 70, outlines)
}
