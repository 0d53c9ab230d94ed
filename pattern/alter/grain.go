package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "grain", Does: "draws the grain line anew, or turns it about its middle",
	Keys: []Key{
		{Name: "turn", What: Angle, Means: "by how much it turns, clockwise positive"},
		{Name: "along", What: Text, Means: "the edge or reference line it is to run along"},
		{Name: "line", What: Line, Means: "the line itself, top to bottom, as PLACE:PLACE"},
		{Name: "one-way", What: Flag, Means: "all pieces lie the same way up, for cloth with nap"},
		{Name: "either-way", What: Flag, Means: "the piece may lie either way up"},
		{Name: "bias", What: Flag, Means: "the piece is meant to lie across the grain; one cut on the fold then lies on cloth folded on the bias"},
		{Name: "no-bias", What: Flag, Means: "it is not"},
	}, Alike: []string{"grain"}, Typed: `pocket --turn 45deg --bias`, make: (*making).grain})

func (m *making) grain() error {
	given := 0
	for _, key := range []string{"turn", "along", "line"} {
		if m.has(key) {
			given++
		}
	}
	says := m.flag("one-way") || m.flag("either-way") || m.flag("bias") || m.flag("no-bias")
	switch {
	case given > 1:
		return fmt.Errorf("%s: give one of --turn, --along and --line", m.piece.Name)
	case given == 0 && !says:
		return fmt.Errorf("%s: give --turn, --along or --line, or say what the grain line is with --one-way or --bias", m.piece.Name)
	case m.flag("one-way") && m.flag("either-way") || m.flag("bias") && m.flag("no-bias"):
		return fmt.Errorf("%s: the flags contradict each other; give one of them", m.piece.Name)
	}
	g, err := m.drawnGrain()
	if err != nil {
		return err
	}
	if m.piece.Grain != nil {
		g.OneWay, g.Bias = m.piece.Grain.OneWay, m.piece.Grain.Bias
	}
	g.OneWay = (g.OneWay || m.flag("one-way")) && !m.flag("either-way")
	g.Bias = (g.Bias || m.flag("bias")) && !m.flag("no-bias")
	if err := m.refuseAskew(g); err != nil {
		return err
	}
	m.piece.Grain = &g
	return begin(m.piece).finish()
}

// foldAskew is the angle in radians, 0.1°, by which a grain line may differ from the
// straight of the fold: over a hem moved by 10 cm it is 0.2 mm, finer than a pencil's
// line. It is ours.
const foldAskew = 0.1 * math.Pi / 180

// refuseAskew refuses to turn the grain line of a piece cut on the fold away from the
// fold: cloth is folded along the straight grain, lengthwise or crosswise. Cloth that
// is folded on the bias is so on purpose, and the piece marked by --bias. What lay
// askew before is not minded where only the way it may lie is said.
func (m *making) refuseAskew(g pattern.Grain) error {
	was := m.piece.Grain
	if g.Bias || m.piece.Cut != pattern.CutOnFold || was != nil && was.From == g.From && was.To == g.To && !was.Bias {
		return nil
	}
	for i, e := range m.piece.Edges {
		if !e.Fold {
			continue
		}
		path := m.piece.EdgePath(i)
		off := math.Abs(geom.AngleBetween(path.End().Sub(path.Start()), g.To.Sub(g.From)))
		off = math.Abs(off - math.Round(off/(math.Pi/2))*math.Pi/2)
		if off > foldAskew {
			return fmt.Errorf("%s is cut on the fold %q, and cloth is folded along the straight grain, lengthwise or crosswise; this grain line would lie %.4g° off it. Unfold the piece first with `toile alter unfold %q`, to cut it once, flat; give --along %q for a grain line along the fold, or --bias if the cloth is to be folded on the bias",
				m.piece.Name, e.Name, geom.InDegrees(off), m.piece.Name, e.Name)
		}
	}
	return nil
}

// drawnGrain is the line itself.
func (m *making) drawnGrain() (pattern.Grain, error) {
	g := m.presentGrain()
	switch {
	case m.has("turn"):
		turn, err := m.angle("turn")
		if err != nil {
			return g, err
		}
		return turnedGrain(g, turn), nil
	case m.has("along"):
		dir, err := m.directionOf("along")
		if err != nil {
			return g, err
		}
		if dir.Dot(m.piece.GrainDirection()) < 0 {
			dir = dir.Mul(-1)
		}
		return turnedGrain(g, geom.AngleBetween(g.To.Sub(g.From), dir)), nil
	case m.has("line"):
		from, to, err := m.line("line")
		if err != nil {
			return g, err
		}
		return pattern.Grain{From: rounded(from), To: rounded(to)}, nil
	}
	return g, nil
}

// presentGrain is the grain line; where none is drawn one of half the
// piece's height through its middle, in the direction that counts.
func (m *making) presentGrain() pattern.Grain {
	if m.piece.Grain != nil {
		return *m.piece.Grain
	}
	ring, _ := m.piece.SharpRing()
	box := ring.Box()
	arm := m.piece.GrainDirection().Mul(math.Max(box.Size().Y/4, 1))
	return pattern.Grain{From: rounded(box.Centre().Sub(arm)), To: rounded(box.Centre().Add(arm))}
}

func turnedGrain(g pattern.Grain, turn float64) pattern.Grain {
	mid := g.From.Lerp(g.To, 0.5)
	g.From = rounded(mid.Add(g.From.Sub(mid).Turn(turn)))
	g.To = rounded(mid.Add(g.To.Sub(mid).Turn(turn)))
	return g
}

// directionOf is the direction of an edge or reference line, end to end.
func (m *making) directionOf(key string) (geom.Point, error) {
	if i, err := m.edge(key); err == nil {
		p := m.piece.EdgePath(i)
		return p.End().Sub(p.Start()).Unit(), nil
	}
	for _, l := range m.piece.Lines {
		if l.Name == m.text(key) {
			return l.Path.End().Sub(l.Path.Start()).Unit(), nil
		}
	}
	_, err := m.edge(key)
	return geom.Point{}, err
}
