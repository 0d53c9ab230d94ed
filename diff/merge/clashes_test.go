package merge

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// pocketed is a smock with a pocket that nothing is sewn to.
func pocketed(t *testing.T) *pattern.Pattern {
	return edited(t, smock(t), func(p *pattern.Pattern) {
		q := pieceOf("pocket", lineTo("top", 0, 0, 160, 0), lineTo("right", 160, 0, 160, 190), lineTo("bottom", 160, 190, 0, 190), lineTo("left", 0, 190, 0, 0))
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	})
}

func keptSide(t *testing.T, s, here, there *pattern.Pattern, side Side) Result {
	t.Helper()
	res, err := Merge(Input{Shared: s, Here: here, There: there, Keep: []Answer{{Side: side}}})
	require.NoError(t, err)
	require.NotNil(t, res.Pattern)
	return res
}

// Divided on both sides: the parts are those of the side that is kept, all of
// them and no others.
func TestSplitOnBothSides(t *testing.T) {
	s := pocketed(t)
	for _, names := range [][2]string{{"pl,pr", "left,right"}, {"pl,pr", "pl,pr"}} {
		here := altered(t, s, "split", "pocket", "line", "80,0:80,190", "into", names[0])
		there := altered(t, s, "split", "pocket", "line", "110,0:110,190", "into", names[1])
		sides := [2]*pattern.Pattern{here, there}
		for side := range sides {
			res := keptSide(t, s, here, there, Side(side))
			assert.Equal(t, sides[side].PieceNames(), res.Pattern.PieceNames(), names)
			assert.Equal(t, len(sides[side].Seams), len(res.Pattern.Seams), names)
		}
	}
	// Divided here and taken away there.
	here := altered(t, s, "split", "pocket", "line", "80,0:80,190", "into", "pl,pr")
	here = altered(t, here, "split", "pr", "line", "40,0:40,190", "into", "pr,far")
	there := altered(t, s, "remove", "pocket")
	res, err := Merge(Input{Shared: s, Here: here, There: there})
	require.NoError(t, err)
	require.Len(t, res.Conflicts, 1)
	assert.Equal(t, "pocket, called pl here, was removed there and changed here", said(res)[0])
	assert.Equal(t, there.PieceNames(), keptSide(t, s, here, there, There).Pattern.PieceNames())
	assert.Equal(t, here.PieceNames(), keptSide(t, s, here, there, Here).Pattern.PieceNames())
}

func said(res Result) (all []string) {
	for _, c := range res.Conflicts {
		all = append(all, c.Says)
	}
	return all
}

// Two notches or marks that both sides brought in both stay; one gets the next
// name. Named alike and on one edge they are a question that says where each is.
func TestNotchesAndMarksOfBothSides(t *testing.T) {
	s := smock(t)
	here := altered(t, s, "notch", "back", "edge", "side", "at", "310")
	there := altered(t, s, "notch", "back", "edge", "hem", "at", "50")
	m := bothWays(t, s, here, there)
	q := named(t, m, "back")
	require.Len(t, q.Notches, 3)
	for _, name := range []string{"notch", "notch 2"} {
		require.GreaterOrEqual(t, q.NotchByName(name), 0)
	}
	here, there = altered(t, s, "mark", "back", "kind", "dot", "at", "50,50"), altered(t, s, "mark", "back", "kind", "dot", "at", "90,90")
	require.Len(t, named(t, bothWays(t, s, here, there), "back").Marks, 2)

	here = altered(t, s, "notch", "back", "edge", "side", "at", "100", "name", "waist")
	there = altered(t, s, "notch", "back", "edge", "side", "at", "120", "name", "waist")
	res, err := Merge(Input{Shared: s, Here: here, There: there})
	require.NoError(t, err)
	assert.Equal(t, []string{`back: the notch "waist": both changed it, and not in the same way: on "side" at 100 mm from its start here, on "side" at 120 mm from its start there`}, said(res))
}

