package alter

import (
	"math"
	"slices"

	"toile/pattern"
)

// SlidMatch is a notch at which sections of a seam end and that came to lie elsewhere on
// the cloth with the end that it is counted from: where the seam does not fit as a whole
// the sections beside it are out by that, though nothing changed in them.
type SlidMatch struct {
	Seam, Piece string
	Notch       pattern.Notch
	From        string  // the edge at the end that it is counted from
	By          float64 // mm to move it by, away from there, to have it where it was
}

// matchedSlid lists the matched notches that went along with an end.
func (m *making) matchedSlid(before *pattern.Pattern) (slid []SlidMatch) {
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		old := seamNamed(before, seam.Name)
		if old == nil || len(old.Sections) != len(seam.Sections) {
			continue
		}
		for k, section := range seam.Sections {
			was := old.Sections[k]
			for side, ref := range [2]pattern.NotchRef{section.First, section.Second} {
				if ref == (pattern.NotchRef{}) || ref != [2]pattern.NotchRef{was.First, was.Second}[side] {
					continue
				}
				if n, ok := m.slidWithEnd(before, ref); ok {
					n.Seam = seam.Name
					slid = append(slid, n)
				}
			}
		}
	}
	return slid
}

// slidWithEnd is a notch that is counted as before and lies elsewhere on the cloth, by
// more than a section may be out.
func (m *making) slidWithEnd(before *pattern.Pattern, ref pattern.NotchRef) (SlidMatch, bool) {
	q, err := m.pattern.Piece(ref.Piece)
	old, errOld := before.Piece(ref.Piece)
	if err != nil || errOld != nil {
		return SlidMatch{}, false
	}
	k, j := q.NotchByName(ref.Notch), old.NotchByName(ref.Notch)
	if k < 0 || j < 0 || q.Notches[k] != old.Notches[j] {
		return SlidMatch{}, false
	}
	n := q.Notches[k]
	on, ok, _ := m.onCloth(before, pattern.Stretch{Piece: q.Name, Edge: n.Edge}, counted(n, lengthOf(old, n.Edge)))
	by := on - counted(n, lengthOf(q, n.Edge))
	if n.FromEnd {
		by = -by
	}
	return SlidMatch{Piece: q.Name, Notch: n, From: endOfCount(q, n), By: by}, ok && math.Abs(by) > m.pattern.Tolerances.Section
}

// endOfCount is the edge at the end from which a notch is counted.
func endOfCount(q *pattern.Piece, n pattern.Notch) string {
	i, size := slices.Index(q.EdgeNames(), n.Edge), len(q.Edges)
	if n.FromEnd {
		return q.Edges[(i+1)%size].Name
	}
	return q.Edges[(i+size-1)%size].Name
}
