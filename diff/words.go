package diff

import (
	"fmt"
	"math"
	"strings"

	"toile/diff/explain"
	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// endName names an end of an old edge by the neighbour it meets there.
func (c *comparison) endName(i, end int) string {
	n := len(c.old.Edges)
	return c.old.Edges[(i+n-1+2*end)%n].Name
}

// saysMove puts a moved, swung or redrawn edge into words.
func (c *comparison) saysMove(e *explain.Edge, ch change.Change) string {
	name := c.old.Edges[e.Old].Name
	hem := e.Old == c.old.HemEdge()
	switch {
	case e.Taper != nil:
		return fmt.Sprintf("%q is %s at %q, tapering to nothing %s from %q", name, c.outIn(e.Taper.By), c.endName(e.Old, e.Taper.Far),
			c.amount(e.Taper.Start), c.endName(e.Old, 1-e.Taper.Far))
	case ch.Kind == change.EdgeSwung:
		return c.saysSwing(e, ch)
	case ch.Kind == change.EdgeRedrawn:
		return fmt.Sprintf("%q is redrawn, %s", name, c.redrawnBy(e, *ch.Max))
	case ch.How == change.HowTapered:
		return c.saysTaper(e.Old, *ch.Ends)
	case hem:
		return fmt.Sprintf("%q is %s", name, c.upDown(e.Old, *ch.By))
	}
	return fmt.Sprintf("%q is %s%s", name, c.outIn(*ch.By), c.allRound(ch))
}

// upDown says 'taken up by 1 cm', 'let down by 1 cm', of an upper hem 'cut down by 1 cm'
// or 'raised by 1 cm', or 'as it was'.
func (c *comparison) upDown(i int, by float64) string {
	words := [2]string{"taken up by ", "let down by "}
	if c.upper(i) {
		words = [2]string{"cut down by ", "raised by "}
	}
	switch {
	case by > leastRun:
		return words[1] + c.amount(by)
	case by < -leastRun:
		return words[0] + c.amount(-by)
	}
	return "as it was"
}

// upper reports whether an edge lies at the top of its piece, as the hem of a pocket
// does: outward it leads up along the grain.
func (c *comparison) upper(i int) bool {
	edge := c.old.EdgePath(i)
	return edge.End().Sub(edge.Start()).Left().Dot(c.old.GrainDirection()) < 0
}

// hemAlike in mm: a hem that went up or down by amounts that differ less was not made
// to taper.
const hemAlike = 0.5

// saysTaper puts an edge into words that moved by another amount at each end,
// the end that moved more first.
func (c *comparison) saysTaper(i int, ends [2]float64) string {
	a := 0
	if math.Abs(ends[1]) > math.Abs(ends[0]) {
		a = 1
	}
	more, less := ends[a], ends[1-a]
	moved := c.outIn
	if i == c.old.HemEdge() {
		moved = func(by float64) string { return c.upDown(i, by) }
		if math.Abs(more-less) < hemAlike {
			return fmt.Sprintf("%q is %s at %q, %s at %q", c.old.Edges[i].Name, moved(more), c.endName(i, a), c.amount(math.Abs(less)), c.endName(i, 1-a))
		}
	}
	text := fmt.Sprintf("%q is %s at %q", c.old.Edges[i].Name, moved(more), c.endName(i, a))
	switch {
	case math.Abs(less) <= leastMeant:
		return fmt.Sprintf("%s, tapering to nothing at %q", text, c.endName(i, 1-a))
	case more*less < 0:
		return fmt.Sprintf("%s and %s at %q, tapering between", text, moved(less), c.endName(i, 1-a))
	}
	return fmt.Sprintf("%s, tapering to %s at %q", text, c.amount(math.Abs(less)), c.endName(i, 1-a))
}

// outIn says 'let out 1 cm', 'taken in 1 cm' or 'as it was'.
func (c *comparison) outIn(by float64) string {
	switch {
	case by > leastRun:
		return "let out " + c.amount(by)
	case by < -leastRun:
		return "taken in " + c.amount(-by)
	}
	return "as it was"
}

func (c *comparison) saysSwing(e *explain.Edge, ch change.Change) string {
	way, more := "out", "more"
	if *ch.By < 0 {
		way, more = "in", "less"
	}
	pivot := ch.Pivot.Point()
	end, near := e.Far, 1-e.Far
	at, _ := e.From.Nearest(pivot)
	along := e.From.LengthTo(at)
	if near == 1 {
		along = e.From.Length() - along
	}
	place := fmt.Sprintf("its end at %q", c.endName(e.Old, near))
	if along > 0.5 {
		place = fmt.Sprintf("a point %s from %q", c.amount(along), c.endName(e.Old, near))
	}
	if e.Blend > 0 {
		place += fmt.Sprintf(" (the bend there is smoothed over %s)", c.amount(e.Blend))
	}
	return fmt.Sprintf("%q is swung %s %s about %s: %s %s at %q%s", c.old.Edges[e.Old].Name, way,
		units.FormatAngle(geom.Degrees(math.Abs(*ch.Turn))), place, c.amount(math.Abs(*ch.By)), more,
		c.endName(e.Old, end), c.allRound(ch))
}

// LineUntold ends what is said of a part that moved as one where the outlines
// leave open along which line.
const LineUntold = "; where along these edges the line lies, the outlines do not tell"

// saysSpread puts a part that moved as one into words.
func (c *comparison) saysSpread(s explain.Spread, ch change.Change) string {
	verb := "spread open"
	if ch.Open[0]+ch.Open[1] < 0 {
		verb = "folded out"
	}
	var ends []string
	for k, open := range ch.Open {
		amount := "nothing"
		if math.Abs(open) > leastMove {
			amount = c.amount(math.Abs(open))
		}
		ends = append(ends, fmt.Sprintf("%s at %q", amount, ch.Edges[k]))
	}
	turn := ""
	if ch.Turn != nil && math.Abs(*ch.Turn) >= leastTold {
		turn = fmt.Sprintf(", by %s", units.FormatAngle(geom.Degrees(math.Abs(*ch.Turn))))
	}
	moved := quoted(ch.Moved)
	if len(ch.Moved) == 0 {
		moved = "the corner between them"
	}
	places := c.spreadPlaces(s, ch)
	says := fmt.Sprintf("%s along a line from %s to %s%s: %s; %s moved as one", verb, places[0], places[1], turn,
		strings.Join(ends, ", "), moved)
	if s.Anywhere {
		says += LineUntold
	}
	if s.Shared {
		says += "; it may as well be shared out over several lines"
	}
	return says
}

// spreadPlaces says where the line along which a part moved meets each of both edges.
func (c *comparison) spreadPlaces(s explain.Spread, ch change.Change) (places [2]string) {
	for k, name := range ch.Edges {
		places[k] = fmt.Sprintf("%q", name)
		if k < len(ch.From) {
			level := ""
			if s.Level[k] {
				level = " if the line runs square to the move"
			}
			places[k] += fmt.Sprintf(" (%s from %q%s)", c.amount(ch.From[k].Far), ch.From[k].Edge, level)
		}
	}
	return places
}

// leastTold in degrees: a part that turned by less moved along.
const leastTold = 0.05

// quoted lists names.
func quoted(names []string) string {
	var q []string
	for _, n := range names {
		q = append(q, fmt.Sprintf("%q", n))
	}
	return strings.Join(q, ", ")
}

// saysRun puts an end that was cut or run on into words.
func (c *comparison) saysRun(i, end int, by float64, how, cause string) string {
	text := fmt.Sprintf("%q is cut %s shorter at %q", c.old.Edges[i].Name, c.amount(-by), c.endName(i, end))
	if by > 0 {
		manner := map[string]string{change.HowAlong: "runs on", change.HowEased: "runs on", change.HowDrawn: "is drawn on"}[how]
		text = fmt.Sprintf("%q %s by %s at %q", c.old.Edges[i].Name, manner, c.amount(by), c.endName(i, end))
	}
	if cause != "" {
		text += ", to meet it"
		if cause != c.endName(i, end) {
			text = fmt.Sprintf("%s %q", strings.TrimSuffix(text, " it"), cause)
		}
	}
	return text
}

// saysLonger puts into words what a taper of a part makes an edge longer or shorter by.
func (c *comparison) saysLonger(i int, by float64) string {
	word := "longer"
	if by < 0 {
		word = "shorter"
	}
	return fmt.Sprintf("%q is %s %s for that", c.old.Edges[i].Name, c.amount(math.Abs(by)), word)
}

func (c *comparison) saysGone(i int, far float64) string {
	return fmt.Sprintf("%q is no longer there; the outline passes up to %s from where it was", c.old.Edges[i].Name, c.amount(far))
}

func (c *comparison) saysNew(j int, far float64) string {
	return fmt.Sprintf("%q is new, up to %s from the old outline", c.now.Edges[j].Name, c.amount(far))
}

// amount prints a length in the pattern's unit, one below a millimetre to 0.01 mm.
func (c *comparison) amount(mm float64) string { return change.AmountWords(mm, c.unit) }
