package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
	"toile/repo"
)

// drawn makes a piece of named edges; the last ends where the first starts.
func drawn(name string, cut pattern.Cut, names []string, paths ...geom.Path) *pattern.Piece {
	q := &pattern.Piece{Name: name, Slug: name, Cloth: "outer", Cut: cut}
	for i, path := range paths {
		q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
		e := pattern.Edge{Name: names[i], Allowance: map[string]float64{pattern.ClothSet: 15}}
		e.SetPath(path)
		q.Edges = append(q.Edges, e)
	}
	return q
}

// sewnPair is a back and a front of other widths, sewn together along sides
// of the same length: the front's is the back's reflected, or drawn straight
// where the back's is curved.
func sewnPair(bow, slant float64, alike bool) *pattern.Pattern {
	side := geom.Path{{P0: geom.Pt(250, 0), P1: geom.Pt(250+bow, 200), P2: geom.Pt(250+slant+bow, 400), P3: geom.Pt(250+slant, 600)}}
	if bow == 0 {
		side = geom.Path{geom.Line(geom.Pt(250, 0), geom.Pt(250+slant, 600))}
	}
	back := drawn("back", pattern.CutPair, []string{"waist", "side seam", "hemline", "centre back"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(250, 0)), side,
		geom.Polyline(side.End(), geom.Pt(0, 600)), geom.Polyline(geom.Pt(0, 600), geom.Pt(0, 0)))
	other := side.Moved(geom.Motion{Mirror: true}).Reverse() // from the hem up, at the left
	if !alike {
		length := side.Length()
		other = geom.Path{geom.Line(geom.Pt(-250, length), geom.Pt(-250, 0))}
	}
	front := drawn("front", pattern.CutPair, []string{"waist", "centre front", "hemline", "side seam"},
		geom.Polyline(other.End(), geom.Pt(90, 0)), geom.Polyline(geom.Pt(90, 0), geom.Pt(90, other.Start().Y)),
		geom.Polyline(geom.Pt(90, other.Start().Y), other.Start()), other)
	p := pattern.New("pair", units.Millimetre)
	p.Put(back)
	p.Put(front)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "back", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "front", Edge: "side seam"}}}}
	return p
}

// worktable is a pattern kept in a folder, and commands run on it.
type worktable struct {
	t   *testing.T
	dir string
}

func lay(t *testing.T, p *pattern.Pattern) *worktable {
	t.Helper()
	files, err := p.Encode()
	require.NoError(t, err)
	w := &worktable{t, filepath.Join(t.TempDir(), "pattern")}
	r, err := repo.Start(w.dir, files)
	require.NoError(t, err)
	require.NoError(t, r.Close())
	w.do("commit", "as drafted")
	return w
}

// try runs a command and returns what it printed, and its exit code.
func (w *worktable) try(args ...string) (out string, code int) {
	var stdout, stderr bytes.Buffer
	code = run(append(args, "--pattern", w.dir), &stdout, &stderr)
	return stdout.String() + stderr.String(), code
}

func (w *worktable) do(args ...string) string {
	w.t.Helper()
	out, code := w.try(args...)
	require.Zero(w.t, code, "%v: %s", args, out)
	return out
}

func (w *worktable) pattern() *pattern.Pattern {
	w.t.Helper()
	p, err := pattern.Decode(w.files())
	require.NoError(w.t, err)
	return p
}

func (w *worktable) files() map[string][]byte {
	w.t.Helper()
	files := map[string][]byte{}
	for _, glob := range []string{"*.yaml", "pieces/*.yaml"} {
		names, err := filepath.Glob(filepath.Join(w.dir, glob))
		require.NoError(w.t, err)
		for _, name := range names {
			text, err := os.ReadFile(name)
			require.NoError(w.t, err)
			rel, err := filepath.Rel(w.dir, name)
			require.NoError(w.t, err)
			files[filepath.ToSlash(rel)] = text
		}
	}
	return files
}

// apart is by how much the two sides of a seam differ, walked.
func (w *worktable) apart(seam int) float64 {
	w.t.Helper()
	p := w.pattern()
	sections, err := p.WalkSeam(&p.Seams[seam])
	require.NoError(w.t, err)
	return sections[0].Difference()
}

