package alter

import (
	"fmt"
	"reflect"

	"toile/geom"
	"toile/pattern"
)

// Lengths in mm of curves that files hold badly, coordinates having 0.001 mm:
// up to a sliver rounding may turn one round; up to a stub it turns its ends by
// more than a degree, so that a parallel to it loops. storedStraight is how near
// to its chord a curve is stored as a line, and stubWithin how near a curve run
// on in place of a stub has to come to the stub's end.
const (
	sliver         = 0.003
	stub           = 0.5
	stubWithin     = 0.0015
	storedStraight = 1e-6
)

// storable refuses what files could not hold of the pieces that are no longer as
// before: rounded to 0.001 mm each has to be valid still.
func (m *making) storable(before *pattern.Pattern) error {
	for _, q := range m.pattern.Pieces {
		if old, err := before.Piece(q.Name); err == nil && reflect.DeepEqual(old, q) {
			continue
		}
		c := q.Clone()
		asStored(c)
		if err := c.Validate(); err != nil {
			return fmt.Errorf("that alteration does not work: %w; the pattern is as it was", err)
		}
	}
	return nil
}

// storable is a new line as files hold it, at 0.001 mm. A stub is dropped where
// the curve beside it, run on by itself, ends at the stub's end; a sliver in any
// case.
func storable(p geom.Path) geom.Path {
	out := withoutStubs(withoutStubs(p).Reverse()).Reverse()
	for k := range out {
		out[k] = storableCurve(out[k])
	}
	for k := 0; k < len(out) && len(out) > 1; k++ {
		if out[k].Length() > sliver {
			continue
		}
		if k > 0 && (k == len(out)-1 || out[k-1].Length() > out[k+1].Length()) {
			out[k-1] = withEnd(out[k-1], out[k].P3)
		} else {
			out[k+1] = withEnd(out[k+1].Reverse(), out[k].P0).Reverse()
		}
		out = append(out[:k:k], out[k+1:]...)
		k--
	}
	return out
}

func storableCurve(c geom.Cubic) geom.Cubic {
	if c.IsStraight(storedStraight) {
		return geom.Line(rounded(c.P0), rounded(c.P3))
	}
	return geom.Cubic{P0: rounded(c.P0), P1: rounded(c.P1), P2: rounded(c.P2), P3: rounded(c.P3)}
}

// withoutStubs runs each curve on over stubs that follow it.
func withoutStubs(p geom.Path) geom.Path {
	var out geom.Path
	for _, c := range p {
		if n := len(out); n > 0 && c.Length() <= stub {
			if longer, ok := runOnTo(out[n-1], c); ok {
				out[n-1] = longer
				continue
			}
		}
		out = append(out, c)
	}
	return out
}

// runOnTo is a curve run on by its own formula over the short one that follows
// it; ok where that takes it to its end.
func runOnTo(c, short geom.Cubic) (longer geom.Cubic, ok bool) {
	speed := 3 * c.P3.Dist(c.P2)
	if speed < stub {
		return c, false
	}
	longer, _ = c.Split(1 + short.Length()/speed)
	if longer.P3.Dist(short.P3) > stubWithin {
		return c, false
	}
	return withEnd(longer, short.P3), true
}

// withEnd is the curve with its end elsewhere, by rounding.
func withEnd(c geom.Cubic, end geom.Point) geom.Cubic {
	if c.IsStraight(storedStraight) {
		return geom.Line(c.P0, end)
	}
	c.P3 = end
	return c
}
