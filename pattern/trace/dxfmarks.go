package trace

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// told reads what labels say of edges: for each one where it starts. It counts
// only where every corner of the outline is the start of one.
func (q *dxfPiece) told() {
	told := map[int]ToldEdge{}
	labels := 0
	for i := range q.labels {
		l := &q.labels[i]
		if l.Kind != pattern.LabelEdge {
			continue
		}
		l.used = true
		labels++
		q.nodeAt(l.at)
	}
	for _, l := range q.labels {
		for k, c := range q.out.Ring {
			if l.Kind == pattern.LabelEdge && c.P0.Dist(l.at) <= samePlace {
				by, _ := l.Amount("allowance")
				told[k] = ToldEdge{Name: l.Name, Allowance: by, Fold: l.Says("fold"), Hem: l.Says("hem")}
				break
			}
		}
	}
	if len(told) == 0 || len(told) != labels {
		return
	}
	for _, k := range turningAt(q.out.Ring, pattern.DefaultTolerances().Corner) {
		if _, ok := told[k]; !ok {
			return
		}
	}
	q.out.Told = told
}

// nodeAt divides the outline at a place on it where it has no node, as in the
// middle of an arc.
func (q *dxfPiece) nodeAt(at geom.Point) {
	place, off := geom.Path(q.out.Ring).Nearest(at)
	c := q.out.Ring[place.Curve]
	if off > samePlace || c.P0.Dist(at) <= samePlace || c.P3.Dist(at) <= samePlace {
		return
	}
	a, b := c.Split(place.T)
	q.out.Ring = slices.Insert(slices.Clone(q.out.Ring), place.Curve+1, b)
	q.out.Ring[place.Curve] = a
}

// notches takes the points and strokes on the layers of notches, and what labels
// say of them. A label lies on the sewing line, its point straight across the
// allowance from it.
func (q *dxfPiece) notches() {
	var at []geom.Point
	for _, layer := range sortedKeys(dxfNotches) {
		at = append(at, q.points[layer]...)
		for _, p := range q.lines[layer] {
			at = append(at, q.notchOf(p.path))
		}
	}
	taken := make([]bool, len(at))
	for i := range q.labels {
		l := &q.labels[i]
		if l.Kind != pattern.LabelNotch {
			continue
		}
		l.used = true
		count, _ := l.Amount("count")
		n := Notch{At: l.at, Name: l.Name, Count: int(count)}
		k := nearestFree(at, taken, l.at)
		if k < 0 {
			continue // it was taken away, and its label forgotten
		}
		taken[k] = true
		place, off := geom.Path(q.out.Ring).Nearest(l.at)
		n.At = geom.Path(q.out.Ring).At(place)
		if off > notchSlack || !q.straightAcross(place, at[k]) {
			n.At = q.onRing(at[k])
		}
		q.out.Notches = append(q.out.Notches, n)
	}
	for k, p := range at {
		if !taken[k] {
			q.out.Notches = append(q.out.Notches, Notch{At: q.onRing(p)})
		}
	}
}

// notchOf is the end of a stroke that lies nearer to the outline.
func (q *dxfPiece) notchOf(p geom.Path) geom.Point {
	ring := geom.Path(q.out.Ring)
	_, a := ring.Nearest(p.Start())
	if _, b := ring.Nearest(p.End()); b < a {
		return p.End()
	}
	return p.Start()
}

func (q *dxfPiece) onRing(p geom.Point) geom.Point {
	place, _ := geom.Path(q.out.Ring).Nearest(p)
	return geom.Path(q.out.Ring).At(place)
}

// straightAcross reports whether a point lies square to the outline from a place
// on it, or on that place.
func (q *dxfPiece) straightAcross(place geom.Place, p geom.Point) bool {
	across := p.Sub(geom.Path(q.out.Ring).At(place))
	along := q.out.Ring[place.Curve].Tangent(place.T)
	return math.Abs(across.Dot(along)) <= sameNotch
}

// nearestFree is the point nearest to q that is not taken, −1 for none within
// the widest allowance.
func nearestFree(at []geom.Point, taken []bool, q geom.Point) int {
	best, least := -1, 500.0
	for k, p := range at {
		if d := p.Dist(q); !taken[k] && d < least {
			best, least = k, d
		}
	}
	return best
}

// inside takes the lines, drill holes and texts.
func (q *dxfPiece) inside() {
	q.mirrorLines()
	for _, layer := range sortedKeys(dxfLines) {
		for _, p := range q.lines[layer] {
			l := Line{Name: dxfLines[layer], Path: q.smooth(p)}
			if label := q.labelAt(classOfLayer(layer), l.Path.Start(), l.Path.End()); label != nil {
				l.Name, l.Label = label.Name, label.Label
			}
			if layer == dxfGrain {
				l.Label.Kind = pattern.LabelGrain
				l.Name = "grain"
				if l.Label.Says(pattern.GrainUsual) {
					continue
				}
			}
			q.out.Lines = append(q.out.Lines, l)
		}
	}
	for _, at := range q.points[dxfDrill] {
		q.dot(at, 0)
	}
	for _, p := range q.lines[dxfDrill] {
		box := p.path.Box()
		q.dot(box.Centre(), box.Size().X/2)
	}
	for _, p := range q.texts {
		if q.out.Ring.Holds(p.at) {
			q.out.Texts = append(q.out.Texts, Text{Text: p.dxfEntity.text, At: p.at})
		}
	}
}

// mirrorLines takes the mirror line along an edge for the fold.
func (q *dxfPiece) mirrorLines() {
	for _, p := range q.lines[dxfMirror] {
		switch {
		case !q.onOutline(p.path):
			q.out.Lines = append(q.out.Lines, Line{Name: "mirror line", Path: p.path})
			q.note(p.line, "block %s: its mirror line lies on no edge; it is taken as a line, and the piece as drawn whole", quote(q.block.name))
		case q.out.Fold != nil:
			q.note(p.line, "block %s: a second mirror line on an edge; left out, for a piece has one fold", quote(q.block.name))
		default:
			q.out.Fold = p.path
		}
	}
}

// onOutline reports whether a line lies along the outline.
func (q *dxfPiece) onOutline(p geom.Path) bool {
	off, _ := farthestFrom(p, geom.Path(q.out.Ring))
	return off <= notchReach
}

func (q *dxfPiece) dot(at geom.Point, radius float64) {
	d := Dot{At: at, Radius: radius}
	if label := q.labelAt(ofPoint, at); label != nil {
		d.Name, d.Label = label.Name, label.Label
	}
	q.out.Dots = append(q.out.Dots, d)
}

// What a label can be of.
const (
	ofGrain = "grain"
	ofPoint = "point"
	ofLine  = "line"
)

func classOfLayer(layer string) string {
	if layer == dxfGrain {
		return ofGrain
	}
	return ofLine
}

func classOf(l pattern.Label) string {
	switch l.Kind {
	case pattern.LabelGrain:
		return ofGrain
	case string(pattern.MarkButton), string(pattern.MarkDot):
		return ofPoint
	}
	return ofLine
}

// labelAt is a label that lies at one of the places, is of that class, and of
// nothing else yet.
func (q *dxfPiece) labelAt(class string, places ...geom.Point) *dxfLabel {
	for i := range q.labels {
		l := &q.labels[i]
		if l.used || classOf(l.Label) != class {
			continue
		}
		for _, at := range places {
			if at.Dist(l.at) <= samePlace {
				l.used = true
				return l
			}
		}
	}
	return nil
}
