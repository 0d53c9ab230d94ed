package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// onOwnEdge is how near in mm to its edge a place lies that is meant to lie on it.
const onOwnEdge = 0.01

// moveOnEdge moves a dart or a pleat to a place on its edge: the middle of what it
// takes comes to lie there, and a dart's point goes along. A place elsewhere is for the
// point of a dart alone, whose mouth stays; a pleat has none. done is false where the
// point is to be moved.
func (m *making) moveOnEdge(mark *pattern.Mark) (done bool, err error) {
	what := fmt.Sprintf("%s: the %s %q", m.piece.Name, mark.Kind, mark.Name)
	i, err := m.piece.EdgeIndex(mark.Edge)
	if err != nil {
		return true, err
	}
	next := fmt.Sprintf("say with --to where on %q the middle of it comes to lie, as in --to %q", mark.Edge, mark.Edge+"@"+m.pattern.Unit.Typed((mark.From+mark.To)/2))
	if m.has("by") {
		return true, fmt.Errorf("%s lies on an edge from %s to %s; %s", what, m.format(mark.From), m.format(mark.To), next)
	}
	to, path := geom.Point{}, m.piece.EdgePath(i)
	if m.has("to") {
		if to, err = m.spot(m.text("to")); err != nil {
			return true, err
		}
	}
	place, off := path.Nearest(to)
	if !m.has("to") || off > onOwnEdge {
		if mark.Kind != pattern.MarkDart {
			return true, fmt.Errorf("%s lies on %q and moves along that alone; %s", what, mark.Edge, next)
		}
		return false, nil
	}
	half, at := (mark.To-mark.From)/2, path.LengthTo(place)
	if at-half < 0 || at+half > path.Length() {
		return true, fmt.Errorf("%s takes %s of %q, which is %s long; with its middle at %s it would run off it", what, m.format(2*half), mark.Edge, m.format(path.Length()), m.format(at))
	}
	step := path.PointAt(at).Sub(path.PointAt(mark.From + half))
	for k := range m.piece.Marks {
		if o := &m.piece.Marks[k]; o != mark && o.Edge == mark.Edge && math.Min(o.To, at+half)-math.Max(o.From, at-half) > onOwnEdge {
			return true, fmt.Errorf("%s would lie over the %s %q, from %s to %s; move that first", what, o.Kind, o.Name, m.format(o.From), m.format(o.To))
		}
	}
	mark.From, mark.To = roundTo(at-half), roundTo(at+half)
	if mark.Kind == pattern.MarkDart {
		mark.At = rounded(mark.At.Add(step))
	}
	return true, nil
}

// mouthStays says that of a dart only the point was moved.
func (m *making) mouthStays(mark *pattern.Mark) {
	m.say("%s: the point of the dart %q is moved; its mouth stays on %q, from %s to %s. All of it is moved along %q with `toile alter move %q %q --to %q`.",
		m.piece.Name, mark.Name, mark.Edge, m.format(mark.From), m.format(mark.To), mark.Edge, m.piece.Name, mark.Name, mark.Edge+"@L")
}
