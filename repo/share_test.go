package repo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// agreed is an exchange of somebody who has seen what goes out.
var agreed = Exchange{Agreed: true, Names: true}

func placeOf(t testing.TB, r *Repo, text string) Place {
	t.Helper()
	p, err := r.Place(text, "")
	require.NoError(t, err)
	return p
}

func send(t testing.TB, r *Repo, to string, x Exchange) Sent {
	t.Helper()
	s, err := r.Send(context.Background(), placeOf(t, r, to), x)
	require.NoError(t, err)
	return s
}

func receive(t testing.TB, r *Repo, from string, x Exchange) Received {
	t.Helper()
	got, err := r.Receive(context.Background(), placeOf(t, r, from), x)
	require.NoError(t, err)
	require.Empty(t, r.Warnings())
	return got
}

// copied makes a copy and looks after what every copy must be.
func copied(t testing.TB, from string, x Exchange) (*Repo, Copied) {
	t.Helper()
	a, err := ParseAddress(from)
	require.NoError(t, err)
	r, c, err := Copy(context.Background(), filepath.Join(t.TempDir(), "copy"), a, "", x)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, r.Close()) })
	noLeftovers(t, r)
	return r, c
}

// noLeftovers looks for unfinished files.
func noLeftovers(t testing.TB, r *Repo) {
	t.Helper()
	for _, pattern := range []string{"objects/*/tmp_*", "*.lock", "refs/*/*.lock", "refs/remotes/*/*.lock"} {
		found, err := filepath.Glob(r.path(pattern))
		require.NoError(t, err)
		require.Empty(t, found)
	}
}

func stick(t testing.TB) string { return filepath.Join(t.TempDir(), "stick") }

func made(t testing.TB, dir string) string {
	t.Helper()
	require.NoError(t, os.Mkdir(dir, 0o777))
	return dir
}

func TestShareByFile(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 4)
	two, err := r.Resolve("2")
	require.NoError(t, err)
	require.NoError(t, r.Name("as-worn", two))
	require.NoError(t, r.NewBranch("short", two))
	folder := made(t, stick(t))

	_, err = r.Send(context.Background(), placeOf(t, r, folder), Exchange{})
	var ask *NotAgreedError
	require.ErrorAs(t, err, &ask)
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Empty(t, entries, "nothing is written before somebody agreed")
	require.Empty(t, r.Places())

	s := send(t, r, folder, Exchange{Agreed: true, Names: true, All: true})
	require.Equal(t, filepath.Join(folder, "smock.bundle"), s.File)
	require.Equal(t, []string{"as-worn"}, s.Names)
	noLeftovers(t, r)
	git(t, r.Root(), "bundle", "verify", s.File)
	git(t, r.Root(), "fetch", "stick") // plain git knows the place
	cloned := filepath.Join(t.TempDir(), "cloned")
	git(t, t.TempDir(), "clone", "-q", s.File, cloned)
	fsck(t, cloned)
	assert.Equal(t, onDisk(t, r.Root(), ".git"), onDisk(t, cloned, ".git"))
	assert.NotContains(t, git(t, cloned, "for-each-ref"), "toile")

	c, what := copied(t, folder, agreed)
	fsck(t, c.Root())
	assert.Empty(t, git(t, c.Root(), "status", "--porcelain"))
	assert.Equal(t, onDisk(t, r.Root(), ".git"), onDisk(t, c.Root(), ".git"))
	assert.Equal(t, "working", what.Branch)
	assert.Equal(t, 4, what.Versions)
	assert.Equal(t, []string{"as-worn"}, what.Names)
	mine, err := r.History()
	require.NoError(t, err)
	theirs, err := c.History()
	require.NoError(t, err)
	assert.Equal(t, mine, theirs)
	short, err := c.Resolve("stick/short")
	require.NoError(t, err)
	assert.Equal(t, two.ID, short.ID)
	assert.False(t, c.Places()[0].Agreed, "whoever copied has not agreed to send")
}

