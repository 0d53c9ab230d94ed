package render

import (
	"math"
	"sort"

	"toile/geom"
)

// label is a text that belongs to a place of a drawing.
type label struct {
	text    string
	anchor  geom.Point
	also    []geom.Point // other places of the same thing, where a leader may start
	outward geom.Point   // the side it should stand on; zero for any
	away    float64      // mm from the anchor to the box at least
	along   geom.Point   // direction to write in, tried first; zero for across
	size    float64      // letter size in mm
	bold    bool
	widest  float64 // mm; longer texts are wrapped
	bare    bool    // no leader line to the anchor
	order   int     // smaller ones are placed first
	// foot is, on paper, the place of the sewing line where a leader starts. It
	// goes inward, as one in the allowance would be taken for a notch. Zero for
	// a label that belongs to neither an edge nor a notch.
	foot geom.Point
	disc bool // stands in a ring: the number of a pinned note
	// short is put in the text's place where that has no room: the number by
	// which the words beside the drawing go on.
	short string
	// inside is the outline that the label has to lie inside of, outside the one
	// it has to stay out of; nil where it does not matter.
	inside, outside geom.Ring
	within          geom.Ring    // the rim of the paper it stands on, as inside
	spots           []geom.Point // middles that are tried besides, level and along
	spare           bool         // said beside the drawing in any case
	// least is the size in mm down to which the letters may shrink where there is
	// no room; 0 keeps them as they are.
	least float64
}

// maxLabelLines is the number of lines a label may have: a name of 80 letters
// fits. narrowLines is the same where it is wrapped to fit the room beside the
// piece.
const (
	maxLabelLines = 7
	narrowLines   = 3
)

// mostRings is how many rings, 0.8 letter sizes apart, are tried around an
// anchor: up to 12 letter sizes. A label further off is easier to read in the
// words beside the drawing.
const mostRings = 16

// nearRings is the same for a label whose number can stand for it: the number
// nearby is easier to read than the words with a long leader.
const nearRings = 5

// middleLabel is another width in letter sizes that such a label is tried at.
const middleLabel = 10

// narrowLabel is the width in letter sizes that a label is also tried at, so
// that it fits the room around the piece.
const narrowLabel = 6.2

// placed is a label with its place.
type placed struct {
	label
	lines []string
	box   slantedBox
	lead  *segment // from the anchor to the box
}

// placer finds places for labels. Its rules: every box lies inside the bounds,
// overlaps no other box and covers no outline and no notch, always; crossing
// other lines, being far from the
// anchor, and leaders across other labels cost, the cheapest place wins.
// Labels are placed in order, each for good.
type placer struct {
	bounds geom.Box
	drawn  []segment
	strict []segment
	paper  bool // leaders cross no outline and no notch
	done   []placed
	clear  float64 // mm that boxes keep from the segments of strict
	// Costs, all in mm of distance.
	crossing, covered float64
}

func newPlacer(bounds geom.Box, d *drawing) *placer {
	text := d.pen.text
	return &placer{bounds: bounds, drawn: d.drawn, strict: d.strict, paper: d.onPaper, clear: d.pen.wide/2 + 2*strictWithin*text,
		crossing: 9 * text, covered: 8 * text}
}

// place places the labels; those that have no room anywhere come back.
func (p *placer) place(labels []label) (left []label) {
	sorted := append([]label(nil), labels...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].order < sorted[j].order })
	drawn, strict := p.drawn, p.strict
	most := max(leastPlaced, placingWork/(1+len(drawn)+len(strict)))
	for i, l := range sorted {
		if i >= most {
			left = append(left, l)
			continue
		}
		around := l.reach()
		p.drawn, p.strict = nearTo(drawn, around), nearTo(strict, around)
		if p.placeOne(l) || p.placeShrunk(l) {
			continue
		}
		number := l
		number.text, number.short, number.bold, number.along = l.short, "", true, geom.Point{}
		if (l.short == "" || !p.placeOne(number)) && !l.spare {
			left = append(left, l)
		}
	}
	p.drawn, p.strict = drawn, strict
	return left
}

