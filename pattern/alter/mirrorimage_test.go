package alter

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// mirrorTracing is the pattern as it is when each piece is traced from the other side
// of the paper: the same edges, in the other order.
func mirrorTracing(p *pattern.Pattern) *pattern.Pattern {
	q := p.Clone()
	for k := range q.Pieces {
		lengths := map[string]float64{}
		for i, e := range q.Pieces[k].Edges {
			lengths[e.Name] = q.Pieces[k].EdgePath(i).Length()
		}
		q.Pieces[k] = q.Pieces[k].Moved(geom.Motion{Mirror: true})
		q.EachStretch(func(st *pattern.Stretch) {
			if st.Piece == q.Pieces[k].Name {
				*st = mirrored(*st, lengths[st.Edge])
			}
		})
	}
	return q
}

// mirrorImages requires each piece of b to be the mirror image of that of a within
// so many mm: outlines, marks, lines, the way of the grain, and notches within the
// 0.001 mm at which their distances are stored.
func mirrorImages(t *testing.T, a, b *pattern.Pattern, within float64) {
	t.Helper()
	back := mirrorTracing(b)
	require.Len(t, back.Pieces, len(a.Pieces))
	for _, q := range a.Pieces {
		o := pieceOf(t, back, q.Name)
		require.Len(t, o.Edges, len(q.Edges), q.Name)
		require.ElementsMatch(t, q.EdgeNames(), o.EdgeNames(), q.Name)
		for i, e := range q.Edges {
			j, err := o.EdgeIndex(e.Name)
			require.NoError(t, err)
			alongAlike(t, q.EdgePath(i), o.EdgePath(j), within, q.Name+" "+e.Name)
		}
		require.Len(t, o.Notches, len(q.Notches), q.Name)
		for _, n := range q.Notches {
			k := o.NotchByName(n.Name)
			require.GreaterOrEqual(t, k, 0, n.Name)
			x, _, _, err := q.NotchPlace(n)
			require.NoError(t, err)
			y, _, _, err := o.NotchPlace(o.Notches[k])
			require.NoError(t, err)
			require.InDelta(t, 0, x.Dist(y), 1e-3, "%s notch %s", q.Name, n.Name)
			require.True(t, n.Name != "knee" || n.FromEnd != b.Pieces[slices.Index(a.Pieces, q)].Notches[k].FromEnd, "%s notch %s", q.Name, n.Name)
		}
		insideAlike(t, q, o, within)
		require.InDelta(t, 0, q.GrainDirection().Dist(o.GrainDirection()), 1e-6, q.Name)
	}
}

// insideAlike requires the marks and lines of two pieces to lie alike.
func insideAlike(t *testing.T, q, o *pattern.Piece, within float64) {
	t.Helper()
	require.Len(t, o.Marks, len(q.Marks), q.Name)
	for k, mark := range q.Marks {
		other := o.Marks[k]
		require.InDelta(t, 0, mark.At.Dist(other.At), 1e-6, "%s mark %s", q.Name, mark.Name)
		require.InDelta(t, mark.From, other.From, 1e-6, "%s mark %s", q.Name, mark.Name)
		require.Equal(t, mark.Direction, other.Direction, "%s mark %s", q.Name, mark.Name)
		if len(mark.Path) > 0 {
			alongAlike(t, mark.Path, other.Path, within, q.Name+" mark "+mark.Name)
		}
	}
	require.Len(t, o.Lines, len(q.Lines), q.Name)
	for k, l := range q.Lines {
		alongAlike(t, l.Path, o.Lines[k].Path, within, q.Name+" line "+l.Name)
	}
}

// alongAlike requires two lines to run alike within so many mm.
func alongAlike(t *testing.T, a, b geom.Path, within float64, what string) {
	t.Helper()
	require.InDelta(t, a.Length(), b.Length(), within, what)
	const steps = 16
	for k := range steps + 1 {
		f := float64(k) / steps
		require.InDelta(t, 0, a.PointAt(f*a.Length()).Dist(b.PointAt(f*b.Length())), within, what)
	}
}

// onMirrorImage makes an alteration, and its recipe as it is kept on the mirror
// image of the pattern, which has to give the mirror image.
func onMirrorImage(t *testing.T, p *pattern.Pattern, r Recipe) {
	t.Helper()
	within := 1e-6
	if strings.Contains(r.Kind, "facing") {
		within = 0.005 // a line at a distance from a curve is fitted from its start
	}
	res, err := Make(p, r)
	require.NoError(t, err, Typed(r))
	got, err := Make(mirrorTracing(p), res.Recipe)
	require.NoError(t, err, Typed(res.Recipe))
	mirrorImages(t, res.Pattern, got.Pattern, within)
	again, err := Make(p, res.Recipe)
	require.NoError(t, err)
	mirrorImages(t, res.Pattern, mirrorTracing(again.Pattern), 1e-6)
	require.Equal(t, res.Recipe, again.Recipe)
}

