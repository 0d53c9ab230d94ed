package geom

// Overlap is how two outlines A and B lie over each other: the regions only B
// covers, the regions only A covers, and those both cover. On stretches where
// the outlines match within the tolerance, A's curve counts for both; the
// strip between that and B's own curve is Matched, and with it any loop that B
// runs where a matched stretch ends off its own curve. So, on the true curves,
// kept + removed = area of A and kept + added + matched = area of B.
type Overlap struct {
	Added, Removed, Kept []Region
	AddedArea            float64 // mm², as are all areas
	RemovedArea          float64
	KeptArea             float64
	Matched              float64 // signed
	Stretches            []Stretch
	Deviation            float64 // greatest distance in mm between matched stretches
}

// Region is one connected region. Rings holds its outer boundary, clockwise,
// and after it its holes, anticlockwise; they are made of stretches of the
// true curves.
type Region struct {
	Rings []Ring
	Sides [][]Side // for each ring, for each curve: where it came from
	Area  float64  // mm², from the true curves
	Width float64  // 2·area/perimeter: what tells a sliver from a strip
}

// Side says which outline a boundary curve came from, and which of its
// curves; a matched stretch counts as A's.
type Side struct {
	OfB   bool
	Curve int // index in the outline's ring; −1 for a joint between matched and free stretches
}

// Stretch is a part of A's curve A that coincides with a part of B's curve B:
// A from A0 to A1 (A0 < A1) lies on B from B0 to B1, B0 > B1 when they run
// opposite ways.
type Stretch struct {
	A, B           int
	A0, A1, B0, B1 float64
	Deviation      float64 // greatest distance in mm, an upper bound or sampled
}
