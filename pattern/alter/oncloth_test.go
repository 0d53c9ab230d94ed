package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// openingEnds is where on the sheet the ends of an opening of a seam lie on a part, mm
// down.
func openingEnds(t *testing.T, p *pattern.Pattern, opening string, second bool) [2]float64 {
	seam := &p.Seams[0]
	first, other, err := p.WalkChains(seam)
	require.NoError(t, err)
	if second {
		first = other
	}
	for _, o := range seam.Openings {
		if o.Name == opening {
			var ends [2]float64
			for k, at := range []float64{o.From, o.To} {
				part, along := first.Place(at)
				ends[k] = part.Piece.EdgePath(part.Edge).PointAt(along).Y
			}
			return [2]float64{min(ends[0], ends[1]), max(ends[0], ends[1])}
		}
	}
	t.Fatalf("there is no opening %q", opening)
	return [2]float64{}
}

// Inputs of mended bugs. A pocket mouth from 100 to 200 mm below the waist stays there
// when the hem is moved, whichever way the seam runs and on both of its sides; what a
// tuck folds out of it is gone from it, what is let in is in it; a slit at the hem keeps
// its length. Plain arithmetic on straight lines.
func TestPocketMouthStaysOnCloth(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"))
	for _, line := range []string{"100,0:100,600", "100,600:100,0"} {
		openings := "pocket=100:200;slit=150@end:0@end"
		if line != "100,0:100,600" {
			openings = "pocket=200@end:100@end;slit=0:150"
		}
		split := stored(t, made(t, p, "split", "front", "line", line, "into", "a,b", "opening", openings).Pattern)
		for _, c := range []struct {
			kind, edge, by, inside string
			pocket, slit           [2]float64
		}{
			{"shorten", "hemline", "30", "", [2]float64{100, 200}, [2]float64{420, 570}},
			{"lengthen", "hemline", "30", "", [2]float64{100, 200}, [2]float64{480, 630}},
			{"shorten", "waist", "30", "", [2]float64{100, 200}, [2]float64{450, 600}},
			{"lengthen", "waist", "30", "", [2]float64{100, 200}, [2]float64{450, 600}},
			{"shorten", "hemline", "40", "0,150:240,150", [2]float64{100, 160}, [2]float64{410, 560}},
			{"lengthen", "hemline", "40", "0,150:240,150", [2]float64{100, 240}, [2]float64{490, 640}},
			{"shorten", "hemline", "40", "0,300:240,300", [2]float64{100, 200}, [2]float64{410, 560}},
		} {
			q := split
			for _, st := range []pattern.Stretch{split.Seams[0].First[0], split.Seams[0].Second[0]} {
				values := []string{"edge", c.edge, "by", c.by}
				if c.inside == "" {
					values = append(values, "along", st.Edge)
				} else {
					values = append(values, "inside", c.inside)
				}
				if c.inside == "" || st == split.Seams[0].First[0] { // a tuck goes round by itself
					q = made(t, q, c.kind, st.Piece, values...).Pattern
				}
			}
			q = stored(t, q)
			for _, second := range []bool{false, true} {
				for name, want := range map[string][2]float64{"pocket": c.pocket, "slit": c.slit} {
					ends := openingEnds(t, q, name, second)
					require.InDelta(t, want[0], ends[0], 0.002, "%s: %s %s %s %s", line, name, c.kind, c.edge, c.inside)
					require.InDelta(t, want[1], ends[1], 0.002, "%s: %s %s %s %s", line, name, c.kind, c.edge, c.inside)
				}
			}
			for _, piece := range []string{"a", "b"} {
				from, to := downFrom(t, q, piece, "pocket from"), downFrom(t, q, piece, "pocket to")
				require.InDelta(t, c.pocket[0], min(from, to), 0.002)
				require.InDelta(t, c.pocket[1], max(from, to), 0.002)
			}
			require.Empty(t, laySays(t, q))
		}
	}
}

// Stops that are counted from the end that moves are counted from the other one, and it
// is said; of a pocket mouth that would be cut off nothing is altered.
func TestStopsStayOnCloth(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"))
	p = stored(t, made(t, p, "split", "front", "line", "100,0:100,600", "into", "a,b", "opening", "pocket=100:200").Pattern)
	joined := made(t, p, "join", "a", "edge", "seam to b", "with", "b", "at", "seam to a")
	require.Contains(t, joined.Says, `gone with the seam between a and b: its opening "pocket" of 100 mm; the notches there, "pocket from", "pocket to", "match"; mark on the whole what is still to be cut there`)
	for _, q := range p.Pieces {
		for k := range q.Notches {
			if n := &q.Notches[k]; n.Name != "match" {
				n.At, n.FromEnd = 600-n.At, !n.FromEnd
			}
		}
	}
	for _, piece := range []string{"a", "b"} {
		res := made(t, p, "shorten", piece, "edge", "hemline", "by", "30")
		require.InDelta(t, 100, downFrom(t, res.Pattern, piece, "pocket from"), 0.002)
		require.InDelta(t, 200, downFrom(t, res.Pattern, piece, "pocket to"), 0.002)
		require.Contains(t, res.Says[len(res.Says)-1], `marks an end of the opening "pocket" and stays with it on the cloth: it is `)
		for name, at := range map[string]float64{"pocket from": 100, "pocket to": 200} { // from the waist, which stayed
			n := pieceOf(t, res.Pattern, piece)
			require.InDelta(t, at, n.Notches[n.NotchByName(name)].At, 1e-9)
			p = made(t, p, "remove", piece, "name", name).Pattern
		}
	}
	_, err := Make(p, recipe("shorten", p.Seams[0].First[0].Piece, "edge", "waist", "by", "150"))
	require.ErrorContains(t, err, `there is no room left for the opening "pocket" of the seam "a to b", from `)
}

