package check

import (
	"toile/pattern"
	"toile/pattern/change"
)

// NotchesApart finds the notches of a valid pattern that meet nothing on the
// other side of any of their seams, as Run does: reminders, in the order of the
// seams. A seam that cannot be walked is an error.
func NotchesApart(p *pattern.Pattern) ([]change.Finding, error) {
	c := &checker{p: p, tol: p.Tolerances.Section}
	if err := c.walkAll(); err != nil {
		return nil, err
	}
	c.notchPartners()
	return c.found, nil
}

// Drift is a pleat's intake or a dart's mouth that a change of its edge carried
// along: it is counted from the edge's start, which lost or gained length.
type Drift struct {
	Piece string
	Mark  pattern.Mark
	By    float64 // mm towards the edge's end that it came to lie off its old place
}

// Drifted lists the pleats and darts of a pattern that lie elsewhere along
// their edges than before, measured from the ends from which these still run as
// they did. Pieces and edges are found by their ids.
func Drifted(before, now *pattern.Pattern) []Drift {
	c := &checker{p: now, tol: now.Tolerances.Section, options: Options{Before: before}}
	var all []Drift
	for _, q := range now.Pieces {
		for _, m := range q.Marks {
			if m.Kind != pattern.MarkPleat && m.Kind != pattern.MarkDart {
				continue
			}
			if by, ok := c.drift(q, m); ok {
				all = append(all, Drift{q.Name, m, by})
			}
		}
	}
	return all
}

// drift is by how much a mark on an edge came to lie nearer to its end.
func (c *checker) drift(q *pattern.Piece, m pattern.Mark) (by float64, ok bool) {
	i, err := q.EdgeIndex(m.Edge)
	if err != nil {
		return 0, false
	}
	old, k := c.edgeBefore(q, i)
	if old == nil {
		return 0, false
	}
	kept := false // counted as it was
	for _, o := range old.Marks {
		kept = kept || o.Name == m.Name && o.Edge == old.Edges[k].Name && o.From == m.From && o.To == m.To
	}
	by = q.EdgePath(i).Length() - old.EdgePath(k).Length()
	if atStart, _ := endsAltered(old.EdgePath(k), q.EdgePath(i)); !kept || !atStart || by < c.tol && by > -c.tol {
		return 0, false
	}
	return -by, true
}
