package trace

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"toile/geom"
)

// readPlain reads a DXF that knows nothing of sewing: the closed lines in it are
// outlines, and what lies in them is sorted as that of an SVG drawing is.
func (x *dxfTracing) readPlain() (*Drawing, error) {
	var lines, texts []placed
	points := 0
	w := &walk{dxfTracing: x, point: func(string, geom.Point) { points++ }, line: func(p placed) {
		if p.dxfEntity.text != "" {
			texts = append(texts, p)
		} else if len(p.path) > 0 {
			lines = append(lines, p)
		}
	}}
	if err := w.block(&x.sheet, x.toSheet, "", ""); err != nil {
		return nil, x.fail(err)
	}
	if points > 0 {
		x.ignored = append(x.ignored, fmt.Sprintf("%s: %d × POINT left out", x.file, points))
	}
	shapes := x.shapes(joinedLines(lines), texts)
	named := ringsByName(shapes)
	s := &sorter{file: x.file, all: x.o.All, budget: &x.budget, ignored: x.ignored}
	for _, sh := range shapes {
		if err := s.divide(sh); err != nil {
			return nil, err
		}
	}
	var words []writing
	for _, p := range texts {
		if far := abs(p.at.X) > maxCoord || abs(p.at.Y) > maxCoord; !far && !x.names(p, named[p.dxfEntity.text]) {
			words = append(words, writing{title{automatic: true, element: p.kind, line: p.line}, p.dxfEntity.text, p.at})
		}
	}
	d, err := s.sorted(words)
	if err != nil {
		return nil, err
	}
	return x.finished(d.Outlines, d.Ignored), nil
}

// fail puts the line before an error.
func (x *dxfTracing) fail(err error) error {
	if p, ok := err.(*dxfProblem); ok {
		return &Error{File: x.file, Line: p.line, Err: p.err}
	}
	if _, ok := err.(*Error); ok {
		return err
	}
	return &Error{File: x.file, Err: err}
}

// shapes gives names to closed lines: by their block, else their layer, where
// nothing else that is closed goes by it, else the text in them. A single
// outline without one is called as the file.
func (x *dxfTracing) shapes(lines, texts []placed) []shape {
	closed := map[string]int{}
	for _, p := range lines {
		if p.isClosed() {
			closed[nameOf(p)]++
		}
	}
	var out []shape
	nameless := -1
	for _, p := range lines {
		sub := subpath{curves: p.path, closed: p.closed}
		t := title{name: nameOf(p), element: p.kind + " on layer " + strconv.Quote(p.layer), line: p.line}
		if p.isClosed() {
			if t.name == "" || closed[t.name] > 1 {
				t.name = x.textIn(sub, texts)
			}
			if t.name == "" {
				if nameless = len(out); closed[""] > 1 {
					nameless = len(out) + 1<<30
				}
			}
		}
		t.automatic = t.name == ""
		out = append(out, shape{title: t, subs: []subpath{sub}})
	}
	if nameless >= 0 && nameless < len(out) && len(closed) == 1 {
		t := &out[nameless].title
		t.name, t.automatic = strings.TrimSuffix(filepath.Base(x.file), filepath.Ext(x.file)), false
	}
	return out
}

// nameOf is the block's name, else the layer's, unless that is a number.
func nameOf(p placed) string {
	if p.block != "" {
		return p.block
	}
	if _, err := strconv.Atoi(p.layer); err == nil || strings.EqualFold(p.layer, "defpoints") {
		return ""
	}
	return p.layer
}

// maxTextLooks bounds the search for texts in outlines without a name.
const maxTextLooks = 200_000

// textIn gives the only text within a closed line, "" where there is none or
// several.
func (x *dxfTracing) textIn(sub subpath, texts []placed) string {
	r := sub.ring()
	if r == nil || isSmallCircle(r) || len(texts)*len(r) > maxTextLooks || farFrom(r) {
		return ""
	}
	if x.budget.sorting(len(texts)*len(r)) != nil {
		return ""
	}
	found := ""
	for _, p := range texts {
		if r.Holds(p.at) {
			if found != "" {
				return ""
			}
			found = p.dxfEntity.text
		}
	}
	return found
}

func farFrom(r geom.Ring) bool {
	_, far := farPoint(geom.Path(r))
	return far
}

// ringsByName lists the outlines of each name.
func ringsByName(shapes []shape) map[string][]geom.Ring {
	named := map[string][]geom.Ring{}
	for _, s := range shapes {
		if s.automatic {
			continue
		}
		if r := s.subs[0].ring(); r != nil && !farFrom(r) {
			named[s.name] = append(named[s.name], r)
		}
	}
	return named
}

// names reports whether a text has become the name of one of the outlines that
// are called so.
func (x *dxfTracing) names(p placed, called []geom.Ring) bool {
	for _, r := range called {
		if x.budget.sorting(len(r)) != nil {
			return false // which the sorting itself will tell
		}
		if r.Holds(p.at) {
			return true
		}
	}
	return false
}
