package diff

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// explainCorners compares the treatment of each corner that both states have:
// the one between the counterparts of its two edges.
func (c *comparison) explainCorners() {
	n := len(c.old.Corners)
	for i := range c.old.Corners {
		before, after := c.lastPart((i+n-1)%n), c.firstPart(i)
		if before < 0 || after < 0 || (before+1)%len(c.now.Edges) != after {
			continue
		}
		c.explainCorner(i, after)
	}
	for _, r := range c.x.Rounded {
		before := (r.Corner + n - 1) % n
		c.add(change.Change{Kind: change.CornerRounded, At: change.At(c.old.Corners[r.Corner].At),
			Edges:  []string{c.old.Edges[before].Name, c.old.Edges[r.Corner].Name},
			Radius: &[2]float64{change.Figure(c.old.Corners[r.Corner].Round), change.Figure(r.Radius)},
			Says:   fmt.Sprintf("the corner %s is rounded by %s, drawn as a curve", c.old.CornerName(r.Corner), c.amount(r.Radius))})
	}
}

// firstPart and lastPart are the new edges at the ends of what continues an
// old one; −1 when it is gone.
func (c *comparison) firstPart(i int) int {
	if parts := c.x.Edges[i].New; len(parts) > 0 {
		return parts[0]
	}
	return -1
}

func (c *comparison) lastPart(i int) int {
	if parts := c.x.Edges[i].New; len(parts) > 0 {
		return parts[len(parts)-1]
	}
	return -1
}

func (c *comparison) explainCorner(i, j int) {
	n := len(c.old.Edges)
	a, b := c.old.Corners[i], c.now.Corners[j]
	edges := []string{c.old.Edges[(i+n-1)%n].Name, c.old.Edges[i].Name}
	name := c.old.CornerName(i)
	if math.Abs(a.Round-b.Round) > 0.0005 {
		ch := change.Change{Kind: change.CornerRounded, Edges: edges, At: change.At(a.At),
			Radius: &[2]float64{change.Figure(a.Round), change.Figure(b.Round)}}
		switch {
		case b.Round == 0:
			ch.Kind = change.CornerRestored
			ch.Says = fmt.Sprintf("the corner %s is sharp again (it was rounded by %s)", name, c.amount(a.Round))
		case a.Round == 0:
			ch.Says = fmt.Sprintf("the corner %s is rounded by %s", name, c.amount(b.Round))
		default:
			ch.Says = fmt.Sprintf("the corner %s is rounded by %s (it was %s)", name, c.amount(b.Round), c.amount(a.Round))
		}
		c.add(ch)
	}
	if a.Name != b.Name {
		c.add(change.Change{Kind: change.NameChanged, Edges: edges, Before: name, After: c.now.CornerName(j), At: change.At(a.At),
			Says: fmt.Sprintf("the corner %s is now called %s", name, c.now.CornerName(j))})
	}
	if a.Style != b.Style {
		c.setting(edges, "the cutting line at the corner "+name, style(a.Style), style(b.Style))
	}
	if a.Meant != b.Meant {
		c.setting(edges, "the corner "+name, meant(a.Meant), meant(b.Meant))
	}
}

func style(s pattern.CornerStyle) string {
	if s == "" {
		return string(pattern.CornerExtended)
	}
	return string(s)
}

func meant(m bool) string {
	if m {
		return "a point that is meant"
	}
	return "to run smoothly"
}

// setting adds a change of how a piece is cut or finished.
func (c *comparison) setting(edges []string, what, before, after string) {
	c.add(change.Change{Kind: change.CuttingChanged, Edges: edges, Before: before, After: after,
		Says: fmt.Sprintf("%s: %s (was: %s)", what, after, before)})
}

// explainSettings compares names, cutting, allowances, folds and grain.
func (c *comparison) explainSettings() {
	a, b := c.old, c.now
	if a.Name != b.Name {
		c.add(change.Change{Kind: change.NameChanged, Before: a.Name, After: b.Name,
			Says: fmt.Sprintf("%q is now called %q", a.Name, b.Name)})
	}
	for _, s := range [][3]string{{"cut from", a.Cloth, b.Cloth}, {"cut", string(a.Cut), string(b.Cut)}, {"the wearer's side", a.Side, b.Side}} {
		if s[1] != s[2] && !(c.turned && s[1] == a.Side) {
			c.setting(nil, s[0], orNone(s[1]), orNone(s[2]))
		}
	}
	for i, e := range a.Edges {
		j := c.counterpart(i)
		if j < 0 {
			continue
		}
		f := b.Edges[j]
		if e.Name != f.Name && !c.opened && !(numberedName(e.Name) && numberedName(f.Name)) {
			c.add(change.Change{Kind: change.NameChanged, Edges: []string{e.Name}, Before: e.Name, After: f.Name,
				Says: fmt.Sprintf("the edge %q is now called %q", e.Name, f.Name)})
		}
		if e.Fold != f.Fold {
			c.setting([]string{e.Name}, fmt.Sprintf("the edge %q", e.Name), foldWord(e.Fold), foldWord(f.Fold))
		}
		if e.Hem != f.Hem {
			c.setting([]string{e.Name}, fmt.Sprintf("the edge %q", e.Name), hemWord(e.Hem), hemWord(f.Hem))
		}
		c.explainAllowances(e, f)
	}
	if a.DrawnWithin != b.DrawnWithin {
		c.setting(nil, "drawn within", c.drawn(a), c.drawn(b))
	}
	c.explainGrain()
}

