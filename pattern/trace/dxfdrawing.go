package trace

import (
	"errors"
	"fmt"
	"strings"

	"toile/geom"
)

// Limits of a DXF file beside those of all drawings.
const (
	maxDXFGroups = 1 << 20   // groups of one entity
	maxDXFPoints = 1_000_000 // vertices and points in all
	maxDXFBlocks = 100_000
	maxInserts   = 100 // blocks within blocks
)

// dxfDrawing is what a DXF file holds, in its own unit, y upward.
type dxfDrawing struct {
	insUnits, measurement *int
	codepage              dxfPage
	hidden                map[string]bool // layers that are frozen or off
	blocks                map[string]*dxfBlock
	order                 []*dxfBlock // as they stand in the file
	sheet                 dxfBlock    // what lies in no block
	points                int
	entities              int
	left                  map[string]int // kinds of entities that are not read, with how many of each
}

// dxfBlock is a block, or the sheet.
type dxfBlock struct {
	name     string
	line     int
	base     geom.Point
	entities []dxfEntity
	points   []dxfPoint
}

// dxfPoint is a POINT: most of a pattern file consists of them.
type dxfPoint struct {
	layer string
	at    geom.Point
}

// dxfEntity is a line, a text, or a place where a block is shown.
type dxfEntity struct {
	kind, layer string
	line        int
	path        geom.Path    // of a line
	vertices    []geom.Point // of a polyline without arcs, else nil
	closed      bool
	at          geom.Point // of a text
	text        string
	insert      *dxfInsert
}

// dxfInsert shows a block, once or in rows and columns.
type dxfInsert struct {
	block         string
	at            geom.Point
	scaleX        float64
	scaleY        float64
	turn          float64 // radians
	mirrored      bool    // drawn on the back of the plane
	columns, rows int
	apartX        float64
	apartY        float64
}

// readDXFDrawing reads the sections; what follows EOF is left alone.
func readDXFDrawing(s *dxfScanner) (*dxfDrawing, error) {
	d := &dxfDrawing{hidden: map[string]bool{}, blocks: map[string]*dxfBlock{}, left: map[string]int{}}
	any := false
	for {
		g, err := s.next()
		if err != nil {
			if !any && errors.Is(err, errDXFCut) {
				return nil, errors.New("no DXF: there is no section in it")
			}
			return nil, err
		}
		switch {
		case g.code == 0 && g.value == "EOF":
			return d, nil
		case g.code == 0 && g.value == "SECTION":
			any = true
			if err := d.section(s); err != nil {
				return nil, err
			}
		case !any:
			return nil, problem(g.line, "no DXF: it begins with group %d, %s, and no section", g.code, quote(g.value))
		default:
			return nil, problem(g.line, "group %d, %s, lies between the sections; the file is broken; export it again", g.code, quote(g.value))
		}
	}
}

func (d *dxfDrawing) section(s *dxfScanner) error {
	g, err := s.next()
	if err != nil {
		return err
	}
	if g.code != 2 {
		return problem(g.line, "a section has no name; the file is broken; export it again")
	}
	switch strings.TrimSpace(g.value) {
	case "HEADER":
		return d.header(s)
	case "TABLES":
		return d.tables(s)
	case "BLOCKS":
		return d.readBlocks(s)
	case "ENTITIES":
		return d.readEntities(s, &d.sheet, "ENDSEC")
	}
	for {
		if g, err := s.next(); err != nil || (g.code == 0 && g.value == "ENDSEC") {
			return err
		}
	}
}

// header reads the variables that count.
func (d *dxfDrawing) header(s *dxfScanner) error {
	name, page, release := "", "", ""
	defer func() { d.codepage = pageOf(page, release) }()
	for {
		g, err := s.next()
		if err != nil || (g.code == 0 && g.value == "ENDSEC") {
			return err
		}
		switch {
		case g.code == 9:
			name = strings.TrimSpace(g.value)
		case name == "$ACADVER" && g.code == 1:
			release = strings.TrimSpace(g.value)
		case name == "$DWGCODEPAGE" && g.code == 3:
			page = strings.TrimSpace(g.value)
		case (name == "$INSUNITS" || name == "$MEASUREMENT") && g.code == 70:
			v, err := g.integer()
			if err != nil {
				return err
			}
			if name == "$INSUNITS" {
				d.insUnits = &v
			} else {
				d.measurement = &v
			}
		}
	}
}

// tables reads which layers are hidden.
func (d *dxfDrawing) tables(s *dxfScanner) error {
	kind, name := "", ""
	for {
		g, err := s.next()
		if err != nil || (g.code == 0 && g.value == "ENDSEC") {
			return err
		}
		switch {
		case g.code == 0:
			kind, name = g.value, ""
		case kind != "LAYER":
		case g.code == 2:
			name = strings.TrimSpace(g.value)
		case g.code == 70 || g.code == 62:
			v, err := g.integer()
			if err != nil {
				return err
			}
			if g.code == 70 && v&1 != 0 || g.code == 62 && v < 0 {
				d.hidden[name] = true
			}
		}
	}
}

