package pattern

import (
	"fmt"
	"math"

	"toile/geom"
)

func (p *Piece) validateNotches() *Problem {
	names := map[string]bool{}
	for k, n := range p.Notches {
		if problem := p.validateNotch(n, names); problem != nil {
			problem.Part, problem.Index = PartNotch, k
			problem.Reason = fmt.Sprintf("notch %q: ", n.Name) + problem.Reason
			return problem
		}
	}
	return nil
}

// validateNotch checks one notch; names are those of the notches before it.
func (p *Piece) validateNotch(n Notch, names map[string]bool) *Problem {
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{key: key, Reason: fmt.Sprintf(format, args...)}
	}
	if err := cleanName(n.Name); err != nil {
		return fail("name", "%v", err)
	}
	if names[n.Name] {
		return fail("name", "two notches bear this name; rename one")
	}
	names[n.Name] = true
	i, ok := p.edgeNamed(n.Edge)
	if !ok {
		return fail("edge", "there is no edge %q; the edges are %s", n.Edge, quoteList(p.EdgeNames()))
	}
	length := p.EdgePath(i).Length()
	if !(n.At >= 0 && n.At <= length+alongEdge) {
		return fail("at", "it lies off its edge: %s mm along %q, which is %s mm long", number(n.At), n.Edge, number(length))
	}
	if n.Count < 1 || n.Count > mostNotchCount {
		return fail("count", "count is %d; it is from 1 to %d", n.Count, mostNotchCount)
	}
	return p.notchInRounding(n, i, length)
}

// notchInRounding refuses a notch within the tangent length of a rounding.
func (p *Piece) notchInRounding(n Notch, edge int, length float64) *Problem {
	size := len(p.Edges)
	from := n.At
	if n.FromEnd {
		from = length - n.At
	}
	for _, end := range []struct {
		corner int
		away   float64
	}{{edge, from}, {(edge + 1) % size, length - from}} {
		r := p.Corners[end.corner].Round
		if r == 0 {
			continue
		}
		before := (end.corner + size - 1) % size
		_, cutBefore, cutAfter, err := geom.RoundCorner(p.EdgePath(before), p.EdgePath(end.corner), r)
		if err != nil {
			continue // validateRing has refused it before
		}
		cut := cutAfter
		if end.corner != edge {
			cut = cutBefore
		}
		if end.away < cut-alongEdge {
			return (&Problem{Reason: fmt.Sprintf("it lies in the rounding of the corner %s; move it at least %s mm from there",
				p.CornerName(end.corner), number(math.Ceil(cut*1000)/1000))}).at("at")
		}
	}
	return nil
}

func (p *Piece) validateMarks() *Problem {
	names := map[string]bool{}
	for k, m := range p.Marks {
		if problem := p.validateMark(m, names); problem != nil {
			problem.Part, problem.Index = PartMark, k
			problem.Reason = fmt.Sprintf("mark %q: ", m.Name) + problem.Reason
			return problem
		}
	}
	return nil
}

// validateMark checks one mark; names are those of the marks before it.
func (p *Piece) validateMark(m Mark, names map[string]bool) *Problem {
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{key: key, Reason: fmt.Sprintf(format, args...)}
	}
	if err := cleanName(m.Name); err != nil {
		return fail("name", "%v", err)
	}
	if names[m.Name] {
		return fail("name", "two marks bear this name; rename one")
	}
	names[m.Name] = true
	switch m.Kind {
	case MarkButton, MarkDot:
		if !(m.Size >= 0 && m.Size <= maxCoordinate) {
			return fail("size", "a size of %s mm is less than nothing", number(m.Size))
		}
	case MarkText:
		if c, bad := unprintable(m.Text); bad {
			return fail("text", "its text holds the control character %U; leave it out", c)
		}
		if m.Text == "" {
			return fail("text", "it has no text")
		}
	case MarkButtonhole, MarkSlit, MarkPlacement, MarkFoldLine:
		return validatePath(m.Path)
	case MarkDart, MarkPleat:
		return p.validateMouth(m)
	default:
		return fail("kind", "there is no kind of mark %q; the kinds are %s", m.Kind, quoteList(markKinds))
	}
	if !onSheet(m.At) {
		return fail("at", offSheet)
	}
	return nil
}

// markKinds lists the kinds for messages.
var markKinds = []string{string(MarkButton), string(MarkButtonhole), string(MarkDot), string(MarkSlit), string(MarkPlacement),
	string(MarkFoldLine), string(MarkDart), string(MarkPleat), string(MarkText)}

// validateMouth checks a dart's mouth and point, or a pleat's intake.
func (p *Piece) validateMouth(m Mark) *Problem {
	fail := func(key, format string, args ...any) *Problem {
		return &Problem{key: key, Reason: fmt.Sprintf(format, args...)}
	}
	i, ok := p.edgeNamed(m.Edge)
	if !ok {
		return fail("edge", "there is no edge %q; the edges are %s", m.Edge, quoteList(p.EdgeNames()))
	}
	if length := p.EdgePath(i).Length(); !(m.From >= 0 && m.To > m.From && m.To <= length+alongEdge) {
		return fail("to", "its mouth runs from %s to %s mm along %q, which is %s mm long", number(m.From), number(m.To), m.Edge, number(length))
	}
	if (m.Kind == MarkPleat || m.Direction != "") && m.Direction != towardsStart && m.Direction != towardsEnd {
		return fail("towards", "towards is %q; it is %q or %q", m.Direction, towardsStart, towardsEnd)
	}
	if m.Kind == MarkDart && !onSheet(m.At) {
		return fail("point", offSheet)
	}
	return nil
}

// validatePath checks the path of a mark or a reference line.
func validatePath(path geom.Path) *Problem {
	switch {
	case len(path) == 0 || path.Length() < shortestEdge:
		return (&Problem{Reason: "its path has no length; it takes at least two places apart"}).at("path")
	case !pathOnSheet(path):
		return (&Problem{Reason: offSheet}).at("path")
	}
	return nil
}

func (p *Piece) validateLines() *Problem {
	names := map[string]bool{}
	for k, l := range p.Lines {
		problem := validatePath(l.Path)
		if err := cleanName(l.Name); err != nil {
			problem = (&Problem{Reason: err.Error()}).at("name")
		} else if names[l.Name] {
			problem = (&Problem{Reason: "two lines bear this name; rename one"}).at("name")
		}
		if problem != nil {
			problem.Part, problem.Index = PartLine, k
			problem.Reason = fmt.Sprintf("line %q: ", l.Name) + problem.Reason
			return problem
		}
		names[l.Name] = true
	}
	return nil
}
