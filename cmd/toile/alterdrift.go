package main

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// sayDrifted lists what is counted from an end of an edge that an alteration
// made shorter or longer there: notches that no longer meet what they met
// across a seam, pleats and darts that came to lie elsewhere. They keep what
// they are counted by; whether they are to move is for the maker to say.
func (o *opened) sayDrifted(before, after *pattern.Pattern) error {
	apart, err := newlyApart(before, after)
	if err != nil {
		return err
	}
	var lines []string
	for _, f := range apart {
		if !countedAnew(before, after, f) {
			continue
		}
		lines = append(lines, f.Where+": "+f.Says)
		if next := nextForNotch(before, after, f); next != "" {
			lines = append(lines, "  "+next)
		}
	}
	for _, d := range check.Drifted(before, after) {
		way, from := "end", d.Mark.From-d.By
		if d.By < 0 {
			way = "start"
		}
		lines = append(lines, fmt.Sprintf("%s, %s %q on %q: it is counted from the start, and came to lie %s nearer to the %s", d.Piece, d.Mark.Kind, d.Mark.Name, d.Mark.Edge, o.length(math.Abs(d.By)), way))
		if from >= 0 {
			lines = append(lines, fmt.Sprintf("  to have it where it was: take it away with `toile alter remove %q %q` and mark it anew from %s", d.Piece, d.Mark.Name, o.length(from)))
		}
	}
	for i, line := range lines {
		if i == 0 {
			o.say("\nwhat is counted from an end that moved")
		}
		o.say("  %s", line)
	}
	return nil
}

// sayRounded lists ends of seams that an alteration rounded off on one side.
func (o *opened) sayRounded(before, after *pattern.Pattern) error {
	now, err := check.RoundedEnds(after)
	if err != nil {
		return err
	}
	then, err := check.RoundedEnds(before)
	if err != nil {
		return err
	}
	now = slices.DeleteFunc(now, func(f change.Finding) bool {
		return slices.ContainsFunc(then, func(g change.Finding) bool { return f.Where == g.Where && f.Says == g.Says })
	})
	for i, f := range now {
		if i == 0 {
			o.say("\nends of seams that are rounded off")
		}
		o.say("  %s: %s", f.Where, f.Says)
		o.say("    to do: %s", f.Do)
	}
	return nil
}

// countedAnew reports whether a notch that a finding is about came to lie
// elsewhere itself: the end that it is counted from moved, or its edge got
// another length between ends that stayed. A notch that is where it was, while
// its partner moved, or that was itself moved by hand, is not.
func countedAnew(before, after *pattern.Pattern, f change.Finding) bool {
	q, n := notchAt(after, f)
	if q == nil {
		return true
	}
	i, err := q.EdgeIndex(n.Edge)
	if err != nil {
		return true
	}
	k := slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return old.ID == q.ID })
	if k < 0 {
		return true
	}
	old := before.Pieces[k]
	j := old.EdgeByID(q.Edges[i].ID)
	if j < 0 {
		return true
	}
	moved := func(i, j int) bool {
		return q.Corners[i%len(q.Corners)].At.Dist(old.Corners[j%len(old.Corners)].At) > endMoved
	}
	start, end := moved(i, j), moved(i+1, j+1)
	if start || end {
		return n.FromEnd && end || !n.FromEnd && start
	}
	return math.Abs(q.EdgePath(i).Length()-old.EdgePath(j).Length()) > endMoved
}

// endMoved is from how many mm on an end of an edge has moved.
const endMoved = 0.005

// newlyApart are the notches that meet nothing across their seams now and did,
// or miss it by another amount.
func newlyApart(before, after *pattern.Pattern) ([]change.Finding, error) {
	now, err := check.NotchesApart(after)
	if err != nil {
		return nil, err
	}
	then, err := check.NotchesApart(before)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(now, func(f change.Finding) bool {
		return slices.ContainsFunc(then, func(g change.Finding) bool { return f.Where == g.Where && math.Abs(f.MM-g.MM) < 0.01 })
	}), nil
}

// nextForNotch says how a notch comes to meet its partner again, where moving
// it along its edge does that.
func nextForNotch(before, after *pattern.Pattern, f change.Finding) string {
	q, n := notchAt(after, f)
	if q == nil || f.MM == 0 {
		return ""
	}
	for _, by := range []float64{f.MM, -f.MM} {
		p := after.Clone()
		moved, err := p.Piece(q.Name)
		if err != nil {
			return ""
		}
		k := moved.NotchByName(n.Name)
		moved.Notches[k].At += by
		if moved.Validate() != nil {
			continue
		}
		left, err := check.NotchesApart(p)
		if err == nil && !slices.ContainsFunc(left, func(g change.Finding) bool { return g.Where == f.Where }) {
			kept := ""
			if notchKept(before, q, n) {
				kept = fmt.Sprintf("; it is counted from the %s as before", map[bool]string{true: "end", false: "start"}[n.FromEnd])
			}
			return fmt.Sprintf("to meet it again: `toile alter move %q %q --by %s`, or its partner%s", q.Name, n.Name, after.Unit.Typed(by), kept)
		}
	}
	return ""
}

// notchAt finds the notch that a finding is about.
func notchAt(p *pattern.Pattern, f change.Finding) (*pattern.Piece, pattern.Notch) {
	for _, q := range p.Pieces {
		for _, n := range q.Notches {
			if f.Where == check.NotchWords(q, n) {
				return q, n
			}
		}
	}
	return nil, pattern.Notch{}
}

// notchKept reports whether a notch is counted as it was.
func notchKept(before *pattern.Pattern, q *pattern.Piece, n pattern.Notch) bool {
	for _, old := range before.Pieces {
		if old.ID != q.ID {
			continue
		}
		k := old.NotchByName(n.Name)
		return k >= 0 && old.Notches[k].At == n.At && old.Notches[k].FromEnd == n.FromEnd
	}
	return false
}
