package render

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// sameOnPaper is how near in mm two places lie that a pen marks alike.
const sameOnPaper = 0.3

// place is something that has to be marked anew on the paper: what it is called
// and the points that show where.
type place struct {
	name   string
	points []geom.Point
}

func (l place) box() geom.Box {
	b := geom.EmptyBox()
	for _, q := range l.points {
		b = b.Extend(q)
	}
	return b
}

// same reports whether two places are one on paper.
func (w patchwork) same(a, b place) bool {
	return len(a.points) == len(b.points) && !slices.ContainsFunc(upTo(len(a.points)), func(i int) bool {
		return a.points[i].Dist(b.points[i]) > math.Max(sameOnPaper, w.within)
	})
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// newPlaces are the notches, marks, lines and the grain that lie elsewhere on
// the paper than they did, or are new, or drawn otherwise, by what is in both
// versions of the piece: an edge that moves takes its notches along without
// their being moved.
func (w patchwork) newPlaces() []place {
	var out []place
	before := w.signsOf(w.diff.Old)
	for _, now := range w.signsOf(w.diff.New) {
		if !slices.ContainsFunc(before, func(was place) bool { return was.name == now.name && w.same(was, now) }) {
			out = append(out, now)
		}
	}
	if g := w.diff.New.Grain; w.grainTurned() {
		out = append(out, place{grainWords(g), []geom.Point{g.From, g.To}})
	}
	return out
}

// signsOf are all that is marked on the paper of a piece but its grain and its
// lines to sew and cut. Their names hold what makes them look otherwise.
func (w patchwork) signsOf(q *pattern.Piece) []place {
	var out []place
	for _, n := range q.Notches {
		at, along, _, err := q.NotchPlace(n)
		if err != nil {
			continue
		}
		// Its end at the cutting line: there it is found and pricked through.
		by := 0.0
		if i, err := q.EdgeIndex(n.Edge); err == nil {
			by = q.Edges[i].AllowanceFor(w.print.set)
		}
		out = append(out, place{notchWords(n), []geom.Point{at.Add(along.Left().Mul(by))}})
	}
	for _, m := range q.Marks {
		if points := markPoints(q, m); len(points) > 0 {
			out = append(out, place{w.markLooks(m), points})
		}
	}
	for _, l := range q.Lines {
		out = append(out, place{l.Name, alongMark(l.Path)})
	}
	return out
}

// leastGrainTurn in radians, a tenth of a degree, is what somebody could draw.
const leastGrainTurn = 0.1 * math.Pi / 180

// grainTurned reports whether the grain runs, or is drawn, otherwise than it did;
// where its line stands is nothing.
func (w patchwork) grainTurned() bool {
	old, now := w.diff.Old.Grain, w.diff.New.Grain
	if now == nil || old == nil {
		return now != nil
	}
	turn := math.Abs(geom.AngleBetween(old.To.Sub(old.From), now.To.Sub(now.From)))
	return turn > leastGrainTurn || grainWords(old) != grainWords(now)
}

// notchWords are a notch's name and how often it is cut.
func notchWords(n pattern.Notch) string {
	if n.Count > 1 {
		return fmt.Sprintf("%s (%d strokes)", n.Name, n.Count)
	}
	return n.Name
}

// markLooks is what a mark is called, with what is drawn of it besides its place.
func (w patchwork) markLooks(m pattern.Mark) string {
	words := markWords(m)
	if m.Size > 0 {
		words += " of " + w.print.sheet.Unit.Format(m.Size)
	}
	if m.Direction != "" {
		words += " towards " + m.Direction
	}
	if m.Kind == pattern.MarkText {
		words = fmt.Sprintf("text %q", m.Text)
	}
	return words
}

// markPoints are the points that show where a mark lies: a dart by both ends of
// its mouth and its point, a pleat by both ends of its intake.
func markPoints(q *pattern.Piece, m pattern.Mark) []geom.Point {
	var points []geom.Point
	if m.Edge != "" {
		i, err := q.EdgeIndex(m.Edge)
		if err != nil {
			return nil
		}
		edge := q.EdgePath(i)
		points = append(points, edge.PointAt(m.From), edge.PointAt(m.To))
	}
	switch {
	case len(m.Path) > 0:
		points = append(points, alongMark(m.Path)...)
	case m.Edge == "" || m.Kind == pattern.MarkDart:
		points = append(points, m.At)
	}
	return points
}

// alongMark are points by which two lines are told apart.
func alongMark(path geom.Path) []geom.Point {
	const parts = 8
	if len(path) == 0 {
		return nil
	}
	long := path.Length()
	var out []geom.Point
	for k := range parts + 1 {
		out = append(out, path.PointAt(long*float64(k)/parts))
	}
	return out
}

// toWrite says in sentences what of the paper is wrong beyond the strips: the
// sewing line where the cutting line stays, and words.
func (w patchwork) toWrite(patches []patch) []string {
	var out []string
	for i := range w.diff.New.Edges {
		if w.sewnElsewhere(i, patches) {
			e := &w.diff.New.Edges[i]
			out = append(out, fmt.Sprintf("edge %q: its sewing line lies elsewhere on the paper; strike it out and draw it %s inside of the cutting line",
				e.Name, w.print.sheet.Unit.Format(e.AllowanceFor(w.print.set))))
		}
	}
	old, now := w.diff.Old, w.diff.New
	if old.Grain != nil && now.Grain == nil {
		out = append(out, "it has no grain line of its own any more; strike it out on the paper")
	}
	if old.Name != now.Name {
		out = append(out, fmt.Sprintf("it was called %q; write the new name on the paper", old.Name))
	}
	if words := cutWords(now); words != cutWords(old) {
		out = append(out, fmt.Sprintf("it is %s now; write that on the paper", words))
	}
	return out
}

// sewnElsewhere reports whether an edge's sewing line lies off the old one where
// no strip shows it.
func (w patchwork) sewnElsewhere(i int, patches []patch) bool {
	before, err := w.diff.Old.Outline()
	if err != nil {
		return false
	}
	now, err := w.diff.New.Outline()
	if err != nil || w.diff.New.Edges[i].AllowanceFor(w.print.set) == 0 {
		return false
	}
	for k, c := range now.Ring {
		if now.Edge[k] != i {
			continue
		}
		for _, q := range alongRim(c) {
			_, off := geom.Path(before.Ring).Nearest(q)
			if off > math.Max(sameOnPaper, w.within) && !slices.ContainsFunc(patches, func(p patch) bool { return p.frame.Holds(q) }) {
				return true
			}
		}
	}
	return false
}

// tooLittle reports whether something was added or removed that no strip is made
// for.
func (w patchwork) tooLittle() bool { return len(w.lie.Added)+len(w.lie.Removed) > 0 }
