package repo

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// packFolder is where packs lie inside .git; tempPack begins the names of
// unfinished ones, which git's own clearing up removes.
const (
	packFolder = "objects/pack"
	tempPack   = "tmp_pack_"
)

// spooled is a delivery on the disk that nothing refers to yet.
type spooled struct {
	ops  fileOps
	path string
	out  outFile
	size int64
	sum  []byte // its own checksum
}

// spool writes a stream to the disk, refusing at its first bytes what is no
// pack or claims too much, and at its end what is not as it was sent.
func (r *Repo) spool(in io.Reader) (*spooled, error) {
	head := make([]byte, packHead)
	if _, err := io.ReadFull(in, head); err != nil {
		return nil, fmt.Errorf("the delivery breaks off at its beginning: %w", err)
	}
	if _, err := packCount(head); err != nil {
		return nil, err
	}
	s, err := r.newSpool()
	if err != nil {
		return nil, err
	}
	if err := s.fill(head, in); err != nil {
		s.discard()
		return nil, err
	}
	return s, nil
}

func (s *spooled) fill(head []byte, in io.Reader) error {
	sum := sha1.New()
	tail := &tailed{sum: sum, out: s.out}
	if _, err := tail.Write(head); err != nil {
		return err
	}
	n, err := io.Copy(tail, io.LimitReader(in, maxPackBytes-packHead+1))
	s.size = n + packHead
	switch {
	case err != nil:
		return err
	case s.size > maxPackBytes:
		return refuse("it is larger than %d MB", maxPackBytes>>20)
	case s.size < packHead+packTail || !bytes.Equal(sum.Sum(nil), tail.last):
		return refuse("it is not as it was sent, or it breaks off")
	}
	s.sum = tail.last
	return nil
}

func (r *Repo) newSpool() (*spooled, error) {
	if err := mkdirAll(r.ops, r.path(packFolder)); err != nil {
		return nil, cannotWrite(r.root, err)
	}
	r.clearOldSpools()
	path := filepath.Join(r.path(packFolder), tempPack+randomName())
	out, err := r.ops.Create(path, 0o444)
	if err != nil {
		return nil, cannotWrite(r.root, err)
	}
	return &spooled{ops: r.ops, path: path, out: out}, nil
}

// spoolAge is how old an unfinished pack is before its program is taken for dead.
const spoolAge = 24 * time.Hour

// clearOldSpools removes what a program left that died over a pack.
func (r *Repo) clearOldSpools() {
	found, err := filepath.Glob(filepath.Join(globEscape(r.path(packFolder)), tempPack+"*"))
	if err != nil {
		return
	}
	for _, path := range found {
		if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > spoolAge {
			_ = r.ops.Remove(path)
		}
	}
}

// discard takes the file away, unless it has been kept.
func (s *spooled) discard() {
	if s.out != nil {
		_ = s.out.Close()
		s.out = nil
	}
	if s.path != "" {
		_ = s.ops.Remove(s.path)
		s.path = ""
	}
}

// tailed writes on, and sums up all but the last 20 bytes, which it remembers.
type tailed struct {
	sum  hash.Hash
	out  io.Writer
	last []byte
}

func (t *tailed) Write(b []byte) (int, error) {
	t.last = append(t.last, b...)
	if n := len(t.last) - packTail; n > 0 {
		t.sum.Write(t.last[:n])
		t.last = append(t.last[:0], t.last[n:]...)
	}
	return t.out.Write(b)
}

// keepPack makes a delivery part of the pattern's store: its index, durable, then
// the pack, durable. git looks for a pack's pack when it finds an index, go-git
// for an index when it finds a pack and fails without, so this order disturbs
// neither if the machine dies in between. Objects that it only referred to are added to it, as git
// does, so that every pack here is whole.
func (r *Repo) keepPack(s *spooled, p *pack) error {
	if len(p.entries) == 0 {
		return nil
	}
	if err := p.checksums(); err != nil {
		return err
	}
	if len(p.lent) > 0 {
		whole, err := r.wholePack(p)
		if err != nil {
			return err
		}
		defer whole.discard()
		s = whole
	}
	if err := s.out.Sync(); err != nil {
		return err
	}
	if err := s.out.Close(); err != nil {
		return err
	}
	s.out = nil
	name := fmt.Sprintf("%s/pack-%x", packFolder, s.sum)
	if exists(r.path(name+".pack")) && exists(r.path(name+".idx")) {
		return nil // the very same delivery is here
	}
	if err := replace(r.ops, r.path(name+".idx"), "tmp_idx_", packIndex(p.entries, s.sum), 0o444); err != nil {
		return err
	}
	if err := r.ops.Rename(s.path, r.path(name+".pack")); err != nil {
		return err
	}
	s.path = ""
	if err := r.ops.SyncFolder(r.path(packFolder)); err != nil {
		return err
	}
	r.reopen()
	return nil
}

