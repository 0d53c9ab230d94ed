package geom

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// Pairs on which a comparison once went wrong, or easily might: with areas in
// closed form where there are any, and else held against the reference.
func TestRegionsHardPairs(t *testing.T) {
	block := Polygon(Pt(0, 0), Pt(300, 0), Pt(300, 500), Pt(0, 500))
	type hard struct {
		name           string
		a, b           Ring
		added, removed float64 // mm²
	}
	cases := []hard{}
	// A straight side redrawn as a curve, its ends a hair's breadth off, so that
	// they match the old ones and joints shorter than a step of the grid lead
	// over. With both handles out by h a side of length l gains h·l/2.
	for _, hair := range []float64{0, 1e-9, 1e-7, 1e-6, 1e-5, 2e-5, 1e-4, 1e-3} {
		for _, way := range []Point{Pt(1, 0), Pt(1, -1), Pt(1, 1)} {
			b := Polygon(Pt(0, 0), Pt(300, 0).Add(way.Mul(hair)), Pt(300, 500).Add(way.Mul(hair)), Pt(0, 500))
			b[1].P1.X, b[1].P2.X = b[1].P1.X+8, b[1].P2.X+8
			cases = append(cases, hard{fmt.Sprintf("bulge with ends off by %v", way.Mul(hair)), block, b, 8*500/2 + 500*hair, 0})
		}
	}
	// One handle out by h gains h·l/4. The side's ends are off as rounding leaves
	// them, mostly along it, so that B's curve lies beside A's line all the way,
	// by less than a step of the grid.
	b := Polygon(Pt(0, 0), Pt(300.000002, 0.0004), Pt(300.000002, 499.9996), Pt(0, 500))
	b[1].P2.X += 0.436
	cases = append(cases, hard{"slight bulge with ends off by rounding", block, b, 0.436*499.9992/4 + 0.000002*500, 0})
	// A side written as a line at uneven speed, crossed by a slanting line and by
	// a curve with x = 300.5 − 6t(1−t), y = 500t.
	uneven := append(Ring{}, block...)
	uneven[1] = Cubic{uneven[1].P0, uneven[1].P0, uneven[1].P3, uneven[1].P3}
	cases = append(cases, hard{"uneven line crossed by a line", uneven,
		Polygon(Pt(0, 0), Pt(302, 0), Pt(299, 500), Pt(0, 500)), 2 * 1000. / 3 / 2, 1 * 500. / 3 / 2})
	b = Polygon(Pt(0, 0), Pt(300.5, 0), Pt(300.5, 500), Pt(0, 500))
	b[1].P1.X, b[1].P2.X = b[1].P1.X-2, b[1].P2.X-2
	const at = 0.09175170953613698 // the crossing: 6t(1−t) = 1/2, t = (1 − √(2/3))/2
	added := 2 * 500 * (0.5*at - 3*at*at + 2*at*at*at)
	cases = append(cases, hard{"uneven line crossed by a curve", uneven, b, added, added + 500*(1-0.5)})
	// A lens whose line is broken by an edge far shorter than a step of the grid:
	// ∫ y dx = 3·40·6·100·∫ t²(1−t)² dt = 2400.
	lens := Ring{{Pt(0, 40), Pt(0, 0), Pt(100, 0), Pt(100, 40)}, Line(Pt(100, 40), Pt(1e-9, 40)), Line(Pt(1e-9, 40), Pt(0, 40))}
	cases = append(cases, hard{"tiny edge", lens, Polygon(Pt(200, 0), Pt(300, 0), Pt(300, 100), Pt(200, 100)), 10000, 2400})
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			o, err := Compare(c.a, c.b, pairTolerance)
			require.NoError(t, err)
			require.InDelta(t, c.added, o.AddedArea, areaTarget)
			require.InDelta(t, c.removed, o.RemovedArea, areaTarget)
			_, err = measurePair(outlinePair{a: c.a, b: c.b})
			require.NoError(t, err)
		})
	}
}

