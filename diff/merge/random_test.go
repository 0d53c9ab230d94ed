package merge

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// demandAll reports whether every check is demanded in full.
func demandAll() bool { return os.Getenv("TOILE_ALL") == "1" }

// maker makes pieces and alterations at random.
type maker struct{ *rand.Rand }

func (r maker) between(a, b float64) float64 { return a + (b-a)*r.Float64() }

// bent is a line or a gently bent curve of one or two cubics.
func (r maker) bent(name string, x0, y0, x1, y1 float64) drawn {
	a, b := geom.Pt(x0, y0), geom.Pt(x1, y1)
	if r.IntN(3) == 0 {
		return drawn{name, geom.Polyline(a, b)}
	}
	d := b.Sub(a)
	bow := d.Left().Mul(r.between(-0.06, 0.06))
	c := geom.Cubic{P0: a, P1: a.Lerp(b, r.between(0.25, 0.4)).Add(bow), P2: a.Lerp(b, r.between(0.6, 0.75)).Add(bow.Mul(r.between(0.4, 1.5))), P3: b}
	if r.IntN(3) == 0 {
		first, second := c.Split(r.between(0.3, 0.7))
		return drawn{name, geom.Path{first, second}}
	}
	return drawn{name, geom.Path{c}}
}

// piece is a body piece of five edges, with curves and rounded corners.
func (r maker) piece(t testing.TB) *pattern.Pattern {
	w, h, wide := r.between(160, 320), r.between(350, 800), r.between(0, 60)
	drop, arm := r.between(0, 25), r.between(60, 160)
	low := h + r.between(-15, 15)
	left := r.between(-20, 20)
	q := pieceOf("back", r.bent("neck", 0, drop, w*0.5, 0), r.bent("armhole", w*0.5, 0, w, arm), r.bent("side", w, arm, w+wide, h),
		r.bent("hem", w+wide, h, left, low), r.bent("centre", left, low, 0, drop))
	for k := range q.Corners {
		if r.IntN(6) == 0 {
			q.Corners[k].Round = toThousandth(r.between(5, 18))
		}
	}
	for i := range q.Edges {
		if r.IntN(2) == 0 {
			length := q.EdgePath(i).Length()
			q.Notches = append(q.Notches, pattern.Notch{Name: "notch " + q.Edges[i].Name, Edge: q.Edges[i].Name,
				At: toThousandth(r.between(0.35, 0.6) * length), FromEnd: r.IntN(2) == 0, Count: 1})
		}
	}
	if q.Validate() != nil {
		return nil
	}
	return patternOf(t, q)
}

// alteration is one that is made, and the unit that it changes.
type alteration struct {
	unit, kind string
	values     []string
}

func (r maker) mm(a, b float64) string { return fmt.Sprintf("%.2f", r.between(a, b)) }

// pick makes an alteration of a unit.
func (r maker) pick() alteration {
	edges := []string{"neck", "armhole", "side", "hem", "centre"}
	edge := edges[r.IntN(len(edges))]
	inOrOut := []string{"let-out", "take-in"}[r.IntN(2)]
	switch r.IntN(9) {
	case 0, 1:
		return alteration{"hem", []string{"shorten", "lengthen"}[r.IntN(2)], []string{"edge", "hem", "by", r.mm(5, 60)}}
	case 2:
		return alteration{edge, inOrOut, []string{"edge", edge, "by", r.mm(2, 15)}}
	case 3:
		return alteration{"side", inOrOut, []string{"edge", "side", "by", r.mm(2, 15), "to", "end"}}
	case 4, 5:
		// A swing of under a twentieth of a millimetre or so is not told as one.
		v := []string{"edge", "side", "angle", []string{r.mm(-3, -0.2), r.mm(0.2, 6)}[r.IntN(2)]}
		if r.IntN(2) == 0 {
			v = append(v, "from", r.mm(20, 120))
		}
		return alteration{"side", "flare", v}
	case 6:
		corner := []string{"centre/neck", "neck/armhole", "armhole/side", "side/hem", "hem/centre"}[r.IntN(5)]
		return alteration{corner, "round-corner", []string{"corner", corner, "radius", r.mm(5, 20)}}
	case 7:
		name := fmt.Sprintf("mark %d", r.IntN(1000))
		return alteration{name, "notch", []string{"edge", edge, "at", r.mm(30, 50), "name", name}}
	}
	return alteration{edge + " allowance", "allowance", []string{"edge", edge, "to", r.mm(5, 30)}}
}

func (a alteration) on(p *pattern.Pattern) (*pattern.Pattern, error) {
	q, err := tried(p, a.kind, "back", a.values...)
	if err != nil {
		return nil, err
	}
	return stored(q)
}

func (a alteration) swings() bool { return a.kind == "flare" }

