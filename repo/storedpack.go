package repo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/go-git/go-git/v5/plumbing"
)

// storedPack is a pack with its index, version 2 (gitformat-pack), read where it
// lies: of the index only what leads to the object asked for.
type storedPack struct {
	path       string // of both, without .idx and .pack
	index, in  *os.File
	counts     [256]uint32 // of the ids whose first byte is no greater
	size       int64       // of the pack, in bytes
	cache      map[int64]storedObject
	cacheBytes int
}

const (
	indexHead = 8 // signature and version
	indexIDs  = indexHead + 4*256
	idSize    = len(plumbing.ZeroHash)
	// perObject is what an index has of each object: id, checksum, offset.
	perObject = idSize + 4 + 4
	// longOffset marks an offset that stands in the table of great ones.
	longOffset = 1 << 31
)

var errIndex = errors.New("the index of a pack is damaged")

// open opens both files. Either may have gone since the packs were listed.
func (p *storedPack) open() error {
	index, err := os.Open(p.path + ".idx")
	if err != nil {
		return err
	}
	in, err := os.Open(p.path + ".pack")
	if err != nil {
		return errors.Join(err, index.Close())
	}
	p.index, p.in, p.cache = index, in, map[int64]storedObject{}
	if err := p.readCounts(); err != nil {
		return errors.Join(err, p.close())
	}
	return nil
}

func (p *storedPack) readCounts() error {
	info, err := p.in.Stat()
	if err != nil {
		return err
	}
	p.size = info.Size()
	var head [indexIDs]byte
	if _, err := p.index.ReadAt(head[:], 0); err != nil || string(head[:indexHead]) != "\xfftOc\x00\x00\x00\x02" {
		return errors.Join(errIndex, err)
	}
	before := uint32(0)
	for i := range p.counts {
		p.counts[i] = binary.BigEndian.Uint32(head[indexHead+4*i:])
		if p.counts[i] < before {
			return errIndex
		}
		before = p.counts[i]
	}
	indexInfo, err := p.index.Stat()
	if err == nil && indexInfo.Size() < indexIDs+int64(before)*int64(perObject) {
		err = errIndex
	}
	return err
}

func (p *storedPack) close() error {
	if p.index == nil {
		return nil
	}
	err := errors.Join(p.index.Close(), p.in.Close())
	p.index, p.in, p.cache, p.cacheBytes = nil, nil, nil, 0
	return err
}

// find says where in the pack an object stands.
func (p *storedPack) find(id plumbing.Hash) (offset int64, found bool, err error) {
	if p.index == nil {
		if err := p.open(); err != nil {
			return 0, false, err
		}
	}
	from, to := int64(0), int64(p.counts[id[0]])
	if id[0] > 0 {
		from = int64(p.counts[id[0]-1])
	}
	const most = 1 << 12 // ids read at once; more than that are halved first
	var one plumbing.Hash
	for to-from > most {
		middle := (from + to) / 2
		if _, err := p.index.ReadAt(one[:], indexIDs+middle*int64(idSize)); err != nil {
			return 0, false, errors.Join(errIndex, err)
		}
		if bytes.Compare(one[:], id[:]) <= 0 {
			from = middle
		} else {
			to = middle
		}
	}
	ids := make([]byte, (to-from)*int64(idSize))
	if _, err := p.index.ReadAt(ids, indexIDs+from*int64(idSize)); err != nil {
		return 0, false, errors.Join(errIndex, err)
	}
	for low, high := int64(0), to-from; low < high; {
		middle := (low + high) / 2
		switch bytes.Compare(ids[middle*int64(idSize):][:idSize], id[:]) {
		case 0:
			offset, err = p.offset(from + middle)
			return offset, err == nil, err
		case -1:
			low = middle + 1
		default:
			high = middle
		}
	}
	return 0, false, nil
}

