package alter

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// made to hold for every kind: one alteration of the small smock each, or
// several, with what it may touch and what it declares.
type property struct {
	r       Recipe
	touches []string // PIECE/EDGE whose stored text may change; PIECE for all of one: see TestMovedAsOne for what is only moved
	nodes   int      // nodes that it may store beyond those there were: meetings, cuts and declared curves
	back    *Recipe  // what undoes it
	before  []Recipe // made first
}

func (c property) start(t *testing.T) *pattern.Pattern {
	p := smallSmock(t)
	for _, r := range c.before {
		res, err := Make(p, r)
		require.NoError(t, err)
		p = stored(t, res.Pattern)
	}
	return p
}

func undo(r Recipe) *Recipe { return &r }

func properties() []property {
	hem := []string{"back/hemline", "back/side seam", "back/centre back"}
	side := []string{"back/side seam", "back/hemline", "back/armhole"}
	return []property{
		{recipe("shorten", "back", "edge", "hemline", "by", "40"), hem, 0, undo(recipe("lengthen", "back", "edge", "hemline", "by", "40")), nil},
		{recipe("shorten", "back", "edge", "hemline", "by", "40", "along", "side seam"), hem, 0, undo(recipe("lengthen", "back", "edge", "hemline", "by", "40", "along", "side seam")), nil},
		{recipe("lengthen", "front", "edge", "hemline", "by", "25"), []string{"front/hemline", "front/side seam", "front/front edge"}, 0, undo(recipe("shorten", "front", "edge", "hemline", "by", "25")), nil},
		{recipe("shorten", "back", "edge", "hemline", "by", "50", "inside", "side seam@200:centre back@400"), append([]string{"front/side seam", "front/front edge", "front/hemline", "front facing/front edge", "front facing/inner edge", "front facing/hemline"}, hem...), 0, nil, nil},
		{recipe("let-out", "back", "edge", "side seam", "by", "10"), side, 1, undo(recipe("take-in", "back", "edge", "side seam", "by", "10")), nil},
		{recipe("take-in", "front", "edge", "side seam", "by", "8", "to", "start"), []string{"front/side seam", "front/hemline", "front/armhole"}, 1, nil, nil},
		{recipe("shift-seam", "back", "edge", "side seam", "by", "-7"), append([]string{"front/side seam", "front/hemline", "front/armhole"}, side...), 2, undo(recipe("shift-seam", "back", "edge", "side seam", "by", "7")), nil},
		{recipe("flare", "back", "edge", "side seam", "by", "50", "from", "100"), []string{"back/side seam", "back/hemline"}, 2, nil, nil},
		{recipe("flare", "back", "edge", "side seam", "by", "50", "from", "100", "blend", "true"), []string{"back/side seam", "back/hemline"}, 3, nil, nil},
		{recipe("flare", "back", "edge", "side seam", "by", "-50"), []string{"back/side seam", "back/hemline"}, 1, nil, nil},
		{recipe("spread", "front", "line", "120,0:120,800", "by", "20"), []string{"front/shoulder", "front/hemline", "front/side seam", "front/armhole"}, 0, undo(recipe("close", "front", "line", "110,0:110,800", "by", "20")), nil},
		{recipe("close", "pocket", "line", "opening@80:lower edge@80", "by", "20"), []string{"pocket/opening", "pocket/lower edge", "pocket/side edge"}, 0, undo(recipe("spread", "pocket", "line", "opening@70:lower edge@70", "by", "20")), nil},
		{recipe("spread", "front", "line", "armhole@60:front edge@200", "by", "12", "hinge", "front edge"), []string{"front/armhole", "front/front edge", "front/shoulder", "front/neckline"}, 4, nil, nil},
		{recipe("split", "front", "line", "shoulder@60:hemline@120", "into", "front,side front", "allowance", "15"), []string{"front/shoulder", "front/hemline", "front/side seam", "front/armhole"}, 8, undo(recipe("join", "front", "edge", "seam to side front", "with", "side front", "at", "seam to front")), nil},
		{recipe("split", "back", "line", "centre back@560:armhole@100", "into", "back,yoke"), []string{"back/centre back", "back/armhole", "back/neckline", "back/shoulder"}, 8, undo(recipe("join", "back", "edge", "seam to yoke", "with", "yoke", "at", "seam to back")), nil},
		{recipe("join", "front", "edge", "seam to side front", "with", "side front", "at", "seam to front"), []string{"front/shoulder", "front/hemline", "front/seam to side front", "side front"}, 0, nil,
			[]Recipe{recipe("split", "front", "line", "shoulder@60:hemline@120", "into", "front,side front")}},
		{recipe("round-corner", "front", "corner", "front edge/hemline", "radius", "40"), []string{"front front edge/hemline"}, 0, undo(recipe("restore-corner", "front", "corner", "front edge/hemline")), nil},
		{recipe("notch", "back", "edge", "side seam", "at", "310", "name", "knee"), nil, 0, undo(recipe("remove", "back", "name", "knee")), nil},
		{recipe("mark", "front", "kind", "dot", "at", "side seam@200, 30 in", "name", "dart end"), nil, 0, undo(recipe("remove", "front", "name", "dart end")), nil},
		{recipe("move", "front", "name", "pocket top", "down", "30"), nil, 0, undo(recipe("move", "front", "name", "pocket top", "down", "-30")), nil},
		{recipe("remove", "front", "name", "pocket top"), nil, 0, nil, nil},
		{recipe("remove", "front facing", "seams", "true"), []string{"front facing"}, 0, nil, nil},
		{recipe("average-sides", "left front", "with", "right front"), []string{"left front/side seam", "left front/armhole", "left front/hemline", "right front/side seam", "right front/armhole", "right front/hemline"}, 0, nil,
			[]Recipe{recipe("separate", "front", "drawn", "left"), recipe("let-out", "left front", "edge", "side seam", "by", "6")}},
		{recipe("redraw", "front", "edge", "neckline", "path", "M 170 0 C 178 75 214 105 250 105"), []string{"front/neckline", "front/front edge"}, 0,
			undo(recipe("redraw", "front", "edge", "neckline", "path", "M 170 0 C 180 70 220 90 250 90")), nil},
		{recipe("redraw", "pocket", "path", "M 0 0 L 160 0 L 160 170 C 140 200 20 200 0 170 Z"), []string{"pocket/side edge", "pocket/lower edge", "pocket/inner edge"}, 1, undo(recipe("redraw", "pocket", "path", "M 0 0 L 160 0 L 160 190 L 0 190 Z")), nil},
		{recipe("separate", "front", "drawn", "left"), []string{"front"}, 8, nil, nil},
		{recipe("allowance", "back", "edge", "side seam", "to", "25"), []string{"back/side seam"}, 0, undo(recipe("allowance", "back", "edge", "side seam", "to", "10")), nil},
		{recipe("grain", "front", "turn", "30"), nil, 0, undo(recipe("grain", "front", "turn", "-30")), nil},
		{recipe("mirror", "front"), []string{"front"}, 0, undo(recipe("mirror", "front")), nil},
		{recipe("unfold", "back"), []string{"back/neckline", "back/hemline", "back/centre back"}, 7, nil, nil},
		{recipe("rename", "back", "to", "rear"), []string{"back"}, 0, undo(recipe("rename", "rear", "to", "back")), nil},
		{recipe("rename", "back", "edge", "hemline", "to", "lower hem"), []string{"back/hemline"}, 0, undo(recipe("rename", "back", "edge", "lower hem", "to", "hemline")), nil},
		{recipe("facing", "back", "edges", "neckline", "width", "50", "as", "back facing"), nil, 9, undo(recipe("remove", "back facing", "seams", "true")), nil},
		{recipe("hem-facing", "back", "width", "50", "as", "back hem facing"), []string{"back/hemline"}, 4, undo(recipe("remove", "back hem facing", "seams", "true")), nil},
		{recipe("interfacing", "front facing", "inset", "2", "as", "stiffening"), nil, 6, undo(recipe("remove", "stiffening")), nil},
		{recipe("lining", "front", "facing", "front facing", "as", "front lining", "differs", "shorter hem@hemline=-20"), nil, 8, undo(recipe("remove", "front lining", "seams", "true")), nil},
		{recipe("true", "front", "edge", "hemline", "across", "side seam"), append([]string{"front/hemline", "front/side seam"}, hem...), 0, nil, nil},
		{recipe("true", "back", "edge", "hemline", "across", "side seam", "hold", "side"), append([]string{"front/hemline", "front/front edge"}, hem...), 0, nil, nil},
	}
}

