package repo

import (
	"errors"
)

var errDelta = errors.New("a difference does not fit what it is a difference of")

// deltaSizes reads the head of a difference: the size of what it is made from
// and of what it makes, in bytes.
func deltaSizes(delta []byte) (from, to int64, rest []byte, err error) {
	if from, delta, err = deltaSize(delta); err != nil {
		return 0, 0, nil, err
	}
	to, rest, err = deltaSize(delta)
	return from, to, rest, err
}

func deltaSize(b []byte) (int64, []byte, error) {
	var n int64
	for i := range min(len(b), 5) { // 35 bits: more than any size that is taken
		n |= int64(b[i]&0x7F) << (7 * i)
		if b[i]&0x80 == 0 {
			return n, b[i+1:], nil
		}
	}
	return 0, nil, errDelta
}

// applyDelta makes an object from its base and a difference, in git's format
// (gitformat-pack, "deltified representation"). It never makes more than the
// difference says, and the caller has bounded that.
func applyDelta(base, delta []byte) ([]byte, error) {
	from, to, delta, err := deltaSizes(delta)
	if err != nil || from != int64(len(base)) || to > maxObject {
		return nil, errDelta
	}
	out := make([]byte, 0, to)
	for len(delta) > 0 {
		op := delta[0]
		delta = delta[1:]
		var part []byte
		switch {
		case op&0x80 != 0:
			if part, delta, err = deltaCopy(op, base, delta); err != nil {
				return nil, err
			}
		case op == 0 || int(op) > len(delta):
			return nil, errDelta
		default:
			part, delta = delta[:op], delta[op:]
		}
		if len(out)+len(part) > int(to) {
			return nil, errDelta
		}
		out = append(out, part...)
	}
	if len(out) != int(to) {
		return nil, errDelta
	}
	return out, nil
}

// deltaCopy reads where a copied part lies in the base.
func deltaCopy(op byte, base, delta []byte) (part, rest []byte, err error) {
	var field [7]int // four bytes of the offset, three of the size
	for i := range field {
		if op&(1<<i) == 0 {
			continue
		}
		if len(delta) == 0 {
			return nil, nil, errDelta
		}
		field[i], delta = int(delta[0]), delta[1:]
	}
	offset := field[0] | field[1]<<8 | field[2]<<16 | field[3]<<24
	size := field[4] | field[5]<<8 | field[6]<<16
	if size == 0 {
		size = 0x10000
	}
	if offset < 0 || offset > len(base) || size > len(base)-offset {
		return nil, nil, errDelta
	}
	return base[offset : offset+size], delta, nil
}

// makeDelta writes what differs between two texts as one stretch in the middle:
// the beginning and the end that both have are copied. For a file of which a
// version changed a few lines that is nearly the least there is. ok is false
// where it would not halve the text.
func makeDelta(base, text []byte) (delta []byte, ok bool) {
	head := 0
	for head < min(len(base), len(text)) && base[head] == text[head] {
		head++
	}
	tail := 0
	for tail < min(len(base), len(text))-head && base[len(base)-1-tail] == text[len(text)-1-tail] {
		tail++
	}
	middle := text[head : len(text)-tail]
	if len(middle) > len(text)/2 || len(base) >= 1<<31 {
		return nil, false
	}
	delta = appendSize(appendSize(nil, len(base)), len(text))
	delta = appendCopy(delta, 0, head)
	for len(middle) > 0 {
		n := min(len(middle), 0x7F)
		delta = append(append(delta, byte(n)), middle[:n]...)
		middle = middle[n:]
	}
	return appendCopy(delta, len(base)-tail, tail), true
}

func appendSize(b []byte, n int) []byte {
	for n >= 0x80 {
		b = append(b, byte(n)|0x80)
		n >>= 7
	}
	return append(b, byte(n))
}

func appendCopy(b []byte, offset, size int) []byte {
	for size > 0 {
		n := min(size, 0xFFFF)
		at := len(b)
		b = append(b, 0x80)
		for i, v := range []int{offset, offset >> 8, offset >> 16, offset >> 24, n, n >> 8} {
			if byte(v) != 0 {
				b[at] |= 1 << i
				b = append(b, byte(v))
			}
		}
		offset, size = offset+n, size-n
	}
	return b
}
