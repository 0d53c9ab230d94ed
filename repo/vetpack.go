package repo

import (
	"bufio"
	"bytes"
	"crypto/sha1"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"unicode/utf8"

	"github.com/go-git/go-git/v5/plumbing"
)

// A pack is what git programs hand each other: many objects in one stream, some
// as differences of others (gitformat-pack). It is read here from the disk,
// where spool has put it, with every size bounded before anything is unpacked.

const (
	packHead    = 12 // signature, version, count
	packTail    = sha1.Size
	offsetDelta = 6 // a difference of an object so many bytes before
	nameDelta   = 7 // a difference of an object given by its id
)

// pack is a delivery that has been read and whose objects are known.
type pack struct {
	in      io.ReaderAt
	size    int64
	entries []packEntry
	at      map[int64]int         // entry by its offset
	of      map[plumbing.Hash]int // entry by id
	// outside finds an object that is here already, for a difference of one
	// that the pack does not hold.
	outside func(plumbing.Hash) (plumbing.ObjectType, []byte, error)
	lent    []draft // such objects, each once
	lentAt  map[plumbing.Hash]int

	// entries that wait for another, by its offset or its id
	waitAt map[int64][]int
	waitID map[plumbing.Hash][]int

	unpacked, mayUnpack int64 // bytes
	cache               objectCache
	inflater            io.ReadCloser
	reader              *bufio.Reader
	scratch             bytes.Buffer
}

// packEntry is one object of a pack. kind is 0 until it has been worked out.
type packEntry struct {
	offset, end int64
	base        int64         // offset of what it is a difference of, 0 if none
	baseID      plumbing.Hash // or its id
	id          plumbing.Hash
	size        int32 // of what is stored, unpacked; after working out, of the object
	crc         uint32
	kind        plumbing.ObjectType
	text        bool // valid UTF-8 without NUL
	dense       bool // more values than a file of a pattern has
	waits       bool // its base was not known when it was read
}

// packCount reads the beginning of a pack.
func packCount(head []byte) (int, error) {
	if len(head) < packHead || string(head[:4]) != "PACK" {
		return 0, refuse("it is not a pack of versions")
	}
	if v := binary.BigEndian.Uint32(head[4:]); v != 2 && v != 3 {
		return 0, refuse("it is packed in a format of another time (%d)", v)
	}
	n := binary.BigEndian.Uint32(head[8:])
	if n > maxPackObjects {
		return 0, refuse("it claims to hold %d parts; at most %d are taken at once", n, maxPackObjects)
	}
	return int(n), nil
}

// readPack works out every object of a pack of size bytes.
func readPack(in io.ReaderAt, size int64, outside func(plumbing.Hash) (plumbing.ObjectType, []byte, error)) (*pack, error) {
	p := newPack(in, size, outside)
	return p, p.read()
}

func newPack(in io.ReaderAt, size int64, outside func(plumbing.Hash) (plumbing.ObjectType, []byte, error)) *pack {
	return &pack{
		in: in, size: size, outside: outside,
		at: map[int64]int{}, of: map[plumbing.Hash]int{}, lentAt: map[plumbing.Hash]int{},
		waitAt: map[int64][]int{}, waitID: map[plumbing.Hash][]int{},
		reader:    bufio.NewReaderSize(nil, 4096),
		mayUnpack: min(unpackBase+unpackRatio*size, maxUnpacked),
		cache:     objectCache{most: packCache, of: map[int64][]byte{}},
	}
}

func (p *pack) read() error {
	head := make([]byte, packHead)
	if p.size < packHead+packTail {
		return refuse("it breaks off before its first part")
	}
	if _, err := p.in.ReadAt(head, 0); err != nil {
		return err
	}
	n, err := packCount(head)
	if err != nil {
		return err
	}
	if err := p.readEntries(n); err != nil {
		return err
	}
	return p.settleWaiting()
}

