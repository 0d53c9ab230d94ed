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
	seen := map[string]bool{}
	for _, c := range []struct {
		kind, piece string
		values      []string
		want        []found
		before      [][]string // alterations made first
	}{
		{"allowance", "back", []string{"edge", "side seam", "to", "15"}, []found{{"back", change.AllowanceChanged, "side seam", 5}}, nil},
		{"grain", "front", []string{"turn", "30"}, []found{{"front", change.GrainTurned, "", 30}}, nil},
		{"mirror", "collar", nil, []found{{"collar", change.PieceMirrored, "", any}}, nil},
		{"unfold", "back", nil, []found{{"back", change.PieceUnfolded, "", any}, {"back", change.MarkAdded, "", any}}, nil},
		{"separate", "front", []string{"drawn", "left"}, []found{{"left front", change.CuttingChanged, "", any}, {"left front", change.NameChanged, "", any}}, nil},
		{"rename", "front", []string{"to", "vest"}, []found{{"vest", change.NameChanged, "", any}}, nil},
		{"rename", "front", []string{"to", "turn-up hem", "edge", "hemline"}, []found{{"front", change.NameChanged, "", any}}, nil},
		{"remove", "front", []string{"name", "button"}, []found{{"front", change.MarkRemoved, "", 120}}, nil},
		{"mark", "front", []string{"kind", "dot", "at", "side seam@100, 30 in"}, []found{{"front", change.MarkAdded, "", 780 - 100*720/math.Hypot(60, 720) + 30*60/math.Hypot(60, 720)}}, nil},
		{"move", "front", []string{"name", "button", "down", "30"}, []found{{"front", change.MarkMoved, "", 30}}, nil},
		{"notch", "front", []string{"edge", "side seam", "at", "120"}, []found{{"front", change.NotchAdded, "", 780 - 120*720/math.Hypot(60, 720)}}, nil},
		{"shift-seam", "back", []string{"edge", "side seam", "by", "8"}, []found{{"back", change.EdgeMoved, "side seam", 8}, {"front", change.EdgeMoved, "side seam", -8}}, nil},
		{"let-out", "back", []string{"edge", "side seam", "all-round", "24"}, []found{{"back", change.EdgeMoved, "side seam", 12}}, nil},
		{"redraw", "front", []string{"edge", "neckline", "path", "M 210 0 C 210 80 240 115 290 115"}, []found{{"front", change.EdgeRedrawn, "neckline", 20}, {"front", change.EdgeRun, "front edge", -20}}, nil},
		{"flare", "back", []string{"edge", "side seam", "by", "40", "from", "200"}, []found{{"back", change.EdgeSwung, "side seam", 40}}, nil},
		{"flare", "back", []string{"edge", "side seam", "by", "40", "from", "200", "blend", "yes"}, []found{{"back", change.EdgeSwung, "side seam", 40}, {"back", change.EdgeRun, "hemline", any}}, nil},
		{"true", "back", []string{"edge", "hemline", "across", "side seam"}, []found{{"back", change.EdgeRedrawn, "hemline", any}, {"front", change.EdgeRun, "side seam", any}, {"front", change.EdgeRedrawn, "hemline", any}}, nil},
		{"shorten", "back", []string{"edge", "hemline", "by", "40", "inside", "side seam@400:centre@296.42"}, []found{{"back", change.Spread, "side seam", -40}, {"front", change.Spread, "side seam", -40}}, nil},
		{"shorten", "back", []string{"edge", "hemline", "by", "40"}, []found{{"back", change.EdgeMoved, "hemline", -40}}, nil},
		{"lengthen", "front", []string{"edge", "hemline", "by", "15"}, []found{{"front", change.EdgeMoved, "hemline", 15}}, nil},
		{"take-in", "front", []string{"edge", "side seam", "by", "7"}, []found{{"front", change.EdgeMoved, "side seam", -7}}, nil},
		{"spread", "back", []string{"line", "neckline@45:hemline@190", "by", "30", "hinge", "neckline"}, []found{{"back", change.Spread, "", 30}}, nil},
		{"close", "back", []string{"line", "45,0:45,800", "by", "12"}, []found{{"back", change.Spread, "", -12}}, nil},
		{"split", "front", []string{"line", "shoulder@60:hemline@150", "into", "front,side front"}, []found{{"front", change.PieceSplit, "", 10}, {"side front", "", "", any}}, nil},
		{"remove", "collar", nil, []found{{"collar", "", "", any}}, nil},
		{"join", "front", []string{"edge", "seam to side front", "with", "side front", "at", "seam to front"}, []found{{"front", change.PieceJoined, "", 10}, {"side front", "", "", any}},
			[][]string{{"split", "front", "line", "shoulder@60:hemline@150", "into", "front,side front"}}},
		{"restore-corner", "collar", []string{"corner", "back end/lower edge"}, []found{{"collar", change.CornerRestored, "", -20}},
			[][]string{{"round-corner", "collar", "corner", "back end/lower edge", "radius", "20"}}},
		{"facing", "front", []string{"edges", "front edge", "width", "60", "as", "facing"}, []found{{"facing", "", "", any}}, nil},
		{"hem-facing", "back", []string{"width", "50", "as", "hem facing"}, []found{{"hem facing", "", "", any}}, nil},
		{"interfacing", "collar", []string{"inset", "2", "as", "stiffening"}, []found{{"stiffening", "", "", any}}, nil},
		{"lining", "front", []string{"as", "front lining"}, []found{{"front lining", "", "", any}}, nil},
		{"average-sides", "left front", []string{"with", "right front"}, []found{{"left front", change.EdgeMoved, "side seam", -3}, {"right front", change.EdgeMoved, "side seam", 3}},
			[][]string{{"separate", "front", "drawn", "left"}, {"let-out", "left front", "edge", "side seam", "by", "6"}}},
		{"carry", "back", []string{"edge", "side seam"}, []found{{"front", change.EdgeMoved, "side seam", 9}}, [][]string{{"let-out", "back", "edge", "side seam", "by", "9"}}},
		{"round-corner", "collar", []string{"corner", "back end/lower edge", "radius", "20"}, []found{{"collar", change.CornerRounded, "", 20}}, nil},
	} {
		seen[c.kind] = true
		t.Run(c.kind+" "+c.piece, func(t *testing.T) {
			p := gown(t)
			for _, b := range c.before {
				p = altered(t, p, b[0], b[1], b[2:]...)
			}
			res := struct{ Pattern *pattern.Pattern }{altered(t, p, c.kind, c.piece, c.values...)}
			d, err := diff.Patterns(p, res.Pattern, change.Version{Working: true}, change.Version{Working: true})
			require.NoError(t, err)
			for _, w := range c.want {
				if w.kind == "" { // a piece that came or went
					k := slices.IndexFunc(d.Pieces, func(q change.PieceDiff) bool { return q.Piece == w.piece })
					require.GreaterOrEqual(t, k, 0)
					require.Contains(t, []change.State{change.Removed, change.Added, change.Split, change.Joined}, d.Pieces[k].State)
					continue
				}
				requireFound(t, d, w)
			}
			onlyFound(t, d, c.want)
			for _, q := range d.Pieces { // nothing is told of the others
				if !slices.ContainsFunc(c.want, func(w found) bool { return w.piece == q.Piece }) && q.State != change.Added {
					require.Equal(t, change.Same, q.State, q.Piece)
				}
			}
		})
	}
	for _, k := range alter.Kinds() {
		require.True(t, seen[k.Name], "%s is held against no diff here", k.Name)
	}
}

