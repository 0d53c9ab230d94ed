package repo

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"hash/crc32"
	"io"

	"github.com/go-git/go-git/v5/plumbing"
)

// readEntry reads what is stored at an offset.
func (p *pack) readEntry(offset int64) (packEntry, []byte, error) {
	e := packEntry{offset: offset}
	p.reader.Reset(io.NewSectionReader(p.in, offset, max(0, p.size-packTail-offset)))
	in := &counted{in: p.reader}
	kind, size, err := entryHead(in)
	if err != nil {
		return e, nil, err
	}
	if size > maxObject {
		return e, nil, tooMuch(size)
	}
	if err := p.spend(size); err != nil {
		return e, nil, err
	}
	switch kind {
	case 1, 2, 3, 4:
		e.kind = plumbing.ObjectType(kind)
	case offsetDelta:
		back, err := backOffset(in)
		if err != nil || back <= 0 || back > offset-packHead {
			return e, nil, errors.Join(err, errDelta)
		}
		e.base = offset - back
	case nameDelta:
		if _, err := io.ReadFull(in, e.baseID[:]); err != nil {
			return e, nil, err
		}
		if e.baseID.IsZero() {
			return e, nil, errDelta
		}
	default:
		return e, nil, fmt.Errorf("it is of the unknown kind %d", kind)
	}
	content, err := p.inflate(in, int(size))
	if err != nil {
		return e, nil, err
	}
	e.end = offset + in.n
	e.size = int32(size)
	return e, content, nil
}

// entryHead reads kind and size of an entry.
func entryHead(in io.ByteReader) (kind int, size int64, err error) {
	b, err := in.ReadByte()
	kind, size = int(b>>4&7), int64(b&15)
	for shift := 4; err == nil && b&0x80 != 0; shift += 7 {
		if shift > 32 {
			return 0, 0, errors.New("its size has too many digits")
		}
		b, err = in.ReadByte()
		size |= int64(b&0x7F) << shift
	}
	return kind, size, err
}

// backOffset reads how far before an entry its base stands.
func backOffset(in io.ByteReader) (int64, error) {
	var n int64
	for range 6 {
		b, err := in.ReadByte()
		if err != nil {
			return 0, err
		}
		n |= int64(b & 0x7F)
		if b&0x80 == 0 {
			return n, nil
		}
		n = (n + 1) << 7
	}
	return 0, errDelta
}

// inflate unpacks exactly size bytes.
func (p *pack) inflate(in *counted, size int) ([]byte, error) {
	var err error
	if p.inflater == nil {
		p.inflater, err = zlib.NewReader(in)
	} else {
		err = p.inflater.(zlib.Resetter).Reset(in, nil)
	}
	if err != nil {
		return nil, err
	}
	// Only what is really there takes room, however large it says it is.
	p.scratch.Reset()
	if _, err := io.CopyN(&p.scratch, p.inflater, int64(size)); err != nil {
		return nil, fmt.Errorf("it breaks off: %w", err)
	}
	var one [1]byte
	if n, err := io.ReadFull(p.inflater, one[:]); n > 0 || !errors.Is(err, io.EOF) {
		return nil, errors.New("it is longer than it says")
	}
	return bytes.Clone(p.scratch.Bytes()), nil
}

// checksums works out what an index lists of each entry as it is stored.
func (p *pack) checksums() error {
	buf := make([]byte, 32<<10)
	for i := range p.entries {
		e := &p.entries[i]
		sum := crc32.NewIEEE()
		if _, err := io.CopyBuffer(sum, io.NewSectionReader(p.in, e.offset, e.end-e.offset), buf); err != nil {
			return err
		}
		e.crc = sum.Sum32()
	}
	return nil
}

// counted counts the bytes read; decompressing reads one by one and never
// further than the end of what it unpacks.
type counted struct {
	in *bufio.Reader
	n  int64
}

func (c *counted) ReadByte() (byte, error) {
	b, err := c.in.ReadByte()
	if err == nil {
		c.n++
	}
	return b, err
}

func (c *counted) Read(b []byte) (int, error) {
	n, err := c.in.Read(b)
	c.n += int64(n)
	return n, err
}