// outlineApart is the greatest distance between corners, and between samples of
// edges, of two states of a piece.
func outlineApart(a, b *pattern.Piece) float64 {
	far := 0.0
	for i := range a.Edges {
		far = math.Max(far, a.Corners[i].At.Dist(b.Corners[i].At))
		p, q := a.EdgePath(i), b.EdgePath(i)
		for _, c := range p {
			for k := range 9 {
				_, d := q.Nearest(c.At(float64(k) / 8))
				far = math.Max(far, d)
			}
		}
	}
	return far
}

func nodeCount(p *pattern.Pattern) int {
	n := 0
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			n += len(e.Nodes) + 1
		}
	}
	return n
}

// tally counts what happened, for the log.
type tally map[string]int

// largest notes a distance in mm where none was greater.
func (c tally) largest(far float64) {
	const key = "thousandths of a mm: the greatest distance"
	c[key] = max(c[key], int(math.Ceil(far*1000)))
}

func (c tally) log(t *testing.T) {
	var keys []string
	for k := range c {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		t.Logf("%6d  %s", c[k], k)
	}
}

// pieces asks for more pieces than are tried each time:
// go test ./diff/merge -run AtRandom -pieces 20000 -timeout 60m
var pieces = flag.Int("pieces", 0, "how many generated pieces are merged and reverted")

// rounds is how many generated pieces are tried.
func rounds() int {
	switch {
	case *pieces > 0:
		return *pieces
	case demandAll():
		return 1_000
	}
	return 150
}

// Two alterations of different units, one on each side, merge without a
// conflict but for those that cannot be, the same from either side, and into
// what both give one after the other; what neither touched stays to the bit.
func TestMergesAtRandom(t *testing.T) {
	seed := uint64(20260611)
	t.Logf("seed %d", seed)
	r, count := maker{rand.New(rand.NewPCG(seed, 1))}, tally{}
	for done := 0; done < rounds(); {
		s, a, b, here, there := r.sides(t)
		if s == nil {
			continue
		}
		done++
		count["pieces"]++
		what := fmt.Sprintf("piece %d: %v and %v", done, a, b)
		res, err := Merge(Input{Shared: s, Here: here, There: there})
		require.NoError(t, err, what)
		back, err := Merge(Input{Shared: s, Here: there, There: here})
		require.NoError(t, err, what)
		if len(res.Conflicts) > 0 {
			require.ElementsMatch(t, wheres(res), wheres(back), what)
			count["in conflict"]++
			count["conflict: "+kindOf(res.Conflicts[0].Says)]++
			if testing.Verbose() {
				t.Log(what, res.Conflicts[0].Says)
			}
			continue
		}
		require.Equal(t, text(t, res.Pattern), text(t, back.Pattern), what)
		checkMerged(t, what, s, here, there, res.Pattern)
		compareInTurn(t, what, count, s, a, b, res.Pattern)
	}
	count.log(t)
	require.LessOrEqual(t, count["in conflict"], 1+rounds()/1000, "there is next to nothing that cannot be put together")
	require.GreaterOrEqual(t, count["compared with one after the other"], rounds()/2)
}

// sides are a piece, two alterations of different units and what each makes of it;
// no piece where one cannot be made.
func (r maker) sides(t *testing.T) (s *pattern.Pattern, a, b alteration, here, there *pattern.Pattern) {
	s = r.piece(t)
	a, b = r.pick(), r.pick()
	if s == nil || a.unit == b.unit {
		return nil, a, b, nil, nil
	}
	here, err := a.on(s)
	if err != nil {
		return nil, a, b, nil, nil
	}
	if there, err = b.on(s); err != nil {
		return nil, a, b, nil, nil
	}
	return s, a, b, here, there
}

// wheres are the places that are in conflict.
func wheres(res Result) (all []string) {
	for _, c := range res.Conflicts {
		all = append(all, c.Where)
	}
	return all
}

// kindOf is a conflict without names and figures.
func kindOf(says string) string {
	parts := strings.Split(says, ": ")
	return parts[len(parts)-1]
}

// checkMerged holds what is true of every merge.
func checkMerged(t *testing.T, what string, s, here, there, m *pattern.Pattern) {
	t.Helper()
	require.NoError(t, m.Pieces[0].Validate(), what)
	p, h, u, q := s.Pieces[0], here.Pieces[0], there.Pieces[0], m.Pieces[0]
	require.LessOrEqual(t, nodeCount(m), nodeCount(here)+nodeCount(there)-nodeCount(s)+4, what)
	for i := range p.Edges {
		if slices.Equal(p.EdgePath(i), h.EdgePath(i)) && slices.Equal(p.EdgePath(i), u.EdgePath(i)) {
			require.Equal(t, p.EdgePath(i), q.EdgePath(i), "%s: edge %d", what, i)
		}
	}
	for k := range p.Notches {
		require.Contains(t, q.Notches, p.Notches[k], what)
	}
}

