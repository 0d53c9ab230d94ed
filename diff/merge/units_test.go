package merge

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// smock is a back, a front sewn to it and a facing on the front, with notches,
// marks and a fitting.
func smock(t testing.TB) *pattern.Pattern {
	back := pieceOf("back", lineTo("waist", 0, 0, 200, 0), lineTo("side", 200, 0, 200, 600), lineTo("hem", 200, 600, 0, 600), lineTo("centre", 0, 600, 0, 0))
	front := pieceOf("front", lineTo("waist", 0, 0, 180, 0), lineTo("edge", 180, 0, 180, 600), lineTo("hem", 180, 600, 0, 600), lineTo("side", 0, 600, 0, 0))
	facing := pieceOf("facing", lineTo("top", 130, 0, 180, 0), lineTo("edge", 180, 0, 180, 600), lineTo("hem", 180, 600, 130, 600), lineTo("inner", 130, 600, 130, 0))
	back.Notches = []pattern.Notch{{Name: "hip", Edge: "side", At: 240, Count: 1}}
	front.Notches = []pattern.Notch{{Name: "hip", Edge: "side", At: 240, FromEnd: true, Count: 1}}
	front.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "button", At: geom.Pt(170, 40), Size: 18}}
	p := patternOf(t, back, front, facing)
	sew := func(name, a, b string) {
		first, err := p.ParseChain(a)
		require.NoError(t, err)
		second, err := p.ParseChain(b)
		require.NoError(t, err)
		p.Seams = append(p.Seams, pattern.Seam{Name: name, First: first, Second: second})
	}
	sew("side seam", "back/side", "front/side")
	sew("facing seam", "front/edge", "facing/edge")
	p.Seams[1].SameWay = true
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"facing"}}}
	p.Fittings = []*pattern.Fitting{{Number: 1, ID: "0a0b0c0d", Date: "2026-05-01", Cloth: "calico", Version: 1,
		Notes: []pattern.Note{{Number: 1, Piece: "back", Seen: "drags", ToDo: "shorten"}}}}
	return kept1(t, p)
}

// edited changes a copy.
func edited(t testing.TB, p *pattern.Pattern, change func(q *pattern.Pattern)) *pattern.Pattern {
	t.Helper()
	q := p.Clone()
	change(q)
	return kept1(t, q)
}

func named(t testing.TB, p *pattern.Pattern, name string) *pattern.Piece {
	t.Helper()
	q, err := p.Piece(name)
	require.NoError(t, err)
	return q
}

// conflicted merges and returns where it is in conflict, from either side.
func conflicted(t testing.TB, shared, here, there *pattern.Pattern) []string {
	t.Helper()
	var where [2][]string
	for turn, in := range []Input{{Shared: shared, Here: here, There: there}, {Shared: shared, Here: there, There: here}} {
		res, err := Merge(in)
		require.NoError(t, err)
		require.Nil(t, res.Pattern)
		for _, c := range res.Conflicts {
			where[turn] = append(where[turn], c.Where)
		}
	}
	require.ElementsMatch(t, where[0], where[1])
	return where[0]
}

// bothWays merges from either side, and the results are the same.
func bothWays(t testing.TB, shared, here, there *pattern.Pattern) *pattern.Pattern {
	t.Helper()
	m := joined(t, shared, here, there)
	require.Equal(t, text(t, m), text(t, joined(t, shared, there, here)))
	return m
}