// edgeText is an edge as it is printed.
func edgeText(t *testing.T, p *pattern.Pattern, piece, edge string) string {
	t.Helper()
	q, err := p.Piece(piece)
	require.NoError(t, err)
	text, err := q.Encode()
	require.NoError(t, err)
	for block := range strings.SplitSeq(string(text), "\n- ") {
		if strings.HasPrefix(block, "edge:") && strings.Contains(block, "name: "+edge+"\n") {
			return strings.TrimRight(block, "\n")
		}
	}
	t.Fatalf("%s has no edge %q:\n%s", piece, edge, text)
	return ""
}

// A change and what was carried of it walk equal, to 0.00 mm, where the sides
// did before: the sewn-to edge loses or gains the same (common practice, FACTS:
// shorten two pieces sewn together). The edges that no neighbour of the seam
// is keep every byte, and so do pieces that follow nothing. Carried at once,
// and after other versions.
func TestCarriedWalksEqual(t *testing.T) {
	changes := map[string][]string{
		"let out":           {"let-out", "back", "side seam", "12"},
		"taken in":          {"take-in", "back", "side seam", "9"},
		"tapered":           {"let-out", "back", "side seam", "14", "--to", "end"},
		"tapered upward":    {"take-in", "back", "side seam", "8", "--to", "start"},
		"swung":             {"flare", "back", "side seam", "40", "--from", "180"},
		"swung from an end": {"flare", "back", "side seam", "--angle", "3deg"},
		"swung in":          {"flare", "back", "side seam", "--angle=-2deg", "--from", "150"},
		"hem up":            {"shorten", "back", "hemline", "35", "--along", "side seam"},
		"hem down":          {"lengthen", "back", "hemline", "20", "--along", "side seam"},
	}
	shapes := map[string]*pattern.Pattern{"straight": sewnPair(0, 40, true), "square": sewnPair(0, 0, true), "curved": sewnPair(18, 30, true)}
	for shape, p := range shapes {
		for what, args := range changes {
			for _, later := range []bool{false, true} {
				t.Run(fmt.Sprintf("%s, %s, later %v", shape, what, later), func(t *testing.T) {
					w := lay(t, p.Clone())
					require.InDelta(t, 0, w.apart(0), 0.002)
					start := w.pattern()
					w.do(append([]string{"alter"}, args...)...)
					if later {
						w.do("commit", "changed")
						w.do("alter", "round-corner", "front", "waist/centre front", "25")
						w.do("commit", "a corner")
						w.do("alter", "notch", "back", "centre back", "100")
						w.do("commit", "a notch")
					}
					out := w.do("alter", "carry", "back", "side seam")
					require.NotContains(t, out, "mm meant")
					require.InDelta(t, 0, w.apart(0), 0.005, out)
					for _, edge := range []string{"centre front", "waist"} {
						if edge == "centre front" && strings.HasPrefix(what, "hem") || edge == "waist" && !strings.HasPrefix(what, "hem") {
							continue
						}
						require.Equal(t, edgeText(t, start, "front", edge), edgeText(t, w.pattern(), "front", edge), edge)
					}
					again, code := w.try("alter", "carry", "back", "side seam")
					require.Equal(t, exitRefused, code, again)
					require.Contains(t, again, "there is nothing to carry")
				})
			}
		}
	}
}

// The sewn-to edge moves outward by the same amount also where it is drawn
// otherwise: it lies at that distance from where it lay.
func TestCarriedAmount(t *testing.T) {
	w := lay(t, sewnPair(18, 30, false))
	w.do("alter", "let-out", "back", "side seam", "12")
	w.do("commit", "let out")
	w.do("alter", "carry", "back", "side seam")
	q, err := w.pattern().Piece("front")
	require.NoError(t, err)
	require.Equal(t, -262.0, q.EdgePath(3).Start().X)
	require.Equal(t, -262.0, q.EdgePath(3).End().X)
}

