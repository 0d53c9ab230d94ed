package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// dartAndPleat is a skirt back 240 by 600 with a dart, 100 to 130 on the waist with its
// point 120 below the middle, and a pleat from 180 to 210.
func dartAndPleat(t *testing.T) *pattern.Pattern {
	p := patternOf(oblongOf("back", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre back"))
	q := pieceOf(t, p, "back")
	q.Cut = pattern.CutOnFold
	q.Marks = append(q.Marks, pattern.Mark{Kind: pattern.MarkDart, Name: "dart", Edge: "waist", From: 100, To: 130, At: q.EdgePath(0).PointAt(115).Add(q.GrainDirection().Mul(120))},
		pattern.Mark{Kind: pattern.MarkPleat, Name: "pleat", Edge: "waist", From: 180, To: 210, Direction: "end"})
	return p
}

// A dart is moved along its edge whole, with its point, so that its legs stay as long as
// they were; elsewhere its point alone moves, and it is said that its mouth stays.
func TestMoveOfADart(t *testing.T) {
	p := dartAndPleat(t)
	was := pieceOf(t, p, "back").Marks[0]
	res := made(t, p, "move", "back", "name", "dart", "to", "waist@75")
	now := pieceOf(t, res.Pattern, "back").Marks[0]
	require.Equal(t, [2]float64{60, 90}, [2]float64{now.From, now.To})
	require.InDelta(t, 40, now.At.Dist(was.At), 1e-3)
	path := pieceOf(t, p, "back").EdgePath(0)
	for k, at := range [2][2]float64{{was.From, now.From}, {was.To, now.To}} {
		require.InDelta(t, path.PointAt(at[0]).Dist(was.At), path.PointAt(at[1]).Dist(now.At), 1e-3, "leg %d", k)
	}
	require.Empty(t, res.Says)

	res = made(t, p, "move", "back", "name", "dart", "down", "10")
	now = pieceOf(t, res.Pattern, "back").Marks[0]
	require.Equal(t, [2]float64{100, 130}, [2]float64{now.From, now.To})
	require.InDelta(t, 10, now.At.Dist(was.At), 1e-3)
	require.Equal(t, []string{`back: the point of the dart "dart" is moved; its mouth stays on "waist", from 100 mm to 130 mm. All of it is moved along "waist" with ` +
		"`toile alter move \"back\" \"dart\" --to \"waist@L\"`."}, res.Says)

	pleat := pieceOf(t, made(t, p, "move", "back", "name", "pleat", "to", "waist@200").Pattern, "back").Marks[1]
	require.Equal(t, [2]float64{185, 215}, [2]float64{pleat.From, pleat.To})
}

// What a dart or a pleat cannot do is refused with what it can.
func TestMoveOfADartRefused(t *testing.T) {
	p := dartAndPleat(t)
	for _, c := range []struct{ name, key, value, want string }{
		{"pleat", "across", "10", `the pleat "pleat" lies on "waist" and moves along that alone; say with --to where on "waist" the middle of it comes to lie, as in --to "waist@195mm"`},
		{"pleat", "to", "hemline@40", "moves along that alone"},
		{"pleat", "by", "10", `lies on an edge from 180 mm to 210 mm; say with --to`},
		{"dart", "by", "10", `as in --to "waist@115mm"`},
		{"dart", "to", "waist@10", "takes 30 mm of \"waist\", which is 240 mm long; with its middle at 10 mm it would run off it"},
		{"dart", "to", "waist@170", `would lie over the pleat "pleat", from 180 mm to 210 mm; move that first`},
	} {
		_, err := Make(p, recipe("move", "back", "name", c.name, c.key, c.value))
		require.ErrorContains(t, err, c.want, "%s --%s %s", c.name, c.key, c.value)
	}
}
