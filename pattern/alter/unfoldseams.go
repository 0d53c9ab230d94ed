package alter

import (
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// sewBothHalves keeps the half's seams on its half and sews the other half
// likewise. Where what the half is sewn to was drawn whole before, there is a seam
// for each half of that already: one of them gets the half, one its image.
func (m *making) sewBothHalves(u *unfolding) {
	halves := m.sewnToHalves(u.whole.Name)
	for s, image := range m.sewnToSides(u.whole.Name) {
		if _, paired := halves[s]; !paired {
			halves[s] = image
		}
	}
	var more []pattern.Seam
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		if !names(seam.First, u.whole.Name) && !names(seam.Second, u.whole.Name) {
			continue
		}
		image, paired := halves[s]
		if !paired {
			copied := cloneSeam(*seam)
			u.sew(&copied, true)
			copied.Name = m.freeSeam(strings.TrimSpace(pattern.OtherHalf+copied.Name), more...)
			more = append(more, copied)
		}
		u.sew(seam, image)
	}
	m.pattern.Seams = append(m.pattern.Seams, more...)
}

func names(c pattern.Chain, piece string) bool {
	return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == piece })
}

// sew has a seam take up the half as it lies in the whole, or its image.
func (u *unfolding) sew(seam *pattern.Seam, image bool) {
	for _, c := range []pattern.Chain{seam.First, seam.Second} {
		for k := range c {
			if c[k].Piece == u.whole.Name {
				c[k] = u.stretch(c[k], image)
			}
		}
	}
	if !image {
		return
	}
	for k := range seam.Sections {
		for _, ref := range []*pattern.NotchRef{&seam.Sections[k].First, &seam.Sections[k].Second} {
			if ref.Piece == u.whole.Name {
				ref.Notch = u.notch[ref.Notch]
			}
		}
	}
}

// sewnToHalves finds the seams in pairs that sew a half to both halves of other
// pieces, drawn whole before, by their places in the list; true is that of the
// half's image. Which half is whose is arbitrary for the first pair; the others
// follow it, so that each half is sewn to one half of every other piece all round.
func (m *making) sewnToHalves(half string) map[int]bool {
	image := map[int]bool{}
	across := map[string]geom.Point{} // from the image's place to the half's, by piece
	for s := range m.pattern.Seams {
		if _, paired := image[s]; paired {
			continue
		}
		for t := s + 1; t < len(m.pattern.Seams); t++ {
			a, b := m.pattern.Seams[s], m.pattern.Seams[t]
			if _, paired := image[t]; paired || !mirrorSeams(half, a, b) {
				continue
			}
			ways := m.waysAcross(a, b)
			turned := false
			for piece, way := range ways {
				if known, ok := across[piece]; ok {
					turned = known.Dot(way) < 0
				}
			}
			for piece, way := range ways {
				if turned {
					way = way.Mul(-1)
				}
				across[piece] = way
			}
			image[s], image[t] = turned, !turned
			break
		}
	}
	return image
}

// sewnToSides finds the seams in pairs that sew a half to the left and to the right
// one of two pieces, by their places in the list; true is that of the half's image.
// The half as it is drawn gets those of the side that it is said to show, else of the
// side that the first of them is of.
func (m *making) sewnToSides(half string) map[int]bool {
	image, drawn := map[int]bool{}, m.text("drawn")
	for s := range m.pattern.Seams {
		for t := s + 1; t < len(m.pattern.Seams); t++ {
			a, b := m.pattern.Seams[s], m.pattern.Seams[t]
			_, pairedS := image[s]
			_, pairedT := image[t]
			side, ok := m.sideSeams(half, a, b)
			if !ok || pairedS || pairedT {
				continue
			}
			if drawn == "" {
				drawn = side
				m.say("%s as it was drawn is sewn to what is of the wearer's %s, the other half to the other; --drawn says it otherwise", half, side)
			}
			image[s], image[t] = side != drawn, side == drawn
		}
	}
	return image
}

// sideSeams reports whether two seams take up the same of a half, and of other pieces
// the same or, at least once, the left of one and the right of the other, and which
// side that of the first is.
func (m *making) sideSeams(half string, a, b pattern.Seam) (side string, ok bool) {
	if a.SameWay != b.SameWay || len(a.First) != len(b.First) || len(a.Second) != len(b.Second) {
		return "", false
	}
	own := false
	for _, pair := range [2][2]pattern.Chain{{a.First, b.First}, {a.Second, b.Second}} {
		for k, st := range pair[0] {
			other := pair[1][k]
			if st == other {
				own = own || st.Piece == half
				continue
			}
			p, errP := m.pattern.Piece(st.Piece)
			q, errQ := m.pattern.Piece(other.Piece)
			if errP != nil || errQ != nil || p.Side == "" || q.Side != otherSide(p.Side) || st.Edge != other.Edge || side != "" && side != p.Side {
				return "", false
			}
			side = p.Side
		}
	}
	return side, own && side != ""
}

// mirrorSeams reports whether two seams take up the same of a half, and of other
// pieces the same or, at least once, what is the other's image: walked the other
// way round.
func mirrorSeams(half string, a, b pattern.Seam) bool {
	if a.SameWay != b.SameWay || len(a.First) != len(b.First) || len(a.Second) != len(b.Second) {
		return false
	}
	own, images := false, false
	for _, pair := range [2][2]pattern.Chain{{a.First, b.First}, {a.Second, b.Second}} {
		for k, st := range pair[0] {
			other := pair[1][k]
			switch {
			case st == other:
				own = own || st.Piece == half
			case st.Piece != half && st.Piece == other.Piece && st.Turned != other.Turned:
				images = true
			default:
				return false
			}
		}
	}
	return own && images
}

// waysAcross are the ways from the places of one seam to those of its mirror image
// in the pieces of which they take up different halves.
func (m *making) waysAcross(a, b pattern.Seam) map[string]geom.Point {
	ways := map[string]geom.Point{}
	for _, pair := range [2][2]pattern.Chain{{a.First, b.First}, {a.Second, b.Second}} {
		for k, st := range pair[0] {
			if st != pair[1][k] {
				ways[st.Piece] = m.middleOf(st).Sub(m.middleOf(pair[1][k]))
			}
		}
	}
	return ways
}

// middleOf is the middle of a stretch on the sheet.
func (m *making) middleOf(st pattern.Stretch) geom.Point {
	q, i, ok := edgeOf(m.pattern, st)
	if !ok {
		return geom.Point{}
	}
	path := q.EdgePath(i)
	to := st.To
	if to == 0 {
		to = path.Length()
	}
	return path.PointAt((st.From + to) / 2)
}
