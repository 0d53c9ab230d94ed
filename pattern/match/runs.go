package match

import (
	"toile/geom"
)

// Run is a stretch of the old outline that is unchanged.
type Run struct {
	From, To geom.Place // on the old ring, clockwise, perhaps past its start; equal where all of it is unchanged
	Length   float64    // mm
}

// told is what the caller is told of a pose.
func (l *layer) told(p laid) Pose {
	p.Unchanged = p.runs
	if l.drawn {
		p.Unchanged = l.drawnRuns(p)
	}
	return p.Pose
}

// joined makes runs of stretches in the order of the old ring: one that goes
// on where the one before ended, on both rings, belongs to it.
func (l *layer) joined(same []geom.Stretch, moved geom.Ring) []Run {
	const gap = 1e-4 // mm; matching joins what lies within less
	var out []Run
	follows := func(s, t geom.Stretch) bool {
		a, b := l.old.ring[s.A].At(s.A1), l.old.ring[t.A].At(t.A0)
		c, d := moved[s.B].At(s.B1), moved[t.B].At(t.B0)
		return a.Dist(b) <= gap && c.Dist(d) <= gap
	}
	for i, s := range same {
		length := l.old.ring[s.A].LengthBetween(s.A0, s.A1)
		to := geom.Place{Curve: s.A, T: s.A1}
		if i > 0 && follows(same[i-1], s) {
			out[len(out)-1].To = to
			out[len(out)-1].Length += length
			continue
		}
		out = append(out, Run{geom.Place{Curve: s.A, T: s.A0}, to, length})
	}
	if n := len(same); n > 0 && follows(same[n-1], same[0]) {
		out = roundTheStart(out)
	}
	return out
}

// roundTheStart joins the last run and the first, between which the ring
// starts.
func roundTheStart(runs []Run) []Run {
	last := len(runs) - 1
	if last == 0 {
		runs[0].To = runs[0].From
		return runs
	}
	runs[0].From = runs[last].From
	runs[0].Length += runs[last].Length
	return runs[:last]
}

// drawnRuns makes runs of the samples in unchanged windows. Each sample stands
// for a step of the outline.
func (l *layer) drawnRuns(p laid) []Run {
	w := l.windows(p.Motion)
	keep, _ := w.reached(p.scatter)
	n := len(keep)
	var out []Run
	at := func(i int) geom.Place { return geom.Path(l.old.ring).PlaceAt(float64(i) * l.old.step) }
	for from := 0; from < n; {
		if !keep[from] {
			from++
			continue
		}
		to := from
		for to < n && keep[to] {
			to++
		}
		out = append(out, Run{at(from), at(to), float64(to-from) * l.old.step})
		from = to
	}
	if len(out) > 0 && keep[0] && keep[n-1] {
		out = roundTheStart(out)
	}
	return out
}
