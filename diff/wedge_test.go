package diff

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/change"
)

// What a swing added or removed is its own: with the hem taken up or let down
// and the centre let out besides, what the piece as altered has more than a
// panel of the new width and height, whose area is their product.
func TestAreaOfASwingAmongOtherChanges(t *testing.T) {
	const seed = 31
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	for k := range 60 {
		w, h := 200+200*rng.Float64(), 500+300*rng.Float64()
		by, from := 15+40*rng.Float64(), 80+150*rng.Float64()
		if rng.IntN(2) == 0 {
			by = -by
		}
		flare := map[string]string{"alter": "flare", "edge": "side seam", "by": fmt.Sprintf("%.3f", by), "from": fmt.Sprintf("%.3f", from)}
		steps, height, width := []map[string]string{flare}, h, w
		if k%4 > 0 {
			hem := 10 + 60*rng.Float64()
			kind := []string{"shorten", "lengthen"}[k%2]
			height += map[string]float64{"shorten": -hem, "lengthen": hem}[kind]
			steps = append([]map[string]string{{"alter": kind, "edge": "hemline", "by": fmt.Sprintf("%.6f", hem)}}, steps...)
		}
		if k%3 == 0 {
			out := 5 + 20*rng.Float64()
			width += out
			steps = append(steps, map[string]string{"alter": "let-out", "edge": "centre", "by": fmt.Sprintf("%.6f", out)})
		}
		p := panel(w, h)
		q := made(t, p, steps...)
		laid := []geom.Motion{{}}
		if width == w {
			laid = append(laid, geom.Motion{Turn: 0.7, Shift: geom.Pt(400, -300)}, geom.Motion{Mirror: true, Turn: -1.1, Shift: geom.Pt(100, 50)})
		}
		for _, m := range laid {
			d := compare(t, p, q.Moved(m))
			swing := only(d, change.EdgeSwung)
			require.Len(t, swing, 1, "%d: %v %v", k, steps, kinds(d))
			ring, err := q.Outline()
			require.NoError(t, err)
			require.InDelta(t, ring.Ring.Area()-width*height, *swing[0].Area, 2, "%d: %v", k, steps)
		}
	}
}