// Redrawn by tracing, an edge is carried reflected where both sides were drawn
// alike, and walks equal.
func TestCarryARedrawnEdge(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 5))
	for range 5 {
		w := lay(t, sewnPair(0, 0, true))
		p := w.pattern()
		back, err := p.Piece("back")
		require.NoError(t, err)
		bow := 15 + 20*rng.Float64()
		back.Edges[1].SetPath(geom.Path{
			{P0: geom.Pt(250, 0), P1: geom.Pt(250, 80), P2: geom.Pt(250+bow, 120), P3: geom.Pt(250+bow, 230)},
			{P0: geom.Pt(250+bow, 230), P1: geom.Pt(250+bow, 400), P2: geom.Pt(250, 480), P3: geom.Pt(250, 600)}})
		text, err := back.Encode()
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(w.dir, "pieces/back.yaml"), text, 0o644))
		w.do("commit", "redrawn")
		require.Greater(t, -w.apart(0), 0.5)
		w.do("alter", "carry", "back", "side seam")
		require.InDelta(t, 0, w.apart(0), 0.005)
	}
}

// The last change that the follower lacks is the one that is carried; an older
// one waits for a version in between.
func TestCarryTheLastThenTheOneBefore(t *testing.T) {
	w := lay(t, sewnPair(0, 0, true))
	w.do("alter", "let-out", "back", "side seam", "10")
	w.do("commit", "wider")
	w.do("alter", "flare", "back", "side seam", "30", "--from", "200")
	w.do("commit", "flared")
	out := w.do("alter", "carry", "back", "side seam")
	require.Contains(t, out, "swung out")
	out, code := w.try("alter", "carry", "back", "side seam")
	require.Equal(t, exitRefused, code)
	require.Contains(t, out, "keep that with `toile commit`")
	w.do("commit", "front flared")
	out = w.do("alter", "carry", "back", "side seam")
	require.Contains(t, out, "let out 10 mm")
	w.do("commit", "front wider")
	out, code = w.try("alter", "carry", "back", "side seam")
	require.Equal(t, exitRefused, code)
	require.Contains(t, out, "there is nothing to carry")
	// Let out after the swing instead of before it, the side is longer at the
	// dent by 2·10·tan(½·turn): the swing was 30 at an arm of 400.
	turn := 2 * math.Asin(30./2/400)
	require.InDelta(t, 2*10*math.Tan(turn/2), math.Abs(w.apart(0)), 0.2)
}

// A piece that follows nothing of the edge is refused, and named are those
// that do; an edge without followers too.
func TestCarryRefusals(t *testing.T) {
	p := sewnPair(0, 0, true)
	cuff := drawn("cuff", pattern.CutPair, []string{"top", "end", "bottom", "start"}, geom.Polyline(geom.Pt(0, 0), geom.Pt(100, 0)),
		geom.Polyline(geom.Pt(100, 0), geom.Pt(100, 50)), geom.Polyline(geom.Pt(100, 50), geom.Pt(0, 50)), geom.Polyline(geom.Pt(0, 50), geom.Pt(0, 0)))
	p.Put(cuff)
	w := lay(t, p)
	w.do("alter", "let-out", "back", "side seam", "10")
	before := w.files()
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"back", "side seam", "--to", "cuff"}, "cuff is no follower of back, \"side seam\": it is not sewn to it, and no layer or band of it; its followers are front, \"side seam\""},
		{[]string{"back", "centre back"}, "has no follower"},
		{[]string{"back", "side seam", "--to", "hood"}, "there is no piece \"hood\""},
		{[]string{"front", "side seam"}, "there is nothing to carry"},
		{[]string{"back", "side seam", "--both"}, "leave --both out"},
	} {
		out, code := w.try(append([]string{"alter", "carry"}, c.args...)...)
		require.Equal(t, exitRefused, code, out)
		require.Contains(t, out, c.says)
		require.Equal(t, before, w.files())
	}
}