// The first two go back and forth, then both go on, then the one who sends
// second is told.
func TestReceiveForwardAndDiverge(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	c, _ := copied(t, folder, Exchange{})

	commit(t, c, 3, smock(3))
	send(t, c, "", agreed)
	got := receive(t, r, "", Exchange{})
	require.Equal(t, []ReceivedBranch{{Name: "working", State: BranchAdvanced, There: 1, Last: got.Branches[0].Last}}, got.Branches)
	assert.Equal(t, 1, got.Versions)
	assert.Equal(t, string(smock(3)["pieces/back.yaml"]), get(t, r, "pieces/back.yaml"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, BranchSame, receive(t, r, "", Exchange{}).Branches[0].State)

	commit(t, r, 4, smock(4))
	assert.Equal(t, BranchAhead, receive(t, r, "", Exchange{}).Branches[0].State)
	commit(t, c, 5, smock(5))
	send(t, c, "", agreed)
	before := onDisk(t, folder)
	_, err := r.Send(context.Background(), placeOf(t, r, ""), agreed)
	var first *SentFirstError
	require.ErrorAs(t, err, &first)
	assert.False(t, first.Behind)
	assert.Equal(t, "somebody sent first; that version is here now, as stick/working", err.Error())
	assert.Equal(t, before, onDisk(t, folder))
	there, err := r.Resolve("stick/working")
	require.NoError(t, err)
	assert.Equal(t, "change 5", there.Text)
	got = receive(t, r, "", Exchange{})
	assert.Equal(t, BranchDiverged, got.Branches[0].State)
	assert.Equal(t, [2]int{1, 1}, [2]int{got.Branches[0].Here, got.Branches[0].There})
	last, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, "change 4", last.Text)

	// Once merged it can be sent.
	_, err = r.Commit(smock(6), CommitOptions{Text: "merged", Author: someone, Time: at(6), Merges: []string{there.ID}})
	require.NoError(t, err)
	assert.Equal(t, 2, send(t, r, "", agreed).Branches[0].Versions)
	assert.Equal(t, 2, receive(t, c, "", Exchange{}).Versions)
	fsck(t, r.Root())
	fsck(t, c.Root())
	noLeftovers(t, r)
	noLeftovers(t, c)
}

func TestReceiveLeavesUnsavedWork(t *testing.T) {
	r := withVersions(t, 2)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	c, _ := copied(t, folder, Exchange{})
	commit(t, r, 3, smock(3))
	send(t, r, "", agreed)
	put(t, c, "pieces/front.yaml", "name: front\nhem: 1\n")
	got := receive(t, c, "", Exchange{})
	require.Equal(t, BranchUnsaved, got.Branches[0].State)
	assert.Equal(t, []string{"pieces/front.yaml"}, got.Branches[0].Unsaved)
	assert.Equal(t, "name: front\nhem: 1\n", get(t, c, "pieces/front.yaml"))
	assert.Equal(t, string(smock(2)["pieces/back.yaml"]), get(t, c, "pieces/back.yaml"))
	v, err := c.Resolve("stick/working")
	require.NoError(t, err)
	assert.Equal(t, "change 3", v.Text)

	_, err = c.Send(context.Background(), placeOf(t, c, ""), agreed)
	var first *SentFirstError
	require.ErrorAs(t, err, &first)
	assert.True(t, first.Behind)
}

