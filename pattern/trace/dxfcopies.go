package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// copies finds which closed lines show again what another shows: lines of one
// entity, in a block that is put down several times. It gives for each such line
// the first one. Where each has a text of its own in it, they are pieces of their
// own, such as a left and a right one.
func (x *dxfTracing) copies(lines, texts []placed) map[int]int {
	showings := map[*dxfEntity][]int{}
	var order []*dxfEntity
	for i, p := range lines {
		if p.isClosed() && !p.isDot() {
			if showings[p.dxfEntity] == nil {
				order = append(order, p.dxfEntity)
			}
			showings[p.dxfEntity] = append(showings[p.dxfEntity], i)
		}
	}
	first := map[int]int{}
	for _, e := range order {
		if all := showings[e]; len(all) > 1 && !x.ownTexts(lines, all, texts) {
			for _, i := range all[1:] {
				first[i] = all[0]
			}
			if !x.o.All {
				x.noteCopies(lines, all)
			}
		}
	}
	return first
}

// isDot reports whether a closed line is a small circle.
func (p placed) isDot() bool {
	r := subpath{curves: p.path, closed: p.closed}.ring()
	return r != nil && isSmallCircle(r)
}

// ownTexts reports whether each of these lines has a text in it, and no two the
// same.
func (x *dxfTracing) ownTexts(lines []placed, which []int, texts []placed) bool {
	seen := map[string]bool{}
	for _, i := range which {
		text := x.textIn(subpath{curves: lines[i].path, closed: lines[i].closed}, texts)
		if text == "" || seen[text] {
			return false
		}
		seen[text] = true
	}
	return true
}

// noteCopies tells that a line is shown several times and taken once.
func (x *dxfTracing) noteCopies(lines []placed, which []int) {
	p := lines[which[0]]
	what := "a line of a block without a name"
	if p.block != "" {
		what = "block " + quote(p.block)
	}
	mirrored, other := 0, 0
	for _, i := range which[1:] {
		turned, size := lines[i].from.asAgainst(p.from)
		if turned {
			mirrored++
		}
		if math.Abs(size-1) > sameSize {
			other++
		}
	}
	x.note(p.line, "%s is shown %d times and taken once, as it is shown first%s; --all takes every one", what, len(which), copiesWords(len(which)-1, mirrored, other))
}

// copiesWords says what is to be known of copies besides their number.
func copiesWords(n, mirrored, other int) string {
	words := ""
	if mirrored > 0 {
		words = fmt.Sprintf("; mirrored: %d of %d; to have both cut, write `cut: a pair` in the file of that piece", mirrored, n)
	}
	if other > 0 {
		words += fmt.Sprintf("; of another size: %d of %d; a block of its own makes that a piece", other, n)
	}
	return words
}

// sameSize is how far two showings of a block may be from one size, as a part of
// it: scales are written in six decimals and more.
const sameSize = 1e-5

// asAgainst tells how a copy lies to the first one: whether it is mirrored, and
// how many times the length of a line in it has the other's, whichever way more.
func (m matrix) asAgainst(first matrix) (mirrored bool, size float64) {
	det := first.A*first.D - first.B*first.C
	if det == 0 {
		return false, 1
	}
	a, b := (m.A*first.D-m.C*first.B)/det, (m.B*first.D-m.D*first.B)/det
	c, d := (m.C*first.A-m.A*first.C)/det, (m.D*first.A-m.B*first.C)/det
	size = math.Hypot(a, b)
	if other := math.Hypot(c, d); math.Abs(other-1) > math.Abs(size-1) {
		size = other
	}
	return a*d-b*c < 0, size
}

// withoutTwins drops lines that are drawn twice at the same place, and tells how
// many.
func (x *dxfTracing) withoutTwins(lines []placed) []placed {
	at := map[string][]int{}
	dropped, line := 0, 0
	var out []placed
	for _, p := range lines {
		key := p.group() + "\x00" + twinKey(p)
		others := at[key]
		if len(others) > mostTwins {
			others = others[len(others)-mostTwins:]
		}
		twin := slices.ContainsFunc(others, func(k int) bool { return sameLine(out[k], p) })
		if twin {
			dropped++
			line = max(line, p.line)
			continue
		}
		at[key] = append(at[key], len(out))
		out = append(out, p)
	}
	switch {
	case dropped == 1:
		x.note(line, "a line is drawn twice; taken once")
	case dropped > 1:
		x.note(line, "%d lines are drawn twice, this and others before it; taken once", dropped)
	}
	return out
}

// mostTwins bounds with how many lines between the same ends each is compared,
// the last ones: of a real drawing two or three.
const mostTwins = 50

// group is what lines have to share to be joined: block, place and layer.
func (p placed) group() string {
	return fmt.Sprintf("%s\x00%d\x00%s", p.block, p.showing, p.layer)
}

// twinKey is the same for lines at one place, however they run.
func twinKey(p placed) string {
	ends := make([]string, 0, 3)
	for _, q := range [2]struct{ X, Y float64 }{{p.path.Start().X, p.path.Start().Y}, {p.path.End().X, p.path.End().Y}} {
		ends = append(ends, fmt.Sprintf("%.0f %.0f", q.X/twinCell, q.Y/twinCell))
	}
	slices.Sort(ends)
	return fmt.Sprint(len(p.path), p.closed, strings.Join(ends, " "))
}

// twinCell in mm: what is drawn twice has the same figures, so that it falls
// into one cell unless it lies on the border of two.
const twinCell = 0.1

// sameLine compares two lines point by point, the second also from its end.
func sameLine(a, b placed) bool {
	if len(a.path) != len(b.path) {
		return false
	}
	for _, other := range [2]bool{false, true} {
		q := b.path
		if other {
			q = q.Reverse()
		}
		same := true
		for i, c := range a.path {
			d := q[i]
			if c.P0.Dist(d.P0) > closeGap || c.P1.Dist(d.P1) > closeGap || c.P2.Dist(d.P2) > closeGap || c.P3.Dist(d.P3) > closeGap {
				same = false
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}