func (p *pack) readEntries(n int) error {
	offset := int64(packHead)
	for i := range n {
		e, content, err := p.readEntry(offset)
		if err != nil {
			return refused(fmt.Sprintf("part %d of %d cannot be read", i+1, n), err)
		}
		offset = e.end
		p.at[e.offset] = len(p.entries)
		p.entries = append(p.entries, e)
		if err := p.settle(i, content); err != nil {
			return refused(fmt.Sprintf("part %d of %d cannot be read", i+1, n), err)
		}
		if p.entries[i].waits {
			continue
		}
		for _, k := range p.released(i) {
			if err := p.settleAgain(k); err != nil {
				return err
			}
		}
	}
	if offset != p.size-packTail {
		return refuse("it holds more than it says")
	}
	return nil
}

// settle works out what kind of object an entry is, and its id. content is
// what is stored: the object or a difference.
func (p *pack) settle(i int, content []byte) error {
	e := &p.entries[i]
	if e.kind == 0 {
		kind, base, ok, err := p.baseOf(e)
		if err != nil {
			return err
		}
		if !ok {
			p.wait(i)
			return nil
		}
		if content, err = p.apply(base, content); err != nil {
			return err
		}
		e.kind, e.waits = kind, false
	}
	e.size = int32(len(content))
	e.id = plumbing.ComputeHash(e.kind, content)
	e.text = utf8.Valid(content) && bytes.IndexByte(content, 0) < 0
	e.dense = separators(content) > maxSeparators
	if _, twice := p.of[e.id]; twice {
		return errors.New("it is there twice")
	}
	p.of[e.id] = i
	p.cache.put(e.offset, content)
	return nil
}

// wait puts an entry aside until its base is known.
func (p *pack) wait(i int) {
	e := &p.entries[i]
	if e.waits {
		return
	}
	e.waits = true
	if e.base != 0 {
		p.waitAt[e.base] = append(p.waitAt[e.base], i)
	} else {
		p.waitID[e.baseID] = append(p.waitID[e.baseID], i)
	}
}

// settleWaiting works out differences of objects that the pack does not hold.
// Those of objects that stand later in it are settled with these.
func (p *pack) settleWaiting() error {
	for i := range p.entries {
		e := &p.entries[i]
		if !e.waits || e.base != 0 {
			continue
		}
		if _, lent := p.lentAt[e.baseID]; !lent {
			if err := p.lend(e.baseID); err != nil {
				return err
			}
		}
		if err := p.settleAgain(i); err != nil {
			return err
		}
	}
	for i := range p.entries {
		if p.entries[i].waits {
			return refuse("parts of it are differences of each other")
		}
	}
	return nil
}

// settleAgain reads an entry that waited, and settles it and all that wait for
// it in their turn: each once.
func (p *pack) settleAgain(first int) error {
	for todo := []int{first}; len(todo) > 0; {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if !p.entries[i].waits {
			continue
		}
		_, content, err := p.readEntry(p.entries[i].offset)
		if err == nil {
			err = p.settle(i, content)
		}
		if err != nil {
			return refused("a part of it cannot be read", err)
		}
		if !p.entries[i].waits {
			todo = append(todo, p.released(i)...)
		}
	}
	return nil
}

// released are the entries that waited for one that is settled now.
func (p *pack) released(i int) []int {
	e := p.entries[i]
	now := append(p.waitAt[e.offset], p.waitID[e.id]...)
	delete(p.waitAt, e.offset)
	delete(p.waitID, e.id)
	return now
}

// lend takes an object that is here already and that the pack does not hold.
func (p *pack) lend(id plumbing.Hash) error {
	_, inside := p.of[id]
	if inside {
		return nil
	}
	if p.outside != nil {
		if kind, content, err := p.outside(id); err == nil {
			p.lentAt[id] = len(p.lent)
			p.lent = append(p.lent, draft{kind: kind, id: id, content: content})
			return nil
		}
	}
	return refuse("parts of it are differences of something that is neither in it nor here")
}

