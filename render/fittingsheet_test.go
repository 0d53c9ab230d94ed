package render

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// leadersOf are the lines from the numbers to their places.
func leadersOf(t *testing.T, elements []element) (all []segment) {
	for _, e := range elements {
		if e.attrs["class"] == "leader" {
			all = append(all, segment{geom.Pt(e.number(t, "x1"), e.number(t, "y1")), geom.Pt(e.number(t, "x2"), e.number(t, "y2"))})
		}
	}
	return all
}

// requireFittingPages holds what every page has to: labels apart and on the
// sheet, all text and lines within the paper, no two leaders crossing, none
// through a label, a title and the cautions.
func requireFittingPages(t *testing.T, pages [][]byte) (leaders int) {
	for _, page := range pages {
		svg := string(page)
		requireClear(t, svg)
		requireHas(t, svg, "Count the pins out and in again")
		requireHas(t, svg, "The rules of the place you work in come first")
		elements := readSVG(t, svg)
		low, high := sheetBox(t, elements)
		all := leadersOf(t, elements)
		boxes := labelBoxes(t, elements)
		for i, l := range all {
			for k, m := range all[:i] {
				require.False(t, crosses(l, m), "leaders %d and %d cross", k, i)
			}
			for k, b := range boxes {
				require.False(t, runsThrough(l, b), "leader %d runs through label %d", i, k)
			}
		}
		leaders += len(all)
		for _, e := range elements {
			if e.name == "text" {
				x, y := e.number(t, "x"), e.number(t, "y")
				require.True(t, x >= low.x && x <= high.x && y >= low.y && y <= high.y, "text off the paper")
			}
			if e.attrs["class"] == "rule" {
				require.LessOrEqual(t, e.number(t, "y1"), high.y-paperMargin, "a line to write on in the margin")
			}
		}
		requireHas(t, svg, `class="rule"`, "no room to write")
	}
	return leaders
}

// runsThrough reports whether places along a leader lie within a label's
// ground.
func runsThrough(l segment, b labelBox) bool {
	for k := 0; k <= 300; k++ {
		q := l.a.Lerp(l.b, float64(k)/300)
		if b.apart(xy{q.X, q.Y}) == 0 {
			return true
		}
	}
	return false
}

// TestFittingSheets: over pieces, papers and notes made at random, some at the
// same place, some outside the piece, some without a place, more than a page
// takes, and with texts of any length.
func TestFittingSheets(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	m := maker{rand.New(rand.NewPCG(seed, 4))}
	leaders, pages := 0, 0
	for i := range 60 {
		p := m.piece(m.name())
		sheet := m.sheet(p)
		s := FittingSheet{Sheet: sheet, Paper: PaperNames()[m.r.IntN(3)], Child: m.r.IntN(2) == 0, Worn: []string{"cloth: " + m.name(), "worn underneath: ", m.name()}}
		box := ringOf(p).Box()
		count := []int{0, 1, 5, 12, 70}[m.r.IntN(5)]
		for k := range count {
			n := FittingNote{Key: fmt.Sprintf("1.%d", k+1), State: "open", Place: m.name(), Side: []string{"", "left", "both"}[k%3],
				Seen: strings.Repeat(m.name()+" ", 1+m.r.IntN(4)), Pinned: []string{"", "1 cm taken out"}[k%2], ToDo: m.name(), Open: k%2 == 0}
			if at := geom.Pt(m.between(box.Min.X-20, box.Max.X+20), m.between(box.Min.Y-20, box.Max.Y+20)); k%7 != 6 {
				if n.At = &at; k%5 == 4 && s.Entries[k-1].At != nil {
					n.At = s.Entries[k-1].At
				}
			}
			s.Entries = append(s.Entries, n)
		}
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			out, err := FittingPages(s, p)
			require.NoError(t, err, "seed %d", seed)
			leaders += requireFittingPages(t, out)
			pages += len(out)
			all := string(bytes.Join(out, nil))
			for _, n := range s.Entries {
				requireHas(t, all, ">"+n.Key+", ", "a note is lost")
			}
		})
	}
	require.Greater(t, leaders, 200)
	require.Greater(t, pages, 60)
}

