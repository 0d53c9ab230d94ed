package main

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/check"
)

// mostCarriesTried is how many carries are tried across one seam.
const mostCarriesTried = 4

// carryToFit is the command that brings the change of an edge across a seam
// where that alone makes the seam fit, however many versions ago it was made;
// empty where none does.
func (o *opened) carryToFit(p *pattern.Pattern, s *pattern.Seam, lagging []int) string {
	tried := 0
	for _, side := range lagging {
		of, to := s.First, s.Second
		if side == 0 {
			of, to = to, of
		}
		for _, from := range of {
			for _, piece := range piecesOf(to) {
				if tried++; tried > mostCarriesTried {
					return ""
				}
				r := alter.Recipe{Kind: "carry", Piece: from.Piece, Values: map[string]string{"edge": from.Edge, "to": piece}}
				if result, err := o.make(p, r); err == nil && seamFits(result.Pattern, s.Name) {
					return fmt.Sprintf("toile alter carry %q %q --to %q", from.Piece, from.Edge, piece)
				}
			}
		}
	}
	return ""
}

// piecesOf are the pieces of a chain, each once.
func piecesOf(c pattern.Chain) []string {
	var names []string
	for _, s := range c {
		if !slices.Contains(names, s.Piece) {
			names = append(names, s.Piece)
		}
	}
	return names
}

// seamFits reports whether every section of a seam is within the tolerance.
func seamFits(p *pattern.Pattern, name string) bool {
	for i := range p.Seams {
		if p.Seams[i].Name != name {
			continue
		}
		sections, err := p.WalkSeam(&p.Seams[i])
		for _, s := range sections {
			if !s.Gathered && math.Abs(s.Difference()-s.Ease) > p.Tolerances.Section {
				return false
			}
		}
		return err == nil
	}
	return false
}

// worseBy is by how much in mm or degrees a finding has to grow to be worse.
const worseBy = 0.05

// noWorse tells of what an alteration makes of a pattern whether check finds
// nothing there that it did not find before, or found smaller: a dent, a layer
// off its outer. Notches that part are left out, each has its own next step.
func noWorse(before *pattern.Pattern) func(after *pattern.Pattern) bool {
	type place struct {
		kind  change.FindingKind
		where string
	}
	var was map[place]float64
	sizes := func(p *pattern.Pattern) map[place]float64 {
		found, err := check.Run(p, check.Options{})
		if err != nil {
			return nil
		}
		all := map[place]float64{}
		for _, f := range found.Findings {
			size := math.Abs(f.MM)
			if f.Turn != nil {
				size = math.Max(size, math.Abs(*f.Turn))
			}
			k := place{f.Kind, f.Where}
			all[k] = math.Max(all[k], size)
		}
		return all
	}
	return func(after *pattern.Pattern) bool {
		if was == nil {
			was = sizes(before)
		}
		now := sizes(after)
		for k, size := range now {
			if old, ok := was[k]; k.kind != change.NotchAlone && (!ok || size > old+worseBy) {
				return false
			}
		}
		return now != nil
	}
}
