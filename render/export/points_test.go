package export

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// through is the line that a reader makes of the points: straight between two
// turn points with nothing between them, else the smooth curve.
func through(points []vertex, closed bool) geom.Path {
	first := -1
	for i, v := range points {
		if v.turn && first < 0 {
			first = i
		}
	}
	var at []geom.Point
	for _, v := range points {
		at = append(at, v.at)
	}
	if first < 0 {
		return geom.ThroughClosed(at)
	}
	n := len(points)
	steps := n - 1
	if closed {
		steps = n
	}
	run := []geom.Point{at[first]}
	var path geom.Path
	for i := 1; i <= steps; i++ {
		k := (first + i) % n
		if run = append(run, at[k]); points[k].turn || i == steps {
			path = append(path, geom.Through(run)...)
			run = []geom.Point{at[k]}
		}
	}
	return path
}

func chordsOf(points []vertex, closed bool) geom.Path {
	var at []geom.Point
	for _, v := range points {
		at = append(at, v.at)
	}
	if closed {
		at = append(at, at[0])
	}
	return geom.Polyline(at...)
}

func apart(p, q geom.Path) float64 {
	most := 0.0
	for _, c := range p {
		for i := range 33 {
			_, d := q.Nearest(c.At(float64(i) / 32))
			most = math.Max(most, d)
		}
	}
	return most
}

// Whatever the line, its points lie on it, the chords within 0.05 mm, and the
// smooth curve through them within 0.005: lines as people draw them, of one to
// five curves, smooth or with corners, open or closed.
func TestPointsOfRandomLines(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	worst := 0.0
	for range 150 {
		p := randomLine(random)
		closed := random.IntN(2) == 0
		if closed {
			p = append(p, geom.Line(p.End(), p.Start()))
		}
		points := vertices(p, closed, nil)
		for _, v := range points {
			_, d := p.Nearest(v.at)
			require.Less(t, d, 1e-6)
		}
		require.LessOrEqual(t, apart(p, chordsOf(points, closed)), 0.05)
		curve := through(points, closed)
		off := math.Max(apart(p, curve), apart(curve, p))
		require.LessOrEqual(t, off, 0.005)
		worst = math.Max(worst, off)
		require.LessOrEqual(t, len(points), 200*len(p))
	}
	t.Logf("the smooth curves lie within %.4f mm", worst)
}

// randomLine is a line of up to five curves: each goes some 30 to 300 mm, with
// handles of a third of that, on from the one before, smoothly or not.
func randomLine(random *rand.Rand) geom.Path {
	var p geom.Path
	at, way := geom.Pt(0, 0), geom.Pt(1, 0)
	for range 1 + random.IntN(5) {
		if random.IntN(3) == 0 {
			way = way.Turn((random.Float64() - 0.5) * 4)
		}
		length := 30 + 270*random.Float64()
		turn := (random.Float64() - 0.5) * 2
		end := at.Add(way.Turn(turn / 2).Mul(length))
		c := geom.Line(at, end)
		next := end.Sub(at).Unit()
		if random.IntN(4) > 0 {
			next = way.Turn(turn)
			h := length * (0.2 + 0.25*random.Float64())
			c.P1, c.P2 = at.Add(way.Mul(h)), end.Sub(next.Mul(length*(0.2+0.25*random.Float64())))
		}
		p = append(p, c)
		at, way = end, next
	}
	return p
}

// A circle is smooth all round: no turn point.
func TestPointsOfACircle(t *testing.T) {
	p := geom.Path(geom.Circle(geom.Pt(5, 5), 120))
	points := vertices(p, true, nil)
	for _, v := range points {
		assert.False(t, v.turn)
	}
	assert.LessOrEqual(t, apart(p, through(points, true)), 0.005)
}

// A straight line has its ends and no more.
func TestPointsOfALine(t *testing.T) {
	points := vertices(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(500, 3))}, false, nil)
	assert.Equal(t, []vertex{{geom.Pt(0, 0), true}, {geom.Pt(500, 3), true}}, points)
}

// Letters beyond ASCII are written by their numbers.
func TestASCII(t *testing.T) {
	assert.Equal(t, `R\U+00FCcken \U+D83E\U+DEA1`, ascii("Rücken \U0001faa1"))
	assert.Equal(t, "a b", ascii("a\r\nb"))
	assert.Equal(t, `100 %, %\U+0025c`, ascii("100 %, %%c"))
}

// Only what is just as it was written is an export.
func TestUntouched(t *testing.T) {
	text := stamped([]byte("999\n" + noStamp + "\nrest"))
	assert.True(t, Untouched(text))
	assert.False(t, Untouched([]byte(strings.Replace(string(text), "rest", "Rest", 1))))
	assert.False(t, Untouched(nil))
	assert.False(t, Untouched([]byte(noStamp)))
	assert.False(t, Untouched([]byte("toile export")))
}

// Pieces that would lie on each other are laid apart, by whole millimetres;
// others stay.
func TestLaid(t *testing.T) {
	square := func(x float64) content {
		r := geom.Polygon(geom.Pt(x, 0), geom.Pt(x+100, 0), geom.Pt(x+100, 70.3), geom.Pt(x, 70.3))
		return content{sewing: pattern.Outline{Ring: r}, cutting: r}
	}
	assert.Equal(t, make([]geom.Point, 2), laid([]content{square(0), square(400)}))
	all := []content{square(0), square(3), square(0), square(0), square(0)}
	by := laid(all)
	for i, b := range by {
		assert.Equal(t, geom.Pt(math.Round(b.X), math.Round(b.Y)), b)
		for k := range i {
			p, q := all[i].box(), all[k].box()
			p = geom.Box{Min: p.Min.Add(b), Max: p.Max.Add(b)}
			q = geom.Box{Min: q.Min.Add(by[k]), Max: q.Max.Add(by[k])}
			assert.False(t, p.Grow(10).Overlaps(q))
		}
	}
}
