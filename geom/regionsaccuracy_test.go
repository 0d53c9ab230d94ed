package geom

import (
	"fmt"
	"slices"
	"testing"

	"toile/docs/figures"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"
)

// Full size, and the size of the sample that every run measures.
const (
	allPairs    = 64000
	somePairs   = 420
	accuracyOf  = 20260101 // the seed
	slicedPairs = 500      // overlaid by the reference as they are, twice
)

// The regions of generated pairs: none fails, their areas add up to those of
// the outlines, each is as large as the true curves make it, and nothing is
// seen where only the division into curves differs.
func TestAccuracyRegions(t *testing.T) {
	count, sliced := somePairs, 10
	if figures.Full() {
		count, sliced = allPairs, slicedPairs
	}
	all, failures := measurePairs(accuracyOf, count)
	requireNone(t, failures)
	var sums, areas, doubts []float64
	necks, divided, falseRegions, slivers := 0, 0, 0, 0
	for _, f := range all {
		slivers += f.slivers
		sums, areas, doubts = append(sums, f.sums), append(areas, f.regions...), append(doubts, f.doubt)
		if f.necks {
			necks++
		}
		if f.divided {
			divided++
			falseRegions += f.false_
		}
	}
	require.LessOrEqual(t, slices.Max(sums), sumTarget)
	require.LessOrEqual(t, quantile(areas, 1), areaTarget+quantile(doubts, 1))
	require.Zero(t, falseRegions)
	require.Less(t, quantile(doubts, 0.99), 0.05*areaTarget, "the reference has to be surer than what it measures")
	dividedSlivers := referenceSlivers(t, sliced, func(p outlinePair) bool { return p.divided })
	otherSlivers := referenceSlivers(t, sliced, func(p outlinePair) bool { return !p.divided })
	figures.Keep(t, "accuracy.md", "regions", [][]string{
		{"what", "measured", "target", "cases", "held against"},
		{"pairs without a result, or with a wrong one", fmt.Sprint(len(failures)), "0", fmt.Sprint(count),
			fmt.Sprintf("all that follows, and the number of regions wider than %v mm by simplefeatures; in %d pairs parts joined by a neck under %v mm counted as one", wideRegion, necks, neck)},
		{"kept + removed = before, kept + added + matched = after", distribution(sums), "≤ 0.001 mm²", fmt.Sprint(count),
			"the areas within the outlines' curves by Green's theorem"},
		{"area of a region wider than 0.05 mm", distribution(areas), "≤ 0.001 mm²", fmt.Sprint(len(areas)),
			fmt.Sprintf("overlay by simplefeatures with the curves' own areas, certain within %.1e mm² in 99 of 100, %.1e at most", quantile(doubts, 0.99), quantile(doubts, 1))},
		{"false regions where curves are only divided elsewhere", fmt.Sprint(falseRegions), "0", fmt.Sprint(divided),
			fmt.Sprintf("simplefeatures gives %.0f a pair (median), at most %.0f, on %d of them", quantile(dividedSlivers, 0.5), quantile(dividedSlivers, 1), sliced)},
		{"slivers of up to 0.05 mm added and removed in a pair", fmt.Sprintf("%.2g on average", float64(slivers)/float64(count)), "told apart by their width", fmt.Sprint(count),
			fmt.Sprintf("simplefeatures gives %.2g on average, on %d pairs that differ", mean(otherSlivers), sliced)},
	})
}

// referenceSlivers counts the slivers that the reference finds in both
// differences of each of some pairs, on chords within 0.01 mm and without any
// matching.
func referenceSlivers(t *testing.T, pairs int, wanted func(outlinePair) bool) []float64 {
	var counts []float64
	for n := uint64(0); len(counts) < pairs; n++ {
		p, err := pairAt(accuracyOf, n)
		require.NoError(t, err)
		if !wanted(p) {
			continue
		}
		a, b := plainPolygon(t, p.a, 0.01), plainPolygon(t, p.b, 0.01)
		slivers := 0.0
		for _, x := range [][2]sf.Geometry{{a, b}, {b, a}} {
			polygons, err := overlaid(sf.Difference(x[0], x[1]))
			require.NoError(t, err)
			for _, poly := range polygons {
				if (chordEdges{}).region(poly, p.a[0].P0).width() <= wideRegion {
					slivers++
				}
			}
		}
		counts = append(counts, slivers)
	}
	return counts
}

// plainPolygon is an outline on chords within tol of its curves.
func plainPolygon(t *testing.T, r Ring, tol float64) sf.Geometry {
	laid, _ := laid(r, nil, nil, tol)
	g, err := overlayPolygon(laid.points())
	require.NoError(t, err)
	return g
}

// quantile sorts and returns the value below which the share q lies.
func quantile(values []float64, q float64) float64 {
	slices.Sort(values)
	return values[int(q*float64(len(values)-1))]
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// distribution is median, 99th of a hundred, and greatest value.
func distribution(values []float64) string {
	return fmt.Sprintf("%.1e median, %.1e in 99 of 100, %.1e at most", quantile(values, 0.5), quantile(values, 0.99), quantile(values, 1))
}
