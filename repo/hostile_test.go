package repo

import (
	"bytes"
	"compress/zlib"
	"context"
	"crypto/sha1"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Deliveries that are made to do harm. Each is written here byte by byte into
// one file, as somebody could hand it over on a stick; servers deliver the same
// packs through the same readers.

// sample is a delivery under construction.
type sample struct {
	objects []draft
	refs    map[string]plumbing.Hash
	head    string // instead of the usual first lines
	pack    []byte // instead of objects
}

func (s *sample) add(kind plumbing.ObjectType, content string) plumbing.Hash {
	d := newDraft(kind, []byte(content))
	s.objects = append(s.objects, d)
	return d.id
}

// rawTree writes a list of files in the order given, whatever stands in it.
func rawTree(entries ...treeEntry) string {
	var b strings.Builder
	for _, e := range entries {
		b.WriteString(e.mode + " " + e.name + "\x00" + string(e.id[:]))
	}
	return b.String()
}

// version adds a version of a tree and lets the first branch stand on it.
func (s *sample) version(tree plumbing.Hash, parents ...plumbing.Hash) plumbing.Hash {
	content, err := encodeCommit(tree, parents, someone, at(1), "a version\n")
	if err != nil {
		panic(err)
	}
	id := s.add(plumbing.CommitObject, string(content))
	s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: id}
	return id
}

// honest are the files of a small pattern, as entries of its list.
func (s *sample) honest() []treeEntry {
	piece := s.add(plumbing.BlobObject, "name: back\n")
	folder := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "back.yaml", piece}))
	return []treeEntry{
		{modeFile, PatternFile, s.add(plumbing.BlobObject, "format: 1\n")},
		{modeFolder, PiecesFolder, folder},
	}
}

// with is a version of the honest files and more, in git's order.
func (s *sample) with(more ...treeEntry) {
	s.version(s.add(plumbing.TreeObject, string(encodeTree(append(s.honest(), more...)))))
}

