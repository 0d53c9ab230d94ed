package diff_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/units"
)

// way is one way of altering a piece. Where several are combined, those of a
// lower stage come first.
type way struct {
	name  string
	stage int
	do    func(m *making) bool
}

// Stages of a combination.
const (
	stageMove = iota
	stageSwing
	stageRedraw
	stageCorner
	stageDetail
	stageAlone // never combined
)

// ways are all the kinds a diff has to tell, some in several forms.
var ways = []way{
	{"edge-moved shifted", stageMove, shiftHem},
	{"edge-moved parallel", stageMove, parallelEdge},
	{"edge-moved parallel, hem", stageMove, parallelHem},
	{"edge-moved tapered", stageMove, taper},
	{"edge-swung out", stageSwing, swing(false, 1)},
	{"edge-swung in", stageSwing, swing(false, -1)},
	{"edge-swung out, at corner", stageSwing, swing(true, 1)},
	{"edge-swung in, at corner", stageSwing, swing(true, -1)},
	{"edge-redrawn handles", stageRedraw, redraw(newHandles)},
	{"edge-redrawn bulge", stageRedraw, redraw(bulge)},
	{"edge-redrawn path", stageRedraw, redraw(newPath)},
	{"edge-redrawn, end moved", stageRedraw, redrawWithEnd},
	{"corner-rounded", stageCorner, roundCorner},
	{"corner-restored", stageCorner, restoreCorner},
	{"corner-rounded, other radius", stageCorner, changeRadius},
	{"corner-rounded, as drawn", stageAlone, roundAsDrawn},
	{"spread hinged", stageAlone, spread(true)},
	{"spread parallel", stageAlone, spread(false)},
	{"notch-moved", stageDetail, moveNotch},
	{"notch-added", stageDetail, addNotch},
	{"notch-removed", stageDetail, removeNotch},
	{"mark-moved", stageDetail, moveMark},
	{"mark-added", stageDetail, addMark},
	{"mark-removed", stageDetail, removeMark},
	{"mark-changed", stageDetail, changeMark},
	{"allowance-changed", stageDetail, changeAllowance},
	{"grain-turned", stageDetail, turnGrain},
	{"cutting-changed", stageDetail, changeCutting},
	{"renamed", stageAlone, rename},
	{"piece-split", stageAlone, split},
	{"piece-joined", stageAlone, join},
	{"piece-mirrored", stageAlone, mirror},
	{"piece-unfolded", stageAlone, unfold},
}

// suite is a set of cases that are told apart by their number alone.
type suite struct {
	name string
	key  uint64
	make func(rng *rand.Rand, number int) (kind, shape string, m *making)
}

var (
	exactSuite   = suite{"exact", 0x9e3779b97f4a7c15, makeExact}
	severalSuite = suite{"several", 0xc2b2ae3d27d4eb4f, makeSeveral}
	sameSuite    = suite{"same", 0x165667b19e3779f9, makeSame}
)

func (s suite) rng(number int) *rand.Rand { return rand.New(rand.NewPCG(uint64(number), s.key)) }

// makeExact makes one change: ways go round first, then shapes, each way from
// another one on.
func makeExact(rng *rand.Rand, number int) (kind, shape string, m *making) {
	w, k := ways[number%len(ways)], number%len(ways)+7*(number/len(ways))
	for try := 0; ; try++ {
		m := newMaking(rng, drafted(rng, k))
		for range 8 {
			if m.try(w) && !m.ambiguous() {
				return w.name, shapes[k%len(shapes)].name, m
			}
			m = newMaking(rng, m.from)
		}
		if try%6 == 5 { // this shape has no room for it
			k++
		}
		if try > 6*4*len(shapes) {
			panic(fmt.Sprintf("no shape has room for %q", w.name))
		}
	}
}

// makeSeveral makes two or three changes at once, at least one of them of the
// outline.
func makeSeveral(rng *rand.Rand, number int) (kind, shape string, m *making) {
	count := 2 + number%2
	for try, k := 0, number/2; ; try++ {
		if try%10 == 9 {
			k++
		}
		m := newMaking(rng, drafted(rng, k))
		for range 60 {
			if len(m.claims) == count {
				break
			}
			m.another(rng, count)
		}
		if len(m.claims) == count && !m.ambiguous() {
			return fmt.Sprintf("%d changes", count), shapes[k%len(shapes)].name, m
		}
	}
}

// another adds a change to those made, in the order of their stages but for a
// hem that may be shifted after a side was swung.
func (m *making) another(rng *rand.Rand, count int) {
	w := ways[rng.IntN(len(ways))]
	if w.stage == stageAlone || w.stage < m.stage && !(w.name == "edge-moved shifted" && m.stage == stageSwing) {
		return
	}
	if w.stage == stageDetail && (len(m.claims) == 0 || rng.IntN(3) > 0) {
		return
	}
	if m.try(w) {
		m.stage = max(m.stage, w.stage)
	}
}

// makeSame makes no change at all.
func makeSame(rng *rand.Rand, number int) (kind, shape string, m *making) {
	kinds := []string{"divided", "moved", "mirrored"}
	k := number / len(kinds)
	return kinds[number%len(kinds)], shapes[k%len(shapes)].name, newMaking(rng, drafted(rng, k))
}

// states are the two patterns of a case, and how the pieces of the second one
// were scrambled.
type states struct {
	from, to   *pattern.Pattern
	scrambling []scrambling // of the altered pieces, in order
}

// bystander is a piece that nobody touches.
func bystander(rng *rand.Rand) *pattern.Piece {
	p := drafted(rng, slices.IndexFunc(shapes, func(s shape) bool { return s.name == "hood" }))
	p.Name, p.Slug = "bystander", "bystander"
	return p
}

// patterns puts the pieces of a case into two patterns, the second one as it
// is or scrambled.
func (m *making) patterns(rng *rand.Rand, scramble bool) states {
	s := states{from: pattern.New("smock", units.Centimetre), to: pattern.New("smock", units.Centimetre)}
	still := bystander(rng)
	for _, p := range append([]*pattern.Piece{m.from, still}, m.olds...) {
		s.from.Put(p.Clone())
	}
	s.to.Put(still)
	for k, p := range append([]*pattern.Piece{m.now}, m.others...) {
		one := scrambling{piece: p.Clone()}
		if scramble {
			// Turned over and for the other side at once is a change of its own.
			mirrored := rng.IntN(4) == 0 && m.from.Side == m.now.Side
			one = scrambled(rng, p, mirrored, m.keepNames)
			one.piece.Slug = fmt.Sprintf("traced-%d", k)
		}
		s.scrambling = append(s.scrambling, one)
		s.to.Put(one.piece)
	}
	return s
}

// title says what a case is, for a table of failures.
func (m *making) title() string {
	var kinds []string
	for _, c := range m.claims {
		kinds = append(kinds, strings.TrimSpace(string(c.kind)+" "+c.how))
	}
	return strings.Join(kinds, ", ")
}
