package trace

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"sort"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
	"toile/pattern/units"
)

// again makes the next state of a piece already there.
func (t *tracing) again() error {
	t.tol = sameWithin
	if n := math.Max(t.noise, t.old.DrawnWithin); n > 0 {
		t.tol = math.Max(t.tol, 3*n)
	}
	if t.cutting() {
		t.tol += 2 * pattern.CutTolerance // out, as stored, and back in
	}
	old, err := t.oldRing()
	if err != nil {
		return err
	}
	if t.r.Place == PlaceAsIs {
		if err := t.followSheet(old); err != nil {
			return err
		}
		if old, err = t.oldRing(); err != nil {
			return err
		}
	}
	if err := t.lay(old); err != nil {
		return err
	}
	drawn := t.o.Ring
	if t.cutting() {
		if err := t.cutInward(); err != nil {
			return err
		}
	}
	runs, err := t.continued()
	if err != nil {
		return err
	}
	t.rebuild(runs)
	return t.complete(drawn)
}

// oldRing is the stored outline, or the stored cutting line when that was
// drawn.
func (t *tracing) oldRing() (geom.Ring, error) {
	if t.cutting() {
		line, err := t.old.CuttingLine(t.r.Set)
		return line.Ring, err
	}
	under, err := t.old.Outline()
	return under.Ring, err
}

// cutInward takes the drawn cutting line to the sewing line, with the stored
// allowances where nothing else was asked for.
func (t *tracing) cutInward() error {
	paths, err := t.oldCuttingPaths()
	if err != nil {
		return err
	}
	ring, starts := t.corners(t.o.Ring)
	ring, starts = match.SplitAtSmooth(paths, ring, starts, t.r.Corner, t.tol)
	if len(starts) == 0 {
		starts = []int{0}
	}
	runs := t.runs(ring, starts)
	t.identify(runs, t.identities(runs, paths))
	if err := t.nameRuns(runs); err != nil {
		return err
	}
	if err := t.settle(runs); err != nil {
		return err
	}
	cut := runs
	if runs, err = t.inward(runs); err != nil {
		return err
	}
	t.sewn = pointsInward(t.laidPoints(), cut, runs, t.noise)
	known := t.declared() || t.fixed != nil
	t.o.Ring, t.o.Corners, t.o.EdgeNames, t.fixed = nil, nil, nil, nil
	if known {
		t.fixed, t.o.EdgeNames = []int{}, map[int]string{}
	}
	for _, u := range runs {
		if known {
			t.fixed = append(t.fixed, len(t.o.Ring))
			t.o.EdgeNames[len(t.o.Ring)] = u.drawn
		}
		t.o.Ring = append(t.o.Ring, u.path...)
	}
	return nil
}

// oldCuttingPaths are the stored piece's cutting line edge by edge. An edge
// that has no part in it is represented by its sewing line.
func (t *tracing) oldCuttingPaths() ([]geom.Path, error) {
	line, err := t.old.CuttingLine(t.r.Set)
	if err != nil {
		return nil, err
	}
	paths := make([]geom.Path, len(t.old.Edges))
	n := len(line.Ring)
	first := max(0, slices.IndexFunc(upTo(n), func(k int) bool { return line.Edge[k] != line.Edge[(k+n-1)%n] }))
	for k := range n {
		at := (first + k) % n
		paths[line.Edge[at]] = append(paths[line.Edge[at]], line.Ring[at])
	}
	for i, p := range paths {
		if p == nil {
			paths[i] = t.old.EdgePath(i)
		}
	}
	return paths, nil
}

func (t *tracing) oldPaths() []geom.Path {
	paths := make([]geom.Path, len(t.old.Edges))
	for i := range paths {
		paths[i] = t.old.EdgePath(i)
	}
	return paths
}

