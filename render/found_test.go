package render

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// alteration makes the next state of a piece, or of two.
type alteration struct {
	name string
	make func(t *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece)
}

// alterations are one for each kind of change, on either of the two pieces.
var alterations = []alteration{
	{"hem", single(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return shifted(t, p, "hemline", m.either(-60, 50)*sizeOf(p))
	})},
	{"parallel", single(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return parallel(t, p, "side seam", m.either(-14, 20)*sizeOf(p))
	})},
	{"taper", single(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return tapered(t, p, "side seam", m.either(-8, 10)*sizeOf(p), []float64{0, m.either(-8, 25)}[m.r.IntN(2)]*sizeOf(p))
	})},
	{"swing", single(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return swung(t, p, "side seam", m.between(0.05, 0.5)*p.Length(edge(p, "side seam")), m.between(1, 6))
	})},
	{"swing in", onPanel(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return swung(t, p, "side seam", m.between(0.1, 0.5)*p.Length(edge(p, "side seam")), -m.between(1, 3))
	})},
	{"both", single(func(t *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := shifted(t, swung(t, p, "side seam", 0.3*p.Length(edge(p, "side seam")), m.between(1, 4)), "hemline", -m.between(20, 60)*sizeOf(p))
		q.Corners[edge(q, "hemline")].Round = m.between(20, 40) * sizeOf(p)
		return q
	})},
	{"round", func(t *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		a, b := p.Clone(), p.Clone()
		radii := [][2]float64{{0, 40}, {30, 60}, {60, 30}, {50, 0}}[m.r.IntN(4)]
		a.Corners[edge(p, "hemline")].Round, b.Corners[edge(p, "hemline")].Round = radii[0]*sizeOf(p), radii[1]*sizeOf(p)
		return []*pattern.Piece{a}, []*pattern.Piece{b}
	}},
	{"redraw", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		path := p.EdgePath(edge(p, "hemline"))
		bow := path.TangentAt(path.Length() / 2).Left().Mul(m.either(-30, 40) * sizeOf(p))
		a, b := path.Start(), path.End()
		q.Edges[edge(p, "hemline")].SetPath(geom.Path{{P0: a, P1: a.Lerp(b, 0.2).Add(bow), P2: a.Lerp(b, 0.6).Add(bow.Mul(0.2)), P3: b}})
		return q
	})},
	{"new edge", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		return clipped(p, m.between(20, 50)*sizeOf(p))
	})},
	{"edge gone", func(_ *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		return []*pattern.Piece{clipped(p, m.between(20, 50)*sizeOf(p))}, []*pattern.Piece{p}
	}},
	{"spread", onPanel(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		a, b := p.EdgePath(edge(p, "waist")), p.EdgePath(edge(p, "hemline"))
		at := m.between(0.3, 0.7) * a.Length()
		turn := m.either(-5, 5)
		hinge := a.PointAt(at).Add(geom.Pt(0, -[]float64{0, 120}[m.r.IntN(2)]).Mul(sizeOf(p)))
		return spread(p, "waist", at, "hemline", m.between(0.3, 0.7)*b.Length(), about(hinge, turn))
	})},
	{"fold out", onPanel(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		by := geom.Pt(0, m.either(-25, 40)*sizeOf(p))
		return spread(p, "side seam", m.between(0.4, 0.6)*p.Length(1), "front seam", m.between(0.2, 0.6)*p.Length(3), geom.Motion{Shift: by})
	})},
	{"split", onPanels(func(_ *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		one, other := halves(p, "waist", m.between(0.3, 0.7)*p.Length(0), "hemline", m.between(0.3, 0.7)*p.Length(2), [2]string{p.Name, "side back"})
		return []*pattern.Piece{p}, []*pattern.Piece{one, other}
	})},
	{"join", onPanels(func(_ *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		one, other := halves(p, "waist", m.between(0.3, 0.7)*p.Length(0), "hemline", m.between(0.3, 0.7)*p.Length(2), [2]string{p.Name, "side back"})
		return []*pattern.Piece{one, other}, []*pattern.Piece{p}
	})},
	{"unfold", func(t *testing.T, m maker, _ *pattern.Piece) (before, after []*pattern.Piece) {
		p := smockBack(m.between(0.2, 1.2))
		p.Notches, p.Marks = nil, nil
		return []*pattern.Piece{p}, []*pattern.Piece{openedOut(p)}
	}},
	{"mirror", onPanels(func(_ *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		a := p.Clone()
		a.Side = "left"
		b := a.Moved(geom.Motion{Mirror: true, Shift: geom.Pt(400, 0)})
		b.Side = "right"
		return []*pattern.Piece{a}, []*pattern.Piece{b}
	})},
	{"notches", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		q.Notches[0].At += m.either(-40, 60) * sizeOf(p)
		q.Notches[1] = pattern.Notch{Name: "fresh", Edge: "hemline", At: m.between(20, 80) * sizeOf(p), Count: 2, FromEnd: m.r.IntN(2) == 0}
		return q
	})},
	{"notch cut twice", single(func(_ *testing.T, _ maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		q.Notches[0].Count, q.Notches[1].Name = 2, "balance"
		return q
	})},
	{"marks", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		q.Marks[0].Path = q.Marks[0].Path.Moved(geom.Motion{Shift: geom.Pt(m.either(-5, 5), m.either(-30, 30)).Mul(sizeOf(p))})
		q.Marks[1].Name = "another"
		return q
	})},
	{"mark drawn anew", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		path := q.Marks[0].Path
		q.Marks[0].Path = geom.Polyline(path.Start(), path.Start().Lerp(path.End(), m.between(0.5, 0.8)))
		return q
	})},
	{"allowances", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		q.Edges[edge(p, "side seam")].Allowance["cloth"] = m.between(8, 30)
		q.Edges[edge(p, "hemline")].Allowance["toile"] = []float64{0, m.between(8, 60)}[m.r.IntN(2)]
		return q
	})},
	{"grain", single(func(_ *testing.T, m maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		turn := about(p.Grain.From.Add(geom.Pt(m.between(-40, 40), m.between(-50, 150)).Mul(sizeOf(p))), m.either(-30, 30))
		q.Grain.From, q.Grain.To = turn.Apply(p.Grain.From), turn.Apply(p.Grain.To)
		return q
	})},
	{"settings", single(func(_ *testing.T, _ maker, p *pattern.Piece) *pattern.Piece {
		q := p.Clone()
		q.Edges[edge(p, "side seam")].Name, q.Cloth = "outer side", "canvas"
		q.Notches[0].Edge = "outer side"
		q.Corners[edge(p, "hemline")].Style = pattern.CornerFoldedBack
		q.Edges[0].Hem = true
		return q
	})},
}

