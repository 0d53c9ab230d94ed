package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// Spread is a part of the outline that moved as one: the piece was cut open
// along a line, or folded out, and the two edges that the line crosses were
// drawn anew between the parts.
type Spread struct {
	First, Last int           // old edges that the line crosses; those between moved
	Motion      geom.Motion   // of the part that moved
	Line        [2]geom.Point // where the line crosses First and Last
	Open        [2]float64    // mm there, closing negative
	Turn        float64       // radians, by which the part turned, opening positive
	Fit         float64       // mm: greatest distance from what is explained, First and Last included, to what is there
	Drawn       [2]Drawn      // what of First and Last no plain bridge over the cut explains
	Anywhere    bool          // the outlines do not tell where along First and Last the line lies; Line is halfway
	Level       [2]bool       // there the outlines do not tell: the line is taken to run square to the way it opened
	Shared      bool          // it closed at an end but for what several lines, hinged there, leave together
	Runs        [2]Run        // what First lost or gained at its start, and Last at its end, along themselves

	residual bool // the edges tell what was altered besides
}

// Drawn is how far in mm a line that was drawn anew departs at most from the one
// explained, and where; nothing is 0.
type Drawn struct {
	By float64
	At geom.Point
}

// drawn counts the edges of a spread that were drawn anew besides.
func (s *Spread) drawn() int {
	n := 0
	for _, d := range s.Drawn {
		if d.By > 0 {
			n++
		}
	}
	return n
}

// Besides says that its edges were altered besides: each tells what it does
// beyond moving with the part.
func (s *Spread) Besides() bool { return s.residual }

// cost is what an opening needs, in an outline of n edges: a little more where
// it moved no more than a corner, which moved edges do too.
func (s *Spread) cost(n int) float64 {
	if (s.Last-s.First+n)%n == 1 {
		return costMoved + costCorner
	}
	return costMoved
}

// costCorner decides between a part that moved and a corner alone.
const costCorner = 0.25

// Spread marks the old edges that a spread explains wholly.
func (x *Explanation) Spread() map[int]bool {
	in := map[int]bool{}
	n := x.old()
	for _, s := range x.Spreads {
		if s.residual {
			continue
		}
		for i := s.First; ; i = (i + 1) % n {
			in[i] = true
			if i == s.Last {
				break
			}
		}
	}
	return in
}

// old is the number of old edges.
func (x *Explanation) old() int {
	n := 0
	for n < len(x.Edges) && x.Edges[n].Old >= 0 {
		n++
	}
	return n
}

// grouped looks for parts of the outline that moved as one, where that needs
// fewer changes than their edges one by one.
func (e *explainer) grouped(x *Explanation) {
	n := len(e.old.Edges)
	from, to, moved := e.corners(x)
	for first := range n {
		if moved[first] || !moved[(first+1)%n] {
			continue // a run of moved corners starts after this edge
		}
		run := 1
		for run < n-1 && moved[(first+1+run)%n] {
			run++
		}
		e.spreadIn(x, from, to, first, run)
	}
}

// spreadIn looks for spreads among the run of moved corners after edge first,
// the one with most corners first.
func (e *explainer) spreadIn(x *Explanation, from, to []geom.Point, first, run int) {
	n := len(from)
	for count := run; count >= 1; count-- {
		for skip := 0; skip+count <= run; skip++ {
			if s, ok := e.spread(x, from, to, (first+skip)%n, count); ok {
				x.Spreads = append(x.Spreads, s)
				return
			}
		}
	}
}

// corners lists the old corners, each at the start of its edge, the new ones
// that continue them, and which of those moved.
func (e *explainer) corners(x *Explanation) (from, to []geom.Point, moved []bool) {
	n := len(e.old.Edges)
	from, to, moved = make([]geom.Point, n), make([]geom.Point, n), make([]bool, n)
	for i := range n {
		from[i] = e.old.Edges[i].Start()
		edge, before := &x.Edges[i], &x.Edges[(i+n-1)%n]
		if len(edge.New) == 0 || len(before.New) == 0 || edge.To.Start().Dist(before.To.End()) > 1e-6 {
			continue
		}
		to[i] = edge.To.Start()
		moved[i] = from[i].Dist(to[i]) > e.tol.moved()
	}
	return from, to, moved
}

