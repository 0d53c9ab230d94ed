package alter

import (
	"math"

	"toile/pattern/change"
)

// AsDrawn has an edge that tapers from a place, which a diff takes for swung where its
// line fits that, be drawn anew as where it does not: so it is carried with its end where
// that lies, and both sides of a seam are told alike. All else is as it is.
func AsDrawn(ch change.Change) change.Change {
	if ch.Kind != change.EdgeSwung || ch.Taper == nil || len(ch.OldPath) == 0 || len(ch.NewPath) == 0 {
		return ch
	}
	most := 0.0
	for k := range 65 {
		_, d := ch.OldPath.Nearest(ch.NewPath.PointAt(ch.NewPath.Length() * float64(k) / 64))
		most = math.Max(most, d)
	}
	ch.Kind, ch.By, ch.Turn, ch.Max = change.EdgeRedrawn, nil, nil, change.Amount(most)
	return ch
}
