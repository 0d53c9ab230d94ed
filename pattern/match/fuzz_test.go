package match_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

// fuzzedRing reads a ring of lines and cubics: each byte pair a coordinate on
// a coarse grid, so that points repeat, lines overlap and curves have no
// length. The first byte says how large all is, and whether to put in a number
// that is none or a huge one.
func fuzzedRing(data []byte) geom.Ring {
	if len(data) < 3 {
		return nil
	}
	scale := []float64{1, 30, 1e-5, 1e5, 0.01, 1e300}[int(data[0])%6]
	odd, data := data[1], data[2:]
	var points []geom.Point
	for len(data) >= 2 && len(points) < 60 {
		points = append(points, pt(float64(int8(data[0])), float64(int8(data[1]))).Mul(scale))
		data = data[2:]
	}
	if len(points) == 0 {
		return nil
	}
	if odd == 255 {
		points[len(points)/2].X = math.NaN()
	}
	var r geom.Ring
	for i := 0; i < len(points); i++ {
		next := func(k int) geom.Point { return points[(i+k)%len(points)] }
		if odd%3 == 1 && i+3 < len(points) {
			r = append(r, geom.Cubic{P0: points[i], P1: next(1), P2: next(2), P3: next(3)})
			i += 2
			continue
		}
		r = append(r, geom.Line(points[i], next(1)))
	}
	return r
}

// FuzzLayOver: whatever the rings, laying over ends, refuses what is no
// outline, and tells numbers.
func FuzzLayOver(f *testing.F) {
	square := []byte{1, 0, 0, 0, 10, 0, 10, 20, 0, 20}
	f.Add([]byte{0}, []byte{0}, 0.01)
	f.Add(square, square, 0.01)
	f.Add(square, []byte{1, 1, 0, 0, 10, 0, 10, 20, 0, 20, 0, 0, 0, 0, 5, 5}, 0.9)
	f.Add(square, []byte{2, 0, 0, 0, 10, 0, 10, 20, 0, 20}, 0.01)
	f.Add(square, []byte{3, 0, 0, 0, 10, 0, 10, 20, 0, 20}, 0.5)
	f.Add(square, []byte{1, 255, 0, 0, 10, 0, 10, 20, 0, 20}, 0.01)
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0, 0, 1, 0}, []byte{0, 0, 5, 5, 5, 5, 6, 5}, 1e-9)
	f.Add(square, square, math.Inf(1))
	dense := []byte{4, 0}
	for i := range 120 {
		dense = binary.LittleEndian.AppendUint16(dense, uint16(i*i))
	}
	f.Add(square, dense, 0.3)
	f.Fuzz(func(t *testing.T, a, b []byte, within float64) {
		old, new := fuzzedRing(a), fuzzedRing(b)
		best, others, err := match.LayOver(old, new, within, match.Options{AllowMirror: true})
		if err != nil {
			return
		}
		for _, p := range append(others, best) {
			number := p.Motion.Turn + p.Motion.Shift.X + p.Motion.Shift.Y + p.Residual
			require.False(t, math.IsNaN(number) || math.IsInf(number, 0), "%+v", p)
			require.True(t, p.Matched >= 0 && p.Matched <= 1, "%+v", p)
			sum := 0.0
			for _, r := range p.Unchanged {
				sum += r.Length
				for _, at := range []geom.Place{r.From, r.To} {
					require.True(t, at.Curve >= 0 && at.Curve < len(old) && at.T >= 0 && at.T <= 1, "%+v", r)
				}
			}
			require.LessOrEqual(t, sum, old.Length()*(1+1e-6), "%+v", p)
		}
	})
}
