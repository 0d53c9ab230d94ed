package repo

import (
	"bytes"
	"cmp"
	"hash/maphash"
	"path"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// renameSearch looks for the new names of files that a side has no more.
type renameSearch struct {
	r            *Repo
	shared, side map[string]treeEntry
	found        map[string]string // new names by the old
	taken        map[string]bool   // new names that were found
}

// exact finds files with the same content; of several one with the same last part of
// its name goes first.
func (s *renameSearch) exact(gone, came []string) {
	same, based := map[plumbing.Hash][]string{}, map[string][]string{}
	for _, name := range came {
		id := s.side[name].id
		same[id] = append(same[id], name)
		based[id.String()+path.Base(name)] = append(based[id.String()+path.Base(name)], name)
	}
	free := func(names []string) []string {
		for len(names) > 0 && s.taken[names[0]] {
			names = names[1:]
		}
		return names
	}
	for _, from := range gone {
		id := s.shared[from].id
		key := id.String() + path.Base(from)
		based[key], same[id] = free(based[key]), free(same[id])
		for _, names := range [][]string{based[key], same[id]} {
			if len(names) > 0 {
				s.found[from], s.taken[names[0]] = names[0], true
				break
			}
		}
	}
}

// alike finds for each file left the text that is most like it; of equals one with
// the same last part of its name goes first. It returns those for which nothing was
// looked for because that is too much work.
func (s *renameSearch) alike(gone, came []string) (unsought []string, err error) {
	gone = slices.DeleteFunc(slices.Clone(gone), func(name string) bool { return s.found[name] != "" })
	came = slices.DeleteFunc(slices.Clone(came), func(name string) bool { return s.taken[name] })
	sizes, ok := s.sizes(gone, came)
	if !ok {
		return gone, nil
	}
	t := lineCounts{r: s.r, seed: maphash.MakeSeed(), of: map[plumbing.Hash][]countedLine{}, alike: map[[2]plumbing.Hash]float64{}}
	for _, from := range gone {
		best, most, was := "", 0.0, s.shared[from].id
		for _, name := range came {
			is := s.side[name].id
			if s.taken[name] || !near(sizes[was], sizes[is]) {
				continue
			}
			like, err := t.likeness(was, is, max(sizes[was], sizes[is]))
			if err != nil {
				return nil, err
			}
			if c := cmp.Compare(like, most); like >= renameLikeness && (c > 0 || c == 0 && path.Base(name) == path.Base(from) && path.Base(best) != path.Base(from)) {
				best, most = name, like
			}
		}
		if best != "" {
			s.found[from], s.taken[best] = best, true
		}
	}
	return nil, nil
}

// near reports whether files of two lengths can be alike enough: that in common is no
// more than the lesser. What is too large to read is near nothing.
func near(a, b int64) bool {
	return max(a, b) <= maxObject && float64(min(a, b)) >= renameLikeness*float64(max(a, b))
}

// sizes finds how long the files are, in bytes, and adds up what comparing them
// would take; not ok is too much.
func (s *renameSearch) sizes(gone, came []string) (sizes map[plumbing.Hash]int64, ok bool) {
	sizes = map[plumbing.Hash]int64{}
	measure := func(id plumbing.Hash) {
		if _, done := sizes[id]; !done {
			size, err := s.r.store.size(id)
			if sizes[id] = size; err != nil {
				sizes[id] = maxObject + 1
			}
		}
	}
	if len(gone) > 0 && len(came) > 0 && len(came) > maxPairs/len(gone) {
		return nil, false
	}
	looked, compared := map[plumbing.Hash]bool{}, map[[2]plumbing.Hash]bool{}
	var read, work int64
	for _, from := range gone {
		was := s.shared[from].id
		measure(was)
		for _, name := range came {
			is := s.side[name].id
			pair := [2]plumbing.Hash{was, is}
			if measure(is); compared[pair] || !near(sizes[was], sizes[is]) {
				continue
			}
			compared[pair] = true
			work += sizes[was] + sizes[is]
			for _, id := range pair {
				if !looked[id] {
					looked[id] = true
					read += sizes[id]
				}
			}
			if read > maxLooked || work > maxCompared {
				return nil, false
			}
		}
	}
	return sizes, true
}

// countedLine is how many bytes of a text are lines of one content.
type countedLine struct {
	line  uint64 // by its hash
	bytes int
}

// lineCounts keeps the lines of texts that are compared, each read once.
type lineCounts struct {
	r     *Repo
	seed  maphash.Seed
	of    map[plumbing.Hash][]countedLine
	alike map[[2]plumbing.Hash]float64
}

// likeness is the part of the greater of two files, of that many bytes, that stands
// in both, line by line.
func (t *lineCounts) likeness(a, b plumbing.Hash, greater int64) (float64, error) {
	pair := [2]plumbing.Hash{a, b}
	if like, done := t.alike[pair]; done {
		return like, nil
	}
	first, err := t.lines(a)
	if err != nil {
		return 0, err
	}
	second, err := t.lines(b)
	if err != nil {
		return 0, err
	}
	common := 0
	for len(first) > 0 && len(second) > 0 {
		switch c := cmp.Compare(first[0].line, second[0].line); {
		case c < 0:
			first = first[1:]
		case c > 0:
			second = second[1:]
		default:
			common += min(first[0].bytes, second[0].bytes)
			first, second = first[1:], second[1:]
		}
	}
	t.alike[pair] = float64(common) / float64(max(greater, 1))
	return t.alike[pair], nil
}

// lines counts the lines of a text, ascending by their hashes.
func (t *lineCounts) lines(id plumbing.Hash) ([]countedLine, error) {
	if counted, done := t.of[id]; done {
		return counted, nil
	}
	text, err := t.r.object(plumbing.BlobObject, id)
	if err != nil {
		return nil, err
	}
	sums := map[uint64]int{}
	for line := range bytes.Lines(text) {
		sums[maphash.Bytes(t.seed, line)] += len(line)
	}
	counted := make([]countedLine, 0, len(sums))
	for line, n := range sums {
		counted = append(counted, countedLine{line, n})
	}
	slices.SortFunc(counted, func(a, b countedLine) int { return cmp.Compare(a.line, b.line) })
	t.of[id] = counted
	return counted, nil
}
