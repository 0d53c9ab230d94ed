package geom

// RunOn measures how points lie beside a path and its carrier: beside the path
// where that is next to them, beside an extension only where they lie beyond the
// path's end. A carrier's arc may come back beside the path, and is not taken
// for it then.
type RunOn struct {
	path, before, after Path
	lengths             [3][]float64 // to the start of each curve
	lead, length        float64      // mm, of before and of the path
}

// Foot is the place of a path or its carrier next to a point.
type Foot struct {
	At     Point
	Normal Point   // unit vector to the left of the direction of travel
	Out    float64 // mm from there to the point, to the left positive
	Along  float64 // mm along the path from its start, negative before it
}

// NewRunOn prepares a path with its carrier of so many mm at either end.
func NewRunOn(p Path, limit float64) *RunOn {
	r := &RunOn{path: p}
	r.before, r.after = CarrierEnds(p, limit)
	for k, part := range [3]Path{r.before, p, r.after} {
		sum := 0.0
		for _, c := range part {
			r.lengths[k] = append(r.lengths[k], sum)
			sum += c.Length()
		}
		switch k {
		case 0:
			r.lead = sum
		case 1:
			r.length = sum
		}
	}
	return r
}

// Foot finds the place next to q.
func (r *RunOn) Foot(q Point) Foot {
	at, d := r.path.Nearest(q)
	part, k, offset := r.path, 1, 0.0
	beyond := func(ext Path, to int, from float64) {
		if len(ext) == 0 {
			return
		}
		if place, far := ext.Nearest(q); far < d {
			at, part, k, offset, d = place, ext, to, from, far
		}
	}
	switch {
	case at.Curve == 0 && at.T == 0:
		beyond(r.before, 0, -r.lead)
	case at.Curve == len(r.path)-1 && at.T == 1:
		beyond(r.after, 2, r.length)
	}
	c := part[at.Curve]
	f := Foot{At: c.At(at.T), Normal: c.Tangent(at.T).Left(), Along: offset + r.lengths[k][at.Curve] + c.LengthBetween(0, at.T)}
	f.Out = d
	if q.Sub(f.At).Dot(f.Normal) < 0 {
		f.Out = -d
	}
	return f
}