func TestUnitsOfPatternsMerge(t *testing.T) {
	s := smock(t)
	here := edited(t, s, func(p *pattern.Pattern) {
		p.Seams[0].Finish = "felled"
		p.Sets = append(p.Sets, "hand")
		named(t, p, "back").Edges[0].Allowance["cloth"] = 20
		named(t, p, "front").Notches = append(named(t, p, "front").Notches, pattern.Notch{Name: "b", Edge: "hem", At: 40, Count: 1})
		named(t, p, "front").Marks[0].Size = 20
		named(t, p, "back").Cloth = "linen"
	})
	there := edited(t, s, func(p *pattern.Pattern) {
		p.Seams[0].Openings = []pattern.Opening{{Name: "slit", From: 500, To: 600}}
		p.Sets = append(p.Sets, "draft")
		named(t, p, "back").Edges[0].Allowance["toile"] = 30
		named(t, p, "front").Notches = append(named(t, p, "front").Notches, pattern.Notch{Name: "a", Edge: "hem", At: 60, Count: 1})
		named(t, p, "front").Marks = nil
		named(t, p, "back").Cut = pattern.CutPair
		p.Tolerances.Section = 2
	})
	// The mark was changed on one side and taken away on the other.
	assert.Equal(t, []string{"front/button"}, conflicted(t, s, here, there))
	there.Pieces[2].Marks = s.Clone().Pieces[2].Marks
	m := bothWays(t, s, here, there)
	assert.Equal(t, "felled", m.Seams[0].Finish)
	assert.Len(t, m.Seams[0].Openings, 1)
	assert.Equal(t, []string{"cloth", "toile", "draft", "hand"}, m.Sets)
	back, front := named(t, m, "back"), named(t, m, "front")
	assert.Equal(t, map[string]float64{"cloth": 20, "toile": 30}, back.Edges[0].Allowance)
	assert.Equal(t, "linen", back.Cloth)
	assert.Equal(t, pattern.CutPair, back.Cut)
	assert.Equal(t, 2.0, m.Tolerances.Section)
	var names []string
	for _, n := range front.Notches {
		names = append(names, n.Name)
	}
	assert.Equal(t, []string{"hip", "a", "b"}, names)
	assert.Equal(t, 20.0, front.Marks[0].Size)
}

func TestWholeFiles(t *testing.T) {
	s := smock(t)
	here := edited(t, s, func(p *pattern.Pattern) {
		q := pieceOf("pocket", lineTo("top", 0, 0, 100, 0), lineTo("right", 100, 0, 100, 120), lineTo("bottom", 100, 120, 0, 120), lineTo("left", 0, 120, 0, 0))
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	})
	gone := altered(t, s, "remove", "facing", "seams", "true")
	m := bothWays(t, s, here, gone)
	assert.Equal(t, []string{"back", "front", "pocket"}, m.PieceNames())
	assert.Len(t, m.Seams, 1)
	assert.Empty(t, m.Layers)

	// Removed on one side, changed on the other.
	changed := altered(t, s, "shorten", "facing", "edge", "hem", "by", "10")
	where := conflicted(t, s, changed, gone)
	assert.Contains(t, where, "facing")
	for _, side := range []string{"here", "there"} {
		a, err := ParseAnswer(side)
		require.NoError(t, err)
		res, err := Merge(Input{Shared: s, Here: changed, There: gone, Keep: []Answer{a}})
		if side == "here" { // the piece stays, and the seam and the layer it lies in are gone
			require.NoError(t, err)
			require.Contains(t, res.Pattern.PieceNames(), "facing")
			continue
		}
		require.NoError(t, err)
		require.NotContains(t, res.Pattern.PieceNames(), "facing")
	}
}