func TestGivenNamesStayWhereTheyClash(t *testing.T) {
	r := withVersions(t, 2)
	one, err := r.Resolve("1")
	require.NoError(t, err)
	two, err := r.Resolve("2")
	require.NoError(t, err)
	folder := made(t, stick(t))
	send(t, r, folder, Exchange{Agreed: true})
	c, _ := copied(t, folder, Exchange{})
	require.NoError(t, r.Name("as-worn", one))
	require.NoError(t, r.Name("cloth", two))
	require.NoError(t, c.Name("as-worn", two))
	assert.Equal(t, []string{"as-worn", "cloth"}, send(t, r, "", agreed).Names)
	got := receive(t, c, "", Exchange{})
	assert.Equal(t, 1, got.NamesLeft, "what means something else here is not offered")
	got = receive(t, c, "", Exchange{Names: true})
	assert.Equal(t, []string{"cloth"}, got.Names)
	assert.Equal(t, []string{fmt.Sprintf("as-worn, there version 1 (%s), here version 2 (%s)", one.ID[:8], two.ID[:8])}, got.Clashing)
	names, err := c.Names()
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"as-worn": two.ID, "cloth": two.ID}, names)
	s := send(t, c, "", agreed)
	assert.Equal(t, []string{"as-worn"}, s.Clashing)
}

// What others keep in the one file stays when somebody writes it anew.
func TestAFileKeepsWhatOthersSent(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	c, _ := copied(t, folder, Exchange{})
	last, err := c.Last()
	require.NoError(t, err)
	require.NoError(t, c.NewBranch("short", *last))
	require.NoError(t, c.Use("short"))
	v := commit(t, c, 7, smock(7))
	require.NoError(t, c.Name("hot-days", v))
	send(t, c, "stick", agreed)
	commit(t, r, 3, smock(3))
	s := send(t, r, "", Exchange{Agreed: true})
	heads := git(t, r.Root(), "bundle", "list-heads", s.File)
	for _, ref := range []string{"refs/heads/short", "refs/heads/working", "refs/tags/hot-days"} {
		assert.Contains(t, heads, ref)
	}
	names, err := r.Names()
	require.NoError(t, err)
	assert.Empty(t, names, "a name that was carried along is not taken over")
	git(t, r.Root(), "bundle", "verify", s.File)
}

// Files that git writes: all versions, and only the newest, as differences of
// those before.
func TestFilesMadeByGit(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 3)
	c, _ := func() (*Repo, Copied) {
		whole := filepath.Join(t.TempDir(), "whole.bundle")
		git(t, r.Root(), "bundle", "create", "-q", whole, "--all", "HEAD")
		return copied(t, whole, Exchange{})
	}()
	for i := 4; i < 9; i++ {
		commit(t, r, i, smock(i))
	}
	newest := filepath.Join(t.TempDir(), "newest.bundle")
	git(t, r.Root(), "-c", "pack.threads=1", "bundle", "create", "-q", "--version=3", newest, "HEAD~5..HEAD", "working")
	a, err := ParseAddress(newest)
	require.NoError(t, err)
	_, _, err = Copy(context.Background(), filepath.Join(t.TempDir(), "alone"), a, "", Exchange{})
	require.ErrorContains(t, err, "holds only the newest versions")
	got := receive(t, c, newest, Exchange{})
	assert.Equal(t, BranchAdvanced, got.Branches[0].State)
	assert.Equal(t, 5, got.Versions)
	fsck(t, c.Root())
	assert.Empty(t, git(t, c.Root(), "status", "--porcelain"))
	assert.Equal(t, string(smock(8)["pieces/back.yaml"]), get(t, c, "pieces/back.yaml"))
	noLeftovers(t, c)
}

