package geom

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"toile/docs/figures"
)

// fitTable gathers the rows of the table of fits.
type fitTable struct {
	t    *testing.T
	rows [][]string
}

// most adds a figure that must not exceed its target, least one that must not
// fall short of it, and seen one that is only told.
func (f *fitTable) most(what string, measured, target float64, cases int, against string) {
	assert.LessOrEqual(f.t, measured, target, what)
	f.add(what, measured, fmt.Sprintf("≤ %.2g", target), cases, against)
}

func (f *fitTable) least(what string, measured, target float64, cases int, against string) {
	assert.GreaterOrEqual(f.t, measured, target, what)
	f.add(what, measured, fmt.Sprintf("≥ %.2g", target), cases, against)
}

func (f *fitTable) seen(what string, measured float64, cases int, against string) {
	f.add(what, measured, "–", cases, against)
}

func (f *fitTable) add(what string, measured float64, target string, cases int, against string) {
	value := fmt.Sprintf("%.2g", measured)
	if measured > 90 && measured <= 100 { // shares near the whole
		value = fmt.Sprintf("%.1f", measured)
	}
	f.rows = append(f.rows, []string{what, value, target, fmt.Sprint(cases), against})
}

func TestAccuracyFit(t *testing.T) {
	outlines, curves := 3, 200
	if figures.Full() {
		outlines, curves = 30, 4000
	}
	f := &fitTable{t: t, rows: [][]string{{"what", "measured", "target", "cases", "held against"}}}
	f.exactCubics(curves)
	f.circles()
	f.closedForms()
	all := outlinesTried(outlines)
	f.corners(all)
	f.roundings(all)
	f.deviations(all)
	t.Log("\n" + figures.Table(f.rows))
	figures.Keep(t, "accuracy.md", "fit", f.rows)
}

// exactCubics fits 41 exact points of one cubic.
func (f *fitTable) exactCubics(n int) {
	r := seeded(f.t, 501)
	several, back, control := 0, 0.0, []float64{}
	for range n {
		c := realisticCubic(r)
		var points []Point
		for i := range 41 {
			points = append(points, c.At(float64(i)/40))
		}
		p := Fit(points, nil, nil, 1e-6)
		for i := range 101 {
			_, d := p.Nearest(c.At(float64(i) / 100))
			_, e := Path{c}.Nearest(p[0].At(float64(i) / 100))
			back = math.Max(back, math.Max(d, e))
		}
		if len(p) == 1 {
			control = append(control, math.Max(p[0].P1.Dist(c.P1), p[0].P2.Dist(c.P2)))
		} else {
			several++
		}
	}
	f.most("exact points of a cubic, tolerance 1e-6 mm: deviation, both ways, mm", back, 2e-6, n, "the cubic itself")
	f.least("the same: given back as one cubic, %", 100*float64(n-several)/float64(n), 99, n, "the cubic itself")
	slices.Sort(control)
	f.most("the same: control points of those, 99 of 100 within, mm", control[len(control)*99/100], 1e-3, len(control), "the cubic's own")
}

// arcPoints are points of a circular arc about the origin.
func arcPoints(radius, degrees float64, n int) []Point {
	var points []Point
	for i := range n {
		points = append(points, Pt(radius, 0).Turn(Degrees(degrees)*float64(i)/float64(n-1)))
	}
	return points
}

// circles fits arcs. One cubic over the angle φ with the handle 4/3·tan(φ/4)
// is off by at most 4/27·sin⁶(φ/4)/cos²(φ/4) of the radius (Goldapp,
// Approximation of circular arcs by cubic polynomials, 1991, from memory;
// 2.7253e-4 at 90°, 4.2455e-6 at 45°, 2.3864e-5 at 60°), which says how many
// cubics an arc needs at a tolerance.
func (f *fitTable) circles() {
	const goldapp, radius = "4/27·sin⁶(φ/4)/cos²(φ/4) of the radius (Goldapp)", 100.0
	err := func(phi float64) float64 {
		return radius * 4 / 27 * math.Pow(math.Sin(phi/4), 6) / math.Pow(math.Cos(phi/4), 2)
	}
	more, off, cases := 0, 0.0, 0
	for _, degrees := range []float64{45, 60, 90, 135, 180, 270, 360} {
		for _, tol := range []float64{0.1, 0.01, 0.001, 1e-4} {
			p := Fit(arcPoints(radius, degrees, 401), nil, nil, tol)
			need := 1
			for err(Degrees(degrees)/float64(need)) > tol {
				need++
			}
			more, cases = max(more, len(p)-need), cases+1
			for _, c := range p {
				for i := range 51 {
					off = math.Max(off, math.Abs(c.At(float64(i)/50).Len()-radius)/tol)
				}
			}
		}
	}
	f.most("arcs of 45° to 360°, tolerance 1e-6 to 1e-3 of the radius: cubics more than needed", float64(more), 0, cases, goldapp)
	f.most("the same: off the circle, of the tolerance", off, 1.05, cases, "distance from the centre")
	quarter := Fit(arcPoints(radius, 90, 101), nil, nil, 2.8e-4*radius)
	worst := 0.0
	for i := range 1001 {
		worst = math.Max(worst, math.Abs(quarter[0].At(float64(i)/1000).Len()/radius-1))
	}
	assert.Len(f.t, quarter, 1)
	f.most("quarter circle by one cubic: off the circle, of its radius", worst, 2.7253e-4, 1, "2.7253e-4 (Riškus 2006)")
}