// A cut that starts within the tolerance of a corner, on the far side of the
// matched edge, so that B runs a loop of 1e-3 mm² there: the sums hold all the
// same.
func TestRegionsLoopAtAJoint(t *testing.T) {
	a := Ring{
		{Pt(-773.923, 740.399), Pt(-798.366, 775.592), Pt(-757.84, 814.383), Pt(-734.932, 835.41)},
		{Pt(-734.932, 835.41), Pt(-771.63, 873.353), Pt(-808.327, 911.296), Pt(-845.025, 949.239)},
		{Pt(-845.025, 949.239), Pt(-874.847, 924.968), Pt(-888.303, 906.204), Pt(-921.852, 890.056)},
		{Pt(-921.852, 890.056), Pt(-959.865, 870.952), Pt(-998.363, 896.022), Pt(-1018.735, 919.721)},
		{Pt(-1018.735, 919.721), Pt(-1115.575, 828.688), Pt(-1237.684, 800.357), Pt(-1348.069, 766.845)},
		{Pt(-1348.069, 766.845), Pt(-1307.295, 661.893), Pt(-1265.601, 584.053), Pt(-1214.244, 499.509)},
		{Pt(-1214.244, 499.509), Pt(-1067.47, 579.805), Pt(-920.696, 660.102), Pt(-773.923, 740.399)},
	}
	nodes := []Point{
		Pt(-900.0094740159587, 671.4233625890183), Pt(-773.9220300745898, 740.3948004905217), Pt(-755.95423794418, 814.638647499622),
		Pt(-790.4234477981825, 780.3704039869765), Pt(-860.3056972724976, 710.8936695205283), Pt(-888.1328325045685, 683.2307682056731),
	}
	handles := [][2]Point{
		{Pt(-857.9791368430238, 694.4130994578315), Pt(-815.9496779593322, 717.4036255102772)},
		{Pt(-791.6873959941897, 765.9766818641082), Pt(-775.1253301021438, 793.4600930948415)},
		{Pt(-767.4441742054576, 803.2161066256385), Pt(-778.9338696659778, 791.7920198299951)},
		{Pt(-813.7170124521789, 757.2113221474988), Pt(-837.0125993234749, 734.0538269834216)},
		{Pt(-869.5816921893748, 701.6729724136223), Pt(-878.8571380693367, 692.4520109596566)},
		{Pt(-892.0911515827534, 679.2944432694275), Pt(-896.050055931347, 675.3580614203552)},
	}
	var b Ring
	for i, h := range handles {
		b = append(b, Cubic{nodes[i], h[0], h[1], nodes[(i+1)%len(nodes)]})
	}
	_, err := measurePair(outlinePair{a: a, b: b})
	require.NoError(t, err)
}

