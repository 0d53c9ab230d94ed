package main

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/units"
)

// gown is a back on the fold and a front that is a pair, sewn at sides that
// slant 1 in 12, with a collar.
func gown(t *testing.T) *pattern.Pattern {
	t.Helper()
	p := pattern.New("gown", units.Millimetre)
	add := func(name string, cut pattern.Cut, names []string, paths ...geom.Path) *pattern.Piece {
		q := &pattern.Piece{Name: name, Cloth: "outer", Cut: cut, Slug: p.NewSlug(name)}
		for i, path := range paths {
			q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
			e := pattern.Edge{Name: names[i], Allowance: map[string]float64{pattern.ClothSet: 10}}
			e.SetPath(path)
			q.Edges = append(q.Edges, e)
		}
		p.Put(q)
		return q
	}
	line := func(x0, y0, x1, y1 float64) geom.Path { return geom.Polyline(geom.Pt(x0, y0), geom.Pt(x1, y1)) }
	names := []string{"neckline", "shoulder", "side seam", "hemline", "centre"}
	back := add("back", pattern.CutOnFold, names,
		geom.Path{{P0: geom.Pt(0, 25), P1: geom.Pt(30, 25), P2: geom.Pt(65, 20), P3: geom.Pt(70, 0)}},
		line(70, 0, 220, 60), line(220, 60, 280, 780), line(280, 780, 0, 780), line(0, 780, 0, 25))
	back.Edges[4].Fold, back.Edges[4].Allowance = true, nil
	back.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 300, Count: 1}}
	front := add("front", pattern.CutPair, []string{"shoulder", "neckline", "front edge", "hemline", "side seam"},
		line(60, 60, 210, 0), geom.Path{{P0: geom.Pt(210, 0), P1: geom.Pt(215, 60), P2: geom.Pt(245, 95), P3: geom.Pt(290, 95)}},
		line(290, 95, 290, 780), line(290, 780, 0, 780), line(0, 780, 60, 60))
	front.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 300, FromEnd: true, Count: 1}}
	front.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "button", At: geom.Pt(270, 120), Size: 18}}
	front.Grain = &pattern.Grain{From: geom.Pt(150, 200), To: geom.Pt(150, 600)}
	collar := add("collar", pattern.CutOne, []string{"upper edge", "back end", "lower edge", "front end"},
		line(0, 0, 320, 0), line(320, 0, 310, 80), line(310, 80, 25, 95), line(25, 95, 0, 0))
	collar.Side = string(pattern.WearerLeft)
	for _, q := range p.Pieces {
		p.GiveIDs(q)
		require.NoError(t, q.Validate())
	}
	chain := func(text string) pattern.Chain {
		c, err := p.ParseChain(text)
		require.NoError(t, err)
		return c
	}
	p.Seams = []pattern.Seam{{Name: "side", First: chain("back/side seam"), Second: chain("front/side seam")}}
	return p
}

// found is one change that a diff has to tell of a piece, with the figure that
// matters; by NaN asks for none.
type found struct {
	piece string
	kind  change.Kind
	edge  string
	by    float64
}