// kindsOfOthers are kinds whose own tests hold what these do.
var kindsOfOthers = []string{"carry"}

// Every kind keeps what it does not touch to the byte, stores no more nodes
// than its sources, meetings, cuts and declared curves, leaves a pattern that
// sews, and leaves the one it was given alone.
func TestEveryKind(t *testing.T) {
	seen := map[string]bool{"restore-corner": true}
	for _, c := range properties() {
		seen[c.r.Kind] = true
		t.Run(c.r.Kind+" "+c.r.Piece, func(t *testing.T) {
			p := c.start(t)
			before, err := p.Encode()
			require.NoError(t, err)
			res, err := Make(p, c.r)
			require.NoError(t, err)
			again, err := p.Encode()
			require.NoError(t, err)
			require.Equal(t, before, again, "the pattern it was given")
			sewn(t, res.Pattern)
			after, err := res.Pattern.Encode()
			require.NoError(t, err)
			stays(t, p, res.Pattern, c.touches)
			require.LessOrEqual(t, nodes(res.Pattern), nodes(p)+c.nodes, "nodes")
			twice, err := Make(p, c.r)
			require.NoError(t, err)
			same, err := twice.Pattern.Encode()
			require.NoError(t, err)
			require.Equal(t, after, same, "made twice")
		})
	}
	for _, k := range Kinds() {
		require.True(t, seen[k.Name] || slices.Contains(kindsOfOthers, k.Name), "%s has no property here", k.Name)
	}
}