func (s *sample) bytes() []byte {
	var b bytes.Buffer
	b.WriteString(bundleV2 + "\n")
	if s.head != "" {
		b.Reset()
		b.WriteString(s.head)
	}
	for ref, id := range s.refs {
		fmt.Fprintf(&b, "%s %s\n", id, ref)
	}
	b.WriteString("\n")
	if s.pack != nil {
		b.Write(s.pack)
		return b.Bytes()
	}
	w := newPackWriter(&b, len(s.objects))
	for _, d := range s.objects {
		w.object(d.kind, d.id, d.content, packBase{})
	}
	if _, err := w.finish(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// rawPack is a pack of entries written by hand, with a right checksum.
func rawPack(count uint32, entries ...[]byte) []byte {
	head := binary.BigEndian.AppendUint32([]byte("PACK\x00\x00\x00\x02"), count)
	all := append(head, bytes.Join(entries, nil)...)
	sum := sha1.Sum(all)
	return append(all, sum[:]...)
}

// rawEntry is one entry; base stands between head and content.
func rawEntry(kind, size int, base, content []byte) []byte {
	var b bytes.Buffer
	b.Write(entryBytes(kind, size))
	b.Write(base)
	z := zlib.NewWriter(&b)
	_, _ = z.Write(content)
	_ = z.Close()
	return b.Bytes()
}

func zeros(n int) []byte { return make([]byte, n) }

// hostileSamples are all kinds, by what is wrong.
func hostileSamples() map[string]func(*sample) {
	id := func(n byte) plumbing.Hash { return plumbing.Hash{n, 1} }
	named := func(name string) func(*sample) {
		return func(s *sample) {
			file := s.add(plumbing.BlobObject, "x\n")
			s.with(treeEntry{modeFile, name, file})
		}
	}
	inPieces := func(mode, name string) func(*sample) {
		return func(s *sample) {
			file := s.add(plumbing.BlobObject, "x\n")
			folder := s.add(plumbing.TreeObject, rawTree(treeEntry{mode, name, file}))
			s.version(s.add(plumbing.TreeObject, rawTree(s.honest()[0], treeEntry{modeFolder, PiecesFolder, folder})))
		}
	}
	record := func(format string) func(*sample) {
		return func(s *sample) {
			tree := s.add(plumbing.TreeObject, string(encodeTree(s.honest())))
			s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: s.add(plumbing.CommitObject, fmt.Sprintf(format, tree))}
		}
	}
	packed := func(pack func() []byte) func(*sample) {
		return func(s *sample) {
			s.with()
			s.pack = pack()
		}
	}
	head := func(text string) func(*sample) {
		return func(s *sample) { s.with(); s.head = text }
	}
	all := map[string]func(*sample){
		// packs
		"claims 4 billion parts":       packed(func() []byte { return rawPack(0xFFFFFFFF, zeros(87)) }),
		"claims a part too many":       packed(func() []byte { return rawPack(maxPackObjects + 1) }),
		"claims parts it has not":      packed(func() []byte { return rawPack(maxPackObjects) }),
		"claims a part of 1 GB":        packed(func() []byte { return rawPack(1, rawEntry(3, 1<<30, nil, []byte("x"))) }),
		"claims a part of 2^60":        packed(func() []byte { return rawPack(1, rawEntry(3, 1<<60, nil, []byte("x"))) }),
		"a part longer than it says":   packed(func() []byte { return rawPack(1, rawEntry(3, 10, nil, zeros(1<<22))) }),
		"a part shorter than it says":  packed(func() []byte { return rawPack(1, rawEntry(3, 1<<21, nil, []byte("x"))) }),
		"many parts of zeros":          packed(func() []byte { return zeroBomb(60, maxObject) }),
		"many middling parts of zeros": packed(func() []byte { return zeroBomb(5000, largePart) }),
		"differences that swell":       packed(swelling),
		"a difference before all":      packed(func() []byte { return rawPack(1, rawEntry(offsetDelta, 3, backBytes(1<<20), []byte{1, 1, 1})) }),
		"a difference of itself":       packed(func() []byte { return rawPack(1, rawEntry(offsetDelta, 3, []byte{0}, []byte{1, 1, 1})) }),
		"a difference of nothing": packed(func() []byte {
			base := id(7)
			return rawPack(1, rawEntry(nameDelta, 3, base[:], []byte{1, 1, 1}))
		}),
		"an unknown kind":    packed(func() []byte { return rawPack(1, rawEntry(5, 1, nil, []byte("x"))) }),
		"the same twice":     packed(func() []byte { return rawPack(2, rawEntry(3, 1, nil, []byte("x")), rawEntry(3, 1, nil, []byte("x"))) }),
		"more after the end": packed(func() []byte { return rawPack(1, rawEntry(3, 1, nil, []byte("x")), zeros(50)) }),
		"a wrong checksum": packed(func() []byte {
			p := rawPack(1, rawEntry(3, 1, nil, []byte("x")))
			p[len(p)-1] ^= 1
			return p
		}),
		"no pack":             packed(func() []byte { return []byte("rubbish\x1b[31m, and more of it") }),
		"nothing":             packed(func() []byte { return []byte{} }),
		"a pack of version 9": packed(func() []byte { p := rawPack(0); p[7] = 9; return p }),
		// heads
		"an endless line":        head(bundleV2 + "\n" + strings.Repeat("a", 8<<20)),
		"a million branches":     head(bundleV2 + "\n" + strings.Repeat(strings.Repeat("1", 40)+" refs/heads/x\n", 200_000)),
		"an unknown file":        head("# v9 git bundle\x1b[2J\n"),
		"parts left out":         head(bundleV3 + "\n@filter=blob:none\n"),
		"branches without an id": head(bundleV2 + "\nnothing refs/heads/working\x1b\n"),
		"branches of nothing":    head(bundleV2 + "\n" + strings.Repeat("0", 40) + " refs/heads/x\n"),
		// versions and files
		"a missing version":    func(s *sample) { s.with(); s.version(s.objects[len(s.objects)-2].id, id(9)) },
		"a missing list":       func(s *sample) { s.version(id(9)) },
		"a missing inner list": func(s *sample) { s.with(treeEntry{modeFolder, "notes", id(9)}) },
		"a missing file":       func(s *sample) { s.with(treeEntry{modeFile, RecipesFile, id(9)}) },
		"a missing other file": func(s *sample) { s.with(treeEntry{modeFile, "README.md", id(9)}) },
		"a version as a file":  func(s *sample) { s.with(); s.with(treeEntry{modeFile, "README.md", s.refs[headsPrefix+FirstBranch]}) },
		"a file as a version": func(s *sample) {
			s.with()
			s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: s.objects[0].id}
		},
		"a file as a list": func(s *sample) { s.version(s.add(plumbing.BlobObject, "x")) },
		"no pattern": func(s *sample) {
			s.version(s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "a", s.add(plumbing.BlobObject, "x")})))
		},
		"no list":       func(s *sample) { s.version(plumbing.ZeroHash) },
		"a broken list": func(s *sample) { s.version(s.add(plumbing.TreeObject, "100644 pattern.yaml\x00abc")) },
		"a broken version": func(s *sample) {
			s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: s.add(plumbing.CommitObject, "tree \x1b[31m\n")}
		},
		"a folder that becomes .git": func(s *sample) {
			x := s.add(plumbing.BlobObject, "x\n")
			inner := s.add(plumbing.TreeObject, rawTree(
				treeEntry{modeFile, "commondir", s.add(plumbing.BlobObject, "..\n")},
				treeEntry{modeFile, "config", s.add(plumbing.BlobObject, "[core]\n\tfsmonitor = \"touch ran; false\"\n")}))
			s.with(treeEntry{modeFolder, unfinished, inner}, treeEntry{modeFile, "x", x})
		},
		"names without end in every version": manyLists,
		"a version without an author":        record("tree %s\ncommitter a <b> 1 +0000\n\nx\n"),
		"an author without an address":       record("tree %s\nauthor a 1 +0000\ncommitter a <b> 1 +0000\n\nx\n"),
		"an author with a bracket":           record("tree %s\nauthor a<c <b> 1 +0000\ncommitter a <b> 1 +0000\n\nx\n"),
		"two authors":                        record("tree %s\nauthor a <b> 1 +0000\ncommitter a <b> 1 +0000\nauthor a <b> 1 +0000\n\nx\n"),
		"a day beyond all time":              record("tree %s\nauthor a <b> 18446744073709551616 +0000\ncommitter a <b> 1 +0000\n\nx\n"),
		"a day with a nought before it":      record("tree %s\nauthor a <b> 01 +0000\ncommitter a <b> 1 +0000\n\nx\n"),
		"a text with a NUL":                  record("tree %s\nauthor a <b> 1 +0000\ncommitter a <b> 1 +0000\n\nx\x00y\n"),
		"a name whose giver is nobody": func(s *sample) {
			s.with()
			s.refs[tagsPrefix+"x"] = s.add(plumbing.TagObject, fmt.Sprintf("object %s\ntype commit\ntag x\ntagger a 1 +0000\n\nx\n", s.refs[headsPrefix+FirstBranch]))
		},
		"a link": func(s *sample) { s.with(treeEntry{"120000", "a", s.add(plumbing.BlobObject, "/etc/passwd")}) },
		"a link as a folder": func(s *sample) {
			s.version(s.add(plumbing.TreeObject, rawTree(s.honest()[0], treeEntry{"120000", PiecesFolder, s.add(plumbing.BlobObject, "..")})))
		},
		"a link as a piece": inPieces("120000", "back.yaml"),
		"other versions":    func(s *sample) { s.with(treeEntry{"160000", "a", id(9)}) },
		"an odd mode":       func(s *sample) { s.with(treeEntry{"100777", "a", s.add(plumbing.BlobObject, "x")}) },
		"a device":          inPieces("20000", "back.yaml"),
		"a folder in a folder": func(s *sample) {
			inner := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "a", s.add(plumbing.BlobObject, "x")}))
			s.with(treeEntry{modeFolder, "notes", s.add(plumbing.TreeObject, rawTree(treeEntry{modeFolder, "b", inner}))})
		},
		"a folder as a piece": func(s *sample) {
			inner := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "a", s.add(plumbing.BlobObject, "x")}))
			folder := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFolder, "back.yaml", inner}))
			s.version(s.add(plumbing.TreeObject, rawTree(s.honest()[0], treeEntry{modeFolder, PiecesFolder, folder})))
		},
		"folders within folders, each twice": nested,
		"a list out of order": func(s *sample) {
			h := s.honest()
			s.version(s.add(plumbing.TreeObject, rawTree(h[1], h[0])))
		},
		"a name twice": func(s *sample) {
			h := s.honest()
			s.version(s.add(plumbing.TreeObject, rawTree(h[0], h[0], h[1])))
		},
		"names alike but for case": func(s *sample) {
			x := s.add(plumbing.BlobObject, "x")
			s.with(treeEntry{modeFile, "Notes", x}, treeEntry{modeFile, "notes", x})
		},
		"a name composed in two ways": func(s *sample) {
			x := s.add(plumbing.BlobObject, "x")
			s.with(treeEntry{modeFile, "\u00e9toffe", x}, treeEntry{modeFile, "e\u0301toffe", x})
		},
		"a million names": func(s *sample) {
			x := s.add(plumbing.BlobObject, "x")
			var names []treeEntry
			for n := range maxFiles + 2 {
				names = append(names, treeEntry{modeFile, fmt.Sprintf("a%06d", n), x})
			}
			s.with(names...)
		},
		"a piece of 2 MB": func(s *sample) {
			folder := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "back.yaml", s.add(plumbing.BlobObject, strings.Repeat("name: back\n", 200_000))}))
			s.version(s.add(plumbing.TreeObject, rawTree(s.honest()[0], treeEntry{modeFolder, PiecesFolder, folder})))
		},
		"a piece of a million values": func(s *sample) {
			s.with(treeEntry{modeFile, RecipesFile, s.add(plumbing.BlobObject, "a: ["+strings.Repeat("a,", 500_000)+"]\n")})
		},
		"a piece that is no text": func(s *sample) {
			s.with(treeEntry{modeFile, RecipesFile, s.add(plumbing.BlobObject, "a\x00b")})
		},
		"a stray list that leads out": func(s *sample) {
			s.with()
			s.add(plumbing.TreeObject, rawTree(treeEntry{"120000", "../x", s.objects[0].id}))
		},
		"a name that goes in a ring": func(s *sample) {
			s.with()
			at := s.refs[headsPrefix+FirstBranch]
			for range maxPeel + 2 {
				at = s.add(plumbing.TagObject, fmt.Sprintf("object %s\ntype tag\ntag x\ntagger a <b> 1 +0000\n\n\x1b[31m\n", at))
			}
			s.refs[tagsPrefix+"x"] = at
		},
	}
	for _, name := range []string{"..", ".", "", "/etc/passwd", "a/b", "../a", `a\b`, `C:\a`, "a.", "a ", " a", "x:stream", "a\xff", "a\x1b[31mb", "a\nb",
		"a\u202eb", ".git", ".GIT", ".git ", ".git.", ".g\u200cit", "git~1", "GIT~2", ".gitmodules", ".git::$INDEX_ALLOCATION", "con", "NUL.txt", "aux.yaml",
		"a\x7f", "a\u00a0", unfinished, ".Git-Starting", "GIT-ST~1", "gi7d29~1", ".gitconfig", "\uff0egit", strings.Repeat("n", 201)} {
		all[fmt.Sprintf("a file called %q", name)] = named(name)
	}
	return all
}

