package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// drawnPath reads path data with a user unit of 1 mm and prints its subpaths.
func drawnPath(t *testing.T, d string) string {
	t.Helper()
	subs, err := readPath(d, identity, &budget{})
	require.NoError(t, err, d)
	var out []string
	for _, s := range subs {
		text := coords(s.curves)
		if s.closed {
			text += " Z"
		}
		out = append(out, text)
	}
	return strings.Join(out, " | ")
}

// What each line of path data means by the grammar and the command tables of
// W3C, SVG 2, sections 9.3.3 to 9.3.9; the first ones are its own examples
// of equivalent notations.
func TestPathGrammar(t *testing.T) {
	for _, c := range []struct{ d, want string }{
		{"M 100 100 L 300 100 L 200 300 z", "100,100 L300,100 L200,300 Z"},
		{"M 100 100 L 200 200", "100,100 L200,200"},
		{"M100 100L200 200", "100,100 L200,200"},
		{"M 100 200 L 200 100 L -100 -200", "100,200 L200,100 L-100,-200"},
		{"M 100 200 L 200 100 -100 -200", "100,200 L200,100 L-100,-200"},
		{"M100-200", ""},
		{"M100-200-5-6", "100,-200 L-5,-6"},
		{"M 0.6.5 1.5.5", "0.6,0.5 L1.5,0.5"},
		{"M.5.5-.5-.5", "0.5,0.5 L-0.5,-0.5"},
		{"M+1+2+3+4", "1,2 L3,4"},
		{"M 1e1 1E+1 1e-1,-1e0", "10,10 L0.1,-1"},
		{"M1.e1 2. 3 4", "10,2 L3,4"},
		{"M 1 2 3 4 5 6", "1,2 L3,4 L5,6"},
		{"m 1 2 3 4 5 6", "1,2 L4,6 L9,12"},
		{" \n\tM\r1\f2\n,\t3 , 4", "1,2 L3,4"},
		{"M 1,1 h 2 3 H 0 v 1-1 V 9", "1,1 L3,1 L6,1 L0,1 L0,2 L0,1 L0,9"},
		{"M 10 10 l 5 0 m 5 5 l 0 5", "10,10 L15,10 | 20,15 L20,20"},
		{"M 10 10 l 5 0 0 5 z m 1 1 l 1 0", "10,10 L15,10 L15,15 Z | 11,11 L12,11"},
		{"M 10 10 l 5 0 0 5 z l 0 -5", "10,10 L15,10 L15,15 Z | 10,10 L10,5"},
		{"M 10 10 l 5 0 0 5 Z z L 0 0", "10,10 L15,10 L15,15 Z | 10,10 L0,0"},
		{"M 0 0 C 1 1 2 2.5 3 0", "0,0 C1,1 2,2.5 3,0"},
		{"M 1 1 c 1 1 2 2.5 3 0 1 1 2 2.5 3 0", "1,1 C2,2 3,3.5 4,1 C5,2 6,3.5 7,1"},
		{"M 0 0 C 1 1 2 2 3 1 S 5 5 6 0", "0,0 C1,1 2,2 3,1 C4,0 5,5 6,0"},
		{"M 0 0 C 1 1 2 2 3 1 s 2 4 3 -1 1 2 3 0", "0,0 C1,1 2,2 3,1 C4,0 5,5 6,0 C7,-5 7,2 9,0"},
		{"M 3 1 S 5 5 6 0", "3,1 C3,1 5,5 6,0"},                        // no curve before: the pen is the handle
		{"M 0 0 Q 3 3 6 0 S 7 5 9 0", "0,0 C2,2 4,2 6,0 C6,0 7,5 9,0"}, // a quadratic before does not count
		{"M 0 0 Q 3 3 6 0", "0,0 C2,2 4,2 6,0"},
		{"M 0 0 q 3 3 6 0 3 -3 6 0", "0,0 C2,2 4,2 6,0 C8,-2 10,-2 12,0"},
		{"M 0 0 Q 3 3 6 0 T 12 0", "0,0 C2,2 4,2 6,0 C8,-2 10,-2 12,0"},
		{"M 0 0 q 3 3 6 0 t 6 0 6 0", "0,0 C2,2 4,2 6,0 C8,-2 10,-2 12,0 C14,2 16,2 18,0"},
		{"M 0 0 T 6 0", "0,0 L6,0"},
		{"M 0 0 Q 3 3 6 0 L 7 0 T 9 0", "0,0 C2,2 4,2 6,0 L7,0 L9,0"},
		{"M 0 0 A 0 5 0 0 0 6 0", "0,0 L6,0"}, // a radius of 0 is a line
		{"M 0 0 A 5 5 0 0 0 0 0 L 1 1", "0,0 L1,1"},
		{"", ""}, {"none", ""}, {"M 1 1", ""}, {"M 1 1 Z", ""},
	} {
		assert.Equal(t, c.want, drawnPath(t, c.d), "%q", c.d)
	}
}

