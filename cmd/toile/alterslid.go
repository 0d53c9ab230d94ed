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

// slidNotch is a notch that matches two sections of a seam and lies so that one is
// too long by what the other is too short: it slid with the end that it is counted
// from, or with its edge.
type slidNotch struct {
	seam    string
	piece   *pattern.Piece
	notch   pattern.Notch
	by      float64 // mm to move it by, away from the end that it counts from
	partner string  // the notch that it is matched with
}

// command moves the notch to where the sections fit.
func (n slidNotch) command(p *pattern.Pattern) string {
	return fmt.Sprintf("`toile alter move %q %q --by %s`", n.piece.Name, n.notch.Name, p.Unit.Typed(n.by))
}

// slidNotches are the notches of a seam whose moving brings all its sections to
// fit: its whole length fits, and sections are out by what their neighbours are
// out the other way. Of two that are matched it is the one that came to lie
// elsewhere since before, which may be nil. There are none where moving notches
// does not do it.
func slidNotches(before, p *pattern.Pattern, s *pattern.Seam) []slidNotch {
	sections, err := p.WalkSeam(s)
	if err != nil || len(sections) < 2 {
		return nil
	}
	tol := p.Tolerances.Section
	var found []slidNotch
	moved := p.Clone()
	total := 0.0
	for _, sec := range sections {
		total += sec.Left()
	}
	sum, out := 0.0, false
	for k, sec := range sections {
		if sec.Gathered {
			return nil
		}
		left := sec.Left()
		// What the whole seam is out by stays, in equal parts.
		sum, out = sum+left-total/float64(len(sections)), out || math.Abs(left) > tol
		if k == len(sections)-1 || math.Abs(sum) < tol/2 {
			continue
		}
		n, ok := slidAt(before, p, s, k, sum)
		if !ok {
			return nil
		}
		q, err := moved.Piece(n.piece.Name)
		if err != nil {
			return nil
		}
		q.Notches[q.NotchByName(n.notch.Name)].At += n.by
		found = append(found, n)
	}
	if !out || math.Abs(total) > tol || !fitsSections(moved, s.Name) {
		return nil
	}
	return found
}

// fitsSections reports whether a seam fits in every section, and its pieces are in order.
func fitsSections(p *pattern.Pattern, seam string) bool {
	k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == seam })
	sections, err := p.WalkSeam(&p.Seams[k])
	if err != nil || slices.ContainsFunc(p.Pieces, func(q *pattern.Piece) bool { return q.Validate() != nil }) {
		return false
	}
	return !slices.ContainsFunc(sections, func(s pattern.SectionLength) bool {
		return math.Abs(s.Difference()-s.Ease) > p.Tolerances.Section
	})
}

// slidAt is the notch at the end of section k that has to move where the second
// chain is too long by so many mm up to there.
func slidAt(before, p *pattern.Pattern, s *pattern.Seam, k int, long float64) (slidNotch, bool) {
	first, second, err := p.WalkChains(s)
	if err != nil {
		return slidNotch{}, false
	}
	refs := [2]pattern.NotchRef{s.Sections[k].First, s.Sections[k].Second}
	var both [2]slidNotch
	for side, walked := range [2]pattern.Walked{first, second} {
		q, err := p.Piece(refs[side].Piece)
		if err != nil || q.NotchByName(refs[side].Notch) < 0 {
			return slidNotch{}, false
		}
		n := slidNotch{seam: s.Name, piece: q, notch: q.Notches[q.NotchByName(refs[side].Notch)], by: long, partner: fmt.Sprintf("notch %q of %s", refs[1-side].Notch, refs[1-side].Piece)}
		i := slices.IndexFunc(walked.Parts, func(w pattern.WalkedPart) bool { return w.Piece.Name == q.Name && q.Edges[w.Edge].Name == n.notch.Edge })
		if i < 0 {
			return slidNotch{}, false
		}
		if side == 1 {
			n.by = -n.by // its own chain has to be the shorter up to there
		}
		if walked.Parts[i].Backwards != n.notch.FromEnd {
			n.by = -n.by
		}
		both[side] = n
	}
	if before != nil && !slid(before, p, both[0]) && slid(before, p, both[1]) {
		return both[1], true
	}
	return both[0], true
}

// slid reports whether a notch, counted as it was, came to lie elsewhere.
func slid(before, p *pattern.Pattern, n slidNotch) bool {
	return notchKept(before, n.piece, n.notch) && countedAnew(before, p, change.Finding{Where: check.NotchWords(n.piece, n.notch)})
}