func TestOtherPatternsAndPlacesAreRefused(t *testing.T) {
	r, other := withVersions(t, 1), started(t, smock(50))
	commit(t, other, 50, smock(51))
	folder := made(t, stick(t))
	send(t, other, folder, agreed)
	before := onDisk(t, r.Root(), ".git/toile")
	_, err := r.Receive(context.Background(), placeOf(t, r, folder), Exchange{})
	require.ErrorContains(t, err, "holds another pattern")
	_, err = r.Send(context.Background(), placeOf(t, r, folder), agreed)
	require.ErrorContains(t, err, "holds another pattern")
	assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))

	for text, says := range map[string]string{
		r.Root():                   "is this pattern itself",
		folder + "/none":           "is the stick in?",
		folder + "/none/x.bundle":  "is the stick in?",
		made(t, folder+"/nothing"): "nothing was sent there yet",
	} {
		_, err := r.Receive(context.Background(), Place{Name: "x", Address: Address{way: byFile, path: text, text: text}}, Exchange{})
		assert.ErrorContains(t, err, says, text)
	}
	_, err = r.Place("no-such-place", "")
	require.ErrorContains(t, err, "neither a place that is remembered")
	_, _, err = Copy(context.Background(), folder, placeOf(t, r, folder).Address, "", Exchange{})
	require.ErrorContains(t, err, "is what is to be copied; name a folder for the copy")
	_, _, err = Copy(context.Background(), filepath.Join(r.Root(), "inside"), placeOf(t, r, folder).Address, "", Exchange{})
	require.ErrorContains(t, err, "lies inside the pattern")
}

// A copy that fails leaves nothing, whatever failed.
func TestFailedCopyLeavesNothing(t *testing.T) {
	r := withVersions(t, 2)
	folder := made(t, stick(t))
	file := send(t, r, folder, agreed).File
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	for _, n := range []int{0, 10, 40, 100, 300, len(content) - 21, len(content) - 1} {
		require.NoError(t, os.WriteFile(file, content[:n], 0o666))
		dir := filepath.Join(t.TempDir(), "copy")
		_, _, err := Copy(context.Background(), dir, placeOf(t, r, folder).Address, "", Exchange{})
		require.Error(t, err, n)
		require.NoFileExists(t, dir)
	}
	require.NoError(t, os.WriteFile(file, content, 0o666))
	bad := errors.New("seam \x1b[31mnowhere")
	dir := made(t, filepath.Join(t.TempDir(), "empty"))
	_, _, err = Copy(context.Background(), dir, placeOf(t, r, folder).Address, "", Exchange{Check: func(Files) error { return bad }})
	require.ErrorIs(t, err, bad)
	require.NotContains(t, err.Error(), "\x1b")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, entries, "an empty folder stays as it was")
}

func TestAddresses(t *testing.T) {
	secret := "Geheim" + "nis"
	for text, says := range map[string]string{
		"":                                   "an address is needed",
		"https://ines:" + secret + "@host/x": "holds a password",
		"ssh://ines:" + secret + "@host/x":   "holds a password",
		"https://ghp_" + secret + "@host/x":  "looks like a key",
		"https://host/x?private=" + secret:   "goes on after a ?",
		"https://host:1:2/%zz" + secret:      "cannot be read",
		"http://host.example/x":              "use https",
		"ines:" + secret + "@host:x":         "may be a password",
		"ines:" + secret + "@host/x":         "may be a password",
		"https:/ines:" + secret + "@host/x":  "may be a password",
		"https://h/ines:" + secret + "@h2/x": "looks like a name, a password",
		"ssh://h/ines:" + secret + "@h2/x":   "looks like a name, a password",
		"ghp_" + secret + "@host:x":          "looks like a key",
		"https://h/a%0aprotocol=https/x":     "written with %",
		"https://h/a%0dx":                    "written with %",
		"https://a%0ab@h/x":                  "written with %",
		"ssh://h/a%00x":                      "written with %",
		"git://host/x":                       "are not used here",
		"ext::sh -c touch% /tmp/x":           "",
		"file:///x":                          "by its path alone",
		"ssh://-oProxyCommand=x/y":           "no name of a server",
		"-oProxyCommand=x:y":                 "no name of a server",
		"ines@host:":                         "lacks the path",
		"ines@host:-x":                       "lacks the path",
		"-l@host:x":                          "cannot be one",
		"host\x1b[31m:x":                     "do not show",
		"https://host\x1b/x":                 "do not show",
	} {
		_, err := ParseAddress(text)
		if assert.ErrorContains(t, err, says, text) {
			assert.NotContains(t, err.Error(), secret)
			assert.NotContains(t, err.Error(), "\x1b")
		}
	}
	for text, want := range map[string]Address{
		"ines@host:a/b.git":            {way: byShell, user: "ines", host: "host", path: "a/b.git", text: "ines@host:a/b.git"},
		"host:/a b":                    {way: byShell, host: "host", path: "/a b", text: "host:/a b"},
		"ssh://ines@host:2222/~/p.git": {way: byShell, user: "ines", host: "host", port: "2222", path: "~/p.git", text: "ssh://ines@host:2222/~/p.git"},
		"[::1]:p":                      {way: byShell, host: "::1", path: "p", text: "[::1]:p"},
		"/media/stick":                 {way: byFile, path: "/media/stick", text: "/media/stick"},
	} {
		a, err := ParseAddress(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, a)
		}
	}
	a, err := ParseAddress("https://ines@patterns.example.org/a/smock.git/")
	require.NoError(t, err)
	assert.Equal(t, "https://ines@patterns.example.org/a/smock.git", a.String())
	assert.Equal(t, "patterns-example-org", a.shortName())
	assert.Equal(t, "smock", FolderFor(a))
}

