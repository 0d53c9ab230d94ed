package repo

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A repository on this machine that only keeps versions is a place like a
// server, and neither the git program nor a hook in it is run.
func TestShareWithARepositoryOnThisMachine(t *testing.T) {
	needsGit(t)
	bare := bareAt(t)
	ran := filepath.Join(t.TempDir(), "ran")
	for _, hook := range []string{"pre-receive", "update", "post-receive", "post-update", "reference-transaction"} {
		require.NoError(t, os.WriteFile(filepath.Join(bare, "hooks", hook), []byte("#!/bin/sh\ntouch "+ran+"\nexit 1\n"), 0o777))
	}
	r := withVersions(t, 1)
	require.NoError(t, r.Look(context.Background(), placeOf(t, r, bare), Exchange{}), "an empty one is fine")
	require.NoError(t, os.Rename(filepath.Join(bare, "hooks", "reference-transaction"), ran+"-hook")) // the test's own git would run it
	thereAndBack(t, bare, bare, Exchange{})
	require.NoFileExists(t, ran)

	other := started(t, smock(50))
	commit(t, other, 50, smock(51))
	require.ErrorContains(t, other.Look(context.Background(), placeOf(t, other, bare), Exchange{}), "holds another pattern")
	_, err := other.Send(context.Background(), placeOf(t, other, bare), agreed)
	require.ErrorContains(t, err, "holds another pattern")
	git(t, bare, "config", "core.repositoryformatversion", "1")
	git(t, bare, "config", "extensions.objectFormat", "sha256")
	_, err = other.Send(context.Background(), placeOf(t, other, bare), agreed)
	require.ErrorIs(t, err, ErrUnsupported)
}

// Somebody's pattern on this machine is copied and received from, and never
// written.
func TestAPatternOnThisMachineIsOnlyRead(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	c, what := copied(t, r.Root(), agreed)
	assert.Equal(t, 2, what.Versions)
	assert.Equal(t, "smock", what.Place.Name)
	assert.Equal(t, "smock", FolderFor(what.Place.Address))
	fsck(t, c.Root())
	commit(t, r, 3, smock(3))
	assert.Equal(t, BranchAdvanced, receive(t, c, "", Exchange{}).Branches[0].State)
	commit(t, c, 4, smock(4))
	before := onDisk(t, r.Root())
	_, err := c.Send(context.Background(), placeOf(t, c, ""), agreed)
	require.ErrorContains(t, err, "is a folder that somebody works in")
	require.ErrorContains(t, c.Look(context.Background(), placeOf(t, c, ""), Exchange{}), "is a folder that somebody works in")
	assert.Equal(t, before, onDisk(t, r.Root()))
	assert.Equal(t, 1, receive(t, r, c.Root(), Exchange{}).Versions)
	for _, of := range []*Repo{r, c} {
		_, err = of.Receive(context.Background(), placeOf(t, of, of.Root()), Exchange{})
		require.ErrorContains(t, err, "is this pattern itself")
	}
}

// Where a group shares a repository, what is sent can be read and written by it,
// whatever the account's own setting is.
func TestARepositoryOfAGroupStaysTheGroups(t *testing.T) {
	needsGit(t)
	if runtime.GOOS == "windows" {
		t.Skip("files have no groups there")
	}
	bare := bareAt(t)
	git(t, bare, "config", "core.sharedRepository", "group")
	r := withVersions(t, 1)
	k, err := r.openKept(bare, bare)
	require.NoError(t, err)
	f, err := k.ops.Create(filepath.Join(bare, "loose"), 0o600)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	f, err = k.ops.Create(filepath.Join(bare, "packed"), 0o400)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	require.NoError(t, k.ops.Mkdir(filepath.Join(bare, "folder")))
	for name, want := range map[string]os.FileMode{"loose": 0o660, "packed": 0o440} {
		info, err := os.Stat(filepath.Join(bare, name))
		require.NoError(t, err)
		assert.Equal(t, want, info.Mode().Perm(), name)
	}
	info, err := os.Stat(filepath.Join(bare, "folder"))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o070), info.Mode().Perm()&0o070)
}

