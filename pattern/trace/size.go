package trace

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern/match"
	"toile/pattern/units"
)

// mistakenUnit is a unit that a drawing says instead of the right one, and how many
// times too large that makes it.
type mistakenUnit struct {
	times float64
	words string
}

// mistakenUnits are the mistakes that are made; 96 px and 72 pt are an inch.
var mistakenUnits = []mistakenUnit{
	{25.4, "inches for millimetres"}, {10, "centimetres for millimetres"}, {2.54, "inches for centimetres"},
	{1 / 25.4, "millimetres for inches"}, {0.1, "millimetres for centimetres"}, {1 / 2.54, "centimetres for inches"},
	{25.4 / 96, "px for millimetres"}, {96 / 25.4, "millimetres for px"}, {25.4 / 72, "pt for millimetres"}, {72 / 25.4, "millimetres for pt"},
	{1000, "metres for millimetres"}, {0.001, "millimetres for metres"},
}

const (
	// unitNear: so much may the lengths of both outlines differ from what a
	// mistaken unit makes of them, as a share, by what was redrawn.
	unitNear = 0.2

	// plainlyIt and hardlyCovered: with the size put right so much of the stored
	// outline lies on the drawing; as it is so little of the longer of both lies on
	// the other.
	plainlyIt, hardlyCovered = 0.6, 0.1
)

// refuseOtherSize refuses a drawing that is the piece in another size, as one saved
// in the wrong unit is: its short edges may well lie on the long ones of the other.
func (t *tracing) refuseOtherSize(old geom.Ring, pose match.Pose) error {
	times := t.o.Ring.Length() / old.Length()
	if pose.Matched*math.Min(1, 1/times) >= plainlyIt || math.Abs(math.Log(times)) < math.Log(1+unitNear) {
		return nil
	}
	for _, u := range append([]mistakenUnit{{times: times}}, mistakenUnits...) {
		if math.Abs(math.Log(times/u.times)) > math.Log(1+unitNear) {
			continue
		}
		right, _, err := match.LayOver(old, scaled(t.o.Ring, 1/u.times), t.byEye(), match.Options{AllowMirror: true})
		if err != nil || right.Matched < plainlyIt || !match.ClearlyMore(right.Matched, pose.Matched*math.Min(1, 1/times)) {
			continue
		}
		return t.otherSize(u)
	}
	return nil
}

// refuseGiant refuses a drawing that fits nowhere but with its short edges on the
// long ones of the piece, or the other way round.
func (t *tracing) refuseGiant(old geom.Ring, pose match.Pose) error {
	times := t.o.Ring.Length() / old.Length()
	if pose.Matched*math.Min(1, 1/times) < hardlyCovered && (times > 2 || times < 0.5) {
		return t.otherSize(mistakenUnit{times: times})
	}
	return nil
}

func (t *tracing) otherSize(u mistakenUnit) error {
	words := u.words
	for _, known := range mistakenUnits {
		if words == "" && math.Abs(math.Log(u.times/known.times)) < 0.005 {
			words = known.words
		}
	}
	if words != "" {
		words = ", as with " + words
	}
	give := "give the millimetres of one unit of the drawing with --scale"
	if strings.HasSuffix(t.o.File(), ".points") {
		give = "say the right one in a line `unit:`"
	}
	return fmt.Errorf("the drawing is %s times as large as piece %q%s; look whether its unit is right, and %s; "+
		"if the piece is to be of that size, add --place as-is", units.Number(u.times, digitsOf(u.times)), t.name, words, give)
}

// digitsOf are the decimals that show three digits of a factor.
func digitsOf(times float64) uint { return uint(max(0, min(4, 2-int(math.Floor(math.Log10(times)))))) }

// File is the file that Where names.
func (o *Outline) File() string {
	file, _, _ := strings.Cut(o.Where, ":")
	return file
}

// scaled is a ring so many times as large, about the sheet's origin.
func scaled(r geom.Ring, by float64) geom.Ring {
	out := make(geom.Ring, len(r))
	for i, c := range r {
		out[i] = geom.Cubic{P0: c.P0.Mul(by), P1: c.P1.Mul(by), P2: c.P2.Mul(by), P3: c.P3.Mul(by)}
	}
	return out
}
