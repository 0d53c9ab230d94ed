package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/render"
)

type cuttingListOptions struct {
	set  string
	json bool
}

func newCuttingList(a *app) *cobra.Command {
	var opt cuttingListOptions
	cmd := &cobra.Command{
		Use:   "cutting-list [V]",
		Short: "List what is to be cut from which cloth",
		Long: `Lists for each piece how many are cut, from which cloth, whether it is a pair or
lies on the fold, and its area within the cutting line, opened out; then the sum
for each cloth. The cloth between the pieces is not in the areas. A version is
typed as for diff; without one it is the working pattern. --for chooses the
allowances, the first set unless said.

--json gives {set, pieces, cloths, cautions}; areas are in mm², null where an
allowance leaves no cutting line.

` + exitCodes,
		Example: `  toile cutting-list
  toile cutting-list fitting-2 --for toile`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.open(false, func(o *opened) error { return o.cuttingList(args, opt) })
		},
		ValidArgsFunction: inOrder(a.versions(), nothing),
	}
	f := cmd.Flags()
	f.StringVar(&opt.set, "for", "", "the allowance `SET`, such as cloth or toile")
	f.BoolVar(&opt.json, "json", false, "print JSON")
	completeFlagWith(cmd, "for", a.setNames())
	return cmd
}

func (o *opened) cuttingList(args []string, opt cuttingListOptions) error {
	s, err := o.oneSide(args)
	if err != nil {
		return err
	}
	set, err := s.chosenSet(opt.set)
	if err != nil {
		return err
	}
	rows, cloths := s.CuttingList(set)
	if opt.json {
		return o.sayJSON(cuttingListToJSON(set, rows, cloths))
	}
	if len(rows) == 0 {
		o.advise("The pattern has no pieces yet; bring some in with `toile trace FILE`.")
		return nil
	}
	o.say("%s, %s: to cut, with the allowances of the set %s", s.Name, s.words(), set)
	for _, line := range cutRowLines(s.Unit, rows) {
		o.say("  %s", line)
	}
	o.say("in all")
	for _, line := range clothLines(s.Unit, cloths) {
		o.say("  %s", line)
	}
	o.say("")
	for _, line := range render.Cautions() {
		o.say("%s", line)
	}
	for _, r := range rows {
		if r.Reason != nil {
			o.advise("%v", r.Reason)
		}
	}
	return nil
}

// oneSide reads the version that is typed, the working pattern where none is.
func (o *opened) oneSide(args []string) (s diffSide, err error) {
	s = workingSide()
	if len(args) > 0 {
		if s, err = o.typedSide(args[0]); err != nil {
			return s, err
		}
	}
	err = o.readSide(&s)
	return s, err
}

// chosenSet is the allowance set that was typed, the first where none was.
func (s diffSide) chosenSet(typed string) (string, error) {
	if typed == "" {
		return s.Sets[0], nil
	}
	if !s.HasSet(typed) {
		return "", fmt.Errorf("%s has no allowance set %q; the sets are %s", s.words(), typed, list(s.Sets))
	}
	return typed, nil
}

// cutRowLines tell what is to be cut, a line a piece.
func cutRowLines(unit units.Unit, rows []pattern.CutRow) []string {
	var out []string
	for _, r := range rows {
		q := r.Piece
		words := []string{fmt.Sprintf("%d × %s, %s", r.Count, q.Name, q.Cut)}
		if q.Cloth != "" {
			words = append(words, "from "+q.Cloth)
		}
		if q.Side != "" {
			words = append(words, "wearer's "+q.Side)
		}
		if q.Grain != nil && q.Grain.Bias {
			words = append(words, "on the bias")
		}
		if q.Grain != nil && q.Grain.OneWay {
			words = append(words, "one way up")
		}
		line := strings.Join(words, ", ") + ": "
		switch {
		case r.Reason != nil:
			line += "no cutting line"
		case r.Count > 1:
			line += area(unit, r.Area) + " each, " + area(unit, r.Total())
		default:
			line += area(unit, r.Area)
		}
		out = append(out, line)
	}
	return out
}

// clothLines tell the sums.
func clothLines(unit units.Unit, cloths []pattern.ClothArea) []string {
	var out []string
	for _, c := range cloths {
		name := c.Cloth
		if name == "" {
			name = "no cloth said"
		}
		line := fmt.Sprintf("%s: %s, %s", name, count(c.Count, "piece", "pieces"), area(unit, c.Area))
		if !c.Whole {
			line += " and what has no cutting line"
		}
		out = append(out, line+"; more for what lies between them")
	}
	return out
}

// The shape of `cutting-list --json`.
type cuttingListJSON struct {
	Set      string       `json:"set"`
	Pieces   []cutRowJSON `json:"pieces"`
	Cloths   []clothJSON  `json:"cloths"`
	Cautions []string     `json:"cautions"`
}

type cutRowJSON struct {
	Piece  string   `json:"piece"`
	ID     string   `json:"id"`
	Cloth  string   `json:"cloth"`
	Cut    string   `json:"cut"`
	Side   string   `json:"side,omitempty"`
	Count  int      `json:"count"`
	OnFold bool     `json:"on_fold"`
	Bias   bool     `json:"bias"`
	OneWay bool     `json:"one_way"`
	Area   *float64 `json:"cut_area_mm2"`   // of one, opened out
	Total  *float64 `json:"total_area_mm2"` // of all of them
}

type clothJSON struct {
	Cloth string   `json:"cloth"`
	Count int      `json:"count"`
	Total *float64 `json:"total_area_mm2"`
}

func cuttingListToJSON(set string, rows []pattern.CutRow, cloths []pattern.ClothArea) cuttingListJSON {
	j := cuttingListJSON{Set: set, Pieces: []cutRowJSON{}, Cloths: []clothJSON{}, Cautions: render.Cautions()}
	for _, r := range rows {
		q := r.Piece
		row := cutRowJSON{Piece: q.Name, ID: q.ID, Cloth: q.Cloth, Cut: string(q.Cut), Side: q.Side, Count: r.Count, OnFold: q.Cut == pattern.CutOnFold}
		if q.Grain != nil {
			row.Bias, row.OneWay = q.Grain.Bias, q.Grain.OneWay
		}
		if r.Reason == nil {
			row.Area, row.Total = change.Amount(r.Area), change.Amount(r.Total())
		}
		j.Pieces = append(j.Pieces, row)
	}
	for _, c := range cloths {
		row := clothJSON{Cloth: c.Cloth, Count: c.Count}
		if c.Whole {
			row.Total = change.Amount(c.Area)
		}
		j.Cloths = append(j.Cloths, row)
	}
	return j
}
