package diff_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// benched is a sleeve of about 200 vertices when flattened to 0.01 mm, whose
// wrist can be taken up and whose seam swung.
func benched(tb testing.TB) *pattern.Piece {
	tb.Helper()
	for seed := uint64(1); seed < 200; seed++ {
		p := drafted(rand.New(rand.NewPCG(seed, 8)), slices.IndexFunc(shapes, func(s shape) bool { return s.name == "sleeve" }))
		if n := len(geom.Path(ringOf(p)).Flatten(0.01)); n >= 190 && n <= 210 {
			return p
		}
	}
	tb.Fatal("no draft of about 200 vertices")
	return nil
}

// hemAndSide takes the hem up and swings the side.
func hemAndSide(tb testing.TB, p *pattern.Piece) *pattern.Piece {
	tb.Helper()
	m := newMaking(rand.New(rand.NewPCG(3, 8)), p)
	for range 200 {
		if m.changed[m.from.HemEdge()] {
			break
		}
		m.try(way{"", stageMove, shiftHem})
	}
	for range 2000 {
		if len(m.claims) == 2 {
			return m.now
		}
		m.try(way{"", stageSwing, swing(false, 1)})
	}
	tb.Fatalf("could not alter the piece: %s", m.title())
	return nil
}

// BenchmarkExplain: one piece, changed in two ways; curves divided elsewhere
// and laid anywhere, else unchanged; and identical.
func BenchmarkExplain(b *testing.B) {
	from := benched(b)
	changed := hemAndSide(b, from)
	redivided := scrambled(rand.New(rand.NewPCG(4, 8)), from, false, true).piece
	pat := pattern.New("bench", units.Centimetre)
	for _, c := range []struct {
		name string
		to   *pattern.Piece
	}{{"changed", changed}, {"redivided", redivided}, {"identical", from.Clone()}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := diff.Pieces(from, c.to, pat); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPatterns: forty pieces, three of them changed.
func BenchmarkPatterns(b *testing.B) {
	rng := rand.New(rand.NewPCG(5, 8))
	from := pattern.New("bench", units.Centimetre)
	for k := range 40 {
		p := drafted(rng, k)
		p.Name, p.Slug = fmt.Sprintf("%s %d", p.Name, k), fmt.Sprintf("piece-%d", k)
		from.Put(p)
	}
	to := from.Clone()
	changed := 0
	for _, p := range from.Pieces {
		if m := newMaking(rng, p); changed < 3 && m.try(way{"", stageMove, shiftHem}) {
			to.Put(m.now)
			changed++
		}
	}
	require.Equal(b, 3, changed)
	for b.Loop() {
		if _, err := diff.Patterns(from, to, change.Version{Number: 1}, change.Version{Number: 2}); err != nil {
			b.Fatal(err)
		}
	}
}
