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

// At a shoulder of 300 mm a facing of the front takes the first 70 and a lining the rest,
// while the back's lining runs all along: the facing's part belongs to the chain. Sewn
// as named, nothing is left to say; the lining alone would be 70 mm short.
func TestLiningBesideAFacingAtASeam(t *testing.T) {
	p, put := facedShoulders(t)
	put("front", "front lining", "lining", oblong("front lining", 70, 0, 230, 800, "shoulder", "side", "hemline", "inner edge"))
	f := only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.Contains(t, f.Says, `nothing sews front lining, "shoulder" to back lining, "shoulder"`)
	require.Contains(t, f.Do, "`toile seam \"shoulder of lining\" \"front facing/shoulder+front lining/shoulder\" \"back lining/shoulder\"`")
	seam(t, p, "shoulder of lining", "front facing/shoulder+front lining/shoulder", "back lining/shoulder")
	for _, f := range run(t, p) {
		require.NotEqual(t, change.SeamSection, f.Kind, f.Says)
		require.NotEqual(t, change.LayersNotSewn, f.Kind, f.Says)
	}
}

// Where nothing lies on the 70 mm that the front's lining leaves free, no command is
// named.
func TestLiningsThatRunUnlike(t *testing.T) {
	p, put := facedShoulders(t)
	put("front", "front lining", "lining", oblong("front lining", 120, 0, 180, 800, "shoulder", "side", "hemline", "inner edge"))
	f := only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.Contains(t, f.Do, `front lining, "shoulder" and back lining, "shoulder" do not run from and to the same places`)
	require.NotContains(t, f.Do, "of lining\"")
}

// facedShoulders is a front and a back sewn at a shoulder, a facing of 70 mm on the
// front and a lining on the whole of the back.
func facedShoulders(t *testing.T) (*pattern.Pattern, func(outer, name, cloth string, q *pattern.Piece)) {
	t.Helper()
	p := sewn(t, nil, oblong("front", 0, 0, 300, 800, "shoulder", "side", "hemline", "front edge"),
		oblong("back", 400, 0, 300, 800, "shoulder", "centre back", "hemline", "side back"))
	seam(t, p, "shoulder", "front/shoulder", "back/shoulder")
	put := func(outer, name, cloth string, q *pattern.Piece) {
		q.Cloth = cloth
		p.Put(q)
		p.GiveIDs(q)
		p.Layers = append(p.Layers, pattern.Layer{Outer: outer, Inner: []string{name}})
	}
	put("front", "front facing", "outer", oblong("front facing", 0, 0, 70, 800, "shoulder", "inner edge", "hemline", "front edge"))
	put("back", "back lining", "lining", oblong("back lining", 400, 0, 300, 800, "shoulder", "centre back", "hemline", "side back"))
	return p, put
}

// A yoke of 100 mm over a front, and one over a back, sewn at the side in one seam: the
// linings of front and back meet along it, those of a yoke and of the other side's
// lower piece do not.
func TestLayersAlongAChain(t *testing.T) {
	p := sewn(t, nil, oblong("front yoke", 0, -100, 300, 100, "top", "side", "yoke seam", "middle"), oblong("front", 0, 0, 300, 800, "upper", "side", "hemline", "middle"),
		oblong("back yoke", 400, -100, 300, 100, "top", "centre", "yoke seam", "side"), oblong("back", 400, 0, 300, 800, "upper", "centre", "hemline", "side"))
	seam(t, p, "side", "front yoke/side+front/side", "back yoke/side+back/side")
	put := func(outer string, q *pattern.Piece) {
		q.Cloth = "lining"
		p.Put(q)
		p.GiveIDs(q)
		p.Layers = append(p.Layers, pattern.Layer{Outer: outer, Inner: []string{q.Name}})
	}
	put("front", oblong("front lining", 0, 0, 300, 800, "upper", "side", "hemline", "middle"))
	put("back yoke", oblong("back yoke lining", 400, -100, 300, 100, "top", "centre", "yoke seam", "side"))
	require.Empty(t, run(t, p))
	put("back", oblong("back lining", 400, 0, 300, 800, "upper", "centre", "hemline", "side"))
	f := only(t, run(t, p), change.LayersNotSewn, 0, 0)
	require.Equal(t, `front is sewn to back there, but nothing sews front lining, "side" to back lining, "side"`, f.Says)
	require.Contains(t, f.Do, "`toile seam \"side of lining\" \"front lining/side\" \"back lining/side\"`")
	require.Equal(t, []string{"front", "back", "front lining", "back lining"}, f.Pieces)
	seam(t, p, "linings", "front lining/side", "back lining/side")
	require.Empty(t, run(t, p))
}
