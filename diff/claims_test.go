package diff_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern/change"
)

// claim is what a diff has to say of one thing that was done to a piece: the
// truth, known to the code that did it. Figures that are nil do not belong to
// its kind.
type claim struct {
	kind  change.Kind
	how   string
	edges []string // FROM's names, in any order; nil: any

	by, turn, allowance *float64
	ends, radius, open  *[2]float64
	vector              *geom.Point
	pivot               *geom.Point
	pivotWithin         float64        // mm: what three decimals leave of a pivot at a small angle
	openWithin          float64        // mm
	at                  []geom.Point   // any of these
	line                *[2]geom.Point // in either direction
	most                []float64      // greatest departures: from the old line, from the new one
	was, is             geom.Path      // of a redrawn edge
	notch, mark, after  string
	names               []string // of the pieces it was split into or joined of
	moved               []string // edges that have to be among those a spread moved

	// or holds other readings of what was done that give the same outline
	// within what is stored.
	or []claim
}

func (c claim) String() string {
	text := string(c.kind)
	if c.how != "" {
		text += " " + c.how
	}
	text += fmt.Sprintf(" %q", c.edges)
	for _, f := range []struct {
		name string
		v    *float64
	}{{"by", c.by}, {"turn", c.turn}} {
		if f.v != nil {
			text += fmt.Sprintf(" %s %.4f", f.name, *f.v)
		}
	}
	for _, f := range []struct {
		name string
		v    *[2]float64
	}{{"ends", c.ends}, {"radius", c.radius}, {"open", c.open}} {
		if f.v != nil {
			text += fmt.Sprintf(" %s %.4f", f.name, *f.v)
		}
	}
	if c.pivot != nil {
		text += fmt.Sprintf(" pivot %.3f", *c.pivot)
	}
	if len(c.most) > 0 {
		text += fmt.Sprintf(" max %.4f", c.most)
	}
	if len(c.at) > 0 {
		text += fmt.Sprintf(" at %.3f", c.at)
	}
	text += fmt.Sprint(" ", c.notch, c.mark, c.after, c.names)
	for _, o := range c.or {
		text += "\n      or " + o.String()
	}
	return text
}

// slack is how far figures may be from the truth: those of an exact input, or
// of one traced with noise.
type slack struct{ mm, degrees float64 }

var exactly = slack{0.05, 0.02}

// misses says which figure of what was found is not the claim's; empty when
// all agree.
func (c claim) misses(found change.Change, s slack) string {
	var out []string
	figure := func(name string, want, got *float64, within float64) {
		switch {
		case want == nil:
		case got == nil:
			out = append(out, name+" missing")
		case !(math.Abs(*want-*got) <= within):
			out = append(out, fmt.Sprintf("%s %.3f for %.3f", name, *got, *want))
		}
	}
	pair := func(name string, want, got *[2]float64, within float64) {
		if want == nil {
			return
		}
		if got == nil {
			out = append(out, name+" missing")
			return
		}
		figure(name, &want[0], &got[0], within)
		figure(name, &want[1], &got[1], within)
	}
	figure("by", c.by, found.By, s.mm)
	figure("turn", c.turn, found.Turn, s.degrees)
	pair("ends", c.ends, found.Ends, s.mm)
	pair("radius", c.radius, found.Radius, s.mm)
	if c.vector != nil {
		out = append(out, place("vector", []geom.Point{*c.vector}, found.ByVector, s.mm)...)
	}
	if c.pivot != nil {
		out = append(out, place("pivot", []geom.Point{*c.pivot}, found.Pivot, s.mm+c.pivotWithin)...)
	}
	if len(c.most) > 0 {
		out = append(out, c.departs(found, s.mm)...)
	} else if len(c.at) > 0 {
		out = append(out, place("at", c.at, found.At, s.mm)...)
	}
	if c.after != "" && found.After != c.after {
		out = append(out, fmt.Sprintf("after %q for %q", found.After, c.after))
	}
	return strings.Join(append(out, c.missesMore(found, s)...), ", ")
}

