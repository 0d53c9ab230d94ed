package pattern

import (
	"bytes"
	"reflect"
)

// Reader reads and prints patterns that have most of their pieces in common, as
// neighbouring versions have: the content of a piece's file is read once, and a
// piece that is as it was is printed once. What it hands out is a copy, which
// the caller may change. The zero Reader is ready; it is for one goroutine.
type Reader struct {
	read    map[string][]readPiece // by file
	printed map[string][]printedPiece
}

type readPiece struct {
	text  []byte
	piece *Piece // never handed out
	where lines
}

type printedPiece struct {
	piece *Piece
	text  []byte
}

// maxKnown is how many contents of one file are remembered: those of two
// versions and of the working pattern before and after a command.
const maxKnown = 4

// decodePiece is the function of that name, by heart.
func (r *Reader) decodePiece(name, slug string, text []byte) (*Piece, lines, error) {
	if known := r.known(name, text); known != nil {
		return known.piece.Clone(), known.where, nil
	}
	q, where, err := decodePiece(name, slug, text)
	if err != nil {
		return nil, nil, err
	}
	r.learn(name, readPiece{text, q.Clone(), where})
	return q, where, nil
}

// known is what was read of a file with this content, nil if nothing.
func (r *Reader) known(name string, text []byte) *readPiece {
	for i := range r.read[name] {
		if known := &r.read[name][i]; bytes.Equal(known.text, text) {
			return known
		}
	}
	return nil
}

func (r *Reader) learn(name string, read readPiece) {
	if r.read == nil {
		r.read = map[string][]readPiece{}
	}
	r.read[name] = lastOnes(append(r.read[name], read))
}

// readAhead reads the pieces among files that are not known by heart, several at
// once. One that cannot be read is left to be told of in its turn.
func (r *Reader) readAhead(names []string, files map[string][]byte) {
	var todo []string
	for _, name := range names {
		if slug, ok := inFolder(name, PieceFolder); ok && isSlug(slug) && r.known(name, files[name]) == nil {
			todo = append(todo, name)
		}
	}
	read := make([]readPiece, len(todo))
	AtOnce(len(todo), func(i int) {
		slug, _ := inFolder(todo[i], PieceFolder)
		if q, where, err := decodePiece(todo[i], slug, files[todo[i]]); err == nil {
			read[i] = readPiece{files[todo[i]], q, where}
		}
	})
	for i, name := range todo {
		if read[i].piece != nil {
			r.learn(name, read[i])
		}
	}
}

// encodePiece prints a piece, by heart if it was printed before as it is.
func (r *Reader) encodePiece(q *Piece) ([]byte, error) {
	name := q.FileName()
	for _, known := range r.printed[name] {
		if reflect.DeepEqual(known.piece, q) {
			return known.text, nil
		}
	}
	text, err := q.Encode()
	if err != nil {
		return nil, err
	}
	if r.printed == nil {
		r.printed = map[string][]printedPiece{}
	}
	r.printed[name] = lastOnes(append(r.printed[name], printedPiece{q.Clone(), text}))
	return text, nil
}

func lastOnes[T any](list []T) []T {
	return list[max(0, len(list)-maxKnown):]
}
