package render

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// shape is a piece with its outline computed once.
type shape struct {
	piece   *pattern.Piece
	outline pattern.Outline
}

// newShape computes the outline; a nil piece is no error and gives nil.
func newShape(p *pattern.Piece) (*shape, error) {
	if p == nil {
		return nil, nil
	}
	for i, c := range p.Corners {
		if !c.At.Finite() || math.IsNaN(c.Round) || math.IsInf(c.Round, 0) {
			return nil, fmt.Errorf("%s: corner %d is not at finite coordinates; it cannot be drawn", p.Name, i+1)
		}
	}
	o, err := p.Outline()
	if err != nil {
		return nil, err
	}
	for i, c := range o.Ring {
		if !c.Finite() {
			return nil, fmt.Errorf("%s: curve %d of the outline has a coordinate that is no number; it cannot be drawn", p.Name, i+1)
		}
	}
	if len(o.Ring) == 0 {
		return nil, fmt.Errorf("%s: the piece has no outline to draw", p.Name)
	}
	return &shape{grainDrawn(p, o.Ring), o}, nil
}

// box returns the bounds of the outline and of everything drawn inside.
func (s *shape) box() geom.Box {
	b := s.outline.Ring.Box()
	if g := s.piece.Grain; g != nil {
		b = b.Extend(g.From).Extend(g.To)
	}
	for _, m := range s.piece.Marks {
		if marksPoint(m) {
			b = b.Extend(m.At)
		}
		for _, c := range m.Path {
			b = b.Union(c.Box())
		}
	}
	for _, l := range s.piece.Lines {
		for _, c := range l.Path {
			b = b.Union(c.Box())
		}
	}
	return b
}

// edge returns an edge by name from sharp corner to sharp corner.
func (s *shape) edge(name string) geom.Path {
	if s == nil {
		return nil
	}
	for i := range s.piece.Edges {
		if s.piece.Edges[i].Name == name {
			return s.piece.EdgePath(i)
		}
	}
	return nil
}

// sharp is the outline with every corner sharp.
func (s *shape) sharp() geom.Path {
	if s == nil {
		return nil
	}
	ring, _ := s.piece.SharpRing()
	return geom.Path(ring)
}

// outlinePath draws a ring, which no label covers.
func (d *drawing) outlinePath(class string, ring []geom.Cubic, closed bool, attrs []string) {
	d.path(d.pathData(ring, closed, true, lineDecimals), append([]string{attr("class", class)}, attrs...)...)
	d.keepClear(ring)
}

// regions draws what was removed, added and kept, and hatches the first two.
func (o *overlay) regions() {
	lie := o.diff.Overlap
	added, removed := lie.Added, lie.Removed
	if o.diff.State == change.Added && len(added) == 0 && o.new != nil {
		added = []geom.Region{{Rings: []geom.Ring{o.new.outline.Ring}}}
	}
	if o.diff.State == change.Removed && len(removed) == 0 && o.old != nil {
		removed = []geom.Region{{Rings: []geom.Ring{o.old.outline.Ring}}}
	}
	if o.parted() {
		added, removed = nil, nil // another piece has it, or had it
	}
	o.group(attr("class", "regions"), attr("stroke", "none"), attr("fill-rule", "evenodd"))
	for _, r := range lie.Kept {
		o.regionPath("kept", r, attr("fill", "none"))
	}
	for _, r := range removed {
		o.regionPath("removed", r, attr("fill", vermillion), attr("fill-opacity", "0.12"))
	}
	for _, r := range added {
		o.regionPath("added", r, attr("fill", blue), attr("fill-opacity", "0.12"))
	}
	o.ungroup()
	if removed = seen(removed); len(removed) > 0 {
		o.hatched("hatch-removed", removed, vermillion, fallingHatch)
		o.legend.use(legendRemoved)
	}
	if added = seen(added); len(added) > 0 {
		o.hatched("hatch-added", added, blue, risingHatch)
		o.legend.use(legendAdded)
	}
}

// leastSeen is the area in mm² up to which a region is the rounding of stored
// coordinates and not a change.
const leastSeen = 1e-3

// seen keeps the regions that somebody could see.
func seen(regions []geom.Region) []geom.Region {
	var out []geom.Region
	for _, r := range regions {
		area := 0.0
		for _, ring := range r.Rings {
			area += ring.Area()
		}
		if math.Abs(area) > leastSeen {
			out = append(out, r)
		}
	}
	return out
}

// regionPath writes one region as one path, in curves throughout, so that its
// area is that of the true outlines.
func (d *drawing) regionPath(class string, r geom.Region, attrs ...string) {
	data := ""
	for _, ring := range r.Rings {
		if data != "" {
			data += " "
		}
		data += d.pathData(ring, true, false, regionDecimals)
	}
	d.path(data, append([]string{attr("class", class)}, attrs...)...)
}

// hatched draws the hatch of regions as plain lines, cut to the region here:
// every viewer and plotter draws those alike.
func (d *drawing) hatched(class string, regions []geom.Region, color string, angle float64) {
	var all []segment
	for _, r := range regions {
		all = append(all, hatchLines(r.Rings, angle, d.pen.hatch, d.pen.narrow/4)...)
	}
	if len(all) == 0 {
		return
	}
	d.path(d.segmentData(all), append([]string{attr("class", class)}, d.stroke(color, d.pen.narrow)...)...)
}