// What either side did is told with the question.
func TestConflictsSayWhatEitherDid(t *testing.T) {
	s := smock(t)
	here := altered(t, altered(t, s, "allowance", "back", "edge", "side", "to", "20"), "round-corner", "back", "corner", "side/hem", "radius", "40")
	there := altered(t, altered(t, s, "allowance", "back", "edge", "side", "to", "15"), "round-corner", "back", "corner", "side/hem", "radius", "20")
	res, err := Merge(Input{Shared: s, Here: here, There: there})
	require.NoError(t, err)
	assert.Equal(t, []string{`back: "side": both changed its allowance for cloth: 20 mm here, 15 mm there`,
		`back: the corner side/hem: both changed its rounding: 40 mm here, 20 mm there`}, said(res))
	sewn := func(with string) *pattern.Pattern {
		return edited(t, s, func(p *pattern.Pattern) {
			first, err := p.ParseChain("back/waist")
			require.NoError(t, err)
			second, err := p.ParseChain(with)
			require.NoError(t, err)
			p.Seams = append(p.Seams, pattern.Seam{Name: "new", First: first, Second: second})
		})
	}
	res, err = Merge(Input{Shared: s, Here: sewn("front/waist"), There: sewn("facing/top")})
	require.NoError(t, err)
	assert.Equal(t, []string{`seam "new": both made it, and not the same: back/waist to front/waist here, back/waist to facing/top there`}, said(res))
}

// Two pieces, or two edges, that were renamed to one name are told apart, and
// names that were exchanged are exchanged.
func TestNamesThatClash(t *testing.T) {
	s := pocketed(t)
	m := bothWays(t, s, altered(t, s, "rename", "pocket", "to", "bag"), altered(t, s, "rename", "facing", "to", "bag"))
	assert.ElementsMatch(t, []string{"back", "bag", "bag 2", "front"}, m.PieceNames())
	assert.Len(t, m.Seams, 2)
	m = bothWays(t, s, altered(t, s, "rename", "pocket", "edge", "left", "to", "rim"), altered(t, s, "rename", "pocket", "edge", "right", "to", "rim"))
	assert.ElementsMatch(t, []string{"top", "rim", "rim 2", "bottom"}, named(t, m, "pocket").EdgeNames())

	exchanged := altered(t, altered(t, altered(t, s, "rename", "back", "to", "x"), "rename", "front", "to", "back"), "rename", "x", "to", "front")
	m = bothWays(t, s, exchanged, altered(t, s, "notch", "pocket", "edge", "top", "at", "30"))
	assert.Equal(t, "front/side", m.Seams[0].First.String())
	assert.Equal(t, "back/edge", m.Seams[1].First.String())
	edges := altered(t, altered(t, altered(t, s, "rename", "back", "edge", "side", "to", "x"), "rename", "back", "edge", "hem", "to", "side"), "rename", "back", "edge", "x", "to", "hem")
	m = bothWays(t, s, edges, altered(t, s, "notch", "back", "edge", "waist", "at", "30"))
	assert.Equal(t, "back/hem", m.Seams[0].First.String())
	back := named(t, m, "back")
	assert.Equal(t, "hem", back.Notches[back.NotchByName("hip")].Edge)
}

// A version that brought a piece in is taken back: what was sewn on it since is
// asked about, and goes with it.
func TestRevertOfAPieceThatWasSewnOn(t *testing.T) {
	before, version := smock(t), pocketed(t)
	present := edited(t, version, func(p *pattern.Pattern) {
		first, err := p.ParseChain("pocket/top")
		require.NoError(t, err)
		second, err := p.ParseChain("front/waist")
		require.NoError(t, err)
		p.Seams = append(p.Seams, pattern.Seam{Name: "pocket seam", First: first, Second: second})
	})
	in := Input{Shared: version, Here: present, There: before, Revert: true}
	res, err := Merge(in)
	require.NoError(t, err)
	assert.Equal(t, []string{`pocket was not there before, and the seam "pocket seam" on it has come since`}, said(res))
	in.Keep = []Answer{{Side: There}}
	res, err = Merge(in)
	require.NoError(t, err)
	assert.Equal(t, text(t, before), text(t, res.Pattern))
	assert.Contains(t, fmt.Sprint(res.Says), "left out")
	in.Keep = []Answer{{Side: Here}}
	res, err = Merge(in)
	require.NoError(t, err)
	assert.Equal(t, text(t, present), text(t, res.Pattern))
}

