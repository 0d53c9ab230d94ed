package demo

import (
	"time"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/units"
)

// chapter is one version of the story: what was done to the pattern, and the
// words it is kept with.
type chapter struct {
	text    string
	fitting int
	answers []string
	do      func(p *draft) error
}

// firstDay is when the story starts; each version is kept a day later.
var firstDay = time.Date(2026, 5, 4, 18, 0, 0, 0, time.FixedZone("", 2*60*60))

// Numbers of the versions that the story goes back to.
const branchFrom = 8

// story is the smock's way from the first trace to the orchard.
func story() []chapter {
	return []chapter{
		{text: "First draft, traced from the paper pieces", do: nothing},
		{text: "First fitting, on an old sheet", fitting: 1, do: openFitting(firstFitting())},
		{text: "Hem up by 4 cm on every piece that reaches it", fitting: 1, answers: []string{"1.1"}, do: hemsUp},
		{text: "Pocket: lower corners rounded, so that no twig catches in them", fitting: 1, answers: []string{"1.3"}, do: roundPocket},
		{text: "Side panel swung out on both seams, for the ladder", fitting: 1, answers: []string{"1.2"}, do: swingPanels},
		{text: "Second fitting, in the second mock-up", fitting: 2, do: openFitting(secondFitting())},
		{text: "Neckline deeper, on front and facing alike", fitting: 2, answers: []string{"2.1"}, do: deeperNeck},
		{text: "Sleeve longer, pocket further down", fitting: 2, answers: []string{"2.2", "2.3"}, do: longerSleeve},
		{text: "Third fitting, in the real cloth, basted", fitting: 3, do: openFitting(thirdFitting())},
		{text: "Cuff let out, its ends rounded", fitting: 3, answers: []string{"3.1"}, do: widerCuff},
		{text: "Wider allowance on the panel seams, to fell them", fitting: 3, answers: []string{"3.2"}, do: feltSeams},
	}
}

// branchName and its one version: the same smock without long sleeves.
const branchName = "short-sleeves"

func branchChapter() chapter {
	return chapter{text: "Sleeve cut off above the elbow, no cuff, for hot days", do: shortSleeves}
}

func nothing(*draft) error { return nil }

func openFitting(f pattern.Fitting) func(*draft) error {
	return func(p *draft) error {
		f.ID = p.NewFittingID(&f, "")
		for i := range f.Notes {
			if err := findPlace(p.Pattern, &f.Notes[i]); err != nil {
				return err
			}
		}
		p.Fittings = append(p.Fittings, &f)
		return nil
	}
}

// findPlace finds a note's place as it was measured on the mock-up, which was
// sewn from the pattern as it is.
func findPlace(p *pattern.Pattern, n *pattern.Note) error {
	q, err := p.Piece(n.Piece)
	if err != nil {
		return err
	}
	spot, err := q.FindPlace(n.Place, pattern.Ruler{Unit: p.Unit, Sewn: p})
	if err != nil {
		return err
	}
	at := geom.Pt(units.Round(spot.At.X, 3), units.Round(spot.At.Y, 3))
	n.At, n.OnToile, n.Edge = &at, true, q.EdgeThrough(at)
	return nil
}

func reading(mm float64) *float64 { return &mm }

func firstFitting() pattern.Fitting {
	return pattern.Fitting{Number: 1, Date: "2026-05-05", Cloth: "old cotton sheet", Worn: "thin shirt", Closures: "front pinned at the buttons", Version: 1, Notes: []pattern.Note{
		{Number: 1, Piece: "front", Place: "10cm from centre front, 2cm from hemline", Seen: "the hem catches on the rungs of the ladder", Pinned: 40, Side: pattern.WearerBoth, ToDo: "take all hems up by 4 cm"},
		{Number: 2, Piece: "side panel", Place: "hemline@6cm, 4cm in", Seen: "too tight to lift a knee", Side: pattern.WearerBoth, ToDo: "swing both panel seams out at the hem"},
		{Number: 3, Piece: "pocket", Place: "side edge/lower edge", Seen: "twigs catch in the square corners", Side: pattern.WearerBoth, ToDo: "round them"},
	}}
}

