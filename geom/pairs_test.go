package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// outlinePair is a generated pair of outlines, both clockwise and not crossing
// themselves, of the kinds a comparison meets.
type outlinePair struct {
	a, b    Ring
	piece   string
	kind    string
	finish  string
	divided bool // b is a, cut into curves elsewhere, and nothing else
}

func (p outlinePair) String() string {
	return fmt.Sprintf("%s, %s, %s", p.piece, p.kind, p.finish)
}

// pairKinds are what happens to a piece, or how a second one lies to it.
var pairKinds = []struct {
	name  string
	alter func(*rand.Rand, []Path) []Path
}{
	{"hem up or down", hemMoved},
	{"side moved parallel", sideMoved},
	{"side swung about a pivot", sideSwung},
	{"corner moved", cornerMoved},
	{"corner rounded", cornerRounded},
	{"edge tapered", edgeTapered},
	{"curve's handle redrawn", handleRedrawn},
	{"neckline lowered", necklineLowered},
	{"bulge added", bulgeAdded},
	{"edge curved", edgeCurved},
	{"split part cut off", partCutOff},
	{"spread", spreadOpen},
	{"enlarged evenly", enlarged},
	{"redrawn a little", redrawn},
	{"divided elsewhere", nil},
	{"divided elsewhere and stored", nil},
	{"near-coincident", nil},
	{"nested", nested},
	{"apart", apartFrom},
	{"touching at a corner", cornerTouching},
	{"sharing an edge", edgeSharing},
}

// pairFinishes are how the second outline came to be written down.
var pairFinishes = []string{
	"as it is", "divided elsewhere", "started elsewhere", "jittered", "turned by a hair", "stored",
	"divided, started elsewhere, stored", "divided, turned by a hair, jittered",
}

// pairAt is pair n of the seed's list, which runs through all kinds, finishes
// and pieces.
func pairAt(seed, n uint64) (outlinePair, error) {
	kind := pairKinds[n%uint64(len(pairKinds))]
	m := n / uint64(len(pairKinds))
	finish := int(m % uint64(len(pairFinishes)))
	piece := int(m / uint64(len(pairFinishes)) % uint64(len(draftedPieces)))
	rng := rand.New(rand.NewPCG(seed, n))
	p := outlinePair{piece: draftedPieces[piece].name, kind: kind.name, finish: pairFinishes[finish]}
	for range 100 {
		edges := sheet(rng, draft(rng, piece))
		p.a = joined(edges)
		if rng.IntN(4) > 0 {
			p.a = stored(p.a)
		}
		switch kind.name {
		case "divided elsewhere", "divided elsewhere and stored":
			p.divided, p.finish = true, "as it is"
			p.b = startedElsewhere(rng, dividedElsewhere(rng, p.a))
			if kind.name != "divided elsewhere" {
				p.b = stored(p.b)
			}
		case "near-coincident":
			p.b = nearlyCoincident(rng, p.a)
			p.b = finished(rng, p.b, finish)
		default:
			altered := kind.alter(rng, edges)
			if altered == nil {
				continue
			}
			p.b = finished(rng, joined(altered), finish)
		}
		if simple(p.a) && simple(p.b) {
			return p, nil
		}
	}
	return p, fmt.Errorf("no pair of the kind %v in a hundred tries", p)
}

// simple reports whether a ring is a piece's outline.
func simple(r Ring) bool {
	if len(r) == 0 || r.Area() <= 1 {
		return false
	}
	_, _, _, crosses := r.SelfCrossing()
	return !crosses
}

// stored rounds to 0.001 mm, as outlines are written down.
func stored(r Ring) Ring {
	round := func(p Point) Point { return Pt(math.Round(p.X*1000)/1000, math.Round(p.Y*1000)/1000) }
	out := make(Ring, len(r))
	for i, c := range r {
		out[i] = Cubic{round(c.P0), round(c.P1), round(c.P2), round(c.P3)}
	}
	return out
}

// dividedElsewhere cuts each curve up to three times.
func dividedElsewhere(rng *rand.Rand, r Ring) Ring {
	var out Ring
	for _, c := range r {
		for range rng.IntN(4) {
			p, q := c.Split(0.15 + 0.6*rng.Float64())
			out, c = append(out, p), q
		}
		out = append(out, c)
	}
	return out
}

