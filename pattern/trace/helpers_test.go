package trace

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// sheetMM wraps content in a drawing whose user unit is a millimetre.
func sheetMM(content string) string {
	return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ` +
		`xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" ` +
		`width="1000mm" height="1000mm" viewBox="0 0 1000 1000">` + "\n" + content + "\n</svg>"
}

func readString(s string, o Options) (*Drawing, error) {
	return ReadSVG("smock.svg", strings.NewReader(s), o)
}

// mustRead reads content drawn in millimetres.
func mustRead(t *testing.T, content string) *Drawing {
	t.Helper()
	d, err := readString(sheetMM(content), Options{})
	require.NoError(t, err)
	return d
}

// outlineOf gives the outline of a name.
func outlineOf(t *testing.T, d *Drawing, name string) Outline {
	t.Helper()
	for _, o := range d.Outlines {
		if o.Name == name {
			checkRing(t, o.Ring)
			return o
		}
	}
	require.Failf(t, "no such outline", "%q is not among %q", name, names(d))
	return Outline{}
}

func names(d *Drawing) []string {
	var n []string
	for _, o := range d.Outlines {
		n = append(n, o.Name)
	}
	return n
}

// checkRing holds what every outline promises.
func checkRing(t *testing.T, r geom.Ring) {
	t.Helper()
	require.NotEmpty(t, r)
	for i, c := range r {
		require.True(t, c.Finite(), "curve %d", i)
		require.Equal(t, c.P3, r[(i+1)%len(r)].P0, "curve %d and the next", i)
		require.Greater(t, math.Max(c.P0.Dist(c.P1), math.Max(c.P0.Dist(c.P2), c.P0.Dist(c.P3))), pointSize, "curve %d", i)
	}
	require.Greater(t, r.Area(), 0.0)
}

// gaussArea is the area of a ring by Gauss–Legendre quadrature of
// ½∮(x dy − y dx) with three nodes, which is exact for the fifth degree that
// cubics give (Abramowitz and Stegun, 25.4.29): code independent of geom's.
func gaussArea(r geom.Ring) float64 {
	nodes := [3]float64{-math.Sqrt(0.6), 0, math.Sqrt(0.6)}
	weights := [3]float64{5. / 9, 8. / 9, 5. / 9}
	sum := 0.0
	for _, c := range r {
		for i, x := range nodes {
			t := (x + 1) / 2
			s := 1 - t
			point := func(a, b, d, e float64) (v, dv float64) {
				return s*s*s*a + 3*s*s*t*b + 3*s*t*t*d + t*t*t*e,
					3 * (s*s*(b-a) + 2*s*t*(d-b) + t*t*(e-d))
			}
			px, dx := point(c.P0.X, c.P1.X, c.P2.X, c.P3.X)
			py, dy := point(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y)
			sum += weights[i] / 2 * (px*dy - py*dx) / 2
		}
	}
	return sum
}

// farthest is the greatest distance from a's points, densely sampled, to b.
func farthest(a, b geom.Path) float64 {
	most := 0.0
	for _, c := range a {
		for i := range 60 {
			_, d := b.Nearest(c.At(float64(i) / 60))
			most = math.Max(most, d)
		}
	}
	return most
}

// apart is the greatest distance between two outlines, both ways.
func apart(a, b geom.Ring) float64 {
	return math.Max(farthest(geom.Path(a), geom.Path(b)), farthest(geom.Path(b), geom.Path(a)))
}

// coords prints a ring or path as its points, for comparison.
func coords(p geom.Path) string {
	var b strings.Builder
	pt := func(q geom.Point) string {
		return fmt.Sprintf("%.6g,%.6g", math.Round(q.X*1e9)/1e9+0, math.Round(q.Y*1e9)/1e9+0)
	}
	for i, c := range p {
		if i == 0 {
			b.WriteString(pt(c.P0))
		}
		if c.IsStraight(1e-9) {
			b.WriteString(" L" + pt(c.P3))
		} else {
			b.WriteString(" C" + pt(c.P1) + " " + pt(c.P2) + " " + pt(c.P3))
		}
	}
	return b.String()
}

// needAll reports whether a missing outside program must fail a test.
func needAll() bool { return os.Getenv("TOILE_ALL") == "1" }

func nan() float64 { return math.NaN() }
func inf() float64 { return math.Inf(1) }

// onCircle gives n points on an arc about the origin.
func onCircle(radius, from, to float64, n int) []geom.Point {
	var p []geom.Point
	for i := range n {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n-1))
		p = append(p, geom.Pt(radius*c, radius*s))
	}
	return p
}
