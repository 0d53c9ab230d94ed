package alter

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
)

var _ = register(&Kind{Name: "separate", Does: "makes two pieces of a pair, the wearer's left and right, so that each can be altered alone",
	Keys: []Key{
		{Name: "drawn", What: Text, Means: "which of the wearer's sides the piece shows as drawn: left or right"},
		{Name: "into", What: Names, Means: `the names of the left and the right piece; without it "left NAME" and "right NAME"`},
	}, Typed: `front --drawn left`, make: (*making).separate})

func (m *making) separate() error {
	q := m.piece
	if q.Cut != pattern.CutPair {
		return fmt.Errorf("%s is cut %q and is no pair; unfold one on fold first, with alter unfold", q.Name, q.Cut)
	}
	side := q.Side
	if m.has("drawn") {
		side = m.text("drawn")
	}
	left, right := string(pattern.WearerLeft), string(pattern.WearerRight)
	if side != left && side != right {
		return fmt.Errorf("%s: say with --drawn left or --drawn right which of the wearer's sides it shows as it is drawn, right side up", q.Name)
	}
	names, err := m.sideNames(q.Name, left, right)
	if err != nil {
		return err
	}
	other := q.Moved(turnedOver(q))
	own, its := names[0], names[1]
	if side == right {
		own, its = its, own
	}
	other.Name, other.Side, other.ID, other.Was, other.Slug, other.Cut = its, otherSide(side), "", q.ID, m.pattern.NewSlug(its), pattern.CutOne
	for i := range other.Edges {
		other.Edges[i].Was, other.Edges[i].ID = other.Edges[i].ID, ""
	}
	asStored(other)
	m.renamePiece(q, own)
	m.notesOfSides(own, its, side)
	q.Side, q.Cut = side, pattern.CutOne
	m.pattern.Put(other)
	m.pattern.GiveIDs(other)
	m.sewOtherSide(q, other)
	m.layersOfOtherSide(q, other)
	if err := begin(other).finish(); err != nil {
		return err
	}
	return begin(q).finish()
}

// sideNames reads or makes the names of both sides, the left first.
func (m *making) sideNames(name, left, right string) (names [2]string, err error) {
	if m.has("into") {
		return m.twoNames()
	}
	for k, side := range []string{left, right} {
		if names[k], err = pattern.CleanName(side + " " + name); err != nil {
			return names, fmt.Errorf("%w; name both sides with --into", err)
		}
		if err := m.freePieceName(names[k]); err != nil {
			return names, err
		}
	}
	return names, nil
}

// sewOtherSide sews the new piece, the mirror image of q, as q is sewn. A seam
// that joins q to its own mirror image now joins the two. Where a seam already
// belongs to one of the wearer's sides it gets the piece of that side, else
// there is one for each.
func (m *making) sewOtherSide(q, other *pattern.Piece) {
	names := func(c pattern.Chain) bool {
		return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == q.Name })
	}
	var more []pattern.Seam
	halves := m.sewnToHalves(q.Name) // of what is drawn whole there is a seam for each half already
	if len(halves) > 0 {
		m.say("%s is sewn to the halves that were drawn, %s to the others; `toile seam` lists what is sewn", q.Name, other.Name)
	}
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		if !names(seam.First) && !names(seam.Second) {
			continue
		}
		side := m.sideOfSeam(seam, q, other)
		if image, paired := halves[s]; paired && side == "" {
			side = map[bool]string{false: q.Side, true: other.Side}[image]
		}
		switch {
		case side == q.Side:
		case side == other.Side:
			sewOn(seam, q, other)
		case sameStretches(seam.First, seam.Second):
			seam.Second = onImage(slices.Clone(seam.Second), q, other)
			turnRefs(seam, q.Name, other.Name, false, true)
		default:
			copied := cloneSeam(*seam)
			sewOn(&copied, q, other)
			copied.Name = m.freeSeam(strings.TrimSpace(copied.Name+" "+other.Side), more...)
			more = append(more, copied)
			m.say("the seam %q is sewn twice now: %q is that of the wearer's %s", seam.Name, copied.Name, other.Side)
		}
	}
	m.pattern.Seams = append(m.pattern.Seams, more...)
}

// sewOn sews a seam of a piece on its mirror image.
func sewOn(seam *pattern.Seam, q, image *pattern.Piece) {
	seam.First, seam.Second = onImage(seam.First, q, image), onImage(seam.Second, q, image)
	turnRefs(seam, q.Name, image.Name, true, true)
}

// onImage is a chain with the stretches of a piece on its mirror image.
func onImage(c pattern.Chain, q, image *pattern.Piece) pattern.Chain {
	for k := range c {
		if c[k].Piece == q.Name {
			c[k] = mirrored(c[k], lengthOf(q, c[k].Edge))
			c[k].Piece = image.Name
		}
	}
	return c
}

// sameStretches reports whether both chains of a seam are the same edges, whichever way
// they are walked: what is sewn to its own mirror image.
func sameStretches(a, b pattern.Chain) bool {
	return slices.EqualFunc(a, b, func(x, y pattern.Stretch) bool {
		x.Turned, y.Turned = false, false
		return x == y
	})
}

// sideOfSeam is the wearer's side to which a seam belongs by what else it
// joins, or empty.
func (m *making) sideOfSeam(s *pattern.Seam, q, other *pattern.Piece) string {
	for _, c := range []pattern.Chain{s.First, s.Second} {
		for _, st := range c {
			if p, err := m.pattern.Piece(st.Piece); err == nil && p != q && p != other && p.Side != "" {
				return p.Side
			}
		}
	}
	return ""
}

// turnRefs has the notches that match a seam's first or second chain named on
// another piece.
func turnRefs(s *pattern.Seam, was, now string, first, second bool) {
	for k := range s.Sections {
		if c := &s.Sections[k]; first && c.First.Piece == was {
			c.First.Piece = now
		}
		if c := &s.Sections[k]; second && c.Second.Piece == was {
			c.Second.Piece = now
		}
	}
}

func cloneSeam(s pattern.Seam) pattern.Seam {
	s.First, s.Second = slices.Clone(s.First), slices.Clone(s.Second)
	s.Sections, s.Openings = slices.Clone(s.Sections), slices.Clone(s.Openings)
	return s
}

// layersOfOtherSide puts the new piece wherever the old one is a layer; under an outer
// of one of the wearer's sides only the one of that side lies.
func (m *making) layersOfOtherSide(q, other *pattern.Piece) {
	for l := range m.pattern.Layers {
		layer := &m.pattern.Layers[l]
		if layer.Outer == q.Name {
			copied := *layer
			copied.Outer = other.Name
			copied.Inner, copied.Differences = slices.Clone(layer.Inner), slices.Clone(layer.Differences)
			m.pattern.Layers = append(m.pattern.Layers, copied)
		} else if k := slices.Index(layer.Inner, q.Name); k >= 0 {
			outer, err := m.pattern.Piece(layer.Outer)
			switch {
			case err != nil || outer.Side == "":
				layer.Inner = slices.Insert(layer.Inner, k+1, other.Name)
				saidOfBoth(layer, q.Name, other.Name)
			case outer.Side == other.Side:
				layer.Inner[k] = other.Name
				for d := range layer.Differences {
					if layer.Differences[d].Piece == q.Name {
						layer.Differences[d].Piece = other.Name
					}
				}
			}
		}
	}
}
