package diff

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/units"
)

// bandsSaid says in sentences what differs between the bands of two patterns.
func bandsSaid(a, b *pattern.Pattern) []string {
	then := map[string]pattern.Band{}
	for _, old := range a.Bands {
		now := bandNow(old, a, b)
		then[now.String()] = now
	}
	var says []string
	for _, band := range b.Bands {
		name := band.String()
		old, known := then[name]
		delete(then, name)
		if !known {
			says = append(says, fmt.Sprintf("band %s is new, along %s", name, band.Along))
			continue
		}
		for _, what := range append(chainSaid("followed", old.Along, band.Along, b.Unit), differencesSaid(old.Differences, band.Differences, b.Unit)...) {
			says = append(says, fmt.Sprintf("band %s: %s", name, what))
		}
	}
	for _, old := range a.Bands {
		if name := bandName(old, a, b); hasBand(then, name) {
			says = append(says, fmt.Sprintf("band %s is none any more", name))
		}
	}
	return says
}

func hasBand(all map[string]pattern.Band, name string) bool { _, ok := all[name]; return ok }

func bandName(old pattern.Band, a, b *pattern.Pattern) string {
	now := bandNow(old, a, b)
	return now.String()
}

// bandNow is a band of a in the present names of pieces and edges.
func bandNow(band pattern.Band, a, b *pattern.Pattern) pattern.Band {
	s := seamNow(pattern.Seam{First: pattern.Chain{{Piece: band.Piece, Edge: band.Edge}}, Second: band.Along}, a, b)
	band.Piece, band.Edge, band.Along = s.First[0].Piece, s.First[0].Edge, s.Second
	return band
}

// differencesSaid compares declared differences by what they are.
func differencesSaid(was, is []pattern.Difference, unit units.Unit) []string {
	var says []string
	for _, d := range is {
		if old := differenceOf(was, d.What); old != d.By {
			says = append(says, fmt.Sprintf("%s is %s (was %s)", d.What, unit.FormatSigned(d.By), unit.FormatSigned(old)))
		}
	}
	for _, d := range was {
		if d.By != 0 && !slices.ContainsFunc(is, func(n pattern.Difference) bool { return n.What == d.What }) {
			says = append(says, fmt.Sprintf("%s is %s (was %s)", d.What, unit.FormatSigned(0), unit.FormatSigned(d.By)))
		}
	}
	return says
}
