package diff_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/match"
	"toile/pattern/units"
)

// Whatever is told, every place of the new outline lies where what is told of
// its edge puts it: on the old line as it is told kept, moved, swung or opened,
// run on along itself, or on one stretch that is told as eased, drawn or
// bridging and is as simple as that. Nothing that was done is muted.
func TestNothingIsHidden(t *testing.T) {
	const seed = 7
	cases := sized(160, 120)
	t.Logf("seed %d", seed)
	done := 0
	for k := range cases {
		rng := rand.New(rand.NewPCG(seed, uint64(k)))
		p := drafted(rng, k)
		p.Name = "p"
		q, how, ok := handled(rng, p)
		if !ok {
			continue
		}
		d, err := diff.Pieces(p, q, pattern.New("s", units.Millimetre))
		require.NoError(t, err)
		done++
		for i, e := range p.Edges {
			for _, fault := range hidden(d, i) {
				t.Errorf("case %d, a %s: %v: %q: %s\n  told: %v", k, shapes[k%len(shapes)].name, how, e.Name, fault, says(d))
			}
		}
	}
	require.Greater(t, done, cases/2)
}

func says(d change.PieceDiff) (all []string) {
	for _, ch := range d.Changes {
		all = append(all, string(ch.Kind)+": "+ch.Says)
	}
	return all
}

// handled makes one or two alterations, and as often draws a stretch of an
// edge anew by hand.
func handled(rng *rand.Rand, p *pattern.Piece) (q *pattern.Piece, how []string, ok bool) {
	pat := pattern.New("s", units.Millimetre)
	pat.Put(p.Clone())
	for range 1 + rng.IntN(2) {
		r := anyRecipe(rng, pat.Pieces[0])
		made, err := alter.Make(pat, r)
		if err != nil {
			continue
		}
		pat, how = made.Pattern, append(how, fmt.Sprint(r.Kind, r.Values))
	}
	q = pat.Pieces[0]
	if rng.IntN(2) == 0 {
		paths, i := pathsOf(q), rng.IntN(len(q.Edges))
		length := paths[i].Length()
		a, b := length*0.6*rng.Float64(), 0.0
		b = a + (length-a)*(0.3+0.5*rng.Float64())
		from, to := paths[i].PointAt(a), paths[i].PointAt(b)
		up := to.Sub(from).Left().Mul(0.3 * (rng.Float64() - 0.5))
		bump := geom.Cubic{P0: from, P1: from.Lerp(to, 0.3).Add(up), P2: from.Lerp(to, 0.7).Add(up), P3: to}
		paths[i] = append(append(paths[i].BetweenLengths(0, a), bump), paths[i].BetweenLengths(b, length)...)
		if z, fine := withPaths(q, paths); fine && !q.Edges[i].Fold {
			q, how = z, append(how, fmt.Sprintf("a bump of %.1f on %q from %.0f to %.0f", up.Len()*0.75, q.Edges[i].Name, a, b))
		}
	}
	return q, how, len(how) > 0 && len(q.Edges) == len(p.Edges) && q.Validate() == nil
}

func anyRecipe(rng *rand.Rand, p *pattern.Piece) pattern.Recipe {
	i := rng.IntN(len(p.Edges))
	name := p.Edges[i].Name
	by := func(a, b float64) string { return fmt.Sprintf("%.1f", a+(b-a)*rng.Float64()) }
	r := pattern.Recipe{Piece: p.Name, Values: map[string]string{"edge": name, "by": by(4, 30)}}
	switch rng.IntN(6) {
	case 0:
		r.Kind, r.Values["edge"] = "shorten", p.Edges[p.HemEdge()].Name
	case 1:
		r.Kind = "let-out"
	case 2:
		r.Kind, r.Values["to"] = "let-out", "end"
	case 3:
		r.Kind, r.Values["from"] = "flare", by(20, 60)
	case 4:
		r.Kind, r.Values["from"], r.Values["blend"] = "flare", by(40, 90), "true"
	default:
		j := (i + 2) % len(p.Edges)
		r.Kind = "spread"
		r.Values = map[string]string{"by": by(8, 40), "line": fmt.Sprintf("%s@%.0fmm:%s@%.0fmm", name, p.Length(i)*(0.3+0.4*rng.Float64()),
			p.Edges[j].Name, p.Length(j)*(0.3+0.4*rng.Float64()))}
		if rng.IntN(2) == 0 {
			r.Values["hinge"] = name
		}
	}
	return r
}

// hiddenWithin in mm: lines are told kept within 0.05 and moved within 0.03.
const hiddenWithin = 0.06

