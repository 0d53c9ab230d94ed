package trace

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"toile/geom"
)

// ReadDrawn reads one drawn line, by which an edge or a piece is drawn anew.
//
// text names a drawing (.svg, .svgz) or a list of points (.points), or is path
// data itself, in millimetres on the sheet. Of a drawing the only line drawn in
// it counts, else the one that bears one of the labels, the first label
// first. Of a list of points it is the outline, or where the first label names
// an edge that starts at one of them, that edge; a list whose only corners are its
// first and its last point is that edge as well, if it names none. closed says that the line ends
// where it starts. Errors tell the file, and what it holds instead.
func ReadDrawn(text string, o Options, p PointsOptions, labels ...string) (path geom.Path, closed bool, err error) {
	switch strings.ToLower(filepath.Ext(text)) {
	case ".svg", ".svgz":
		return readDrawing(text, o, labels)
	case ".points":
		return readListed(text, p, labels)
	}
	subs, err := readPath(text, identity, &budget{})
	if err != nil {
		return nil, false, fmt.Errorf("%w; give path data, or the name of a file that ends in .svg or .points", err)
	}
	if len(subs) != 1 {
		return nil, false, fmt.Errorf("path data: %d lines are drawn, and one is needed", len(subs))
	}
	return drawnLine(subs[0])
}

// drawnLine is a subpath as a line, closed where it ends at its start.
func drawnLine(s subpath) (geom.Path, bool, error) {
	if ring := s.ring(); ring != nil {
		return geom.Path(ring), true, nil
	}
	open := withoutPoints(s.curves)
	if len(open) == 0 {
		return nil, false, errors.New("the line has no length")
	}
	if q, far := farPoint(open); far {
		return nil, false, fmt.Errorf("point (%.6g, %.6g) mm is more than %g m off the sheet; check the figures", q.X, q.Y, maxCoord/1000)
	}
	return open, false, nil
}

func readDrawing(file string, o Options, labels []string) (path geom.Path, closed bool, err error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, false, &Error{File: file, Err: errors.Unwrap(err)}
	}
	defer f.Close()
	s, err := readShapes(file, f, o)
	if err != nil {
		return nil, false, err
	}
	var found []shape
	for _, sh := range s.shapes {
		if len(sh.subs) > 0 {
			found = append(found, sh)
		}
	}
	sh, err := pick(found, labels)
	if err == nil && len(sh.subs) != 1 {
		err = fmt.Errorf("%s draws %d lines, and one is needed", sh.what(), len(sh.subs))
	}
	if err == nil {
		path, closed, err = drawnLine(sh.subs[0])
	}
	if err != nil {
		return nil, false, &Error{File: file, Err: err}
	}
	return path, closed, nil
}

// pick chooses the only shape, or the one with a label.
func pick(found []shape, labels []string) (shape, error) {
	if len(found) == 1 {
		return found[0], nil
	}
	for _, label := range labels {
		for _, sh := range found {
			if sh.label() == label && label != "" {
				return sh, nil
			}
		}
	}
	var names []string
	for _, sh := range found {
		names = append(names, sh.what())
	}
	if len(names) == 0 {
		return shape{}, errors.New("nothing is drawn in it")
	}
	return shape{}, fmt.Errorf("it holds %d lines (%s) and none is labelled %s; label the one that is meant", len(names), strings.Join(names, ", "), quoteAll(labels))
}

func quoteAll(labels []string) string {
	var out []string
	for _, l := range labels {
		if l != "" {
			out = append(out, quote(l))
		}
	}
	return strings.Join(out, " or ")
}

// readListed reads the outline of a list of points, or the edge of that name.
func readListed(file string, p PointsOptions, labels []string) (path geom.Path, closed bool, err error) {
	d, err := Read(file, Options{}, p)
	if err != nil {
		return nil, false, err
	}
	if len(d.Outlines) != 1 {
		return nil, false, &Error{File: file, Err: fmt.Errorf("it lists %d pieces, and one is needed", len(d.Outlines))}
	}
	o := d.Outlines[0]
	n := len(o.Ring)
	for i, name := range o.EdgeNames {
		if len(labels) == 0 || name == "" || name != labels[0] {
			continue
		}
		path = geom.Path{o.Ring[i]}
		for k := 1; k < n; k++ {
			j := (i + k) % n
			if _, starts := o.EdgeNames[j]; starts || o.Corners[j] {
				break
			}
			path = append(path, o.Ring[j])
		}
		return path, false, nil
	}
	if len(labels) > 0 && labels[0] != "" {
		if edge := o.onlyEdge(); edge != nil {
			return edge, false, nil
		}
	}
	return geom.Path(o.Ring), true, nil
}

// onlyEdge is the line from the first to the last listed point where these are the only
// corners and no edge is named; nil otherwise. The ring of one that was listed
// anticlockwise runs the other way.
func (o *Outline) onlyEdge() geom.Path {
	n := len(o.Ring)
	for _, name := range o.EdgeNames {
		if name != "" {
			return nil
		}
	}
	switch {
	case len(o.Corners) != 2 || !o.Corners[0]:
		return nil
	case o.Corners[n-1]:
		return geom.Path(o.Ring[:n-1])
	case o.Corners[1]:
		return geom.Path(o.Ring[1:]).Reverse()
	}
	return nil
}