// readBlocks reads the blocks.
func (d *dxfDrawing) readBlocks(s *dxfScanner) error {
	for {
		g, err := s.next()
		if err != nil || (g.code == 0 && g.value == "ENDSEC") {
			return err
		}
		if g.code != 0 || g.value != "BLOCK" {
			return problem(g.line, "group %d, %s, stands where a block should begin; the file is broken; export it again", g.code, quote(g.value))
		}
		b := &dxfBlock{line: g.line}
		groups, err := s.entity()
		if err != nil {
			return err
		}
		f := dxfFields{groups: groups}
		b.name, b.base = dxfText(f.text(2), d.codepage), f.point(10)
		if f.err != nil {
			return f.err
		}
		if err := d.readEntities(s, b, "ENDBLK"); err != nil {
			return err
		}
		if _, err := s.entity(); err != nil { // what ENDBLK bears
			return err
		}
		if first := d.blocks[dxfKey(b.name)]; first != nil {
			return problem(b.line, "block %s is there twice; the first is on line %d", quote(b.name), first.line)
		}
		if len(d.order) >= maxDXFBlocks {
			return &dxfProblem{b.line, tooLarge("more than %d blocks", maxDXFBlocks)}
		}
		d.blocks[dxfKey(b.name)] = b
		d.order = append(d.order, b)
	}
}

// dxfKey is a block's name as it is looked up: capitals make no difference.
func dxfKey(name string) string { return strings.ToLower(name) }

// entity reads the groups of an entity up to the next one.
func (s *dxfScanner) entity() ([]dxfGroup, error) {
	var groups []dxfGroup
	for {
		g, err := s.next()
		if err != nil {
			return nil, err
		}
		if g.code == 0 {
			s.back(g)
			return groups, nil
		}
		if len(groups) >= maxDXFGroups {
			return nil, &dxfProblem{g.line, tooLarge("more than %d groups in one entity; leave out what is not a pattern piece", maxDXFGroups)}
		}
		groups = append(groups, g)
	}
}

// readEntities reads entities up to the end named.
func (d *dxfDrawing) readEntities(s *dxfScanner, into *dxfBlock, end string) error {
	for {
		g, err := s.next()
		if err != nil {
			return err
		}
		if g.code != 0 {
			return problem(g.line, "group %d, %s, belongs to no entity; the file is broken; export it again", g.code, quote(g.value))
		}
		kind := strings.TrimSpace(g.value)
		switch kind {
		case end:
			return nil
		case "EOF", "ENDSEC", "SECTION":
			return problem(g.line, "%s stands where %s is missing; the file is broken; export it again", kind, end)
		}
		groups, err := s.entity()
		if err != nil {
			return err
		}
		if err := d.take(s, into, kind, dxfFields{groups: groups, line: g.line}); err != nil {
			return err
		}
	}
}

// count bounds the number of entities.
func (d *dxfDrawing) count(line int) error {
	if d.entities++; d.entities > maxElements {
		return &dxfProblem{line, tooLarge("more than %d entities; leave out what is not a pattern piece", maxElements)}
	}
	return nil
}

func (d *dxfDrawing) countPoints(line, n int) error {
	if d.points += n; d.points > maxDXFPoints {
		return &dxfProblem{line, tooLarge("more than %d points; leave out what is not a pattern piece", maxDXFPoints)}
	}
	return nil
}

// dxfFields are the groups of an entity; the first error stays.
type dxfFields struct {
	groups []dxfGroup
	line   int
	err    error
}

// find gives the first group with a code.
func (f *dxfFields) find(code int) (dxfGroup, bool) {
	for _, g := range f.groups {
		if g.code == code {
			return g, true
		}
	}
	return dxfGroup{}, false
}

func (f *dxfFields) text(code int) string {
	g, _ := f.find(code)
	return strings.TrimSpace(g.value)
}

func (f *dxfFields) keep(err error) {
	if f.err == nil {
		f.err = err
	}
}

func (f *dxfFields) number(code int, without float64) float64 {
	g, ok := f.find(code)
	if !ok {
		return without
	}
	v, err := g.number()
	f.keep(err)
	return v
}

func (f *dxfFields) integer(code, without int) int {
	g, ok := f.find(code)
	if !ok {
		return without
	}
	v, err := g.integer()
	f.keep(err)
	return v
}

// point reads the two numbers under a code and that plus 10.
func (f *dxfFields) point(code int) geom.Point {
	return geom.Pt(f.number(code, 0), f.number(code+10, 0))
}

// need refuses an entity that lacks a group.
func (f *dxfFields) need(codes ...int) {
	for _, code := range codes {
		if _, ok := f.find(code); !ok {
			f.keep(problem(f.line, "group %d is missing", code))
		}
	}
}

// layer is the entity's layer, "0" where none is named.
func (f *dxfFields) layer(codepage dxfPage) string {
	if name := dxfText(f.text(8), codepage); name != "" {
		return name
	}
	return "0"
}

// drawn reports whether an entity is to be seen, on the sheet and not on the
// paper it is laid out on.
func (f *dxfFields) drawn() bool { return f.integer(60, 0)&1 == 0 && f.integer(67, 0) == 0 }

// mirrored reports whether the entity's plane is seen from behind; another
// slant cannot be laid flat.
func (f *dxfFields) mirrored() bool {
	if _, ok := f.find(230); !ok {
		return false
	}
	x, y, z := f.number(210, 0), f.number(220, 0), f.number(230, 1)
	if f.err == nil && (abs(x) > 1e-6 || abs(y) > 1e-6 || z == 0) {
		f.keep(problem(f.line, "it lies in a slanting plane; lay the drawing flat and export it again"))
	}
	return z < 0
}

func abs(v float64) float64 { return max(v, -v) }

// leftWords tells what was not read, in the order of the kinds.
func (d *dxfDrawing) leftWords() []string {
	var out []string
	for _, kind := range sortedKeys(d.left) {
		out = append(out, fmt.Sprintf("%d × %s left out", d.left[kind], kind))
	}
	return out
}