// hardRings are inputs of the fuzzer's reader on which Compare once was wrong.
var hardRings = [][]byte{
	// neither ring crosses itself
	{3, 205, 0, 249, 98, 207, 254, 1, 51, 48, 148, 101, 49, 0, 32, 115, 51, 123, 98, 164, 166, 225, 51, 19, 164, 1, 142, 17, 149, 98, 227, 34, 34, 31, 35, 243, 17, 11, 35, 34, 50, 51, 16, 72, 33, 102, 32, 205, 165, 2, 51, 34, 235, 33, 2, 18, 24, 118, 33, 18},
	{3, 27, 49, 50, 35, 144, 51, 176, 146, 165, 19, 3, 0, 8, 16, 99, 39, 16, 33, 33, 50, 1, 34, 2, 169, 117, 117, 19, 51, 3, 95, 234, 242, 46, 33, 238, 218, 2, 188, 6, 50, 96, 232, 48, 18, 132, 243, 195, 83, 3, 50, 16, 39, 35, 18, 248, 34, 119, 189, 19},
	{2, 32, 166, 0, 32, 17, 49, 228, 60, 48, 102, 138, 1, 16, 49, 33, 14, 3, 239, 65, 150, 17, 251, 48, 48, 41, 2, 133, 147, 78, 50, 16, 32, 50, 35, 42, 237, 17, 222, 2, 49, 135, 175, 17, 17, 0, 1, 33, 3, 48, 49, 50, 49, 16, 121, 34, 34, 97, 49, 21},
	{2, 0, 176, 49, 144, 1, 134, 32, 24, 33, 95, 35, 116, 204, 35, 19, 71, 221, 18, 135, 70, 48, 2, 49, 35, 33, 5, 49, 8, 3, 49, 58, 209, 49, 85, 7, 34, 2, 32, 0, 240, 7, 67, 2, 33, 16, 73, 183, 16, 56, 99, 17, 50, 19, 1, 155, 224, 18, 175, 51},
	{2, 246, 222, 19, 51, 215, 32, 46, 34, 48, 162, 35, 49, 19, 164, 189, 120, 1, 123, 3, 51, 17, 42, 49, 3, 145, 190, 49, 182, 34, 3, 143, 50, 9, 51, 90, 15, 28, 50, 250, 33, 147, 19, 35, 51, 41, 19, 205, 65, 232, 50, 50, 40, 51, 3, 49, 48, 34, 32, 196},
	{50, 187, 234, 85, 2, 153, 49, 101, 49, 35, 19, 17, 167, 65, 17, 48, 72, 2, 155, 128, 205, 11, 39, 126, 33, 0, 34, 18, 2, 227, 48, 48, 252, 74, 51, 179, 42, 48, 206, 137, 0, 18, 33, 34, 16, 43, 225, 1, 54, 51, 193, 16, 120, 34, 237, 253, 125, 124, 33, 247},
	// one of them does
	{51, 49, 88, 18, 178, 74, 232, 0, 19, 2, 2, 51, 238, 163, 51, 35, 48, 0, 33, 32, 32, 48, 71, 254, 34, 34, 245, 2, 3, 49, 172, 208, 19, 7, 50, 35, 3, 124, 91, 56, 125, 239, 51, 17, 32, 157, 48, 207, 50, 112, 0, 181, 117, 173, 226, 142, 1, 48, 33, 184},
	{1, 1, 3, 3, 128, 0, 138, 34, 245, 3, 18, 17, 2, 1, 181, 16, 24, 182, 177, 18, 48, 97, 35, 3, 19, 50, 49, 19, 17, 49, 34, 18, 34, 40, 34, 30, 0, 50, 35, 35, 249, 138, 218, 146, 3, 35, 1, 18, 240, 50, 18, 114, 105, 55, 0, 242, 48, 114, 16, 101},
	{19, 19, 216, 16, 29, 51, 34, 1, 156, 205, 134, 34, 94, 59, 0, 41, 35, 49, 131, 6, 3, 111, 17, 134, 17, 2, 2, 51, 246, 173, 18, 51, 50, 17, 70, 34, 3, 3, 175, 50, 84, 31, 34, 114, 2, 247, 68, 34, 51, 213, 19, 50, 51, 16, 16, 251, 51, 76, 61, 49},
	{2, 19, 1, 2, 19, 121, 12, 35, 2, 1, 65, 44, 35, 232, 17, 51, 19, 34, 55, 113, 151, 51, 19, 39, 126, 168, 209, 219, 2, 0, 189, 18, 89, 202, 26, 19, 32, 1, 34, 50, 34, 48, 3, 54, 34, 102, 8, 14, 236, 233, 29, 27, 241, 127, 247, 51, 122, 51, 25, 124},
	{3, 3, 250, 127, 35, 161, 18, 226, 222, 33, 3, 3, 182, 111, 35, 51, 18, 50, 0, 242, 51, 16, 72, 2, 1, 226, 50, 228, 197, 18, 162, 2, 3, 19, 18, 145, 2, 18, 3, 50, 138, 49, 49, 34, 205, 39, 73, 19, 238, 7, 233, 2, 17, 188, 172, 50, 48, 43, 148, 18},
	{79, 48, 220, 211, 34, 32, 34, 2, 50, 50, 1, 227, 112, 18, 49, 222, 255, 17, 48, 23, 50, 1, 10, 48, 17, 238, 153, 76, 208, 2, 51, 205, 2, 18, 35, 19, 3, 48, 35, 19, 3, 19, 17, 34, 32, 18, 136, 242, 181, 241, 19, 40, 115, 54, 86, 221, 77, 2, 3, 54},
	// no stable arrangement was found
	{3, 7, 35, 33, 153, 156, 51, 118, 96, 32, 34, 49, 3, 17, 1, 173, 18, 78, 18, 2, 42, 46, 36, 102, 18, 18, 171, 118, 1, 16, 117, 2, 53, 50, 32, 49, 125, 158, 189, 228, 50, 22, 32, 33, 48, 2, 93, 3, 19, 16, 34, 214, 148, 126, 17, 62, 16, 48, 20, 33},
	{8, 50, 147, 34, 16, 18, 0, 135, 17, 185, 32, 33, 178, 41, 27, 3, 35, 19, 69, 232, 17, 1, 32, 16, 16, 151, 3, 46, 35, 2, 1, 72, 178, 50, 34, 255, 112, 49, 186, 3, 188, 140, 34, 18, 149, 83, 51, 251, 130, 72, 49, 3, 18, 227, 239, 1, 42, 35, 51, 27},
}

func TestRegionsHardRings(t *testing.T) {
	for i, bytes := range hardRings {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			r := ringReader{bytes}
			a, b := clockwise(r.ring()), clockwise(r.ring())
			o, err := Compare(a, b, pairTolerance)
			require.NoError(t, soundAnswer(a, b, o, err))
		})
	}
}