// Alterations that something undoes come back within 0.005 mm.
func TestUndone(t *testing.T) {
	for _, c := range properties() {
		if c.back == nil {
			continue
		}
		t.Run(c.r.Kind+" "+c.r.Piece, func(t *testing.T) {
			p := c.start(t)
			res, err := Make(p, c.r)
			require.NoError(t, err)
			back, err := Make(stored(t, res.Pattern), *c.back)
			require.NoError(t, err)
			sameOutlines(t, p, back.Pattern, 0.005)
		})
	}
}

// The same with random amounts, on what has an amount.
func TestUndoneAtRandom(t *testing.T) {
	const seed = 20260504
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 60 {
		by := fmt.Sprintf("%.2f", 1+59*rng.Float64())
		small := fmt.Sprintf("%.2f", 1+11*rng.Float64())
		for _, c := range [][2]Recipe{
			{recipe("shorten", "back", "edge", "hemline", "by", by), recipe("lengthen", "back", "edge", "hemline", "by", by)},
			{recipe("lengthen", "front", "edge", "hemline", "by", by, "along", "side seam"), recipe("shorten", "front", "edge", "hemline", "by", by, "along", "side seam")},
			{recipe("let-out", "front", "edge", "side seam", "by", small), recipe("take-in", "front", "edge", "side seam", "by", small)},
			{recipe("shift-seam", "front", "edge", "side seam", "by", small), recipe("shift-seam", "front", "edge", "side seam", "by", "-"+small)},
			{recipe("round-corner", "pocket", "corner", "lower edge/inner edge", "radius", by), recipe("restore-corner", "pocket", "corner", "lower edge/inner edge")},
			{recipe("grain", "front", "turn", by), recipe("grain", "front", "turn", "-"+by)},
			{recipe("move", "front", "name", "button", "down", by, "across", "-"+small), recipe("move", "front", "name", "button", "down", "-"+by, "across", small)},
		} {
			p := smallSmock(t)
			res, err := Make(p, c[0])
			require.NoError(t, err, "%v", c[0])
			back, err := Make(stored(t, res.Pattern), c[1])
			require.NoError(t, err, "%v", c[1])
			sameOutlines(t, p, back.Pattern, 0.005)
		}
	}
}

// stored is the pattern as it is read from its files.
func stored(t testing.TB, p *pattern.Pattern) *pattern.Pattern {
	t.Helper()
	files, err := p.Encode()
	require.NoError(t, err)
	q, err := pattern.Decode(files)
	require.NoError(t, err)
	return q
}

