package diff

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A curved side seam taken in, or let out, at the hem, tapering to nothing at a place on it:
// beyond the place it lies off its old line by a distance that is linear in its
// length, reckoned here point by point and not by an alteration.
func TestTaperFromAPlaceOnACurvedEdge(t *testing.T) {
	for _, by := range []float64{-45, 40} {
		side := geom.Cubic{P0: geom.Pt(200, 0), P1: geom.Pt(225, 60), P2: geom.Pt(230, 180), P3: geom.Pt(230, 600)}
		old := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(200, 0)), geom.Path{side},
			geom.Polyline(geom.Pt(230, 600), geom.Pt(0, 600)), geom.Polyline(geom.Pt(0, 600), geom.Pt(0, 0)))
		kept, rest := side.Split(0.4)
		length := geom.Path{rest}.Length()
		var at []geom.Point
		for k := range 200 {
			along := length * float64(k) / 199
			place := geom.Path{rest}.PlaceAt(along)
			at = append(at, rest.At(place.T).Add(rest.Tangent(place.T).Left().Mul(by*along/length)))
		}
		tapered := geom.Fit(at, nil, nil, 0.005)
		end := at[len(at)-1]
		now := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(200, 0)), append(geom.Path{kept}, tapered...),
			geom.Polyline(end, geom.Pt(0, 600)), geom.Polyline(geom.Pt(0, 600), geom.Pt(0, 0)))
		d := compare(t, old, now)
		require.Equal(t, []string{"side seam"}, d.Changes[0].Edges)
		word := map[bool]string{true: "let out 4 cm", false: "taken in 4.5 cm"}[by > 0]
		require.Contains(t, d.Changes[0].Says, fmt.Sprintf(`"side seam" is %s at "hemline", tapering to nothing %s from "waist"`, word, centimetres(geom.Path{kept}.Length())))
	}
}

func centimetres(mm float64) string { return fmt.Sprintf("%g cm", math.Round(mm*10)/100) }
