package trace

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// sides are the words for where an edge lies on the sheet, with the direction
// outward.
var sides = map[string]geom.Point{
	"top": {Y: -1}, "right": {X: 1}, "bottom": {Y: 1}, "left": {X: -1},
}

var sideWords = []string{"top", "right", "bottom", "left"}

// outward is the direction an edge faces: square to its chord.
func (u run) outward() geom.Point { return u.path.End().Sub(u.path.Start()).Left().Unit() }

// side is the side of the sheet the edge faces.
func (u run) side() string {
	out := u.outward()
	best, most := "all round", 0.0
	for _, word := range sideWords {
		if d := out.Dot(sides[word]); d > most {
			best, most = word, d
		}
	}
	return best
}

// findRun resolves what was typed for an edge: its name, a side, its number.
func findRun(runs []run, typed string) (int, error) {
	if i := slices.IndexFunc(runs, func(u run) bool { return u.name == typed }); i >= 0 {
		return i, nil
	}
	if dir, ok := sides[typed]; ok {
		return findSide(runs, typed, dir)
	}
	if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= len(runs) {
		return n - 1, nil
	}
	return 0, fmt.Errorf("there is no edge %q; the edges are %s", typed, listRuns(runs, anyRun))
}

// findSide finds the edge that lies furthest in a direction, among those that
// face it within 45°. Two whose middles lie equally far, within 2 % of the
// piece's extent, are not told apart.
func findSide(runs []run, word string, dir geom.Point) (int, error) {
	const like, facing = 0.02, math.Sqrt2 / 2
	lo, hi := math.Inf(1), math.Inf(-1)
	best, far, second := -1, math.Inf(-1), math.Inf(-1)
	for i, u := range runs {
		box := u.path.Box()
		for _, q := range []geom.Point{box.Min, box.Max} {
			lo, hi = math.Min(lo, q.Dot(dir)), math.Max(hi, q.Dot(dir))
		}
		if u.outward().Dot(dir) < facing-1e-9 {
			continue
		}
		switch at := u.path.PointAt(u.path.Length() / 2).Dot(dir); {
		case at > far:
			best, far, second = i, at, far
		case at > second:
			second = at
		}
	}
	if best < 0 {
		return 0, fmt.Errorf("no edge lies clearly on the %s; name it by its number: the edges are %s", word, listRuns(runs, anyRun))
	}
	if far-second <= like*(hi-lo) {
		return 0, fmt.Errorf("more than one edge lies on the %s; name it by its number: the edges are %s", word, listRuns(runs, anyRun))
	}
	return best, nil
}

// settle decides fold and allowances of the runs from what was asked for and,
// for a piece already there, from what is stored.
func (t *tracing) settle(runs []run) error {
	if err := t.settleFold(runs); err != nil {
		return err
	}
	named := map[int]string{}
	for _, typed := range slices.Sorted(maps.Keys(t.r.Edges)) {
		by := t.r.Edges[typed]
		i, err := findRun(runs, typed)
		if err != nil {
			return err
		}
		if err := checkAllowance(by); err != nil {
			return fmt.Errorf("edge %q: %w", runs[i].name, err)
		}
		if runs[i].fold && by != 0 {
			return fmt.Errorf("edge %q is the fold and has no allowance; leave out its %s", runs[i].name, t.p.Unit.Format(by))
		}
		if other, ok := named[i]; ok && by != t.r.Edges[other] {
			return fmt.Errorf("edge %q is given two allowances, as %q and as %q; leave one out", runs[i].name, other, typed)
		}
		named[i] = typed
		runs[i].allowance = &by
	}
	if t.r.Allowance != nil {
		if err := checkAllowance(*t.r.Allowance); err != nil {
			return err
		}
		for i := range runs {
			if _, ok := named[i]; !ok && !runs[i].fold {
				runs[i].allowance = t.r.Allowance
			}
		}
	}
	return t.askAllowances(runs)
}

func checkAllowance(by float64) error {
	if by < 0 || math.IsNaN(by) || by > 500 {
		return fmt.Errorf("an allowance of %v mm is not between 0 and 500 mm", by)
	}
	return nil
}

func (t *tracing) settleFold(runs []run) error {
	if t.r.Fold == "" {
		return nil
	}
	i, err := findRun(runs, t.r.Fold)
	if err != nil {
		return fmt.Errorf("fold: %w", err)
	}
	for k := range runs {
		if runs[k].fold && k != i {
			t.says("the fold is edge %q now, and no longer %q", runs[i].name, runs[k].name)
		}
		runs[k].fold = k == i
	}
	runs[i].allowance = nil
	return nil
}