// spread tries whether the corners after edge first, count of them, moved as
// one, and the edges between them.
func (e *explainer) spread(x *Explanation, from, to []geom.Point, first, count int) (Spread, bool) {
	n := len(from)
	last := (first + count) % n
	var a, b []geom.Point
	for k := 1; k <= count; k++ {
		a, b = append(a, from[(first+k)%n]), append(b, to[(first+k)%n])
	}
	s := Spread{First: first, Last: last, Motion: geom.FitMotion(a, b, false)}
	turned := false
	if count == 1 {
		var m geom.Motion
		if m, turned = cornerTurned(&x.Edges[first], &x.Edges[last]); turned {
			s.Motion = m
		}
	}
	alone := 0.0
	for k := 0; k <= count; k++ {
		edge := &x.Edges[(first+k)%n]
		alone += edge.cost() + costRun*float64(x.uncaused((first+k)%n))
		if k == 0 || k == count {
			continue
		}
		far, _ := Farthest(edge.To, edge.From.Moved(s.Motion))
		back, _ := Farthest(edge.From.Moved(s.Motion), edge.To)
		if s.Fit = max(s.Fit, far, back); s.Fit > 2*e.tol.moved() {
			return s, false
		}
	}
	both := x.Edges[first].Changed() && x.Edges[last].Changed()
	if !turned && (alone <= leastAlone || (count == 1 && !both)) {
		return s, false
	}
	proof, ok := e.opened(x, &s)
	if !ok || (proof < proofNeeded(turned, count, alone) && !(turned && alone > costMoved+costGone/2)) {
		return s, false
	}
	return s, e.crossedWhole(x, &s) && costMoved+costRedrawn*float64(s.drawn()) < alone
}

// proofNeeded is of how many of its two edges a spread has to show that a part
// moved with the rest.
func proofNeeded(turned bool, count int, alone float64) int {
	switch {
	case turned: // as where one of the two was swung and the other eased on to it
		return 2
	case count > 1 && alone > costMoved+costGone/2:
		return 0
	}
	return 1
}

// crossedWhole holds both edges that the line crosses against what the spread
// tells of them, over their whole length. It fails where an end of one lies
// elsewhere and nothing said of it takes it there.
func (e *explainer) crossedWhole(x *Explanation, s *Spread) bool {
	for k, i := range [2]int{s.First, s.Last} {
		p, q := x.Edges[i].From, x.Edges[i].To
		if k == 1 {
			p, q = p.Reverse(), q.Reverse()
		}
		r := e.retell(s.Motion, p, q)
		within := max(e.tol.Kept, e.tol.moved())
		if s.Shared { // a strip between two of several lines turned in part only
			within = max(within, sharedStrip*max(math.Abs(s.Open[0]), math.Abs(s.Open[1])))
		}
		if r.fit > within {
			if !(r.ends <= within) || math.IsInf(r.fit, 1) {
				return false
			}
			s.Drawn[k] = Drawn{By: r.fit, At: r.at}
		} else {
			s.Fit = max(s.Fit, r.fit)
		}
		if r.run.How != "" && !e.causes(x, r.run, (i+len(e.old.Edges)-1+2*k)%len(e.old.Edges)) {
			return false
		}
		s.Runs[k] = r.run
	}
	return true
}

// sharedStrip is the share of what several lines opened together by which an
// edge across them may lie off what a single line leaves. Two wedges of 3° with
// their mouths 60 mm apart opened 60 mm, and the edge lies off by 1.02 mm.
const sharedStrip = 0.02

// causes reports whether edge i changed so that its neighbour is run like that:
// eased where it was swung, or tapered as a swing may be told.
func (e *explainer) causes(x *Explanation, r Run, i int) bool {
	near := &x.Edges[i]
	if r.How == change.HowEased {
		return near.Kind == change.EdgeSwung || near.How == change.HowTapered
	}
	return near.Changed() || len(near.New) == 0
}

// leastAlone is what a spread's edges have to cost one by one to be looked at:
// more than a simple change.
const leastAlone = costMoved + 0.05

// cornerTurned is the motion of a corner between two edges that turned as one:
// both leave it in the directions they had, turned alike.
func cornerTurned(before, after *Edge) (geom.Motion, bool) {
	if before.From.End().Dist(after.From.Start()) > 1e-6 || len(before.New) == 0 || len(after.New) == 0 {
		return geom.Motion{}, false
	}
	a := geom.AngleBetween(before.From.EndTangent(), before.To.EndTangent())
	b := geom.AngleBetween(after.From.StartTangent(), after.To.StartTangent())
	if math.Abs(a-b) > leastTurned || math.Abs(a) < leastTurned {
		return geom.Motion{}, false
	}
	turn := (a + b) / 2
	return geom.Motion{Shift: before.From.End().Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: before.To.End()}), true
}