func (m maker) either(low, high float64) float64 {
	for {
		if v := m.between(low, high); math.Abs(v) > 0.15*math.Max(-low, high) {
			return v
		}
	}
}

// sizeOf is the scale a piece was drafted at.
func sizeOf(p *pattern.Piece) float64 {
	return p.Grain.To.Dist(p.Grain.From) / map[string]float64{"back": 340, "side panel": 400}[p.Name]
}

func single(next func(*testing.T, maker, *pattern.Piece) *pattern.Piece) func(*testing.T, maker, *pattern.Piece) (before, after []*pattern.Piece) {
	return func(t *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		return []*pattern.Piece{p}, []*pattern.Piece{next(t, m, p)}
	}
}

func onPanel(next func(*testing.T, maker, *pattern.Piece) *pattern.Piece) func(*testing.T, maker, *pattern.Piece) (before, after []*pattern.Piece) {
	return onPanels(single(next))
}

func onPanels(next func(*testing.T, maker, *pattern.Piece) (before, after []*pattern.Piece)) func(*testing.T, maker, *pattern.Piece) (before, after []*pattern.Piece) {
	return func(t *testing.T, m maker, p *pattern.Piece) (before, after []*pattern.Piece) {
		return next(t, m, panel(sizeOf(p)))
	}
}