// slidLines tells, for the list of what is counted from an end that moved, the
// notches that slid from before to after, and the commands that bring all of a
// seam's sections to fit; since tells which they are, before it where nothing does.
func slidLines(since, before, after *pattern.Pattern) (lines []string) {
	if since == nil {
		since = before
	}
	for i := range after.Seams {
		s := &after.Seams[i]
		was := map[string]float64{}
		if k := slices.IndexFunc(before.Seams, func(o pattern.Seam) bool { return o.Name == s.Name }); k >= 0 {
			for _, n := range slidNotches(since, before, &before.Seams[k]) {
				was[n.piece.Name+"/"+n.notch.Name] = n.by
			}
		}
		now := slidNotches(since, after, s)
		if !slices.ContainsFunc(now, func(n slidNotch) bool { return math.Abs(was[n.piece.Name+"/"+n.notch.Name]-n.by) > 0.01 }) {
			continue
		}
		if t := turnedFit(since, after, s); t.command != "" {
			lines = append(lines, fmt.Sprintf("seam %q: %s", s.Name, t.words()))
			if t.sure {
				continue
			}
		}
		for _, n := range now {
			lines = append(lines, fmt.Sprintf("%s: sewn as seam %q it is matched with %s, and lies %s beside it",
				check.NotchWords(n.piece, n.notch), s.Name, n.partner, after.Unit.Format(math.Abs(n.by))),
				"  to meet it again: "+n.command(after)+", or its partner")
		}
	}
	return lines
}

// slidToFit says what brings the sections of a seam to fit where the whole of it
// does and its matched notches slid; empty where that is not so.
func (o *opened) slidToFit(before *pattern.Pattern) func(seam string) string {
	return func(seam string) string {
		k := o.seamCalled(seam)
		if k < 0 {
			return ""
		}
		var commands []string
		for _, n := range slidNotches(before, o.Pattern, &o.Seams[k]) {
			commands = append(commands, n.command(o.Pattern))
		}
		if len(commands) == 0 {
			return ""
		}
		return strings.Join(commands, " and ") + map[bool]string{true: " brings", false: " together bring"}[len(commands) == 1] + " all its sections to fit"
	}
}

// onlySlid reports whether what has to follow in length has done so but for matched
// notches that slid, which are listed by themselves.
func onlySlid(since, p *pattern.Pattern, n change.NotFollowed) bool {
	of, edge, _ := strings.Cut(n.Of, "/")
	return n.Mismatch && slices.ContainsFunc(p.Seams, func(s pattern.Seam) bool {
		return (inChain(s.First, of, edge) && inChain(s.Second, n.Piece, n.Edge) || inChain(s.Second, of, edge) && inChain(s.First, n.Piece, n.Edge)) &&
			len(slidNotches(since, p, &s)) > 0
	})
}

// slidWithEnds tells, for the same list, the matched notches that went along with an end
// where a section beside them is out and the seam does not fit as a whole, so that no
// moving of notches mends it: what its sections are out by lies elsewhere than it seems.
func (o *opened) slidWithEnds(before, p *pattern.Pattern) (lines []string) {
	for _, n := range o.slid {
		k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == n.Seam })
		q, err := p.Piece(n.Piece)
		if k < 0 || err != nil || !slices.Contains(q.Notches, n.Notch) || !outBeside(before, p, &p.Seams[k], pattern.NotchRef{Piece: n.Piece, Notch: n.Notch.Name}) {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: sections of the seam %q end at it; it is counted from %q, and came to lie %s from where it was",
			check.NotchWords(q, n.Notch), n.Seam, n.From, p.Unit.Format(math.Abs(n.By))),
			fmt.Sprintf("  to have it where it was: `toile alter move %q %q --by %s`", n.Piece, n.Notch.Name, p.Unit.Typed(n.By)))
	}
	return lines
}

// outBeside reports whether a seam does not fit as a whole, and a section of it that
// ends at a notch does not, and did before or was out otherwise.
func outBeside(before, p *pattern.Pattern, s *pattern.Seam, at pattern.NotchRef) bool {
	left, was := leftOver(p, s), leftOver(before, s)
	if len(left) != len(s.Sections) || len(was) != len(left) {
		return false
	}
	sum, beside := 0.0, false
	for k, by := range left {
		sum += by
		ends := k > 0 && (s.Sections[k-1].First == at || s.Sections[k-1].Second == at) || s.Sections[k].First == at || s.Sections[k].Second == at
		beside = beside || ends && math.Abs(by) > p.Tolerances.Section && math.Abs(by-was[k]) > endMoved
	}
	return beside && math.Abs(sum) > p.Tolerances.Section
}

// leftOver is by how many mm the second side of each section of a seam is longer than is
// meant; nothing where the seam cannot be walked.
func leftOver(p *pattern.Pattern, s *pattern.Seam) (left []float64) {
	sections, err := p.WalkSeam(s)
	if err != nil {
		return nil
	}
	for _, section := range sections {
		left = append(left, section.Left())
	}
	return left
}
