package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

var _ = register(&Kind{Name: averageSides, Does: "makes left and right alike: each goes half of the way to the other's mirror image",
	Keys: []Key{
		{Name: "with", What: Piece, Typed: true, Means: "the piece of the wearer's other side, as separate makes it; without it the two halves of the piece itself, drawn whole"},
		{Name: "other-side", What: Flag, Means: "the two pieces are the left and the right of one thing, where neither their names nor how they came about tell it"},
		{Name: "edge", What: Edge, Means: "with --left and --right: the seam edge on which the amounts were pinned"},
		{Name: "left", What: Length, Means: "how much was pinned in on the wearer's left; less than 0 for let out"},
		{Name: "right", What: Length, Means: "how much on the right; the edge is taken in by the mean of both"},
		{Name: "to", What: End, Means: "the end that gets the whole of the mean when it tapers from the other: start or end, or the name of the edge at which it lies"},
		{Name: "axis", What: Text, Means: "the reference line about which a whole piece is to be alike; without it the one that fits best"},
	}, Typed: `"left front" "right front"`, make: (*making).average})

// alikeWithin is how near in mm two sides count as alike already.
const alikeWithin = 0.005

// sides are two outlines, the second mirrored onto the first; pair[i] is the
// edge of the second that edge i of the first answers to.
type sides struct {
	first, second *pattern.Piece // as stored
	laid          *pattern.Piece // the second, mirrored and laid on the first
	lay           geom.Motion    // the second onto the first, a mirror in it
	pair          []int
}

// answering is the edge of the second side, as stored, that edge i of the first
// answers to.
func (s *sides) answering(i int) int {
	k, _ := s.second.EdgeIndex(s.laid.Edges[s.pair[i]].Name)
	return k
}

func (m *making) average() error {
	if m.has("edge") || m.has("left") || m.has("right") {
		return m.averagePinned()
	}
	s, err := m.askedSides()
	if err != nil {
		return err
	}
	if len(s.first.Edges) != len(s.second.Edges) {
		return m.unlikeEdges(s)
	}
	if err := m.laySides(s); err != nil {
		return err
	}
	m.sayReadings(s.first.Name, s.second.Name)
	return m.meanOf(s)
}

func edgesSaid(n int) string {
	if n == 1 {
		return "1 edge"
	}
	return fmt.Sprintf("%d edges", n)
}

// laySides lays the mirrored second side on the first: in the axis, or as most
// of the outline fits.
func (m *making) laySides(s *sides) error {
	turnOver := turnedOver(s.second)
	if m.has("axis") {
		k := slices.IndexFunc(s.first.Lines, func(l pattern.ReferenceLine) bool { return l.Name == m.text("axis") })
		if k < 0 {
			return fmt.Errorf("%s has no reference line %q", s.first.Name, m.text("axis"))
		}
		s.lay = s.first.Lines[k].Mirror()
	} else if k := s.middleLine(); k >= 0 {
		s.lay = s.first.Lines[k].Mirror()
		m.say("%s: its halves are laid together along the reference line %q", s.first.Name, s.first.Lines[k].Name)
	} else {
		ring, _ := s.first.SharpRing()
		mirrored, _ := s.second.Moved(turnOver).SharpRing()
		pose, _, err := match.LayOver(ring, mirrored, alikeWithin, match.Options{})
		if err != nil {
			return fmt.Errorf("%s and the mirror image of %s cannot be laid together: %w", s.first.Name, s.second.Name, err)
		}
		if pose.Matched == 0 {
			return fmt.Errorf("%s and the mirror image of %s coincide nowhere, so there is nothing to lay them together by; name the middle of one drawn whole with --axis", s.first.Name, s.second.Name)
		}
		s.lay = turnOver.Then(pose.Motion)
	}
	s.laid = s.second.Moved(s.lay)
	return m.pairEdges(s)
}

// middleLine is the reference line in the middle of a piece of which the halves are
// meant; −1 for two pieces, and where no line is.
func (s *sides) middleLine() int {
	if s.first != s.second {
		return -1
	}
	return s.first.MiddleLine()
}

// pairEdges finds the edges that answer each other: by name where both sides
// have the same, else the turn of the outline with the least distance.
func (m *making) pairEdges(s *sides) error {
	n := len(s.first.Edges)
	best, least := 0, math.Inf(1)
	for shift := range n {
		sum, named := 0.0, s.first != s.second
		for i := range n {
			k := (i + shift) % n
			sum += s.first.Corners[i].At.Dist(s.laid.Corners[k].At)
			named = named && s.first.Edges[i].Name == s.laid.Edges[k].Name
		}
		if named {
			sum = 0
		}
		if sum < least {
			best, least = shift, sum
		}
	}
	const most = 60 // mm a corner on average: sides that differ by more are different pieces
	if least > most*float64(n) {
		return fmt.Errorf("%s and the mirror image of %s are not alike enough to say which corner answers which; name the middle with --axis", s.first.Name, s.second.Name)
	}
	for i := range n {
		s.pair = append(s.pair, (i+best)%n)
	}
	return nil
}