// found is what the program finds between two states made at random.
func (m maker) found(t *testing.T, a alteration) (change.Diff, units.Unit) {
	t.Helper()
	size := math.Exp(m.between(math.Log(0.15), math.Log(1.3)))
	p := panel(size)
	if m.r.IntN(2) == 0 {
		p = smockBack(size)
	}
	before, after := a.make(t, m, p)
	unit := []units.Unit{units.Millimetre, units.Centimetre, units.Inch}[m.r.IntN(3)]
	for _, q := range append(slices.Clone(before), after...) {
		require.NoError(t, q.Validate())
	}
	if m.r.IntN(3) == 0 && a.name != "join" { // elsewhere on its sheet
		for i := range after {
			after[i] = after[i].Moved(geom.Motion{Turn: m.between(-3, 3), Shift: geom.Pt(m.between(-300, 300), m.between(-300, 300)), Mirror: m.r.IntN(2) == 0})
		}
	}
	d, err := diff.Patterns(&pattern.Pattern{Unit: unit, Pieces: before}, &pattern.Pattern{Unit: unit, Pieces: after},
		change.Version{Number: 4, Text: "After the first fitting"}, change.Version{Number: 5, Text: "After the second"})
	require.NoError(t, err)
	return d, unit
}

// figure is a number as people read it, with its unit.
var figure = regexp.MustCompile(`(?:\d+ )?[\d./]+(?: (?:mm|cm|in)\b|°)`)

// figuresSaid are the figures of a sentence but for those that stand in no
// drawing of one piece: what an amount comes to all round, and a way on the
// sheet taken apart, of which the drawing gives the whole.
func figuresSaid(says string) []string {
	says = regexp.MustCompile(`, [^,]* left and right together`).ReplaceAllString(says, "")
	says = regexp.MustCompile(`\([^)]* (left|right|up|down)\)`).ReplaceAllString(says, "")
	return figure.FindAllString(says, -1)
}

// figuresOf are the figures of a change in words: in both the sentence and the
// drawing, and in the drawing alone.
func figuresOf(c change.Change, unit units.Unit) (both, drawn []string) {
	size := func(v float64) string { return amountWords(math.Abs(v), unit) }
	angle := func(v float64) string { return units.FormatAngle(geom.Degrees(math.Abs(v))) }
	switch c.Kind {
	case change.EdgeMoved:
		if c.Ends != nil {
			return sizes(c.Ends[:], unit, "nothing"), nil
		}
		return []string{size(*c.By)}, nil
	case change.EdgeRun, change.NotchMoved:
		return []string{size(*c.By)}, nil
	case change.EdgeSwung:
		return []string{size(*c.By), angle(*c.Turn)}, nil
	case change.EdgeRedrawn:
		return []string{size(*c.Max)}, nil
	case change.CornerRounded, change.CornerRestored:
		return sizes(c.Radius[:], unit, ""), nil
	case change.Spread:
		drawn = sizes(c.Open[:], unit, "hinged here")
		if math.Abs(*c.Turn) > 0.01 {
			drawn = append(drawn, angle(*c.Turn))
		}
		return sizes(c.Open[:], unit, "nothing"), drawn
	case change.PieceSplit, change.PieceJoined:
		if c.Allowance != nil {
			return sizes([]float64{*c.Allowance}, unit, ""), nil
		}
	case change.MarkMoved:
		return []string{size(c.ByVector.Point().Len())}, nil
	case change.AllowanceChanged:
		return []string{c.Before, c.After}, nil
	case change.GrainTurned:
		return []string{angle(*c.Turn)}, nil
	}
	return nil, nil
}

// sizes are amounts in words; zero stands for one of nothing, unless it is "".
func sizes(amounts []float64, unit units.Unit, zero string) []string {
	var words []string
	for _, v := range amounts {
		switch {
		case math.Abs(v) >= leastAmount:
			words = append(words, amountWords(math.Abs(v), unit))
		case zero != "":
			words = append(words, zero)
		}
	}
	return words
}

