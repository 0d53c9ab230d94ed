package match

import (
	"math"
	"slices"

	"toile/geom"
)

const (
	// windowLength in mm holds some nine traced points; a window has leastInWindow
	// samples at least and a share of the outline at most.
	windowLength, leastInWindow, mostOfOutline = 27.0, 5, 1.0 / 12

	// unlikely is how many standard deviations a mean may be off: 3 in 1000 are
	// farther off by chance.
	unlikely = 3.0

	// stray is how many tolerances a sample may be off and still count for a
	// mean. Noise alone seldom goes so far.
	stray = 4.0 / 3
)

// beside is how a sample of the old outline lies beside the laid new one.
type beside struct {
	contact
	ok  bool    // the new outline is near, and runs the same way
	off float64 // mm, positive to the left
}

// windowed are the samples with their means over the windows about them.
type windowed struct {
	beside []beside
	means  []float64 // mm
	ok     []bool    // most of the window lies beside the new outline
	reach  int       // samples before and after that a window holds
}

// windows lays the outlines over each other and takes means, in which errors
// of single points cancel. It holds until the next call.
func (l *layer) windows(m geom.Motion) *windowed {
	w := &l.laidOver
	n := len(l.old.dense)
	if w.beside == nil {
		w.beside, w.means, w.ok = make([]beside, n), make([]float64, n), make([]bool, n)
		size := math.Max(leastInWindow, math.Min(windowLength/l.old.step, mostOfOutline*float64(n)))
		w.reach = int(size / 2)
	}
	new, plain := l.side(m)
	there, back := placed(plain), placed(plain.Inverse())
	for i, s := range l.old.dense {
		f, ok := new.footNear(back.apply(s.at), l.tol*stray)
		if !ok || there.vector(f.way).Dot(s.way) < sameWay {
			w.beside[i] = beside{}
			continue
		}
		at := there.apply(f.at)
		c := contact{at: at, square: there.vector(f.along).Left(), off: s.at.Sub(at)}
		w.beside[i] = beside{c, true, c.square.Dot(c.off)}
	}
	w.takeMeans()
	return w
}

func (w *windowed) takeMeans() {
	const most = 0.75 // of the window
	n, sum, count := len(w.beside), 0.0, 0
	add := func(i, by int) {
		if x := &w.beside[(i+n)%n]; x.ok {
			sum, count = sum+float64(by)*x.off, count+by
		}
	}
	for k := -w.reach; k < w.reach; k++ {
		add(k, 1)
	}
	for i := range w.means {
		add(i+w.reach, 1)
		w.means[i], w.ok[i] = 0, false
		if float64(count) >= most*float64(2*w.reach+1) {
			w.means[i], w.ok[i] = sum/float64(count), w.beside[i].ok
		}
		add(i-w.reach, -1)
	}
}

// scatter estimates the standard deviation of the means where nothing changed
// from their median size. It is sigma at most, as where all errors of a window
// are alike, and a third of that at least, as where the nine points of a window
// are independent: fitted curves leave less on some edges and more on others.
func (w *windowed) scatter(sigma float64) float64 {
	var sizes []float64
	for i, m := range w.means {
		if w.ok[i] {
			sizes = append(sizes, math.Abs(m))
		}
	}
	if 5*len(sizes) < len(w.means) {
		return sigma
	}
	slices.Sort(sizes)
	// The median size of a normal variable is 0.6745 of its deviation.
	return math.Max(sigma/3, math.Min(sigma, sizes[len(sizes)/2]/0.6745))
}

// unchanged reports whether the window about a sample is no farther off than
// chance explains.
func (w *windowed) unchanged(i int, scatter float64) bool {
	return w.ok[i] && math.Abs(w.means[i]) <= unlikely*scatter
}

// score is the share of the samples that are unchanged, the less so the
// farther off their window is.
func (w *windowed) score(scatter float64) float64 {
	sum := 0.0
	for i, m := range w.means {
		if w.unchanged(i, scatter) {
			u := m / (unlikely * scatter)
			sum += 1 - float64(u*u)
		}
	}
	return sum / float64(len(w.means))
}

// reached says which samples lie in any window that is unchanged, and their
// share.
func (w *windowed) reached(scatter float64) (keep []bool, share float64) {
	n, count := len(w.means), 0
	keep = make([]bool, n)
	for i := range w.means {
		for k := -w.reach; k <= w.reach && w.unchanged(i, scatter); k++ {
			keep[(i+k+n)%n] = true
		}
	}
	for i := range keep {
		if keep[i] = keep[i] && w.beside[i].ok; keep[i] {
			count++
		}
	}
	return keep, float64(count) / float64(n)
}

// onUnchanged fits again and again, each unchanged sample counting the same.
// Without a scatter it is estimated anew each time. Where samples are left
// out, that is for the first rounds, and all others near count.
func (l *layer) onUnchanged(m geom.Motion, scatter float64, leftOut func(sample int) bool) geom.Motion {
	const rounds, roundsWithout, still = 8, 2, 0.003 // tolerances
	for round := range rounds {
		w := l.windows(m)
		s := scatter
		if s == 0 {
			s = w.scatter(l.tol / 3)
		}
		without := leftOut != nil && round < roundsWithout
		e := l.newEquations(m.Apply(l.new.centre))
		for i := range w.beside {
			if (without && w.beside[i].ok && !leftOut(i)) || (!without && w.unchanged(i, s)) {
				e.add(w.beside[i].contact, 1)
			}
		}
		turn, by, ok := e.solve()
		if !ok {
			return m
		}
		m = m.Then(turn)
		if by < still*l.tol && !without {
			break
		}
	}
	return m
}
