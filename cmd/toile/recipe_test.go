package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/match"
)

// A recipe written from one pattern and made on another's tracing of the same
// pieces gives the same alteration: laid over the first, the altered outlines
// lie as near as the tracing lay before. The tracing lies elsewhere, turned,
// and its corners are off by up to 0.1 mm; lines across a piece were typed as
// places on the first one's sheet.
func TestRecipeOnAnothersTracing(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 9))
	for name, alterations := range map[string][][]string{
		"sewn":    {{"flare", "back", "side seam", "45", "--from", "180", "--both"}, {"shorten", "back", "hemline", "35", "--along", "side seam", "--both"}},
		"carried": {{"let-out", "back", "side seam", "12"}, {"carry", "back", "side seam"}},
		"layers": {{"facing", "back", "centre back", "60", "--as", "facing"}, {"lining", "back", "--facing", "facing", "--as", "lining", "--differs", "shorter hem@hemline=-20"},
			{"interfacing", "facing", "--inset", "2", "--as", "stiff"}},
		"cut":    {{"split", "back", "--line", "120,0:150,600", "--into", "back,side back"}, {"round-corner", "side back", "side seam/hemline", "30"}},
		"spread": {{"spread", "back", "20", "--line", "130,0:140,600", "--hinge", "waist", "--stays", "centre back"}, {"take-in", "front", "centre front", "5"}},
	} {
		t.Run(name, func(t *testing.T) {
			first := lay(t, sewnPair(18, 30, true))
			for _, a := range alterations {
				first.do(append([]string{"alter"}, a...)...)
			}
			first.do("commit", "altered")
			file := filepath.Join(t.TempDir(), "all.recipe")
			first.do("recipe", "write", "2", "-o", file)
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NotContains(t, string(text), "outline")
			require.NotContains(t, string(text), "handles")

			p := sewnPair(18, 30, true)
			motion := geom.Motion{Turn: rng.Float64() - 0.5, Shift: geom.Pt(rng.Float64()*300, rng.Float64()*300)}
			for k, q := range p.Pieces {
				q.Grain = &pattern.Grain{From: geom.Pt(0, 100), To: geom.Pt(0, 500)} // the sheet was turned
				moved := q.Moved(motion)
				for i := range moved.Corners {
					moved.Corners[i].At = moved.Corners[i].At.Add(geom.Pt(0.1*(rng.Float64()-0.5), 0.1*(rng.Float64()-0.5)))
				}
				p.Pieces[k] = moved
			}
			second := lay(t, p)
			out := second.do("recipe", "make", file)
			second.do("commit", "altered alike")
			a, b := first.pattern(), second.pattern()
			require.ElementsMatch(t, a.PieceNames(), b.PieceNames(), out)
			for _, q := range a.Pieces {
				other, err := b.Piece(q.Name)
				require.NoError(t, err)
				require.Equal(t, q.EdgeNames(), other.EdgeNames(), q.Name)
				require.Less(t, farthest(t, q, other), 0.6, "%s, seed %d", q.Name, seed)
			}
			require.Equal(t, len(a.Seams), len(b.Seams))
			require.Equal(t, a.Layers, b.Layers)
		})
	}
}

// farthest is how far two outlines lie apart in mm, laid over each other.
func farthest(t *testing.T, a, b *pattern.Piece) float64 {
	t.Helper()
	p, err := a.Outline()
	require.NoError(t, err)
	q, err := b.Outline()
	require.NoError(t, err)
	var from, to []geom.Point
	for i := range a.Corners {
		from, to = append(from, b.Corners[i].At), append(to, a.Corners[i].At)
	}
	motion := geom.FitMotion(from, to, false)
	_, err = match.Measure(p.Ring, q.Ring, motion, 0.5)
	require.NoError(t, err)
	worst := 0.0
	line := geom.Path(p.Ring)
	for _, c := range q.Ring.Moved(motion) {
		for k := range 9 {
			_, d := line.Nearest(c.At(float64(k) / 8))
			worst = math.Max(worst, d)
		}
	}
	return worst
}

// FuzzRecipe holds that whatever a file of recipes holds, making it gives a
// pattern that can be kept, or an error that says something, and leaves the
// pattern as it was.
func FuzzRecipe(f *testing.F) {
	for _, k := range alter.Kinds() {
		values := ""
		for _, key := range k.Keys {
			if !key.Needed && key.Name == "all-round" {
				continue
			}
			values += fmt.Sprintf("%s: '%s', ", key.Name, map[alter.What]string{alter.Edge: "side seam", alter.Length: "12", alter.Along: "100", alter.End: "end", alter.Place: "100,200", alter.Drawn: "M 0 0 C 30 0 60 20 80 50", alter.Line: "120,0:150,600",
				alter.Corner: "side seam/hemline", alter.Angle: "3deg", alter.Names: "side seam,hemline", alter.Piece: "front", alter.Pieces: "front", alter.Name: "new", alter.Text: "20", alter.Flag: "true"}[key.What])
		}
		f.Add([]byte("format: 1\nunit: mm\nrecipes:\n- alter: " + k.Name + "\n  piece: back\n  with: {" + values + "}\n"))
	}
	f.Add([]byte("format: 1\nrecipes:\n- alter: facing\n  piece: back\n  with: {edges: 'side seam,hemline', width: '5,3', round: '2'}\n- alter: lining\n  piece: back\n  with: {facing: back facing}\n"))
	base := sewnPair(18, 30, true)
	before, err := base.Encode()
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := pattern.DecodeRecipes("x.recipe", text)
		if err != nil || len(r.List) > 4 {
			return
		}
		p := base
		for _, recipe := range r.List {
			recipe.Unit = r.Unit
			result, err := alter.Make(p, recipe)
			if err != nil {
				require.NotEmpty(t, err.Error())
				break
			}
			p = result.Pattern
			for _, q := range p.Pieces {
				require.NoError(t, q.Validate())
			}
		}
		after, err := base.Encode()
		require.NoError(t, err)
		require.Equal(t, before, after)
	})
}