// Split, spread and mirror are in conflict with any other change of the
// outline, and with none where the other side only says something else.
func TestWholeOutlines(t *testing.T) {
	s := smock(t)
	let := altered(t, s, "let-out", "back", "edge", "side", "by", "10")
	notched := altered(t, s, "notch", "back", "edge", "waist", "at", "30", "name", "dart")
	for name, there := range map[string]*pattern.Pattern{
		"split":  altered(t, s, "split", "back", "line", "100,0:100,600", "into", "back,side back"),
		"mirror": altered(t, s, "mirror", "back"),
	} {
		t.Run(name, func(t *testing.T) {
			require.Contains(t, conflicted(t, s, let, there), "back")
			if name == "split" {
				// The waist is in two parts then, and the notch on the one that is there.
				m := joined(t, s, edited(t, s, func(p *pattern.Pattern) { named(t, p, "back").Cloth = "linen" }), there)
				require.Equal(t, "linen", named(t, m, "back").Cloth)
				require.Contains(t, m.PieceNames(), "side back")
				return
			}
			m := bothWays(t, s, notched, there)
			require.GreaterOrEqual(t, named(t, m, "back").NotchByName("dart"), 0)
		})
	}
	body := patternOf(t, pieceOf("back", lineTo("neck", 0, 20, 80, 0), lineTo("shoulder", 80, 0, 180, 40), curveTo("armhole", 180, 40, 165, 100, 170, 180, 210, 210),
		lineTo("side", 210, 210, 230, 600), lineTo("hem", 230, 600, 0, 600), lineTo("centre", 0, 600, 0, 20)))
	spread := altered(t, body, "spread", "back", "line", "shoulder@50:hem@120", "by", "20")
	require.Equal(t, []string{"back"}, conflicted(t, body, altered(t, body, "shorten", "back", "edge", "hem", "by", "30"), spread))
	bothWays(t, body, altered(t, body, "notch", "back", "edge", "side", "at", "30", "name", "dart"), spread)
	// Kept: the undivided piece, and what was split off does not come.
	split := altered(t, s, "split", "back", "line", "100,0:100,600", "into", "back,side back")
	res, err := Merge(Input{Shared: s, Here: let, There: split, Keep: []Answer{{Side: Here}}})
	require.NoError(t, err)
	require.NotContains(t, res.Pattern.PieceNames(), "side back")
	require.Equal(t, []string{"side seam", "facing seam"}, []string{res.Pattern.Seams[0].Name, res.Pattern.Seams[1].Name})
	require.Len(t, res.Pattern.Seams, 2)
	require.Contains(t, res.Says[0], "left out")
	res, err = Merge(Input{Shared: s, Here: let, There: split, Keep: []Answer{{Side: There}}})
	require.NoError(t, err)
	require.Contains(t, res.Pattern.PieceNames(), "side back")
}

func TestNamesFollow(t *testing.T) {
	s := smock(t)
	here := altered(t, s, "rename", "back", "to", "rear")
	here = altered(t, here, "rename", "front", "edge", "side", "to", "side seam")
	there := altered(t, s, "shorten", "back", "edge", "hem", "by", "20")
	there = edited(t, there, func(p *pattern.Pattern) {
		first, err := p.ParseChain("back/waist")
		require.NoError(t, err)
		second, err := p.ParseChain("front/waist")
		require.NoError(t, err)
		p.Seams = append(p.Seams, pattern.Seam{Name: "waist seam", First: first, Second: second})
	})
	m := bothWays(t, s, here, there)
	require.Equal(t, 580.0, named(t, m, "rear").EdgePath(1).Length())
	require.Equal(t, "rear/waist", m.Seams[2].First.String())
	require.Equal(t, "front/side seam", m.Seams[0].Second.String())
	other := altered(t, s, "rename", "back", "to", "behind")
	require.Equal(t, []string{"back/name"}, conflicted(t, s, here, other))
}

func TestFittingsMerge(t *testing.T) {
	s := smock(t)
	here := edited(t, s, func(p *pattern.Pattern) {
		p.Fittings[0].Notes[0].Answered = 4
		p.Fittings[0].Worn = "a shirt"
		p.Fittings[0].Notes = append(p.Fittings[0].Notes, pattern.Note{Number: 2, Seen: "tight"})
		p.Fittings = append(p.Fittings, &pattern.Fitting{Number: 2, ID: "11111111", Date: "2026-06-02"})
	})
	there := edited(t, s, func(p *pattern.Pattern) {
		p.Fittings[0].Notes[0].Answered = 3
		p.Fittings[0].Closures = "front"
		p.Fittings[0].Notes = append(p.Fittings[0].Notes, pattern.Note{Number: 2, Seen: "wide"})
		p.Fittings = append(p.Fittings, &pattern.Fitting{Number: 2, ID: "22222222", Date: "2026-06-03"})
	})
	m := bothWays(t, s, here, there)
	f := m.Fittings[0]
	assert.Equal(t, 3, f.Notes[0].Answered, "the first version that answered it")
	assert.Equal(t, "a shirt", f.Worn)
	assert.Equal(t, "front", f.Closures)
	assert.Len(t, f.Notes, 3)
	require.Len(t, m.Fittings, 3)
	assert.Equal(t, []string{"11111111", "22222222"}, []string{m.Fittings[1].ID, m.Fittings[2].ID})
	assert.Equal(t, 3, m.Fittings[2].Number)
	res, err := Merge(Input{Shared: s, Here: here, There: there})
	require.NoError(t, err)
	assert.Len(t, res.Says, 2, "both are told")

	words := edited(t, s, func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Seen = "drags left" })
	others := edited(t, s, func(p *pattern.Pattern) { p.Fittings[0].Notes[0].Seen = "drags right" })
	assert.Equal(t, []string{"note 1.1"}, conflicted(t, s, words, others))

	// Taking a version back leaves the fittings as they are.
	back := reverted(t, here, here, s)
	assert.Len(t, back.Fittings, 2)
}

