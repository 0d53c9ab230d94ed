package diff_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// verdict is what is wrong with a diff; nothing when all of it is right.
type verdict struct {
	kinds    bool // a change, its kind or its edge is missing
	amounts  bool // a figure is out
	invented bool // something is told that was not done
	runs     bool // what was cut or run on is not told, or told wrongly
	pose     bool // the new piece is laid wrongly
	reasons  []string
}

func (v *verdict) fault(what *bool, format string, args ...any) {
	*what = true
	v.reasons = append(v.reasons, fmt.Sprintf(format, args...))
}

func (v verdict) right() bool { return len(v.reasons) == 0 }

// found is a change that a diff tells; used when it is one of the claims.
type found struct {
	change.Change
	used bool
}

// judgement is one diff held against the truth.
type judgement struct {
	verdict
	m     *making
	found []*found
	slack slack
	lost  bool // the names of the new piece tell nothing
	was   map[string]string
}

// judge holds what the program finds between two states against what was
// done.
func judge(m *making, s states, scramble bool, within slack) (verdict, []change.PieceDiff) {
	j := &judgement{m: m, slack: within, lost: scramble && !m.keepNames, was: map[string]string{}}
	for _, one := range s.scrambling {
		for now, before := range one.was {
			j.was[now] = before
		}
	}
	pieces, err := j.diffs(s)
	if err != nil {
		j.fault(&j.kinds, "error: %v", err)
		return j.verdict, nil
	}
	for _, d := range pieces {
		j.collect(d)
	}
	if len(m.others)+len(m.olds) == 0 {
		j.checkPose(pieces[0], s.scrambling[0])
	} else {
		j.checkStates(pieces)
	}
	j.checkClaims(s)
	j.checkRest()
	if !m.whole {
		j.checkRuns(s.from, m.from, m.now)
	}
	return j.verdict, pieces
}

// diffs compares piece with piece, or where parts came or went the whole
// patterns.
func (j *judgement) diffs(s states) ([]change.PieceDiff, error) {
	if len(j.m.others)+len(j.m.olds) == 0 {
		d, err := diff.Pieces(j.m.from, s.scrambling[0].piece, s.to)
		return []change.PieceDiff{d}, err
	}
	d, err := diff.Patterns(s.from, s.to, change.Version{Number: 1}, change.Version{Number: 2})
	return d.Pieces, err
}

func (j *judgement) collect(d change.PieceDiff) {
	for _, ch := range d.Changes {
		j.found = append(j.found, &found{Change: ch})
	}
}

// motionOf is a diff's placement as a motion, which takes TO onto FROM.
func motionOf(p change.Placement) geom.Motion {
	return geom.Motion{Mirror: p.Mirrored, Turn: geom.Degrees(p.Turn), Shift: geom.Pt(p.DX, p.DY)}
}

// alike reports whether a piece lies just as the altered one does, as a
// symmetric one does turned over too: its line, corners, notches and marks.
func (j *judgement) alike(laid *pattern.Piece) bool {
	return j.m.alikeWithin(laid, 2*j.slack.mm, true)
}

// alikeWithin is alike within so many mm, with notches and marks or without.
func (m *making) alikeWithin(laid *pattern.Piece, mm float64, marks bool) bool {
	return apart(m.now, laid) <= mm && cornersApart(m.now, laid, marks) <= mm
}

func (j *judgement) checkPose(d change.PieceDiff, s scrambling) {
	if j.m.claims != nil && j.m.claims[0].kind == change.PieceMirrored {
		if !d.Placement.Mirrored {
			j.fault(&j.pose, "not laid turned over")
		}
		return
	}
	back := motionOf(d.Placement)
	if astray := s.astray(back); astray > 2*j.slack.mm && !j.alike(s.piece.Moved(back)) {
		j.fault(&j.pose, "pose off by %.2f mm", astray)
	}
}

// checkStates finds pieces that are told as new or gone although they are
// parts of what was there.
func (j *judgement) checkStates(pieces []change.PieceDiff) {
	for _, d := range pieces {
		if d.State == change.Added || d.State == change.Removed {
			j.fault(&j.invented, "piece told as %s", d.State)
		}
	}
}

// checkClaims looks for each thing that was done among what was found.
func (j *judgement) checkClaims(s states) {
	for _, c := range j.m.claims {
		if c.kind == change.PieceSplit && j.lost {
			c.names = []string{s.scrambling[0].piece.Name, s.scrambling[1].piece.Name}
		}
		best, misses := (*found)(nil), ""
		for _, reading := range append([]claim{c}, c.or...) {
			for _, f := range j.found {
				if f.used || !j.about(reading, f) {
					continue
				}
				m := reading.misses(f.Change, j.slack)
				if best == nil || m == "" {
					best, misses = f, m
				}
			}
			if best != nil && misses == "" {
				break
			}
		}
		if best == nil {
			j.fault(&j.kinds, "missing %s (told: %s)", label(c.kind, c.how), j.told(c))
			continue
		}
		best.used = true
		if misses != "" {
			j.fault(&j.amounts, "%s: %s", label(c.kind, c.how), misses)
		}
	}
}

func label(kind change.Kind, how string) string { return strings.TrimSpace(string(kind) + " " + how) }

