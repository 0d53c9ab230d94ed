package geom

import (
	"flag"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var rewriteGolden = flag.Bool("golden", false, "rewrite testdata/golden.txt")

// TestGolden holds every result of the kernel, to the last bit, against
// testdata/golden.txt: a digest of each part over a fixed set of inputs, and its
// first values to read. .ci/run runs it on two kinds of processor.
func TestGolden(t *testing.T) {
	lines := []string{"# part: values, FNV-1a of their bits, the first three; rewritten by: go test ./geom -run Golden -golden"}
	for i, part := range goldenParts {
		d := &digest{}
		part.run(d, rand.New(rand.NewPCG(uint64(3000+i), 1)))
		require.NotZero(t, d.n, part.name)
		lines = append(lines, fmt.Sprintf("%s: %d, %016x,%s", part.name, d.n, d.sum(), d.first))
	}
	file := filepath.Join("testdata", "golden.txt")
	if *rewriteGolden {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o644))
	}
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	want := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	require.Len(t, want, len(lines))
	for i, line := range lines {
		assert.Equal(t, want[i], line, "this part's results changed; if that was meant, rewrite the file with -golden")
	}
}

// digest gathers numbers.
type digest struct {
	bits  []byte
	n     int
	first string
}

func (d *digest) add(values ...float64) {
	for _, v := range values {
		if d.n < 3 {
			d.first += fmt.Sprintf(" %.17g", v)
		}
		d.n++
		x := math.Float64bits(v)
		for k := range 8 {
			d.bits = append(d.bits, byte(x>>(8*k)))
		}
	}
}

func (d *digest) points(points ...Point) {
	for _, p := range points {
		d.add(p.X, p.Y)
	}
}

func (d *digest) curves(curves ...Cubic) {
	d.add(float64(len(curves)))
	for _, c := range curves {
		d.points(c.P0, c.P1, c.P2, c.P3)
	}
}

func (d *digest) err(err error) {
	if err != nil {
		d.bits = append(d.bits, err.Error()...)
		d.n++
	}
}

func (d *digest) regions(regions []Region) {
	for _, r := range regions {
		d.add(r.Area, r.Width)
		for k, ring := range r.Rings {
			d.curves(ring...)
			for _, s := range r.Sides[k] {
				d.add(float64(s.Curve))
			}
		}
	}
}

func (d *digest) sum() uint64 {
	h := fnv.New64a()
	h.Write(d.bits)
	return h.Sum64()
}

// The inputs are whole numbers of 1/1024 mm, or made from such by Point's
// methods, which round alike everywhere.

func goldenNumber(r *rand.Rand, size int) float64 { return float64(r.IntN(2048*size)-1024*size) / 1024 }

func goldenPoint(r *rand.Rand, size int) Point {
	return Pt(goldenNumber(r, size), goldenNumber(r, size))
}

// goldenCurve is a curve as patterns have them, or one with random controls.
func goldenCurve(r *rand.Rand) Cubic {
	p, q := goldenPoint(r, 300), goldenPoint(r, 300)
	if r.IntN(4) == 0 {
		return Cubic{p, goldenPoint(r, 300), goldenPoint(r, 300), q}
	}
	d := q.Sub(p)
	a, b := goldenNumber(r, 1), goldenNumber(r, 1)
	return Cubic{p, p.Add(d.Turn(a).Mul(0.375)), q.Sub(d.Turn(b).Mul(0.3125)), q}
}

// goldenPiece is an outline of six edges, some curved and some divided.
func goldenPiece(r *rand.Rand) []OffsetEdge {
	points := []Point{Pt(80, 0), Pt(200, 20), Pt(300, 200), Pt(330, 700), Pt(0, 710), Pt(0, 90)}
	for i := range points {
		points[i] = points[i].Add(goldenPoint(r, 20))
	}
	var edges []OffsetEdge
	for i, p := range points {
		q := points[(i+1)%len(points)]
		path := Path{Line(p, q)}
		if i%2 == 0 {
			d, a := q.Sub(p), goldenNumber(r, 1)
			path = Path{{p, p.Add(d.Turn(a / 2).Mul(0.34375)), q.Sub(d.Turn(a / 4).Mul(0.34375)), q}}
			x, y := path[0].Split(0.375)
			path = Path{x, y}
		}
		edges = append(edges, OffsetEdge{path, []float64{6, 10, 15, 0, 40}[r.IntN(5)]})
	}
	return edges
}

// goldenAltered is the outline with one edge moved and others divided anew.
func goldenAltered(r *rand.Rand, ring Ring) Ring {
	var out Ring
	for _, c := range ring {
		x, y := c.Split(0.25 + float64(r.IntN(8))/16)
		out = append(out, x, y)
	}
	k, by := r.IntN(len(out)), goldenPoint(r, 12)
	n := len(out)
	for _, i := range []int{k, (k + 1) % n} {
		before := (i + n - 1) % n
		out[i].P0, out[i].P1 = out[i].P0.Add(by), out[i].P1.Add(by)
		out[before].P3, out[before].P2 = out[i].P0, out[before].P2.Add(by)
	}
	return out
}