// Git's configuration keeps what stands in it, and git reads what is added.
func TestPlacesInGitsConfiguration(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	before, err := os.ReadFile(r.path(configFile))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(r.path(configFile), append(before, "; mine\n[user]\n\tname = Orchard"...), 0o666))
	r = reopened(t, r)
	folder := made(t, filepath.Join(t.TempDir(), `a "b" c`))
	send(t, r, folder, agreed)
	text, err := os.ReadFile(r.path(configFile))
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(text), string(before)+"; mine\n[user]\n\tname = Orchard\n"))
	assert.Equal(t, filepath.Join(folder, "smock.bundle"), git(t, r.Root(), "config", "remote.a-b-c.url"))
	assert.Equal(t, "Orchard", git(t, r.Root(), "config", "user.name"))
	other := reopened(t, r)
	assert.True(t, placeOf(t, other, folder).Agreed)
	assert.True(t, placeOf(t, other, "").Agreed)
	git(t, r.Root(), "remote", "set-url", "a-b-c", "/elsewhere")
	assert.False(t, placeOf(t, reopened(t, r), "").Agreed, "another address is another place to agree to")
}

// Differences of differences, as git packs them, come out right whether or not
// what they differ from is still in memory.
func TestPacksOfGitWithLittleMemory(t *testing.T) {
	needsGit(t)
	r := started(t, smock(0))
	lines := make([]string, 400)
	for i := range lines {
		lines[i] = fmt.Sprintf("  - [%d.%d, %d.%d]", i*37%1000, i%10, i*91%1000, i%7)
	}
	for n := range 40 {
		lines[n*9] = fmt.Sprintf("  - [%d.5, 1000]", n*53)
		commit(t, r, n+1, with(smock(n+1), "pieces/front.yaml", strings.Join(lines, "\n")))
	}
	git(t, r.Root(), "repack", "-q", "-a", "-d", "-f", "--depth=50", "--window=50")
	found, err := filepath.Glob(r.path("objects/pack/*.pack"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	content, err := os.ReadFile(found[0])
	require.NoError(t, err)
	for _, most := range []int{0, 20_000, packCache} {
		p := newPack(bytes.NewReader(content), int64(len(content)), nil)
		p.cache.most = most
		require.NoError(t, p.read())
		longest := 0
		for i, e := range p.entries {
			got, err := p.content(i)
			require.NoError(t, err)
			require.Equal(t, e.id, plumbing.ComputeHash(e.kind, got))
			chain := 0
			for at := e; at.base != 0; at = p.entries[p.at[at.base]] {
				chain++
			}
			longest = max(longest, chain)
		}
		require.Greater(t, longest, 3)
	}
}