// told says what is told of a claim's edges instead.
func (j *judgement) told(c claim) string {
	var all []string
	for _, f := range j.found {
		if f.Kind != change.EdgeRun && f.Kind != change.NameChanged && (c.edges == nil || overlaps(f.Edges, c.edges)) {
			all = append(all, label(f.Kind, f.How))
		}
	}
	slices.Sort(all)
	if len(all) == 0 {
		return "nothing"
	}
	if len(all) > 3 {
		return fmt.Sprintf("%s and %d more", strings.Join(all[:3], ", "), len(all)-3)
	}
	return strings.Join(all, ", ")
}

func overlaps(a, b []string) bool {
	return slices.ContainsFunc(a, func(x string) bool { return slices.Contains(b, x) })
}

// about reports whether a change is of a claim's kind, edge, notch and mark.
func (j *judgement) about(c claim, f *found) bool {
	if f.Kind != c.kind || (c.how != "" && f.How != c.how) {
		return false
	}
	if c.edges != nil && (len(f.Edges) != len(c.edges) || !slices.Equal(sortedNames(f.Edges), sortedNames(c.edges))) {
		return false
	}
	return j.called(c.notch, f.Notch) && j.called(c.mark, f.Mark)
}

// called reports whether a notch or mark is the claim's, under its name in
// FROM or, where it is new, in TO.
func (j *judgement) called(want, got string) bool {
	return want == "" || got == want || j.was[got] == want
}

func sortedNames(names []string) []string { return slices.Sorted(slices.Values(names)) }

// checkRest finds what is told besides.
func (j *judgement) checkRest() {
	for _, f := range j.found {
		if f.used || (f.Kind == change.NameChanged && j.lost) || j.mayBe(f) {
			continue
		}
		if f.Kind == change.EdgeRun && !j.m.whole && j.caused(f) {
			continue
		}
		j.fault(&j.invented, "invented %s", label(f.Kind, f.How))
	}
}

func (j *judgement) mayBe(f *found) bool {
	for _, a := range j.m.allowed {
		named := (len(f.Edges) == 0 && f.Before != "" && slices.Contains(a.names, f.Before)) || slices.Contains(a.names, f.Notch) || slices.Contains(a.names, f.Mark) || overlaps(a.names, f.Edges) ||
			slices.Contains(a.names, j.was[f.Mark])
		if a.kind == f.Kind && (a.names == nil || named) {
			return true
		}
	}
	return false
}

// caused reports whether a run is next to an edge that was changed, which it
// names.
func (j *judgement) caused(f *found) bool {
	if len(f.Edges) != 1 {
		return false
	}
	i, err := j.m.from.EdgeIndex(f.Edges[0])
	return err == nil && slices.Contains(j.m.causes(i), f.CausedBy)
}

// causes lists the changed neighbours of an edge.
func (m *making) causes(i int) []string {
	var names []string
	for _, k := range []int{m.prev(i), m.next(i)} {
		if m.changed[k] {
			names = append(names, m.name(k))
		}
	}
	return names
}

// leastRun in mm is the change of length from which a run has to be told.
const leastRun = 0.06

// checkRuns asks for each edge that stayed, but was cut or run on, how much it
// lost or gained, how, and because of which neighbour.
func (j *judgement) checkRuns(p *pattern.Pattern, from, now *pattern.Piece) {
	for i, e := range from.Edges {
		causes := j.m.causes(i)
		by := now.EdgePath(i).Length() - from.EdgePath(i).Length()
		if j.m.changed[i] || len(causes) == 0 || math.Abs(by) <= leastRun {
			continue
		}
		sum, count := 0.0, 0
		for _, f := range j.found {
			if f.Kind == change.EdgeRun && slices.Equal(f.Edges, []string{e.Name}) && f.By != nil {
				sum, count = sum+*f.By, count+1
				if want := j.m.howRun(i, causes); len(want) > 0 && !slices.Contains(want, f.How) {
					j.fault(&j.runs, "run %s told as %s", want[0], f.How)
				}
			}
		}
		switch {
		case count == 0:
			j.fault(&j.runs, "run not told")
		case math.Abs(sum-by) > float64(count)*j.slack.mm:
			j.fault(&j.runs, "run by %.3f for %.3f", sum, by)
		}
	}
}

// byEye in mm: a line that was eased on so near to its own carrier may as
// well have been run on along it, as a drawing to a tenth of a millimetre shows.
const byEye = 0.05

// howRun lists how an edge may be said to have been run because of one
// neighbour; nothing where there are two.
func (m *making) howRun(i int, causes []string) []string {
	if len(causes) != 1 {
		return nil
	}
	for _, c := range m.claims {
		if c.kind == change.EdgeSwung && c.edges[0] == causes[0] {
			far, _ := departure(m.now.EdgePath(i), geom.Carrier(m.from.EdgePath(i), reach))
			if far <= byEye {
				return []string{change.HowEased, change.HowAlong}
			}
			return []string{change.HowEased}
		}
	}
	return []string{change.HowAlong}
}

// shortened drops the figures of a reason, so that like failures add up.
func shortened(reason string) string {
	words := strings.Fields(reason)
	for i, w := range words {
		if strings.ContainsAny(w, "0123456789") && !strings.Contains(w, "edge-") {
			words[i] = "#"
		}
	}
	return strings.Join(words, " ")
}
