package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/diff/explain"
	"toile/geom"
)

// redrawnBy says by how much an edge was redrawn that lies up to so many mm from where it
// was: where most of that is an end that was cut or run on for the edge it meets there,
// by how much beside that, and how much shorter or longer it is at which end.
func (c *comparison) redrawnBy(e *explain.Edge, far float64) string {
	plain := "by up to " + c.amount(far)
	if len(e.From) == 0 || len(e.To) == 0 || e.Taper != nil {
		return plain
	}
	from, to := ledOn(e.From, far+1), ledOn(e.To, far+1)
	beside, _ := explain.Farthest(e.To, from)
	if back, _ := explain.Farthest(e.From, to); back > beside {
		beside = back
	}
	if beside > far/2 {
		return plain
	}
	says := "by up to " + c.amount(beside)
	outward := [2]geom.Point{e.To.StartTangent().Mul(-1), e.To.EndTangent()}
	for end, corners := range [2][2]geom.Point{{e.From.Start(), e.To.Start()}, {e.From.End(), e.To.End()}} {
		by := corners[1].Sub(corners[0]).Dot(outward[end])
		switch {
		case math.Abs(by) <= math.Max(beside, leastMeant):
		case by < 0:
			says += fmt.Sprintf(", and cut %s shorter at %q", c.amount(-by), c.endName(e.Old, end))
		default:
			says += fmt.Sprintf(", and runs on by %s at %q", c.amount(by), c.endName(e.Old, end))
		}
	}
	return says
}

// ledOn is a path that goes straight on by so many mm at both ends.
func ledOn(p geom.Path, by float64) geom.Path {
	start, end := p.Start(), p.End()
	led := slices.Insert(slices.Clone(p), 0, geom.Line(start.Sub(p.StartTangent().Mul(by)), start))
	return append(led, geom.Line(end, end.Add(p.EndTangent().Mul(by))))
}
