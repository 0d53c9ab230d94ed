package trace

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"toile/geom"
)

// rect is a viewBox.
type rect struct{ x, y, w, h float64 }

// viewport is the size, in user units, of which percentages are taken.
type viewport struct {
	size  geom.Point
	known bool
}

// parseViewBox reads a viewBox; ok is false for an absent one.
func parseViewBox(s string) (box rect, ok bool, err error) {
	if strings.TrimSpace(s) == "" {
		return rect{}, false, nil
	}
	v, err := numberList(s)
	if err == nil && len(v) != 4 {
		err = fmt.Errorf("%d numbers instead of 4", len(v))
	}
	if err == nil && (v[2] < 0 || v[3] < 0) {
		err = errors.New("width and height must not be negative")
	}
	if err != nil {
		return rect{}, false, fmt.Errorf("viewBox %s: %w", quote(s), err)
	}
	return rect{v[0], v[1], v[2], v[3]}, true, nil
}

// fit maps a viewBox onto a viewport w wide and h high with its corner at the
// origin, as preserveAspectRatio says (W3C, SVG 2, section 8.2, equivalent
// transform of an SVG viewport).
func (box rect) fit(w, h float64, preserve string) (matrix, error) {
	x, y, slice, none, err := parseAspect(preserve)
	if err != nil {
		return identity, err
	}
	sx, sy := w/box.w, h/box.h
	if !none {
		s := math.Min(sx, sy)
		if slice {
			s = math.Max(sx, sy)
		}
		sx, sy = s, s
	}
	m := matrix{sx, 0, 0, sy, -box.x * sx, -box.y * sy}
	m.E += x * (w - box.w*sx)
	m.F += y * (h - box.h*sy)
	return m, nil
}

// parseAspect reads preserveAspectRatio: the share of the spare room that
// goes to the left and above, and how to fill.
func parseAspect(s string) (x, y float64, slice, none bool, err error) {
	words := strings.Fields(s)
	if len(words) > 0 && words[0] == "defer" {
		words = words[1:]
	}
	if len(words) == 0 {
		return 0.5, 0.5, false, false, nil
	}
	if words[0] == "none" {
		return 0, 0, false, true, nil
	}
	share := map[string]float64{"Min": 0, "Mid": 0.5, "Max": 1}
	a := words[0]
	if len(a) == 8 && a[0] == 'x' && a[4] == 'Y' {
		var okX, okY bool
		x, okX = share[a[1:4]]
		y, okY = share[a[5:8]]
		fill := len(words) == 1 || len(words) == 2 && (words[1] == "meet" || words[1] == "slice")
		if okX && okY && fill {
			return x, y, len(words) == 2 && words[1] == "slice", false, nil
		}
	}
	return 0, 0, false, false, fmt.Errorf("preserveAspectRatio %s is not known", quote(s))
}

// rootFrame gives the map from the user units of the outermost drawing to
// millimetres on the sheet, and the viewport its percentages refer to.
//
// With a scale given, one user unit is that many mm and the corner of the
// viewBox is the corner of the sheet; width, height and preserveAspectRatio
// do not count. Without one, width and height must say the size, in a unit
// of their own or in px at 96 to the inch (a bare number is px); one of the
// two is enough beside a viewBox, whose proportions give the other. Without a
// viewBox a user unit is a px.
func rootFrame(root *node, scale float64) (matrix, viewport, error) {
	box, boxed, err := parseViewBox(root.attr("viewBox"))
	if err != nil {
		return identity, viewport{}, err
	}
	if boxed && (box.w == 0 || box.h == 0) {
		return identity, viewport{}, errors.New("viewBox has no size, so the drawing shows nothing")
	}
	w, err := rootSize(root, "width")
	if err != nil {
		return identity, viewport{}, err
	}
	h, err := rootSize(root, "height")
	if err != nil {
		return identity, viewport{}, err
	}
	view := viewport{geom.Pt(w, h), w > 0 && h > 0}
	if boxed {
		view = viewport{geom.Pt(box.w, box.h), true}
	}
	switch {
	case scale > 0:
		return scaling(scale, scale).times(translation(-box.x, -box.y)), view, nil
	case w == 0 && h == 0:
		return identity, view, noSize(root)
	case !boxed:
		return scaling(mmPerPx, mmPerPx), view, nil
	case w == 0:
		w = h * box.w / box.h
	case h == 0:
		h = w * box.h / box.w
	}
	m, err := box.fit(w, h, root.attr("preserveAspectRatio"))
	return scaling(mmPerPx, mmPerPx).times(m), view, err
}

// rootSize gives the width or height of the outermost drawing in px, 0 when
// it is absent, automatic, or depends on the window it is shown in.
func rootSize(root *node, name string) (float64, error) {
	s := strings.TrimSpace(root.attr(name))
	if s == "" || s == "auto" {
		return 0, nil
	}
	n := &numbers{s: s}
	v, err := n.number()
	if err != nil {
		return 0, fmt.Errorf("%s %s: %w", name, quote(s), err)
	}
	px, ok := pxPerUnit[strings.ToLower(s[n.i:])]
	if !ok { // per cent, em, vw…: no size on paper
		return 0, nil
	}
	if v <= 0 {
		return 0, fmt.Errorf("%s %s: the drawing has no size", name, quote(s))
	}
	return v * px, nil
}

// noSize tells why the width and height of a drawing give it no size: they are
// missing, or counted in what is no length on paper.
func noSize(root *node) error {
	for _, name := range []string{"width", "height"} {
		if s := strings.TrimSpace(root.attr(name)); s != "" && s != "auto" {
			return fmt.Errorf("%w: its %s is %s, which is no length on paper%s", ErrNoScale, name, quote(s), askSize)
		}
	}
	return fmt.Errorf("%w: its width and height are missing, so nothing tells how long a drawing unit is on paper%s", ErrNoScale, askSize)
}

const askSize = "; give the millimetres of one unit with --scale, " +
	"as in --scale 1 for a drawing made in mm or --scale 0.264583 for one made at 96 units to the inch"