func orNone(s string) string {
	if s == "" {
		return "not said"
	}
	return s
}

func foldWord(fold bool) string {
	if fold {
		return "a fold"
	}
	return "an open edge"
}

func hemWord(hem bool) string {
	if hem {
		return "the hem"
	}
	return "not the hem"
}

// explainRest tells of a grain line that only lies elsewhere on the piece. It is
// the net under all of it, too: a piece whose file differs although nothing was
// found, as when a stray digit of the grain line moved, is not called the same.
func (c *comparison) explainRest() {
	a, b := c.old.Grain, c.now.Grain
	if a == nil || b == nil || *a == *b {
		return
	}
	by := b.From.Lerp(b.To, 0.5).Sub(a.From.Lerp(a.To, 0.5))
	alone := len(c.d.Changes) == 0 && c.d.Placement == change.Placement{}
	turn := geom.AngleBetween(a.To.Sub(a.From), b.To.Sub(b.From))
	if alone && by.Len() <= leastMove {
		by = b.From.Sub(a.From)
	}
	if !alone && (math.Abs(turn) > leastTurn || by.Len() <= c.leastGrainMove()) {
		return
	}
	c.add(change.Change{Kind: change.MarkMoved, Mark: "grain", At: change.At(b.From), ByVector: change.At(by),
		OldPath: geom.Polyline(a.From, a.To), NewPath: geom.Polyline(b.From, b.To),
		Says: fmt.Sprintf("the grain line is moved on the piece (%s)", c.wayOf(by))})
}

// leastGrainMove in mm is how far the grain line of a piece has to lie elsewhere
// to be told moved where more was changed: how well the piece can be laid onto
// its old state counts then.
func (c *comparison) leastGrainMove() float64 {
	if c.tol > sameWithin {
		return math.Max(1, 3*c.tol)
	}
	return 0.1
}

func (c *comparison) explainAllowances(e, f pattern.Edge) {
	sets := map[string]bool{}
	for s := range e.Allowance {
		sets[s] = true
	}
	for s := range f.Allowance {
		sets[s] = true
	}
	for _, s := range sorted(sets) {
		x, y := e.AllowanceFor(s), f.AllowanceFor(s)
		if math.Abs(x-y) < 0.0005 || e.Fold != f.Fold {
			continue
		}
		c.add(change.Change{Kind: change.AllowanceChanged, Edges: []string{e.Name}, By: change.Amount(y - x), How: s,
			Before: c.amount(x), After: c.amount(y),
			Says: fmt.Sprintf("the %s allowance of %q is %s (was %s)", s, e.Name, c.amount(y), c.amount(x))})
	}
}

// leastTurn is the turn of a grain line in radians below which it has not
// turned: 0.01°, far below what can be laid by eye.
const leastTurn = 0.01 * math.Pi / 180

func (c *comparison) explainGrain() {
	a, b := c.old.Grain, c.now.Grain
	switch {
	case a == nil && b == nil:
	case a == nil:
		c.setting(nil, "the grain line", "none", "drawn")
	case b == nil:
		c.setting(nil, "the grain line", "drawn", "none")
	default:
		turn := geom.AngleBetween(a.To.Sub(a.From), b.To.Sub(b.From))
		if math.Abs(turn) > leastTurn {
			c.add(change.Change{Kind: change.GrainTurned, Turn: change.Amount(geom.InDegrees(turn)), At: change.At(a.From),
				Before: grainAngle(a), After: grainAngle(b), OldPath: geom.Polyline(a.From, a.To), NewPath: geom.Polyline(b.From, b.To),
				Says: "the grain line is turned by " + units.FormatAngle(turn)})
		}
		if a.OneWay != b.OneWay {
			c.setting(nil, "the grain line", grainWay(a.OneWay), grainWay(b.OneWay))
		}
		if a.Bias != b.Bias {
			c.setting(nil, "on the bias", yesNo(a.Bias), yesNo(b.Bias))
		}
	}
}

// grainAngle prints how far the grain line lies from straight down the sheet,
// clockwise positive.
func grainAngle(g *pattern.Grain) string {
	return units.FormatAngle(geom.AngleBetween(geom.Pt(0, 1), g.To.Sub(g.From)))
}

func grainWay(one bool) string {
	if one {
		return "one way, with nap"
	}
	return "either way up"
}

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// drawn says how well a piece was drawn.
func (c *comparison) drawn(p *pattern.Piece) string {
	if p.DrawnWithin == 0 {
		return "exact"
	}
	return c.amount(p.DrawnWithin)
}
