package export

import (
	"bytes"
	"encoding/json"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// The shape of the JSON: docs/schema/export.schema.json. Lengths are in mm,
// places [x, y] on the piece's sheet, curves cubics of four points.
type exportJSON struct {
	Made    string      `json:"made"`
	Pattern string      `json:"pattern"`
	Version string      `json:"version"`
	Set     string      `json:"set"`
	Pieces  []pieceJSON `json:"pieces"`
}

type pieceJSON struct {
	Piece   string      `json:"piece"`
	ID      string      `json:"id"`
	Cloth   string      `json:"cloth"`
	Cut     string      `json:"cut"`
	Side    string      `json:"side"`
	NetArea float64     `json:"net_area_mm2"`
	CutArea float64     `json:"cut_area_mm2"`
	Edges   []edgeJSON  `json:"edges"`
	Cutting []curveJSON `json:"cutting_line"`
	Notches []notchJSON `json:"notches"`
	Marks   []markJSON  `json:"marks"`
	Lines   []lineJSON  `json:"lines"`
	Grain   *grainJSON  `json:"grain"`
}

type (
	pointJSON [2]float64
	curveJSON [8]float64
)

type edgeJSON struct {
	Number    int         `json:"number"`
	Edge      string      `json:"edge"`
	ID        string      `json:"id"`
	Length    float64     `json:"length_mm"`
	Allowance float64     `json:"allowance_mm"`
	Fold      bool        `json:"fold"`
	Hem       bool        `json:"hem"`
	From      pointJSON   `json:"from"`
	To        pointJSON   `json:"to"`
	Round     float64     `json:"starts_rounded_mm"`
	Curves    []curveJSON `json:"sewing_line"`
}

type notchJSON struct {
	Notch string    `json:"notch"`
	Edge  string    `json:"edge"`
	At    float64   `json:"at_mm"`
	Place pointJSON `json:"at"`
	Cut   pointJSON `json:"cut_at"`
	Count int       `json:"count"`
}

type markJSON struct {
	Mark    string      `json:"mark"`
	Kind    string      `json:"kind"`
	At      pointJSON   `json:"at"`
	Curves  []curveJSON `json:"curves,omitempty"`
	Size    float64     `json:"size_mm,omitempty"`
	Text    string      `json:"text,omitempty"`
	Edge    string      `json:"edge,omitempty"`
	From    *float64    `json:"from_mm,omitempty"`
	To      *float64    `json:"to_mm,omitempty"`
	Towards string      `json:"towards,omitempty"`
}

type lineJSON struct {
	Line   string      `json:"line"`
	Curves []curveJSON `json:"curves"`
}

type grainJSON struct {
	From   pointJSON `json:"from"`
	To     pointJSON `json:"to"`
	OneWay bool      `json:"one_way"`
	Bias   bool      `json:"bias"`
}

// JSON writes the pieces for programs, every curve as it is.
func (j Job) JSON() ([]byte, error) {
	all, err := j.gather()
	if err != nil {
		return nil, err
	}
	e := exportJSON{Made: noStamp, Pattern: j.Pattern, Version: j.Version, Set: j.Set, Pieces: []pieceJSON{}}
	for _, c := range all {
		e.Pieces = append(e.Pieces, c.json(j.Set))
	}
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(e); err != nil {
		return nil, err
	}
	return stamped(out.Bytes()), nil
}

func figure(v float64) float64 { return units.Round(v, pathDecimals) }

func point(p geom.Point) pointJSON { return pointJSON{figure(p.X), figure(p.Y)} }

func curve(c geom.Cubic) curveJSON {
	var row curveJSON
	for k, p := range [4]geom.Point{c.P0, c.P1, c.P2, c.P3} {
		row[2*k], row[2*k+1] = figure(p.X), figure(p.Y)
	}
	return row
}

func curves(p geom.Path) []curveJSON {
	out := make([]curveJSON, len(p))
	for i, c := range p {
		out[i] = curve(c)
	}
	return out
}

func (c content) json(set string) pieceJSON {
	q := c.piece
	p := pieceJSON{Piece: q.Name, ID: q.ID, Cloth: q.Cloth, Cut: string(q.Cut), Side: q.Side,
		NetArea: figure(c.sewing.Ring.Area()), CutArea: figure(c.cutting.Area()), Cutting: curves(geom.Path(c.cutting)),
		Edges: make([]edgeJSON, len(q.Edges)), Notches: []notchJSON{}, Marks: []markJSON{}, Lines: []lineJSON{}}
	for i, e := range q.Edges {
		p.Edges[i] = edgeJSON{Number: i + 1, Edge: e.Name, ID: e.ID, Length: figure(q.Length(i)), Allowance: figure(e.AllowanceFor(set)),
			Fold: e.Fold, Hem: e.Hem, From: point(q.Corners[i].At), To: point(q.Corners[(i+1)%len(q.Corners)].At),
			Round: figure(q.Corners[i].Round), Curves: c.edgeCurves(i)}
	}
	for i, n := range q.Notches {
		_, _, from, _ := q.NotchPlace(n) // gather has looked it up already
		s := c.notches[i]
		p.Notches = append(p.Notches, notchJSON{n.Name, n.Edge, figure(from), point(s.at), point(s.cut), s.count})
	}
	for _, m := range q.Marks {
		p.Marks = append(p.Marks, markOf(q, m))
	}
	for _, l := range q.Lines {
		p.Lines = append(p.Lines, lineJSON{l.Name, curves(l.Path)})
	}
	if g := q.Grain; g != nil {
		p.Grain = &grainJSON{point(g.From), point(g.To), g.OneWay, g.Bias}
	}
	return p
}

// edgeCurves are the curves of the drawn sewing line that belong to an edge, in
// its order: the ring may start within it, where its first corner is rounded.
func (c content) edgeCurves(edge int) []curveJSON {
	n := len(c.sewing.Ring)
	first := 0
	for k := range n {
		if c.sewing.Edge[k] == edge && c.sewing.Edge[(k+n-1)%n] != edge {
			first = k
		}
	}
	out := []curveJSON{}
	for k := range n {
		if at := (first + k) % n; c.sewing.Edge[at] == edge {
			out = append(out, curve(c.sewing.Ring[at]))
		}
	}
	return out
}

func markOf(q *pattern.Piece, m pattern.Mark) markJSON {
	j := markJSON{Mark: m.Name, Kind: string(m.Kind), At: point(m.At), Size: figure(m.Size), Text: m.Text, Edge: m.Edge, Towards: m.Direction}
	if len(m.Path) > 0 {
		j.At, j.Curves = point(m.Path.Start()), curves(m.Path)
	}
	if m.Edge == "" {
		return j
	}
	from, to := figure(m.From), figure(m.To)
	j.From, j.To = &from, &to
	if i, err := q.EdgeIndex(m.Edge); m.Kind == pattern.MarkPleat && err == nil {
		j.At = point(q.EdgePath(i).PointAt(m.From))
	}
	return j
}
