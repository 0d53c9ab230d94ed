package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// latticeCoarse and latticeFine are what coordinates of fuzzed rings are made
// of, so that places, lines and tangents coincide often, or nearly do.
const latticeCoarse = 8 // mm

var latticeFine = [16]float64{0, 0, 0, 0, 1e-12, -1e-12, 1e-9, -1e-9, 1e-6, 1.5e-5, -1.5e-5, 1e-4, 1e-3, -4e-3, 9e-3, 0.02}

// ringReader makes rings out of bytes: any bytes make some.
type ringReader struct{ bytes []byte }

func (r *ringReader) next() byte {
	if len(r.bytes) == 0 {
		return 0
	}
	b := r.bytes[0]
	r.bytes = r.bytes[1:]
	return b
}

// place takes a byte for the coarse place and one for the fine one.
func (r *ringReader) place() Point {
	coarse, fine := r.next(), r.next()
	return Pt(
		latticeCoarse*float64(coarse&15)+latticeFine[fine&15],
		latticeCoarse*float64(coarse>>4)+latticeFine[fine>>4],
	)
}

// ring takes up to six curves, each with a form that decides its handles.
func (r *ringReader) ring() Ring {
	n := 1 + int(r.next()%6)
	var out Ring
	start := r.place()
	at := start
	for i := range n {
		form, to := r.next(), start
		if i < n-1 {
			to = r.place()
		}
		c := r.curve(form, at, to)
		out, at = append(out, c), c.P3
	}
	return out
}

func (r *ringReader) curve(form byte, a, b Point) Cubic {
	d := b.Sub(a)
	along := func(f float64) Point { return a.Add(d.Mul(f)) }
	switch form % 10 {
	case 0, 1:
		return Line(a, b)
	case 2:
		return Cubic{a, r.place(), r.place(), b}
	case 3: // a handle of length zero
		return Cubic{a, a, r.place(), b}
	case 4:
		return Cubic{a, r.place(), b, b}
	case 5: // both
		return Cubic{a, a, b, b}
	case 6: // overshoots its ends along its own line
		return Cubic{a, along(float64(form>>4)/4 - 1), along(2 - float64(form>>4)/3), b}
	case 7: // handles that cross: a loop, a cusp, or neither
		side := d.Left().Mul(float64(form>>4) / 8)
		return Cubic{a, b.Add(side), a.Add(side), b}
	case 8: // runs out and back, ends where it starts unless it is the last
		return Cubic{a, r.place(), a.Lerp(b, 0.5), b}
	}
	return Cubic{a, a, a, b} // a line at uneven speed; a point when a is b
}

// scanned are areas in mm² found row by row: what A alone, B alone and both
// wind around. Rows and chords are coarse; rings that cross themselves are no
// hindrance.
func scanned(a, b Ring) (added, removed, kept float64) {
	const rows = 500
	box := a.Box().Union(b.Box())
	height := box.Size().Y / rows
	type crossing struct {
		x    float64
		ring int
		down int
	}
	lines := [2][]Point{coarsePoints(a), coarsePoints(b)}
	for row := range rows {
		y := box.Min.Y + (float64(row)+0.4937)*height
		var met []crossing
		for k, points := range lines {
			for i, q := range points {
				p := points[(i+len(points)-1)%len(points)]
				if (p.Y <= y) == (q.Y <= y) {
					continue
				}
				down := 1
				if q.Y < p.Y {
					down = -1
				}
				met = append(met, crossing{p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y), k, down})
			}
		}
		slices.SortFunc(met, func(s, t crossing) int {
			if s.x < t.x {
				return -1
			}
			return 1
		})
		var w [2]int
		for i, m := range met {
			if i > 0 {
				strip := (m.x - met[i-1].x) * height
				switch {
				case w[0] != 0 && w[1] != 0:
					kept += strip
				case w[0] != 0:
					removed += strip
				case w[1] != 0:
					added += strip
				}
			}
			w[m.ring] -= m.down
		}
	}
	return added, removed, kept
}

func coarsePoints(r Ring) []Point {
	const steps = 100
	var out []Point
	for _, c := range r {
		for k := range steps {
			out = append(out, c.At(float64(k)/steps))
		}
	}
	return out
}

func clockwise(r Ring) Ring {
	if r.Area() < 0 {
		return r.Reverse()
	}
	return r
}

// longestRun is far above the milliseconds that rings of a few curves take,
// so that only work without bounds exceeds it.
const longestRun = 10 * time.Second

// fuzzSeeds are rings of each form, shifted over and turned into each other.
func fuzzSeeds(f *testing.F) {
	rng := rand.New(rand.NewPCG(1, 9))
	for form := range 10 {
		var b []byte
		for range 2 {
			b = append(b, 3, 0x11, 0, byte(form), 0x1e, 0, 0, 0xee, 0, byte(form)|0x50, 0xe1, 0, 0)
		}
		f.Add(b)
		b = slices.Clone(b)
		for range 6 {
			b[rng.IntN(len(b))] ^= byte(1 << rng.IntN(8))
		}
		f.Add(b)
	}
	for _, b := range hardRings {
		f.Add(b)
	}
	// The same outline, divided elsewhere, and a hair's breadth off.
	f.Add([]byte{3, 0x11, 0, 0, 0x1e, 0, 2, 0xee, 0, 0x4f, 0, 0xaf, 0, 0, 0xe1, 0, 0, 4, 0x11, 0x40, 0, 0x16, 0, 0, 0x1e, 0, 2, 0xee, 6, 0x4f, 0, 0xaf, 0, 0, 0xe1, 0, 0})
}