// The same outline written absolute and relative, with and without
// separators, is the same to the bit where the numbers are.
func TestPathSpellings(t *testing.T) {
	want := drawnPath(t, "M 10 20 L 40 20 C 50 30 50 50 40 60 Q 30 70 20 60 A 20 10 30 0 1 10 50 Z")
	for _, d := range []string{
		"m10 20h30c10 10 10 30 0 40q-10 10-20 0a20 10 30 0 1-10-10z",
		"M10,20H40C50,30,50,50,40,60Q30,70,20,60A20,10,30,0,1,10,50Z",
		"m 10,20 l 30,0 c 10,10 10,30 0,40 q -10,10 -20,0 a 20 10 30 01-10-10 z",
		"M10 20l30 0C50 30 50 50 40 60q-10 10-20 0a20 10 30 01-10-10Z",
	} {
		assert.Equal(t, want, drawnPath(t, d), "%q", d)
	}
}

// Flags need no separator after them (SVG 2, 9.3.9, production flag).
func TestArcFlags(t *testing.T) {
	want := drawnPath(t, "M 0 0 a 1 1 0 0 0 0.5 0.5")
	assert.NotEmpty(t, want)
	for _, d := range []string{"M0 0a1 1 0 00.5.5", "M0,0a1,1,0,0,0,.5,.5", "M0 0a1 1 0 0 0.5.5", "M0 0a1 1 0 0 0 .5 .5"} {
		assert.Equal(t, want, drawnPath(t, d), "%q", d)
	}
	_, err := readPath("M0 0a1 1 0 2 0 5 5", identity, &budget{})
	assert.ErrorContains(t, err, `a flag 0 or 1 is expected at character 12, "2 0 5 5"`)
}

func TestPathRefusals(t *testing.T) {
	for d, want := range map[string]string{
		"L 1 1":                                  "must begin with M",
		"10 10":                                  "must begin with M",
		"M 1":                                    "a number is expected at the end",
		"M 1 1 L":                                "a number is expected at the end",
		"M 1 1 L 2":                              "a number is expected at the end",
		"M 1 1,L 2 2":                            `a number is expected at character 7, "L 2 2"`,
		"M,1 1":                                  "a number is expected at character 2",
		"M 1,,1":                                 "a number is expected at character 5",
		"M 1 1 X 2 2":                            "a command is expected at character 7",
		"M 1 1 L 2 2 #":                          "a command is expected",
		"M NaN 1":                                "a number is expected",
		"M Inf 1":                                "a number is expected",
		"M 0x10 1":                               "a command is expected", // 0, then no second number
		"M 1e999 1":                              `number "1e999" is beyond all measure`,
		"M 1e200 0 A 1e200 1 0 0 0 -1e200 1e200": "beyond what numbers can hold",
		"M 1 1 L 2 2 S,3 3 4 4":                  "a number is expected",
		"M 0 0 C 1 1 2 2":                        "a number is expected at the end",
		"M 1 1 L - 2":                            "a number is expected",
		"M 1 1 L . 2":                            "a number is expected",
	} {
		_, err := readPath(d, identity, &budget{})
		if d == "M 0x10 1" {
			want = "a number is expected at character 4"
		}
		assert.ErrorContains(t, err, want, "%q", d)
	}
}