// baseOf returns the object that an entry is a difference of; ok is false where
// it is not known yet.
func (p *pack) baseOf(e *packEntry) (kind plumbing.ObjectType, content []byte, ok bool, err error) {
	i, known := p.at[e.base]
	if e.base == 0 {
		if at, lent := p.lentAt[e.baseID]; lent {
			return p.lent[at].kind, p.lent[at].content, true, nil
		}
		i, known = p.of[e.baseID]
		if !known {
			return 0, nil, false, nil
		}
	}
	if !known {
		return 0, nil, false, errDelta
	}
	if p.entries[i].kind == 0 {
		return 0, nil, false, nil
	}
	content, err = p.content(i)
	return p.entries[i].kind, content, err == nil, err
}

// object returns an object by its id.
func (p *pack) object(id plumbing.Hash) (plumbing.ObjectType, []byte, error) {
	i, ok := p.of[id]
	if !ok {
		return 0, nil, errMissing
	}
	content, err := p.content(i)
	return p.entries[i].kind, content, err
}

// content unpacks a settled entry, through the chain of what it differs from.
func (p *pack) content(i int) ([]byte, error) {
	wanted := p.entries[i].offset
	var deltas [][]byte
	var content []byte
	for {
		e := &p.entries[i]
		if cached, ok := p.cache.of[e.offset]; ok {
			content = cached
			break
		}
		_, stored, err := p.readEntry(e.offset)
		if err != nil {
			return nil, err
		}
		if e.base == 0 && e.baseID.IsZero() {
			content = stored
			break
		}
		if deltas = append(deltas, stored); len(deltas) > maxChain {
			return nil, errors.New("it is a difference of too long a row of differences")
		}
		if at, lent := p.lentAt[e.baseID]; lent && e.base == 0 {
			content = p.lent[at].content
			break
		}
		if i, err = p.baseIndex(e); err != nil {
			return nil, err
		}
	}
	for k := len(deltas) - 1; k >= 0; k-- {
		var err error
		if content, err = p.apply(content, deltas[k]); err != nil {
			return nil, err
		}
	}
	p.cache.put(wanted, content)
	return content, nil
}

func (p *pack) baseIndex(e *packEntry) (int, error) {
	i, ok := p.at[e.base]
	if e.base == 0 {
		i, ok = p.of[e.baseID]
	}
	if !ok || p.entries[i].kind == 0 {
		return 0, errDelta
	}
	return i, nil
}

func (p *pack) apply(base, delta []byte) ([]byte, error) {
	_, to, _, err := deltaSizes(delta)
	if err != nil {
		return nil, err
	}
	if to > maxObject {
		return nil, tooMuch(to)
	}
	if err := p.spend(to); err != nil {
		return nil, err
	}
	return applyDelta(base, delta)
}

func tooMuch(n int64) error {
	return &RefusedError{
		What: fmt.Sprintf("a file in it, a picture perhaps, has %d bytes; at most %d are read", n, maxObject),
		Way: "whoever sent it can send a branch that leaves it out, as `toile share send` to a new place tells them; " +
			"if you know the file and trust them, git brings it: `git clone` for a copy, `git fetch` and then `toile merge` here",
	}
}

// spend counts what is unpacked.
func (p *pack) spend(n int64) error {
	const each = 32 // a part costs something however small it is
	if n > largePart {
		n *= largeWeight
	}
	if p.unpacked += n + each; p.unpacked > p.mayUnpack {
		return refuse("its %d bytes unpack to more than any pattern does", p.size)
	}
	return nil
}

// objectCache keeps the objects last unpacked, up to most bytes.
type objectCache struct {
	of         map[int64][]byte
	order      []int64
	held, most int
}

func (c *objectCache) put(offset int64, content []byte) {
	if _, known := c.of[offset]; known || len(content) > c.most/2 {
		return
	}
	c.of[offset] = content
	c.order = append(c.order, offset)
	for c.held += len(content) + 64; c.held > c.most; {
		oldest := c.order[0]
		c.order = c.order[1:]
		c.held -= len(c.of[oldest]) + 64
		delete(c.of, oldest)
	}
}

func crc(b []byte) uint32 { return crc32.ChecksumIEEE(b) }
