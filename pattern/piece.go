package pattern

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"toile/geom"
)

// Cut says how often and how a piece is cut.
type Cut string

// The ways to cut a piece.
const (
	CutOne    Cut = "one"
	CutPair   Cut = "a pair"
	CutOnFold Cut = "one on fold"
)

// Count returns how many times the piece as drawn lies in the garment: a
// folded piece and a pair twice.
func (c Cut) Count() int {
	if c == CutOne {
		return 1
	}
	return 2
}

// Piece is one pattern piece. Corner i starts edge i; edge i ends at corner
// i+1, the last at corner 0. The outline runs clockwise as seen.
type Piece struct {
	Name        string
	ID          string // 8 hex digits, for the piece's whole life
	Was         string // id of the piece it was split from
	Slug        string // the file's name without its ending, fixed at creation
	Cloth       string // what it is cut from: outer, lining, interfacing…
	Cut         Cut
	Side        string  // left or right of the wearer, for an asymmetrical piece
	DrawnWithin float64 // mm: how far the outline may be from the noisy points it was traced from; 0 when exact
	Grain       *Grain
	Corners     []Corner
	Edges       []Edge
	Notches     []Notch
	Marks       []Mark
	Lines       []ReferenceLine
}

// Grain is the grain line, from its top to its bottom.
type Grain struct {
	From, To geom.Point
	OneWay   bool // one arrow head: all pieces the same way up, for cloth with nap
	Bias     bool // declared: the piece is meant to lie across the grain
}

// CornerStyle says how the cutting line passes a corner.
type CornerStyle string

// The corner styles; the empty style is extended.
const (
	CornerExtended     CornerStyle = "extended"
	CornerSquareBefore CornerStyle = "square to the edge before"
	CornerSquareAfter  CornerStyle = "square to the edge after"
	CornerFoldedBack   CornerStyle = "folded back"
)

// Corner is where two edges meet.
type Corner struct {
	At    geom.Point // the sharp corner
	Round float64    // radius of the rounding in mm, 0 when sharp
	Name  string
	Meant bool // a point that is not to run smoothly
	Style CornerStyle
}

// Handles are the two control points of a cubic between two nodes.
type Handles struct{ First, Second geom.Point }

// Edge is a named run of straight lines and cubics between two corners. Only
// what lies between the corners is held: the inner nodes, and for every
// stretch between two nodes its handles, nil where it is straight.
// len(Handles) is len(Nodes)+1.
type Edge struct {
	ID        string
	Was       string
	Name      string
	Fold      bool
	Hem       bool
	Allowance map[string]float64 // mm by set; a fold has none
	Nodes     []geom.Point
	Handles   []*Handles
}

// Notch sits on an edge at a distance along the sewing line from one of its
// ends.
type Notch struct {
	Name    string
	Edge    string
	At      float64 // mm
	FromEnd bool    // counted from the edge's end, anticlockwise, instead of its start
	Count   int     // 1 single, 2 double…
}

// MarkKind is the kind of a mark inside a piece.
type MarkKind string

// The kinds of marks.
const (
	MarkButton     MarkKind = "button"
	MarkButtonhole MarkKind = "buttonhole"
	MarkDot        MarkKind = "dot"
	MarkSlit       MarkKind = "slit"
	MarkPlacement  MarkKind = "placement line"
	MarkFoldLine   MarkKind = "fold line"
	MarkDart       MarkKind = "dart"
	MarkPleat      MarkKind = "pleat"
	MarkText       MarkKind = "text"
)

// The ways a pleat is laid.
const (
	towardsStart = "start"
	towardsEnd   = "end"
)

// Mark is something drawn inside a piece. Which fields count depends on the
// kind: At for a button, dot, text and a dart's point; Path for buttonholes,
// slits and lines; Edge, From and To for a dart's mouth and a pleat's intake.
type Mark struct {
	Kind      MarkKind
	Name      string
	At        geom.Point
	Path      geom.Path
	Size      float64 // mm, a button's diameter
	Text      string
	Edge      string
	From, To  float64 // mm along the edge from its start
	Direction string  // a pleat or dart is laid towards "start" or "end" of its edge; a dart's may be empty, see DartTowards
}

// ReferenceLine is a named line inside a piece to measure from.
type ReferenceLine struct {
	Name string
	Path geom.Path
}

// Clone returns a deep copy.
func (p *Piece) Clone() *Piece {
	c := *p
	if p.Grain != nil {
		g := *p.Grain
		c.Grain = &g
	}
	c.Corners = append([]Corner(nil), p.Corners...)
	c.Edges = make([]Edge, len(p.Edges))
	for i, e := range p.Edges {
		c.Edges[i] = e.clone()
	}
	c.Notches = append([]Notch(nil), p.Notches...)
	c.Marks = append([]Mark(nil), p.Marks...)
	for i := range c.Marks {
		c.Marks[i].Path = slices.Clone(c.Marks[i].Path)
	}
	c.Lines = append([]ReferenceLine(nil), p.Lines...)
	for i := range c.Lines {
		c.Lines[i].Path = slices.Clone(c.Lines[i].Path)
	}
	return &c
}

func (e Edge) clone() Edge {
	c := e
	c.Nodes = append([]geom.Point(nil), e.Nodes...)
	c.Handles = make([]*Handles, len(e.Handles))
	for i, h := range e.Handles {
		if h != nil {
			k := *h
			c.Handles[i] = &k
		}
	}
	c.Allowance = maps.Clone(e.Allowance)
	return c
}

// EdgeIndex finds an edge by its name or its number from 1. A name goes before
// a number.
func (p *Piece) EdgeIndex(name string) (int, error) {
	if clean, err := CleanName(name); err == nil {
		if i, ok := p.edgeNamed(clean); ok {
			return i, nil
		}
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= len(p.Edges) {
		return n - 1, nil
	}
	return 0, fmt.Errorf("%s has no edge %q; its edges are %s", p.Name, name, quoteList(p.EdgeNames()))
}

// edgeNamed finds an edge by its stored name alone.
func (p *Piece) edgeNamed(name string) (int, bool) {
	for i, e := range p.Edges {
		if e.Name == name {
			return i, true
		}
	}
	return 0, false
}

// EdgeByID returns the index of the edge with that id, −1 when there is none.
func (p *Piece) EdgeByID(id string) int {
	for i, e := range p.Edges {
		if e.ID == id {
			return i
		}
	}
	return -1
}

// EdgeNames lists the edges' names, clockwise.
func (p *Piece) EdgeNames() []string {
	names := make([]string, len(p.Edges))
	for i, e := range p.Edges {
		names[i] = e.Name
	}
	return names
}

// NotchByName returns the index of the notch, −1 when there is none.
func (p *Piece) NotchByName(name string) int {
	for i, n := range p.Notches {
		if n.Name == name {
			return i
		}
	}
	return -1
}

// CornerName returns the corner's name, or its two edges' names as EDGE/EDGE.
func (p *Piece) CornerName(i int) string {
	if n := p.Corners[i].Name; n != "" {
		return n
	}
	before := p.Edges[(i+len(p.Edges)-1)%len(p.Edges)].Name
	return before + "/" + p.Edges[i].Name
}