// placingWork bounds how many labels are placed, times the segments they keep off:
// 400 on a piece of a thousand, which takes seconds; the others are told to have no
// room. leastPlaced are placed on any.
const (
	placingWork = 400_000
	leastPlaced = 40
)

// reach is the box in which any place that is tried for a label lies.
func (l *label) reach() geom.Box {
	far := l.away + (0.8*mostRings+8)*l.size + 2*(textWidth(plain(l.text), l.size, l.bold)+maxLabelLines*lineHeight*l.size+l.size)
	return geom.Box{Min: l.anchor, Max: l.anchor}.Grow(far)
}

// nearTo are the segments that reach into a box.
func nearTo(all []segment, box geom.Box) []segment {
	var out []segment
	for _, s := range all {
		if s.near(box) {
			out = append(out, s)
		}
	}
	return out
}

// placeShrunk tries smaller letters, down to the least the label allows.
func (p *placer) placeShrunk(l label) bool {
	const step = 0.85
	for size := l.size * step; l.least > 0 && size > l.least*step; size *= step {
		smaller := l
		smaller.size = math.Max(size, l.least)
		if p.placeOne(smaller) {
			return true
		}
	}
	return false
}

// placeOne tries the places along the edge, then rings around the anchor that
// grow until nothing nearer can be cheaper, or the label would stand too far
// off to be understood.
func (p *placer) placeOne(l label) bool {
	if plain(l.text) == "" {
		return true
	}
	best, cost := placed{}, math.Inf(1)
	widths := []float64{l.widest, math.Min(l.widest, narrowLabel*l.size)}
	if l.short != "" {
		widths = []float64{l.widest, math.Min(l.widest, middleLabel*l.size), widths[1]}
	}
	for i, widest := range widths {
		lines := balanced(l, widest)
		if i > 0 && len(lines) > narrowLines {
			continue
		}
		half := labelHalf(l, lines)
		p.search(l, half, func(centre geom.Point, angle, extra float64) {
			cand := placed{label: l, lines: lines, box: slantedBox{centre, half, angle}}
			if c := p.cost(&cand, extra+float64(i)*l.size, cost); c < cost {
				best, cost = cand, c
			}
		}, &cost)
	}
	if math.IsInf(cost, 1) {
		return false
	}
	p.done = append(p.done, best)
	return true
}

// balanced wraps a label's text into as few lines as the width needs, of about
// equal length.
func balanced(l label, widest float64) []string {
	lines := wrap(l.text, l.size, l.bold, widest, maxLabelLines)
	word := 0.0
	for _, w := range figureWords(plain(l.text)) {
		word = math.Max(word, textWidth(w, l.size, l.bold))
	}
	for w := widest * 0.95; len(lines) > 1 && w >= math.Max(word, widest*0.4); w *= 0.95 {
		next := wrap(l.text, l.size, l.bold, w, 0)
		if len(next) > len(lines) {
			break
		}
		lines = next
	}
	return lines
}

// search goes through the places for a box of half the given size; try keeps
// the cost of the best.
func (p *placer) search(l label, half geom.Point, try func(centre geom.Point, angle, extra float64), cost *float64) {
	if l.bare {
		try(l.anchor, 0, 0)
	}
	p.tryAlong(l, half, try)
	for _, at := range l.spots {
		far := spotAway * at.Dist(l.anchor)
		try(at, 0, far)
		if l.along != (geom.Point{}) {
			try(at, readable(l.along.Angle()), far)
		}
	}
	most := mostRings
	if l.short != "" {
		most = nearRings
	}
	for ring := 0; ring < most; ring++ {
		r := l.away + float64(ring)*0.8*l.size
		if r-l.away >= *cost {
			break
		}
		p.tryRing(l, half, r, try)
	}
}

// spotAway is what a mm from the anchor to a spot costs.
const spotAway = 0.1

// labelHalf returns half the size of a label's box.
func labelHalf(l label, lines []string) geom.Point {
	widest := 0.0
	for _, line := range lines {
		widest = math.Max(widest, textWidth(line, l.size, l.bold))
	}
	half := geom.Pt(widest/2+0.15*l.size, float64(len(lines))*lineHeight*l.size/2)
	if l.disc {
		r := math.Max(half.X, half.Y) + 0.1*l.size
		half = geom.Pt(r, r)
	}
	return half
}