// compareInTurn compares a merge with both alterations made one after the
// other, where the order does not matter to them.
func compareInTurn(t *testing.T, what string, count tally, s *pattern.Pattern, a, b alteration, m *pattern.Pattern) {
	t.Helper()
	if a.swings() || b.swings() {
		return
	}
	one, err := a.on(s)
	require.NoError(t, err)
	ab, err := b.on(one)
	if err != nil {
		return
	}
	two, err := b.on(s)
	require.NoError(t, err)
	ba, err := a.on(two)
	if err != nil || outlineApart(ab.Pieces[0], ba.Pieces[0]) > 0.003 {
		return
	}
	count["compared with one after the other"]++
	far := outlineApart(ab.Pieces[0], m.Pieces[0])
	count.largest(far)
	if far > 0.005 {
		count["…and farther off than 0.005 mm"]++
		t.Errorf("%s: %.4f", what, far)
	}
}

// A version taken out from between two others leaves what the later one makes
// of the first.
func TestRevertsAtRandom(t *testing.T) {
	seed := uint64(20260612)
	t.Logf("seed %d", seed)
	r, count := maker{rand.New(rand.NewPCG(seed, 2))}, tally{}
	for done := 0; done < rounds(); {
		a, b := r.pick(), r.pick()
		v := r.versions(t, a, b)
		if v == nil {
			continue
		}
		one, two, three := v[0], v[1], v[2]
		done++
		count["pieces"]++
		what := fmt.Sprintf("piece %d: %v, then %v", done, a, b)
		res, err := Merge(Input{Shared: two, Here: three, There: one, Revert: true})
		require.NoError(t, err, what)
		if len(res.Conflicts) > 0 {
			count["conflict: "+kindOf(res.Conflicts[0].Says)]++
			if testing.Verbose() {
				t.Log(what, res.Conflicts[0].Says)
			}
			continue
		}
		last, err := Merge(Input{Shared: three, Here: three, There: two, Revert: true})
		require.NoError(t, err, what)
		require.Equal(t, text(t, two), text(t, last.Pattern), "%s: the last version taken back", what)
		count["taken back"]++
		compareTakenBack(t, what, count, v, a, b, res.Pattern)
	}
	count.log(t)
	require.GreaterOrEqual(t, count["taken back"], rounds()*99/100)
	require.GreaterOrEqual(t, count["taken back, compared with the later alteration on the first version"], rounds()*3/4)
	require.GreaterOrEqual(t, count["taken back, and merged in again"], rounds()/2)
	require.LessOrEqual(t, count[offByMore], rounds()/1000, "one in a thousand may: where a move at equal distance folds what was eased before it")
}

// versions are a piece, the same after the first alteration and after both, and
// after the second alone; nil where one cannot be made.
func (r maker) versions(t *testing.T, a, b alteration) []*pattern.Pattern {
	one := r.piece(t)
	if one == nil || a.unit == b.unit {
		return nil
	}
	two, err := a.on(one)
	if err != nil {
		return nil
	}
	three, err := b.on(two)
	if err != nil {
		return nil
	}
	wanted, err := b.on(one)
	if err != nil {
		return nil
	}
	return []*pattern.Pattern{one, two, three, wanted}
}

// offByMore counts what is not as near as it should be.
const offByMore = "…and farther off than 0.005 mm"

// compareTakenBack compares what is left with the later alteration made on the
// first version, where it is the same one there: a taper and a swing are
// measured from ends that the first alteration moved. Where nothing is swung,
// merging the first alteration in again has to give the last version back.
func compareTakenBack(t *testing.T, what string, count tally, v []*pattern.Pattern, a, b alteration, m *pattern.Pattern) {
	t.Helper()
	moved := a.unit == "hem" || a.unit == "armhole"
	if !(moved && slices.Contains(b.values, "to")) && !(a.unit == "armhole" && b.swings()) {
		count["taken back, compared with the later alteration on the first version"]++
		far := outlineApart(v[3].Pieces[0], m.Pieces[0])
		count.largest(far)
		if far > 0.005 {
			count[offByMore]++
			t.Logf("%s: %.4f", what, far)
			require.Less(t, far, 0.15, what)
		}
	}
	// Made in the other order, both have to give the same: a line that is run
	// on twice bends otherwise than one that is run on once.
	turned, err := a.on(v[3])
	if a.swings() || b.swings() || err != nil || outlineApart(turned.Pieces[0], v[2].Pieces[0]) > 0.003 {
		return
	}
	again, err := Merge(Input{Shared: v[0], Here: v[1], There: m})
	require.NoError(t, err, what)
	require.Empty(t, again.Conflicts, what)
	count["taken back, and merged in again"]++
	if far := outlineApart(v[2].Pieces[0], again.Pattern.Pieces[0]); far > 0.005 {
		count["…and then farther off than 0.005 mm"]++
		t.Errorf("%s: again %.4f", what, far)
	}
}
