package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// mirroredIn is a line's mirror image in the line across at x, run the other way.
func mirroredIn(x float64, p geom.Path) geom.Path {
	out := p.Reverse()
	for i, c := range out {
		at := func(q geom.Point) geom.Point { return geom.Pt(2*x-q.X, q.Y) }
		out[i] = geom.Cubic{P0: at(c.P0), P1: at(c.P1), P2: at(c.P2), P3: at(c.P3)}
	}
	return out
}

// curvedHem is a curved line across the middle at 0 that is its own mirror image: a quarter
// turn of a circle of 300, in an unlike number of parts either side of its knees.
func curvedHem() geom.Path {
	var half geom.Path
	at := []float64{0, 0.1, 0.35, 0.8}
	for k := range at[1:] {
		turn := at[k+1] - at[k]
		u, v := geom.Pt(math.Sin(at[k]), math.Cos(at[k])), geom.Pt(math.Sin(at[k+1]), math.Cos(at[k+1]))
		h := 300 * 4 / 3.0 * math.Tan(turn/4)
		half = append(half, geom.Cubic{P0: u.Mul(300), P1: u.Mul(300).Add(geom.Pt(u.Y, -u.X).Mul(h)), P2: v.Mul(300).Sub(geom.Pt(v.Y, -v.X).Mul(h)), P3: v.Mul(300)})
	}
	return append(mirroredIn(0, half), half...)
}

// The mean of a line with its own mirror image is that line, to the last figure, in
// whatever parts it is drawn. One that runs on at one end keeps what lies alike, and
// its end lies half way, run on by half: of a circle of 300 that runs on straight by 6
// every place of the mean lies on that circle, or on its tangent.
func TestMeanOfAnEdgeAcrossTheMiddle(t *testing.T) {
	hem := curvedHem()
	require.Equal(t, hem, meanPath(hem, mirroredIn(0, hem)))
	end, along := hem.End(), hem.EndTangent()
	on := append(append(geom.Path{}, hem...), geom.Line(end, end.Add(along.Mul(6))))
	mean := meanPath(on, mirroredIn(0, on))
	require.Equal(t, hem, mean[1:len(mean)-1], "what lies alike stays")
	require.InDelta(t, 0, mean.End().Dist(end.Add(along.Mul(3))), 1e-9)
	back := mirroredIn(0, mean)
	for k := range 101 {
		at := mean.PointAt(mean.Length() * float64(k) / 100)
		_, far := on.Nearest(geom.Pt(math.Abs(at.X), at.Y))
		require.Less(t, far, 1e-6, "%v", at)
		require.InDelta(t, 0, at.Dist(back.PointAt(back.Length()*float64(k)/100)), 1e-6)
	}
}

// Two lines of as many parts whose nodes lie elsewhere: arcs of 300 and 320 about one
// point have the arc of 310 between them for their mean, and no place of it lies beyond
// either.
func TestMeanLiesBetween(t *testing.T) {
	arc := func(r float64, at ...float64) geom.Path {
		var p geom.Path
		for k := range at[1:] {
			u, v := geom.Pt(1, 0).Turn(at[k]), geom.Pt(1, 0).Turn(at[k+1])
			h := r * 4 / 3 * math.Tan((at[k+1]-at[k])/4)
			p = append(p, geom.Cubic{P0: u.Mul(r), P1: u.Mul(r).Add(geom.Pt(-u.Y, u.X).Mul(h)), P2: v.Mul(r).Sub(geom.Pt(-v.Y, v.X).Mul(h)), P3: v.Mul(r)})
		}
		return p
	}
	mean := meanPath(arc(300, 0, 0.1, 0.2, 1), arc(320, 0, 0.8, 0.9, 1))
	for k := range 201 {
		require.InDelta(t, 310, mean.PointAt(mean.Length()*float64(k)/200).Len(), 0.05)
	}
}

// A back drawn whole with a curved hem: with one side let out by 6 the averaged hem
// lies where it lay, in the middle to the last figure, and its corners 3 farther out.
func TestAverageLeavesACurvedHem(t *testing.T) {
	hem := curvedHem().Reverse()
	down, up, top := hem.Start(), hem.End(), 100.0
	q := &pattern.Piece{Name: "back", ID: "00000001", Cloth: "outer", Cut: pattern.CutOne,
		Corners: []pattern.Corner{{At: geom.Pt(up.X, top-300)}, {At: geom.Pt(down.X, top-300)}, {At: down}, {At: up}},
		Edges:   []pattern.Edge{{Name: "waist", ID: "00000002"}, {Name: "side seam", ID: "00000003"}, {Name: "hem", ID: "00000004"}, {Name: "other side seam", ID: "00000005"}},
		Lines:   []pattern.ReferenceLine{{Name: "centre back", Path: geom.Path{geom.Line(geom.Pt(0, top-300), geom.Pt(0, 300))}}}}
	for i := range q.Edges {
		q.Edges[i].SetPath(geom.Path{geom.Line(q.Corners[i].At, q.Corners[(i+1)%4].At)})
	}
	q.Edges[2].SetPath(storable(hem))
	p := pattern.New("smock", units.Millimetre)
	p.Put(q)
	was := edgePathOf(t, q, "hem")
	p = made(t, p, "let-out", "back", "edge", "side seam", "by", "6").Pattern
	now := edgePathOf(t, pieceOf(t, made(t, p, "average-sides", "back").Pattern, "back"), "hem")
	require.InDelta(t, down.X+3, now.Start().X, 0.002)
	require.InDelta(t, up.X-3, now.End().X, 0.002)
	for k := range 101 {
		at := now.PointAt(now.Length() * float64(k) / 100)
		if _, far := was.Nearest(at); math.Abs(at.X) < down.X {
			require.Less(t, far, 0.003, "%v", at)
		}
	}
	middle := len(now) / 2
	require.Contains(t, now[middle-1:middle+1], was[3])
}
