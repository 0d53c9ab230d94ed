package render

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"
)

// A small reader of the drawings, written for the tests alone: nothing of the
// package's own geometry is used to judge what it draws.

// xy is a point; matrix maps it: x' = a·x + c·y + e, y' = b·x + d·y + f.
type xy struct{ x, y float64 }

type matrix struct{ a, b, c, d, e, f float64 }

func (m matrix) apply(p xy) xy { return xy{m.a*p.x + m.c*p.y + m.e, m.b*p.x + m.d*p.y + m.f} }

func (m matrix) then(n matrix) matrix { // n inside m
	return matrix{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b, m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

// element is what the reader keeps of an element.
type element struct {
	name  string
	attrs map[string]string
	to    matrix // from the element to the sheet
	text  string
	// anchor is the text-anchor that counts for it, its own or that of what it lies in.
	anchor string
}

func (e element) number(t *testing.T, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(e.attrs[name], 64)
	require.NoError(t, err, "%s of %s", name, e.name)
	return v
}

// readSVG reads a drawing to its end; anything that is not well-formed fails.
func readSVG(t *testing.T, text string) []element {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(text))
	dec.Strict = true
	stack := []matrix{{a: 1, d: 1}}
	var out []element
	var open []int
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attrs: map[string]string{}}
			for _, a := range tok.Attr {
				_, twice := e.attrs[a.Name.Local]
				require.False(t, twice, "%s stands twice", a.Name.Local)
				e.attrs[a.Name.Local] = a.Value
			}
			if e.anchor = e.attrs["text-anchor"]; e.anchor == "" && len(open) > 0 {
				e.anchor = out[open[len(open)-1]].anchor
			}
			e.to = stack[len(stack)-1].then(readTransform(t, e.attrs["transform"]))
			stack = append(stack, e.to)
			open = append(open, len(out))
			out = append(out, e)
		case xml.CharData:
			if len(open) > 0 {
				out[open[len(open)-1]].text += string(tok)
			}
		case xml.EndElement:
			stack, open = stack[:len(stack)-1], open[:len(open)-1]
		}
	}
	require.Empty(t, open)
	return out
}

func readTransform(t *testing.T, s string) matrix {
	t.Helper()
	if s == "" {
		return matrix{a: 1, d: 1}
	}
	name, rest, ok := strings.Cut(strings.TrimSuffix(s, ")"), "(")
	require.True(t, ok, s)
	var v []float64
	for _, f := range strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == ',' }) {
		n, err := strconv.ParseFloat(f, 64)
		require.NoError(t, err, s)
		v = append(v, n)
	}
	switch {
	case name == "translate" && len(v) == 2:
		return matrix{a: 1, d: 1, e: v[0], f: v[1]}
	case name == "rotate" && len(v) == 3:
		sin, cos := math.Sincos(v[0] * math.Pi / 180)
		turn := matrix{a: cos, b: sin, c: -sin, d: cos}
		return matrix{a: 1, d: 1, e: v[1], f: v[2]}.then(turn).then(matrix{a: 1, d: 1, e: -v[1], f: -v[2]})
	}
	t.Fatalf("transform %q is none of those a drawing may have", s)
	return matrix{}
}

// pathArea is the area inside a path of M, C and Z, holes negative by their
// direction: the polygon through n and 2n points of each curve by the
// trapezoid rule, and the error of second order taken out (Richardson).
func pathArea(t *testing.T, d string) float64 {
	t.Helper()
	tokens := strings.Fields(strings.NewReplacer("M", " M ", "C", " C ", "Z", " Z ", ",", " ").Replace(d))
	i := 0
	point := func() xy {
		x, err := strconv.ParseFloat(tokens[i], 64)
		require.NoError(t, err)
		y, err := strconv.ParseFloat(tokens[i+1], 64)
		require.NoError(t, err)
		i += 2
		return xy{x, y}
	}
	sum := [2]float64{}
	var start, at xy
	for i < len(tokens) {
		command := tokens[i]
		i++
		switch command {
		case "M":
			start = point()
			at = start
		case "C":
			b, c, e := point(), point(), point()
			for k, n := range []int{500, 1000} {
				sum[k] += curveArea(at, b, c, e, n)
			}
			at = e
		case "Z":
			require.Less(t, math.Hypot(at.x-start.x, at.y-start.y), 2e-6, "a region's path is open")
		default:
			t.Fatalf("path command %q", command)
		}
	}
	return (4*sum[1] - sum[0]) / 3
}

func curveArea(a, b, c, e xy, n int) float64 {
	sum, last := 0.0, a
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n)
		s := 1 - t
		p := xy{
			s*s*s*a.x + 3*s*s*t*b.x + 3*s*t*t*c.x + t*t*t*e.x,
			s*s*s*a.y + 3*s*s*t*b.y + 3*s*t*t*c.y + t*t*t*e.y,
		}
		sum += (last.x*p.y - last.y*p.x) / 2
		last = p
	}
	return sum
}