// place compares a found place with those that are right.
func place(name string, want []geom.Point, got *change.XY, within float64) []string {
	if got == nil {
		return []string{name + " missing"}
	}
	for _, q := range want {
		if q.Dist(got.Point()) <= within {
			return nil
		}
	}
	return []string{fmt.Sprintf("%s %.3f for %.3f", name, *got, want)}
}

// departs compares the greatest departure of a redrawn edge: from the old
// line to the new one or the other way, whichever the program measures.
func (c claim) departs(found change.Change, within float64) []string {
	if found.Max == nil || found.At == nil {
		return []string{"max or at missing"}
	}
	if math.Abs(c.most[0]-*found.Max) > within && math.Abs(c.most[1]-*found.Max) > within {
		return []string{fmt.Sprintf("max %.3f for %.3f", *found.Max, c.most)}
	}
	_, was := c.was.Nearest(found.At.Point())
	_, is := c.is.Nearest(found.At.Point())
	if math.Min(was, is) > 2*within || math.Max(was, is) < *found.Max-2*within {
		return []string{fmt.Sprintf("at %.3f, which lies %.3f from the old line and %.3f from the new one", *found.At, was, is)}
	}
	return nil
}

// missesMore compares the figures of spreads, splits and joins.
func (c claim) missesMore(found change.Change, s slack) []string {
	var out []string
	if c.open != nil {
		within := s.mm + c.openWithin
		near := func(a, b float64) bool { return math.Abs(a-b) <= within }
		got := found.Open
		switch {
		case got == nil:
			out = append(out, "open missing")
		case near(got[0], c.open[0]) && near(got[1], c.open[1]), near(got[1], c.open[0]) && near(got[0], c.open[1]): // from either end
		default:
			out = append(out, fmt.Sprintf("open %.3f for %.3f", *got, *c.open))
		}
	}
	for _, name := range c.moved {
		if !slices.Contains(found.Moved, name) {
			out = append(out, fmt.Sprintf("moved %q without %q", found.Moved, name))
		}
	}
	if c.line != nil && !lineFound(found.Line, *c.line, s.mm) {
		out = append(out, fmt.Sprintf("line %.3f for %.3f", found.Line, *c.line))
	}
	if c.allowance != nil && (found.Allowance == nil || math.Abs(*found.Allowance-*c.allowance) > s.mm) {
		out = append(out, fmt.Sprintf("allowance %v for %.3f", found.Allowance, *c.allowance))
	}
	if told := sortedNames(append(slices.Clone(found.Into), found.Of...)); c.names != nil && !slices.Equal(told, sortedNames(c.names)) {
		out = append(out, fmt.Sprintf("names %q for %q", told, c.names))
	}
	return out
}

// lineFound reports whether a line runs from one end of the other to its
// other end.
func lineFound(got []change.XY, want [2]geom.Point, within float64) bool {
	if len(got) < 2 {
		return false
	}
	p, q := got[0].Point(), got[len(got)-1].Point()
	return (p.Dist(want[0]) <= within && q.Dist(want[1]) <= within) || (p.Dist(want[1]) <= within && q.Dist(want[0]) <= within)
}

// errors lists by how much the figures of what was found are out, in mm and in
// degrees: for a spread of errors where they cannot be exact. A pivot counts by
// where it puts the far end, through by and turn.
func (c claim) errors(found change.Change) (mm, degrees []float64) {
	add := func(list *[]float64, want, got *float64) {
		if want != nil && got != nil {
			*list = append(*list, math.Abs(*want-*got))
		}
	}
	add(&mm, c.by, found.By)
	add(&degrees, c.turn, found.Turn)
	for _, pair := range []struct{ want, got *[2]float64 }{{c.ends, found.Ends}, {c.radius, found.Radius}} {
		if pair.want != nil && pair.got != nil {
			mm = append(mm, math.Abs(pair.want[0]-pair.got[0]), math.Abs(pair.want[1]-pair.got[1]))
		}
	}
	if len(c.most) > 0 && found.Max != nil {
		mm = append(mm, math.Min(math.Abs(c.most[0]-*found.Max), math.Abs(c.most[1]-*found.Max)))
	}
	return mm, degrees
}
