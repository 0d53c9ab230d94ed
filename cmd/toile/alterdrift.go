package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	last, err := o.lastPattern()
	if err != nil {
		return err
	}
	var lines []string
	for _, f := range drifted(apart, before, last, after) {
		lines = append(lines, f.Where+": "+f.Says)
		next := turnedMeets(after, f)
		if next == "" {
			next = nextForNotch(before, after, f)
		}
		if next != "" {
			lines = append(lines, "  "+next)
		}
	}
	lines = append(lines, slidLines(last, before, after)...)
	lines = append(lines, o.slidWithEnds(before, after)...)
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
	lines = append(lines, o.laps(before, after)...)
	for i, line := range lines {
		if i == 0 {
			o.say("\nwhat is counted from an end that moved")
		}
		o.say("  %s", line)
	}
	return nil
}

// lastPattern is the pattern of the last version, nil where there is none.
func (o *opened) lastPattern() (*pattern.Pattern, error) {
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return nil, err
	}
	return o.patternOf(*last)
}

// drifted are those of the notches that came to miss each other that are to be
// told: those that came to lie elsewhere from before to after; of a seam with
// none, those that did since the last version, nil where there is none; of a
// seam with none of these either, the first of each two.
func drifted(apart []change.Finding, before, last, after *pattern.Pattern) []change.Finding {
	var told []change.Finding
	for _, f := range apart {
		if !slices.ContainsFunc(told, func(g change.Finding) bool { return g.Where == f.Where }) {
			told = append(told, ofPair(pairApart(apart, f, after), before, last, after)...)
		}
	}
	return slices.DeleteFunc(slices.Clone(apart), func(f change.Finding) bool {
		return !slices.ContainsFunc(told, func(g change.Finding) bool { return g.Where == f.Where })
	})
}

// pairApart is a finding about a notch with that of the notch which it misses.
func pairApart(apart []change.Finding, f change.Finding, p *pattern.Pattern) []change.Finding {
	q, n := notchAt(p, f)
	pair := []change.Finding{f}
	for _, g := range apart {
		o, m := notchAt(p, g)
		if q != nil && o != nil && g.Where != f.Where && g.Seam == f.Seam && math.Abs(g.MM-f.MM) < 0.01 &&
			strings.Contains(f.Says, fmt.Sprintf("notch %q of %s ", m.Name, o.Name)) && strings.Contains(g.Says, fmt.Sprintf("notch %q of %s ", n.Name, q.Name)) {
			pair = append(pair, g)
		}
	}
	return pair
}

// ofPair are those of one or two notches that are to be told; none where one
// was moved by hand from before to after.
func ofPair(pair []change.Finding, before, last, after *pattern.Pattern) []change.Finding {
	anewSince := func(then *pattern.Pattern) (anew []change.Finding) {
		for _, f := range pair {
			if then != nil && countedAnew(then, after, f) {
				anew = append(anew, f)
			}
		}
		return anew
	}
	if anew := anewSince(before); len(anew) > 0 {
		return anew
	}
	for _, f := range pair {
		if q, n := notchAt(after, f); q == nil || !notchKept(before, q, n) {
			return nil
		}
	}
	if anew := anewSince(last); len(anew) > 0 {
		return anew[:1]
	}
	if len(pair) < 2 {
		return nil
	}
	return pair[:1]
}

// adviseNotches puts the command that brings a notch to meet its partner again
// into what check says of the one of the two that came to lie elsewhere.
func (o *opened) adviseNotches(found *change.Findings, last *pattern.Pattern) {
	var apart []change.Finding
	for _, f := range found.Findings {
		if f.Kind == change.NotchAlone && f.MM != 0 {
			apart = append(apart, f)
		}
	}
	before := last
	if before == nil {
		before = o.Pattern
	}
	done := map[string]bool{}
	for _, f := range apart {
		if over := turnedMeets(o.Pattern, f); over != "" {
			k := slices.IndexFunc(found.Findings, func(h change.Finding) bool { return h.Kind == change.NotchAlone && h.Where == f.Where })
			found.Findings[k].Do, done[f.Where] = over, true
		}
	}
	for _, f := range drifted(apart, before, nil, o.Pattern) {
		if done[f.Where] {
			continue
		}
		next := nextForNotch(before, o.Pattern, f)
		if next == "" {
			continue
		}
		for _, g := range pairApart(apart, f, o.Pattern) {
			do := "it meets it once the other is moved; else let the seam have a section that ends at them (`toile seam --match`)"
			if g.Where == f.Where {
				do = "have it meet again with " + strings.TrimPrefix(next, meetAgain) + "; else let the seam have a section that ends at them (`toile seam --match`)"
			}
			done[g.Where] = true
			k := slices.IndexFunc(found.Findings, func(h change.Finding) bool { return h.Kind == change.NotchAlone && h.Where == g.Where })
			found.Findings[k].Do = do
		}
	}
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

// meetAgain begins what is said of moving a notch to meet its partner.
const meetAgain = "to meet it again: "

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
			return fmt.Sprintf(meetAgain+"`toile alter move %q %q --by %s`, or its partner%s", q.Name, n.Name, after.Unit.Typed(by), kept)
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