// A send that was killed on this machine is taken over by the next, with what it
// left; one of another machine is named.
func TestTheLockOfAFileAfterAKill(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	file := send(t, r, folder, agreed).File
	lock := file + ".lock"
	temp := tempBundle(file) + randomName()
	others := tempBundle(filepath.Join(folder, "smock.bundle-x.bundle")) + randomName()
	for _, path := range []string{temp, others} {
		require.NoError(t, os.WriteFile(path, []byte("half"), 0o666))
	}
	require.NoError(t, os.WriteFile(lock, []byte(lockMark+thisMachine()+"\n"), 0o666))
	commit(t, r, 2, smock(2))
	send(t, r, "", agreed)
	assert.NoFileExists(t, lock)
	assert.NoFileExists(t, temp)
	assert.FileExists(t, others)

	commit(t, r, 3, smock(3))
	require.NoError(t, os.WriteFile(lock, []byte(lockMark+"orchard 00000000\n"), 0o666))
	_, err := r.Send(context.Background(), placeOf(t, r, ""), agreed)
	require.ErrorContains(t, err, "the machine orchard is writing "+file)
	require.ErrorContains(t, err, "If you know that nobody is sending there now, remove "+lock+" first")
	require.NoError(t, os.WriteFile(lock, nil, 0o666))
	_, err = r.Send(context.Background(), placeOf(t, r, ""), agreed)
	require.ErrorContains(t, err, "somebody else is writing")
	require.NoError(t, os.Remove(lock))

	unlock, err := r.lockFileAt(file) // and one that lives is waited for
	require.NoError(t, err)
	_, err = r.Send(context.Background(), placeOf(t, r, ""), agreed)
	require.ErrorContains(t, err, "is writing")
	time.AfterFunc(20*time.Millisecond, unlock)
	r.refPatience = 5 * time.Second
	assert.Equal(t, 1, send(t, r, "", agreed).Branches[0].Versions)
	assert.NoFileExists(t, lock)
}

// What git programs put into the file is still there when it is written anew;
// where it cannot be, it is not written.
func TestWhatGitPutIntoTheFileStays(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	folder := made(t, stick(t))
	file := send(t, r, folder, agreed).File
	cloned := filepath.Join(t.TempDir(), "cloned")
	git(t, t.TempDir(), "clone", "-q", file, cloned)
	git(t, cloned, "tag", "v1.0", "HEAD~1")
	git(t, cloned, "tag", "-a", "-m", "as sewn", "Release")
	git(t, cloned, "bundle", "create", "-q", file, "HEAD", FirstBranch, "--tags")
	commit(t, r, 3, smock(3))
	send(t, r, "", agreed)
	heads := git(t, cloned, "bundle", "list-heads", file)
	for _, ref := range []string{"refs/tags/v1.0", "refs/tags/Release", "refs/heads/working"} {
		assert.Contains(t, heads, ref)
	}
	git(t, cloned, "bundle", "verify", file)

	git(t, cloned, "notes", "add", "-m", "a note of git's")
	git(t, cloned, "fetch", "-q", file, FirstBranch+":new")
	git(t, cloned, "bundle", "create", "-q", file, "new", "refs/notes/commits")
	before := onDisk(t, folder)
	commit(t, r, 4, smock(4))
	_, err := r.Send(context.Background(), placeOf(t, r, ""), agreed)
	require.Error(t, err)
	assert.Equal(t, before, onDisk(t, folder), err.Error())
}

// A version that others would refuse is named, with a way past it.
func TestALinkInAnOldVersion(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	git(t, r.Root(), "update-index", "--add", "--cacheinfo", "120000,"+strings.TrimSpace(git(t, r.Root(), "rev-parse", "HEAD:pattern.yaml"))+",lnk")
	git(t, r.Root(), "commit", "-q", "-m", "a link")
	git(t, r.Root(), "rm", "-q", "--cached", "lnk")
	git(t, r.Root(), "commit", "-q", "-m", "no link")
	r = reopened(t, r)
	p := placeOf(t, r, made(t, stick(t)))
	_, err := r.Outgoing(p, Exchange{})
	require.ErrorContains(t, err, `version 3 (a link): "lnk" is a link, not a file; whoever receives the pattern would refuse it`)
	require.ErrorContains(t, err, "`toile branch to-send --from 2`, `toile use to-send`, `toile bring-back working:last`")
	_, err = r.Send(context.Background(), p, agreed)
	require.ErrorContains(t, err, "version 3 (a link)")
}

// What was taken is never told as not sent, and never undone.
func TestWhatWasSentCountsAsSent(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	v := commit(t, r, 2, smock(2))
	p := placeOf(t, r, "")
	s := &sending{r: r, place: p, moves: []refMove{{ref: headsPrefix + FirstBranch, new: mustHash(v)}}}
	require.NoError(t, s.intend()) // and then the machine dies
	r = reopened(t, r)
	sent, err := r.Sent(v)
	require.NoError(t, err)
	assert.True(t, sent, "it may have reached them")
	before, err := r.Unseen(p, Exchange{})
	require.NoError(t, err)
	assert.True(t, before.none())

	receive(t, r, "", Exchange{}) // which tells that it has not
	sent, err = r.Sent(v)
	require.NoError(t, err)
	assert.False(t, sent)
	send(t, r, "", agreed)
	sent, err = r.Sent(v)
	require.NoError(t, err)
	assert.True(t, sent)
	left, err := r.listRefs(maybePrefix)
	require.NoError(t, err)
	assert.Empty(t, left)
}

