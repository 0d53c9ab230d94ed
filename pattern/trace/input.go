package trace

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// slurp reads the whole input, unpacks it when it is packed with gzip, and
// turns UTF-16 into UTF-8. The result is at most MaxBytes long before a
// change of encoding. A file whose size is known is refused unread.
func slurp(r io.Reader) (io.Reader, error) {
	if size, ok := knownSize(r); ok && size > MaxBytes {
		return nil, tooLarge("%d MB; at most %d MB are read; leave out pictures and what is not a pattern piece",
			size/1_000_000, MaxBytes/1_000_000)
	}
	chunks, err := readChunks(r)
	if err != nil {
		return nil, err
	}
	if bytes.HasPrefix(head(chunks), []byte{0x1f, 0x8b}) {
		if chunks, err = unpack(chunks); err != nil {
			return nil, err
		}
	}
	return decoded(chunks), nil
}

// knownSize asks an open file, or a reader over memory, for its length.
func knownSize(r io.Reader) (int64, bool) {
	switch r := r.(type) {
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return info.Size(), true
		}
	case interface{ Len() int }:
		return int64(r.Len()), true
	}
	return 0, false
}

// readChunks reads up to MaxBytes into pieces of memory that are never copied
// to grow, and fails as soon as there is more.
func readChunks(r io.Reader) ([][]byte, error) {
	const first, most = 1 << 13, 1 << 20
	var chunks [][]byte
	size := first
	for total := 0; ; size = min(2*size, most) {
		b, err := readChunk(r, size)
		if total += len(b); total > MaxBytes {
			return nil, tooLarge("more than %d MB; leave out pictures and what is not a pattern piece",
				MaxBytes/1_000_000)
		}
		if len(b) > 0 {
			chunks = append(chunks, b)
		}
		if err == io.EOF {
			return chunks, nil
		}
		if err != nil {
			return nil, fmt.Errorf("cannot be read: %w", err)
		}
	}
}

// readChunk fills one piece of memory; the error is that of the last Read.
func readChunk(r io.Reader, size int) ([]byte, error) {
	const patience = 100
	b := make([]byte, size)
	n, idle := 0, 0
	for n < size {
		m, err := r.Read(b[n:])
		n += m
		if err != nil {
			return b[:n], err
		}
		if idle++; m > 0 {
			idle = 0
		}
		if idle > patience {
			return nil, io.ErrNoProgress
		}
	}
	return b[:n], nil
}

// unpack undoes gzip, bounded.
func unpack(chunks [][]byte) ([][]byte, error) {
	z, err := gzip.NewReader(joined(chunks))
	if err == nil {
		chunks, err = readChunks(z)
	}
	switch {
	case errors.Is(err, ErrTooLarge):
		return nil, fmt.Errorf("unpacked: %w", err)
	case err != nil:
		return nil, fmt.Errorf("packed file is broken: %w; save it again unpacked", err)
	}
	return chunks, nil
}

// decoded gives UTF-8 whatever the byte order mark, or the width of the first
// character, tells; other encodings are the XML declaration's matter.
func decoded(chunks [][]byte) io.Reader {
	h, r := head(chunks), joined(chunks)
	utf16 := func(order unicode.Endianness) io.Reader {
		return transform.NewReader(r, unicode.UTF16(order, unicode.UseBOM).NewDecoder())
	}
	switch {
	case bytes.HasPrefix(h, []byte{0xef, 0xbb, 0xbf}):
		io.CopyN(io.Discard, r, 3) // cannot fail: the bytes are there
	case bytes.HasPrefix(h, []byte{0xfe, 0xff}), bytes.HasPrefix(h, []byte{0xff, 0xfe}):
		return utf16(unicode.BigEndian)
	case bytes.HasPrefix(h, []byte{0, '<'}):
		return transform.NewReader(r, unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder())
	case bytes.HasPrefix(h, []byte{'<', 0}):
		return transform.NewReader(r, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder())
	}
	return r
}

func head(chunks [][]byte) []byte {
	if len(chunks) == 0 {
		return nil
	}
	return chunks[0]
}

func joined(chunks [][]byte) io.Reader {
	readers := make([]io.Reader, len(chunks))
	for i, c := range chunks {
		readers[i] = bytes.NewReader(c)
	}
	return io.MultiReader(readers...)
}

// guard watches the bytes on their way to the XML decoder, which has no
// limits of its own: attributes of one tag, and references to entities.
type guard struct {
	r          io.Reader
	equals     int  // '=' since the last '<': at least as many as the tag has attributes
	references int  // '&' in all
	entities   bool // the file declares entities, so references can swell
}

const (
	maxAttributes = 50_000
	maxReferences = 50_000 // times maxEntity: 50 MB of text
)

func (g *guard) Read(p []byte) (int, error) {
	n, err := g.r.Read(p)
	for _, b := range p[:n] {
		switch b {
		case '<':
			g.equals = 0
		case '=':
			g.equals++
		case '&':
			g.references++
		}
		if g.equals > maxAttributes {
			return 0, tooLarge("more than %d attributes in one element", maxAttributes)
		}
	}
	if g.entities && g.references > maxReferences {
		return 0, tooLarge("more than %d references in a file with entities of its own", maxReferences)
	}
	return n, err
}