// tryAlong tries places beside the edge the label belongs to, slid along it.
func (p *placer) tryAlong(l label, half geom.Point, try func(geom.Point, float64, float64)) {
	if l.along == (geom.Point{}) {
		return
	}
	angle := readable(l.along.Angle())
	u := l.along.Unit()
	for _, side := range []float64{1, -1} {
		n := l.outward.Mul(side)
		for _, slide := range []float64{0, 1, -1, 2, -2, 4, -4} {
			at := l.anchor.Add(n.Mul(l.away + half.Y)).Add(u.Mul(slide * 2 * l.size))
			try(at, angle, math.Abs(slide)*0.3*l.size+(1-side)*l.size)
		}
	}
}

// readable turns a direction so that text in it does not stand on its head:
// into (−90°, 90°], a vertical text reading upwards.
func readable(angle float64) float64 {
	for angle >= math.Pi/2-1e-9 {
		angle -= math.Pi
	}
	for angle < -math.Pi/2-1e-9 {
		angle += math.Pi
	}
	return angle
}

// ringSteps is the number of directions tried around an anchor.
const ringSteps = 24

// tryRing tries level boxes whose nearest point is r from the anchor.
func (p *placer) tryRing(l label, half geom.Point, r float64, try func(geom.Point, float64, float64)) {
	start := geom.Pt(1, -0.5).Unit()
	if l.outward != (geom.Point{}) {
		start = l.outward.Unit()
	}
	for k := 0; k < ringSteps; k++ {
		turn := float64((k+1)/2) * 2 * math.Pi / ringSteps
		if k%2 == 1 {
			turn = -turn
		}
		n := start.Turn(turn)
		reach := half.X*math.Abs(n.X) + half.Y*math.Abs(n.Y)
		extra := r - l.away
		if l.outward != (geom.Point{}) {
			extra += (1 - math.Cos(turn)) * 1.2 * l.size
		}
		try(l.anchor.Add(n.Mul(r+reach)), 0, extra)
	}
}

// cost judges a place; infinite where a rule is broken. It stops where the
// cost passes most, and sets the candidate's leader line.
func (p *placer) cost(c *placed, extra, most float64) float64 {
	sum := extra
	if sum >= most || !c.box.inside(p.bounds) {
		return math.Inf(1)
	}
	for i := range p.done {
		if c.box.overlaps(p.done[i].box) {
			return math.Inf(1)
		}
		if l := p.done[i].lead; l != nil && c.box.meets(*l) {
			sum += p.covered
		}
	}
	if c.lead = p.leader(c); c.lead != nil && !p.mayLead(c) {
		return math.Inf(1)
	}
	if c.lead != nil {
		for i := range p.done {
			if p.done[i].box.meets(*c.lead) {
				sum += p.covered
			}
			if l := p.done[i].lead; l != nil && crosses(*l, *c.lead) {
				sum += p.crossing
			}
		}
	}
	if !p.clears(c) {
		return math.Inf(1)
	}
	around := c.box.bounds()
	for _, s := range p.drawn {
		if sum >= most {
			return math.Inf(1)
		}
		if s.near(around) && c.box.meets(s) {
			sum += p.crossing
		}
	}
	return sum
}

// clears reports whether a place covers no outline and no notch, and lies on
// the side of the outline where the label belongs.
func (p *placer) clears(c *placed) bool {
	wide := c.box
	wide.half = wide.half.Add(geom.Pt(p.clear, p.clear))
	around := wide.bounds()
	for _, s := range p.strict {
		if s.near(around) && wide.meets(s) {
			return false
		}
	}
	return (c.inside == nil || c.inside.Holds(c.box.centre)) && (c.within == nil || c.within.Holds(c.box.centre)) && (c.outside == nil || !c.outside.Holds(c.box.centre))
}