// layeredFront is a front with a curved neckline, its facing and its lining,
// drafted by the commands; the lining's hem is 20 shorter.
func layeredFront(t *testing.T) *worktable {
	front := drawn("front", pattern.CutPair, []string{"neckline", "shoulder", "armhole", "side seam", "hemline", "front edge"},
		geom.Path{{P0: geom.Pt(-20, 85), P1: geom.Pt(38, 85), P2: geom.Pt(74, 52), P3: geom.Pt(78, 0)}},
		geom.Polyline(geom.Pt(78, 0), geom.Pt(213, 45)),
		geom.Path{{P0: geom.Pt(213, 45), P1: geom.Pt(186, 108), P2: geom.Pt(190, 196), P3: geom.Pt(230, 250)}},
		geom.Polyline(geom.Pt(230, 250), geom.Pt(260, 700)), geom.Polyline(geom.Pt(260, 700), geom.Pt(-20, 700)), geom.Polyline(geom.Pt(-20, 700), geom.Pt(-20, 85)))
	p := pattern.New("layers", units.Millimetre)
	p.Put(front)
	w := lay(t, p)
	w.do("alter", "facing", "front", "front edge,neckline", "60", "--round", "40", "--as", "facing")
	w.do("alter", "lining", "front", "--facing", "facing", "--as", "lining", "--differs", "shorter hem@hemline=-20")
	w.do("commit", "facing and lining")
	return w
}

// coverFront checks that facing and lining, the lining's hem let down by the
// 20 that it is shorter, cover the front within 0.01 mm.
func coverFront(t *testing.T, w *worktable, whole bool) {
	t.Helper()
	rings := map[string]geom.Ring{}
	for _, q := range w.pattern().Pieces {
		rings[q.Name], _ = q.SharpRing()
	}
	o, err := geom.Compare(rings["front"], rings["facing"], 0.01)
	require.NoError(t, err)
	for _, r := range o.Added {
		require.Less(t, r.Width, 0.01)
	}
	for _, r := range o.Removed {
		if r.Width < 0.01 {
			continue
		}
		left, err := geom.Compare(r.Rings[0], rings["lining"], 0.01)
		require.NoError(t, err)
		for _, r := range left.Added {
			require.Less(t, r.Width, 0.01)
		}
		for _, r := range left.Removed { // the strip of 20 at the hem
			if r.Width < 0.01 {
				continue
			}
			require.False(t, whole)
			require.InDelta(t, 20, r.Rings[0].Box().Size().Y, 25)
			require.Greater(t, r.Rings[0].Box().Min.Y, 600.)
		}
	}
}

// Each change of an edge of the front reaches facing and lining: the same
// shape in the same place, at once and long after; their own edges are cut or
// run on, and what does not lie along keeps every byte.
func TestCarryToLayers(t *testing.T) {
	for _, c := range []struct {
		edge  string
		args  []string
		keeps [][2]string
	}{
		{"hemline", []string{"shorten", "front", "hemline", "40"}, [][2]string{{"facing", "neckline"}, {"lining", "armhole"}}},
		{"hemline", []string{"lengthen", "front", "hemline", "25"}, [][2]string{{"facing", "neckline"}, {"lining", "armhole"}}},
		{"side seam", []string{"flare", "front", "side seam", "30", "--from", "100"}, [][2]string{{"facing", "neckline"}, {"lining", "armhole"}, {"facing", "hemline"}}},
		{"side seam", []string{"take-in", "front", "side seam", "8", "--to", "end"}, [][2]string{{"facing", "hemline"}, {"lining", "armhole"}}},
		{"front edge", []string{"let-out", "front", "front edge", "6"}, [][2]string{{"lining", "hemline"}, {"facing", "shoulder"}}},
		{"shoulder", []string{"take-in", "front", "shoulder", "4"}, [][2]string{{"lining", "hemline"}, {"facing", "hemline"}}},
		{"armhole", []string{"take-in", "front", "armhole", "5"}, [][2]string{{"lining", "hemline"}, {"facing", "neckline"}}},
	} {
		for _, later := range []bool{false, true} {
			t.Run(fmt.Sprintf("%v, later %v", c.args, later), func(t *testing.T) {
				w := layeredFront(t)
				coverFront(t, w, false)
				start := w.pattern()
				out := w.do(append([]string{"alter"}, c.args...)...)
				require.Contains(t, out, "what has to follow and has not")
				if later {
					w.do("commit", "changed")
					w.do("alter", "notch", "front", "armhole", "100")
					w.do("commit", "a notch")
				}
				w.do("alter", "carry", "front", c.edge)
				coverFront(t, w, false)
				for _, k := range c.keeps {
					require.Equal(t, edgeText(t, start, k[0], k[1]), edgeText(t, w.pattern(), k[0], k[1]), k)
				}
				for seam := range w.pattern().Seams {
					require.InDelta(t, 0, w.apart(seam), 0.005, w.pattern().Seams[seam].Name)
				}
				again, code := w.try("alter", "carry", "front", c.edge)
				require.Equal(t, exitRefused, code, again)
				require.Contains(t, again, "there is nothing to carry")
			})
		}
	}
}

