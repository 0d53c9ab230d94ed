package diff_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// halfBack is a skirt back on the fold, its side slanted, the hem square to the
// fold; taken up and let out at the side by so many mm.
func halfBack(hem, out float64) *pattern.Piece {
	p := &pattern.Piece{Name: "back", Slug: "back", Cloth: "outer", Cut: pattern.CutOnFold, ID: "0000000a"}
	down := geom.Pt(20, 710).Unit()
	on := geom.Pt(50, -6).Unit() // the waist ends straight, and runs on so
	top := geom.Pt(250, -10).Add(on.Mul(out / on.Dot(down.Left())))
	foot := top.Add(down.Mul((700 - hem - top.Y) / down.Y))
	waist := geom.Path{{P0: geom.Pt(0, 8), P1: geom.Pt(100, 8), P2: geom.Pt(200, -4), P3: geom.Pt(250, -10)}}
	if out > 0 {
		waist = append(waist, geom.Line(geom.Pt(250, -10), top))
	}
	for k, e := range []struct {
		name string
		path geom.Path
	}{
		{"waist", waist},
		{"side seam", geom.Polyline(top, foot)},
		{"hemline", geom.Polyline(foot, geom.Pt(0, 700-hem))},
		{"centre back", geom.Polyline(geom.Pt(0, 700-hem), geom.Pt(0, 8))},
	} {
		edge := pattern.Edge{Name: e.name, ID: string("1234"[k]) + "0000000", Fold: e.name == "centre back"}
		edge.SetPath(e.path)
		p.Corners, p.Edges = append(p.Corners, pattern.Corner{At: e.path.Start()}), append(p.Edges, edge)
	}
	return p
}

// wholeBack draws that back whole, with one hem over the fold or two halves of it.
func wholeBack(hem, out float64, hems int) *pattern.Piece {
	h := halfBack(hem, out)
	p := h.Clone()
	p.Cut, p.Corners, p.Edges = pattern.CutOne, nil, nil
	add := func(name, id string, path geom.Path) {
		e := pattern.Edge{Name: name, ID: id}
		e.SetPath(path)
		p.Corners, p.Edges = append(p.Corners, pattern.Corner{At: path.Start()}), append(p.Edges, e)
	}
	over := geom.Motion{Mirror: true}
	waist := h.EdgePath(0)
	add("waist", "10000000", append(waist.Moved(over).Reverse(), waist...))
	add("side seam", "20000000", h.EdgePath(1))
	if hems == 1 {
		foot := h.Corners[2].At
		add("hemline", "30000000", geom.Polyline(foot, over.Apply(foot)))
	} else {
		add("hemline", "30000000", h.EdgePath(2))
		add("other hemline", "", h.EdgePath(2).Moved(over).Reverse())
	}
	add("other side seam", "", h.EdgePath(1).Moved(over).Reverse())
	return p
}

// A folded back opened out and shortened, let out, or both: the hem over the
// fold is one hem, and what runs on has its cause.
func TestUnfoldedAndMore(t *testing.T) {
	for _, c := range []struct {
		hem, out float64
		want     map[change.Kind]int
	}{
		{0, 0, map[change.Kind]int{change.PieceUnfolded: 1}},
		{60, 0, map[change.Kind]int{change.PieceUnfolded: 1, change.EdgeMoved: 1, change.EdgeRun: 2}},
		{0, 10, map[change.Kind]int{change.PieceUnfolded: 1, change.EdgeMoved: 2, change.EdgeRun: 2}},
		{60, 10, map[change.Kind]int{change.PieceUnfolded: 1, change.EdgeMoved: 3}},
	} {
		for hems := 1; hems <= 2; hems++ {
			if c.out > 0 {
				c.want[change.EdgeRun] = 0 // by how the waist is drawn on
			}
			d, err := diff.Pieces(halfBack(0, 0), wholeBack(c.hem, c.out, hems), pattern.New("t", units.Millimetre))
			require.NoError(t, err)
			got := map[change.Kind]int{}
			for _, ch := range d.Changes {
				got[ch.Kind]++
				require.NotContains(t, []change.Kind{change.NotchAdded, change.NotchRemoved}, ch.Kind, ch.Says)
				if ch.Kind == change.EdgeRun {
					require.NotEmpty(t, ch.CausedBy, "hem %g, out %g, hems %d: %v", c.hem, c.out, hems, kindsOf(d))
				}
				if c.hem > 0 && ch.Kind == change.EdgeMoved && ch.Edges[0] == "hemline" {
					require.InDelta(t, -c.hem, *ch.By, 1e-6)
				}
			}
			if c.out == 0 {
				require.Equal(t, c.want, got, "hem %g, out %g, hems %d: %v", c.hem, c.out, hems, kindsOf(d))
			} else {
				require.Equal(t, c.want[change.EdgeMoved], got[change.EdgeMoved], "%v", kindsOf(d))
			}
		}
	}
}

func kindsOf(d change.PieceDiff) (says []string) {
	for _, ch := range d.Changes {
		says = append(says, string(ch.Kind)+" "+ch.Says)
	}
	return says
}
