package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

type piecesOptions struct{ json bool }

func newPieces(a *app) *cobra.Command {
	var opt piecesOptions
	cmd := &cobra.Command{
		Use:   "pieces [PIECE…]",
		Short: "List the pieces with their edges",
		Long: `Lists the pieces, or those that are named: what each is cut from and how, the
area within its sewing line (net) and within its cutting line (cut, for the
first allowance set) as drawn, its edges with number, length and allowances,
and its notches.

With --json: a list of {piece, id, net_area_mm2, cut_area_mm2, edges, notches,
marks, grain}; lengths in mm, places as [x, y] on the sheet. An edge's
allowance_mm is that of the first allowance set, its from and to are the sharp
corners. A notch's at_mm counts from its edge's start. cut_area_mm2 is null
where an allowance leaves no cutting line, grain is null where none is drawn.

` + exitCodes,
		Example: `  toile pieces
  toile pieces front --json`,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.read(func(o *opened) error { return o.listPieces(args, opt) })
		},
		ValidArgsFunction: a.pieceNames(),
	}
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

func (o *opened) listPieces(names []string, opt piecesOptions) error {
	pieces, err := o.chosen(names)
	if err != nil {
		return err
	}
	listed := []pieceJSON{}
	for i, q := range pieces {
		j, cutProblem, err := o.pieceJSON(q)
		if err != nil {
			return err
		}
		if cutProblem != nil {
			o.advise("%v", cutProblem)
		}
		listed = append(listed, j)
		if !opt.json {
			if i > 0 {
				o.say("")
			}
			o.sayPiece(q, j)
		}
	}
	if opt.json {
		return o.sayJSON(listed)
	}
	if len(pieces) == 0 {
		o.advise("The pattern has no pieces yet; bring some in with `toile trace FILE`.")
	}
	return nil
}

func (o *opened) sayPiece(q *pattern.Piece, j pieceJSON) {
	cut := "no cutting line"
	if j.CutArea != nil {
		cut = "cut " + area(o.Unit, *j.CutArea)
	}
	side := ""
	if q.Side != "" {
		side = " (wearer's " + q.Side + ")"
	}
	o.say("%s: %s, cut %s%s; net %s, %s", q.Name, q.Cloth, q.Cut, side, area(o.Unit, j.NetArea), cut)
	w := tabwriter.NewWriter(&o.result, 0, 0, 2, ' ', 0)
	for i := range q.Edges {
		fmt.Fprintf(w, "  %d\t%s\t%s\t%s\n", i+1, q.Edges[i].Name, o.length(q.Length(i)), o.edgeWords(q, i))
	}
	w.Flush()
	for k, n := range q.Notches {
		o.say("  notch %s: %s from the %s of %s", n.Name, o.length(n.At), map[bool]string{true: "end", false: "start"}[n.FromEnd], j.Notches[k].Edge)
	}
}

// edgeWords says what is set on an edge: fold, hem, its allowances, and how
// its first corner is rounded.
func (o *opened) edgeWords(q *pattern.Piece, i int) string {
	e := q.Edges[i]
	var words []string
	if e.Fold {
		words = append(words, "fold")
	}
	if e.Hem {
		words = append(words, "hem")
	}
	for _, set := range o.Sets {
		if v := e.AllowanceFor(set); v != 0 {
			words = append(words, set+" "+o.length(v))
		}
	}
	if r := q.Corners[i].Round; r != 0 {
		words = append(words, "starts rounded by "+o.length(r))
	}
	return strings.Join(words, ", ")
}

// The shape of `pieces --json`.
type pieceJSON struct {
	Piece   string      `json:"piece"`
	ID      string      `json:"id"`
	NetArea float64     `json:"net_area_mm2"`
	CutArea *float64    `json:"cut_area_mm2"`
	Edges   []edgeJSON  `json:"edges"`
	Notches []notchJSON `json:"notches"`
	Marks   []markJSON  `json:"marks"`
	Grain   *grainJSON  `json:"grain"`
}

type edgeJSON struct {
	Number    int       `json:"number"`
	Edge      string    `json:"edge"`
	ID        string    `json:"id"`
	Length    float64   `json:"length_mm"`
	Allowance float64   `json:"allowance_mm"`
	Fold      bool      `json:"fold"`
	From      change.XY `json:"from"`
	To        change.XY `json:"to"`
}

type notchJSON struct {
	Name string    `json:"name"`
	Edge string    `json:"edge"`
	AtMM float64   `json:"at_mm"`
	At   change.XY `json:"at"`
}

type markJSON struct {
	Mark   string       `json:"mark"`
	Kind   string       `json:"kind"`
	At     change.XY    `json:"at"`
	Curves [][8]float64 `json:"curves,omitempty"` // each from, two handles, to
	Edge   string       `json:"edge,omitempty"`
	From   float64      `json:"from_mm,omitempty"`
	To     float64      `json:"to_mm,omitempty"`
	Text   string       `json:"text,omitempty"`
}

type grainJSON struct {
	From   change.XY `json:"from"`
	To     change.XY `json:"to"`
	OneWay bool      `json:"one_way"`
	Bias   bool      `json:"bias"`
}

// pieceJSON gathers a piece's figures; cutProblem says why there is no
// cutting line.
func (o *opened) pieceJSON(q *pattern.Piece) (j pieceJSON, cutProblem, err error) {
	j = pieceJSON{Piece: q.Name, ID: q.ID, Edges: []edgeJSON{}, Notches: []notchJSON{}, Marks: []markJSON{}}
	net, err := q.NetArea()
	if err != nil {
		return j, nil, err
	}
	j.NetArea = change.Figure(net)
	cut, cutProblem := q.CutArea(o.Sets[0])
	if cutProblem == nil {
		j.CutArea = change.Amount(cut)
	}
	for i := range q.Edges {
		e := &q.Edges[i]
		j.Edges = append(j.Edges, edgeJSON{i + 1, e.Name, e.ID, change.Figure(q.Length(i)), change.Figure(e.AllowanceFor(o.Sets[0])), e.Fold,
			xy(q.Corners[i].At), xy(q.Corners[(i+1)%len(q.Corners)].At)})
	}
	for _, n := range q.Notches {
		at, _, from, err := q.NotchPlace(n)
		if err != nil {
			return j, cutProblem, err
		}
		j.Notches = append(j.Notches, notchJSON{n.Name, n.Edge, change.Figure(from), xy(at)})
	}
	for _, m := range q.Marks {
		j.Marks = append(j.Marks, markToJSON(q, m))
	}
	if g := q.Grain; g != nil {
		j.Grain = &grainJSON{xy(g.From), xy(g.To), g.OneWay, g.Bias}
	}
	return j, cutProblem, nil
}

func markToJSON(q *pattern.Piece, m pattern.Mark) markJSON {
	j := markJSON{Mark: m.Name, Kind: string(m.Kind), At: xy(m.At), Edge: m.Edge, From: change.Figure(m.From), To: change.Figure(m.To), Text: m.Text}
	for i, c := range m.Path {
		if i == 0 {
			j.At = xy(c.P0)
		}
		var row [8]float64
		for k, p := range []geom.Point{c.P0, c.P1, c.P2, c.P3} {
			row[2*k], row[2*k+1] = change.Figure(p.X), change.Figure(p.Y)
		}
		j.Curves = append(j.Curves, row)
	}
	if i, err := q.EdgeIndex(m.Edge); m.Kind == pattern.MarkPleat && err == nil {
		j.At = xy(q.EdgePath(i).PointAt(m.From))
	}
	return j
}