// continued cuts the laid sewing line into edges and settles which stored
// edge each continues, in the stored order.
func (t *tracing) continued() ([]run, error) {
	ring, roundings := t.o.Ring, []rounding(nil)
	if !t.declared() && t.fixed == nil {
		ring, roundings = t.sharpened(withoutCrumbs(ring))
	}
	paths := t.oldPaths()
	ring, starts := t.corners(ring)
	ring, starts = match.SplitAtSmooth(paths, ring, starts, t.r.Corner, t.tol)
	starts = withRoundings(ring, starts, roundings)
	if len(starts) == 0 {
		starts = []int{0}
	}
	if !t.declared() {
		ring, starts = match.SplitAtBends(paths, ring, starts, t.tol)
	}
	runs := t.runs(ring, starts)
	for i := range runs {
		for _, r := range roundings {
			if runs[i].path.Start() == r.at {
				runs[i].round = r.radius
			}
		}
	}
	ids := t.identities(runs, paths)
	if steady := t.steady(paths); steady != nil {
		runs, ids = steady, nil
		for _, u := range steady {
			ids = append(ids, u.identity)
		}
	}
	t.identify(runs, ids)
	runs = inStoredOrder(runs)
	if err := t.nameRuns(runs); err != nil {
		return nil, err
	}
	return runs, t.settle(runs)
}

// withRoundings makes every rounded corner the start of an edge.
func withRoundings(ring geom.Ring, starts []int, roundings []rounding) []int {
	for _, r := range roundings {
		k := slices.IndexFunc(ring, func(c geom.Cubic) bool { return c.P0 == r.at })
		if k >= 0 && !slices.Contains(starts, k) {
			starts = append(slices.Clone(starts), k)
			slices.Sort(starts)
		}
	}
	return starts
}

// identities finds what each run continues.
func (t *tracing) identities(runs []run, paths []geom.Path) []match.Identity {
	new := make([]geom.Path, len(runs))
	for i := range runs {
		new[i] = runs[i].path
	}
	ids := match.Edges(paths, new, t.tol)
	t.identifyByName(runs, ids)
	return ids
}

// identify takes over name, fold and allowance of what each run continues.
func (t *tracing) identify(runs []run, ids []match.Identity) {
	some := slices.ContainsFunc(t.old.Edges, func(e pattern.Edge) bool { return e.AllowanceFor(t.r.Set) != 0 })
	for i := range runs {
		u := &runs[i]
		u.identity = ids[i]
		from := max(u.identity.Edge, u.identity.Part)
		if from < 0 {
			continue
		}
		e := &t.old.Edges[from]
		u.fold = e.Fold
		if some && !e.Fold {
			by := e.AllowanceFor(t.r.Set)
			u.allowance = &by
		}
		if u.identity.Edge >= 0 {
			u.name = e.Name
		}
	}
}

// identifyByName lets a name in a points file settle what nothing else did.
func (t *tracing) identifyByName(runs []run, ids []match.Identity) {
	for i, u := range runs {
		if u.drawn == "" || ids[i].Edge >= 0 {
			continue
		}
		name, _ := pattern.CleanName(u.drawn)
		k := slices.Index(t.old.EdgeNames(), name)
		if k >= 0 && !slices.ContainsFunc(ids, func(id match.Identity) bool { return id.Edge == k }) {
			ids[i] = match.Identity{Edge: k, Part: -1}
		}
	}
}

// inStoredOrder lists first what continues the first stored edge that goes
// on.
func inStoredOrder(runs []run) []run {
	first, least := 0, math.MaxInt
	for i, u := range runs {
		if k := u.identity.Edge; k >= 0 && k < least {
			first, least = i, k
		}
	}
	return append(slices.Clone(runs[first:]), runs[:first]...)
}

// rebuild makes the piece: the stored one with the outline that was drawn.
func (t *tracing) rebuild(runs []run) {
	t.piece = t.old.Clone()
	t.piece.Corners, t.piece.Edges = nil, nil
	for i, u := range runs {
		t.piece.Corners = append(t.piece.Corners, t.corner(runs[(i+len(runs)-1)%len(runs)], u))
		t.piece.Edges = append(t.piece.Edges, t.edge(u))
	}
	kept := false
	for i, u := range runs {
		from, to := t.piece.Corners[i].At, t.piece.Corners[(i+1)%len(runs)].At
		kept = t.keepPath(&t.piece.Edges[i], u, from, to) || kept
	}
	noise := units.Round(t.noise, 3)
	if kept {
		noise = math.Max(noise, t.old.DrawnWithin)
	}
	if reflect.DeepEqual(t.piece.Corners, t.old.Corners) && reflect.DeepEqual(t.piece.Edges, t.old.Edges) {
		noise = t.old.DrawnWithin // nothing drawn was taken
	}
	t.piece.DrawnWithin = noise
	t.tellEdges(runs)
}