// Where the same edge is carried to one layer alone, the other lacks it still.
func TestCarryToOneLayer(t *testing.T) {
	w := layeredFront(t)
	w.do("alter", "shorten", "front", "hemline", "40")
	w.do("commit", "shorter")
	out := w.do("alter", "carry", "front", "hemline", "--to", "lining")
	require.NotContains(t, out, "facing: altered")
	out = w.do("alter", "carry", "front", "hemline")
	require.Contains(t, out, "facing: altered")
	require.NotContains(t, out, "lining: altered")
	coverFront(t, w, false)
}

// A band gets the length where it is sewn on, what lies beyond as an overlap
// stays; without a seam the edges called alike are measured, and the declared
// differences. On the fold it takes the length at its other end.
func TestCarryToBand(t *testing.T) {
	strip := func(name string, cut pattern.Cut, length float64, names ...string) *pattern.Piece {
		return drawn(name, cut, names, geom.Polyline(geom.Pt(0, 0), geom.Pt(length, 0)),
			geom.Polyline(geom.Pt(length, 0), geom.Pt(length, 50)), geom.Polyline(geom.Pt(length, 50), geom.Pt(0, 50)), geom.Polyline(geom.Pt(0, 50), geom.Pt(0, 0)))
	}
	sleeve := drawn("sleeve", pattern.CutPair, []string{"top", "seam", "wrist", "under"}, geom.Polyline(geom.Pt(0, 0), geom.Pt(240, 0)),
		geom.Polyline(geom.Pt(240, 0), geom.Pt(240, 300)), geom.Polyline(geom.Pt(240, 300), geom.Pt(0, 300)), geom.Polyline(geom.Pt(0, 300), geom.Pt(0, 0)))
	cuff, belt := strip("cuff", pattern.CutPair, 260, "seam", "end", "edge", "start"), strip("belt", pattern.CutOnFold, 270, "wrist", "end", "edge", "fold")
	belt.Edges[3].Fold, belt.Edges[3].Allowance = true, nil
	p := pattern.New("bands", units.Millimetre)
	for _, q := range []*pattern.Piece{sleeve, cuff, belt} {
		p.Put(q)
	}
	p.Seams = []pattern.Seam{{Name: "cuff", First: pattern.Chain{{Piece: "sleeve", Edge: "wrist"}}, Second: pattern.Chain{{Piece: "cuff", Edge: "seam", From: 10, To: 250}}}}
	w := lay(t, p)
	w.do("layers", "sleeve", "cuff", "--band")
	w.do("layers", "sleeve", "belt", "--band", "--difference", "overlap=30")
	w.do("commit", "bands")
	out := w.do("alter", "let-out", "sleeve", "seam", "10")
	require.Contains(t, out, "cuff, \"seam\", is sewn to sleeve, \"wrist\", which changed; it has not, and they are 10 mm apart in length")
	w.do("commit", "wider")
	w.do("alter", "carry", "sleeve", "wrist", "--at", "start", "--to", "cuff")
	w.do("alter", "carry", "sleeve", "wrist")
	box := func(name string) geom.Box {
		q, err := w.pattern().Piece(name)
		require.NoError(t, err)
		ring, _ := q.SharpRing()
		return ring.Box()
	}
	require.Equal(t, geom.Box{Min: geom.Pt(-10, 0), Max: geom.Pt(260, 50)}, box("cuff"))
	require.Equal(t, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(280, 50)}, box("belt")) // 250 and 30
	require.InDelta(t, 0, w.apart(0), 1e-9)
	require.Equal(t, 260.0, w.pattern().Seams[0].Second[0].To)
	out, code := w.try("alter", "carry", "sleeve", "wrist", "--to", "belt")
	require.Equal(t, exitRefused, code)
	require.Contains(t, out, "there is nothing to carry")
	w.do("commit", "carried")
	w.do("alter", "let-out", "sleeve", "seam", "100")
	w.do("alter", "let-out", "sleeve", "seam", "100")
	before := w.files()
	for _, c := range [][2]string{{"start", "lies on the fold there"}, {"end", "cannot take the length: it is 280 mm and has to be 480 mm: it would be run on by more than 150 mm; alter it by +200 mm by hand"}, {"top", "give start or end"}} {
		out, code = w.try("alter", "carry", "sleeve", "wrist", "--to", "belt", "--at", c[0])
		require.Equal(t, exitRefused, code)
		require.Contains(t, out, c[1])
		require.Equal(t, before, w.files())
	}
}