// Arcs against the true ellipse. The ends come from the centre form (W3C, SVG
// 1.1, appendix F.6.4: x = cos φ·rx·cos θ − sin φ·ry·sin θ + cx …), the
// path from the end-point form, so the conversion F.6.5 is checked too. Every
// sampled point must be within 0.001 mm of the ellipse, its foot found by
// Newton's method on the angle, and the angles must cover the sweep asked for.
func TestArcsLieOnTheEllipse(t *testing.T) {
	const seed = 20
	rng := rand.New(rand.NewPCG(seed, 1))
	worst := 0.0
	for i := range 400 {
		e := ellipse{rx: 0.5 + rng.Float64()*400, axis: (rng.Float64() - 0.5) * 720}
		e.ry = e.rx * (0.05 + 0.95*rng.Float64())
		e.centre = geom.Pt(rng.Float64()*500, rng.Float64()*500)
		from := rng.Float64() * 2 * math.Pi
		sweep := (rng.Float64()*1.96 + 0.02) * math.Pi
		if i%2 == 1 {
			sweep = -sweep
		}
		a, b := e.at(from), e.at(from+sweep)
		d := fmt.Sprintf("M %v %v A %v %v %v %d %d %v %v", a.X, a.Y, e.rx, e.ry, e.axis,
			bit(math.Abs(sweep) > math.Pi), bit(sweep > 0), b.X, b.Y)
		subs, err := readPath(d, identity, &budget{})
		require.NoError(t, err)
		require.Len(t, subs, 1)
		path := subs[0].curves
		turned := 0.0
		last := from
		for _, c := range path {
			for k := 1; k <= 40; k++ {
				q := c.At(float64(k) / 40)
				theta, off := e.foot(q)
				worst = math.Max(worst, off)
				step := math.Remainder(theta-last, 2*math.Pi)
				turned, last = turned+step, theta
			}
		}
		require.InDelta(t, sweep, turned, 1e-6, "seed %d, arc %d: %s", seed, i, d)
	}
	assert.Less(t, worst, 0.001, "seed %d", seed)
	t.Logf("farthest from the true ellipse: %.6f mm", worst)
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

type ellipse struct {
	centre       geom.Point
	rx, ry, axis float64 // axis in degrees
}

func (e ellipse) at(theta float64) geom.Point {
	s, c := math.Sincos(e.axis * math.Pi / 180)
	x, y := e.rx*math.Cos(theta), e.ry*math.Sin(theta)
	return geom.Pt(c*x-s*y+e.centre.X, s*x+c*y+e.centre.Y)
}

// foot gives the angle of the ellipse's point nearest to q, and its distance.
func (e ellipse) foot(q geom.Point) (theta, dist float64) {
	s, c := math.Sincos(e.axis * math.Pi / 180)
	dx, dy := q.X-e.centre.X, q.Y-e.centre.Y
	x, y := c*dx+s*dy, -s*dx+c*dy
	theta = math.Atan2(y/e.ry, x/e.rx)
	for range 20 {
		st, ct := math.Sincos(theta)
		f := (e.rx*e.rx-e.ry*e.ry)*st*ct - x*e.rx*st + y*e.ry*ct
		df := (e.rx*e.rx-e.ry*e.ry)*(ct*ct-st*st) - x*e.rx*ct - y*e.ry*st
		if df == 0 {
			break
		}
		theta -= f / df
	}
	return theta, e.at(theta).Dist(q)
}

// Radii too small for their ends are enlarged just enough (F.6.6): the arc is
// then half an ellipse. The specification's example: radii of 25 between
// points 100 apart.
func TestArcRadiiTooSmall(t *testing.T) {
	subs, err := readPath("M 0 0 A 25 25 0 0 1 100 0", identity, &budget{})
	require.NoError(t, err)
	for _, c := range subs[0].curves {
		for k := range 21 {
			assert.InDelta(t, 50, c.At(float64(k)/20).Dist(geom.Pt(50, 0)), 0.001)
			assert.LessOrEqual(t, c.At(float64(k)/20).Y, 1e-9) // sweep 1 runs clockwise, above the chord
		}
	}
	negative, err := readPath("M 0 0 A -25 -25 0 0 1 100 0", identity, &budget{})
	require.NoError(t, err)
	assert.Equal(t, subs, negative)
}

// The tolerance holds in millimetres, whatever a transform makes of an arc.
func TestArcToleranceUnderTransform(t *testing.T) {
	d := mustRead(t, `<path id="disc" transform="scale(200)" d="M -1 0 A 1 1 0 0 1 1 0 A 1 1 0 0 1 -1 0 z"/>`)
	for _, c := range outlineOf(t, d, "disc").Ring {
		for k := range 33 {
			assert.InDelta(t, 200, c.At(float64(k)/32).Len(), 0.001)
		}
	}
}