// TestTextAndDrawingAgree: in what the program really finds, every figure of a
// change stands in its sentence and in the drawing, in the pattern's unit and
// to the same digit, and every figure of the sentence stands in the drawing.
// No label overlaps another, covers an outline or leaves the sheet; nothing is
// clipped; and few labels cover an arrow or a mark.
func TestTextAndDrawingAgree(t *testing.T) {
	const seed, rounds = 20260704, 8
	t.Logf("seed %d", seed)
	m := maker{rand.New(rand.NewPCG(seed, 1))}
	s := fixtureSheet()
	kinds := map[change.Kind]int{}
	figures, labels, covering := 0, 0, 0
	for i := range rounds {
		for _, a := range alterations {
			d, unit := m.found(t, a)
			s.Unit = unit
			for _, p := range d.Pieces {
				if p.State == change.Same {
					continue
				}
				t.Run(fmt.Sprintf("%d/%s/%s", i, a.name, p.Piece), func(t *testing.T) {
					var b bytes.Buffer
					require.NoError(t, Overlay(&b, s, d, p))
					requireClear(t, b.String())
					requireUncovered(t, b.String())
					requireInside(t, b.String())
					n, over := coveringLabels(t, b.String())
					labels, covering = labels+n, covering+over
					text := drawnText(t, b.String())
					for _, c := range p.Changes {
						kinds[c.Kind]++
						figures += requireAgree(t, c, unit, text)
					}
				})
			}
		}
	}
	t.Logf("%d figures; %d of %d labels cover a line; changes by kind: %v", figures, covering, labels, kinds)
	require.Less(t, covering, labels/20)
	require.Greater(t, figures, 40*rounds)
	for _, k := range everyKind {
		require.Positive(t, kinds[k], "no %s was drawn", k)
	}
}

var everyKind = []change.Kind{change.EdgeMoved, change.EdgeSwung, change.EdgeRun, change.EdgeRedrawn, change.Spread,
	change.CornerRounded, change.CornerRestored, change.PieceSplit, change.PieceJoined, change.PieceMirrored, change.PieceUnfolded,
	change.NotchMoved, change.NotchAdded, change.NotchRemoved, change.MarkMoved, change.MarkAdded, change.MarkRemoved, change.MarkChanged,
	change.AllowanceChanged, change.GrainTurned, change.CuttingChanged, change.NameChanged}

// requireAgree compares a change's figures, its sentence and the drawing's
// text. It returns how many figures it looked for.
func requireAgree(t *testing.T, c change.Change, unit units.Unit, text string) int {
	t.Helper()
	both, drawn := figuresOf(c, unit)
	for _, f := range both {
		require.Contains(t, c.Says, f, "a figure of %s is not in its sentence", c.Kind)
	}
	both = slices.DeleteFunc(both, func(f string) bool { return f == "nothing" }) // a hinge in the drawing
	said := figuresSaid(c.Says)
	all := slices.Concat(both, drawn, said)
	for _, f := range all {
		require.Contains(t, strings.ReplaceAll(text, "−", ""), strings.ReplaceAll(f, "−", ""), "a figure of %q is not in the drawing", c.Says)
	}
	return len(all)
}

// clipped cuts off the corner at the start of the hemline: one edge more.
func clipped(p *pattern.Piece, by float64) *pattern.Piece {
	q := p.Clone()
	i := edge(p, "hemline")
	side, hem := p.EdgePath(i-1), p.EdgePath(i)
	kept, _ := side.Split(side.Length() - by)
	_, rest := hem.Split(by)
	q.Edges[i-1].SetPath(kept)
	q.Edges[i].SetPath(rest)
	q.Corners[i].At = rest.Start()
	added := pattern.Edge{Name: "clip", ID: "c11bc11b", Allowance: map[string]float64{"cloth": 15, "toile": 20}}
	added.SetPath(geom.Polyline(kept.End(), rest.Start()))
	q.Edges = slices.Insert(q.Edges, i, added)
	q.Corners = slices.Insert(q.Corners, i, pattern.Corner{At: kept.End()})
	return q
}

// openedOut is a piece without notches and marks, opened out at its fold, the
// last of its edges.
func openedOut(p *pattern.Piece) *pattern.Piece {
	q := p.Clone()
	n := len(p.Edges) - 1
	fold := p.EdgePath(n)
	ends := []geom.Point{fold.Start(), fold.End()}
	mirror := geom.FitMotion(ends, ends, true)
	q.Cut, q.Edges, q.Corners = pattern.CutOne, q.Edges[:n], q.Corners[:n]
	for i := n - 1; i >= 0; i-- {
		path := p.EdgePath(i).Reverse().Moved(mirror)
		e := p.Clone().Edges[i]
		e.Name, e.ID = "other "+e.Name, "f"+e.ID[1:]
		e.SetPath(path)
		q.Edges, q.Corners = append(q.Edges, e), append(q.Corners, pattern.Corner{At: path.Start()})
	}
	return q
}