// Input of a mended bug. The mouth of a dart and the intake of a pleat, with notches at
// their ends, stay on the cloth when their edge is lengthened or cut at its start, moved
// as a whole or swung about its other end; 80 to 100 mm from the centre, as drawn.
func TestMouthStaysOnCloth(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre"))
	p = made(t, p, "mark", "front", "kind", "pleat", "edge", "hemline", "from", "80@centre", "until", "100@centre", "towards", "side seam", "name", "pl").Pattern
	p = stored(t, made(t, p, "notch", "front", "edge", "hemline", "at", "140", "name", "n").Pattern)
	for _, r := range []Recipe{
		recipe("let-out", "front", "edge", "side seam", "by", "20"),
		recipe("take-in", "front", "edge", "side seam", "by", "20"),
		recipe("let-out", "front", "edge", "side seam", "by", "20", "to", "waist"),
		recipe("let-out", "front", "edge", "centre", "by", "20"),
		recipe("take-in", "front", "edge", "side seam", "by", "20", "to", "hemline"),
		recipe("lengthen", "front", "edge", "hemline", "by", "30"),
		recipe("mirror", "front"),
	} {
		res, err := Make(p, r)
		require.NoError(t, err)
		q := pieceOf(t, res.Pattern, "front")
		i, err := q.EdgeIndex("hemline")
		require.NoError(t, err)
		mark, path := q.Marks[0], q.EdgePath(i)
		ends := []float64{path.PointAt(mark.From).X, path.PointAt(mark.To).X}
		want, notch := []float64{100, 80}, 100.0
		if r.Kind == "mirror" { // about the middle of the sheet's part that it takes, 120
			want, notch = []float64{160, 140}, 140
		}
		require.InDelta(t, want[0], ends[0], 0.01, "%v", r)
		require.InDelta(t, want[1], ends[1], 0.01, "%v", r)
		at, _, _, err := q.NotchPlace(q.Notches[0])
		require.NoError(t, err)
		require.InDelta(t, notch, at.X, 0.01, "%v", r)
	}
	for to, want := range map[string]float64{"side seam": 100, "centre": 140} { // as far from the end that stayed
		q := pieceOf(t, made(t, p, "let-out", "front", "edge", "hemline", "by", "20", "to", to).Pattern, "front")
		at := q.Marks[0].From
		if to == "side seam" {
			at = edgePathOf(t, q, "hemline").Length() - at
		}
		require.InDelta(t, want, at, 0.01, to)
	}
	p = made(t, p, "remove", "front", "name", "n").Pattern
	near := made(t, p, "take-in", "front", "edge", "side seam", "by", "110").Pattern // shorter than it was counted from there
	require.InDelta(t, 30, pieceOf(t, near, "front").Marks[0].From, 0.01)
	for _, edge := range []string{"side seam", "centre"} { // refused alike from either side
		_, err := Make(p, recipe("take-in", "front", "edge", edge, "by", "150"))
		require.ErrorContains(t, err, `the pleat "pl"`)
		require.ErrorContains(t, err, "toile alter remove \"front\" \"pl\"")
	}
}

// What lies on an edge that is moved as a whole goes with it: square to it where it is moved
// in parallel, down the grain where a curve is shifted along it, though there its start moves
// aside on slanting neighbours.
func TestMouthGoesWithItsEdge(t *testing.T) {
	for name, waist := range map[string]edgeDrawn{"straight": lineTo("waist", 0, 0, 240, 0), "curved": curveTo("waist", 0, 0, 80, 25, 160, 25, 240, 0)} {
		front := drawPiece("front", "outer", pattern.CutPair, waist, lineTo("side seam", 240, 0, 280, 600), lineTo("hemline", 280, 600, -40, 600), lineTo("centre", -40, 600, 0, 0))
		front.Grain = &pattern.Grain{From: geom.Pt(120, 100), To: geom.Pt(120, 500)}
		p := patternOf(front)
		p = stored(t, made(t, p, "mark", "front", "kind", "pleat", "edge", "waist", "from", "80", "until", "100", "towards", "side seam", "name", "pl").Pattern)
		x := func(p *pattern.Pattern, at float64) float64 {
			return edgePathOf(t, pieceOf(t, p, "front"), "waist").PointAt(at).X
		}
		q := made(t, p, "shorten", "front", "edge", "waist", "by", "30").Pattern
		was, is := pieceOf(t, p, "front").Marks[0], pieceOf(t, q, "front").Marks[0]
		require.InDelta(t, x(p, was.From), x(q, is.From), 0.02, name)
		require.InDelta(t, x(p, was.To), x(q, is.To), 0.02, name)
		if name == "straight" {
			q = made(t, p, "let-out", "front", "edge", "waist", "by", "30").Pattern
			require.InDelta(t, x(p, was.From), x(q, pieceOf(t, q, "front").Marks[0].From), 0.02)
		}
	}
}