// meanOf says how the sides differ and draws both as their mean.
func (m *making) meanOf(s *sides) error {
	w, n := begin(s.first), len(s.first.Edges)
	mean := make([]geom.Path, n)
	differ := false
	for i := range n {
		a, b := s.first.EdgePath(i), s.laid.EdgePath(s.pair[i])
		if apart := farthest(a, b); apart > alikeWithin {
			if s.first != s.second || s.answering(i) >= i { // the halves of one piece are told once
				m.say("%s", m.difference(s, i, a, b, apart))
			}
			differ = true
			mean[i] = meanPath(a, b)
		}
	}
	differ = m.meanNotches(s, mean) || differ
	m.sayMarksApart(s)
	if !differ {
		m.say("%s: both sides are alike already", s.first.Name)
		return nil
	}
	for i := range mean {
		if mean[i] != nil {
			w.set(i, mean[i])
		}
	}
	if err := w.finish(); err != nil {
		return err
	}
	if s.second == s.first {
		return nil
	}
	v, back := begin(s.second), s.lay.Inverse()
	for i := range mean {
		if mean[i] != nil {
			v.set(s.answering(i), mean[i].Moved(back).Reverse())
		}
	}
	return v.finish()
}

// difference says how one edge differs between the sides.
func (m *making) difference(s *sides, i int, a, b geom.Path, apart float64) string {
	longer := ""
	if is, its := m.format(a.Length()), m.format(b.Length()); is != its {
		longer = fmt.Sprintf(", and %s and %s long", is, its)
	}
	if s.first == s.second && s.answering(i) == i {
		return fmt.Sprintf("%s: %q and its mirror image are up to %s apart", s.first.Name, s.first.Edges[i].Name, m.format(apart))
	}
	if s.first == s.second {
		return fmt.Sprintf("%s: %q and %q are up to %s apart%s", s.first.Name, s.first.Edges[i].Name, s.laid.Edges[s.pair[i]].Name, m.format(apart), longer)
	}
	return fmt.Sprintf("%q of %s and %s are up to %s apart%s", s.first.Edges[i].Name, s.first.Name, s.second.Name, m.format(apart), longer)
}

// farthest is the greatest distance between two lines at equal shares of their
// lengths.
func farthest(a, b geom.Path) float64 {
	const samples = 64
	worst, la, lb := 0.0, a.Length(), b.Length()
	for k := range samples + 1 {
		f := float64(k) / samples
		worst = math.Max(worst, a.PointAt(f*la).Dist(b.PointAt(f*lb)))
	}
	return worst
}

// meanNotches brings notches that answer each other to the mean of their distances,
// each counted from where it is counted: of two pieces those of one name, of the
// halves of one piece those on edges that answer each other. mean are the new lines
// of the first side's edges, nil where they stay. moved says that some were not alike.
func (m *making) meanNotches(s *sides, mean []geom.Path) (moved bool) {
	for k := range s.first.Notches {
		a := &s.first.Notches[k]
		i, err := s.first.EdgeIndex(a.Edge)
		j := s.answeringNotch(k, i)
		if err != nil || j < 0 {
			continue
		}
		b := &s.second.Notches[j]
		at, its := a.At, b.At
		if a.FromEnd == b.FromEnd { // not from the ends that answer each other
			its = s.second.EdgePath(s.answering(i)).Length() - b.At
		}
		if math.Abs(at-its) <= alikeWithin {
			continue
		}
		length := s.first.EdgePath(i).Length()
		if mean[i] != nil {
			length = mean[i].Length()
		}
		m.say("the notches %q and %q lie at %s and %s; both are at the mean now", a.Name, b.Name, m.format(at), m.format(its))
		a.At = roundTo((at + its) / 2)
		if b.At = a.At; a.FromEnd == b.FromEnd {
			b.At = roundTo(length - a.At)
		}
		moved = true
	}
	return moved
}

// answeringNotch is the notch of the second side that notch k of the first, on its
// edge i, answers to; −1 for none. Each two of one piece are visited once.
func (s *sides) answeringNotch(k, i int) int {
	a := s.first.Notches[k]
	if i < 0 {
		return -1
	}
	edge := s.second.Edges[s.answering(i)].Name
	if s.first != s.second {
		if j := s.second.NotchByName(a.Name); j >= 0 && s.second.Notches[j].Edge == edge {
			return j
		}
		return -1
	}
	best, least := -1, math.Inf(1)
	place, _, _, err := s.first.NotchPlace(a)
	for j, b := range s.second.Notches {
		its, _, _, errB := s.second.NotchPlace(b)
		if j <= k || b.Edge != edge || err != nil || errB != nil {
			continue
		}
		if far := s.lay.Apply(its).Dist(place); far < least && far < notchesAnswer {
			best, least = j, far
		}
	}
	return best
}

// notchesAnswer is how far apart in mm notches of two halves lie at most that answer
// each other.
const notchesAnswer = 40

// sayMarksApart tells of the marks of both sides that answer each other by kind and
// name, or by kind on one piece, and lie or measure otherwise: these stay.
func (m *making) sayMarksApart(s *sides) {
	for k, a := range s.first.Marks {
		for j, b := range s.laid.Marks {
			far, wide := a.At.Dist(b.At), math.Abs((a.To-a.From)-(b.To-b.From))
			if a.Kind == pattern.MarkPleat { // it lies on its edge alone
				far = 0
			}
			if a.Kind != b.Kind || s.first == s.second && (j <= k || far > notchesAnswer || a.Kind == pattern.MarkPleat) || s.first != s.second && a.Name != b.Name || a.Path != nil {
				continue
			}
			if far > alikeWithin || wide > alikeWithin {
				m.say("the %s %q and %q lie %s apart%s; marks stay as they are: alter them with `toile alter move`, or mark one anew", a.Kind, a.Name, b.Name, m.format(far), m.wideApart(wide))
			}
		}
	}
}

func (m *making) wideApart(by float64) string {
	if by <= alikeWithin {
		return ""
	}
	return fmt.Sprintf(" and are %s wider the one than the other", m.format(by))
}