var goldenParts = []struct {
	name string
	run  func(d *digest, r *rand.Rand)
}{
	{"functions", goldenFunctions}, {"motions", goldenMotions}, {"cubics", goldenCubics}, {"lengths", goldenLengths},
	{"nearest points", goldenNearest}, {"lines and cubics", goldenLines}, {"meetings", goldenMeetings},
	{"nearly coincident", goldenCoincident}, {"paths", goldenPaths}, {"arcs", goldenArcs}, {"carriers", goldenCarriers},
	{"rounded corners", goldenRounding}, {"chords", goldenChords}, {"matches", goldenMatches}, {"regions", goldenRegions},
	{"cover", goldenCover}, {"offsets", goldenOffsets}, {"cutting lines", goldenRings}, {"fits", goldenFits},
	{"traced outlines", goldenOutlines},
}

func goldenFunctions(d *digest, r *rand.Rand) {
	for range 500 {
		p := goldenPoint(r, 50)
		s, c := sincos(p.X)
		d.add(s, c, tan(p.Y), atan2(p.Y, p.X), hypot(p.X, p.Y))
	}
}

func goldenMotions(d *digest, r *rand.Rand) {
	for range 100 {
		m := Motion{Mirror: r.IntN(2) == 0, Turn: goldenNumber(r, 3), Shift: goldenPoint(r, 300)}
		n := Motion{Mirror: r.IntN(2) == 0, Turn: goldenNumber(r, 3), Shift: goldenPoint(r, 300)}
		p, q, s := goldenPoint(r, 300), goldenPoint(r, 300), goldenPoint(r, 300)
		d.points(m.Apply(p), m.Inverse().Apply(p), m.Then(n).Apply(p))
		f := FitMotion([]Point{p, q, s}, []Point{m.Apply(p), m.Apply(q), n.Apply(s)}, m.Mirror)
		d.add(f.Turn, f.Shift.X, f.Shift.Y, AngleBetween(p, q))
	}
}

func goldenCubics(d *digest, r *rand.Rand) {
	for range 200 {
		c, t := goldenCurve(r), goldenNumber(r, 1)
		d.points(c.At(t), c.Deriv(t), c.Deriv2(t), c.Tangent(t), c.Box().Min, c.Box().Max)
		d.add(c.Curvature(t), c.Area())
		x, y := c.Split(t)
		d.curves(x, y, c.Part(0.25, 0.75))
	}
}

func goldenLengths(d *digest, r *rand.Rand) {
	for range 200 {
		c := goldenCurve(r)
		if r.IntN(5) == 0 {
			c.P3 = c.P0.Add(c.P1).Sub(c.P2).Add(Pt(0, float64(r.IntN(3))/1024)) // a cusp, or almost
		}
		l := c.Length()
		d.add(l, c.ParamAt(l*0.3125), c.LengthBetween(0.125, 0.5))
	}
}

func goldenNearest(d *digest, r *rand.Rand) {
	for range 300 {
		t, dist := goldenCurve(r).Nearest(goldenPoint(r, 300))
		d.add(t, dist)
	}
}

func goldenLines(d *digest, r *rand.Rand) {
	for range 300 {
		d.add(goldenCurve(r).MeetLine(goldenPoint(r, 300), goldenPoint(r, 300))...)
	}
}

func (d *digest) meetings(all []Meeting) {
	for _, m := range all {
		d.add(m.T, m.U, m.At.X, m.At.Y)
	}
}

func goldenMeetings(d *digest, r *rand.Rand) {
	for range 300 {
		a, b := goldenCurve(r), goldenCurve(r)
		d.meetings(Meet(a, b))
		d.meetings(Meet(a, a.Part(0.25, 0.75).Reverse()))
		d.meetings(Meet(a, Line(b.P0, b.P3)))
	}
}

func goldenCoincident(d *digest, r *rand.Rand) {
	for range 100 {
		a := goldenCurve(r)
		for _, gap := range []float64{1. / (1 << 30), 1. / (1 << 20), 1. / (1 << 10)} {
			b := a
			b.P1, b.P2 = b.P1.Add(goldenPoint(r, 1).Mul(gap)), b.P2.Add(goldenPoint(r, 1).Mul(gap))
			d.meetings(Meet(a, b))
			d.meetings(Meet(a, b.Moved(Motion{Turn: gap / 256})))
		}
	}
}

func goldenPaths(d *digest, r *rand.Rand) {
	for range 40 {
		ring, other := outline(goldenPiece(r)), outline(goldenPiece(r))
		for _, m := range MeetPaths(Path(ring), Path(other)) {
			d.add(m.At.X, m.At.Y, float64(m.P.Curve), m.P.T, float64(m.Q.Curve), m.Q.T)
		}
		q := goldenPoint(r, 300)
		at, dist := Path(ring).Nearest(q)
		d.add(ring.Area(), ring.Length(), float64(ring.Winding(q)), at.T, dist, Path(ring).CurvatureAt(300))
		x, y := Path(ring).Split(500)
		d.curves(append(x, y...)...)
		crossed := ring
		crossed[0], crossed[1] = goldenCurve(r), goldenCurve(r)
		p, i, j, _ := crossed.SelfCrossing()
		d.add(p.X, p.Y, float64(i), float64(j))
	}
}