// What nobody may be able to break a sheet with: markup, characters that turn
// the writing around, ten thousand letters.
func TestFittingSheetOfHostileText(t *testing.T) {
	p := polygonPiece("tab", []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 50), geom.Pt(0, 50))
	at := geom.Pt(20, 20)
	s := FittingSheet{Sheet: fixtureSheet(), Paper: "a4", Child: true}
	for i, text := range []string{"</text><script>alert(1)</script>", "a\u202eb\u2066c\x1b[31m", strings.Repeat("long ", 2000), strings.Repeat("x", 10_000), "\U0001F34E\U0001F45A", "one\ntwo\tthree"} {
		s.Entries = append(s.Entries, FittingNote{Key: fmt.Sprintf("1.%d", i+1), State: "open", Seen: text, ToDo: text, Place: text, Pinned: text, At: &at, Open: true})
	}
	pages, err := FittingPages(s, p)
	require.NoError(t, err)
	require.Equal(t, 6, requireFittingPages(t, pages))
	all := string(bytes.Join(pages, nil))
	requireHas(t, all, "&lt;script&gt;")
	for _, text := range []string{"<script", "\u202e", "\u2066", "\x1b"} {
		requireLacks(t, all, text)
	}
	requireHas(t, all, "\U0001F34E")
	requireHas(t, all, "no cords or ties")
	requireHas(t, all, "one two three")
	s.Paper = "ell"
	_, err = FittingPages(s, p)
	require.ErrorContains(t, err, `there is no paper "ell"`)
	far := geom.Pt(1e9, 0)
	s.Paper, s.Entries[0].At = "a4", &far
	_, err = FittingPages(s, p)
	require.ErrorContains(t, err, "cannot be drawn")
}

// The ends of leaders are exchanged until none cross: three places whose
// nearest numbers would be crossed, worked out by hand.
func TestLeadersDoNotCross(t *testing.T) {
	b := leaderBoard{box: geom.Box{Max: geom.Pt(100, 40)}, pitch: 10, dot: 1}
	require.Equal(t, 8, b.room())
	sites := []geom.Point{{X: 10, Y: 20}, {X: 40, Y: 19}, {X: 30, Y: 21}, {X: 45, Y: 20}}
	ports := b.ports(sites)
	for i := range sites {
		require.False(t, ports[i].right)
		for k := range i {
			require.False(t, crosses(segment{sites[i], ports[i].at}, segment{sites[k], ports[k].at}))
			require.GreaterOrEqual(t, ports[i].at.Dist(ports[k].at), b.pitch-1e-9)
		}
	}
	// Eight in one corner: four have to go to the far column.
	sites = nil
	for i := range 8 {
		sites = append(sites, geom.Pt(1+float64(i)/10, 1))
	}
	right := 0
	for _, q := range b.ports(sites) {
		if q.right {
			right++
		}
	}
	require.Equal(t, 4, right)
}

// A leader to a place on a level edge does not run along that edge.
func TestLeadersDoNotRunAlongEdges(t *testing.T) {
	p := polygonPiece("cuff", []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(240, 0), geom.Pt(240, 70), geom.Pt(0, 70))
	s := FittingSheet{Sheet: fixtureSheet(), Paper: "a4"}
	for _, at := range []geom.Point{{X: 200, Y: 70}, {X: 40, Y: 70}, {X: 60, Y: 0}, {X: 240, Y: 30}} {
		s.Entries = append(s.Entries, FittingNote{Key: "1.1", State: "open", Seen: "tight", At: &at, Open: true})
	}
	pages, err := FittingPages(s, p)
	require.NoError(t, err)
	require.Len(t, pages, 1)
	elements := readSVG(t, string(pages[0]))
	points, _ := strokePoints(t, elements)
	leaders := leadersOf(t, elements)
	require.Len(t, leaders, 4)
	for i, l := range leaders {
		near := 0
		for _, q := range points {
			path := geom.Path{geom.Line(l.a, l.b)}
			if _, d := path.Nearest(geom.Pt(q.x, q.y)); d < 0.5 && q.dist(l.a) > 4*sheetText {
				near++
			}
		}
		require.Less(t, near, 20, "leader %d runs along the outline", i) // a crossing takes a few of the 400 places an edge
	}
}

func (p xy) dist(q geom.Point) float64 { return geom.Pt(p.x, p.y).Dist(q) }