// closedForms fits curves whose length is known.
func (f *fitTable) closedForms() {
	parabola := func(i int) Point { x := float64(i) - 20; return Pt(x, x*x/40) } // 40 wide, 10 high
	ellipse := func(i int) Point {
		s, c := math.Sincos(math.Pi / 2 * float64(i) / 200)
		return Pt(20*c, 10*s)
	}
	var points []Point
	for i := range 41 {
		points = append(points, parabola(i))
	}
	p := Fit(points, nil, nil, 1e-6)
	assert.Len(f.t, p, 1)
	f.most("parabola 40 wide, 10 high: length, mm", math.Abs(p.Length()-45.9117429879), 1e-6, 1, "½√(w²+16h²) + (w²/8h)·asinh(4h/w)")
	points = nil
	for i := range 201 {
		points = append(points, ellipse(i))
	}
	p = Fit(points, nil, nil, 1e-3)
	worst := 0.0
	for _, c := range p {
		for i := range 51 {
			q := c.At(float64(i) / 50)
			// The distance to first order: the equation over its gradient.
			g := Pt(q.X/200, q.Y/50)
			worst = math.Max(worst, math.Abs((q.X*q.X/400+q.Y*q.Y/100-1)/g.Len()))
		}
	}
	f.most("quarter of the ellipse 20, 10, tolerance 0.001 mm: off the ellipse, mm", worst, 1.05e-3, 1, "x²/a² + y²/b² = 1")
	f.most("the same: length, mm", math.Abs(p.Length()-96.8844822055/4), 1e-4, 1, "a·E(1−b²/a²), DLMF ch. 19")
}

// corners tells which corners are found and where.
func (f *fitTable) corners(all []outlineSeen) {
	const true_ = "the outline itself, in closed form"
	share := func(what string, target float64, in func(scatter, trueCorner) bool) {
		n, found := 0, 0
		for _, o := range all {
			for _, c := range o.corners {
				if in(o.scatter, c.trueCorner) {
					n++
					if c.found {
						found++
					}
				}
			}
		}
		f.least(what+", %", 100*float64(found)/float64(max(n, 1)), target, n, true_)
	}
	turn := func(c trueCorner, low, high float64) bool { return c.turn >= Degrees(low) && c.turn < Degrees(high) }
	long := func(s scatter, c trueCorner) bool { return c.shorter >= 15 && s.sigma() < 0.21 }
	for _, bin := range [][3]float64{{20, 25, 85}, {25, 30, 95}, {30, 45, 99}, {45, 90, 99}, {90, 160, 99}} {
		share(fmt.Sprintf("noise ≤ 0.2 mm, edges ≥ 15 mm: corners of %.0f to %.0f° found", bin[0], bin[1]), bin[2],
			func(s scatter, c trueCorner) bool { return long(s, c) && turn(c, bin[0], bin[1]) })
	}
	share("the same: all of 25° and more", 99, func(s scatter, c trueCorner) bool { return long(s, c) && turn(c, 25, 180) })
	share("noise 0.3 mm, edges ≥ 15 mm: corners of 25° and more found", 97,
		func(s scatter, c trueCorner) bool { return s.sigma() > 0.21 && c.shorter >= 15 && turn(c, 25, 180) })
	share("noise ≤ 0.3 mm, edges of 8 to 15 mm: corners of 25° and more found", 95,
		func(s scatter, c trueCorner) bool { return c.shorter < 15 && turn(c, 25, 180) })
	for _, waves := range []bool{false, true} {
		var off []float64
		for _, o := range all {
			for _, c := range o.corners {
				if long(o.scatter, c.trueCorner) && turn(c.trueCorner, 25, 180) && c.found && (o.scatter.together > 0) == waves {
					off = append(off, c.off)
				}
			}
		}
		slices.Sort(off)
		name := "noise ≤ 0.2 mm, each point by itself: place of corners of 25° and more"
		if waves {
			name = "noise ≤ 0.2 mm, in waves: the same"
		}
		f.seen(name+", median, mm", off[len(off)/2], len(off), true_)
		f.most(name+", 9 of 10 within, mm", off[len(off)*9/10], 0.5, len(off), true_)
		f.most(name+", worst, mm", off[len(off)-1], 3, len(off), true_)
	}
}