func goldenArcs(d *digest, r *rand.Rand) {
	for range 100 {
		p, q := goldenPoint(r, 300), goldenPoint(r, 300)
		d.curves(Arc(p, 20+q.Len(), goldenNumber(r, 3), goldenNumber(r, 6))...)
		d.curves(EllipticalArc(p, q, 150, 70, goldenNumber(r, 3), r.IntN(2) == 0, r.IntN(2) == 0, 1e-4)...)
	}
}

func goldenCarriers(d *digest, r *rand.Rand) {
	for range 100 {
		c, e := goldenCurve(r), goldenCurve(r)
		d.curves(Carrier(Path{c}, 150)...)
		d.curves(Eased(c.P3, c.Tangent(1), e.P0, e.Tangent(0)))
	}
}

func goldenRounding(d *digest, r *rand.Rand) {
	for range 60 {
		before, after := goldenCurve(r), goldenCurve(r)
		after = after.Moved(Motion{Shift: before.P3.Sub(after.P0)})
		arc, x, y, err := RoundCorner(Path{before}, Path{after}, 1+float64(r.IntN(20)))
		d.err(err)
		d.add(x, y)
		d.curves(arc...)
	}
}

func goldenChords(d *digest, r *rand.Rand) {
	for range 60 {
		d.points(goldenCurve(r).Flatten(0.25)...)
	}
}

func goldenMatches(d *digest, r *rand.Rand) {
	for range 40 {
		ring := outline(goldenPiece(r))
		for _, s := range Match(ring, goldenAltered(r, ring), 0.01) {
			d.add(float64(s.A), float64(s.B), s.A0, s.A1, s.B0, s.B1, s.Deviation)
		}
	}
}

func goldenRegions(d *digest, r *rand.Rand) {
	for i := range 40 {
		ring := outline(goldenPiece(r))
		other := goldenAltered(r, ring)
		if i%2 == 0 {
			other = other.Moved(Motion{Turn: 1. / (1 << 12)})
		}
		o, err := Compare(ring, other, 0.01)
		d.err(err)
		d.add(o.AddedArea, o.RemovedArea, o.KeptArea, o.Matched, o.Deviation)
		d.regions(o.Added)
		d.regions(o.Removed)
		d.regions(o.Kept)
	}
}

func goldenCover(d *digest, r *rand.Rand) {
	for range 20 {
		var points []Point
		for range 9 {
			points = append(points, goldenPoint(r, 300))
		}
		ring := Polygon(points...)
		ring[3] = Cubic{ring[3].P0, goldenPoint(r, 300), goldenPoint(r, 300), ring[3].P3}
		regions, err := Cover(ring)
		d.err(err)
		d.regions(regions)
	}
}

func goldenOffsets(d *digest, r *rand.Rand) {
	for range 100 {
		c := goldenCurve(r)
		p, err := c.Offset(float64(r.IntN(60)-30), 0.01)
		d.err(err)
		d.curves(p...)
		p, err = Path{c, Line(c.P3, goldenPoint(r, 300))}.Offset(8, 0.01)
		d.err(err)
		d.curves(p...)
	}
}

func goldenRings(d *digest, r *rand.Rand) {
	for i := range 60 {
		edges := goldenPiece(r)
		corners := make([]OffsetCorner, len(edges))
		for k := range corners {
			corners[k].Style = CornerStyle(r.IntN(3))
		}
		if i%3 == 0 {
			for k := range edges {
				edges[k].By *= -0.5
			}
			corners = nil
		}
		ring, from, err := OffsetRing(edges, corners, 0.01)
		d.err(err)
		d.curves(ring...)
		for _, k := range from {
			d.add(float64(k))
		}
	}
}

// goldenTraced are points along the outline, every 3 mm, up to 0.4 mm off.
func goldenTraced(r *rand.Rand, ring Ring) []Point {
	var points []Point
	length := ring.Length()
	for at := 0.0; at < length; at += 3 {
		points = append(points, Path(ring).PointAt(at).Add(goldenPoint(r, 1).Add(goldenPoint(r, 1)).Mul(0.2)))
	}
	return points
}

func goldenFits(d *digest, r *rand.Rand) {
	for range 20 {
		points := goldenTraced(r, outline(goldenPiece(r)))
		from := r.IntN(len(points) - 60)
		d.curves(Fit(points[from:from+60], nil, nil, 0.5)...)
		in := points[from+1].Sub(points[from]).Unit()
		d.curves(Fit(points[from:from+40], &in, nil, 0.75)...)
	}
}

func goldenOutlines(d *digest, r *rand.Rand) {
	for range 6 {
		ring, corners, noise := FitOutline(goldenTraced(r, outline(goldenPiece(r))), FitOptions{})
		d.curves(ring...)
		d.add(noise)
		for _, k := range corners {
			d.add(float64(k))
		}
	}
}
