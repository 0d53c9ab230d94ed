package check

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/change"
)

// A front and a back sewn at the side, each faced at the hem and lined: that
// nothing sews the facings and the linings there is said once. Interfacing is
// stuck on and asks for no seam.
func TestLayersThatNoSeamSews(t *testing.T) {
	p, _, _ := sided(t)
	names := [3]string{" facing", " lining", " interfacing"}
	for k, cloth := range [3]string{"facing cloth", "lining", "interfacing"} {
		a := oblong("front"+names[k], 0, 0, 300, 800, "top", "side seam", "hemline", "front edge")
		b := oblong("back"+names[k], 400, 0, 300, 800, "top", "back edge", "hemline", "side seam")
		a.Cloth, b.Cloth = cloth, cloth
		for _, q := range []*pattern.Piece{a, b} {
			p.Put(q)
			p.GiveIDs(q)
		}
		p.Layers = append(p.Layers, pattern.Layer{Outer: "front", Inner: []string{a.Name}}, pattern.Layer{Outer: "back", Inner: []string{b.Name}})
	}
	f := only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.False(t, f.Mismatch)
	require.Equal(t, "side", f.Seam)
	require.Equal(t, `front is sewn to back there, but nothing sews front facing, "side seam" to back facing, "side seam" and front lining, "side seam" to back lining, "side seam"`, f.Says)
	require.Contains(t, f.Do, "`toile seam \"side of facing cloth\" \"front facing/side seam\" \"back facing/side seam\"`")

	seam(t, p, "facings", "front facing/side seam", "back facing/side seam")
	f = only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.NotContains(t, f.Says, "facing")
	seam(t, p, "linings", "back lining/side seam", "front lining/side seam")
	require.Empty(t, run(t, p))
}

// A facing of the hem, 6 cm deep, lies nowhere beside one of the upper edge: nothing is to
// be sewn there, while two of the hem, 6 and 5 cm deep, are.
func TestFacingsOfOtherEndsOfASeam(t *testing.T) {
	p, _, _ := sided(t)
	put := func(outer, name string, q *pattern.Piece) {
		q.Cloth = "facing cloth"
		p.Put(q)
		p.GiveIDs(q)
		p.Layers = append(p.Layers, pattern.Layer{Outer: outer, Inner: []string{name}})
	}
	put("front", "front hem facing", oblong("front hem facing", 0, 740, 300, 60, "inner edge", "side seam", "hemline", "front edge"))
	put("back", "back facing", oblong("back facing", 400, 0, 300, 50, "top", "back edge", "inner edge", "side seam"))
	require.Empty(t, run(t, p))
	put("back", "back hem facing", oblong("back hem facing", 400, 750, 300, 50, "inner edge", "back edge", "hemline", "side seam"))
	f := only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.Contains(t, f.Says, `nothing sews front hem facing, "side seam" to back hem facing, "side seam"`)
	require.NotContains(t, f.Says, "back facing")
}