func startedElsewhere(rng *rand.Rand, r Ring) Ring {
	k := rng.IntN(len(r))
	return append(append(Ring{}, r[k:]...), r[:k]...)
}

// jittered moves each node and each handle on its own by up to the amount.
func jittered(rng *rand.Rand, r Ring, amount float64) Ring {
	out := append(Ring{}, r...)
	nudge := func(p Point) Point {
		return p.Add(Pt(2*rng.Float64()-1, 2*rng.Float64()-1).Mul(amount))
	}
	for i := range out {
		out[i].P1, out[i].P2, out[i].P3 = nudge(out[i].P1), nudge(out[i].P2), nudge(out[i].P3)
	}
	for i := range out {
		out[(i+1)%len(out)].P0 = out[i].P3
	}
	return out
}

// logarithmic is a number between lo and hi, each power of ten equally often.
func logarithmic(rng *rand.Rand, lo, hi float64) float64 {
	return lo * math.Pow(hi/lo, rng.Float64())
}

// hairTurned turns a ring by 1e-7 to 1e-3 about its middle or a node.
func hairTurned(rng *rand.Rand, r Ring) Ring {
	pivot := r.Box().Centre()
	if rng.IntN(2) == 0 {
		pivot = r[rng.IntN(len(r))].P0
	}
	angle := logarithmic(rng, 1e-7, 1e-3)
	if rng.IntN(2) == 0 {
		angle = -angle
	}
	m := Motion{Shift: pivot.Mul(-1)}.Then(Motion{Turn: angle}).Then(Motion{Shift: pivot})
	out := r.Moved(m)
	for i := range out {
		out[i].P3 = out[(i+1)%len(out)].P0
	}
	return out
}

func nearlyCoincident(rng *rand.Rand, a Ring) Ring {
	switch rng.IntN(4) {
	case 0:
		return hairTurned(rng, a)
	case 1:
		return jittered(rng, a, logarithmic(rng, 1e-9, 0.02))
	case 2:
		return stored(hairTurned(rng, dividedElsewhere(rng, a)))
	}
	return a.Moved(Motion{Shift: Pt(logarithmic(rng, 1e-9, 0.02), 0).Turn(2 * math.Pi * rng.Float64())})
}

func finished(rng *rand.Rand, r Ring, finish int) Ring {
	switch pairFinishes[finish] {
	case "divided elsewhere":
		return dividedElsewhere(rng, r)
	case "started elsewhere":
		return startedElsewhere(rng, r)
	case "jittered":
		return jittered(rng, r, logarithmic(rng, 1e-9, 0.02))
	case "turned by a hair":
		return hairTurned(rng, r)
	case "stored":
		return stored(r)
	case "divided, started elsewhere, stored":
		return stored(startedElsewhere(rng, dividedElsewhere(rng, r)))
	case "divided, turned by a hair, jittered":
		return jittered(rng, hairTurned(rng, dividedElsewhere(rng, r)), logarithmic(rng, 1e-9, 0.005))
	}
	return r
}

// The generator gives what it says: every kind with every finish and piece,
// sizes of a garment, clockwise outlines; and the same number twice gives the
// same pair.
func TestPairGenerator(t *testing.T) {
	seen := map[string]int{}
	for n := range uint64(len(pairKinds) * len(pairFinishes) * len(draftedPieces)) {
		p, err := pairAt(7, n)
		require.NoError(t, err, "pair %d", n)
		seen[p.kind]++
		seen[p.finish]++
		seen[p.piece]++
		for _, r := range []Ring{p.a, p.b} {
			require.NoError(t, r.closed(), "pair %d: %v", n, p)
			require.Positive(t, r.Area())
			size := r.Box().Size()
			require.Less(t, max(size.X, size.Y), 1800.0, "pair %d: %v", n, p)
			require.Greater(t, max(size.X, size.Y), 4.0, "pair %d: %v", n, p)
		}
		again, err := pairAt(7, n)
		require.NoError(t, err)
		require.Equal(t, p, again)
	}
	require.Len(t, seen, len(pairKinds)+len(pairFinishes)+len(draftedPieces)-1) // one kind bears the name of a finish
}
