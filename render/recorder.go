package render

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"toile/geom"
	"toile/render/paper"
)

// recorder is a brush that keeps what is drawn as a picture for paper, so that
// a print and a drawing on the screen are the same by construction. It
// understands what this package writes: the attributes below, absolute M, L, C
// and Z in path data, and turns and shifts of groups; anything else is an
// error, never left out in silence.
type recorder struct {
	picture paper.Picture
	groups  []inherited
	err     error
}

// inherited is what a group hands on to what is drawn in it.
type inherited struct {
	attrs  map[string]string
	motion geom.Motion
}

// newRecording is a drawing that is recorded instead of written as SVG.
func newRecording(s Sheet, text float64) (*drawing, *recorder) {
	r := &recorder{groups: []inherited{{attrs: map[string]string{}}}}
	return &drawing{canvas: &canvas{svg: r}, pen: newPen(text), sheet: s, legend: &legend{}}, r
}

// recorded is what was drawn, or the first thing that went wrong.
func (d *drawing) recorded(r *recorder) (paper.Picture, error) {
	if d.err != nil {
		return nil, d.err
	}
	return r.picture, r.err
}

func (r *recorder) fail(format string, args ...any) {
	if r.err == nil {
		r.err = fmt.Errorf(format, args...)
	}
}

// attrUnescape takes back what attr and the SVG writer do to text.
var attrUnescape = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&quot;", `"`, "&amp;", "&")

// style reads attributes on top of those of the groups around.
func (r *recorder) style(attrs []string) inherited {
	top := r.groups[len(r.groups)-1]
	s := inherited{attrs: make(map[string]string, len(top.attrs)+len(attrs)), motion: top.motion}
	for k, v := range top.attrs {
		s.attrs[k] = v
	}
	for _, a := range attrs {
		name, value, ok := strings.Cut(a, "=")
		if !ok {
			r.fail("a print does not understand the attribute %s", a)
			continue
		}
		value = attrUnescape.Replace(strings.Trim(value, `"`))
		if name == "transform" {
			s.motion = r.turned(value).Then(s.motion)
			continue
		}
		s.attrs[name] = value
	}
	return s
}

// turned reads rotate(DEGREES X Y).
func (r *recorder) turned(text string) geom.Motion {
	var degrees float64
	var about geom.Point
	if n, err := fmt.Sscanf(text, "rotate(%g %g %g)", &degrees, &about.X, &about.Y); n != 3 || err != nil {
		r.fail("a print does not understand the transform %s", text)
		return geom.Motion{}
	}
	turn := degrees * math.Pi / 180
	return geom.Motion{Turn: turn, Shift: about.Sub(about.Turn(turn))}
}

func (r *recorder) number(text string, without float64) float64 {
	if text == "" {
		return without
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		r.fail("a print needs numbers, got %q", text)
	}
	return v
}

// color reads a colour, mixed with the white of the paper where it is
// translucent: plotters know no glass. Nil is none.
func (r *recorder) color(text, opacity string) *paper.Color {
	if text == "none" || text == "" {
		return nil
	}
	rgb, err := strconv.ParseUint(strings.TrimPrefix(text, "#"), 16, 24)
	if err != nil || len(text) != 7 {
		r.fail("a print does not understand the colour %q", text)
	}
	part := r.number(opacity, 1)
	mix := func(v uint64) uint8 { return uint8(math.Round(part*float64(v&0xFF) + (1-part)*255)) }
	return &paper.Color{R: mix(rgb >> 16), G: mix(rgb >> 8), B: mix(rgb)}
}

