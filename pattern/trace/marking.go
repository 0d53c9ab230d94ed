package trace

import (
	"cmp"
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// sameMark: a mark drawn within so many mm of a stored one is that one.
const sameMark = 0.5

// drawnMark is a mark of the drawing.
type drawnMark struct {
	mark pattern.Mark // its name is empty when it has no label
	word string       // what an unnamed one is called
	done bool
}

// marks settles the piece's marks and grain line from the drawing and what is
// stored.
func (t *tracing) marks() error {
	drawn, err := t.drawnMarks()
	if err != nil {
		return err
	}
	if t.old != nil {
		t.piece.Marks = t.keepMarks(drawn)
	}
	taken := map[string]bool{}
	for _, m := range t.piece.Marks {
		taken[m.Name] = true
	}
	for _, named := range []bool{true, false} {
		for _, d := range drawn {
			if d.done || (d.mark.Name != "") != named {
				continue
			}
			if named {
				d.mark.Name = unusedName(d.mark.Name, taken)
			} else {
				d.mark.Name = numberedName(d.word, 1, taken)
			}
			t.piece.Marks = append(t.piece.Marks, d.mark)
		}
	}
	return nil
}

// drawnMarks lists what is drawn inside, the grain line apart.
func (t *tracing) drawnMarks() ([]drawnMark, error) {
	var out []drawnMark
	add := func(label, word string, at geom.Point, m pattern.Mark) error {
		if label != "" {
			name, err := pattern.CleanName(label)
			if err != nil {
				return fmt.Errorf("%s at %s: %w; change its label", word, placeText(at), err)
			}
			m.Name = name
		}
		out = append(out, drawnMark{mark: m, word: word})
		return nil
	}
	for _, l := range t.o.Lines {
		if isGrainLine(l) {
			t.setGrain(l)
			continue
		}
		m, word, ok := t.lineMark(l)
		if !ok {
			continue
		}
		if err := add(l.Name, word, l.Path.Start(), m); err != nil {
			return nil, err
		}
	}
	for _, d := range t.o.Dots {
		m, word := dotMark(d)
		if err := add(d.Name, word, d.At, m); err != nil {
			return nil, err
		}
	}
	for _, x := range t.o.Texts {
		if err := add("", "text", x.At, pattern.Mark{Kind: pattern.MarkText, At: rounded3(x.At), Text: x.Text}); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// roundedPath is a path as it is stored.
func roundedPath(p geom.Path) geom.Path {
	out := make(geom.Path, 0, len(p))
	for _, c := range p {
		from, to := rounded3(c.P0), rounded3(c.P3)
		switch {
		case from == to && c.IsStraight(storedStraight):
		case c.IsStraight(storedStraight):
			out = append(out, geom.Line(from, to))
		default:
			out = append(out, geom.Cubic{P0: from, P1: rounded3(c.P1), P2: rounded3(c.P2), P3: to})
		}
	}
	return out
}

// setGrain takes a drawn grain line, from its upper end to its lower one. One
// drawn where the stored one lies leaves that as it is.
func (t *tracing) setGrain(l Line) {
	if l.Label.Says(pattern.GrainUsual) {
		return // nobody drew it
	}
	from, to := rounded3(l.Path.Start()), rounded3(l.Path.End())
	if to.Y < from.Y && l.Label.Kind == "" {
		from, to = to, from
	}
	g := t.piece.Grain
	if g == nil {
		t.piece.Grain = &pattern.Grain{From: from, To: to, OneWay: l.Label.Says(pattern.GrainOneWay), Bias: l.Label.Says(pattern.GrainBias)}
		return
	}
	same := func(a, b geom.Point) bool { return g.From.Dist(a) <= sameMark && g.To.Dist(b) <= sameMark }
	if same(from, to) || same(to, from) {
		return
	}
	if g.To.Sub(g.From).Dot(to.Sub(from)) < 0 {
		from, to = to, from
	}
	g.From, g.To = from, to
}

// drawable are the kinds any drawing shows, by the word of drawnMark; the others
// are shown only where labels say so, and are then their own words.
var drawable = map[pattern.MarkKind]string{
	pattern.MarkPlacement: "line", pattern.MarkFoldLine: "line", pattern.MarkDot: "dot", pattern.MarkText: "text",
}

// keepMarks carries the stored marks over and marks the drawn ones they
// account for.
func (t *tracing) keepMarks(drawn []drawnMark) []pattern.Mark {
	shows := map[string]bool{}
	for i := range drawn {
		shows[drawn[i].word] = true
		drawn[i].done = t.isReferenceLine(drawn[i])
	}
	stored := slices.Clone(t.old.Marks)
	accounted := make([]bool, len(stored))
	pair := func(fits func(m, d pattern.Mark) bool, take bool) {
		for i := range stored {
			for j := range drawn {
				if d := &drawn[j]; !accounted[i] && !d.done && fits(stored[i], d.mark) {
					accounted[i], d.done = true, true
					if take {
						stored[i].At, stored[i].Path, stored[i].Text = d.mark.At, d.mark.Path, d.mark.Text
						stored[i].Edge, stored[i].From, stored[i].To = d.mark.Edge, d.mark.From, d.mark.To
					}
				}
			}
		}
	}
	pair(sameMarks, false)
	pair(func(m, d pattern.Mark) bool { return d.Name != "" && m.Name == d.Name && m.Kind == d.Kind }, true)
	pair(func(m, d pattern.Mark) bool {
		return m.Kind == pattern.MarkText && d.Kind == m.Kind && m.Text == d.Text
	}, true)
	var out []pattern.Mark
	for i, m := range stored {
		word := cmp.Or(drawable[m.Kind], string(m.Kind))
		switch {
		case !t.hasMouth(m):
			t.says("%s %q has its mouth beyond the end of edge %q now; it is gone", m.Kind, m.Name, m.Edge)
		case shows[word] && !accounted[i]:
			t.says("%s %q is not drawn, while others are; it is gone", m.Kind, m.Name)
		default:
			out = append(out, m)
		}
	}
	return out
}

// hasMouth reports whether a dart's or pleat's mouth still lies on its edge.
func (t *tracing) hasMouth(m pattern.Mark) bool {
	if m.Edge == "" {
		return true
	}
	i := slices.Index(t.piece.EdgeNames(), m.Edge)
	return i >= 0 && m.To <= t.piece.EdgePath(i).Length()+0.001
}

func (t *tracing) isReferenceLine(d drawnMark) bool {
	return slices.ContainsFunc(t.old.Lines, func(l pattern.ReferenceLine) bool { return samePaths(l.Path, d.mark.Path) })
}

// sameMarks reports whether a stored mark is what was drawn: it lies there,
// whatever finer kind somebody has made of it since.
func sameMarks(m, d pattern.Mark) bool {
	switch d.Kind {
	case pattern.MarkDot:
		return (m.Kind == pattern.MarkDot || m.Kind == pattern.MarkButton) && m.At.Dist(d.At) <= sameMark
	case pattern.MarkButton:
		return m.Kind == d.Kind && m.At.Dist(d.At) <= sameMark
	case pattern.MarkText:
		return m.Kind == pattern.MarkText && m.Text == d.Text && m.At.Dist(d.At) <= sameMark
	case pattern.MarkDart, pattern.MarkPleat:
		near := func(a, b float64) bool { return a-b <= sameMark && b-a <= sameMark }
		return m.Kind == d.Kind && m.Edge == d.Edge && near(m.From, d.From) && near(m.To, d.To) && m.At.Dist(d.At) <= sameMark
	}
	return samePaths(m.Path, d.Path)
}

func samePaths(p, q geom.Path) bool {
	if len(p) == 0 || len(q) == 0 {
		return false
	}
	a, _ := farthestFrom(p, q)
	b, _ := farthestFrom(q, p)
	return a <= sameMark && b <= sameMark
}