// sameOutlines requires the outlines to lie within so many mm of each other, and
// everything else of the pieces to be the same: corners with their roundings,
// notches, marks, lines and grain in their places, allowances, folds and hems.
func sameOutlines(t testing.TB, a, b *pattern.Pattern, within float64) {
	t.Helper()
	require.Equal(t, a.PieceNames(), b.PieceNames())
	for _, q := range a.Pieces {
		r := pieceOf(t, b, q.Name)
		require.ElementsMatch(t, q.EdgeNames(), r.EdgeNames())
		for i := range q.Edges {
			require.InDelta(t, 0, farthest(q.EdgePath(i), edgePathOf(t, r, q.Edges[i].Name)), within, "%s/%s", q.Name, q.Edges[i].Name)
		}
		require.Empty(t, notAlike(q, r, within), q.Name)
	}
}

// notAlike lists what of two pieces with the same outline differs.
func notAlike(q, r *pattern.Piece, within float64) (differs []string) {
	same := func(ok bool, format string, args ...any) {
		if !ok {
			differs = append(differs, fmt.Sprintf(format, args...))
		}
	}
	near := func(a, b geom.Point) bool { return a.Dist(b) <= within }
	along := func(a, b geom.Path) bool {
		return len(a) == 0 && len(b) == 0 || len(a) > 0 && len(b) > 0 && farthest(a, b) <= within
	}
	for i, e := range q.Edges {
		k, err := r.EdgeIndex(e.Name)
		if err != nil {
			return append(differs, err.Error())
		}
		o := r.Edges[k]
		same(maps.Equal(e.Allowance, o.Allowance) && e.Fold == o.Fold && e.Hem == o.Hem, "%s: %v, now %v", e.Name, e.Allowance, o.Allowance)
		was, now := q.Corners[i], r.Corners[k]
		same(was.Name == now.Name && was.Style == now.Style && was.Meant == now.Meant && math.Abs(was.Round-now.Round) <= within, "corner at the start of %s: %v, now %v", e.Name, was, now)
	}
	same(len(q.Notches) == len(r.Notches), "%d notches, now %d", len(q.Notches), len(r.Notches))
	for _, n := range q.Notches {
		k := r.NotchByName(n.Name)
		same(k >= 0 && r.Notches[k].Edge == n.Edge && r.Notches[k].FromEnd == n.FromEnd && math.Abs(r.Notches[k].At-n.At) <= within && r.Notches[k].Count == n.Count, "notch %v", n)
	}
	same(len(q.Marks) == len(r.Marks), "%d marks, now %d", len(q.Marks), len(r.Marks))
	for _, m := range q.Marks {
		k := slices.IndexFunc(r.Marks, func(o pattern.Mark) bool { return o.Name == m.Name })
		same(k >= 0 && r.Marks[k].Kind == m.Kind && near(markPlace(r.Marks[k]), markPlace(m)) && along(r.Marks[k].Path, m.Path) && r.Marks[k].Edge == m.Edge, "mark %v", m)
	}
	same(len(q.Lines) == len(r.Lines), "%d lines, now %d", len(q.Lines), len(r.Lines))
	for _, l := range q.Lines {
		k := slices.IndexFunc(r.Lines, func(o pattern.ReferenceLine) bool { return o.Name == l.Name })
		same(k >= 0 && along(r.Lines[k].Path, l.Path), "line %v", l)
	}
	same((q.Grain == nil) == (r.Grain == nil) && (q.Grain == nil || near(q.Grain.From, r.Grain.From) && near(q.Grain.To, r.Grain.To)), "grain %v, now %v", q.Grain, r.Grain)
	same(q.Cut == r.Cut && q.Cloth == r.Cloth, "cut %s from %s, now %s from %s", q.Cut, q.Cloth, r.Cut, r.Cloth)
	return differs
}

func nodes(p *pattern.Pattern) int {
	n := 0
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			n += 1 + len(e.Nodes)
		}
	}
	return n
}

// stays requires each edge that is not among touched to be written as it was,
// and to run between the corners between which it ran.
func stays(t *testing.T, before, after *pattern.Pattern, touched []string) {
	t.Helper()
	require.Empty(t, notStayed(t, before, after, touched))
}

// notStayed lists the edges and corners that are not among touched and changed.
func notStayed(t *testing.T, before, after *pattern.Pattern, touched []string) (changed []string) {
	t.Helper()
	for _, q := range before.Pieces {
		if slices.Contains(touched, q.Name) {
			continue
		}
		r := pieceOf(t, after, q.Name)
		was, now := edgeTexts(t, q), edgeTexts(t, r)
		for i, e := range q.Edges {
			if slices.Contains(touched, q.Name+"/"+e.Name) {
				continue
			}
			require.NotEmpty(t, was[e.ID])
			if was[e.ID] != now[e.ID] {
				changed = append(changed, fmt.Sprintf("%s/%s: %s\n now %s", q.Name, e.Name, was[e.ID], now[e.ID]))
				continue
			}
			changed = append(changed, cornersNotStayed(q, i, r, touched)...)
		}
	}
	return changed
}