// Compare of any two rings ends soon with an error that says what is wrong or
// with finite areas. Those of rings that do not cross themselves add up. Of
// rings that do, Compare takes for covered what they wind around at all, in
// either direction: that is what a scan over rows finds, too. Their areas do
// not add up to what Area says, which counts loops by their direction.
func FuzzCompare(f *testing.F) {
	fuzzSeeds(f)
	f.Fuzz(func(t *testing.T, bytes []byte) {
		r := ringReader{bytes}
		a, b := r.ring(), r.ring()
		start := time.Now()
		o, err := Compare(a, b, pairTolerance)
		require.Less(t, time.Since(start), longestRun)
		require.NoError(t, soundAnswer(a, b, o, err))
	})
}

// soundAnswer checks that a comparison is refused only for a reason that its
// error tells: rings that run anticlockwise or hold no area; rings that cross
// themselves, in places too close to be told apart.
func soundAnswer(a, b Ring, o Overlap, err error) error {
	switch {
	case err == nil:
		return soundOverlap(a, b, o)
	case strings.Contains(err.Error(), "anticlockwise") && (a.Area() <= 0 || b.Area() <= 0):
		return nil
	case strings.Contains(err.Error(), "too close") && !(simple(a) && simple(b)):
		return nil
	case strings.Contains(err.Error(), "first outline crosses itself") && !simple(a):
		return nil
	case strings.Contains(err.Error(), "second outline crosses itself") && !simple(b):
		return nil
	case strings.Contains(err.Error(), "runs around a place twice or backwards"):
		return nil // told by the winding count alone, without a crossing to name
	}
	return err
}

// soundOverlap checks what holds of any two rings' regions.
func soundOverlap(a, b Ring, o Overlap) error {
	for _, x := range []float64{o.AddedArea, o.RemovedArea, o.KeptArea, o.Matched, o.Deviation} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("a figure that is no number: %+v", o)
		}
	}
	for k, regions := range [][]Region{o.Added, o.Removed, o.Kept} {
		for _, r := range regions {
			area := 0.0
			for _, ring := range r.Rings {
				if err := ring.closed(); err != nil {
					return fmt.Errorf("%s: %w", regionKinds[k], err)
				}
				area += ringArea(ring)
			}
			if !(math.Abs(area-r.Area) <= 1e-6) || !(r.Area > 0) || !(r.Width > 0) {
				return fmt.Errorf("%s: a region of %g mm², %g mm wide, by its rings of %g", regionKinds[k], r.Area, r.Width, area)
			}
		}
	}
	size := a.Box().Union(b.Box()).Size()
	added, removed, kept := scanned(a, b)
	slack := 0.02*size.X*size.Y + pairTolerance*(a.Length()+b.Length())
	if max(math.Abs(added-o.AddedArea), math.Abs(removed-o.RemovedArea), math.Abs(kept-o.KeptArea)) > slack {
		return fmt.Errorf("added %g, removed %g, kept %g mm², by scanning %g, %g, %g", o.AddedArea, o.RemovedArea, o.KeptArea, added, removed, kept)
	}
	if !simple(a) || !simple(b) {
		return nil
	}
	one, two := o.KeptArea+o.RemovedArea-ringArea(a), o.KeptArea+o.AddedArea+o.Matched-ringArea(b)
	if limit := 1e-3 * (1 + size.X + size.Y); max(math.Abs(one), math.Abs(two)) > limit {
		return fmt.Errorf("the regions miss A by %g and B by %g mm²", one, two)
	}
	return nil
}

// Match of any two rings ends soon; each stretch lies on both within the
// tolerance, none twice, and a second call gives the same.
func FuzzMatch(f *testing.F) {
	fuzzSeeds(f)
	f.Add([]byte("9\x1181\x1e010010011\x110\"\x1e0\x10")) // runs 0.39 mm back before it runs along
	f.Fuzz(func(t *testing.T, bytes []byte) {
		r := ringReader{bytes}
		a, b := r.ring(), r.ring()
		start := time.Now()
		stretches := Match(a, b, pairTolerance)
		require.Less(t, time.Since(start), longestRun)
		o := Overlap{Stretches: stretches}
		for _, s := range stretches {
			o.Deviation = max(o.Deviation, s.Deviation)
		}
		require.NoError(t, checkStretches(outlinePair{a: a, b: b}, o))
		require.Equal(t, stretches, Match(a, b, pairTolerance))
	})
}

// Random bytes reach in every run what the fuzzer's own corpus would.
func TestRegionsOfAnyRings(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	compared, refused := 0, 0
	for range 3000 {
		bytes := make([]byte, 60)
		for i := range bytes {
			bytes[i] = byte(rng.Uint32())
			if rng.IntN(2) == 0 {
				bytes[i] &= 0x33 // fewer places, more coincidences
			}
		}
		r := ringReader{bytes}
		a, b := clockwise(r.ring()), clockwise(r.ring())
		o, err := Compare(a, b, pairTolerance)
		require.NoError(t, soundAnswer(a, b, o, err), "%v", bytes)
		if err == nil {
			compared++
		} else if strings.Contains(err.Error(), "crosses itself") {
			refused++
		}
	}
	t.Logf("%d compared, %d refused", compared, refused)
	require.Greater(t, refused, 300)
	require.Greater(t, compared, 100)
}