// leader is the line that ties a label to its anchor when it stands so far off
// that the eye could miss it.
func (p *placer) leader(c *placed) *segment {
	if c.bare {
		return nil
	}
	from, to := c.anchor, c.box.nearest(c.anchor)
	also := c.also
	if c.footed() {
		also = append([]geom.Point{c.foot}, also...)
	}
	for _, a := range also {
		if at := c.box.nearest(a); at.Dist(a) < to.Dist(from) {
			from, to = a, at
		}
	}
	if to.Dist(from) <= c.away+0.9*c.size {
		return nil
	}
	if c.footed() {
		from, to = c.foot, c.box.nearest(c.foot)
	}
	return &segment{from, to}
}

// footed reports whether a leader has to start at the foot.
func (l *label) footed() bool { return l.foot != geom.Point{} }

// mayLead reports whether a leader can be told from a notch: on paper it crosses
// no outline and no notch, and from an edge goes inward.
func (p *placer) mayLead(c *placed) bool {
	if !p.paper {
		return true
	}
	if c.footed() && c.lead.b.Sub(c.lead.a).Dot(c.outward) > 0 {
		return false
	}
	shown := c.lead.offPaper()
	box := geom.EmptyBox().Extend(shown.a).Extend(shown.b)
	for _, s := range p.strict {
		if s.near(box) && crosses(s, shown) {
			return false
		}
	}
	return true
}

// offPaper is a leader as far as it is drawn on paper.
func (s segment) offPaper() segment {
	return segment{s.a.Lerp(s.b, math.Min(0.4, offPaper/s.a.Dist(s.b))), s.b}
}

// setLabels places the labels collected while drawing, inside the bounds, and
// writes them. Those without room come back as text.
func (d *drawing) setLabels(bounds geom.Box) []string {
	p := newPlacer(bounds.Grow(-0.2*d.pen.text), d)
	var missed []string
	for _, l := range p.place(d.labels) {
		missed = append(missed, plain(l.text))
	}
	d.leaders(p.done)
	d.group(attr("class", "labels"), attr("text-anchor", "middle"))
	for _, l := range p.done {
		d.writeLabel(l)
	}
	d.ungroup()
	return missed
}

// offPaper is how far in mm a leader on paper stays off what it leads to.
const offPaper = 1.5

// leaderDot is the radius in mm of the dot that a leader on paper begins with.
const leaderDot = 0.45

// leaders draws the lines that tie labels to what they name. On paper, which
// somebody cuts along its lines, they are grey, begin with a dot and touch none,
// lest they be taken for notches.
func (d *drawing) leaders(labels []placed) {
	ink := black
	if d.onPaper {
		ink = paleLeader
	}
	d.group(attr("class", "leaders"), attr("fill", "none"), attr("stroke", ink), d.length("stroke-width", d.pen.narrow*0.7))
	for _, l := range labels {
		if l.lead == nil {
			continue
		}
		lead := *l.lead
		if d.onPaper {
			lead = lead.offPaper()
			d.circle(lead.a, leaderDot, attr("fill", paleLeader), attr("stroke", "none"))
			d.legend.use(legendLeader)
		}
		d.line(lead.a, lead.b)
	}
	d.ungroup()
}

// writeLabel writes a label's ground, so that it can be read on a hatch, and
// its lines.
func (d *drawing) writeLabel(l placed) {
	b := l.box
	if turned := math.Abs(b.angle) > 1e-9; turned {
		d.group(attr("transform", d.rotation(b.angle, b.centre)))
		defer d.ungroup()
	}
	if l.disc {
		d.circle(b.centre, b.half.X, attr("class", "label"), attr("fill", white), attr("stroke", black), d.length("stroke-width", d.pen.narrow))
	} else {
		box := geom.Box{Min: b.centre.Sub(b.half), Max: b.centre.Add(b.half)}
		d.rect(box, attr("class", "label"), attr("fill", white), attr("fill-opacity", "0.85"))
	}
	high := float64(len(l.lines)) * l.size * lineHeight
	d.canvas.lines(geom.Pt(b.centre.X, b.centre.Y-high/2), l.lines, l.size, l.bold)
}