// hidden lists the stretches of the new outline that nothing told of old edge
// i explains.
func hidden(d change.PieceDiff, i int) (faults []string) {
	name := d.Old.Edges[i].Name
	of := func(ch change.Change) bool { return slices.Contains(ch.Edges, name) || slices.Contains(ch.Moved, name) }
	var q geom.Path
	for j := range d.New.Edges {
		if d.Continues[j] == i {
			q = append(q, d.New.EdgePath(j)...)
		}
	}
	lines, free, fit := []geom.Path{geom.Carrier(d.Old.EdgePath(i), reach)}, 0, 0.0
	for _, ch := range d.Changes {
		if !of(ch) {
			continue
		}
		fit = math.Max(fit, ch.Fit)
		switch {
		case ch.Kind == change.EdgeRedrawn, ch.Kind == change.CornerRounded, ch.Kind == change.NameChanged && ch.Before == name && d.Became[i] < 0:
			return nil // told by how far it departs
		case ch.Kind == change.EdgeRun && ch.How == change.HowDrawn:
			return nil // told as a way of its own
		case ch.Kind == change.EdgeRun && ch.How == change.HowEased:
			free++
		case ch.Kind == change.Spread:
			lines, free = append(lines, geom.Carrier(d.Old.EdgePath(i).Moved(motionOfSpread(d, ch)), reach)), free+1
		case ch.Kind == change.EdgeSwung:
			turn := geom.Motion{Shift: ch.Pivot.Point().Mul(-1)}.Then(geom.Motion{Turn: swungBy(ch), Shift: ch.Pivot.Point()})
			lines = append(lines, geom.Carrier(d.Old.EdgePath(i).Moved(turn), reach))
			if departs(q, lines) > hiddenWithin {
				free++ // smoothed at the pivot
			}
		case ch.Kind == change.EdgeMoved:
			lines = []geom.Path{movedLine(d.Old, i, ch)}
		}
	}
	return beside(q, lines, free, fit+hiddenWithin)
}

// motionOfSpread is the motion of the part that moved, from its edges, or where
// it is one corner from that and the direction of the edge before it.
func motionOfSpread(d change.PieceDiff, ch change.Change) geom.Motion {
	if len(ch.OldPath) > 0 {
		return geom.FitMotion([]geom.Point{ch.OldPath.Start(), ch.OldPath.End()}, []geom.Point{ch.NewPath.Start(), ch.NewPath.End()}, false)
	}
	i, _ := d.Old.EdgeIndex(ch.Edges[0])
	p, q := d.Old.EdgePath(i), d.New.EdgePath(d.Became[i])
	return geom.Motion{Shift: p.End().Mul(-1)}.Then(geom.Motion{Turn: geom.AngleBetween(p.EndTangent(), q.EndTangent()), Shift: q.End()})
}

// swungBy is the turn of the arm, clockwise positive: outward at the end of an
// edge is anticlockwise, at its start clockwise.
func swungBy(ch change.Change) float64 {
	if ch.At.Point().Dist(ch.OldPath.End()) < ch.At.Point().Dist(ch.OldPath.Start()) {
		return -geom.Degrees(*ch.Turn)
	}
	return geom.Degrees(*ch.Turn)
}

func movedLine(old *pattern.Piece, i int, ch change.Change) geom.Path {
	p := old.EdgePath(i)
	switch {
	case ch.How == change.HowShifted:
		p = shifted(p, outwardAlongGrain(old, p).Mul(*ch.By))
	case ch.Ends != nil:
		p = match.Tapered(p, ch.Ends[0], (ch.Ends[1]-ch.Ends[0])/p.Length())
	default:
		if moved, err := p.Offset(*ch.By, 1e-4); err == nil {
			p = moved
		}
	}
	return geom.Carrier(p, reach)
}

func departs(q geom.Path, lines []geom.Path) float64 {
	far := 0.0
	for _, c := range q {
		for k := range 25 {
			far = math.Max(far, nearestLine(lines, c.At(float64(k)/24)))
		}
	}
	return far
}

func nearestLine(lines []geom.Path, at geom.Point) float64 {
	least := math.Inf(1)
	for _, l := range lines {
		_, d := l.Nearest(at)
		least = math.Min(least, d)
	}
	return least
}

// beside walks along an edge and lists the stretches off the lines that are
// more than are told, or no simple curve.
func beside(q geom.Path, lines []geom.Path, free int, within float64) (faults []string) {
	const parts = 400
	length := q.Length()
	var off [][2]int // first and last place of each stretch
	for k := range parts + 1 {
		switch n := len(off); {
		case nearestLine(lines, q.PointAt(length*float64(k)/parts)) <= within:
		case n > 0 && off[n-1][1] == k-1:
			off[n-1][1] = k
		default:
			off = append(off, [2]int{k, k})
		}
	}
	if n := len(off); n > free && free == 1 { // a bridge may cross the lines it leads between
		off = [][2]int{{off[0][0], off[n-1][1]}}
	}
	for n, o := range off {
		s := q.BetweenLengths(length*float64(max(o[0]-1, 0))/parts, length*float64(min(o[1]+1, parts))/parts)
		if far := fromSimple(s); n >= free || far > 0.5+0.05*s.Length() {
			faults = append(faults, fmt.Sprintf("%.1f mm off from %.1f on, %.1f of %.1f mm, %d stretches told, %.2f mm from a simple curve",
				departs(s, lines), length*float64(o[0])/parts, s.Length(), length, free, far))
		}
	}
	return faults
}

// fromSimple is how far a path departs from the smooth curve or the straight
// line between its ends.
func fromSimple(s geom.Path) float64 {
	simple := geom.Path{geom.Eased(s.Start(), s.StartTangent(), s.End(), s.EndTangent())}
	return math.Min(departs(s, []geom.Path{simple}), departs(s, []geom.Path{{geom.Line(s.Start(), s.End())}}))
}