// altered makes an alteration; one of kind carry lacks what the edge changed
// since the gown was drawn.
func altered(t *testing.T, p *pattern.Pattern, kind, piece string, values ...string) *pattern.Pattern {
	t.Helper()
	r := alter.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	if kind != "carry" {
		res, err := alter.Make(p, r)
		require.NoError(t, err)
		return res.Pattern
	}
	followers, err := alter.FollowersAsked(p, r)
	require.NoError(t, err)
	d, err := diff.Patterns(gown(t), p, change.Version{Working: true}, change.Version{Working: true})
	require.NoError(t, err)
	var lacking []alter.Lacking
	for _, q := range d.Pieces {
		if q.Piece == piece {
			lacking = append(lacking, alter.Lacking{Follower: followers[0], Before: gown(t), Changes: q.Changes})
		}
	}
	res, err := alter.Carry(p, r, lacking)
	require.NoError(t, err)
	return res.Pattern
}

// onlyFound requires nothing to be told of the pieces asked about but what is
// asked for, and edges that were run on or cut because of it.
func onlyFound(t *testing.T, d change.Diff, want []found) {
	t.Helper()
	for _, q := range d.Pieces {
		for _, ch := range q.Changes {
			asked := slices.ContainsFunc(want, func(w found) bool {
				return w.piece == q.Piece && w.kind == ch.Kind && (w.edge == "" || slices.Contains(ch.Edges, w.edge))
			})
			require.True(t, asked || ch.Kind == change.EdgeRun && len(ch.CausedBy) > 0, "%s: %s: %s", q.Piece, ch.Kind, ch.Says)
		}
	}
}

// figure is the one that says how much a change is, or where down the sheet what
// it names lies.
func figure(ch change.Change) float64 {
	switch {
	case ch.By != nil:
		return *ch.By
	case ch.Turn != nil:
		return *ch.Turn
	case ch.Radius != nil:
		return ch.Radius[1] - ch.Radius[0]
	case ch.Max != nil:
		return *ch.Max
	case ch.Allowance != nil:
		return *ch.Allowance
	case ch.ByVector != nil:
		return ch.ByVector[1]
	case ch.At != nil:
		return ch.At[1]
	}
	return math.NaN()
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
			require.InDelta(t, w.by, figure(ch), 0.01, ch.Says)
		}
		return
	}
	require.Fail(t, "not found", "%s %q of %s among %q", w.kind, w.edge, w.piece, told)
}
