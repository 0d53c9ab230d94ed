package main

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// mostOutTurned is the share of what a seam's worst section is out by that may be left
// once a seam is said the other way round for that to be why it does not fit.
const mostOutTurned = 0.5

// turned is a seam said the other way round, the ends of one chain at the other ends
// of the other.
type turned struct {
	command string // that says it so; empty where it is not better
	asks    string // the question which of its ends belong together, where they tell
	sure    bool   // as it is said the ends are crossed
	fits    bool   // all its sections fit then
}

// words asks whether a piece is upside down and names the command.
func (t turned) words() string {
	return t.question() + ": " + t.todo()
}

// question asks whether a piece is upside down.
func (t turned) question() string {
	if t.sure {
		return t.asks
	}
	return "is one of them upside down?"
}

// todo names the command, and what it does.
func (t turned) todo() string {
	if t.fits {
		return t.command + " brings all its sections to fit"
	}
	return t.command + " sews it so; then look with `toile check` what is left"
}

// turnedFit is a seam said the other way round where its matched notches then lie
// beside each other and as it is said they do not: where its ends are crossed as it is
// said, or else every section fits. It is empty for a seam that fitted as it is said in
// before, which may be nil.
func turnedFit(before, p *pattern.Pattern, s *pattern.Seam) turned {
	if len(s.Sections) < 2 || before != nil && fittedSo(before, s) {
		return turned{}
	}
	other := *s
	other.SameWay = !s.SameWay
	out, ok := mostOut(p, s)
	left, okTurned := mostOut(p, &other)
	if !ok || !okTurned || out <= p.Tolerances.Section {
		return turned{}
	}
	t := turned{asks: crossedWords(p, s), fits: left <= p.Tolerances.Section}
	t.sure = t.asks != ""
	if !t.fits && (!t.sure || left > mostOutTurned*out) || !t.sure && crossedWords(p, &other) != "" {
		return turned{}
	}
	t.command = turnCommand(s)
	return t
}

// turnedMeets is the question whether a piece is upside down, and the command, where the
// ends of the seam across which a notch misses its partner are crossed and it meets it
// with the seam said the other way round; empty elsewhere.
func turnedMeets(p *pattern.Pattern, f change.Finding) string {
	k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == f.Seam })
	if k < 0 {
		return ""
	}
	question := crossedWords(p, &p.Seams[k])
	if question == "" {
		return ""
	}
	other := p.Clone()
	other.Seams[k].SameWay = !p.Seams[k].SameWay
	left, err := check.NotchesApart(other)
	if err != nil || slices.ContainsFunc(left, func(g change.Finding) bool { return g.Where == f.Where }) {
		return ""
	}
	return question + ": " + turnCommand(&p.Seams[k]) + " has the two meet"
}

// turnCommand says a seam the other way round.
func turnCommand(s *pattern.Seam) string {
	return fmt.Sprintf("`toile seam %q --same-way%s`", s.Name, map[bool]string{true: "=false"}[s.SameWay])
}

// fittedSo reports whether a seam of the name fitted in a pattern, said the way in
// which it is.
func fittedSo(before *pattern.Pattern, s *pattern.Seam) bool {
	for i := range before.Seams {
		if old := &before.Seams[i]; old.Name == s.Name {
			out, ok := mostOut(before, old)
			return ok && old.SameWay == s.SameWay && out <= before.Tolerances.Section
		}
	}
	return false
}

// mostOut is by how many mm the worst section of a seam is out that is not gathered.
// ok is false where it cannot be walked, or its notches follow each other the other way
// round.
func mostOut(p *pattern.Pattern, s *pattern.Seam) (worst float64, ok bool) {
	sections, err := p.WalkSeam(s)
	if err != nil {
		return 0, false
	}
	for _, c := range sections {
		if c.First <= 0 || c.Second <= 0 {
			return 0, false
		}
		if !c.Gathered {
			worst = math.Max(worst, math.Abs(c.Difference()-c.Ease))
		}
	}
	return worst, true
}

// turnedToFit says of a seam that does not fit how it is said the other way round,
// where that is why.
func (o *opened) turnedToFit(before *pattern.Pattern) func(seam string) (question, do string, sure bool) {
	return func(seam string) (question, do string, sure bool) {
		k := o.seamCalled(seam)
		if k < 0 {
			return "", "", false
		}
		t := turnedFit(before, o.Pattern, &o.Seams[k])
		if t.command == "" {
			return "", "", false
		}
		return t.question(), t.todo(), t.sure
	}
}