// cornersNotStayed lists the corners of an edge that changed: of a straight one
// its own text says nothing of where it runs. Where a neighbour is touched the
// corner's place alone counts; one that is touched itself is named PIECE CORNER.
func cornersNotStayed(q *pattern.Piece, i int, r *pattern.Piece, touched []string) (changed []string) {
	k, n := r.EdgeByID(q.Edges[i].ID), len(q.Edges)
	for end, other := range [2]int{(i + n - 1) % n, (i + 1) % n} {
		was, now := q.Corners[(i+end)%n], r.Corners[(k+end)%len(r.Corners)]
		name := q.Name + " " + q.CornerName((i+end)%n)
		if slices.Contains(touched, q.Name+"/"+q.Edges[other].Name) || slices.Contains(touched, name) {
			was, now = pattern.Corner{At: was.At}, pattern.Corner{At: now.At}
		}
		if was != now {
			changed = append(changed, fmt.Sprintf("%s: %v, now %v", name, was, now))
		}
	}
	return changed
}

// That edges stay is seen of straight ones too: a pocket of straight edges whose
// corners are moved, or of which one corner is rounded, has not stayed.
func TestStraightEdgesThatMoveAreSeen(t *testing.T) {
	p := smallSmock(t)
	q := p.Clone()
	require.Empty(t, notStayed(t, p, q, nil))
	pocket := pieceOf(t, q, "pocket")
	pocket.Corners[2].Round = 20
	require.Len(t, notStayed(t, p, q, nil), 2, "seen from both edges")
	require.Empty(t, notStayed(t, p, q, []string{"pocket side edge/lower edge"}))
	pocket.Corners[2].Round = 0
	pocket.Corners[0].At.X += 0.001
	require.Len(t, notStayed(t, p, q, nil), 2)
	require.Len(t, notStayed(t, p, q, []string{"pocket/opening"}), 1, "its neighbour runs from elsewhere")
}

// edgeTexts are the blocks of a piece's file by the edge's id.
func edgeTexts(t *testing.T, q *pattern.Piece) map[string]string {
	t.Helper()
	data, err := q.Encode()
	require.NoError(t, err)
	text, _, _ := strings.Cut(string(data), "\nnotches:")
	blocks := map[string]string{}
	for _, b := range strings.Split(text, "\n- ") {
		if !strings.HasPrefix(b, "edge:") {
			continue
		}
		_, id, _ := strings.Cut(b, "id: ")
		id, _, _ = strings.Cut(id, "\n")
		blocks[strings.Trim(id, "'\"")] = b
	}
	return blocks
}

// What is not undone is seen: each of these is undone by another amount.
func TestWhatIsNotUndoneIsSeen(t *testing.T) {
	for _, c := range [][2]Recipe{
		{recipe("round-corner", "front", "corner", "front edge/hemline", "radius", "40"), recipe("round-corner", "front", "corner", "front edge/hemline", "radius", "25")},
		{recipe("grain", "front", "turn", "30"), recipe("grain", "front", "turn", "-29")},
		{recipe("move", "front", "name", "pocket top", "down", "30"), recipe("move", "front", "name", "pocket top", "down", "-29")},
		{recipe("move", "front", "name", "button", "down", "30"), recipe("move", "front", "name", "button", "down", "-29.9")},
		{recipe("move", "back", "name", "hip", "by", "10"), recipe("move", "back", "name", "hip", "by", "-9")},
		{recipe("allowance", "back", "edge", "side seam", "to", "25"), recipe("allowance", "back", "edge", "side seam", "to", "11")},
	} {
		p := smallSmock(t)
		res, err := Make(p, c[0])
		require.NoError(t, err)
		back, err := Make(stored(t, res.Pattern), c[1])
		require.NoError(t, err)
		r := pieceOf(t, back.Pattern, c[0].Piece)
		require.Len(t, notAlike(pieceOf(t, p, c[0].Piece), r, 0.005), 1, "%v", c[1])
	}
}