// zeroBomb is a pack of many parts, each zeros but for its beginning.
func zeroBomb(n, size int) []byte {
	var entries [][]byte
	content := zeros(size)
	for i := range n {
		binary.BigEndian.PutUint32(content, uint32(i))
		entries = append(entries, rawEntry(3, size, nil, content))
	}
	return rawPack(uint32(n), entries...)
}

// swelling is a pack of one part and hundreds of differences that each copy it
// together to the most that is allowed.
func swelling() []byte {
	base := zeros(1 << 16)
	entries := [][]byte{rawEntry(3, len(base), nil, base)}
	offset := len(entries[0])
	for i := range 300 {
		delta := appendSize(appendSize(nil, len(base)), maxObject)
		for range maxObject/len(base) - 1 {
			delta = append(delta, 0x80)
		}
		delta = append(delta, 2, byte(i), byte(i>>8))
		delta = appendCopy(delta, 0, len(base)-2)
		e := rawEntry(offsetDelta, len(delta), backBytes(int64(offset)), delta)
		entries = append(entries, e)
		offset += len(e)
	}
	return rawPack(uint32(len(entries)), entries...)
}

// nested are folders that each hold the next one ten times: few bytes, and 10^20
// files.
func nested(s *sample) {
	inner := s.add(plumbing.TreeObject, rawTree(treeEntry{modeFile, "a", s.add(plumbing.BlobObject, "x")}))
	for range 20 {
		var entries []treeEntry
		for c := range 10 {
			entries = append(entries, treeEntry{modeFolder, string(rune('a' + c)), inner})
		}
		inner = s.add(plumbing.TreeObject, rawTree(entries...))
	}
	s.with(treeEntry{modeFolder, "notes", inner})
}

