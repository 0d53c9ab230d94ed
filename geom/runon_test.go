package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Three quarters of a circle: the carrier closes it, and a point inside beside
// the arc's middle is measured from the arc, not from the carrier that came
// round to it. Beyond an end the carrier counts, along the same circle.
func TestRunOnKeepsToThePath(t *testing.T) {
	const radius = 40.0
	arc := Path(Arc(Pt(0, 0), radius, 0, 1.5*math.Pi))
	on := NewRunOn(arc, 150)
	for k := range 9 {
		angle := 1.5 * math.Pi * float64(k) / 8
		for _, r := range []float64{30, 39, 45} {
			f := on.Foot(Pt(r*math.Cos(angle), r*math.Sin(angle)))
			assert.InDelta(t, radius*angle, f.Along, 0.05)
			assert.InDelta(t, math.Abs(radius-r), math.Abs(f.Out), 0.05)
			assert.Equal(t, r > radius, f.Out > 0, "outward is left of a clockwise arc")
		}
	}
	f := on.Foot(Pt(45*math.Cos(-0.3), 45*math.Sin(-0.3)))
	assert.InDelta(t, -0.3*radius, f.Along, 0.05)
	assert.InDelta(t, 5, f.Out, 0.05)
}
