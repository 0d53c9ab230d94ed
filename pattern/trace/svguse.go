package trace

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"toile/geom"
)

// use draws a copy of an element elsewhere in the file (SVG 2, section 5.5).
// What it shows is in the style of its own parents, not of the use element's,
// but for visibility, which is handed down.
func (s *svgReader) use(n *node, f frame) error {
	href := strings.TrimSpace(n.attr("href"))
	t := s.title(n, f)
	if href == "" {
		return nil
	}
	if !strings.HasPrefix(href, "#") {
		s.note(t, "shows %s, which is not in this file; paste it in", quote(href))
		return nil
	}
	target := s.ids[href[1:]]
	if target == nil {
		s.note(t, "shows %s, which the file does not have", quote(href))
		return nil
	}
	if slices.Contains(f.targets, target) || isWithin(n, target) {
		return fmt.Errorf("shows %s, which holds this use element itself; take one of them out", quote(href))
	}
	g := &geometry{n: n, view: f.view}
	f.m = f.m.times(translation(g.across("x"), g.down("y")))
	if g.err != nil {
		return g.err
	}
	f.targets = append(slices.Clip(f.targets), target)
	if f.shownBy == 0 {
		f.shownBy = n.line
	}
	if f.naming == nil && !t.automatic {
		f.naming = &t
	}
	return s.show(n, target, f)
}

// show draws the target of a use element n.
func (s *svgReader) show(n, target *node, f frame) error {
	switch target.name {
	case "symbol", "svg":
		f.naming = nil
		if f.depth++; f.depth > maxDepth {
			return tooLarge("elements nested more than %d deep, copies counted; ungroup them", maxDepth)
		}
		st := s.sheet.styleOf(target)
		if st.none || st.err != nil {
			return st.err
		}
		f.visible = st.visible(f.visible)
		var err error
		if f.m, err = s.transformed(target, f.m); err != nil || f.m.singular() {
			return err
		}
		return s.nested(target, n, f)
	}
	return s.element(target, f)
}

func isWithin(n, ancestor *node) bool {
	for ; n != nil; n = n.parent {
		if n == ancestor {
			return true
		}
	}
	return false
}

// nested draws the children of an inner svg or a symbol in a viewport of its
// own. by is the use element that shows it, or the svg itself; its width and
// height go first. A viewport clips in SVG; here everything is taken.
func (s *svgReader) nested(n, by *node, f frame) error {
	g := &geometry{n: n, view: f.view}
	f.m = f.m.times(translation(g.across("x"), g.down("y")))
	box, boxed, err := parseViewBox(n.attr("viewBox"))
	if g.err != nil {
		err = g.err
	}
	if err != nil {
		return err
	}
	size, known, err := viewportSize(n, by, f.view)
	switch {
	case err != nil:
		return err
	case known && (size.X == 0 || size.Y == 0) || boxed && (box.w == 0 || box.h == 0):
		return nil // SVG: nothing is shown
	case !boxed:
		f.view = viewport{size, known}
		return s.children(n, f)
	case !known:
		return errors.New("its size hangs on a drawing whose size is not known; give width and height")
	}
	fit, err := box.fit(size.X, size.Y, n.attr("preserveAspectRatio"))
	if err != nil {
		return err
	}
	f.m, f.view = f.m.times(fit), viewport{geom.Pt(box.w, box.h), true}
	if !f.m.finite() {
		return errors.New("viewBox goes beyond what numbers can hold")
	}
	return s.children(n, f)
}

// viewportSize gives the size of an inner viewport in the user units around
// it: of the use element, else of the element, else all there is.
func viewportSize(n, by *node, view viewport) (size geom.Point, known bool, err error) {
	known = true
	get := func(name string, whole float64) float64 {
		for _, from := range []*node{by, n} {
			v := strings.TrimSpace(from.geometryAttr(name))
			if v == "" || v == "auto" {
				continue
			}
			g := &geometry{n: from, view: view}
			l := g.size(name, g.get(name, whole))
			if err == nil {
				err = g.err
			}
			return l
		}
		known = known && view.known
		return whole
	}
	size = geom.Pt(get("width", view.size.X), get("height", view.size.Y))
	return size, known, err
}