// offset is where the object with the n-th id stands.
func (p *storedPack) offset(n int64) (int64, error) {
	all := int64(p.counts[255])
	var b [8]byte
	if _, err := p.index.ReadAt(b[:4], indexIDs+all*int64(idSize+4)+4*n); err != nil {
		return 0, errors.Join(errIndex, err)
	}
	at := int64(binary.BigEndian.Uint32(b[:4]))
	if at >= longOffset {
		if _, err := p.index.ReadAt(b[:], indexIDs+all*int64(perObject)+8*(at-longOffset)); err != nil {
			return 0, errors.Join(errIndex, err)
		}
		at = int64(binary.BigEndian.Uint64(b[:]))
	}
	if at < packHead || at >= p.size-packTail {
		return 0, errIndex
	}
	return at, nil
}

// head reads the beginning of what stands at an offset: its kind as stored, its
// size, and where what it is a difference of stands. u reads on behind it.
func (p *storedPack) head(u *unpacker, offset int64) (kind int, size, base int64, err error) {
	if offset < packHead || offset >= p.size-packTail {
		return 0, 0, 0, errDelta
	}
	u.from(io.NewSectionReader(p.in, offset, p.size-packTail-offset))
	if kind, size, err = entryHead(u.in); err != nil {
		return 0, 0, 0, err
	}
	switch kind {
	case 1, 2, 3, 4:
	case offsetDelta:
		back, err := backOffset(u.in)
		if err != nil || back <= 0 || back > offset-packHead {
			return 0, 0, 0, errors.Join(err, errDelta)
		}
		base = offset - back
	case nameDelta:
		var id plumbing.Hash
		if _, err := io.ReadFull(u.in, id[:]); err != nil {
			return 0, 0, 0, err
		}
		at, found, err := p.find(id)
		if err != nil || !found {
			return 0, 0, 0, errors.Join(err, errDelta)
		}
		base = at
	default:
		return 0, 0, 0, fmt.Errorf("it is of the unknown kind %d", kind)
	}
	return kind, size, base, u.begin()
}

// object unpacks what stands at an offset, through the row of differences that it
// was stored as.
func (p *storedPack) object(u *unpacker, offset int64) (storedObject, error) {
	type difference struct {
		at   int64
		text []byte
	}
	var row []difference
	var o storedObject
	for at := offset; ; {
		known, ok := p.cache[at]
		if ok {
			o = known
			break
		}
		kind, size, base, err := p.head(u, at)
		if err != nil {
			return o, err
		}
		content, err := u.rest(size)
		if err != nil {
			return o, err
		}
		if base == 0 {
			o = storedObject{plumbing.ObjectType(kind), content}
			p.remember(at, o)
			break
		}
		if row = append(row, difference{at, content}); len(row) > maxChain {
			return o, errors.New("it is a difference of too long a row of differences")
		}
		at = base
	}
	for k := len(row) - 1; k >= 0; k-- {
		content, err := applyDelta(o.content, row[k].text)
		if err != nil {
			return o, err
		}
		o.content = content
		p.remember(row[k].at, o)
	}
	return storedObject{o.kind, bytes.Clone(o.content)}, nil
}

// remember keeps an object for those that are stored as differences of it.
func (p *storedPack) remember(at int64, o storedObject) {
	if len(o.content) > packCache/4 {
		return
	}
	if p.cacheBytes += len(o.content); p.cacheBytes > packCache {
		clear(p.cache)
		p.cacheBytes = len(o.content)
	}
	p.cache[at] = o
}

// objectSize is the size of what stands at an offset, in bytes: of a difference,
// what it says that it makes.
func (p *storedPack) objectSize(u *unpacker, offset int64) (int64, error) {
	_, size, base, err := p.head(u, offset)
	if err != nil || base == 0 {
		return size, err
	}
	var start [20]byte // two sizes of at most 5 bytes each, and some more
	n, err := io.ReadFull(u.inflater, start[:min(size, int64(len(start)))])
	if err != nil {
		return 0, fmt.Errorf("it breaks off: %w", err)
	}
	_, made, _, err := deltaSizes(start[:n])
	return made, err
}