// A curved band runs on along its own curve: a collar's edge on an arc of 200,
// 20 longer, still lies on that arc, and its end is square to it.
func TestCarryToCurvedBand(t *testing.T) {
	neck := drawn("front", pattern.CutOne, []string{"neck", "side", "hem", "centre"}, geom.Polyline(geom.Pt(0, 0), geom.Pt(157, 0)),
		geom.Polyline(geom.Pt(157, 0), geom.Pt(157, 90)), geom.Polyline(geom.Pt(157, 90), geom.Pt(0, 90)), geom.Polyline(geom.Pt(0, 90), geom.Pt(0, 0)))
	arc := func(r, from, sweep float64) geom.Path { return geom.Arc(geom.Pt(0, 0), r, from, sweep) }
	outer, inner := arc(200, -2, 0.785), arc(150, -2+0.785, -0.785)
	collar := drawn("collar", pattern.CutOne, []string{"neck", "end", "inside", "start"}, outer, geom.Polyline(outer.End(), inner.Start()), inner, geom.Polyline(inner.End(), outer.Start()))
	p := pattern.New("collar", units.Millimetre)
	p.Put(neck)
	p.Put(collar)
	w := lay(t, p)
	w.do("layers", "front", "collar", "--band")
	w.do("alter", "let-out", "front", "side", "20")
	w.do("alter", "carry", "front", "neck")
	q, err := w.pattern().Piece("collar")
	require.NoError(t, err)
	require.InDelta(t, 177, q.EdgePath(0).Length(), 0.005)
	for i, r := range map[int]float64{0: 200, 2: 150} {
		for _, c := range q.EdgePath(i) {
			for k := range 9 {
				require.InDelta(t, r, c.At(float64(k)/8).Dist(geom.Pt(0, 0)), 0.06) // a cubic for an arc
			}
		}
	}
	end := q.EdgePath(1)
	require.InDelta(t, 0, end.Start().Unit().Cross(end.End().Unit()), 1e-4)
}

// A corner that outer and facing share is rounded on the facing too, when an
// edge at it is carried; the lining has no such corner.
func TestCarryARounding(t *testing.T) {
	w := layeredFront(t)
	w.do("alter", "round-corner", "front", "hemline/front edge", "25")
	w.do("commit", "rounded")
	out := w.do("alter", "carry", "front", "hemline")
	require.NotContains(t, out, "lining: altered")
	q, err := w.pattern().Piece("facing")
	require.NoError(t, err)
	require.Equal(t, 25.0, q.Corners[q.CornerIndex("hemline/front edge")].Round)
	w.do("commit", "the facing too")
	w.do("alter", "restore-corner", "front", "hemline/front edge")
	w.do("alter", "carry", "front", "front edge")
	q, err = w.pattern().Piece("facing")
	require.NoError(t, err)
	require.Zero(t, q.Corners[q.CornerIndex("hemline/front edge")].Round)
}