const hostileEnv = "TOILE_TEST_HOSTILE"

// The child of TestHostileDeliveries: it takes one delivery, by a copy and into
// a pattern, as the program would, and prints what is said.
func TestHostileChild(t *testing.T) {
	dir := os.Getenv(hostileEnv)
	if dir == "" {
		t.Skip("TestHostileDeliveries runs this for every delivery")
	}
	out := t.Output()
	say := func(err error) { fmt.Fprintf(out, "SAID %v\n", err) }
	file := filepath.Join(dir, "in.bundle")
	a, err := ParseAddress(file)
	require.NoError(t, err)
	x := Exchange{Names: true, Say: func(text string) { fmt.Fprintln(out, text) }}
	_, _, err = Copy(context.Background(), filepath.Join(dir, "copy"), a, "", x)
	say(err)
	r, err := Open(filepath.Join(dir, "smock"))
	require.NoError(t, err)
	_, err = r.Receive(context.Background(), Place{Name: "there", Address: a}, x)
	say(err)
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	for line := range strings.Lines(string(status)) {
		if peak, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			fmt.Fprintf(out, "PEAK %s", peak)
		}
	}
}

// peakMB is the most memory that a child had, in MB, as it printed it. What the
// kernel reports to the parent would count the parent's own, from before the
// child became another program.
func peakMB(t testing.TB, out []byte) float64 {
	t.Helper()
	_, rest, ok := strings.Cut(string(out), "PEAK ")
	require.True(t, ok, "%s", out)
	var kB float64
	_, err := fmt.Sscan(rest, &kB)
	require.NoError(t, err)
	return kB / 1024
}

