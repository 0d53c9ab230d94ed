package repo

import (
	"bytes"
	"compress/zlib"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// objectFile is where git keeps a loose object.
func objectFile(r *Repo, id string) string { return r.path("objects/" + id[:2] + "/" + id[2:]) }

func TestReadDetectsDamage(t *testing.T) {
	blob := func(content string) string {
		return plumbing.ComputeHash(plumbing.BlobObject, []byte(content)).String()
	}
	back := blob("name: back\nhem: 599\n")
	other, err := deflate(newDraft(plumbing.BlobObject, []byte("name: back\nhem: 600\n")))
	require.NoError(t, err)
	for name, spoil := range map[string]func(file string) error{
		"missing":           os.Remove,
		"empty":             func(file string) error { return os.Truncate(file, 0) },
		"torn":              func(file string) error { return os.Truncate(file, 20) },
		"of another":        func(file string) error { return os.WriteFile(file, other, 0o666) },
		"not even deflated": func(file string) error { return os.WriteFile(file, []byte("blob 3\x00abc"), 0o666) },
	} {
		t.Run(name, func(t *testing.T) {
			r := withVersions(t, 2)
			file := objectFile(r, back)
			require.NoError(t, os.Chmod(file, 0o666))
			require.NoError(t, spoil(file))
			r = reopened(t, r)
			first, err := r.Resolve("1")
			require.NoError(t, err)
			_, err = r.Read(first)
			var damaged *DamagedError
			require.ErrorAs(t, err, &damaged)
			assert.ErrorContains(t, err, "version 1, pieces/back.yaml")
			assert.Equal(t, back, damaged.Object)
			last, err := r.Last()
			require.NoError(t, err)
			files, err := r.Read(*last)
			require.NoError(t, err, "the other version is whole")
			assert.Equal(t, smock(2).complete(), files)
			commit(t, r, 3, smock(1)) // the same content again mends it
			_, err = reopened(t, r).Read(first)
			require.NoError(t, err)
		})
	}
}

func TestDamagedVersionsAndFolders(t *testing.T) {
	r := withVersions(t, 2)
	last, err := r.Last()
	require.NoError(t, err)
	c, err := r.commit(plumbing.NewHash(last.ID))
	require.NoError(t, err)
	tree := objectFile(r, c.TreeHash.String())
	require.NoError(t, os.Remove(tree))
	_, err = reopened(t, r).Read(*last)
	assert.ErrorContains(t, err, "missing")
	require.NoError(t, os.Remove(objectFile(r, last.Parents[0])))
	_, err = reopened(t, r).History()
	assert.NoError(t, err, "the version table has it")
	require.NoError(t, os.Remove(r.own(tableFile)))
	_, err = reopened(t, r).History()
	assert.ErrorContains(t, err, "missing")
	require.NoError(t, os.Remove(objectFile(r, last.ID)))
	_, err = reopened(t, r).Last()
	assert.ErrorContains(t, err, "missing")
	before := onDisk(t, r.Root(), ".git/toile")
	_, err = reopened(t, r).Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(3)})
	assert.ErrorContains(t, err, "missing", "never a new history")
	assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))
}

// A damaged pack ends in an error as well, and not in a panic or a wrong file.
func TestDamagedPack(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 6)
	all, err := r.History()
	require.NoError(t, err)
	git(t, r.Root(), "gc", "-q", "--prune=now")
	packs, err := os.ReadDir(r.path("objects/pack"))
	require.NoError(t, err)
	for _, e := range packs {
		if !strings.HasSuffix(e.Name(), ".pack") {
			continue
		}
		file := r.path("objects/pack/" + e.Name())
		whole, err := os.ReadFile(file)
		require.NoError(t, err)
		require.NoError(t, os.Chmod(file, 0o666))
		wrong := 0
		for i := 12; i < len(whole)-20; i += 7 {
			torn := bytes.Clone(whole)
			torn[i] ^= 0x55
			require.NoError(t, os.WriteFile(file, torn, 0o666))
			other := reopened(t, r)
			for _, v := range all {
				files, err := other.Read(v)
				if err != nil {
					wrong++
					continue
				}
				require.Equal(t, smock(v.Number).complete(), files, "byte %d", i)
			}
		}
		assert.Positive(t, wrong)
		t.Logf("%d readings of %d refused", wrong, len(all)*(len(whole)-32)/7)
	}
}

// The form of a loose object is git's: kind, length, NUL, content, deflated.
func TestDeflate(t *testing.T) {
	packed, err := deflate(newDraft(plumbing.BlobObject, []byte("hello")))
	require.NoError(t, err)
	in, err := zlib.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
	plain, err := io.ReadAll(in)
	require.NoError(t, err)
	assert.Equal(t, "blob 5\x00hello", string(plain))
	// The id of "hello" as a blob, as the git documentation's hash-object gives it.
	assert.Equal(t, "b6fc4c620b67d95f953a5c1c1230aaab5db5a1b0", newDraft(plumbing.BlobObject, []byte("hello")).id.String())
}