// corner is the corner between two runs: the stored one where the same edges
// meet or where it lies, with its stored place if that is near enough.
func (t *tracing) corner(before, after run) pattern.Corner {
	at := after.path.Start()
	n := len(t.old.Corners)
	stored := -1
	if k := after.identity.Edge; k >= 0 && before.identity.Edge == (k+n-1)%n {
		stored = k
	}
	for j, c := range t.old.Corners {
		if c.At.Dist(at) <= t.tol && (stored < 0 || t.old.Corners[stored].At.Dist(at) > t.tol) {
			stored = j
		}
	}
	c := pattern.Corner{At: rounded3(at)}
	if stored >= 0 {
		place := c.At
		c = t.old.Corners[stored]
		within := t.tol
		if before.settled || after.settled {
			within = sameWithin // the settled edges say where they meet
		}
		if c.At.Dist(at) > within {
			c.At = place
		}
	}
	c.Round = after.round
	return c
}

// edge is the run's edge without its shape.
func (t *tracing) edge(u run) pattern.Edge {
	e := pattern.Edge{Name: u.name}
	switch {
	case u.identity.Edge >= 0:
		e = t.old.Clone().Edges[u.identity.Edge]
	case u.identity.Part >= 0:
		from := t.old.Clone().Edges[u.identity.Part]
		e.Was, e.Allowance, e.Hem = from.ID, from.Allowance, from.Hem
	default:
		e.Allowance = t.usualAllowance()
	}
	setAllowance(&e, u, t.r.Set)
	return e
}

// usualAllowance is the allowance that all the stored piece's edges have in
// common but for folds and hems, nil when they differ.
func (t *tracing) usualAllowance() map[string]float64 {
	var usual map[string]float64
	hem := t.old.HemEdge()
	for i, e := range t.old.Edges {
		if e.Fold || i == hem {
			continue
		}
		if usual != nil && !maps.Equal(usual, e.Allowance) {
			return nil
		}
		usual = e.Allowance
	}
	return maps.Clone(usual)
}

// setAllowance gives the edge what was settled for it.
func setAllowance(e *pattern.Edge, u run, set string) {
	if e.Fold = u.fold; u.fold {
		e.Allowance = nil
		return
	}
	if u.allowance == nil || *u.allowance == e.AllowanceFor(set) {
		return
	}
	if e.Allowance == nil {
		e.Allowance = map[string]float64{}
	}
	if e.Allowance[set] = units.Round(*u.allowance, 3); *u.allowance == 0 {
		delete(e.Allowance, set)
	}
}

// keepPath gives the edge its shape between its corners and reports whether
// any of it is the stored one's.
func (t *tracing) keepPath(e *pattern.Edge, u run, from, to geom.Point) bool {
	n := len(t.old.Corners)
	if k := u.identity.Edge; k >= 0 {
		old := t.old.EdgePath(k)
		if from == t.old.Corners[k].At && to == t.old.Corners[(k+1)%n].At && t.coincide(u.path, old) {
			return true // e is a clone of the stored edge
		}
	}
	if u.settled {
		setRounded(e, u.path)
		return true
	}
	path, kept := t.splice(u.path, from, to)
	setRounded(e, path)
	return kept
}

// coincide reports whether two paths lie within the tolerance of each other.
func (t *tracing) coincide(p, q geom.Path) bool {
	if d, _ := farthestFrom(p, q); d > t.tol {
		return false
	}
	d, _ := farthestFrom(q, p)
	return d <= t.tol
}

// part is a stretch of a path being put together.
type part struct {
	curve geom.Cubic
	old   int // the stored outline's curve it comes from, −1 when drawn
	t1    float64
}