// roundings tells what becomes of rounded corners, and how many corners are
// invented.
func (f *fitTable) roundings(all []outlineSeen) {
	clear, sharp, invented := 0, 0, 0
	for _, o := range all {
		told := func(r trueRound) bool { return r.depth >= 1 && r.depth >= 8*o.scatter.sigma() }
		for _, r := range o.rounds {
			if told(r) {
				clear++
				if slices.Contains(o.sharpRounds, r) {
					sharp++
				}
			}
		}
		invented += o.invented
	}
	f.most("rounded corners whose tip is cut off by 1 mm and 8 deviations or more: told as corners, %",
		100*float64(sharp)/float64(max(clear, 1)), 10, clear, "the outline itself")
	f.most("corners invented elsewhere, a hundred outlines", 100*float64(invented)/float64(len(all)), 1, len(all), "the outline itself")
}

// deviations tells how far outlines are off, and how they are divided.
func (f *fitTable) deviations(all []outlineSeen) {
	for _, g := range []struct {
		name           string
		low, high      float64
		nine, worst    float64
		medianOfWorsts float64
	}{
		{"no noise", -1, 0.01, 0.01, 0.2, 0.01}, {"noise 0.05 and 0.1 mm", 0.01, 0.11, 0.1, 1, 0.2},
		{"noise 0.2 mm", 0.11, 0.21, 0.25, 2, 0.5}, {"noise 0.3 mm", 0.21, 1, 0.4, 3, 0.8},
	} {
		var off, worst []float64
		for _, o := range all {
			if s := o.scatter.sigma(); s > g.low && s <= g.high {
				off = append(off, o.off...)
				worst = append(worst, o.off[len(o.off)-1])
			}
		}
		slices.Sort(off)
		slices.Sort(worst)
		f.most(g.name+": off the true outline, 9 of 10 places within, mm", off[len(off)*9/10], g.nine, len(off), "the outline, both ways")
		f.most(g.name+": greatest of an outline, median, mm", worst[len(worst)/2], g.medianOfWorsts, len(worst), "the same")
		f.most(g.name+": greatest of all, mm", worst[len(worst)-1], g.worst, len(worst), "the same")
	}
	f.divisions(all)
}

func (f *fitTable) divisions(all []outlineSeen) {
	crossing := 0
	var noise []float64
	for _, o := range all {
		if o.crosses {
			crossing++
			f.t.Logf("%s, seed %d, %+v crosses itself", o.kind, o.seed, o.scatter)
		}
		if o.scatter.together == 0 && o.scatter.alone > 0 {
			noise = append(noise, o.noise/o.scatter.alone)
		}
	}
	f.most("outlines that cross themselves", float64(crossing), 0, len(all), "Ring.SelfCrossing")
	for _, waves := range []bool{false, true} {
		cubics, curves, straight, bent := 0, 0, 0, 0
		for _, o := range all {
			if (o.scatter.together > 0) == waves {
				cubics, curves, straight, bent = cubics+o.cubics, curves+o.curves, straight+o.straight, bent+o.bent
			}
		}
		lines := 100 * float64(straight-bent) / float64(max(straight, 1))
		if !waves {
			f.most("noise each point by itself: cubics per true curve", float64(cubics)/float64(curves), 1.1, curves, "counted")
			f.least("the same: straight edges given back as one line, %", lines, 99, straight, "counted")
			continue
		}
		f.most("noise in waves 10 to 40 mm long: cubics per true curve", float64(cubics)/float64(curves), 1.5, curves, "counted")
		f.seen("the same: straight edges given back as one line, %", lines, straight, "counted")
	}
	slices.Sort(noise)
	f.least("noise told, of the true one, each point by itself: least", noise[0], 0.7, len(noise), "the deviation the points were made with")
	f.most("the same: greatest", noise[len(noise)-1], 2, len(noise), "the same")
}