// An alteration of every kind, as its recipe is kept, gives on a mirror-image
// tracing the mirror image of what it gave: ends are named by the edges that lie
// there, not by the order of the outline. What is drawn and what turns clockwise
// belongs to the sheet, and the small smock's own facing runs beside the shoulder.
func TestEveryKindOnAMirrorImage(t *testing.T) {
	for _, c := range properties() {
		if drawn, places := OfTheSheet(c.r); drawn || len(places) > 0 || c.r.Values["facing"] == "front facing" {
			continue
		}
		t.Run(Typed(c.r), func(t *testing.T) { onMirrorImage(t, c.start(t), c.r) })
	}
	for _, r := range endsTyped() {
		t.Run(Typed(r), func(t *testing.T) { onMirrorImage(t, smallSmock(t), r) })
	}
	faced := made(t, smallSmock(t), "facing", "front", "edges", "neckline,front edge", "width", "40,60", "as", "ff").Pattern
	onMirrorImage(t, faced, recipe("lining", "front", "facing", "ff", "differs", "shorter hem@hemline=-20"))
}

// endsTyped are recipes that speak of ends of edges in every way.
func endsTyped() []Recipe {
	return []Recipe{
		recipe("take-in", "front", "edge", "side seam", "by", "10", "to", "end"),
		recipe("take-in", "front", "edge", "side seam", "by", "10", "to", "start"),
		recipe("take-in", "front", "edge", "side seam", "by", "10", "to", "hemline"),
		recipe("let-out", "front", "edge", "side seam", "by", "10", "from", "100"),
		recipe("let-out", "front", "edge", "side seam", "by", "10", "from", "100@end", "to", "start"),
		recipe("let-out", "front", "edge", "side seam", "by", "10", "from", "hip"),
		recipe("let-out", "front", "edge", "side seam", "by", "10", "from", "20@hip"),
		recipe("shift-seam", "front", "edge", "side seam", "by", "10", "from", "200"),
		recipe("shift-seam", "front", "edge", "side seam", "by", "10", "to", "end"),
		recipe("flare", "front", "edge", "side seam", "by", "30", "from", "100"),
		recipe("flare", "front", "edge", "side seam", "by", "30", "from", "100@start"),
		recipe("flare", "back", "edge", "side seam", "by", "30", "from", "100@start"),
		recipe("notch", "front", "edge", "side seam", "at", "180", "name", "knee"),
		recipe("notch", "front", "edge", "side seam", "at", "180@end", "name", "knee"),
		recipe("notch", "front", "edge", "side seam", "at", "30@hip", "name", "knee"),
		recipe("notch", "front", "edge", "side seam", "at", "-30@hip", "name", "knee"),
		recipe("notch", "front", "edge", "side seam", "at", "180@hemline", "name", "knee"),
		recipe("notch", "front", "edge", "side seam", "at", "30@hip@hemline", "name", "knee"),
		recipe("move", "front", "name", "hip", "to", "100"),
		recipe("move", "front", "name", "hip", "by", "10"),
		recipe("move", "front", "name", "button", "to", "hemline@40, 30 in"),
		recipe("mark", "back", "kind", "pleat", "edge", "hemline", "from", "40", "until", "70"),
		recipe("mark", "back", "kind", "pleat", "edge", "hemline", "from", "40", "until", "70@start", "towards", "start"),
		recipe("mark", "back", "kind", "dart", "edge", "hemline", "from", "60", "until", "90", "at", "hemline@75, 150 in"),
		recipe("mark", "front", "kind", "buttonhole", "at", "front edge@60, 5 in", "to", "front edge@60, 20 in"),
		recipe("mark", "front", "kind", "reference line", "at", "side seam@100", "to", "front edge@100@end", "name", "level"),
		recipe("spread", "front", "by", "20", "line", "side seam@150:front edge@260", "hinge", "front edge"),
		recipe("spread", "front", "by", "20", "line", "neckline@40:hemline@60; shoulder@30:hemline@150"),
		recipe("close", "front", "by", "5", "line", "side seam@30@hip:front edge@260"),
		recipe("split", "front", "line", "side seam@150:front edge@260@end", "into", "upper,lower", "opening", "20:60"),
		recipe("split", "front", "line", "30,300:260,320", "into", "upper,lower", "opening", "20:60@start"),
		recipe("shorten", "front", "edge", "hemline", "by", "20", "inside", "side seam@150:front edge@260"),
		recipe("facing", "front", "edges", "front edge", "width", "60", "as", "ff"),
	}
}
