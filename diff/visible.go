package diff

import (
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// visible is from how many mm on a change asks something of what fits all the same;
// less is finer than a pencil's line.
const visible = 0.2

// changedVisibly reports whether a change of an edge comes to as much anywhere.
func (f *across) changedVisibly(st pattern.Stretch) bool {
	return slices.ContainsFunc(f.changesOf(st.Piece, st.Edge), func(ch *change.Change) bool { return !Slight(ch) })
}

// Slight reports whether a change of an outline comes to less than visible.
func Slight(ch *change.Change) bool {
	told := false
	for _, by := range amountsOf(ch) {
		told = true
		if math.Abs(by) >= visible {
			return false
		}
	}
	return told
}

// amountsOf are the amounts in mm that a change of an outline is told by.
func amountsOf(ch *change.Change) []float64 {
	var all []float64
	for _, by := range []*float64{ch.By, ch.Max} {
		if by != nil {
			all = append(all, *by)
		}
	}
	for _, ends := range []*[2]float64{ch.Ends, ch.Open} {
		if ends != nil {
			all = append(all, ends[0], ends[1])
		}
	}
	return all
}

// ChangesOutline reports whether a kind of change is one of an edge's line or ends,
// or of a corner.
func ChangesOutline(kind change.Kind) bool {
	return slices.Contains(outlineKinds, kind) || slices.Contains(cornerKinds, kind)
}