func secondFitting() pattern.Fitting {
	return pattern.Fitting{Number: 2, Date: "2026-05-09", Cloth: "unbleached cotton", Worn: "thin shirt", Closures: "front pinned at the buttons", Version: 5, Notes: []pattern.Note{
		{Number: 1, Piece: "front", Place: "neckline@4cm", Seen: "the neckline presses when looking up", Side: pattern.WearerBoth, ToDo: "1.5 cm deeper at the front, on the facing too"},
		{Number: 2, Piece: "sleeve", Place: "wrist@11cm", Seen: "the wrist is bare with the arm up", Side: pattern.WearerBoth, ToDo: "2.5 cm longer"},
		{Number: 3, Piece: "front", Place: "pocket top", Seen: "the pocket lies too high to see into", Side: pattern.WearerBoth, ToDo: "3 cm further down"},
	}}
}

func thirdFitting() pattern.Fitting {
	return pattern.Fitting{Number: 3, Date: "2026-05-12", Cloth: "blue linen", Worn: "warm jumper", Closures: "buttoned", Version: 8, Notes: []pattern.Note{
		{Number: 1, Piece: "cuff", Place: "lower edge@4cm", Seen: "too tight to push up over a jumper", Side: pattern.WearerBoth, ToDo: "1 cm wider at each end, corners rounded"},
		{Number: 2, Piece: "side panel", Place: "front seam@20cm", Seen: "the plain seams fray", Side: pattern.WearerBoth, ToDo: "wide enough to fell"},
		{Number: 3, Piece: "back", Place: "yoke seam@4cm, 2cm in", Seen: "the pleat opens, more on one side", Left: reading(12), Right: reading(6), Pinch: true, Side: pattern.WearerBoth, ToDo: "look again in the finished smock"},
	}}
}

// each runs do on the named pieces.
func each(p *draft, do func(*pattern.Piece) error, names ...string) error {
	for _, n := range names {
		q, err := p.Piece(n)
		if err != nil {
			return err
		}
		if err := do(q); err != nil {
			return err
		}
		p.edited = true
	}
	return nil
}

func hemsUp(p *draft) error {
	before := p.Clone()
	for _, name := range []string{"back", "front", "side panel"} {
		if err := altered(p, "shorten", name, "edge", "hemline", "by", "40mm"); err != nil {
			return err
		}
	}
	if err := carried(p, before, "front", "hemline"); err != nil { // to facing and lining
		return err
	}
	if err := centreFront(p, 85, frontHem-40); err != nil {
		return err
	}
	// The hip notches are counted from below on one side and from above on the
	// other: keep the pairs together.
	for _, n := range [][2]string{{"side panel", "hip front"}, {"back", "hip"}} {
		if err := altered(p, "move", n[0], "name", n[1], "by", "-"+hemAlongPanel); err != nil {
			return err
		}
	}
	return nil
}

// hemAlongPanel is what 40 mm off the hem takes along a panel seam, rounded
// as files keep it: 40·√(11² + 440²)/440.
const hemAlongPanel = "40.013mm"

func roundPocket(p *draft) error {
	for _, corner := range []string{"side edge/lower edge", "lower edge/inner edge"} {
		if err := altered(p, "round-corner", "pocket", "corner", corner, "radius", "40mm"); err != nil {
			return err
		}
	}
	return nil
}

func swingPanels(p *draft) error {
	for _, edge := range []string{"back seam", "front seam"} {
		if err := altered(p, "flare", "side panel", "edge", edge, "by", "30mm", "from", "100mm"); err != nil {
			return err
		}
	}
	return nil
}

