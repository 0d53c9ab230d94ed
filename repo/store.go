package repo

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// objectStore reads the objects that git keeps in a folder: each in a file of its
// own ("loose"), or many in a pack. It lists the packs at the first object that
// is in no file of its own, and keeps them open until it is closed; then it can be
// used again. What it returns is not checked against the id. No object of more
// than maxObject bytes is unpacked, and none takes more room than it really has.
type objectStore struct {
	folder string // .git/objects
	packs  []*storedPack
	listed bool
	unpacker
}

// storedObject is an object in memory.
type storedObject struct {
	kind    plumbing.ObjectType
	content []byte
}

// read returns an object by its id: errMissing where it is not there.
func (s *objectStore) read(id plumbing.Hash) (storedObject, error) {
	o, err := s.loose(id)
	if !errors.Is(err, errMissing) {
		return o, err
	}
	p, offset, err := s.find(id)
	if err != nil {
		return storedObject{}, err
	}
	return p.object(&s.unpacker, offset)
}

// size is the size of an object in bytes, unpacking little of it.
func (s *objectStore) size(id plumbing.Hash) (int64, error) {
	f, err := s.openLoose(id)
	if err == nil {
		defer f.Close()
		_, size, err := s.looseHead(f)
		return size, err
	}
	if !errors.Is(err, errMissing) {
		return 0, err
	}
	p, offset, err := s.find(id)
	if err != nil {
		return 0, err
	}
	return p.objectSize(&s.unpacker, offset)
}

// close lets go of the open packs, and of what is known of them.
func (s *objectStore) close() error {
	var err error
	for _, p := range s.packs {
		err = errors.Join(err, p.close())
	}
	s.packs, s.listed = nil, false
	return err
}

func (s *objectStore) openLoose(id plumbing.Hash) (*os.File, error) {
	name := id.String()
	f, err := os.Open(filepath.Join(s.folder, name[:2], name[2:]))
	if errors.Is(err, os.ErrNotExist) {
		return nil, errMissing
	}
	return f, err
}

// loose reads an object that has a file of its own.
func (s *objectStore) loose(id plumbing.Hash) (storedObject, error) {
	f, err := s.openLoose(id)
	if err != nil {
		return storedObject{}, err
	}
	defer f.Close()
	kind, size, err := s.looseHead(f)
	if err != nil {
		return storedObject{}, err
	}
	content, err := s.rest(size)
	return storedObject{kind, content}, err
}

// looseHead reads the kind and size at the beginning of a loose object; rest
// reads on.
func (s *objectStore) looseHead(f *os.File) (plumbing.ObjectType, int64, error) {
	s.from(f)
	if err := s.begin(); err != nil {
		return 0, 0, err
	}
	const longest = 32 // "commit 4194304" and a NUL take 15
	var head []byte
	var one [1]byte
	for len(head) < longest {
		if _, err := io.ReadFull(s.inflater, one[:]); err != nil {
			return 0, 0, fmt.Errorf("it breaks off: %w", err)
		}
		if one[0] == 0 {
			break
		}
		head = append(head, one[0])
	}
	word, digits, _ := strings.Cut(string(head), " ")
	kind, err := plumbing.ParseObjectType(word)
	size, wrong := strconv.ParseInt(digits, 10, 64)
	if err != nil || wrong != nil || size < 0 {
		return 0, 0, errors.New("its kind and size cannot be read")
	}
	return kind, size, nil
}

// find looks for an object in the packs. The one that held the last is asked
// first, for what is read together was mostly packed together.
func (s *objectStore) find(id plumbing.Hash) (*storedPack, int64, error) {
	if !s.listed {
		if err := s.list(); err != nil {
			return nil, 0, err
		}
	}
	var problem error
	for i, p := range s.packs {
		offset, found, err := p.find(id)
		if err == nil && found {
			s.packs[0], s.packs[i] = p, s.packs[0]
			return p, offset, nil
		}
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			problem = errors.Join(problem, err)
		}
	}
	if problem != nil {
		return nil, 0, problem
	}
	return nil, 0, errMissing
}

// list finds the packs that have an index.
func (s *objectStore) list() error {
	entries, err := os.ReadDir(filepath.Join(s.folder, "pack"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), ".idx"); ok && strings.HasPrefix(name, "pack-") {
			s.packs = append(s.packs, &storedPack{path: filepath.Join(s.folder, "pack", name)})
		}
	}
	s.listed = true
	return nil
}

// unpacker inflates, with the same memory each time.
type unpacker struct {
	in       *bufio.Reader
	inflater io.ReadCloser
	scratch  bytes.Buffer
}

// from begins to read a file, or a part of one.
func (u *unpacker) from(in io.Reader) {
	if u.in == nil {
		u.in = bufio.NewReaderSize(in, 4096)
	} else {
		u.in.Reset(in)
	}
}

// begin begins to inflate where the reading stands.
func (u *unpacker) begin() (err error) {
	if u.inflater == nil {
		u.inflater, err = zlib.NewReader(u.in)
		return err
	}
	return u.inflater.(zlib.Resetter).Reset(u.in, nil)
}

// rest inflates exactly size bytes to the end of an object.
func (u *unpacker) rest(size int64) ([]byte, error) {
	if size > maxObject {
		return nil, fmt.Errorf("%d bytes are too many", size)
	}
	u.scratch.Reset()
	if _, err := io.CopyN(&u.scratch, u.inflater, size); err != nil {
		return nil, fmt.Errorf("it breaks off: %w", err)
	}
	var one [1]byte
	if n, err := io.ReadFull(u.inflater, one[:]); n > 0 || !errors.Is(err, io.EOF) {
		return nil, errors.New("it is longer than it says, or damaged")
	}
	return bytes.Clone(u.scratch.Bytes()), nil
}