// Two fittings with one id are refused rather than one of them lost; one id that
// came on both sides is one fitting, and that is said.
func TestFittingsOfOneID(t *testing.T) {
	s := smock(t)
	twice := s.Clone()
	first := pattern.Fitting{Number: 2, ID: "11111111", Date: "2026-05-01", Cloth: "old sheet"}
	for number := range 2 {
		f := first
		f.Number += number
		twice.Fittings = append(twice.Fittings, &f)
	}
	for _, in := range []Input{{Shared: s, Here: twice, There: s}, {Shared: s, Here: s, There: twice}, {Shared: twice, Here: s, There: s}} {
		_, err := Merge(in)
		require.EqualError(t, err, "fittings 2 and 3 bear one id, 11111111, so that a merge cannot tell them apart; leave the id line out of fittings/03-1111.yaml, commit, and merge again")
	}
	with := func(seen string) *pattern.Pattern {
		return edited(t, s, func(p *pattern.Pattern) {
			f := first
			f.Notes = []pattern.Note{{Number: 1, Seen: seen}}
			p.Fittings = append(p.Fittings, &f)
		})
	}
	res, err := Merge(Input{Shared: s, Here: with("gapes"), There: with("drags")})
	require.NoError(t, err)
	require.Len(t, res.Pattern.Fittings, 2)
	assert.Len(t, res.Pattern.Fittings[1].Notes, 2)
	assert.Contains(t, res.Says[0], "fitting 2, 2026-05-01, old sheet, came on both sides with the id 11111111")
	res, err = Merge(Input{Shared: s, Here: with("gapes"), There: with("gapes")})
	require.NoError(t, err)
	assert.Empty(t, res.Says)
}

// An answer goes for what it names, the narrower before the wider, and one that
// fits nothing is refused.
func TestAnswers(t *testing.T) {
	s := smock(t)
	here := altered(t, altered(t, s, "shorten", "back", "edge", "hem", "by", "10"), "let-out", "back", "edge", "side", "by", "5")
	there := altered(t, altered(t, s, "shorten", "back", "edge", "hem", "by", "30"), "let-out", "back", "edge", "side", "by", "8")
	require.Equal(t, []string{"back/side", "back/hem"}, conflicted(t, s, here, there))
	for _, c := range []struct {
		keep []string
		x, y float64
	}{
		{[]string{"here"}, 205, 590}, {[]string{"there"}, 208, 570},
		{[]string{"here", "there:back/hem"}, 205, 570}, {[]string{"there:back", "here:back/side"}, 205, 570},
		{[]string{"here:back/hem", "there:back/side"}, 208, 590},
	} {
		var keep []Answer
		for _, k := range c.keep {
			a, err := ParseAnswer(k)
			require.NoError(t, err)
			keep = append(keep, a)
		}
		res, err := Merge(Input{Shared: s, Here: here, There: there, Keep: keep})
		require.NoError(t, err)
		require.NotNil(t, res.Pattern, c.keep)
		near(t, geom.Pt(c.x, c.y), named(t, res.Pattern, "back").Corners[2].At, 0.001)
		require.Len(t, res.Answered, 2)
	}
	one, err := Merge(Input{Shared: s, Here: here, There: there, Keep: []Answer{{Side: Here, Where: "back/hem"}}})
	require.NoError(t, err)
	require.Len(t, one.Conflicts, 1)
	require.Nil(t, one.Pattern)
	_, err = Merge(Input{Shared: s, Here: here, There: there, Keep: []Answer{{Side: Here, Where: "back/neck"}}})
	require.ErrorContains(t, err, "back/side, back/hem")
	_, err = Merge(Input{Shared: s, Here: here, There: s, Keep: []Answer{{Side: Here}}})
	require.ErrorContains(t, err, "nothing to decide")
	for _, bad := range []string{"", "both", "here:", "hier:back"} {
		_, err := ParseAnswer(bad)
		require.Error(t, err, bad)
	}
}

