package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/trace"
	"toile/pattern/units"
)

type traceOptions struct {
	drawn     string
	allowance string
	edges     []string
	fold      string
	place     string
	scale     string
	all       bool
	cloth     string
	cut       string

	drawnWithin string
}

func newTrace(a *app) *cobra.Command {
	var opt traceOptions
	cmd := &cobra.Command{
		Use:   "trace FILE…",
		Short: "Bring outlines in from drawings or measured points",
		Long: `Brings outlines in from drawings, SVG (.svg, .svgz) or DXF (.dxf), and lists of
points measured off paper (.points). Each closed path with a name, and each piece
of a DXF after ASTM D6673, is a piece: a new one, or the next state of the piece
of that name. All files come in, or nothing does.

--drawn says which line was drawn, the sewing line unless it is the cutting line.
From a cutting line the program goes inward by the allowances, so it asks for the
fold and for the allowances that differ: --allowance for all edges, --edge for
one, by its name, its number, or the side of the sheet it lies on (top, right,
bottom, left). --fold names the edge on the fold the same way.

A piece that is there already is found again wherever it lies on the sheet
(--place fit), or taken as it lies (--place as-is). Its edges keep their names,
allowances, notches and seams, and what was not redrawn keeps its stored figures.
Turned over it is found too. A drawing that lies on little of the stored piece in
any position is refused, and so is one that lies on its cutting line when --drawn
does not say which line it is.

A drawing made by hand after the paper wavers: --drawn-within 0.5mm says by how
much, and what lies within three times that of the stored outline is the same.
Dense points with an error are recognised without it.

--scale gives the length in mm of one unit of a drawing that does not say its
size, or contradicts itself. --all takes closed paths without a name too. A new piece is cut from
outer, once, unless --cloth and --cut say otherwise.

` + exitCodes,
		Example: `  toile trace smock.svg --allowance 1cm --edge hemline=4cm
  toile trace back.points --fold left
  toile trace bought.svg --drawn cutting --allowance 1.5cm --edge bottom=4cm --fold left
  toile trace back-altered.svg --place as-is`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := opt.check(); err != nil {
				return err
			}
			if !cmd.Flags().Changed("drawn") {
				opt.drawn = "" // so that a cutting line drawn by mistake is noticed
			}
			return a.change(func(o *opened) error { return o.trace(args, opt) })
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"svg", "svgz", "dxf", "points"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	f := cmd.Flags()
	f.StringVar(&opt.drawn, "drawn", trace.DrawnSewing, "the line that was drawn: sewing or cutting")
	f.StringVar(&opt.allowance, "allowance", "", "the allowance of all edges, a length `L`")
	f.StringArrayVar(&opt.edges, "edge", nil, "the allowance of one edge, `EDGE=L`; may be given again")
	f.StringVar(&opt.fold, "fold", "", "the `EDGE` on the fold: left, right, its name or its number")
	f.StringVar(&opt.place, "place", trace.PlaceFit, "how a piece already there is laid: fit or as-is")
	f.StringVar(&opt.scale, "scale", "", "millimetres in one unit of the drawing, a number `S`")
	f.BoolVar(&opt.all, "all", false, "take closed paths without a name of their own too")
	f.StringVar(&opt.drawnWithin, "drawn-within", "", "how far, a length `L`, a drawing made by hand may be from the paper")
	f.StringVar(&opt.cloth, "cloth", "", "what the piece is cut from: outer, lining, interfacing…")
	f.StringVar(&opt.cut, "cut", "", `how it is cut: "one", "a pair" or "one on fold"`)
	completeFlag(cmd, "drawn", trace.DrawnSewing, trace.DrawnCutting)
	completeFlag(cmd, "place", trace.PlaceFit, trace.PlaceAsIs)
	completeFlag(cmd, "fold", "left", "right", "top", "bottom")
	completeFlag(cmd, "cut", string(pattern.CutOne), string(pattern.CutPair), string(pattern.CutOnFold))
	completeFlag(cmd, "cloth", outerCloth, "lining", "interfacing", "facing")
	for _, flag := range []string{"allowance", "edge", "scale", "drawn-within"} {
		completeFlagWith(cmd, flag, nothing)
	}
	return cmd
}

func (opt traceOptions) check() error {
	if err := oneOf("drawn", opt.drawn, trace.DrawnSewing, trace.DrawnCutting); err != nil {
		return err
	}
	if err := oneOf("place", opt.place, trace.PlaceFit, trace.PlaceAsIs); err != nil {
		return err
	}
	if opt.cut == "" {
		return nil
	}
	if opt.fold != "" && opt.cut != string(pattern.CutOnFold) {
		return usagef("--fold and --cut %q contradict each other; a piece with a fold is cut %q", opt.cut, pattern.CutOnFold)
	}
	return oneOf("cut", opt.cut, string(pattern.CutOne), string(pattern.CutPair), string(pattern.CutOnFold))
}

func (o *opened) trace(files []string, opt traceOptions) error {
	request, err := o.traceRequest(opt)
	if err != nil {
		return err
	}
	read, points := trace.Options{All: opt.all, Drawn: opt.drawn}, trace.PointsOptions{Unit: o.Unit.MM()}
	if opt.scale != "" {
		if read.Scale, err = units.ParsePositive(opt.scale, units.Millimetre); err != nil {
			return usagef("--scale: %w", err)
		}
	}
	came := map[string]string{} // from where each piece came
	for _, file := range files {
		drawing, err := trace.Read(file, read, points)
		if err != nil {
			return err
		}
		for _, says := range drawing.Ignored {
			o.advise("%s", says)
		}
		for _, outline := range drawing.Outlines {
			q, err := o.traceOne(outline, request)
			if err != nil {
				return err
			}
			if before, twice := came[q.Name]; twice {
				return fmt.Errorf("%s: the piece %q came in from %s already; give one of them another name", outline.Where, q.Name, before)
			}
			came[q.Name] = outline.Where
		}
	}
	return nil
}

// traceRequest reads the lengths among the options.
func (o *opened) traceRequest(opt traceOptions) (trace.Request, error) {
	r := trace.Request{Drawn: opt.drawn, Fold: opt.fold, Place: opt.place, Set: o.Sets[0], Cloth: strings.TrimSpace(opt.cloth), Cut: pattern.Cut(opt.cut)}
	if opt.drawnWithin != "" {
		mm, err := flagLength("drawn-within", opt.drawnWithin, o.Unit)
		if err != nil {
			return r, err
		}
		r.DrawnWithin = mm
	}
	if opt.allowance != "" {
		mm, err := flagLength("allowance", opt.allowance, o.Unit)
		if err != nil {
			return r, err
		}
		r.Allowance = &mm
	}
	r.Edges = map[string]float64{}
	for _, text := range opt.edges {
		name, amount, ok := cutLast(text)
		if !ok || name == "" {
			return r, usagef("--edge is %q; write EDGE=LENGTH, as in hemline=4cm", text)
		}
		if _, twice := r.Edges[name]; twice {
			return r, usagef("--edge names %q twice; give one allowance", name)
		}
		mm, err := flagLength("edge", amount, o.Unit)
		if err != nil {
			return r, err
		}
		r.Edges[name] = mm
	}
	return r, nil
}

// traceOne brings one outline in.
func (o *opened) traceOne(outline trace.Outline, request trace.Request) (*pattern.Piece, error) {
	if _, err := o.Piece(outline.Name); err != nil && request.Cloth == "" && outline.Cloth == "" {
		request.Cloth = outerCloth
	}
	request.Cost = diff.Cost
	result, err := trace.ToPiece(o.Pattern, outline, request)
	if err != nil {
		return nil, err
	}
	q := result.Piece
	if result.New {
		o.adviseAlike(q.Name)
	}
	o.Put(q)
	what := "traced again"
	switch {
	case result.New:
		what = "new"
	case !result.Changed:
		what = "nothing changed"
	}
	net, err := q.NetArea()
	if err != nil {
		return nil, err
	}
	o.say("%s: %s, %s, %s", q.Name, what, count(len(q.Edges), "edge", "edges"), area(o.Unit, net))
	if taken := takenWords(result.Taken); taken != "" {
		o.say("  %s in the drawing", taken)
	}
	if request.Drawn == trace.DrawnCutting {
		o.say("  the cutting line computed from it departs by %s at most from the drawn one, at (%s, %s)",
			o.length(result.Departure), o.length(result.DepartureAt.X), o.length(result.DepartureAt.Y))
	}
	for _, says := range result.Says {
		o.advise("%s", says)
	}
	o.advisePose(q, result)
	return q, nil
}

// adviseAlike tells of a piece that is there already under the same name but for
// capitals, as programs write them: the new one is another.
func (o *opened) adviseAlike(name string) {
	for _, q := range o.Pieces {
		if q.Name != name && strings.EqualFold(q.Name, name) {
			o.advise("%s: a new piece beside %q; if both are one, give it that name in the drawing; `toile undo` takes this back", name, q.Name)
		}
	}
}

// takenWords tells what a drawing showed on and in an outline.
func takenWords(t trace.Taken) string {
	var words []string
	for _, c := range []struct {
		n         int
		one, many string
	}{
		{t.Notches, "notch", "notches"}, {t.Lines, "line", "lines"}, {t.Dots, "dot", "dots"}, {t.Texts, "text", "texts"},
	} {
		if c.n > 0 {
			words = append(words, count(c.n, c.one, c.many))
		}
	}
	if t.Grain {
		words = append(words, "the grain line")
	}
	if len(words) == 0 {
		return ""
	}
	return list(words)
}

// advisePose says how a drawing was laid over the piece, where it was moved,
// and how else it would fit.
func (o *opened) advisePose(q *pattern.Piece, r trace.Result) {
	if r.New || r.Pose.Motion.Identity() {
		return
	}
	o.advise("%s: laid over its last state %s.", q.Name, motionWords(r.Pose.Motion, o.Unit))
	for _, other := range r.Alternatives {
		o.advise("%s: it would fit nearly as well %s; if that is meant, lay the drawing so and trace it with --place as-is.",
			q.Name, motionWords(other.Motion, o.Unit))
	}
}

// motionWords says how something was laid: turned over first, then turned, then
// moved.
func motionWords(m geom.Motion, unit units.Unit) string {
	var words []string
	if m.Mirror {
		words = append(words, "turned over")
	}
	if turn := units.FormatAngle(m.Turn); turn != "0°" {
		words = append(words, "turned by "+turn)
	}
	if m.Shift.Len() > 0.001 {
		words = append(words, fmt.Sprintf("moved by %s across and %s down", unit.Format(m.Shift.X), unit.Format(m.Shift.Y)))
	}
	if len(words) == 0 {
		return "as it lies"
	}
	return list(words)
}
