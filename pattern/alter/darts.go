package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// besideLeg is how near in mm to the ends of a dart's leg a line may cross it and
// still run to its point, or along its other leg, not through it.
const besideLeg = 0.5

// throughDart reports whether a line cuts through a dart of a piece, between its
// mouth and its point. One along a leg, or that only reaches its point, does not.
func throughDart(d pattern.Dart, line geom.Path) bool {
	for _, from := range []geom.Point{d.A, d.B} {
		leg := geom.Path{geom.Line(from, d.Mark.At)}
		length := leg.Length()
		for _, c := range geom.MeetPaths(leg, line) {
			at := leg.LengthTo(c.P)
			along := math.Abs(line[c.Q.Curve].Tangent(c.Q.T).Cross(leg[0].Tangent(0))) < 1e-3
			if at > besideLeg && at < length-besideLeg && !along {
				return true
			}
		}
	}
	return false
}

// cutThrough is what of a piece the runs of a new one cut through: a dart across
// its legs, or the mouth or intake of a dart or pleat. ok is false where nothing is.
func cutThrough(like *pattern.Piece, runs []run) (mark pattern.Mark, ok bool) {
	for _, d := range like.Darts() {
		for _, r := range runs {
			if r.source != like && throughDart(d, r.path) {
				return d.Mark, true
			}
		}
	}
	for _, r := range runs {
		if r.source == nil {
			continue
		}
		for _, k := range r.source.Marks {
			if k.Kind != pattern.MarkDart && k.Kind != pattern.MarkPleat || k.Edge != r.source.Edges[r.edge].Name {
				continue
			}
			from, to := min(r.from, r.to), max(r.from, r.to)
			if k.To > from+wholeWithin && k.From < to-wholeWithin && (r.backwards() || k.From < from-wholeWithin || k.To > to+wholeWithin) {
				return k, true
			}
		}
	}
	return mark, false
}

// refuseDartsOfFacing refuses a facing that cuts through a dart or pleat of its
// outer. Where the dart opens at the edge that is faced it is drawn with it closed,
// which follows that edge in length, not in shape.
func (m *making) refuseDartsOfFacing(o *outer, name string, widths map[int]float64, runs []run) error {
	k, ok := cutThrough(o.piece, runs)
	if !ok {
		return nil
	}
	i, err := o.piece.EdgeIndex(k.Edge)
	if err != nil {
		return err
	}
	if _, faced := widths[i]; !faced {
		return fmt.Errorf("%s, %q: its inner edge runs through the %s %q at %q; give a width with which it runs beside it", o.plain.Name, k.Edge, k.Kind, k.Name, k.Edge)
	}
	st := o.at[k.Edge][0]
	return fmt.Errorf("%s, %q: the %s %q takes %s out of it, and its point lies below the facing, which is cut with the %s closed: "+
		"close it on paper, draw the facing on that and read it in with `toile trace`; sew it on with `toile seam \"%s at %s\" \"%s/%s\" \"%s/%s\" --same-way`, and say `toile layers %q %q --band`, as it follows in length alone",
		st.Piece, st.Edge, k.Kind, k.Name, m.format(k.To-k.From), k.Kind, name, st.Edge, st.Piece, st.Edge, name, st.Edge, st.Piece, name)
}

// refuseDartsOfLining refuses a lining less its facings whose edge at them cuts
// through a dart or pleat.
func (m *making) refuseDartsOfLining(o *outer, runs []run) error {
	k, ok := cutThrough(o.piece, runs)
	if !ok {
		return nil
	}
	return fmt.Errorf("%s: its lining would end at the facing in the middle of the %s %q at %q; cut the lining like the outer, with `--whole`, and sew the facing on top of it",
		o.plain.Name, k.Kind, k.Name, k.Edge)
}

// refuseThroughDart refuses to split or open a piece along a line that cuts through
// a dart.
func (m *making) refuseThroughDart(line geom.Path) error {
	for _, d := range m.piece.Darts() {
		if throughDart(d, line) {
			return fmt.Errorf("%s: the line cuts through the dart %q at %q, so that neither part could close it; lead the line past the dart's point, at (%.1f, %.1f), or beside its mouth, %s to %s along %q",
				m.piece.Name, d.Mark.Name, d.Mark.Edge, d.Mark.At.X, d.Mark.At.Y, m.format(d.Mark.From), m.format(d.Mark.To), d.Mark.Edge)
		}
	}
	return nil
}
