package diff_test

import (
	"math"
	"reflect"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// still reports whether an edge is just as it was, its ends as well: notches
// are told on such an edge without a doubt from which end.
func (m *making) still(name string) bool {
	i, err := m.from.EdgeIndex(name)
	if err != nil || m.whole {
		return false
	}
	old, now := m.from.EdgePath(i), m.now.EdgePath(i)
	return !m.changed[i] && old.Start() == now.Start() && old.End() == now.End()
}

func moveNotch(m *making) bool {
	if len(m.now.Notches) == 0 {
		return false
	}
	k := m.pick(len(m.now.Notches))
	n := m.now.Notches[k]
	if old := m.from.NotchByName(n.Name); old < 0 || m.from.Notches[old] != n || !m.still(n.Edge) {
		return false
	}
	i, _ := m.now.EdgeIndex(n.Edge)
	length := m.now.EdgePath(i).Length()
	by := m.sign() * m.amount(leastMM, 0.3*length)
	q := m.now.Clone()
	q.Notches[k].At = units.Round(n.At+by, 3)
	if q.Notches[k].At < 5 || q.Notches[k].At > length-5 || q.Validate() != nil {
		return false
	}
	m.now = q
	at, _, _, _ := q.NotchPlace(q.Notches[k])
	m.claims = append(m.claims, claim{kind: change.NotchMoved, edges: []string{n.Edge}, notch: n.Name, by: &by, at: []geom.Point{at}})
	return true
}

func addNotch(m *making) bool {
	i := m.pick(m.n())
	name := m.name(i)
	if m.from.Edges[i].Fold || !m.still(name) || m.now.NotchByName("new notch") >= 0 {
		return false
	}
	length := m.now.EdgePath(i).Length()
	q := m.now.Clone()
	q.Notches = append(q.Notches, pattern.Notch{Name: "new notch", Edge: name, At: units.Round(length*m.u(0.15, 0.85), 3), FromEnd: m.coin(), Count: 1 + m.pick(2)})
	if q.Validate() != nil || crowded(q) {
		return false
	}
	m.now = q
	at, _, _, _ := q.NotchPlace(q.Notches[len(q.Notches)-1])
	m.claims = append(m.claims, claim{kind: change.NotchAdded, edges: []string{name}, notch: "new notch", at: []geom.Point{at}})
	return true
}

// crowded reports whether two notches lie within 2 mm of each other: they
// could not be told apart.
func crowded(p *pattern.Piece) bool {
	for i, a := range p.Notches {
		for _, b := range p.Notches[:i] {
			x, _, _, _ := p.NotchPlace(a)
			y, _, _, _ := p.NotchPlace(b)
			if x.Dist(y) < 2 {
				return true
			}
		}
	}
	return false
}

func removeNotch(m *making) bool {
	if len(m.from.Notches) == 0 || len(m.now.Notches) != len(m.from.Notches) {
		return false // gone and new at once would be moved
	}
	k := m.pick(len(m.from.Notches))
	n := m.from.Notches[k]
	if m.now.Notches[k] != n || !m.still(n.Edge) {
		return false
	}
	at, _, _, _ := m.from.NotchPlace(n)
	m.now = m.now.Clone()
	m.now.Notches = append(m.now.Notches[:k:k], m.now.Notches[k+1:]...)
	m.claims = append(m.claims, claim{kind: change.NotchRemoved, edges: []string{n.Edge}, notch: n.Name, at: []geom.Point{at}})
	return true
}

// untouched reports whether a mark is as it was, and no other came or went.
func (m *making) untouched(k int) bool {
	return len(m.now.Marks) == len(m.from.Marks) && reflect.DeepEqual(m.now.Marks[k], m.from.Marks[k])
}

// placed reports whether a mark lies inside the piece by itself.
func placed(k pattern.Mark) bool { return k.Edge == "" }

func anchorOf(k pattern.Mark) geom.Point {
	if len(k.Path) > 0 {
		return k.Path.Start()
	}
	return k.At
}

func moveMark(m *making) bool {
	if len(m.now.Marks) == 0 {
		return false
	}
	k := m.pick(len(m.now.Marks))
	mark := m.now.Marks[k]
	if !placed(mark) || !m.untouched(k) {
		return false
	}
	by := geom.Pt(m.amount(leastMM, 60), 0).Turn(m.u(-math.Pi, math.Pi))
	q := m.now.Clone()
	q.Marks[k].At, q.Marks[k].Path = mark.At.Add(by), shifted(mark.Path, by)
	q = stored(q)
	at := anchorOf(q.Marks[k])
	by = at.Sub(anchorOf(mark))
	for j, other := range q.Marks { // not onto another mark
		if j != k && placed(other) && anchorOf(other).Dist(at) < 2*by.Len() {
			return false
		}
	}
	m.now = q
	m.claims = append(m.claims, claim{kind: change.MarkMoved, mark: mark.Name, vector: &by, at: []geom.Point{at}})
	return q.Validate() == nil
}

func addMark(m *making) bool {
	if len(m.now.Marks) != len(m.from.Marks) {
		return false
	}
	box := geom.Path(ringOf(m.now)).Box()
	at := stored3(geom.Pt(m.u(box.Min.X, box.Max.X), m.u(box.Min.Y, box.Max.Y)))
	if !ringOf(m.now).Holds(at) {
		return false
	}
	q := m.now.Clone()
	kinds := []pattern.Mark{
		{Kind: pattern.MarkDot, Name: "new dot", At: at, Size: 4},
		{Kind: pattern.MarkText, Name: "new text", At: at, Text: "pin here"},
		{Kind: pattern.MarkButton, Name: "new button", At: at, Size: 11},
	}
	mark := kinds[m.pick(len(kinds))]
	q.Marks = append(q.Marks, mark)
	m.now = q
	m.claims = append(m.claims, claim{kind: change.MarkAdded, mark: mark.Name, at: []geom.Point{at}})
	return q.Validate() == nil
}

func ringOf(p *pattern.Piece) geom.Ring {
	r, _ := p.SharpRing()
	return r
}

func removeMark(m *making) bool {
	if len(m.from.Marks) == 0 || len(m.now.Marks) != len(m.from.Marks) {
		return false
	}
	k := m.pick(len(m.from.Marks))
	mark := m.from.Marks[k]
	if !placed(mark) || !m.untouched(k) {
		return false
	}
	m.now = m.now.Clone()
	m.now.Marks = append(m.now.Marks[:k:k], m.now.Marks[k+1:]...)
	m.claims = append(m.claims, claim{kind: change.MarkRemoved, mark: mark.Name, at: []geom.Point{anchorOf(mark)}})
	return true
}

// changeMark changes what a mark is, but for its place.
func changeMark(m *making) bool {
	if len(m.now.Marks) != len(m.from.Marks) || len(m.now.Marks) == 0 {
		return false
	}
	k := m.pick(len(m.now.Marks))
	if !placed(m.now.Marks[k]) || !m.untouched(k) {
		return false
	}
	m.now = m.now.Clone()
	mark := &m.now.Marks[k]
	switch mark.Kind {
	case pattern.MarkButton, pattern.MarkDot:
		mark.Size = units.Round(mark.Size+m.amount(leastMM, 10), 1)
	case pattern.MarkText:
		mark.Text += ", cut twice"
	default:
		return false
	}
	m.claims = append(m.claims, claim{kind: change.MarkChanged, mark: mark.Name, at: []geom.Point{anchorOf(*mark)}})
	return true
}

func changeAllowance(m *making) bool {
	i := m.pick(m.n())
	before := m.from.Edges[i].AllowanceFor(pattern.ClothSet)
	after := units.Round(before+m.sign()*m.amount(leastMM, 25), 1)
	if m.from.Edges[i].Fold || m.whole || after < 2 || m.now.Edges[i].AllowanceFor(pattern.ClothSet) != before {
		return false
	}
	m.now = m.now.Clone()
	if m.now.Edges[i].Allowance == nil {
		m.now.Edges[i].Allowance = map[string]float64{}
	}
	m.now.Edges[i].Allowance[pattern.ClothSet] = after
	m.claims = append(m.claims, claim{kind: change.AllowanceChanged, edges: []string{m.name(i)}, after: units.Centimetre.Format(after)})
	return true
}

func turnGrain(m *making) bool {
	if m.from.Grain == nil || *m.now.Grain != *m.from.Grain {
		return false
	}
	degrees := m.sign() * m.amount(leastDegrees, 45)
	m.now = m.now.Clone()
	g := m.now.Grain
	about := g.From.Lerp(g.To, m.u(0, 1))
	g.From = g.From.Sub(about).Turn(geom.Degrees(degrees)).Add(about)
	g.To = g.To.Sub(about).Turn(geom.Degrees(degrees)).Add(about)
	m.now = stored(m.now)
	m.claims = append(m.claims, claim{kind: change.GrainTurned, turn: &degrees})
	return m.now.Validate() == nil
}

func changeCutting(m *making) bool {
	if m.now.Cloth != m.from.Cloth || m.now.Cut != m.from.Cut || m.now.Side != m.from.Side {
		return false
	}
	m.now = m.now.Clone()
	after := ""
	switch k := m.pick(3); {
	case k == 0 && m.now.Cut != pattern.CutOnFold:
		m.now.Cut = map[pattern.Cut]pattern.Cut{pattern.CutOne: pattern.CutPair, pattern.CutPair: pattern.CutOne}[m.now.Cut]
		after = string(m.now.Cut)
	case k == 1:
		m.now.Side = map[string]string{"": "left", "left": "right", "right": "left"}[m.now.Side]
		after = m.now.Side
	default:
		m.now.Cloth = "lining"
		after = m.now.Cloth
	}
	m.claims = append(m.claims, claim{kind: change.CuttingChanged, after: after})
	return m.now.Validate() == nil
}

func rename(m *making) bool {
	m.keepNames = true
	m.now = m.now.Clone()
	if m.coin() {
		m.now.Name = "second " + m.now.Name
		m.claims = append(m.claims, claim{kind: change.NameChanged, edges: []string{}, after: m.now.Name})
		return true
	}
	i := m.pick(m.n())
	old, new := m.name(i), "new "+m.name(i)
	renameEdge(m.now, i, new)
	m.claims = append(m.claims, claim{kind: change.NameChanged, edges: []string{old}, after: new})
	return true
}

// renameEdge gives an edge another name, with all that lies on it.
func renameEdge(p *pattern.Piece, i int, name string) {
	old := p.Edges[i].Name
	p.Edges[i].Name = name
	for k := range p.Notches {
		if p.Notches[k].Edge == old {
			p.Notches[k].Edge = name
		}
	}
	for k := range p.Marks {
		if p.Marks[k].Edge == old {
			p.Marks[k].Edge = name
		}
	}
}
