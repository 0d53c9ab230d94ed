package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// withinPart is what of a drawn line lies on a part that is cut off along another
// line: the whole where that does not cross it, or crosses it so that several
// stretches do, in which case the line goes with its middle. inside is false
// where nothing of it lies on the part.
func withinPart(line geom.Path, part geom.Ring, cut geom.Path) (on geom.Path, inside bool) {
	ends := []float64{0}
	for _, c := range geom.MeetPaths(line, cut) {
		ends = append(ends, line.LengthTo(c.P))
	}
	ends = append(ends, line.Length())
	slices.Sort(ends)
	var from, to []float64
	for k := 1; k < len(ends); k++ {
		a, b := ends[k-1], ends[k]
		if b-a < leastLine || !part.Holds(line.PointAt((a+b)/2)) {
			continue
		}
		if n := len(to); n > 0 && to[n-1] == a {
			to[n-1] = b
			continue
		}
		from, to = append(from, a), append(to, b)
	}
	switch whole := line.Length(); {
	case len(from) == 0:
		return line, false
	case len(from) > 1:
		return line, part.Holds(line.PointAt(whole / 2))
	case from[0] < leastLine && to[0] > whole-leastLine:
		return line, true
	}
	return storable(line.BetweenLengths(from[0], to[0])), true
}

// leastLine in mm: less of a line is not kept beyond a cut.
const leastLine = 1.0

// sayCutLines says which drawn lines a split cut in two.
func (m *making) sayCutLines(a, b *pattern.Piece) {
	for _, k := range a.Marks {
		if len(k.Path) > 0 && slices.ContainsFunc(b.Marks, func(o pattern.Mark) bool { return o.Name == k.Name && o.Kind == k.Kind }) {
			m.say("the %s %q is cut too; each part keeps its own", k.Kind, k.Name)
		}
	}
	for _, l := range a.Lines {
		if slices.ContainsFunc(b.Lines, func(o pattern.ReferenceLine) bool { return o.Name == l.Name }) {
			m.say("the reference line %q is cut too; each part keeps its own", l.Name)
		}
	}
}

// onePath is two lines as one where one begins at an end of the other, as those
// that a split cut; ok is false where they do not.
func onePath(a, b geom.Path) (whole geom.Path, ok bool) {
	const near = 0.01
	for _, p := range []geom.Path{a, a.Reverse()} {
		for _, q := range []geom.Path{b, b.Reverse()} {
			if p.End().Dist(q.Start()) > near {
				continue
			}
			if math.Abs(geom.AngleBetween(p.EndTangent(), q.StartTangent())) > geom.Degrees(0.5) {
				continue
			}
			whole = runTogether(p, q)
			if p.Start() != a.Start() && q.End() != a.Start() {
				whole = whole.Reverse()
			}
			return whole, true
		}
	}
	return nil, false
}

// calledFreely is the name of something of a piece that is joined, with a number where
// the whole has one of that name, which is said.
func (m *making) calledFreely(name string, whole, laid *pattern.Piece, taken func(string) bool) string {
	free := name
	for k := 2; taken(free); k++ {
		free = fmt.Sprintf("%s %d", name, k)
	}
	if free != name {
		m.say("%q of %s is called %q now, as %s has one of that name", name, laid.Name, free, whole.Name)
	}
	return free
}

// putTogether gives a joined piece the marks and lines of its second part, whose
// edges have new names. A drawn line that a split cut is one again.
func (m *making) putTogether(whole, laid *pattern.Piece, names map[string]string) {
	for _, k := range laid.Clone().Marks {
		if k.Edge != "" {
			k.Edge = names[k.Edge]
		}
		i := slices.IndexFunc(whole.Marks, func(o pattern.Mark) bool { return o.Name == k.Name && o.Kind == k.Kind && len(o.Path) > 0 })
		if i >= 0 && len(k.Path) > 0 {
			if path, ok := onePath(whole.Marks[i].Path, k.Path); ok {
				whole.Marks[i].Path = path
				continue
			}
		}
		k.Name = m.calledFreely(k.Name, whole, laid, func(name string) bool {
			return slices.ContainsFunc(whole.Marks, func(o pattern.Mark) bool { return o.Name == name })
		})
		whole.Marks = append(whole.Marks, k)
	}
	for _, l := range laid.Clone().Lines {
		i := slices.IndexFunc(whole.Lines, func(o pattern.ReferenceLine) bool { return o.Name == l.Name })
		if i < 0 {
			whole.Lines = append(whole.Lines, l)
		} else if path, ok := onePath(whole.Lines[i].Path, l.Path); ok {
			whole.Lines[i].Path = path
		} else {
			l.Name = m.calledFreely(l.Name, whole, laid, func(name string) bool {
				return slices.ContainsFunc(whole.Lines, func(o pattern.ReferenceLine) bool { return o.Name == name })
			})
			whole.Lines = append(whole.Lines, l)
		}
	}
}

// sayParts says which part is which, by the edges that it alone has; by all of its old
// ones where there is none such.
func (m *making) sayParts(main, other *pattern.Piece) {
	of := func(p, o *pattern.Piece) string {
		var own, all []string
		for _, e := range p.Edges[:len(p.Edges)-1] {
			if all = append(all, fmt.Sprintf("%q", e.Name)); !slices.Contains(o.EdgeNames(), e.Name) {
				own = append(own, fmt.Sprintf("%q", e.Name))
			}
		}
		if len(own) == 0 {
			own = all
		}
		if n := len(own); n > 1 {
			return strings.Join(own[:n-1], ", ") + " and " + own[n-1]
		}
		return strings.Join(own, "")
	}
	m.say("%s is the part with %s, %s the one with %s", main.Name, of(main, other), other.Name, of(other, main))
}
