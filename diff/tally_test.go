package diff_test

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// oneCase runs a single case of a suite, and shows it:
//
//	go test ./diff -run AccuracyExplainExact -case 1234 -v
var oneCase = flag.Int("case", -1, "run this case of the accuracy tests alone, and show what was done and what is told")

// numbers lists the cases to run: the one asked for, or the first n.
func caseNumbers(n int) []int {
	if *oneCase >= 0 {
		return []int{*oneCase}
	}
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// group is a kind of case, a shape, and whether it was scrambled.
type group struct{ kind, shape, run string }

// tally counts verdicts.
type tally struct {
	count    map[group]int
	failed   map[group][]failure
	kinds    map[string]int // by run: cases whose kinds or edges are wrong, and so on
	amounts  map[string]int
	invented map[string]int
	runs     map[string]int
	pose     map[string]int
	all      map[string]int

	inverse       int // outlines that were made again from what was told
	inverseFailed []failure
}

type failure struct {
	number  int
	reasons []string
}

func newTally() *tally {
	return &tally{count: map[group]int{}, failed: map[group][]failure{}, kinds: map[string]int{}, amounts: map[string]int{},
		invented: map[string]int{}, runs: map[string]int{}, pose: map[string]int{}, all: map[string]int{}}
}

func (y *tally) add(g group, number int, v verdict) {
	y.count[g]++
	y.all[g.run]++
	for _, part := range []struct {
		bad bool
		in  map[string]int
	}{{v.kinds, y.kinds}, {v.amounts, y.amounts}, {v.invented, y.invented}, {v.runs, y.runs}, {v.pose, y.pose}} {
		if part.bad {
			part.in[g.run]++
		}
	}
	if !v.right() {
		y.failed[g] = append(y.failed[g], failure{number, v.reasons})
	}
}

// share is how many per cent of a run's cases are not among the bad ones.
func (y *tally) share(bad map[string]int, run string) float64 {
	if y.all[run] == 0 {
		return math.NaN()
	}
	return 100 * (1 - float64(bad[run])/float64(y.all[run]))
}

// byKind counts cases and failures of a kind in a run.
func (y *tally) byKind(kind, run string) (count, failed int) {
	for g, n := range y.count {
		if g.kind == kind && g.run == run {
			count, failed = count+n, failed+len(y.failed[g])
		}
	}
	return count, failed
}

// table lists the failures by kind, shape and run, with their numbers and what
// is wrong.
func (y *tally) table() string {
	groups := make([]group, 0, len(y.failed))
	for g := range y.failed {
		groups = append(groups, g)
	}
	slices.SortFunc(groups, func(a, b group) int {
		return strings.Compare(a.kind+"\x00"+a.run+"\x00"+a.shape, b.kind+"\x00"+b.run+"\x00"+b.shape)
	})
	var b strings.Builder
	for _, g := range groups {
		fmt.Fprintf(&b, "%-28s %-10s %-13s %3d of %3d failed:", g.kind, g.run, g.shape, len(y.failed[g]), y.count[g])
		for i, f := range y.failed[g] {
			if i == 3 {
				b.WriteString(" …")
				break
			}
			fmt.Fprintf(&b, " [%d] %s;", f.number, strings.Join(f.reasons[:min(2, len(f.reasons))], ", "))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// reason is a fault without its figures.
type reason struct {
	text          string
	count, number int // how often, and the first case
}

// reasons lists the commonest reasons with one case each.
func (y *tally) reasons(most int) string {
	found := map[string]*reason{}
	for g, failures := range y.failed {
		for _, f := range failures {
			for _, text := range f.reasons {
				key := g.run + ": " + shortened(text)
				if found[key] == nil {
					found[key] = &reason{key, 0, f.number}
				}
				found[key].count++
				found[key].number = min(found[key].number, f.number)
			}
		}
	}
	var list []*reason
	for _, r := range found {
		list = append(list, r)
	}
	slices.SortFunc(list, func(a, b *reason) int {
		if a.count != b.count {
			return b.count - a.count
		}
		return strings.Compare(a.text, b.text)
	})
	var b strings.Builder
	for _, r := range list[:min(most, len(list))] {
		fmt.Fprintf(&b, "%4d  case %-5d %s\n", r.count, r.number, r.text)
	}
	return b.String()
}

// butForMarks counts the cases of a kind in which at most marks and notches are
// told as gone or new that are not.
func (y *tally) butForMarks(kind, run string) int {
	n := 0
	for g, count := range y.count {
		if g.kind != kind || g.run != run {
			continue
		}
		n += count
		for _, f := range y.failed[g] {
			if slices.ContainsFunc(f.reasons, func(r string) bool {
				return !strings.HasPrefix(r, "invented mark-") && !strings.HasPrefix(r, "invented notch-")
			}) {
				n--
			}
		}
	}
	return n
}

// kindsTable lists the share of faultless cases by kind, plain and scrambled.
func (y *tally) kindsTable(kinds []string) string {
	var b strings.Builder
	for _, kind := range kinds {
		fmt.Fprintf(&b, "%-30s", kind)
		for _, run := range []string{"plain", "scrambled"} {
			if n, failed := y.byKind(kind, run); n > 0 {
				fmt.Fprintf(&b, "  %s %5.1f %% of %3d", run, 100*float64(n-failed)/float64(n), n)
				if k := y.butForMarks(kind, run); k > n-failed {
					fmt.Fprintf(&b, " (%5.1f %% but for marks)", 100*float64(k)/float64(n))
				}
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// show tells all about one case.
func show(t *testing.T, title string, m *making, run string, pieces []change.PieceDiff, v verdict) {
	t.Helper()
	if *oneCase < 0 {
		return
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s\n  done:\n", title, run)
	for _, c := range m.claims {
		fmt.Fprintf(&b, "    %s\n", c)
	}
	for _, d := range pieces {
		fmt.Fprintf(&b, "  told of %s (%s, placement %+v):\n", d.Piece, d.State, d.Placement)
		for _, ch := range d.Changes {
			fmt.Fprintf(&b, "    %s %s %q caused by %q fit %.4f: %s\n", ch.Kind, ch.How, ch.Edges, ch.CausedBy, ch.Fit, ch.Says)
			fmt.Fprintf(&b, "      %s\n", figuresOf(ch))
		}
	}
	fmt.Fprintf(&b, "  faults: %s", strings.Join(v.reasons, "; "))
	t.Log(b.String())
}

func figuresOf(ch change.Change) string {
	var out []string
	for _, f := range []struct {
		name string
		v    *float64
	}{{"by", ch.By}, {"turn", ch.Turn}, {"area", ch.Area}, {"max", ch.Max}} {
		if f.v != nil {
			out = append(out, fmt.Sprintf("%s %.4f", f.name, *f.v))
		}
	}
	if ch.Ends != nil {
		out = append(out, fmt.Sprintf("ends %.4f", *ch.Ends))
	}
	if ch.Radius != nil {
		out = append(out, fmt.Sprintf("radius %.4f", *ch.Radius))
	}
	if ch.Pivot != nil {
		out = append(out, fmt.Sprintf("pivot %.3f", *ch.Pivot))
	}
	if ch.At != nil {
		out = append(out, fmt.Sprintf("at %.3f", *ch.At))
	}
	return strings.Join(out, ", ")
}

// inverseWithin in mm is added to the stated fit: what rounding to three
// decimals makes of both outlines and of the changes made again.
const inverseWithin = 0.02

// addInverse makes what was told on the first outline and holds it against the
// second one. What cannot be made again counts as not made.
func (y *tally) addInverse(m *making, pieces []change.PieceDiff, run string, number int) {
	if len(pieces) != 1 || m.whole || (!m.outlineAltered() && !outlineTold(pieces[0])) {
		return
	}
	y.inverse++
	what := ""
	if p, fit, ok := remade(pieces[0]); !ok {
		what = "not to be made again"
	} else if far := drawnApart(p, pieces[0].New); far > fit+inverseWithin {
		what = fmt.Sprintf("off by %.3f, fit %.3f", far, fit)
	}
	if what != "" {
		y.inverseFailed = append(y.inverseFailed, failure{number, []string{fmt.Sprintf("%s: %s: %s", run, m.title(), what)}})
	}
}

// outlineAltered reports whether the line of the piece was altered.
func (m *making) outlineAltered() bool {
	return slices.ContainsFunc(m.claims, func(c claim) bool { return ofOutline(c.kind) })
}

// outlineTold reports whether a diff tells so.
func outlineTold(d change.PieceDiff) bool {
	return slices.ContainsFunc(d.Changes, func(ch change.Change) bool { return ofOutline(ch.Kind) })
}

func ofOutline(k change.Kind) bool {
	stage, known := stageOf(k)
	return !known || stage < stageDetail || k == change.EdgeRun
}

func (y *tally) inverseShare() float64 {
	if y.inverse == 0 {
		return math.NaN()
	}
	return 100 * (1 - float64(len(y.inverseFailed))/float64(y.inverse))
}

func (y *tally) inverseReport() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d of %d differ\n", len(y.inverseFailed), y.inverse)
	for i, f := range y.inverseFailed {
		if i == 20 {
			break
		}
		fmt.Fprintf(&b, "  [%d] %s\n", f.number, f.reasons[0])
	}
	return b.String()
}

// drawnApart is the greatest distance between two drawn outlines, corners
// rounded.
func drawnApart(p, q *pattern.Piece) float64 {
	a, errA := p.Outline()
	b, errB := q.Outline()
	if errA != nil || errB != nil {
		return math.Inf(1)
	}
	there, _ := departure(geom.Path(a.Ring), geom.Path(b.Ring))
	back, _ := departure(geom.Path(b.Ring), geom.Path(a.Ring))
	return math.Max(there, back)
}
