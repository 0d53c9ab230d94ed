package repo

import (
	"bytes"
	"fmt"
	"math/rand/v2"

	"github.com/go-git/go-git/v5/plumbing"
)

// manyLists are 4,000 versions whose lists of 1,900 files lie just under what
// counts as large, each a difference of some bytes from the first; the oldest
// version is no pattern.
func manyLists(s *sample) {
	const versions, files = 4000, 1900
	x := newDraft(plumbing.BlobObject, []byte("x"))
	var all bytes.Buffer
	for n := range files {
		all.WriteString(modeFile + " " + fmt.Sprintf("a%03x", n) + "\x00" + string(x.id[:]))
	}
	shared := all.Len()
	list := func(n int) []byte {
		return append(bytes.Clone(all.Bytes()), rawTree(treeEntry{modeFile, fmt.Sprintf("o%06d", n), x.id}, treeEntry{modeFile, PatternFile, x.id})...)
	}
	pad := make([]byte, 2_500_000) // what cannot be packed lets the rest unpack to more
	_, _ = rand.NewChaCha8([32]byte{1}).Read(pad)
	base, none := list(0), []byte(rawTree(treeEntry{modeFile, "nothing", x.id}))
	entries := [][]byte{rawEntry(3, 1, nil, x.content), rawEntry(3, len(pad), nil, pad), rawEntry(2, len(none), nil, none), rawEntry(2, len(base), nil, base)}
	offset := packHead
	for _, e := range entries {
		offset += len(e)
	}
	from := offset - len(entries[3])
	add := func(e []byte) { entries, offset = append(entries, e), offset+len(e) }
	var last []plumbing.Hash
	for n := range versions {
		tree := newDraft(plumbing.TreeObject, none).id
		if n > 0 {
			next := list(n)
			tree = plumbing.ComputeHash(plumbing.TreeObject, next)
			delta := appendCopy(appendSize(appendSize(nil, len(base)), len(next)), 0, shared)
			delta = append(append(delta, byte(len(next)-shared)), next[shared:]...)
			add(rawEntry(offsetDelta, len(delta), backBytes(int64(offset-from)), delta))
		}
		content, err := encodeCommit(tree, last, someone, at(1), "a version\n")
		if err != nil {
			panic(err)
		}
		add(rawEntry(1, len(content), nil, content))
		last = []plumbing.Hash{plumbing.ComputeHash(plumbing.CommitObject, content)}
	}
	s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: last[0]}
	s.pack = rawPack(uint32(len(entries)), entries...)
}