// askAllowances asks for what a cutting line needs before it can go inward.
func (t *tracing) askAllowances(runs []run) error {
	if !t.cutting() {
		return nil
	}
	open := func(u run) bool { return !u.fold && u.allowance == nil }
	if !slices.ContainsFunc(runs, open) {
		return nil
	}
	fold := ""
	if !slices.ContainsFunc(runs, func(u run) bool { return u.fold }) {
		fold = " and, where the piece lies on the fold, --fold left|right|EDGE"
	}
	return fmt.Errorf("the cutting line was drawn, and nothing says how wide the allowance is at %s; "+
		"bought patterns have different ones at hem and fold: give them with --allowance LENGTH for all edges "+
		"and --edge NAME|N|top|right|bottom|left=LENGTH for those that differ%s", listRuns(runs, open), fold)
}

// inward takes the runs from the cutting line to the sewing line. Edges keep
// their order.
func (t *tracing) inward(runs []run) ([]run, error) {
	edges := make([]geom.OffsetEdge, len(runs))
	for i, u := range runs {
		edges[i].Path = u.path
		if u.allowance != nil {
			edges[i].By = -*u.allowance
		}
	}
	ring, source, err := geom.OffsetRing(edges, nil, pattern.CutTolerance)
	if err != nil {
		return nil, t.inwardProblem(runs, err)
	}
	n := len(ring)
	first := slices.IndexFunc(upTo(n), func(k int) bool { return source[k] != source[(k+n-1)%n] })
	if first < 0 {
		first = 0
	}
	out := slices.Clone(runs)
	for i := range out {
		out[i].path = nil
	}
	last := -1
	for k := range n {
		at := (first + k) % n
		i := source[at]
		if out[i].path != nil && i != last {
			return nil, fmt.Errorf("inward from the cutting line, edge %q falls into two parts; check the allowances", out[i].name)
		}
		out[i].path, last = append(out[i].path, ring[at]), i
	}
	return t.withoutVanished(runs, out)
}

// withoutVanished leaves out edges of the cutting line that leave nothing
// inside, as a trimmed corner does.
func (t *tracing) withoutVanished(cut, sewn []run) ([]run, error) {
	var kept []run
	for i, u := range sewn {
		switch {
		case u.path != nil:
			kept = append(kept, u)
		case u.fold:
			return nil, fmt.Errorf("inward from the cutting line, nothing is left of the fold, edge %q; check its neighbours' allowances", u.name)
		default:
			t.says("edge %q of the cutting line, %s long at %s, leaves nothing on the sewing line; it is left out",
				u.name, t.p.Unit.Format(cut[i].path.Length()), placeText(cut[i].path.PointAt(cut[i].path.Length()/2)))
		}
	}
	return kept, nil
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func (t *tracing) inwardProblem(runs []run, err error) error {
	var wide *geom.AllowanceTooWide
	var cross *geom.OffsetCrosses
	at := func(q geom.Point) string {
		return fmt.Sprintf("(%s, %s) mm", units.Number(q.X, 1), units.Number(q.Y, 1))
	}
	switch {
	case errors.As(err, &wide):
		u := runs[wide.Edge]
		return fmt.Errorf("edge %q: an allowance of %s is wider than the bend of radius %s at %s; no sewing line lies that far inside; check the allowance",
			u.name, t.p.Unit.Format(*u.allowance), t.p.Unit.Format(wide.Radius), at(wide.At))
	case errors.As(err, &cross):
		return fmt.Errorf("inward from the cutting line, edges %q and %q cross at %s; check their allowances",
			runs[cross.EdgeA].name, runs[cross.EdgeB].name, at(cross.At))
	}
	return fmt.Errorf("there is no sewing line inside the cutting line: %w; check the allowances", err)
}

// depart measures how far the computed cutting line lies from the drawn one.
func (t *tracing) depart(drawn geom.Ring) error {
	line, err := t.piece.CuttingLine(t.r.Set)
	if err != nil {
		return err
	}
	a, atA := farthestFrom(geom.Path(drawn), geom.Path(line.Ring))
	b, atB := farthestFrom(geom.Path(line.Ring), geom.Path(drawn))
	t.res.Departure, t.res.DepartureAt = a, atA
	if b > a {
		t.res.Departure, t.res.DepartureAt = b, atB
	}
	return nil
}

// farthestFrom returns the greatest distance of p's points from q, found on
// at least four and at most 64 samples a curve, and where.
func farthestFrom(p, q geom.Path) (dist float64, at geom.Point) {
	const total = 8000 // samples: a whole outline in some milliseconds
	each := min(64, max(4, total/len(p)))
	for _, c := range p {
		for k := range each + 1 {
			x := c.At(float64(k) / float64(each))
			if _, d := q.Nearest(x); d > dist || (dist == 0 && k == 0) {
				dist, at = d, x
			}
		}
	}
	return dist, at
}