// What an alteration did, diff finds from the two patterns, without its recipe.
func TestDiffFindsWhatAlterDid(t *testing.T) {
	any := math.NaN()
	for _, c := range []struct {
		kind, piece string
		values      []string
		want        []found
	}{
		{"allowance", "back", []string{"edge", "side seam", "to", "15"}, []found{{"back", change.AllowanceChanged, "side seam", any}}},
		{"grain", "front", []string{"turn", "30"}, []found{{"front", change.GrainTurned, "", any}}},
		{"mirror", "collar", nil, []found{{"collar", change.PieceMirrored, "", any}}},
		{"unfold", "back", nil, []found{{"back", change.PieceUnfolded, "", any}}},
		{"separate", "front", []string{"drawn", "left"}, []found{{"left front", change.CuttingChanged, "", any}}},
		{"rename", "front", []string{"to", "vest"}, []found{{"vest", change.NameChanged, "", any}}},
		{"rename", "front", []string{"to", "turn-up hem", "edge", "hemline"}, []found{{"front", change.NameChanged, "", any}}},
		{"remove", "front", []string{"name", "button"}, []found{{"front", change.MarkRemoved, "", any}}},
		{"mark", "front", []string{"kind", "dot", "at", "side seam@100, 30 in"}, []found{{"front", change.MarkAdded, "", any}}},
		{"move", "front", []string{"name", "button", "down", "30"}, []found{{"front", change.MarkMoved, "", any}}},
		{"notch", "front", []string{"edge", "side seam", "at", "120"}, []found{{"front", change.NotchAdded, "", any}}},
		{"shift-seam", "back", []string{"edge", "side seam", "by", "8"}, []found{{"back", change.EdgeMoved, "side seam", 8}, {"front", change.EdgeMoved, "side seam", -8}}},
		{"let-out", "back", []string{"edge", "side seam", "all-round", "24"}, []found{{"back", change.EdgeMoved, "side seam", 12}}},
		{"redraw", "front", []string{"edge", "neckline", "path", "M 210 0 C 210 80 240 115 290 115"}, []found{{"front", change.EdgeRedrawn, "neckline", any}, {"front", change.EdgeRun, "front edge", -20}}},
		{"flare", "back", []string{"edge", "side seam", "by", "40", "from", "200"}, []found{{"back", change.EdgeSwung, "side seam", 40}}},
		{"flare", "back", []string{"edge", "side seam", "by", "40", "from", "200", "blend", "yes"}, []found{{"back", change.EdgeSwung, "side seam", 40}, {"back", change.EdgeRun, "hemline", any}}},
		{"true", "back", []string{"edge", "hemline", "across", "side seam"}, []found{{"back", change.EdgeRedrawn, "hemline", any}, {"front", change.EdgeRun, "side seam", any}}},
		{"shorten", "back", []string{"edge", "hemline", "by", "40", "inside", "side seam@400:centre@296.42"}, []found{{"back", change.Spread, "side seam", -40}, {"front", change.Spread, "side seam", -40}}},
		{"shorten", "back", []string{"edge", "hemline", "by", "40"}, []found{{"back", change.EdgeMoved, "hemline", -40}}},
		{"lengthen", "front", []string{"edge", "hemline", "by", "15"}, []found{{"front", change.EdgeMoved, "hemline", 15}}},
		{"take-in", "front", []string{"edge", "side seam", "by", "7"}, []found{{"front", change.EdgeMoved, "side seam", -7}}},
		{"spread", "back", []string{"line", "neckline@45:hemline@190", "by", "30", "hinge", "neckline"}, []found{{"back", change.Spread, "", 30}}},
		{"close", "back", []string{"line", "45,0:45,800", "by", "12"}, []found{{"back", change.Spread, "", -12}}},
		{"split", "front", []string{"line", "shoulder@60:hemline@150", "into", "front,side front"}, []found{{"front", change.PieceSplit, "", any}, {"side front", "", "", any}}},
		{"remove", "collar", nil, []found{{"collar", "", "", any}}},
		{"round-corner", "collar", []string{"corner", "back end/lower edge", "radius", "20"}, []found{{"collar", change.CornerRounded, "", any}}},
	} {
		t.Run(c.kind+" "+c.piece, func(t *testing.T) {
			p := gown(t)
			r := alter.Recipe{Kind: c.kind, Piece: c.piece, Values: map[string]string{}}
			for i := 0; i < len(c.values); i += 2 {
				r.Values[c.values[i]] = c.values[i+1]
			}
			res, err := alter.Make(p, r)
			require.NoError(t, err)
			d, err := diff.Patterns(p, res.Pattern, change.Version{Working: true}, change.Version{Working: true})
			require.NoError(t, err)
			for _, w := range c.want {
				if w.kind == "" { // a piece that came or went
					k := slices.IndexFunc(d.Pieces, func(q change.PieceDiff) bool { return q.Piece == w.piece })
					require.GreaterOrEqual(t, k, 0)
					require.Contains(t, []change.State{change.Removed, change.Added, change.Split}, d.Pieces[k].State)
					continue
				}
				requireFound(t, d, w)
			}
			for _, q := range d.Pieces { // nothing is told of the others
				if !slices.ContainsFunc(c.want, func(w found) bool { return w.piece == q.Piece }) && q.State != change.Added {
					require.Equal(t, change.Same, q.State, q.Piece)
				}
			}
		})
	}
}

func requireFound(t *testing.T, d change.Diff, w found) {
	t.Helper()
	k := slices.IndexFunc(d.Pieces, func(q change.PieceDiff) bool { return q.Piece == w.piece })
	require.GreaterOrEqual(t, k, 0, w.piece)
	var told []string
	for _, ch := range d.Pieces[k].Changes {
		told = append(told, string(ch.Kind)+": "+ch.Says)
		if ch.Kind != w.kind || (w.edge != "" && !slices.Contains(ch.Edges, w.edge)) {
			continue
		}
		if w.kind == change.Spread {
			require.NotNil(t, ch.Open)
			require.InDelta(t, w.by, ch.Open[1], 0.05, "%v", ch.Open)
			return
		}
		if !math.IsNaN(w.by) {
			require.NotNil(t, ch.By)
			require.InDelta(t, w.by, *ch.By, 0.01)
		}
		return
	}
	require.Fail(t, "not found", "%s %q of %s among %q", w.kind, w.edge, w.piece, told)
}