// splice puts stored stretches in the place of what coincides with them. A
// stretch shorter than 1 mm and twenty tolerances is drawn anew, unless it is
// a whole curve.
func (t *tracing) splice(path geom.Path, from, to geom.Point) (geom.Path, bool) {
	old, _ := t.old.SharpRing()
	least := math.Max(1, 20*t.tol)
	var stretches []geom.Stretch
	for _, s := range geom.Match(old, geom.Ring(path), t.tol) {
		whole := (s.A0 == 0 && s.A1 == 1) || (s.B0 == 0 && s.B1 == 1)
		if s.B1 > s.B0 && (whole || old[s.A].LengthBetween(s.A0, s.A1) >= least) {
			stretches = append(stretches, s)
		}
	}
	sort.Slice(stretches, func(i, j int) bool {
		a, b := stretches[i], stretches[j]
		return a.B < b.B || (a.B == b.B && a.B0 < b.B0)
	})
	var parts []part
	at := geom.Place{}
	free := func(until geom.Place) {
		if until.Curve < at.Curve || (until.Curve == at.Curve && until.T <= at.T) {
			return
		}
		p := path.Between(at, until)
		if p.Length() <= 5*t.tol && len(stretches) > 0 {
			return // the joint of two stretches
		}
		for _, c := range p {
			parts = append(parts, part{curve: c, old: -1})
		}
	}
	for _, s := range stretches {
		free(geom.Place{Curve: s.B, T: s.B0})
		parts = appendStored(parts, old, s)
		at = geom.Place{Curve: s.B, T: s.B1}
	}
	free(geom.Place{Curve: len(path) - 1, T: 1})
	return joinParts(parts, from, to), len(stretches) > 0
}

// appendStored adds a stored stretch; where it goes on from the one before on
// the same curve, both are one.
func appendStored(parts []part, old geom.Ring, s geom.Stretch) []part {
	if n := len(parts); n > 0 && parts[n-1].old == s.A && math.Abs(parts[n-1].t1-s.A0) < 1e-6 {
		last := &parts[n-1]
		start, _ := old[s.A].Nearest(last.curve.P0)
		last.curve, last.t1 = old[s.A].Part(start, s.A1), s.A1
		if start < 1e-9 {
			last.curve = old[s.A].Part(0, s.A1)
		}
		return parts
	}
	return append(parts, part{old[s.A].Part(s.A0, s.A1), s.A, s.A1})
}

// joinParts makes one path of the parts from corner to corner. Ends of stored
// parts hold, drawn ones are brought to them; a drawn straight line that runs
// on from another straight one is one with it.
func joinParts(parts []part, from, to geom.Point) geom.Path {
	for i := range parts {
		start, end := from, to
		if i > 0 {
			start = parts[i-1].curve.P3
		}
		if i < len(parts)-1 {
			end = parts[i].curve.P3
			if parts[i].old < 0 && parts[i+1].old >= 0 {
				end = parts[i+1].curve.P0
			}
		}
		parts[i].curve = moveEnds(parts[i].curve, start, end)
	}
	var out []part
	for _, p := range parts {
		if n := len(out); n > 0 && (p.old < 0 || out[n-1].old < 0) && runsOnStraight(out[n-1].curve, p.curve) {
			out[n-1].curve = geom.Line(out[n-1].curve.P0, p.curve.P3)
			out[n-1].old = -1
			continue
		}
		out = append(out, p)
	}
	path := make(geom.Path, len(out))
	for i, p := range out {
		path[i] = p.curve
	}
	return path
}

// runsOnStraight reports whether two lines are one within the stored digits.
func runsOnStraight(c, d geom.Cubic) bool {
	if !c.IsStraight(storedStraight) || !d.IsStraight(storedStraight) {
		return false
	}
	whole := geom.Line(c.P0, d.P3)
	_, off := whole.Nearest(c.P3)
	return off <= 2*storedStraight && c.P3.Sub(c.P0).Dot(d.P3.Sub(d.P0)) > 0
}

// newIndex returns the new edge that continues a stored one, −1 when none
// does.
func (t *tracing) newIndex(stored int) int { return t.piece.EdgeByID(t.old.Edges[stored].ID) }

// placeText prints a place for a message.
func placeText(q geom.Point) string {
	return fmt.Sprintf("(%s, %s) mm", units.Number(q.X, 1), units.Number(q.Y, 1))
}