// draw keeps paths with their stroke and fill. As in SVG, what states no fill
// is filled black.
func (r *recorder) draw(paths [][]geom.Cubic, closed bool, attrs []string) {
	s := r.style(attrs)
	item := paper.Item{Closed: closed}
	for _, path := range paths {
		item.Paths = append(item.Paths, geom.Path(path).Moved(s.motion))
	}
	if c := r.color(s.attrs["stroke"], s.attrs["stroke-opacity"]); c != nil {
		item.Stroke = &paper.Stroke{Color: *c, Width: r.number(s.attrs["stroke-width"], 1)}
		for _, v := range strings.Fields(s.attrs["stroke-dasharray"]) {
			item.Stroke.Dashes = append(item.Stroke.Dashes, r.number(v, 0))
		}
	}
	fill, stated := s.attrs["fill"]
	if !stated {
		fill = black
	}
	item.Fill = r.color(fill, s.attrs["fill-opacity"])
	if item.Stroke != nil || item.Fill != nil {
		r.picture = append(r.picture, item)
	}
}

func (r *recorder) Group(attrs ...string) { r.groups = append(r.groups, r.style(attrs)) }
func (r *recorder) Gend()                 { r.groups = r.groups[:len(r.groups)-1] }

func (r *recorder) Translate(x, y float64) {
	s := r.style(nil)
	s.motion = geom.Motion{Shift: geom.Pt(x, y)}.Then(s.motion)
	r.groups = append(r.groups, s)
}

func (r *recorder) Line(x1, y1, x2, y2 float64, attrs ...string) {
	r.draw([][]geom.Cubic{{geom.Line(geom.Pt(x1, y1), geom.Pt(x2, y2))}}, false, attrs)
}

func (r *recorder) Circle(x, y, radius float64, attrs ...string) {
	r.draw([][]geom.Cubic{geom.Circle(geom.Pt(x, y), radius)}, true, attrs)
}

func (r *recorder) Rect(x, y, w, h float64, attrs ...string) {
	ring := geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
	r.draw([][]geom.Cubic{ring}, true, attrs)
}

// Path reads path data as pathData and segmentData write it.
func (r *recorder) Path(data string, attrs ...string) {
	var paths [][]geom.Cubic
	var at geom.Point
	closed := false
	fields := strings.Fields(pathWords.Replace(data))
	for len(fields) > 0 && r.err == nil {
		word := fields[0]
		n, known := map[string]int{"M": 1, "L": 1, "C": 3, "Z": 0}[word]
		if !known || len(fields) <= 2*n || (word != "M" && len(paths) == 0) {
			r.fail("a print does not understand %q in the path %.40s", word, data)
			return
		}
		p := r.points(fields[1 : 1+2*n])
		fields = fields[1+2*n:]
		last := len(paths) - 1
		switch word {
		case "M":
			paths = append(paths, nil)
		case "L":
			paths[last] = append(paths[last], geom.Line(at, p[0]))
		case "C":
			paths[last] = append(paths[last], geom.Cubic{P0: at, P1: p[0], P2: p[1], P3: p[2]})
		case "Z":
			closed = true
			continue
		}
		at = p[n-1]
	}
	r.draw(paths, closed, attrs)
}

// points reads coordinates in pairs.
func (r *recorder) points(fields []string) []geom.Point {
	out := make([]geom.Point, len(fields)/2)
	for i := range out {
		out[i] = geom.Pt(r.number(fields[2*i], 0), r.number(fields[2*i+1], 0))
	}
	return out
}

// pathWords sets the letters of path data apart from its numbers.
var pathWords = strings.NewReplacer("M", " M ", "L", " L ", "C", " C ", "Z", " Z ", ",", " ")

// Text keeps a line of text.
func (r *recorder) Text(x, y float64, line string, attrs ...string) {
	s := r.style(attrs)
	anchor := map[string]float64{"middle": 0.5, "end": 1}
	r.picture = append(r.picture, paper.Item{Text: line, At: s.motion.Apply(geom.Pt(x, y)), Angle: s.motion.Turn,
		Size: r.number(s.attrs["font-size"], 0), Bold: s.attrs["font-weight"] == "bold", Align: anchor[s.attrs["text-anchor"]]})
}