// Names that came are taken back by undo, and a receive that fails half way says
// what it did.
func TestReceivedNamesAndFailures(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	c, _ := copied(t, folder, Exchange{})
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.Name("as-worn", *last))
	send(t, r, "", agreed)
	c.Begin("share receive --names", at(5))
	assert.Equal(t, []string{"as-worn"}, receive(t, c, "", Exchange{Names: true}).Names)
	c.End(false)
	undone, err := undoing(c)
	require.NoError(t, err)
	assert.Equal(t, []string{"as-worn"}, undone.NamesGone)

	commit(t, r, 2, smock(2))
	send(t, r, "", agreed)
	lock := c.path(headsPrefix + FirstBranch + ".lock")
	require.NoError(t, os.WriteFile(lock, []byte("x"), 0o666))
	c.refPatience = 20 * time.Millisecond
	_, err = c.Receive(context.Background(), placeOf(t, c, ""), Exchange{Names: true})
	require.ErrorContains(t, err, "what came is kept as stick/working, and no more was changed")
	require.NotContains(t, err.Error(), "nothing was changed")
	names, err := c.Names()
	require.NoError(t, err)
	assert.Empty(t, names)
	require.NoError(t, os.Remove(lock))
	assert.Equal(t, BranchAdvanced, receive(t, c, "", Exchange{Names: true}).Branches[0].State)
}

// A branch there whose name makes a folder of ours is named.
func TestABranchThatStandsInTheWay(t *testing.T) {
	needsGit(t)
	bare := bareAt(t)
	r := withVersions(t, 1)
	git(t, r.Root(), "push", "-q", bare, "HEAD:refs/heads/working/x")
	for _, address := range []string{bare, webServer(t, filepath.Dir(bare), nil).URL + "/smock.git"} {
		_, err := r.Send(context.Background(), placeOf(t, r, address), agreed)
		require.ErrorContains(t, err, `because the branch "working/x" stands in its way there`)
	}
}

// Lines of git's configuration that are not the place's stay byte for byte.
func TestPlacesChangeInGitsConfiguration(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	send(t, r, made(t, stick(t)), agreed)
	mine := "; mine\n[user]\n\tname = \"Or;chard\" # x\n[remote \"a \\\"b\\\"\"]\n\turl = /x\n[alias]\n\tl = log \\\n  --all\n"
	before, err := os.ReadFile(r.path(configFile))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(r.path(configFile), append(before, mine...), 0o666))
	r = reopened(t, r)
	p, err := r.Remembered("stick")
	require.NoError(t, err)
	p, err = r.Rename(p, "drawer")
	require.NoError(t, err)
	assert.True(t, p.Agreed)
	assert.Equal(t, "drawer", git(t, r.Root(), "config", "branch.working.remote"))
	git(t, r.Root(), "fetch", "-q", "drawer")
	assert.Contains(t, git(t, r.Root(), "for-each-ref"), "refs/remotes/drawer/working")
	assert.NotContains(t, git(t, r.Root(), "for-each-ref"), "stick")
	p, err = r.Readdress(p, "ssh://ines@patterns.example.org/smock.git")
	require.NoError(t, err)
	assert.False(t, p.Agreed)
	assert.Equal(t, "ssh://ines@patterns.example.org/smock.git", git(t, r.Root(), "config", "remote.drawer.url"))
	require.NoError(t, r.Forget(p))
	content, err := os.ReadFile(r.path(configFile))
	require.NoError(t, err)
	assert.True(t, strings.HasSuffix(string(content), mine), string(content))
	assert.NotContains(t, string(content), "drawer")
	last, err := r.Last()
	require.NoError(t, err)
	sent, err := r.Sent(*last)
	require.NoError(t, err)
	assert.True(t, sent, "what others have stays sent")
}

// A full stick is said as that, and what was not sent does not count as sent.
func TestAFullStick(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	v := commit(t, r, 2, smock(2))
	before := onDisk(t, folder)
	r.ops = fullAt{diskOps{}, folder}
	_, err := r.Send(context.Background(), placeOf(t, r, ""), agreed)
	require.ErrorContains(t, err, "the disk that holds "+folder+" is full")
	require.ErrorContains(t, err, "make room there")
	assert.NotContains(t, err.Error(), ".toile-")
	assert.Equal(t, before, onDisk(t, folder))
	sent, err := r.Sent(v)
	require.NoError(t, err)
	assert.False(t, sent)
}

// fullAt has no room for new files in one folder.
type fullAt struct {
	diskOps
	folder string
}

func (f fullAt) Create(path string, perm os.FileMode) (outFile, error) {
	if filepath.Dir(path) == f.folder {
		return nil, &os.PathError{Op: "open", Path: path, Err: syscall.ENOSPC}
	}
	return f.diskOps.Create(path, perm)
}

// Packs that were being written when a machine died are cleared away a day later.
func TestUnfinishedPacksGo(t *testing.T) {
	r := withVersions(t, 1)
	folder := made(t, stick(t))
	send(t, r, folder, agreed)
	old, young := r.path(packFolder+"/"+tempPack+"old"), r.path(packFolder+"/"+tempPack+"young")
	for _, path := range []string{old, young} {
		require.NoError(t, os.WriteFile(path, []byte("half"), 0o444))
	}
	long := time.Now().Add(-25 * time.Hour)
	require.NoError(t, os.Chtimes(old, long, long))
	commit(t, r, 2, smock(2))
	send(t, r, "", agreed)
	assert.NoFileExists(t, old)
	assert.FileExists(t, young)
}
