package render

import (
	"toile/geom"
	"toile/pattern"
)

const (
	// leastStep is the length in mm from which on a step of the cutting line is told
	// of: shorter ones nobody takes for a slip of the pen.
	leastStep = 5.0
	// oneFoot is how near in mm the feet of both ends of a step lie on the sewing
	// line: it is square to that.
	oneFoot = 0.2
)

// cutStep is where the cutting line passes from one allowance to another, square to
// the sewing line.
type cutStep struct {
	path     geom.Cubic
	from, to float64 // the allowances in mm, as one goes along
}

// stepsOf lists the steps of a cutting line, as they are beside the end of a rounded
// corner between unequal allowances.
func stepsOf(s *shape, cutting pattern.CuttingLine, set string) []cutStep {
	var out []cutStep
	n := len(cutting.Ring)
	for k, c := range cutting.Ring {
		before, after := cutting.Edge[(k+n-1)%n], cutting.Edge[(k+1)%n]
		if before == after || c.P0.Dist(c.P3) < leastStep || !c.IsStraight(oneFoot) {
			continue
		}
		from, to := s.piece.Edges[before].AllowanceFor(set), s.piece.Edges[after].AllowanceFor(set)
		if from == to || from*to == 0 {
			continue
		}
		sewing := geom.Path(s.outline.Ring)
		a, far := sewing.Nearest(c.P0)
		b, near := sewing.Nearest(c.P3)
		if sewing.At(a).Dist(sewing.At(b)) < oneFoot && far > leastTick && near > leastTick {
			out = append(out, cutStep{c, from, to})
		}
	}
	return out
}

// leastTick in mm keeps off what starts on the sewing line itself, as the end at a
// fold does.
const leastTick = 0.5

// stepWords asks for words at each step of the cutting line on paper, lest it be
// taken for a slip.
func (d *drawing) stepWords(s *shape, cutting pattern.CuttingLine, set string) {
	if !d.onPaper {
		return
	}
	for _, step := range stepsOf(s, cutting, set) {
		in := step.path.Tangent(0.5).Right()
		words := "step of the allowance, from " + d.sheet.Unit.Format(step.from) + " to " + d.sheet.Unit.Format(step.to)
		d.sayAlong(words, step.path.At(0.5), step.path.Tangent(0.5), in, 0.4*d.pen.text, 2)
		last := &d.labels[len(d.labels)-1]
		last.inside = cutting.Ring
	}
}
