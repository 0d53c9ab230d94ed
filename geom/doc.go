// Package geom computes with plane points, cubic Béziers, paths and rings:
// lengths, areas, nearest points, meetings, offsets, and the regions in which
// two outlines differ.
//
// It knows nothing of sewing. Lengths are millimetres, angles radians, x runs
// to the right and y down the sheet, as in SVG. A ring that runs clockwise as
// seen on the sheet has a positive area. Coordinates are expected to stay
// within ±1e5 mm; regions are computed within ±4096 mm of the pair's centre.
//
// Results that are stored or compared are computed with explicit float64
// conversions around products, so that no processor may fuse a multiplication
// with an addition and round differently; functions of package math whose last
// digits depend on the processor are not used (portable.go). So results are the
// same to the bit everywhere (testdata/golden.txt). Nothing depends on the order
// of a map, on the clock or on chance.
package geom