// Every delivery is refused, twice, within two seconds and 64 MB for the whole
// process, leaves nothing behind, and says so without an escape code.
func TestHostileDeliveries(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("how much memory a process took is not known here")
	}
	self, err := os.Executable()
	require.NoError(t, err)
	var worstTime time.Duration
	var worstMB float64
	n := 0
	for name, build := range hostileSamples() {
		dir := t.TempDir()
		s := &sample{}
		build(s)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "in.bundle"), s.bytes(), 0o666))
		r, err := Start(filepath.Join(dir, "smock"), smock(0))
		require.NoError(t, err)
		commit(t, r, 1, smock(1))
		require.NoError(t, r.Close())
		before := onDisk(t, dir, "smock/.git/toile")
		cmd := exec.Command(self, "-test.run=^TestHostileChild$", "-test.v")
		cmd.Env = append(os.Environ(), hostileEnv+"="+dir)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s\n%s", name, out)
		// what the processor spent: others may be at work on this machine
		took, mb := cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime(), peakMB(t, out)
		assert.Equal(t, 2, strings.Count(string(out), "SAID "), "%s\n%s", name, out)
		assert.NotContains(t, string(out), "SAID <nil>", "%s was taken", name)
		assert.NotContains(t, string(out), "\x1b", name)
		assert.NotContains(t, string(out), "panic", name)
		assert.Equal(t, before, onDisk(t, dir, "smock/.git/toile"), name)
		assert.Less(t, took, 4*time.Second, "%s: two deliveries", name)
		assert.Less(t, mb, 64.0, name)
		worstTime, worstMB = max(worstTime, took), max(worstMB, mb)
		if took > time.Second || mb > 48 {
			t.Logf("%-40s %5.2f s for two, %5.1f MB", name, took.Seconds(), mb)
		}
		n++
	}
	t.Logf("%d deliveries, the slowest %.2f s for two, the largest %.1f MB", n, worstTime.Seconds(), worstMB)
}

// What is harmless is taken although it looks odd: texts with escape codes,
// which are shown as signs; branches with names that cannot be used are left.
func TestOddButHarmless(t *testing.T) {
	s := &sample{}
	content, err := encodeCommit(s.add(plumbing.TreeObject, rawTree(s.honest()...)), nil, Author{Name: "Or\x1b[31mchard"}, at(1), "red\x1b]52;c;eA==\a\x9b2J\n")
	require.NoError(t, err)
	id := s.add(plumbing.CommitObject, string(content))
	s.refs = map[string]plumbing.Hash{headsPrefix + FirstBranch: id}
	for _, name := range []string{"../../../x", "HEAD", "-x", "x.lock", "a b", "a\x1b[31m", "CON", "con", "x/y", "last", strings.Repeat("n", 81), "..", "@"} {
		s.refs[headsPrefix+name], s.refs[tagsPrefix+name] = id, id
	}
	file := filepath.Join(t.TempDir(), "in.bundle")
	require.NoError(t, os.WriteFile(file, s.bytes(), 0o666))
	r, c := copied(t, file, Exchange{Names: true})
	assert.Len(t, c.Branches, 1)
	assert.Len(t, c.Left, 13)
	assert.Empty(t, c.Names)
	assert.NotContains(t, strings.Join(c.Left, ""), "\x1b")
	v, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, "red␛]52;c;eA==␇\uFFFD2J", v.Text)
	assert.NotContains(t, v.Who, "\x1b")
	out, err := r.Outgoing(Place{}, Exchange{})
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(out.Persons, ""), "\x1b")
}
