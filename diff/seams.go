package diff

import (
	"math"

	"toile/pattern"
	"toile/pattern/change"
)

// seamChanges lists the seam sections whose fit changed, and those that are
// new. A seam that cannot be walked in one of the states is an error.
func seamChanges(a, b *pattern.Pattern) ([]change.SeamDiff, error) {
	var out []change.SeamDiff
	for i := range b.Seams {
		now, err := b.WalkSeam(&b.Seams[i])
		if err != nil {
			return nil, err
		}
		var then []pattern.SectionLength
		for k := range a.Seams {
			if a.Seams[k].Name == b.Seams[i].Name {
				if then, err = a.WalkSeam(&a.Seams[k]); err != nil {
					return nil, err
				}
			}
		}
		for k, s := range now {
			d := change.SeamDiff{Seam: b.Seams[i].Name, Section: s.Name, Ease: change.Figure(s.Ease)}
			d.Difference[1] = change.Figure(s.Difference())
			if k < len(then) && len(then) == len(now) {
				d.Difference[0] = change.Figure(then[k].Difference())
				if math.Abs(d.Difference[0]-d.Difference[1]) <= leastRun {
					continue
				}
			} else if then == nil {
				continue // the seam itself is new: nothing to compare with
			}
			out = append(out, d)
		}
	}
	return out, nil
}