// classArea adds up the areas of the paths of a class.
func classArea(t *testing.T, elements []element, class string) float64 {
	t.Helper()
	sum := 0.0
	for _, e := range elements {
		if e.name == "path" && e.attrs["class"] == class {
			require.Equal(t, matrix{a: 1, d: 1, e: e.to.e, f: e.to.f}, e.to, "regions may be shifted and nothing else")
			sum += pathArea(t, e.attrs["d"])
		}
	}
	return sum
}

// labelBox is the ground of a label on the sheet, as a polygon.
type labelBox struct {
	corners [4]xy
	shape   sf.Geometry
}

// labelShrink is taken off each side of a label's box: half of what rounding
// to 3 decimals, with a turn, can add to both of two neighbours.
const labelShrink = 0.003

func labelBoxes(t *testing.T, elements []element) []labelBox {
	t.Helper()
	var out []labelBox
	for _, e := range elements {
		if e.attrs["class"] != "label" {
			continue
		}
		var x0, y0, x1, y1 float64
		if e.name == "circle" {
			x, y, r := e.number(t, "cx"), e.number(t, "cy"), e.number(t, "r")
			x0, y0, x1, y1 = x-r, y-r, x+r, y+r
		} else {
			x0, y0 = e.number(t, "x"), e.number(t, "y")
			x1, y1 = x0+e.number(t, "width"), y0+e.number(t, "height")
		}
		x0, y0, x1, y1 = x0+labelShrink, y0+labelShrink, x1-labelShrink, y1-labelShrink
		var b labelBox
		for i, p := range []xy{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
			b.corners[i] = e.to.apply(p)
		}
		var err error
		b.shape, err = sf.UnmarshalWKT(fmt.Sprintf("POLYGON((%v %v,%v %v,%v %v,%v %v,%v %v))",
			b.corners[0].x, b.corners[0].y, b.corners[1].x, b.corners[1].y, b.corners[2].x, b.corners[2].y,
			b.corners[3].x, b.corners[3].y, b.corners[0].x, b.corners[0].y))
		require.NoError(t, err)
		out = append(out, b)
	}
	return out
}

// sheetBox reads the viewBox and holds it against width and height in mm.
func sheetBox(t *testing.T, elements []element) (low, high xy) {
	t.Helper()
	require.Equal(t, "svg", elements[0].name)
	var v [4]float64
	_, err := fmt.Sscan(elements[0].attrs["viewBox"], &v[0], &v[1], &v[2], &v[3])
	require.NoError(t, err)
	for name, want := range map[string]float64{"width": v[2], "height": v[3]} {
		mm, ok := strings.CutSuffix(elements[0].attrs[name], "mm")
		require.True(t, ok, "%s is not in mm", name)
		got, err := strconv.ParseFloat(mm, 64)
		require.NoError(t, err)
		require.Equal(t, want, got, "one user unit has to be one mm")
	}
	return xy{v[0], v[1]}, xy{v[0] + v[2], v[1] + v[3]}
}

// requireClear fails where a label leaves the sheet or two overlap.
func requireClear(t *testing.T, svg string) int {
	t.Helper()
	elements := readSVG(t, svg)
	low, high := sheetBox(t, elements)
	requireTextsInside(t, elements, low, high)
	boxes := labelBoxes(t, elements)
	for i, b := range boxes {
		for _, c := range b.corners {
			inside := c.x >= low.x && c.y >= low.y && c.x <= high.x && c.y <= high.y
			require.True(t, inside, "label %d leaves the sheet at %v", i, c)
		}
		for k := range boxes[:i] {
			require.False(t, sf.Intersects(b.shape, boxes[k].shape), "labels %d and %d overlap", k, i)
		}
	}
	return len(boxes)
}

// requireTextsInside requires that no text runs off the sheet, those beside the
// drawing included. How wide a text is, is the package's own estimate.
func requireTextsInside(t *testing.T, elements []element, low, high xy) {
	t.Helper()
	for _, e := range elements {
		if e.name != "text" {
			continue
		}
		size := e.number(t, "font-size")
		wide := textWidth(e.text, size, e.attrs["font-weight"] == "bold")
		from := map[string]float64{"middle": -wide / 2, "end": -wide}[e.anchor]
		for _, x := range []float64{from, from + wide} {
			at := e.to.apply(xy{e.number(t, "x") + x, e.number(t, "y")})
			require.True(t, at.x >= low.x-1e-6 && at.x <= high.x+1e-6 && at.y >= low.y && at.y <= high.y, "%q runs off the sheet", e.text)
		}
	}
}

// requireHas and requireLacks look for text without printing a whole drawing.
func requireHas(t *testing.T, svg, text string, more ...any) {
	t.Helper()
	require.True(t, strings.Contains(svg, text), "%q is missing %s", text, fmt.Sprint(more...))
}

func requireLacks(t *testing.T, svg, text string) {
	t.Helper()
	require.False(t, strings.Contains(svg, text), "%q is there", text)
}
