package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// panelFaced is a straight front of 220 by 600 mm with a facing of 60 at its edge and
// an interfacing that ends so many mm inside of that all round.
func panelFaced(t *testing.T, inset float64) *worktable {
	t.Helper()
	p := pattern.New("panel", units.Millimetre)
	at := func(x, y float64) geom.Point { return geom.Pt(x, y) }
	p.Put(drawn("front", pattern.CutPair, []string{"waist", "side seam", "hemline", "front edge"},
		geom.Polyline(at(0, 0), at(220, 0)), geom.Polyline(at(220, 0), at(240, 600)), geom.Polyline(at(240, 600), at(0, 600)), geom.Polyline(at(0, 600), at(0, 0))))
	w := lay(t, p)
	w.do("alter", "facing", "front", "front edge", "60", "--as", "facing")
	w.do("alter", "interfacing", "facing", "--inset", fmt.Sprint(inset), "--as", "interfacing")
	w.do("commit", "layers")
	return w
}

// requireInset demands that every edge of an interfacing lies so many mm inside of that
// of its facing.
func (w *worktable) requireInset(facing, interfacing string, inset float64) {
	w.t.Helper()
	p := w.pattern()
	outer, err := p.Piece(facing)
	require.NoError(w.t, err)
	inner, err := p.Piece(interfacing)
	require.NoError(w.t, err)
	require.Equal(w.t, outer.EdgeNames(), inner.EdgeNames())
	for i := range inner.Edges {
		path, on := inner.EdgePath(i), outer.EdgePath(i)
		for k := 1; k < 8; k++ {
			_, off := on.Nearest(path.PointAt(path.Length() * float64(k) / 8))
			require.InDelta(w.t, inset, off, 0.02, "%s, %q", interfacing, inner.Edges[i].Name)
		}
	}
}

// What a facing got is brought to its interfacing by the same amount, so that the
// inset stays at every edge. Inputs of a mended fault: laid by its shape, one side
// of the interfacing came to lie on the sewing line, and 10 let out were 15.
func TestCarryKeepsTheInset(t *testing.T) {
	for inset, change := range map[float64]string{3: "take-in", 5: "let-out"} {
		w := panelFaced(t, inset)
		w.do("alter", change, "facing", "front edge", "10")
		w.do("alter", "carry", "facing", "front edge", "--to", "interfacing")
		w.requireInset("facing", "interfacing", inset)
		require.NotContains(t, w.do("check", "--piece", "interfacing"), "inset")
	}
}

// The same where the two are drawn elsewhere, turned to each other.
func TestCarryKeepsTheInsetDrawnElsewhere(t *testing.T) {
	w := panelFaced(t, 5)
	p := w.pattern()
	inner, err := p.Piece("interfacing")
	require.NoError(t, err)
	p.Put(inner.Moved(geom.Motion{Turn: 0.4, Shift: geom.Pt(-700, 150)}))
	w = lay(t, p)
	w.do("alter", "let-out", "facing", "front edge", "10")
	w.do("alter", "carry", "facing", "front edge")
	p = w.pattern()
	inner, err = p.Piece("interfacing")
	require.NoError(t, err)
	area, err := inner.NetArea()
	require.NoError(t, err)
	require.InDelta(t, 60*590, area, 5) // 70 less 5 on either side, 600 less 10
}

// Of a curved facing, too, the interfacing is reached. Inputs of a mended fault: it
// was listed as lacking the change, and carry found nothing.
func TestCarryToTheInterfacingOfACurvedFacing(t *testing.T) {
	for _, change := range [][]string{
		{"take-in", "front facing", "shoulder", "8"},
		{"let-out", "front facing", "neckline", "10"},
	} {
		w := lay(t, gown(t))
		w.do("alter", "facing", "front", "neckline,front edge", "50,50", "--as", "front facing")
		w.do("alter", "interfacing", "front facing", "--inset", "2", "--as", "stiffening")
		w.do("commit", "layers")
		w.do(append([]string{"alter"}, change...)...)
		out, code := w.try("alter", "carry", "front facing", change[2])
		require.Zero(t, code, "%v: %s", change, out)
		w.requireInset("front facing", "stiffening", 2)
	}
}

// An interfacing that reaches into the seam at one edge is found: a mismatch where
// that is more than a section's tolerance, else a reminder from half of the inset on.
func TestCheckFindsAnInsetLostAtOneEdge(t *testing.T) {
	for _, c := range []struct {
		inset, out float64
		found      bool
		code       int
	}{{5, 5, true, exitMismatch}, {2, 1.4, true, 0}, {2, 0.8, false, 0}} {
		w := panelFaced(t, c.inset)
		w.do("alter", "let-out", "interfacing", "front edge", fmt.Sprint(c.out))
		said, code := w.try("check")
		require.Equal(t, c.code, code, "%+v: %s", c, said)
		if !c.found {
			require.NotContains(t, said, "inset", "%+v", c)
			continue
		}
		require.Contains(t, said, "interfacing, \"front edge\"", "%+v", c)
		require.Contains(t, said, fmt.Sprintf(`move "front edge" of interfacing in by %v mm`, c.out), "%+v", c)
		require.NotContains(t, said, "do not show it")
	}
}
