package merge

import (
	"math"
	"slices"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// movedWithin is how far in mm an edge may lie from where a motion puts it:
// coordinates are stored to 0.001, at both ends of it and of its neighbours, and
// parallel lines lie within 0.002 of the true ones.
const movedWithin = 0.015

// offLine in mm: the curves at an end that lie farther off were led on there.
const offLine = 0.004

// sideOutline is what one side did to a piece's outline, by the edges of the
// shared version.
type sideOutline struct {
	piece   *pattern.Piece // with its outline listed from the shared first edge
	paths   []geom.Path
	motions []motion
	tails   [][2]float64 // mm that were led on at either end of each edge, to meet a swung neighbour
	lost    [][2]float64 // mm at either end of the shared edge that had been led on to a neighbour which is swung no more
	unsure  []bool       // a motion was told of the edge that does not explain it
	says    []string     // what is told of each edge's own change
	same    bool         // nothing was changed
	whole   string       // in what way the outline changed as a whole; else empty
}

// changed reports whether the side changed an edge's own line.
func (s *sideOutline) changed(i int) bool { return s.motions[i].how != kept }

// unchangedSide is a side that left the outline alone.
func unchangedSide(p *pattern.Piece) *sideOutline {
	s := &sideOutline{piece: p, same: true}
	s.begin()
	return s
}

func (s *sideOutline) begin() {
	n := len(s.piece.Edges)
	s.paths, s.motions = make([]geom.Path, n), make([]motion, n)
	s.tails, s.lost = make([][2]float64, n), make([][2]float64, n)
	s.unsure, s.says = make([]bool, n), make([]string, n)
	for i := range n {
		s.paths[i] = s.piece.EdgePath(i)
	}
}

// readSide finds what became of the shared outline on one side. before
// is the other side where changes are taken back, else nil: it shows which edges
// are swung in the shared version, and what was led on to them there. Words are in
// the pattern's unit. The error is that of diff.Pieces.
func readSide(shared, now *pattern.Piece, p *pattern.Pattern, before *sideOutline) (*sideOutline, error) {
	turned, ok := alignedTo(shared, now)
	if !ok {
		return &sideOutline{piece: now, whole: "edges were divided, joined, added or taken away"}, nil
	}
	if sameOutline(shared, turned) {
		return unchangedSide(turned), nil
	}
	s := &sideOutline{piece: turned}
	s.begin()
	d, err := diff.Pieces(shared, turned, p)
	if err != nil {
		return nil, err
	}
	guess, laid, opened := guesses(shared, &d)
	s.find(shared, guess, before)
	s.tapersNotSwings(shared)
	s.told(shared, d.Changes)
	changed, lost := 0, 0
	for _, m := range s.motions {
		if m.how != kept {
			changed++
		}
		if m.how == redrawn {
			lost++
		}
	}
	switch {
	case opened && changed > 1 && lost > 0:
		s.whole = "a part of it moved, as where a piece is spread"
	case laid && changed == len(s.motions):
		s.whole = "it lies elsewhere on its sheet, or turned over"
	}
	return s, nil
}

// alignedTo lists a piece's outline from the edge that the shared one starts
// with. ok is false where the two do not have the same edges in the same order.
func alignedTo(shared, now *pattern.Piece) (*pattern.Piece, bool) {
	n := len(shared.Edges)
	if len(now.Edges) != n {
		return nil, false
	}
	from := now.EdgeByID(shared.Edges[0].ID)
	if from < 0 {
		return nil, false
	}
	for i := range n {
		if now.Edges[(from+i)%n].ID != shared.Edges[i].ID {
			return nil, false
		}
	}
	if from == 0 {
		return now, true
	}
	q := now.Clone()
	q.Edges = slices.Concat(q.Edges[from:], q.Edges[:from])
	q.Corners = slices.Concat(q.Corners[from:], q.Corners[:from])
	return q, true
}

// sameOutline reports whether two pieces with the same edges have the same
// lines.
func sameOutline(a, b *pattern.Piece) bool {
	for i := range a.Edges {
		if !slices.Equal(a.EdgePath(i), b.EdgePath(i)) {
			return false
		}
	}
	return true
}

// told notes what diff says of each edge that changed itself.
func (s *sideOutline) told(shared *pattern.Piece, changes []change.Change) {
	for _, ch := range changes {
		switch ch.Kind {
		case change.EdgeMoved, change.EdgeSwung, change.EdgeRedrawn:
			if i, err := shared.EdgeIndex(ch.Edges[0]); err == nil && s.says[i] == "" {
				s.says[i] = ch.Says
			}
		}
	}
}

// guesses are the motions that diff tells, by edge of the shared piece. laid
// says that the piece was laid elsewhere for that, opened that a part of it
// moved as one.
func guesses(shared *pattern.Piece, d *change.PieceDiff) (guess []motion, laid, opened bool) {
	guess = make([]motion, len(shared.Edges))
	laid = d.Placement != change.Placement{}
	for _, ch := range d.Changes {
		switch ch.Kind {
		case change.Spread, change.PieceUnfolded, change.PieceMirrored:
			opened = true
		case change.EdgeMoved, change.EdgeSwung:
			if i, err := shared.EdgeIndex(ch.Edges[0]); err == nil {
				guess[i] = toldMotion(shared, i, ch)
			}
		}
	}
	return guess, laid, opened
}

// toldMotion is a change of an edge as a motion of its carrier.
func toldMotion(shared *pattern.Piece, i int, ch change.Change) motion {
	path := shared.EdgePath(i)
	switch {
	case ch.Kind == change.EdgeSwung:
		m := motion{how: swung, pivot: ch.Pivot.Point(), far: 1, turn: -geom.Degrees(*ch.Turn)}
		if at := ch.At.Point(); at.Dist(path.Start()) < at.Dist(path.End()) {
			m.far, m.turn = 0, -m.turn
		}
		return m
	case ch.How == change.HowShifted:
		down := shared.GrainDirection()
		by := *ch.By
		if down.Dot(path.TangentAt(path.Length()/2).Left()) < 0 {
			by = -by
		}
		return motion{how: shifted, shift: down.Mul(toThousandth(by))}
	case ch.How == change.HowParallel:
		return motion{how: parallel, by: toThousandth(*ch.By)}
	case ch.How == change.HowTapered:
		m := motion{how: tapered, ends: *ch.Ends, from: path}
		for k, by := range m.ends {
			if math.Abs(by) < storedWithin {
				m.ends[k] = 0
			}
		}
		return m
	}
	return motion{}
}

func toThousandth(v float64) float64 { return math.Round(v*1000) / 1000 }

// find settles for each edge what became of its carrier. A guess counts where
// the edge lies as it says. Where an edge had been led on to a swung neighbour and
// still is, both are compared without that.
func (s *sideOutline) find(shared *pattern.Piece, guess []motion, before *sideOutline) {
	n := len(s.paths)
	line, isLed, led := make([]geom.Path, n), make([][2]bool, n), make([][2]float64, n)
	for i := range n {
		line[i] = shared.EdgePath(i)
		if before == nil || before.whole != "" {
			continue
		}
		if led[i] = before.lost[i]; led[i] != [2]float64{} {
			line[i] = line[i].BetweenLengths(led[i][0], line[i].Length()-led[i][1])
		}
		if then := before.core(i); !before.changed(i) && then.Length() > line[i].Length() {
			line[i] = then // the same line, and more of it
		}
		isLed[i] = [2]bool{before.motions[(i+n-1)%n].how == swung, before.motions[(i+1)%n].how == swung}
	}
	for i := range n {
		guess[i] = s.better(i, line[i], guess[i], ledOn{isLed[i], led[i]}, before)
	}
	for i := range n {
		old := line[i]
		ends := ledOn{[2]bool{isLed[i][0] || guess[(i+n-1)%n].how == swung, isLed[i][1] || guess[(i+1)%n].how == swung}, led[i]}
		if s.lies(i, old, ends, sameWithin, true) {
			continue
		}
		m := guess[i]
		if m.how == swung {
			m = s.settled(i, old, m)
		}
		if s.moves(i, old, ends, m, shared.GrainDirection()) {
			continue
		}
		s.tails[i], s.lost[i] = [2]float64{}, [2]float64{}
		s.motions[i], s.unsure[i] = motion{how: redrawn, path: s.paths[i]}, guess[i].how != kept
	}
}

// lies reports whether the side's edge i lies on a line or its carrier, and
// notes what was led on at ends whose neighbour is swung: of the edge, or
// of the line where a swing was taken back, whichever is less.
func (s *sideOutline) lies(i int, line geom.Path, ends ledOn, within float64, extent bool) bool {
	least, found := math.Inf(1), false
	for choice := range 4 {
		now, then := s.paths[i], line
		var tails, lost [2]float64
		possible := true
		for end := range 2 {
			ofLine := choice&(1<<end) != 0
			switch {
			case !ends.may[end]:
				possible = possible && !ofLine
			case ofLine:
				then, lost[end] = stripped(then, s.paths[i], end)
				possible = possible && lost[end] > 0
			default:
				now, tails[end] = stripped(now, line, end)
			}
		}
		for end := range 2 {
			possible = possible && max(tails[end], lost[end]) <= ends.longest(line, s.paths[i], end)
		}
		sum := tails[0] + tails[1] + lost[0] + lost[1]
		if possible && sum < least && len(now) > 0 && len(then) > 0 && beside(now, then, within, extent) {
			least, found = sum, true
			s.tails[i], s.lost[i] = tails, ledBefore(now, then, ends.may, tails, lost)
		}
	}
	return found
}

// better is what was told of an edge, or where that does not explain it as well, a
// swing that does.
func (s *sideOutline) better(i int, old geom.Path, told motion, ends ledOn, before *sideOutline) motion {
	switch told.how {
	case kept:
		if !s.lies(i, old, ends, sameWithin, true) {
			return s.swungAbout(i, old, before)
		}
	case tapered:
		line, err := told.of(old)
		explained := err == nil && s.lies(i, line, ledOn{[2]bool{true, true}, ends.was}, movedWithin, false)
		off := offBy(s.core(i), line)
		if m := s.swungAbout(i, old, before); !explained || (m.how == swung && offBy(s.core(i), m.swing(old)) < off-storedWithin) {
			return m
		}
	}
	return told
}

// ledOn says at which ends of an edge something may be led on to a neighbour,
// and how many mm of the shared line were already.
type ledOn struct {
	may [2]bool
	was [2]float64
}

// longest is how long in mm what is led on at an end may be: by how far the line
// ends apart from where it did, or, where it was led on before, twice as long as
// then.
func (l ledOn) longest(a, b geom.Path, end int) float64 {
	return max(longestLed*endMoved(a, b, end), 2*l.was[end]) + sliver
}

// longestLed is how long, in chords, what is led on to a swung neighbour may be:
// one outward, two and a part inward.
const longestLed = 3.5

// endMoved is how far apart two lines end, the chord where the neighbour swung.
func endMoved(a, b geom.Path, end int) float64 {
	if end == 1 {
		return a.End().Dist(b.End())
	}
	return a.Start().Dist(b.Start())
}

// ledBefore adds what was led on at the ends of the line before: where the
// neighbour's swing was taken back, so that nothing is led on now.
func ledBefore(now, then geom.Path, ends [2]bool, tails, lost [2]float64) [2]float64 {
	for end := range 2 {
		if !ends[end] || tails[end] > 0 || lost[end] > 0 {
			continue
		}
		if rest, off := stripped(then, now, end); len(rest) > 0 {
			lost[end] = off
		}
	}
	return lost
}

// stripped takes off the curves at an end of a path that do not lie on a line's
// carrier, and says how long they were.
func stripped(p, line geom.Path, end int) (geom.Path, float64) {
	on, off := geom.NewRunOn(line, reach), 0.0
	for len(p) > 0 {
		c := p[0]
		if end == 1 {
			c = p[len(p)-1]
		}
		far := 0.0
		for k := 1; k < samples; k++ {
			far = math.Max(far, math.Abs(on.Foot(c.At(float64(k)/samples)).Out))
		}
		if far <= offLine {
			return p, off
		}
		off += c.Length()
		if end == 1 {
			p = p[:len(p)-1]
		} else {
			p = p[1:]
		}
	}
	return nil, off
}

// nodes are the ends of a path's curves.
func nodes(p geom.Path) []geom.Point {
	out := []geom.Point{p.Start()}
	for _, c := range p {
		out = append(out, c.P3)
	}
	return out
}

// core is the side's edge i without what was led on at its ends.
func (s *sideOutline) core(i int) geom.Path {
	p, t := s.paths[i], s.tails[i]
	if t == [2]float64{} {
		return p
	}
	return p.BetweenLengths(t[0], p.Length()-t[1])
}

// tail is what was led on at an end of edge i, in the edge's direction, and
// where it leaves the line; nil where nothing was.
func (s *sideOutline) tail(i, end int) (joint geom.Point, tail geom.Path) {
	p, t, length := s.paths[i], s.tails[i][end], s.paths[i].Length()
	switch {
	case end == 0 && t > 0:
		tail = p.BetweenLengths(0, t)
		return tail.End(), tail
	case end == 1 && t > 0:
		tail = p.BetweenLengths(length-t, length)
		return tail.Start(), tail
	case end == 0:
		return p.Start(), nil
	}
	return p.End(), nil
}