// A rounding that no longer fits beside the other side's change is a conflict,
// not a piece that cannot be drawn.
func TestRoundingThatNoLongerFits(t *testing.T) {
	s := patternOf(t, pieceOf("tab", lineTo("top", 0, 0, 40, 0), lineTo("right", 40, 0, 40, 100), lineTo("bottom", 40, 100, 0, 100), lineTo("left", 0, 100, 0, 0)))
	here := altered(t, altered(t, s, "round-corner", "tab", "corner", "top/right", "radius", "20"), "round-corner", "tab", "corner", "left/top", "radius", "20")
	there := altered(t, s, "take-in", "tab", "edge", "right", "by", "10")
	require.Equal(t, []string{"tab"}, conflicted(t, s, here, there))
	res, err := Merge(Input{Shared: s, Here: here, There: there, Keep: []Answer{{Side: There, Where: "tab"}}})
	require.NoError(t, err)
	require.Equal(t, 30.0, named(t, res.Pattern, "tab").EdgePath(0).Length())
}

// Merging what one side alone did gives that side's files.
func TestOneSideAlone(t *testing.T) {
	s := smock(t)
	there := altered(t, altered(t, s, "flare", "back", "edge", "side", "angle", "3"), "notch", "front", "edge", "hem", "at", "50", "name", "x")
	require.Equal(t, text(t, there), text(t, bothWays(t, s, s, there)))
	require.Equal(t, text(t, there), text(t, bothWays(t, s, there, there)))
	require.Equal(t, text(t, s), text(t, reverted(t, there, there, s)))
}

// What is said of a note and of a fitting besides words stays where the other side
// changed something else of that fitting.
func TestFittingsMergeWhole(t *testing.T) {
	s := edited(t, smock(t), func(p *pattern.Pattern) {
		f := p.Fittings[0]
		f.Notes[0].Answered = 1
		f.Notes = append(f.Notes, pattern.Note{Number: len(f.Notes) + 1, Seen: "gone soon"})
	})
	last := s.Fittings[0].NextNote() - 1
	here := edited(t, s, func(p *pattern.Pattern) {
		f, l, r := p.Fittings[0], 4.0, 6.0
		f.Notes[0].Pinned, f.Notes[0].Left, f.Notes[0].Right, f.Notes[0].Side = 0, &l, &r, pattern.WearerBoth
		f.Wearer, f.Measures = "model", map[string]float64{"hip": 1000}
		p.Fittings = append(p.Fittings, &pattern.Fitting{Number: 2, ID: "22222222", Date: "2026-06-03"})
		f.Notes[0].Again, f.Notes[0].Answered = []pattern.SeenAgain{{Fitting: 2, After: 1}}, 0
	})
	there := edited(t, s, func(p *pattern.Pattern) {
		f := p.Fittings[0]
		f.Notes = f.Notes[:last-1]
		f.TakenAway = []int{last}
		f.Notes[0].ToDo = "let out"
		p.Fittings = append(p.Fittings, &pattern.Fitting{Number: 2, ID: "11111111", Date: "2026-06-02"})
	})
	m := bothWays(t, s, here, there)
	f := m.Fittings[0]
	require.NotNil(t, f.Notes[0].Left)
	assert.Equal(t, 6.0, *f.Notes[0].Right)
	assert.Equal(t, []pattern.SeenAgain{{Fitting: 3, After: 1}}, f.Notes[0].Again, "the fitting at which it was seen again is number 3 now")
	assert.Equal(t, "let out", f.Notes[0].ToDo)
	assert.True(t, f.Notes[0].Open())
	assert.Equal(t, "model", f.Wearer)
	assert.Equal(t, map[string]float64{"hip": 1000}, f.Measures)
	assert.Equal(t, []int{last}, f.TakenAway)
	assert.Nil(t, f.Note(last))
}