func TestTreeOrderIsGits(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "pieces.txt", "sorts before pieces/")
	put(t, r, "pieces-old", "so does this")
	put(t, r, "pieces0", "and this after it")
	put(t, r, "pieces/front/x", "a folder front beside front.yaml")
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "beside")
	want := git(t, r.Root(), "rev-parse", "HEAD^{tree}")
	c, err := r.contentsOf(plumbing.NewHash(want))
	require.NoError(t, err)
	_, drafts, top := c.plan(smock(1).complete(), nil)
	assert.Equal(t, want, top.String())
	assert.Len(t, drafts, 1, "only the top folder is worked out anew")
	v := commit(t, r, 3, with(smock(1), "pieces/front-facing.yaml", "name: front facing\n"))
	fsck(t, r.Root())
	_, added, _, err := r.Changed(v)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/front-facing.yaml"}, added)
}

func TestStrangeTreesAreRefused(t *testing.T) {
	id := strings.Repeat("x", 20)
	for name, content := range map[string]string{
		"twice":    "100644 a\x00" + id + "100644 a\x00" + id,
		"unsorted": "100644 b\x00" + id + "100644 a\x00" + id,
		"slash":    "100644 a/b\x00" + id,
		"upwards":  "40000 ..\x00" + id,
		"no name":  "100644 \x00" + id,
		"torn":     "100644 a\x00" + id[:10],
		"no mode":  "a\x00" + id,
	} {
		_, err := decodeTree([]byte(content))
		assert.Error(t, err, name)
	}
}

// A link or submodule where a piece should be is refused when it is read.
func TestLinksInVersions(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	require.NoError(t, os.Remove(r.Root()+"/pieces/front.yaml"))
	require.NoError(t, os.Symlink("/etc/passwd", r.Root()+"/pieces/front.yaml"))
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "a link")
	last, err := r.Last()
	require.NoError(t, err)
	_, err = r.Read(*last)
	assert.ErrorContains(t, err, "pieces/front.yaml is not a regular file")
}

func FuzzTree(f *testing.F) {
	f.Add([]byte("100644 a\x00xxxxxxxxxxxxxxxxxxxx40000 pieces\x00xxxxxxxxxxxxxxxxxxxx"))
	f.Fuzz(func(t *testing.T, content []byte) {
		entries, err := decodeTree(content)
		if err == nil && !bytes.Equal(content, encodeTree(entries)) {
			t.Fatalf("%q is not what was read", content)
		}
	})
}

// A record is read as git writes it: what other programs add to its head is
// passed over, and what is wrong in a signature is left out.
func TestDecodeCommit(t *testing.T) {
	tree, one, two := strings.Repeat("1a", 20), strings.Repeat("2b", 20), strings.Repeat("3c", 20)
	c, err := decodeCommit([]byte("tree " + tree + "\nparent " + one + "\nparent " + two +
		"\nauthor A <B> Picker <p@example.org> 1775000000 -0330\ncommitter Other <o@example.org> 1775000001 +0000\n" +
		"encoding UTF-8\ngpgsig -----BEGIN-----\n \n author Wrong <w@example.org> 1 +0000\n -----END-----\n\nhem up\n\nby 6 cm\n"))
	require.NoError(t, err)
	assert.Equal(t, tree, c.TreeHash.String())
	assert.Equal(t, []plumbing.Hash{plumbing.NewHash(one), plumbing.NewHash(two)}, c.ParentHashes)
	assert.Equal(t, "hem up\n\nby 6 cm\n", c.Message)
	assert.Equal(t, "A <B> Picker", c.Author.Name)
	assert.Equal(t, "p@example.org", c.Author.Email)
	assert.Equal(t, "2026-03-31T20:03:20-03:30", c.Author.When.Format(time.RFC3339)) // as `date -d @1775000000` has it
	assert.Equal(t, "Other", c.Committer.Name)
	for _, author := range []string{"", "author\n", "author nobody\n", "author > <\n", "author A <b> soon\n"} {
		c, err := decodeCommit([]byte("tree " + tree + "\n" + author + "\nhem up"))
		require.NoError(t, err, author)
		assert.True(t, c.Author.When.IsZero(), author)
		assert.Equal(t, "hem up", c.Message, author)
	}
	for _, wrong := range []string{"", "parent " + one + "\n\nx", "tree 12\n\nx", "tree " + tree + "1\n\nx", "tree " + tree + "\nparent 12\n\nx"} {
		_, err := decodeCommit([]byte(wrong))
		assert.Error(t, err, wrong)
	}
}

// packingOps takes a folder of objects away just before it is synced, once, as a
// git program does that packs.
type packingOps struct {
	diskOps
	once sync.Once
}

func (o *packingOps) SyncFolder(path string) (err error) {
	if len(filepath.Base(path)) == 2 {
		o.once.Do(func() { err = os.RemoveAll(path) })
	}
	return errors.Join(err, o.diskOps.SyncFolder(path))
}

func TestFolderPackedAwayWhileKeeping(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	r.ops = &packingOps{}
	commit(t, r, 2, smock(2))
	fsck(t, r.Root())
	last, err := reopened(t, r).Last()
	require.NoError(t, err)
	files, err := reopened(t, r).Read(*last)
	require.NoError(t, err)
	assert.Equal(t, smock(2).complete(), files)
}