// wholePack copies a pack and adds the objects that were lent to it.
func (r *Repo) wholePack(p *pack) (*spooled, error) {
	s, err := r.newSpool()
	if err != nil {
		return nil, err
	}
	w := newPackWriter(s.out, len(p.entries)+len(p.lent))
	_, w.err = io.Copy(w, io.NewSectionReader(p.in, packHead, p.size-packHead-packTail))
	for _, d := range p.lent {
		e := w.object(d.kind, d.id, d.content, packBase{})
		p.entries = append(p.entries, e)
	}
	if s.sum, err = w.finish(); err != nil {
		s.discard()
		return nil, err
	}
	s.size = w.n
	return s, nil
}

// packIndex is git's list of what lies where in a pack, version 2
// (gitformat-pack): 256 counts, ids, checksums, offsets.
func packIndex(entries []packEntry, sum []byte) []byte {
	sorted := slices.Clone(entries)
	slices.SortFunc(sorted, func(a, b packEntry) int { return bytes.Compare(a.id[:], b.id[:]) })
	var b bytes.Buffer
	b.WriteString("\xfftOc\x00\x00\x00\x02")
	word := func(n uint32) { b.Write(binary.BigEndian.AppendUint32(nil, n)) }
	at := 0
	for first := range 256 {
		for at < len(sorted) && int(sorted[at].id[0]) <= first {
			at++
		}
		word(uint32(at))
	}
	for _, e := range sorted {
		b.Write(e.id[:])
	}
	for _, e := range sorted {
		word(e.crc)
	}
	for _, e := range sorted {
		word(uint32(e.offset)) // packs here are far below 2 GB
	}
	b.Write(sum)
	all := sha1.Sum(b.Bytes())
	b.Write(all[:])
	return b.Bytes()
}

// packWriter writes a pack.
type packWriter struct {
	out *bufio.Writer
	sum hash.Hash
	n   int64
	z   *zlib.Writer
	err error
}

func newPackWriter(out io.Writer, count int) *packWriter {
	w := &packWriter{out: bufio.NewWriterSize(out, 64<<10), sum: sha1.New()}
	head := binary.BigEndian.AppendUint32([]byte("PACK"), 2)
	_, _ = w.Write(binary.BigEndian.AppendUint32(head, uint32(count)))
	return w
}

// Write adds bytes; an error is remembered for finish.
func (w *packWriter) Write(b []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	w.sum.Write(b)
	w.n += int64(len(b))
	_, w.err = w.out.Write(b)
	return len(b), w.err
}

// packBase is an object of the same pack that another may be written as a
// difference of; the zero value is none.
type packBase struct {
	offset  int64
	content []byte
	chain   int // how many differences it is itself away from a whole object
}

// object writes one object, as a difference of base if that is shorter.
func (w *packWriter) object(kind plumbing.ObjectType, id plumbing.Hash, content []byte, base packBase) packEntry {
	e := packEntry{offset: w.n, id: id, kind: kind, size: int32(len(content))}
	stored, code := content, int(kind)
	if base.offset > 0 {
		if delta, ok := makeDelta(base.content, content); ok {
			stored, code = delta, offsetDelta
			e.base = base.offset
		}
	}
	head := entryBytes(code, len(stored))
	if code == offsetDelta {
		head = append(head, backBytes(w.n-base.offset)...)
	}
	var b bytes.Buffer
	b.Write(head)
	if w.z == nil {
		w.z, w.err = zlib.NewWriterLevel(&b, zlib.DefaultCompression)
	} else {
		w.z.Reset(&b)
	}
	if w.err == nil {
		_, _ = w.z.Write(stored) // a Buffer never fails
		_ = w.z.Close()
	}
	_, _ = w.Write(b.Bytes())
	e.end = w.n
	e.crc = crc(b.Bytes())
	return e
}

// finish writes the checksum and what is still held back.
func (w *packWriter) finish() ([]byte, error) {
	sum := w.sum.Sum(nil)
	if w.err == nil {
		_, w.err = w.out.Write(sum)
		w.n += int64(len(sum))
	}
	if w.err == nil {
		w.err = w.out.Flush()
	}
	return sum, w.err
}

func entryBytes(kind, size int) []byte {
	b := []byte{byte(kind<<4 | size&15)}
	for size >>= 4; size > 0; size >>= 7 {
		b[len(b)-1] |= 0x80
		b = append(b, byte(size&0x7F))
	}
	return b
}

func backBytes(n int64) []byte {
	b := []byte{byte(n & 0x7F)}
	for n >>= 7; n > 0; n >>= 7 {
		n--
		b = append([]byte{byte(n&0x7F) | 0x80}, b...)
	}
	return b
}

// open reads what was spooled.
func (s *spooled) open() (*os.File, error) { return os.Open(s.path) }