// A piece that was taken away on one side and renamed on the other is gone, and
// that is said.
func TestRenamedAndRemoved(t *testing.T) {
	s := pocketed(t)
	res, err := Merge(Input{Shared: s, Here: altered(t, s, "remove", "pocket"), There: altered(t, s, "rename", "pocket", "to", "bag")})
	require.NoError(t, err)
	require.Empty(t, res.Conflicts)
	assert.Equal(t, []string{"pocket was removed here; that it is called bag there came to nothing"}, res.Says)
}

// Words of a note that were changed in different places are put together.
func TestNotesWordByWord(t *testing.T) {
	s := edited(t, smock(t), func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Seen = "drags at the hip, left" })
	m := bothWays(t, s, edited(t, s, func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Seen = "drags badly at the hip, left" }),
		edited(t, s, func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Seen = "drags at the hip, both sides" }))
	assert.Equal(t, "drags badly at the hip, both sides", m.Fittings[0].Notes[0].Seen)
}

// A piece that an answer keeps whole is called as on that side; an answer may call it
// as either side does.
func TestWholePiecesKeepTheirName(t *testing.T) {
	s := patternOf(t, pieceOf("pocket", lineTo("top", 0, 0, 150, 0), lineTo("right", 150, 0, 150, 160), lineTo("bottom", 150, 160, 0, 160), lineTo("left", 0, 160, 0, 0)))
	split := func(at, into string) *pattern.Pattern {
		return altered(t, s, "split", "pocket", "line", "0,"+at+":150,"+at, "into", into)
	}
	here, there := split("80", "pl,pr"), altered(t, s, "shorten", "pocket", "edge", "bottom", "by", "10")
	kept := func(there *pattern.Pattern, keep ...Answer) *pattern.Pattern {
		res, err := Merge(Input{Shared: s, Here: here, There: there, Keep: keep})
		require.NoError(t, err)
		require.Empty(t, res.Conflicts)
		return res.Pattern
	}
	for _, where := range []string{"", "pl", "pocket"} {
		m := kept(there, Answer{There, where})
		require.Len(t, m.Pieces, 1)
		require.Equal(t, "pocket", m.Pieces[0].Name)
		require.Len(t, kept(there, Answer{Here, where}).Pieces, 2)
	}
	other := split("60", "up,low")
	for _, where := range []string{"pl", "up", "pocket"} {
		m := kept(other, Answer{There, "pocket/name"}, Answer{Here, where})
		require.Len(t, m.Pieces, 2)
		_, err := m.Piece("up")
		require.NoError(t, err, where)
	}
}

// A note that one side answered and saw again is not closed unasked by what the
// other side did before it knew of that.
func TestNoteSeenAgainStaysOpen(t *testing.T) {
	s := edited(t, smock(t), func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Answered = 0 })
	again := edited(t, s, func(p *pattern.Pattern) {
		p.Fittings = append(p.Fittings, &pattern.Fitting{Number: 2, ID: "22222222", Date: "2026-06-03"})
		p.Fittings[0].Notes[0].Again = []pattern.SeenAgain{{Fitting: 2, After: 3}}
	})
	answered := edited(t, s, func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Answered = 4 })
	for k, sides := range [][2]*pattern.Pattern{{again, answered}, {answered, again}} {
		assert.Equal(t, []string{"note 1.1"}, conflicted(t, s, sides[0], sides[1]))
		for side, want := range [][2]int{{0, 4}, {4, 0}}[k] {
			res, err := Merge(Input{Shared: s, Here: sides[0], There: sides[1], Keep: []Answer{{Side: Side(side)}}})
			require.NoError(t, err)
			note := res.Pattern.Fittings[0].Notes[0]
			assert.Equal(t, want, note.Answered)
			assert.Len(t, note.Again, 1)
		}
	}
}
