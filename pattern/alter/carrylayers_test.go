package alter

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// yokedBack is a back on the fold below a yoke, of some size: a yoke seam, a
// curved armhole, a slanting side and a hem, straight or aslant.
func yokedBack(rng *rand.Rand) *pattern.Pattern {
	between := func(a, b float64) float64 { return float64(int(a + rng.Float64()*(b-a))) }
	w, arm, side, hem := between(180, 230), between(150, 210), between(20, 45), between(560, 720)
	slant := float64(rng.IntN(2)) * between(0, 12)
	a, b, c := geom.Pt(w, 0), geom.Pt(w+side, arm), geom.Pt(w+side+between(10, 50), hem-slant)
	p := build([]string{"yoke seam", "armhole", "side seam", "hemline", "centre back"},
		geom.Polyline(geom.Pt(0, 0), a), geom.Path{{P0: a, P1: geom.Pt(w-12, arm/3), P2: geom.Pt(w-8, arm*0.85), P3: b}},
		geom.Polyline(b, c), geom.Polyline(c, geom.Pt(0, hem)), geom.Polyline(geom.Pt(0, hem), geom.Pt(0, 0)))
	q := p.Pieces[0]
	q.Cut = pattern.CutOnFold
	for i := range q.Edges {
		q.Edges[i].Allowance = map[string]float64{pattern.ClothSet: 10}
	}
	q.Edges[3].Hem = true
	q.Edges[4].Fold, q.Edges[4].Allowance = true, nil
	p.GiveIDs(q)
	return p
}

// layersSilent requires check to find nothing about layers.
func layersSilent(t *testing.T, p *pattern.Pattern, what string) {
	t.Helper()
	found, err := check.Run(p, check.Options{})
	require.NoError(t, err)
	for _, f := range found.Findings {
		require.NotEqual(t, change.LayerOff, f.Kind, "%s: %s", what, f.Says)
	}
}

// carryLayers carries an edge to every layer that lacks its change since before,
// and says to how many.
func carryLayers(t *testing.T, p, before *pattern.Pattern, piece, edge, what string) (*pattern.Pattern, int) {
	t.Helper()
	var lacking []Lacking
	for _, f := range Followers(p, piece, edge) {
		if f.Why != Layered {
			continue
		}
		if lacks, _ := LayerLacks(p, before, piece, edge, f.Piece); lacks {
			lacking = append(lacking, Lacking{Follower: f, Before: before})
		}
	}
	if len(lacking) == 0 {
		return p, 0
	}
	res, err := Carry(p, recipe("carry", piece, "edge", edge), lacking)
	require.NoError(t, err, what)
	return stored(t, res.Pattern), len(lacking)
}

// layersTrial is a back, perhaps split, with facing and lining, and what is altered.
type layersTrial struct {
	p      *pattern.Pattern
	what   string
	pieces []string // the outers
	shorts float64  // by how much the lining's hem is shorter
}

func newLayersTrial(t *testing.T, rng *rand.Rand) layersTrial {
	l := layersTrial{p: yokedBack(rng), pieces: []string{"panel"}}
	with := []string{}
	if rng.IntN(2) == 0 {
		l.p = alterWhole(t, l.p, "split", "panel", "line", "yoke seam@90:hemline@100@end", "into", "panel,side part")
		l.pieces, with = append(l.pieces, "side part"), []string{"with", "side part"}
	}
	width := fmt.Sprint(30 + rng.IntN(40))
	l.p = alterWhole(t, l.p, "facing", "panel", append([]string{"edges", "yoke seam", "width", width, "as", "facing"}, with...)...)
	lining := append([]string{"facing", "facing", "as", "lining"}, with...)
	if l.shorts = float64(20 * rng.IntN(2)); l.shorts > 0 {
		lining = append(lining, "differs", "shorter hem@hemline=-20")
	}
	l.p = alterWhole(t, l.p, "lining", "panel", lining...)
	l.what = fmt.Sprintf("%d outers, facing %s wide, hem %g shorter", len(l.pieces), width, l.shorts)
	return l
}

// altered makes one alteration of the outers and says which edges changed.
func (l *layersTrial) altered(t *testing.T, rng *rand.Rand) (p *pattern.Pattern, piece, edge string) {
	by := fmt.Sprint(1 + rng.IntN(30))
	last := l.pieces[len(l.pieces)-1]
	if kind := []string{"shorten", "lengthen", "let-out", "flare"}[rng.IntN(4)]; kind == "flare" || kind == "let-out" {
		values := []string{"edge", "side seam", "by", by}
		if kind == "flare" {
			values = append(values, "from", "120")
		} else {
			values = append(values, "to", "end")
		}
		l.what += fmt.Sprintf("; %s %s", kind, by)
		return alterWhole(t, l.p, kind, last, values...), last, "side seam"
	} else {
		l.what += fmt.Sprintf("; %s %s", kind, by)
		values := []string{"edge", "hemline", "by", by}
		p := alterWhole(t, l.p, kind, "panel", values...)
		if len(l.pieces) > 1 {
			p = alterWhole(t, p, kind, last, values...)
		}
		return p, "panel", "hemline"
	}
}

// After an alteration of an outer and a carry to each layer that lacks it, check
// is silent about layers, a second carry finds nothing, and facing and lining, the
// hem that it is shorter let down, cover the outer within 0.01 mm.
func TestCarriedLayersCoverTheOuter(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 5))
	for range 40 {
		l := newLayersTrial(t, rng)
		layersSilent(t, l.p, l.what)
		p, piece, edge := l.altered(t, rng)
		p, n := carryLayers(t, p, l.p, piece, edge, l.what)
		require.NotZero(t, n, l.what)
		for _, name := range l.pieces {
			q := pieceOf(t, p, name)
			if name != piece && slices.Contains(q.EdgeNames(), edge) {
				_, again := carryLayers(t, p, l.p, name, edge, l.what)
				require.Zero(t, again, "%s: carried from %s too", l.what, name)
			}
		}
		_, again := carryLayers(t, p, l.p, piece, edge, l.what)
		require.Zero(t, again, "%s: carried twice", l.what)
		layersSilent(t, p, l.what)
		if l.shorts > 0 && edge != "hemline" {
			continue // its hem, cut up at a side that was swung, is not let down to the same line
		}
		if l.shorts > 0 {
			p = alterWhole(t, p, "lengthen", "lining", "edge", "hemline", "by", fmt.Sprint(l.shorts))
		}
		if len(l.pieces) > 1 {
			p = alterWhole(t, p, "join", "panel", "edge", "seam to side part", "with", "side part", "at", "seam to panel")
		}
		covers(t, ring(pieceOf(t, p, "panel")), pieceOf(t, p, "facing"), pieceOf(t, p, "lining"))
		require.False(t, t.Failed(), l.what)
	}
}