func deeperNeck(p *draft) error {
	c := frontNeck
	c.P0.Y, c.P1.Y, c.P2 = c.P0.Y+15, c.P1.Y+15, geom.Pt(58, 60) // square to the shoulder still
	before := p.Clone()
	if err := altered(p, "redraw", "front", "edge", "neckline", "path", alter.DrawnText(geom.Path{c}, false)); err != nil {
		return err
	}
	if err := carried(p, before, "front", "neckline"); err != nil { // to the facing
		return err
	}
	if err := centreFront(p, 100, frontHem-40); err != nil {
		return err
	}
	// The top button keeps its distance from the neckline.
	return altered(p, "move", "front", "name", "button 1", "down", "15mm")
}

// centreFront draws the front's reference line from the neckline to the hem.
func centreFront(p *draft, from, to float64) error {
	if err := altered(p, "remove", "front", "name", "centre front"); err != nil {
		return err
	}
	line := geom.Polyline(geom.Pt(0, from), geom.Pt(0, to))
	return altered(p, "mark", "front", "kind", "reference line", "name", "centre front", "path", alter.DrawnText(line, false))
}

// longerSleeve lets a strip in above the wrist, which keeps its width, so that
// the cuff still fits.
func longerSleeve(p *draft) error {
	if err := altered(p, "lengthen", "sleeve", "edge", "wrist", "by", "25mm", "inside", "-20cm,30cm:20cm,30cm"); err != nil {
		return err
	}
	return altered(p, "move", "front", "name", "pocket top", "down", "30mm")
}

func widerCuff(p *draft) error {
	for _, edge := range []string{"back end", "front end"} {
		if err := altered(p, "let-out", "cuff", "edge", edge, "by", "10mm"); err != nil {
			return err
		}
	}
	for _, corner := range []string{"back end/lower edge", "lower edge/front end"} {
		if err := altered(p, "round-corner", "cuff", "corner", corner, "radius", "25mm"); err != nil {
			return err
		}
	}
	// The cuff's ends now overlap beyond the sleeve's wrist.
	for i := range p.Seams {
		if s := &p.Seams[i]; s.Name == "cuff seam" {
			s.Second[0].From, s.Second[0].To = 10, 250
		}
	}
	return nil
}

func feltSeams(p *draft) error {
	for _, e := range [][2]string{{"back", "panel seam"}, {"front", "panel seam"}, {"side panel", "back seam"}, {"side panel", "front seam"}} {
		if err := altered(p, "allowance", e[0], "edge", e[1], "to", "16mm"); err != nil {
			return err
		}
	}
	return nil
}

// hemSquare draws the sleeve's hem square to both underarm seams, so that it is
// smooth where they meet.
func hemSquare(p *draft, name string) error {
	q, err := p.Piece(name)
	if err != nil {
		return err
	}
	i, err := q.EdgeIndex("wrist")
	if err != nil {
		return err
	}
	n := len(q.Edges)
	before, after := q.EdgePath((i+n-1)%n), q.EdgePath((i+1)%n)
	a, b := before.End(), after.Start()
	reach := a.Dist(b) / 3
	c := geom.Cubic{P0: a, P1: a.Add(before.EndTangent().Right().Mul(reach)), P2: b.Add(after.StartTangent().Right().Mul(reach)), P3: b}
	return altered(p, "redraw", name, "edge", "wrist", "path", alter.DrawnText(geom.Path{c}, false))
}

func shortSleeves(p *draft) error {
	if err := each(p, func(q *pattern.Piece) error {
		i, err := q.EdgeIndex("wrist")
		if err != nil {
			return err
		}
		q.Edges[i].Hem = true
		return nil
	}, "sleeve"); err != nil {
		return err
	}
	if err := altered(p, "allowance", "sleeve", "edge", "wrist", "to", "30mm"); err != nil {
		return err
	}
	if err := altered(p, "shorten", "sleeve", "edge", "wrist", "by", "300mm"); err != nil {
		return err
	}
	if err := hemSquare(p, "sleeve"); err != nil {
		return err
	}
	return altered(p, "remove", "cuff", "seams", "true")
}
