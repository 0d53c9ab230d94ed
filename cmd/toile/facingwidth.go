package main

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
)

// What counts as the width of a facing: in mm how far it may differ along its edge for it
// to be one width, and its greatest, for a lining is wider; and by how much of itself it
// may differ for the two edges to lie along each other.
const (
	facingEven   = 0.3
	facingWidest = 200
	facingUneven = 0.5
)

// sayFacingWidths tells of facings whose sewn edge changed while their inner edge
// stayed, as it does when a neckline is carried to them, how wide they are left.
func (o *opened) sayFacingWidths(before, after *pattern.Pattern) {
	told := map[string]bool{}
	for _, layer := range after.Layers {
		for _, name := range layer.Inner {
			was, errWas := before.Piece(name)
			now, err := after.Piece(name)
			if err != nil || errWas != nil || layer.Band || told[name] || len(was.Edges) != len(now.Edges) {
				continue
			}
			told[name] = true
			for i := range now.Edges {
				if sewnTo(after, name, now.Edges[i].Name, layer.Outer) {
					o.sayFacingWidth(after, was, now, i)
				}
			}
		}
	}
}

// sewnTo reports whether an edge of a piece is sewn to an outer.
func sewnTo(p *pattern.Pattern, piece, edge, outer string) bool {
	has := func(c pattern.Chain, of string) bool {
		return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == of })
	}
	return slices.ContainsFunc(p.SeamsOf(piece, edge), func(s *pattern.Seam) bool { return has(s.First, outer) || has(s.Second, outer) })
}

// sayFacingWidth tells it of sewn edge i and the inner edges that lay at one width from
// it.
func (o *opened) sayFacingWidth(after *pattern.Pattern, was, now *pattern.Piece, i int) {
	from, to := was.EdgePath(i), now.EdgePath(i)
	if lieAlike(from, to) {
		return
	}
	for k := range now.Edges {
		least, most, ok := widthBetween(was.EdgePath(k), from)
		if k == i || now.Edges[k].Fold || !ok || most-least > facingUneven*least || least < 1 || most > facingWidest {
			continue
		}
		narrow, wide, ok := widthBetween(now.EdgePath(k), to)
		if !ok || math.Max(math.Abs(narrow-least), math.Abs(wide-most)) <= facingEven {
			continue
		}
		next := ""
		if wide-narrow <= facingEven && most-least <= facingEven {
			next = o.widthBack(after, now, k, (least+most-narrow-wide)/2)
		}
		o.advise("%s is %s wide now from %q to %q, where it was %s%s", now.Name, o.widths(narrow, wide), now.Edges[i].Name, now.Edges[k].Name, o.widths(least, most), next)
	}
}

// widths says a width, or between which it lies.
func (o *opened) widths(least, most float64) string {
	if most-least <= facingEven {
		return o.length((least + most) / 2)
	}
	return fmt.Sprintf("%s to %s", o.length(least), o.length(most))
}

// widthBack names the move of a facing's inner edge that gives it its width back,
// where that can be made.
func (o *opened) widthBack(p *pattern.Pattern, q *pattern.Piece, k int, by float64) string {
	kind := "let-out"
	if by < 0 {
		kind = "take-in"
	}
	amount := o.Unit.Typed(math.Abs(by))
	r := alter.Recipe{Kind: kind, Piece: q.Name, Unit: o.Unit, Values: map[string]string{"edge": q.Edges[k].Name, "by": amount}}
	if _, err := alter.Make(p, r); err != nil {
		return ""
	}
	return fmt.Sprintf("; `toile alter %s %q %q %s` gives it that back", kind, q.Name, q.Edges[k].Name, amount)
}

// lieAlike reports whether two lines lie within facingEven of each other.
func lieAlike(a, b geom.Path) bool {
	const samples = 16
	for k := range samples + 1 {
		share := float64(k) / samples
		if a.PointAt(share*a.Length()).Dist(b.PointAt(share*b.Length())) > facingEven {
			return false
		}
	}
	return true
}

// widthBetween is the least and the greatest distance of places on a line from another
// that they lie square to; not ok where less than half of them do.
func widthBetween(line, other geom.Path) (least, most float64, ok bool) {
	const samples = 32
	least, met := math.Inf(1), 0
	length, far := line.Length(), other.Length()
	for k := range samples + 1 {
		place, d := other.Nearest(line.PointAt(length * float64(k) / samples))
		if at := other.LengthTo(place); at < 0.01 || at > far-0.01 {
			continue // beyond an end of it
		}
		met++
		least, most = math.Min(least, d), math.Max(most, d)
	}
	return least, most, 2*met > samples
}
