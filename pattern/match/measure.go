package match

import (
	"math"

	"toile/geom"
)

// drawnFrom in mm: with a tolerance from so much on, at least one outline was
// drawn by hand, and they coincide only on the whole.
const drawnFrom = 0.05

// Measure says how well a motion lays one outline over another within tol mm,
// and which stretches of the old one are then unchanged. Errors as of LayOver.
func Measure(old, new geom.Ring, m geom.Motion, tol float64) (Pose, error) {
	if err := usable(old, new, tol); err != nil {
		return Pose{}, err
	}
	l := newLayer(old, new, tol)
	p := l.measured(m)
	return l.told(p), nil
}

// laid is a pose with what decides between it and others.
type laid struct {
	Pose
	runs    []Run   // of outlines that coincide exactly
	share   float64 // of the boundary that is unchanged
	score   float64 // the same, less what is nearly changed
	scatter float64 // mm, of the means over windows where nothing changed; 0 where outlines coincide exactly
}

// measured lays the outlines over each other and measures what coincides,
// running the same way.
func (l *layer) measured(m geom.Motion) laid {
	if l.drawn {
		return l.measuredDrawn(m, l.tol/3)
	}
	moved := l.new.ring.Moved(m)
	if m.Mirror {
		moved = moved.Reverse()
	}
	sum, n := 0.0, 0
	var same []geom.Stretch
	for _, s := range geom.Match(l.old.ring, moved, l.tol) {
		if s.B0 > s.B1 {
			continue
		}
		same = append(same, s)
		c, d := l.old.ring[s.A], moved[s.B]
		for k := range 3 {
			t := s.A0 + (float64(k)+0.5)/3*(s.A1-s.A0)
			_, dist := d.Nearest(c.At(t))
			sum, n = sum+float64(dist*dist), n+1
		}
	}
	p := laid{Pose: Pose{Motion: tidy(m)}, runs: l.joined(same, moved)}
	for _, r := range p.runs {
		p.Matched += r.Length / l.old.length
	}
	p.Matched = math.Min(1, p.Matched)
	p.share, p.score = p.Matched, p.Matched
	if n > 0 {
		p.Residual = math.Sqrt(sum / float64(n))
	}
	return p
}

// measuredDrawn counts samples: those within the tolerance, and those
// unchanged if means over windows scatter by so many mm.
func (l *layer) measuredDrawn(m geom.Motion, scatter float64) laid {
	p := laid{Pose: Pose{Motion: tidy(m)}, scatter: scatter}
	w := l.windows(m)
	n, sum := 0, 0.0
	for _, r := range w.beside {
		if r.ok && math.Abs(r.off) <= l.tol {
			n, sum = n+1, sum+float64(r.off*r.off)
		}
	}
	p.Matched = float64(n) / float64(len(w.beside))
	if n > 0 {
		p.Residual = math.Sqrt(sum / float64(n))
	}
	p.score = w.score(scatter)
	_, p.share = w.reached(scatter)
	return p
}

// tidy brings the turn into (−π, π].
func tidy(m geom.Motion) geom.Motion {
	if m.Turn > math.Pi || m.Turn <= -math.Pi {
		m.Turn = math.Atan2(math.Sin(m.Turn), math.Cos(m.Turn))
	}
	return m
}
