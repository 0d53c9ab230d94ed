package pattern

import (
	"slices"
	"strings"
	"unicode"
)

// PieceHead reads the name and id of a piece from the beginning of its file, for
// who only has to name it. The rest is not looked at. ok is false where they do
// not stand there as Encode prints a name of letters, digits, blanks and hyphens;
// DecodePiece then tells.
func PieceHead(text []byte) (name, id string, ok bool) {
	first, rest, _ := strings.Cut(string(text[:min(len(text), 4*maxName)]), "\n")
	second, _, whole := strings.Cut(rest, "\n")
	name, named := strings.CutPrefix(first, "name: ")
	id, marked := strings.CutPrefix(second, "id: ")
	if n := len(id); n > 2 && id[0] == '\'' && id[n-1] == '\'' {
		id = id[1 : n-1] // one of digits alone is printed so
	}
	if !whole || !named || !marked || !isID(id) {
		return "", "", false
	}
	for i, r := range name {
		if !unicode.IsLetter(r) && (i == 0 || r != ' ' && r != '-' && !unicode.IsDigit(r)) {
			return "", "", false
		}
	}
	clean, err := CleanName(name)
	return name, id, err == nil && clean == name && !misread().MatchString(name)
}

// DecodeSome is Decode for a pattern of which only some pieces matter and the
// others are not in files. What its seams and layers say of those is not checked.
// kept says that they are a version's, as for DecodeKept.
func (r *Reader) DecodeSome(files map[string][]byte, kept bool) (*Pattern, error) {
	return r.decode(files, decoding{part: true, kept: kept})
}

// PiecesOf lists the pieces that a seam joins, each as often as it has stretches.
func (s *Seam) PiecesOf() []string {
	var names []string
	for _, st := range slices.Concat(s.First, s.Second) {
		names = append(names, st.Piece)
	}
	return names
}

// PiecesOf lists the pieces of a layer, the outer first.
func (l *Layer) PiecesOf() []string { return append([]string{l.Outer}, l.Inner...) }

// leftOut reports whether one of these pieces is none of those that were read of
// a pattern in part.
func (d *decoding) leftOut(names []string) bool {
	return d.part && !d.Holds(names)
}

// Holds reports whether the pattern has all pieces of these names.
func (p *Pattern) Holds(names []string) bool {
	return !slices.ContainsFunc(names, func(name string) bool {
		return !slices.ContainsFunc(p.Pieces, func(q *Piece) bool { return q.Name == name })
	})
}

// DropUnread takes the seams and layers away that name pieces which DecodeSome
// has not read.
func (p *Pattern) DropUnread() {
	p.Seams = slices.DeleteFunc(p.Seams, func(s Seam) bool { return !p.Holds(s.PiecesOf()) })
	p.Layers = slices.DeleteFunc(p.Layers, func(l Layer) bool { return !p.Holds(l.PiecesOf()) })
}
