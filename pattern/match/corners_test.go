package match_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

// toothed is a comb of about n corners, its teeth so many mm wide and deep.
func toothed(n int, wide, deep float64) geom.Ring {
	var points []geom.Point
	for i := range n/4 - 1 {
		x := 2 * wide * float64(i)
		points = append(points, pt(x, 0), pt(x+wide, 0), pt(x+wide, deep), pt(x+2*wide, deep))
	}
	end := float64(n/4-1) * 2 * wide
	return geom.Polygon(append(points, pt(end, 300), pt(0, 300))...)
}

// With more corners than vote, a comb of teeth that are all alike, coarser or
// finer than it is sampled, is found exactly, wherever it starts, moved or
// turned over. Seen: laid off by a tooth.
func TestLayOverManyCorners(t *testing.T) {
	for _, c := range []struct {
		n    int
		wide float64
	}{{240, 4}, {500, 4}, {700, 4}, {900, 4}, {2000, 1}} {
		n, ring := c.n, toothed(c.n, c.wide, 10)
		for k, m := range []geom.Motion{{Turn: 0.8, Shift: pt(300, -120)}, {Turn: -2.9, Shift: pt(-4000, 77)}} {
			for _, mirror := range []bool{false, true} {
				m.Mirror = mirror
				new := startAt(ring, n/3+7*k).Moved(m)
				if mirror {
					new = new.Reverse()
				}
				best, _, err := match.LayOver(ring, new, tol, match.Options{AllowMirror: true})
				require.NoError(t, err)
				what := fmt.Sprintf("%d corners, %+v", n, m)
				assert.InDelta(t, 1, best.Matched, 1e-6, what)
				if !mirror {
					assertUndoes(t, ring, m, best.Motion, 1e-8)
				}
				assert.Less(t, best.Residual, 1e-9, what)
			}
		}
	}
}

// Of poses that explain as much the exact one is best. Seen: a circle of four
// curves laid turned by another angle than any quarter, with a residual of
// 0.005 mm.
func TestLayOverPrefersTheExactPose(t *testing.T) {
	rng := seeded(t, 12)
	circle := geom.Circle(pt(0, 0), 100)
	motions := []geom.Motion{{Turn: .7, Shift: pt(123, -45)}}
	for range 10 {
		motions = append(motions, randomMotion(rng))
	}
	for _, m := range motions {
		best, _, err := match.LayOver(circle, circle.Moved(m), tol, match.Options{})
		require.NoError(t, err)
		assert.Less(t, best.Residual, 1e-9, "%+v", m)
		assert.InDelta(t, 1, best.Matched, 1e-6, "%+v", m)
		quarters := best.Motion.Then(m).Turn / (math.Pi / 2)
		assert.InDelta(t, math.Round(quarters), quarters, 1e-6, "%+v", m)
	}
}
